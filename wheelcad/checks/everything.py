"""All checks of a folder of outputs against its design, and the numbers measured on the way."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from wheelcad.checks.assembly import check_assembly
from wheelcad.checks.balance import check_balance
from wheelcad.checks.bracket import check_bracket
from wheelcad.checks.bracket_step import check_step
from wheelcad.checks.cam import check_cam
from wheelcad.checks.gauge import check_gauge
from wheelcad.checks.gauge_over_wheel import check_gauge_over_wheel
from wheelcad.checks.gauge_paper import check_gauge_paper
from wheelcad.checks.index_chart import check_index_chart
from wheelcad.checks.solids import check_solids
from wheelcad.checks.unbalance import MeasuredBalance, measure_balance, three_ways
from wheelcad.checks.wheel import check_wheel, sound_body, volume_agrees, wheel_moments
from wheelcad.files.figures import BodyFigures, KernelResult
from wheelcad.findings import Finding, holds
from wheelcad.parts.design import Design
from wheelcad.trade.materials import material


@dataclass(frozen=True)
class Measured:
    """What the written files say. mass kg and polar inertia kg·mm² of wheel.stl; the balance before and after."""

    mass_kg: float
    polar_inertia_kg_mm2: float
    balance: MeasuredBalance


def part_names(design: Design) -> list[str]:
    """The parts that have a STEP file, in the order of the work."""
    return ["wheel"] + [n for n in ("blank", "gauge", "bracket", "adapter", "cam") if getattr(design, n) is not None]


def check_everything(folder: Path, design: Design, kernel: KernelResult) -> tuple[list[Finding], Measured]:
    """Measure all files in the folder. kernel: what the kernel found in the re-read STEP files."""
    figures, undrilled = kernel.figures, kernel.undrilled
    density = material(design.wheel.material).density_kg_m3 * 1e-9
    moments = wheel_moments(folder, "wheel")
    balance = measure_balance(folder, design.balance, figures, undrilled)
    measured = Measured(moments.volume * density, moments.polar * density, balance)
    out = check_solids(figures, part_names(design))
    out += _guarded("wheel.stl", lambda: check_wheel(folder, design.wheel))
    out += _guarded("wheel.stl", lambda: check_balance(folder, design.wheel, design.balance))
    out += three_ways(design.wheel, design.balance, balance)
    out += _volumes(folder, design, figures)
    if design.blank is not None:
        out += _guarded("blank.stl", lambda: [sound_body(folder / "blank.stl")])
    if design.gauge is not None:
        gauge = design.gauge
        out += _guarded("gauge.stl", lambda: check_gauge(folder, gauge))
        out += _guarded("gauge.stl", lambda: check_gauge_over_wheel(folder, gauge))
        out += _guarded("gauge-paper.pdf", lambda: check_gauge_paper(folder, gauge))
    if design.bracket is not None:
        bracket = design.bracket
        out += _guarded("bracket-flat.dxf", lambda: check_bracket(folder, bracket))
        out += check_step(kernel.bracket_faces, bracket)
    if kernel.meetings is not None:
        meetings = kernel.meetings
        out += _guarded("assembly.step", lambda: check_assembly(folder, meetings, design))
    if design.cam is not None:
        cam = design.cam
        out += _guarded("cam.stl", lambda: check_cam(folder, cam))
    if design.indexing is not None:
        plan = design.indexing
        out += _guarded("index-chart.csv", lambda: check_index_chart(folder, plan))
    return out, measured


def _volumes(folder: Path, design: Design, figures: dict[str, BodyFigures]) -> list[Finding]:
    out = []
    for name in part_names(design):
        if name in figures and (folder / f"{name}.stl").exists():
            out.append(volume_agrees(name, wheel_moments(folder, name), figures[name].volume))
    return out


def _guarded(subject: str, check: Callable[[], list[Finding]]) -> list[Finding]:
    """The check's findings; a file that cannot be read or understood is itself a failed finding."""
    try:
        return check()
    except (OSError, ValueError) as error:
        return [
            holds(
                "readable",
                subject,
                False,
                str(error),
                "a file that cannot be read cannot be trusted",
                "reading it back",
            )
        ]
