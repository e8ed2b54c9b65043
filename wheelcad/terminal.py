"""How wheelcad speaks in a terminal: progress while it works, what came of it, faults one below the other.

Colour and moving lines only where a person looks: on a terminal, without NO_COLOR in the environment, not on a dumb
terminal. Progress goes to stderr, so that what is piped on holds results alone; where stderr is no terminal there is
none. Text flows to the width there is and is never cut.
"""

from __future__ import annotations

import io
import math
import os
import shutil
import sys
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, TextIO

from wheelcad.catalogue import START
from wheelcad.console import write_out
from wheelcad.errors import Fault, JobError
from wheelcad.findings import Finding, poor, tally, worst
from wheelcad.words import Words, count

if TYPE_CHECKING:
    from rich.console import RenderableType

    from wheelcad.build import BuildResult
    from wheelcad.processes import Say

_COLOURS = {"fail": "red", "warn": "yellow", "pass": "green"}
_NARROWEST, _WIDEST, _USUAL = 40, 110, 80  # columns that text is fitted to, whatever the terminal says
_EDGES = {"leading": "leading edge", "trailing": "trailing edge", "centre": "centre"}
_DONE = {"built": "written to", "checked": "measured again in"}


def is_terminal(stream: TextIO) -> bool:
    """Whether a person looks at the stream on a terminal that can move its cursor."""
    try:
        return stream.isatty() and os.environ.get("TERM") != "dumb"
    except ValueError:  # the stream is closed
        return False


def asked(prompt: str) -> str:
    """A line from the person at the terminal; EOFError when there is none, or when they break off."""
    try:
        return input(prompt)
    except KeyboardInterrupt:
        raise EOFError from None


def has_colour(stream: TextIO) -> bool:
    """Whether to colour what goes to the stream: a terminal, and NO_COLOR not set to anything."""
    return is_terminal(stream) and not os.environ.get("NO_COLOR")


@contextmanager
def progress(what: str, quiet: bool = False, stream: TextIO | None = None) -> Iterator[Say]:
    """Show that work goes on; the value is a function that is told each step in a few words.

    On a terminal one moving line, gone when the work is done; elsewhere, and when `quiet`, nothing.
    """
    stream = sys.stderr if stream is None else stream
    if quiet or not is_terminal(stream):
        yield lambda _: None
        return
    from rich.console import Console
    from rich.markup import escape

    console = Console(file=stream)
    with console.status(escape(what), spinner="line") as status:
        yield lambda step: status.update(escape(f"{what}: {step}"))


def print_error(error: JobError, stream: TextIO | None = None, as_json: bool = False) -> None:
    """Every fault with its place, its line, what was found and what is allowed, and how many there are; as JSON for
    programs, on standard output."""
    if as_json:
        from wheelcad.files.data import as_json as dump

        write_out(dump({"faults": faults_json(error)}))
        return
    stream = sys.stderr if stream is None else stream
    width = shutil.get_terminal_size((_USUAL, 24)).columns if is_terminal(stream) else None
    write_out(error_text(error, has_colour(stream), width), stream)


def faults_json(error: JobError) -> list[dict[str, object]]:
    """The faults for programs, their sentences in the job's unit."""
    out = []
    for fault in error.faults:
        words = Words(fault.units)
        said = {name: words.text(getattr(fault, name)) for name in ("message", "found", "allowed", "hint")}
        out.append({"file": fault.file, "line": fault.line, "column": fault.column, "key": fault.dotted, **said})
    return out


def error_text(error: JobError, colour: bool = False, width: int | None = None) -> str:
    """What `print_error` prints; width: columns to flow to, None for a pipe, where each sentence stays on its line."""
    blocks = [_fault_text(fault, colour, width) for fault in error.faults]
    if len(error.faults) > 1:
        files = sorted({fault.file for fault in error.faults if fault.file})
        where = f" in {files[0]}" if len(files) == 1 else ""
        said = f"{len(error.faults)} faults{where}; nothing was written or changed for it"
        blocks.append(said if width is None else textwrap.fill(said, width))
    return "\n".join(blocks)


def _fault_text(fault: Fault, colour: bool, width: int | None) -> str:
    if width is None and not colour:
        return str(fault)
    from rich.text import Text

    head, *rest = str(fault).split("\n")
    place, found, message = head.partition(": ")
    lines: list[RenderableType] = [Text.assemble((place, "bold"), found, (message, "red"))]
    for line in rest:
        name, _, said = line.partition(":")
        if name.strip() in ("found", "allowed", "hint"):
            lines.append(_beside(((f"{name}:", "cyan"), (said.strip(), "")), 13))
        else:
            lines.append(_whole(line))
    return _rendered(lines, colour, width or 10_000)


def _whole(text: str) -> RenderableType:
    """A line that is not broken, whatever the width: a path to be copied, a line of a file with a mark under it."""
    from rich.text import Text

    return Text(text, no_wrap=True, overflow="ignore")


def _beside(cells: Sequence[tuple[str, str]], first: int) -> RenderableType:
    """A short text and a longer one that flows beside it; each with its style."""
    from rich.table import Table
    from rich.text import Text

    row = Table.grid(expand=False, padding=0)
    row.add_column(width=first, no_wrap=True)
    row.add_column(overflow="fold")
    row.add_row(*(Text(text, style) for text, style in cells))
    return row


def _rendered(lines: Sequence[RenderableType], colour: bool, width: int) -> str:
    from rich.console import Console
    from rich.text import Text

    held = io.StringIO()
    console = Console(
        file=held,
        width=width,
        force_terminal=colour,
        color_system="standard" if colour else None,
        no_color=not colour,
        highlight=False,
        emoji=False,
        legacy_windows=False,
    )
    for line in lines:
        if isinstance(line, Text):  # its own say in how it is broken is lost where `print` joins it with others
            console.print(line, crop=False, no_wrap=line.no_wrap, overflow=line.overflow)
        else:
            console.print(line, crop=False)
    return "\n".join(line.rstrip() for line in held.getvalue().rstrip("\n").split("\n"))


def summary(result: BuildResult, colour: bool | None = None, width: int | None = None) -> str:
    """What was made, the numbers that matter, findings that somebody should act on, what changed, where the files are.

    colour: as the terminal on stdout allows when None. width: columns, the terminal's when None (80 when there is
    none). Notes are on their own pages.
    """
    from rich.text import Text

    colour = has_colour(sys.stdout) if colour is None else colour
    width = max(_NARROWEST, min(width or shutil.get_terminal_size((_USUAL, 24)).columns, _WIDEST))
    job, words = result.job, Words(result.job.units)
    lines: list[RenderableType] = [Text(job.job + (f": {job.title}" if job.title else ""), "bold")]
    lines += _invented(result.report.get("invented", []), str(job.source.file))
    lines += [_beside(((f"  {name}", ""), (said, "")), 14) for name, said in numbers_that_matter(result.report, words)]
    lines += _findings(result.findings, words)
    lines += [_beside((("  left out", ""), (text, "")), 12) for text in result.report.get("left_out", [])]
    if result.done == "linted":
        lines.append(Text("not built yet, so nothing was measured: this is what the job file says"))
        lines.append(_whole(f"build it first with: wheelcad build {job.source.file}"))
        return _rendered(lines, colour, width)
    if result.changes is not None and not result.changes.first:
        same = "nothing changed since the last build"
        said = [same] if result.changes.again else result.changes.lines()
        lines += [_beside((("  changed", ""), (line, "")), 12) for line in said]
    lines += [_beside((("  kept", ""), (line, "")), 12) for line in result.kept]
    lines.append(_whole(f"{count(len(result.files), 'file')} {_DONE[result.done]} {result.folder}"))
    if result.done == "built" and START in result.files:
        lines.append(_whole(f"next: open {result.folder / START}"))
    return _rendered(lines, colour, width)


def _invented(keys: Sequence[str], file: str) -> list[RenderableType]:
    """The values nobody measured yet, before anything that was made of them."""
    if not keys:
        return []
    from rich.text import Text

    from wheelcad.job.invented import invented_lines

    head = Text(f"{count(len(keys), 'value')} invented: measure before you cut (wheelcad sheet {file})", "yellow")
    return [head, *(_beside((("  guess", ""), (line, "")), 14) for line in invented_lines(tuple(keys)))]


def show(result: BuildResult, quiet: bool, strict: bool) -> None:
    """The summary; with `quiet` what is wrong alone, on stderr."""
    if not quiet:
        write_out(summary(result))
    elif failed := failed_text(result, strict):
        write_out(failed, sys.stderr)


def failed_text(result: BuildResult, strict: bool = False) -> str:
    """What --quiet still says: each failed check on a line; with `strict` those that warned too; "" for none."""
    words = Words(result.job.units)
    return "\n".join(f"{result.job.job}: {f.verdict}: {f.told(words)}" for f in poor(result.findings, strict))


def _is_number(value: object) -> bool:
    """Whether it was measured: a wheel that cannot be read has no mass."""
    return isinstance(value, float) and math.isfinite(value)


def numbers_that_matter(report: Mapping[str, Any], words: Words) -> Iterator[tuple[str, str]]:
    """The few numbers of a report that a builder looks at first, in the job's unit."""
    wheel, ignition = report.get("wheel", {}), report.get("ignition", {})
    teeth = len(wheel.get("tooth_edges_deg", ()))
    if teeth and wheel.get("pitch_deg"):
        mass = wheel.get("mass_kg")
        weighs = f", {words.quantity(mass * 1000, 'heavy')}" if _is_number(mass) else ""
        yield ("wheel", f"{count(teeth, 'tooth', 'teeth')}, one every {wheel['pitch_deg']:.5g}°{weighs}")
    if isinstance(ignition.get("use_deg"), float):
        of = _EDGES.get(str(ignition.get("times_on")), "edge")
        use = words.quantity(ignition["use_deg"], "angle")
        yield ("controller", f"{use} from the first tooth's {of} after the gap to TDC")
    balance = report.get("balance", {})
    if _is_number(balance.get("as_cut_95_g_mm")):
        limit = balance.get("permissible_g_mm")
        said = f"as cut below {words.quantity(balance['as_cut_95_g_mm'], 'unbalance')} (95 %)"
        if isinstance(limit, float):
            at = words.quantity(balance["max_speed_rpm"], "speed")
            said += f", of {words.quantity(limit, 'unbalance')} permitted ({balance.get('grade')} at {at})"
        yield ("balance", said)
    indexing = report.get("indexing", {})
    if indexing.get("cuts"):
        turns = f", {indexing['degrees_per_turn']:g}° a turn" if indexing.get("degrees_per_turn") else ""
        yield ("chart", count(len(indexing["cuts"]), "slot") + turns)
    bracket = report.get("bracket", {})
    if bracket.get("flat_size_mm"):
        long, wide = (words.length(side, 1) for side in bracket["flat_size_mm"])
        hz = _first_frequency(bracket)
        yield ("bracket", f"flat {long} × {wide}{hz}")


def _first_frequency(bracket: Mapping[str, Any]) -> str:
    """The first frequency, from the softer clamping to the stiffer where both are known; "" without one."""
    hz = bracket.get("first_frequency_hz")
    if not isinstance(hz, float | int):
        return ""
    low, high = bracket.get("first_frequency_range_hz") or (hz, hz)
    return f", {low:.0f} Hz" if round(low) == round(high) else f", {low:.0f} to {high:.0f} Hz"


def _findings(findings: Sequence[Finding], words: Words) -> Iterator[RenderableType]:
    """How the checks came out, and those that failed or warned, gravest first, in full."""
    from rich.text import Text

    yield Text(tally(findings), _COLOURS[worst(poor(findings))])
    for finding in poor(findings):
        verdict = (f"  {finding.verdict}", _COLOURS[finding.verdict])
        yield _beside((verdict, (finding.told(words), "")), 8)
