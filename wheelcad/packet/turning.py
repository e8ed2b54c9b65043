"""The turning sheet: from the piece as found to the blank, step by step."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from wheelcad.findings import Finding
from wheelcad.packet.page import Page
from wheelcad.parts.blank.design import BlankDesign
from wheelcad.parts.common.profile import groove_floor_width
from wheelcad.parts.common.stack import Land
from wheelcad.parts.design import Design
from wheelcad.trade.cutting import passes, turning_rpm
from wheelcad.trade.materials import material
from wheelcad.words import diameter, length, number

DEPTH_OF_CUT = 1.0  # mm on the radius a pass for a home lathe in iron or steel (common practice, no source)
FINISH = 0.25  # mm on the radius left for the last pass (common practice, no source)
TOOL = "hss"


@dataclass(frozen=True)
class TurningStep:
    """One surface: diameters, length and how far it lies behind the front face, mm; all passes; rpm to start."""

    what: str
    from_mm: float
    to_mm: float
    length_mm: float
    behind_front_mm: float
    passes: int
    rpm: float


def turning_steps(blank: BlankDesign) -> list[TurningStep]:
    """Every surface that is turned away, front to back; none where the piece as found is already that size."""
    return list(_steps(blank))


def _steps(blank: BlankDesign) -> Iterator[TurningStep]:
    if not blank.found:
        return
    for land in blank.lands:
        over = [
            other for other in blank.found if other.z_back < land.z_front - 1e-6 and other.z_front > land.z_back + 1e-6
        ]
        start = max(other.radius for other in over)
        if start - land.radius < 1e-6:
            continue
        cut = start - land.radius
        count = (passes(cut - FINISH, DEPTH_OF_CUT) if cut > FINISH else 0) + 1
        rpm = turning_rpm(TOOL, blank.material, 2 * start)
        what = "tooth ring" if land.name == "ring" else "shoulder"
        yield TurningStep(what, 2 * start, 2 * land.radius, land.length, blank.z_front - land.z_front, count, rpm)


def turning_page(design: Design, findings: Sequence[Finding] = ()) -> Page:
    """The page; only for jobs with a blank."""
    blank = design.blank
    assert blank is not None
    page = Page("At the lathe: turn the blank")
    page.words(
        "The drawing is blank-drawing. Turn everything in one chucking where you can: a surface that runs out puts "
        "more out of balance than the missing tooth does."
    )
    limit = design.balance.runout_limit_mm
    reads = f"no more than {length(limit)}" if limit is not None else "as little as you can reach"
    lines = [
        "Mark TDC on the hub before anything is turned off: turning may take the maker's marks.",
        "Hold the pulley by the end that stays as it is, protected, or on a stub mandrel turned to fit its bore.",
        f"Run an indicator in the bore: {reads} on the indicator before the first cut, and again on every new surface.",
    ]
    if blank.faced_off_mm > 1e-6:
        lines.append(f"Face {length(blank.faced_off_mm)} off the front.")
    lines.append(
        f"Rough every surface below, stay {length(FINISH)} on the radius away, check the run-out, "
        "then finish all of them."
    )
    page.steps(lines)
    rows = [
        [
            step.what,
            diameter(step.from_mm),
            diameter(step.to_mm),
            length(step.length_mm),
            length(step.behind_front_mm),
            str(step.passes),
            number(step.rpm, 0),
        ]
        for step in turning_steps(blank)
    ]
    page.grid(["Surface", "From", "To", "Length", "Behind front", "Passes", "rpm"], rows, "lrrrrrr", tick=True)
    start = f"{length(DEPTH_OF_CUT)} on the radius a pass, HSS tool: where to start."
    page.points([*_grooves(design, blank.lands), start, material(blank.material).cutting_note]).notes(findings, "blank")
    return page.caution(
        [
            "Chuck key out, guard down, sleeves and hair tied back; never touch the work or the swarf while it turns.",
            "Turning mass off a pulley may change how it calms a long crankshaft's twisting, rubber ring or not: ask "
            "the engine's maker.",
        ]
    )


def _grooves(design: Design, lands: tuple[Land, ...]) -> list[str]:
    out = []
    for land in lands:
        if land.groove is not None:
            floor = length(max(0.0, groove_floor_width(land.groove)))
            wide = f"{length(land.groove.width)} wide outside, {floor} at its floor"
            out.append(f"The belt groove in the {diameter(2 * land.radius)} land stays: {wide}. Do not touch it.")
    return out
