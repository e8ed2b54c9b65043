"""The commands: a few lines each; no logic."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from wheelcad.console import write_out
from wheelcad.guarded import guarded
from wheelcad.libraries import hush
from wheelcad.measure.how import MEASURE_HELP

app = typer.Typer(
    no_args_is_help=True,
    context_settings={"help_option_names": ["-h", "--help"]},
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="Missing-tooth crank trigger wheels for the home shop: one YAML job file in, every measured shop file out.",
)

Out = Annotated[Path, typer.Option("--out", metavar="DIR", help="Where the job's folder goes.")]
Json = Annotated[bool, typer.Option("--json", help="Print numbers for programs.")]
Quiet = Annotated[bool, typer.Option("--quiet", help="Say nothing but errors and failed checks.")]
Strict = Annotated[bool, typer.Option("--strict", help="Let warnings fail too (exit code 1).")]


def _found(job: Path | None) -> Path | None:
    """The job file that is meant; None where none is named."""
    from wheelcad.job.found import find_job

    return None if job is None else find_job(job)


JobFile = Annotated[Path, typer.Argument(metavar="JOB", callback=_found, help="A job file.")]


def _version(asked: bool) -> None:
    if asked:
        from importlib.metadata import version

        write_out(f"wheelcad {version('wheelcad')}")
        raise typer.Exit


@app.callback()
def _wheelcad(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Say which release this is.")
    ] = False,
) -> None:
    pass


def _say_json(value: object) -> None:
    from wheelcad.files.data import as_json

    write_out(as_json(value))


@app.command(epilog="Example: wheelcad build configs/tarn-six.yaml")
def build(
    jobs: Annotated[list[Path], typer.Argument(metavar="JOB...", help="Job files.")],
    out: Out = Path("outputs"),
    strict: Strict = False,
    json: Json = False,
    quiet: Quiet = False,
    packet: Annotated[bool, typer.Option("--packet/--no-packet", help="Make packet.pdf, the job on paper.")] = True,
    fem: Annotated[
        bool, typer.Option("--fem/--no-fem", help="Work out by finite elements how stiff the bracket is.")
    ] = True,
    replace: Annotated[
        bool, typer.Option("--replace", help="Build over the files of another job file with the same job name.")
    ] = False,
    workers: Annotated[int, typer.Option("--workers", metavar="N", min=0, help="Build so many jobs at a time.")] = 0,
    cluster: Annotated[
        str, typer.Option("--cluster", metavar="ADDRESS", help="Have them built by the workers of a Dask scheduler.")
    ] = "",
    only_changed: Annotated[
        bool, typer.Option("--only-changed", help="Leave jobs alone that were built from this very text.")
    ] = False,
) -> None:
    """Build every file of the job, and measure each."""
    from wheelcad import terminal

    if workers or cluster or only_changed:
        from wheelcad.many import BuildWanted
        from wheelcad.many_command import run_many

        wanted = BuildWanted(out, packet, fem, replace, only_changed)
        raise typer.Exit(run_many(jobs, wanted, workers, cluster, strict, json, quiet))
    from wheelcad.errors import JobError
    from wheelcad.job.found import find_job
    from wheelcad.kernel import Kernel

    code, told = 0, []
    for job in jobs:
        try:
            path = find_job(job)
            with Kernel(lasts=False) as kernel:  # its long import runs beside all else, ours too
                from wheelcad.build import build_job

                with terminal.progress(f"building {job}", quiet=quiet or json) as say:
                    result = build_job(path, out, say, packet, fem, kernel, replace)
        except JobError as error:
            if len(jobs) == 1:
                raise
            code = 2
            told.append({"job": str(job), "faults": terminal.faults_json(error)})
            if not json:
                terminal.print_error(error)
            continue
        code = max(code, int(result.is_bad(strict)))
        told.append(result.report)
        if not json:
            terminal.show(result, quiet, strict)
    if json:
        _say_json(told[0] if len(jobs) == 1 else told)
    if code:
        raise typer.Exit(code)


@app.command(epilog="Example: wheelcad check outputs/tarn-six")
def check(
    what: Annotated[
        Path, typer.Argument(metavar="JOB|FOLDER", help="A folder of outputs, or the job file they came from.")
    ],
    out: Out = Path("outputs"),
    strict: Strict = False,
    json: Json = False,
    quiet: Quiet = False,
    fem: Annotated[
        bool,
        typer.Option("--fem/--no-fem", help="Solve the bracket's finite elements again; else the build's are told."),
    ] = False,
) -> None:
    """Measure again what is on disk; before a build, look the job file through."""
    from wheelcad import terminal
    from wheelcad.build import check_folder
    from wheelcad.job.found import find_job
    from wheelcad.job.reader import load_job

    job = None if what.is_dir() else load_job(find_job(what))
    folder = what if job is None else out / job.job
    with terminal.progress(f"measuring {folder}", quiet=quiet or json) as say:
        result = check_folder(folder, job, say, fem)
    if json:
        _say_json(result.report)
    else:
        terminal.show(result, quiet, strict)
    if result.is_bad(strict):
        raise typer.Exit(1)


@app.command(epilog="Example: wheelcad new my-wheel --cylinders 4 --pattern 36-1 --diameter '160 mm' --form plate")
def new(
    name: Annotated[str, typer.Argument(metavar="NAME", help="The job's name: NAME.yaml is written.")],
    cylinders: Annotated[str | None, typer.Option(help="How many cylinders.")] = None,
    pattern: Annotated[str | None, typer.Option(metavar="N-M", help="Teeth and missing ones, such as 36-1.")] = None,
    diameter: Annotated[str | None, typer.Option(help="Over the teeth, such as '160 mm' or '6 1/4 in'.")] = None,
    units: Annotated[str | None, typer.Option(help="mm or in.")] = None,
    form: Annotated[str | None, typer.Option(help="turned-down or plate.")] = None,
    direction: Annotated[str | None, typer.Option(help="clockwise or anticlockwise, seen facing the wheel.")] = None,
    replace: Annotated[bool, typer.Option("--replace", help="Write over a job that is there.")] = False,
    quiet: Quiet = False,
) -> None:
    """Write a commented starter job; at a terminal, ask what `wheelcad sheet` asks. Again: go on where you stopped."""
    from wheelcad.job.new import ask_for_job, closing_lines, write_starter
    from wheelcad.terminal import asked, is_terminal

    given = {"cylinders": cylinders, "units": units, "form": form}
    given |= {"pattern": pattern, "diameter": diameter, "direction": direction}
    if is_terminal(sys.stdin) and not quiet:
        path, whole = ask_for_job(name, given, replace, asked, write_out)
        lines = closing_lines(path, whole)
    else:
        path, schema_path = write_starter(name, given, replace)
        lines = [f"{path} written, and {schema_path} for editors", *closing_lines(path, True)]
    if not quiet:
        write_out("\n".join(lines))


@app.command(epilog="Example: wheelcad schema > wheelcad-schema.json")
def schema() -> None:
    """JSON Schema of the job file, for editors."""
    from wheelcad.job.starter import schema_text

    write_out(schema_text().rstrip("\n"))


@app.command(epilog="Example: wheelcad sheet configs/tarn-six.yaml --out .")
def sheet(
    job: Annotated[
        Path | None, typer.Argument(metavar="[JOB]", callback=_found, help="A job file, whose values are printed in.")
    ] = None,
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="Where the sheet goes.")] = Path("."),
    tags: Annotated[
        bool, typer.Option("--tags", help="Also the tags to stick on the engine for `wheelcad survey --photos`.")
    ] = False,
    quiet: Quiet = False,
) -> None:
    """Print a measuring sheet to fill in at the engine."""
    from wheelcad.packet.measuring_sheet import make_sheet, make_tags

    path = make_sheet(job, out)
    printed = make_tags(job, out) if tags else ()
    if not quiet:
        for tag_file in printed:
            write_out(f"{tag_file} written")
        write_out(f"{path} written: print it at 100 % and fill it in at the engine; then wheelcad new NAME asks for it")


@app.command(epilog="Example: wheelcad explain pulley.keyway.depth")
def explain(
    key: Annotated[str, typer.Argument(metavar="[KEY]", help="A key such as pulley.bore, or its last word.")] = "",
    units: Annotated[str, typer.Option(help="mm or in: what allowed ranges are told in.")] = "mm",
) -> None:
    """One key of the job file: what it is, its letter on the measuring sheet, how to measure it, what is allowed."""
    from wheelcad.job.explain import explain_text

    write_out(explain_text(key, units))


@app.command(epilog="Example: wheelcad design configs/tarn-six.yaml")
def design(
    job: Annotated[
        Path | None, typer.Argument(metavar="[JOB]", callback=_found, help="A job file; without one the page asks.")
    ] = None,
    port: Annotated[int, typer.Option("--port", metavar="N", min=0, max=65535, help="Where it is served.")] = 0,
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open it in the browser.")] = True,
    share: Annotated[
        bool, typer.Option("--share", help="Let devices of this network in, each with a one-time key.")
    ] = False,
    out: Out = Path("outputs"),
) -> None:
    """The whole job in a browser on this machine: measure, design, see, build."""
    from wheelcad.page.server import design_command

    design_command(job, out, port, browser, share)


@app.command(epilog="Example: wheelcad chart configs/tarn-six.yaml")
def chart(job: JobFile, json: Json = False) -> None:
    """The rotary-table chart in the terminal."""
    from wheelcad.parts.chart import chart_output

    write_out(chart_output(job, json))


@app.command(epilog="Example: wheelcad options configs/tarn-six.yaml --pattern 48-2 --pattern 30-1")
def options(
    job: JobFile,
    pattern: Annotated[
        list[str] | None, typer.Option("--pattern", metavar="N-M", help="One more pattern: positions-missing.")
    ] = None,
    json: Json = False,
) -> None:
    """Tooth patterns side by side for this blank, sensor, cutter and table."""
    from wheelcad.job.reader import load_job
    from wheelcad.parts.options.table import options_of

    table = options_of(load_job(job), pattern or ())
    if json:
        _say_json({"rows": table.rows()})
    else:
        from wheelcad.parts.options.text import options_text

        write_out(options_text(table))


@app.command(epilog="Example: wheelcad signal configs/tarn-six.yaml")
def signal(job: JobFile, out: Out = Path("outputs"), json: Json = False) -> None:
    """What sensor and controller will see: sync on the starter, sparks, where the gap should pass."""
    from wheelcad.signalled import signal_output
    from wheelcad.terminal import progress

    with progress(f"solving the field of {job}", quiet=json):
        text = signal_output(job, out, json)
    write_out(text)


@app.command(epilog="Example: wheelcad budget configs/tarn-six.yaml")
def budget(job: JobFile, out: Out = Path("outputs"), json: Json = False) -> None:
    """How far off the timing may be, from what, before and after trimming; what would help most."""
    from wheelcad.signalled import budget_output
    from wheelcad.terminal import progress

    with progress(f"making many wheels of {job}", quiet=json):
        text = budget_output(job, out, json)
    write_out(text)


@app.command(epilog="Example: wheelcad survey configs/tarn-six.yaml --photos *.jpg --bars 150.2,199.7 --write")
def survey(
    job: JobFile,
    more: Annotated[list[Path] | None, typer.Argument(metavar="", help="More photographs.", hidden=True)] = None,
    photos: Annotated[
        list[Path] | None, typer.Option("--photos", metavar="FILE...", help="Photographs of tags.")
    ] = None,
    write: Annotated[bool, typer.Option("--write", help="Put the places into the job, its comments kept.")] = False,
    bars: Annotated[str, typer.Option(metavar="A,B", help="Both bars as measured on the print; a third is ±.")] = "",
    plate: Annotated[str, typer.Option(metavar="T", help="Thickness of what the cards are stuck on.")] = "",
    disc_plate: Annotated[str, typer.Option(metavar="T", help="Thickness of what the disc is stuck on.")] = "",
    tags: Annotated[Path | None, typer.Option(metavar="FILE", help="The survey-tags.json of the print.")] = None,
    drawn: Annotated[
        Path | None,
        typer.Option("--drawn", metavar="DIR", help="Draw bracket, wheel and sensor into the photographs, into DIR."),
    ] = None,
    json: Json = False,
) -> None:
    """Where the block's holes are: from the job's `survey` distances, or from photographs of printed tags."""
    from wheelcad.surveying import Print, survey_command

    if more and not photos:
        raise typer.BadParameter("photographs follow --photos", param_hint="--photos")
    prints = Print(bars, plate, disc_plate, tags)
    outcome = survey_command(job, [*(photos or ()), *(more or ())], write, prints, drawn)
    if json:
        _say_json(outcome.data)
    else:
        write_out(outcome.text)
    if outcome.verdict == "fail":
        raise typer.Exit(1)


@app.command(help=MEASURE_HELP, epilog="Example: wheelcad measure wheel.stl --pattern 36-1 --ratio 40")
def measure(
    files: Annotated[
        list[Path],
        typer.Argument(metavar="FILE...", help="A mesh, scans, a list of angles (- to type it), a recording."),
    ],
    job: Annotated[Path | None, typer.Option("--job", metavar="JOB", help="The job it was meant to be.")] = None,
    pattern: Annotated[str | None, typer.Option("--pattern", metavar="N-M", help="Positions-missing wanted.")] = None,
    ratio: Annotated[int | None, typer.Option("--ratio", metavar="N", help="Of the rotary table: 40 for 40:1.")] = None,
    dpi: Annotated[float | None, typer.Option("--dpi", metavar="N", help="Of the scan, dots per inch.")] = None,
    diameter: Annotated[float | None, typer.Option("--diameter", metavar="D", help="Over the teeth, mm.")] = None,
    bar: Annotated[
        float | None, typer.Option("--bar", metavar="L", help="Length of a printed bar beside the wheel, mm.")
    ] = None,
    face: Annotated[
        str, typer.Option("--face", help="front | back: which lies on the glass, or looks along +Z.")
    ] = "front",
    about: Annotated[str | None, typer.Option("--about", help="bore | rim: what it is measured about.")] = None,
    turns: Annotated[
        str | None, typer.Option("--turns", help="clockwise | anticlockwise, seen facing the wheel.")
    ] = None,
    report: Annotated[Path | None, typer.Option("--report", metavar="FILE", help=".pdf, .png, .svg or .csv.")] = None,
    write: Annotated[
        Path | None, typer.Option("--write", metavar="NEW.yaml", help="The job as the advice has it.")
    ] = None,
    json: Json = False,
) -> None:
    """A real wheel: what it is, what went wrong, and what can be saved."""
    from wheelcad import terminal
    from wheelcad.measure.command import MeasureAsked, shown
    from wheelcad.measure.command import measure as measure_files

    asked = MeasureAsked(tuple(files), job, pattern, ratio, dpi, diameter, face, about, turns, report, write, bar)
    with terminal.progress(f"measuring {files[0]}", quiet=json):
        measured = measure_files(asked)
    if json:
        _say_json(measured.as_json())
    else:
        write_out(shown(measured))


def main() -> None:
    """Parse the command line and do what it says; errors end as one clear message (see `guarded`)."""
    hush()
    guarded(_for_programs if "--json" in sys.argv[1:] else app)


# The parser's own error, wherever this release of it keeps the class.
_UsageError: type[Exception] = next(b for b in typer.BadParameter.__mro__ if b.__name__ == "ClickException")


def _for_programs() -> None:
    """As `app`, but a word too many or a number that is none is told as every other fault is: as JSON."""
    from wheelcad.errors import CommandError, Fault

    try:
        code = app(prog_name="wheelcad", standalone_mode=False)
    except _UsageError as error:
        context = getattr(error, "ctx", None)
        command = context.command_path if context is not None else "wheelcad"
        said = getattr(error, "format_message", error.__str__)()
        raise CommandError(Fault(said, file=command, hint=f"{command} --help")) from None
    sys.exit(code or 0)


if __name__ == "__main__":
    main()
