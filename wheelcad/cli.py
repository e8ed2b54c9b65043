"""The commands: a few lines each; no logic."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from wheelcad.errors import JobError

if TYPE_CHECKING:
    from wheelcad.build import BuildResult

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="Missing-tooth crank trigger wheels for the home shop: one YAML job file in, every measured shop file out.",
)

Out = Annotated[Path, typer.Option("--out", metavar="DIR", help="Where the job's folder goes.")]
Json = Annotated[bool, typer.Option("--json", help="Print numbers for programs.")]
Quiet = Annotated[bool, typer.Option("--quiet", help="Say nothing but errors.")]
Strict = Annotated[bool, typer.Option("--strict", help="Let warnings fail too (exit code 1).")]
JobFile = Annotated[Path, typer.Argument(metavar="JOB", help="A job file.")]


def _finish(results: list[BuildResult], strict: bool) -> None:
    """Exit code 1 when a check failed, or warned with --strict."""
    bad = {"fail", "warn"} if strict else {"fail"}
    if any(result.verdict in bad for result in results):
        raise typer.Exit(1)


def _show(results: list[BuildResult], as_json: bool, quiet: bool) -> None:
    from wheelcad import terminal
    from wheelcad.files.data import as_json as dump

    if as_json:
        reports = [result.report for result in results]
        typer.echo(dump(reports[0] if len(reports) == 1 else reports))
    elif not quiet:
        for result in results:
            typer.echo(terminal.summary(result))


@app.command(epilog="Example: wheelcad build configs/tarn-six.yaml")
def build(
    jobs: Annotated[list[Path], typer.Argument(metavar="JOB...", help="Job files.")],
    out: Out = Path("outputs"),
    strict: Strict = False,
    json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Build every file of the job, and measure each."""
    from wheelcad import terminal
    from wheelcad.build import build_job

    results = []
    for job in jobs:
        with terminal.progress(f"building {job}", quiet=quiet or json) as say:
            results.append(build_job(job, out, say))
    _show(results, json, quiet)
    _finish(results, strict)


@app.command(epilog="Example: wheelcad check outputs/tarn-six")
def check(
    what: Annotated[
        Path, typer.Argument(metavar="JOB|FOLDER", help="A folder of outputs, or the job file they came from.")
    ],
    out: Out = Path("outputs"),
    strict: Strict = False,
    json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Measure again what is on disk."""
    from wheelcad import terminal
    from wheelcad.build import check_folder
    from wheelcad.job.reader import load_job

    job = None if what.is_dir() else load_job(what)
    folder = what if job is None else out / job.job
    with terminal.progress(f"measuring {folder}", quiet=quiet or json) as say:
        result = check_folder(folder, job, say)
    _show([result], json, quiet)
    _finish([result], strict)


@app.command(epilog="Example: wheelcad chart configs/tarn-six.yaml")
def chart(job: JobFile, json: Json = False) -> None:
    """The rotary-table chart in the terminal."""
    from wheelcad.job.reader import load_job
    from wheelcad.parts.chart import chart_of

    if json:
        from wheelcad.files.data import as_json

        typer.echo(as_json(chart_of(load_job(job)).report()))
    else:
        from wheelcad.parts.indexing.text import chart_text

        typer.echo(chart_text(chart_of(load_job(job))))


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

    loaded = load_job(job)
    table = options_of(loaded, pattern or ())
    if json:
        from wheelcad.files.data import as_json

        typer.echo(as_json({"rows": table.rows()}))
    else:
        from wheelcad.parts.options.text import options_text

        typer.echo(options_text(table, (loaded.wheel.teeth, loaded.wheel.missing)))


def main() -> None:
    """The entry point: every JobError ends as one clear message and exit code 2."""
    _run(app)


def _run(command: Callable[[], object]) -> None:
    try:
        command()
    except JobError as error:
        from wheelcad.terminal import print_error

        print_error(error)
        sys.exit(2)
    except KeyboardInterrupt:
        print("stopped; what stood there before is untouched", file=sys.stderr)
        sys.exit(130)
    except BrokenPipeError:
        sys.exit(0)


if __name__ == "__main__":
    main()
