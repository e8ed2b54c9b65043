"""What the bracket's finite elements come to in a build: findings, figures, a plot."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from wheelcad.apart import Say
from wheelcad.findings import Finding
from wheelcad.kernel import Kernel
from wheelcad.parts.design import Design

PLOT = "bracket-speeds.png"


@dataclass(frozen=True)
class Stiffness:
    """What came out. report: report.json's part, None when nothing was solved; plot_svg: for the packet, or ""."""

    findings: tuple[Finding, ...] = ()
    report: dict[str, Any] | None = None
    plot_svg: str = ""


def stiffness_of(design: Design, folder: Path, kernel: Kernel, say: Say) -> Stiffness:
    """Wait for the bracket's finite elements, which the kernel's process was asked for, and write the plot.

    Empty without a bracket. What the solver could not do is a failed finding, never an error.
    """
    if design.bracket is None:
        return Stiffness()
    from wheelcad.checks.fem.findings import not_solved, stiffness_findings
    from wheelcad.checks.fem.model import FemError
    from wheelcad.packet import campbell_picture

    campbell_picture.get_ready()
    say("how stiff the bracket is")
    try:
        result = kernel.stiffness(say)
    except FemError as error:
        return Stiffness(tuple(not_solved(error)))
    frequencies = [mode.hz for mode in result.modes]
    svg = _plot(design, frequencies, folder)
    return Stiffness(tuple(stiffness_findings(result, design.bracket)), result.report(), svg)


def _plot(design: Design, frequencies_hz: list[float], folder: Path) -> str:
    """Write the plot of frequencies against speed; the same as SVG text. "" without an engine's speed."""
    from wheelcad.checks.fem.campbell import campbell
    from wheelcad.packet.campbell_picture import campbell_png, campbell_svg

    data = campbell(frequencies_hz, design.job.engine)
    if data is None:
        return ""
    title = f"{design.job.job}: bracket against firing"
    (folder / PLOT).write_bytes(campbell_png(data, title))
    return campbell_svg(data, title).decode("utf-8")
