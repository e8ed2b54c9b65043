"""The bracket's finite elements beside the rest of a build, in two processes."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from wheelcad.apart import Say
from wheelcad.findings import Finding
from wheelcad.parts.design import Design

PLOT = "bracket-speeds.png"


@dataclass(frozen=True)
class Stiffness:
    """What came out. report: report.json's part, None when nothing was solved; plot_svg: for the packet, or ""."""

    findings: tuple[Finding, ...] = ()
    report: dict[str, Any] | None = None
    plot_svg: str = ""


@dataclass(frozen=True)
class Solving:
    """The finite elements under way. start: bracket.step is in the folder; finish: wait, and write the plot."""

    start: Callable[[], None]
    finish: Callable[[Say], Stiffness]


@contextlib.contextmanager
def solving(design: Design, folder: Path, wanted: bool) -> Iterator[Solving]:
    """Start at once on what would stiffen the bracket, and when told on bracket.step in the folder.

    Nothing is started without a bracket, or when not `wanted`; the answer is then empty. What the solver cannot do is a
    failed finding, never an error.
    """
    if design.bracket is None or not wanted:
        yield Solving(lambda: None, lambda _: Stiffness())
        return
    from wheelcad.checks.fem.apart import Apart

    bracket, job = design.bracket, design.job
    with Apart() as solver, Apart() as changes:
        changes.propose(bracket, job)

        def finish(say: Say) -> Stiffness:
            from wheelcad.checks.fem.findings import not_solved, stiffness_findings
            from wheelcad.checks.fem.model import FemError

            say("how stiff the bracket is")
            try:
                result = replace(solver.result(say), proposals=changes.result(say))
            except FemError as error:
                return Stiffness(tuple(not_solved(error)))
            frequencies = [mode.hz for mode in result.modes]
            svg = _plot(design, frequencies, folder)
            return Stiffness(tuple(stiffness_findings(result, bracket, job)), result.report(), svg)

        yield Solving(lambda: solver.solve(folder, bracket, job), finish)


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
