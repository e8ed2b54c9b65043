"""What the bracket's finite elements come to in a build: findings, figures, a plot."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from wheelcad.catalogue import REPORT
from wheelcad.codes import Check
from wheelcad.files.folder import digest
from wheelcad.findings import Finding, holds
from wheelcad.kernel import Kernel
from wheelcad.parts.design import Design
from wheelcad.processes import Say, beside

PLOT = "bracket-speeds.png"
BRACKET = "bracket.step"
SHOWN = 12  # characters of a hash


def _no_plot() -> str:
    return ""


@dataclass(frozen=True)
class Stiffness:
    """What came out. report: report.json's part, None when nothing was solved; plot: waits until the plot is written
    that is drawn meanwhile, and has it for the packet as SVG text; "" for none."""

    findings: tuple[Finding, ...] = ()
    report: dict[str, Any] | None = None
    plot: Callable[[], str] = _no_plot


def stiffness_of(design: Design, folder: Path, kernel: Kernel, say: Say, draw: bool = True) -> Stiffness:
    """Wait for the bracket's finite elements, which the kernel's process was asked for, and begin the plot (draw).

    Empty without a bracket. What the solver could not do is a failed finding, never an error.
    """
    if design.bracket is None:
        return Stiffness()
    from wheelcad.checks.fem.findings import not_solved, stiffness_findings
    from wheelcad.checks.fem.model import FemError

    if draw:
        from wheelcad.packet import campbell_picture

        campbell_picture.get_ready()
    say("how stiff the bracket is")
    try:
        result = kernel.stiffness(say)
    except FemError as error:
        return Stiffness(tuple(not_solved(error)))
    frequencies = [mode.hz for mode in result.modes]
    softer = 0.0 if result.soft is None else result.soft.first_hz
    plot = beside(lambda: _plot(design, frequencies, softer, folder)) if draw else _no_plot
    findings = tuple(stiffness_findings(result, design.bracket))
    held = {"checks": sorted({str(f.check) for f in findings}), "of_file": digest(folder / BRACKET)}
    return Stiffness(findings, {**result.report(), **held}, plot)


def quoted(design: Design, folder: Path) -> Stiffness:
    """What the build found that wrote the folder's files, as its report has it, for a check that does not solve again.

    Empty without a bracket, and where the build did not solve either. A bracket.step that is another than was solved,
    or a report that cannot be read, is a warning.
    """
    if design.bracket is None or not (folder / BRACKET).is_file():
        return Stiffness()
    try:
        report = json.loads((folder / REPORT).read_text(encoding="utf-8"))
        told = report["bracket"].get("stiffness")
        if told is None:
            return Stiffness()
        sha, wanted = str(told["of_file"]["sha256"]), set(told["checks"])
        findings = [Finding(**{**f, "check": Check(f["check"])}) for f in report["findings"] if f["check"] in wanted]
        findings = [f for f in findings if f.subject == BRACKET]
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return Stiffness((_unknown("the build's report cannot be read"),))
    if sha != digest(folder / BRACKET)["sha256"]:
        return Stiffness((_unknown("the build solved another bracket.step than is here now"),))
    by = f"quoted from the build, which solved {BRACKET} of SHA-256 {sha[:SHOWN]}"
    return Stiffness(tuple(replace(f, source=f"{f.source}; {by}") for f in findings), told)


def _unknown(said: str) -> Finding:
    why = "how stiff the bracket is stands nowhere then: wheelcad check --fem solves it again"
    return holds(Check.STIFFNESS, BRACKET, False, said, why, REPORT, "warn")


def _plot(design: Design, frequencies_hz: list[float], softer_hz: float, folder: Path) -> str:
    """Write the plot of frequencies against speed; the same as SVG text. "" without an engine's speed."""
    from wheelcad.checks.fem.campbell import campbell
    from wheelcad.packet.campbell_picture import campbell_plot

    data = campbell(frequencies_hz, design.job.engine, softer_hz)
    if data is None:
        return ""
    title = f"{design.job.job}: bracket against what shakes it"
    (folder / PLOT).write_bytes(campbell_plot(data, title, "png"))
    return campbell_plot(data, title, "svg").decode("utf-8")


def rim_again(design: Design) -> list[Finding]:
    """A second opinion on how strong the rim is, by plane finite elements: what `check --fem` adds."""
    from wheelcad.checks.fem.disc import disc_findings

    return disc_findings(design)
