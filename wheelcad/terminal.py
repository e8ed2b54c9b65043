"""How wheelcad speaks in a terminal: progress while it works, one screen when it is done, faults one below the other.

Colour and moving lines only where a person looks: on a terminal, without NO_COLOR in the environment, not on a dumb
terminal. Progress goes to stderr, so that what is piped on holds results alone; where stderr is no terminal there is
none.
"""

from __future__ import annotations

import math
import os
import shutil
import sys
import textwrap
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, TextIO

from wheelcad.errors import Fault, JobError
from wheelcad.findings import Finding
from wheelcad.words import Words

if TYPE_CHECKING:
    from wheelcad.apart import Say
    from wheelcad.build import BuildResult


BOLD, RED, YELLOW, GREEN, CYAN = "1", "31", "33", "32", "36"
_VERDICT_COLOURS = {"fail": RED, "warn": YELLOW, "note": CYAN, "pass": GREEN}
_NARROWEST, _WIDEST = 40, 110  # columns that text is fitted to, whatever the terminal says
_LEAST_FINDINGS = 3  # shown, however low the screen


def is_terminal(stream: TextIO) -> bool:
    """Whether a person looks at the stream on a terminal that can move its cursor."""
    try:
        return stream.isatty() and os.environ.get("TERM") != "dumb"
    except ValueError:  # the stream is closed
        return False


def has_colour(stream: TextIO) -> bool:
    """Whether to colour what goes to the stream: a terminal, and NO_COLOR not set to anything."""
    return is_terminal(stream) and not os.environ.get("NO_COLOR")


def painted(text: str, code: str, colour: bool) -> str:
    """The text in a colour or bold, or as it is."""
    return f"\x1b[{code}m{text}\x1b[0m" if colour else text


@contextmanager
def progress(what: str, quiet: bool = False, stream: TextIO | None = None) -> Iterator[Say]:
    """Show that work goes on; the value is a function that is told each step in a few words.

    On a terminal one moving line, gone when the work is done; elsewhere, and when `quiet`, nothing.
    """
    stream = sys.stderr if stream is None else stream
    if quiet or not is_terminal(stream):
        yield _silent
        return
    from rich.console import Console
    from rich.markup import escape

    console = Console(file=stream)
    with console.status(escape(what), spinner="line") as status:
        yield lambda step: status.update(escape(f"{what}: {step}"))


def _silent(_: str) -> None:
    """Say nothing."""


def print_error(error: JobError, stream: TextIO | None = None) -> None:
    """Every fault with its place, its line, what was found and what is allowed, and how many there are."""
    stream = sys.stderr if stream is None else stream
    print(error_text(error, has_colour(stream)), file=stream)


def error_text(error: JobError, colour: bool = False) -> str:
    """What `print_error` prints."""
    blocks = [_fault_text(fault, colour) for fault in error.faults]
    if len(error.faults) > 1:
        blocks.append(f"{len(error.faults)} faults; nothing was written or changed")
    return "\n".join(blocks)


def _fault_text(fault: Fault, colour: bool) -> str:
    if not colour:
        return str(fault)
    head, *rest = str(fault).split("\n")
    place, found, message = head.partition(": ")
    lines = [painted(place, BOLD, True) + found + painted(message, RED, True)]
    for line in rest:
        name, colon, said = line.partition(":")
        is_hint = name.strip() in ("hint", "allowed")
        lines.append(f"{painted(name + colon, CYAN, True)}{said}" if is_hint else line)
    return "\n".join(lines)


def summary(
    result: BuildResult, colour: bool | None = None, size: tuple[int, int] | None = None, check: bool = False
) -> str:
    """One screen: what was made, the numbers that matter, findings that are not a pass, where the files are.

    colour: as the terminal on stdout allows when None. size: columns and lines, the terminal's when None (80 × 24 when
    there is none). check: the files were measured again, not made.
    """
    colour = has_colour(sys.stdout) if colour is None else colour
    columns, height = size or shutil.get_terminal_size((80, 24))
    width = max(_NARROWEST, min(columns, _WIDEST))
    title = result.job.title
    head = [_cut(result.job.job + (f": {title}" if title else ""), width)]
    numbers = [_cut(f"  {name:<12}{said}", width) for name, said in numbers_that_matter(result.report)]
    left = [_cut(f"  left out: {text}", width) for text in result.report.get("left_out", [])]
    where = f"{len(result.files)} files {'measured again in' if check else 'written to'} {result.folder}"
    room = height - len(head) - len(numbers) - len(left) - 4
    words = Words(result.job.units)
    findings = _findings_text(list(result.findings), words, width, max(_LEAST_FINDINGS, room), colour)
    head[0] = painted(head[0], BOLD, colour)
    return "\n".join([*head, *numbers, *findings, *left, where])


def _is_number(value: object) -> bool:
    """Whether it was measured: a wheel that cannot be read has no mass."""
    return isinstance(value, float) and math.isfinite(value)


def numbers_that_matter(report: Mapping[str, Any]) -> list[tuple[str, str]]:
    """The few numbers of a report that a builder looks at first, in words."""
    out = []
    wheel, ignition = report.get("wheel", {}), report.get("ignition", {})
    teeth = len(wheel.get("tooth_edges_deg", ()))
    if teeth and wheel.get("pitch_deg"):
        mass = wheel.get("mass_kg")
        weighs = f", {mass:.2f} kg" if _is_number(mass) else ""
        out.append(("wheel", f"{teeth} teeth, one every {wheel['pitch_deg']:.5g} deg{weighs}"))
    if isinstance(ignition.get("use_deg"), float):
        named = (("first_edge", "leading edge"), ("trailing_edge", "trailing edge"), ("first_tooth_centre", "centre"))
        of = next((name for key, name in named if ignition.get(f"{key}_to_tdc_deg") == ignition["use_deg"]), "edge")
        out.append(("controller", f"{ignition['use_deg']:.2f} deg from the first tooth's {of} after the gap to TDC"))
    balance = report.get("balance", {})
    after = balance.get("after") or balance.get("before") or {}
    if _is_number(after.get("unbalance_g_mm")):
        limit = balance.get("permissible_g_mm")
        said = f"{after['unbalance_g_mm']:.1f} g·mm left"
        if isinstance(limit, float):
            said += f" of {limit:.1f} permitted ({balance.get('grade')} at {balance.get('max_speed_rpm'):g} rpm)"
        out.append(("balance", said))
    indexing = report.get("indexing", {})
    if indexing.get("cuts"):
        turns = f", {indexing['degrees_per_turn']:g} deg a turn" if indexing.get("degrees_per_turn") else ""
        out.append(("chart", f"{len(indexing['cuts'])} slots{turns}"))
    bracket = report.get("bracket", {})
    if bracket.get("flat_size_mm"):
        long, wide = bracket["flat_size_mm"]
        out.append(("bracket", f"flat {long:.1f} × {wide:.1f} mm, {bracket.get('first_frequency_hz', 0):.0f} Hz"))
    return out


def _findings_text(findings: list[Finding], words: Words, width: int, room: int, colour: bool) -> list[str]:
    """How many checks there were, and those that are not a pass, gravest first: in full where there is room for it."""
    poor = [finding for verdict in ("fail", "warn") for finding in findings if finding.verdict == verdict]
    failed = sum(finding.verdict == "fail" for finding in poor)
    said = f"{len(findings)} checks"
    said += f": {failed} failed, {len(poor) - failed} warned" if poor else ", all passed"
    colour_of_all = _VERDICT_COLOURS["fail" if failed else "warn" if poor else "pass"]
    lines: list[str] = []
    for most in (3, 2, 1):
        blocks = [_finding_text(finding, words, width, colour, most) for finding in poor]
        if sum(map(len, blocks)) <= room:
            break
    for number, block in enumerate(blocks):
        if lines and len(lines) + len(block) > room - (number + 1 < len(blocks)):
            lines.append(f"  and {len(blocks) - number} more in report.json")
            break
        lines += block
    return [painted(said, colour_of_all, colour), *lines]


def _finding_text(finding: Finding, words: Words, width: int, colour: bool, most: int) -> list[str]:
    """One finding on at most `most` lines; a failure on three where it needs them."""
    text = f"{finding.subject}, {finding.check}: {_measured(finding, words)}{words.text(finding.why)}"
    most = 3 if finding.verdict == "fail" else most
    wrapped = textwrap.wrap(text, width - 8, max_lines=most, placeholder=" …") or [""]
    first = f"  {painted(finding.verdict, _VERDICT_COLOURS[finding.verdict], colour)}  {wrapped[0]}"
    return [first, *(f"        {line}" for line in wrapped[1:])]


def _measured(finding: Finding, words: Words) -> str:
    measured, limit = finding.measured_in(words), finding.limit_in(words)
    return f"{measured}{f', limit {limit}' if limit else ''}; " if measured else ""


def _cut(text: str, width: int) -> str:
    """The text on one line of at most `width` characters."""
    text = text.replace("\n", " ")
    return text if len(text) <= width else text[: width - 1].rstrip() + "…"
