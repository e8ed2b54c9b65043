"""The turning sheet: from the piece as found to the blank, step by step."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from wheelcad.findings import Finding
from wheelcad.packet.page import PacketPage
from wheelcad.parts.blank.design import BlankDesign
from wheelcad.parts.common.profile import groove_floor_width
from wheelcad.parts.common.stack import Land
from wheelcad.trade.cutting import passes, turning_rpm
from wheelcad.trade.materials import material
from wheelcad.words import diameter, length, number

DEPTH_OF_CUT = 1.0  # mm on the radius a pass for a home lathe in iron or steel (common practice, no source)
FINISH = 0.25  # mm on the radius left for the last pass (common practice, no source)
TOOL = "hss"
BLADE = 3.0  # mm: the grooving blade of a home lathe (common practice, no source)
FLANK = 0.2  # mm left on each flank for the last cut (common practice, no source)
GROOVING_SPEED = 0.5  # of the turning speed (common practice, no source)
TRUING = 0.3  # mm on the radius that truing a rim takes (common practice, no source)


@dataclass(frozen=True)
class TurningStep:
    """One surface: diameters, length and how far it lies behind the front face, mm; all passes; rpm to start.

    grooved: it lies between two that stand out further, where no turning tool gets in; passes are plunges then.
    """

    what: str
    from_mm: float
    to_mm: float
    length_mm: float
    behind_front_mm: float
    passes: int
    rpm: float
    grooved: bool = False

    @property
    def tool(self) -> str:
        """What cuts it."""
        return f"grooving, {length(BLADE)}" if self.grooved else "turning"


def turning_steps(blank: BlankDesign) -> list[TurningStep]:
    """Every surface that is turned away, front to back; none where the piece as found is already that size."""
    return list(_steps(blank))


def _steps(blank: BlankDesign) -> Iterator[TurningStep]:
    if not blank.found:
        return
    for at, land in enumerate(blank.lands):
        over = [
            other for other in blank.found if other.z_back < land.z_front - 1e-6 and other.z_front > land.z_back + 1e-6
        ]
        start = max(other.radius for other in over)
        if start - land.radius < 1e-6:
            continue
        cut = start - land.radius
        count = (passes(cut - FINISH, DEPTH_OF_CUT) if cut > FINISH else 0) + 1
        rpm = turning_rpm(TOOL, blank.material, 2 * start)
        grooved = is_channel(blank.lands, at)
        if grooved:
            count, rpm = plunges(land.length), rpm * GROOVING_SPEED
        what = "tooth ring" if land.name == "ring" else "shoulder"
        yield TurningStep(
            what, 2 * start, 2 * land.radius, land.length, blank.z_front - land.z_front, count, rpm, grooved
        )


def is_channel(lands: Sequence[Land], at: int) -> bool:
    """Whether a land lies between two that stand out further: a channel, which is grooved."""
    return 0 < at < len(lands) - 1 and min(lands[at - 1].radius, lands[at + 1].radius) > lands[at].radius + 1e-6


def plunges(wide: float) -> int:
    """Plunges of the blade side by side across a channel, each overlapping the last by a fifth, flanks left for "
    "last."""
    return max(1, math.ceil((wide - 2 * FLANK - BLADE) / (0.8 * BLADE) - 1e-9) + 1)


def _channels(blank: BlankDesign) -> Iterator[str]:
    """How the channel behind a thin ring is grooved: tool, order of flanks, support."""
    for at, land in enumerate(blank.lands):
        if not is_channel(blank.lands, at) or not any(s.grooved and s.to_mm == 2 * land.radius for s in _steps(blank)):
            continue
        ring_in_front = blank.lands[at - 1].name == "ring"
        solid, thin = ("rear", "front") if ring_in_front else ("front", "rear")
        deep = min(blank.lands[at - 1].radius, blank.lands[at + 1].radius) - land.radius
        yield (
            f"The channel {length(land.length)} wide, {length(deep)} deep, down to {diameter(2 * land.radius)} is "
            f"grooved, not turned: a blade {length(BLADE)} wide that reaches {length(deep + 2)} out of its holder and "
            "no further, on centre height, oil in steel, dry in iron. Plunge in the middle first, then side by side, "
            f"{length(FLANK)} left on both flanks and {length(FINISH)} at the bottom; finish the {solid} flank outside "
            f"in, the bottom across, and the {thin} flank, the ring's, last and lightest. Before the last cut put a "
            "split ring of hard board or aluminium into the channel's other half where the ring sings; a thin ring "
            "that is pushed comes out dished."
        )


def _as_found_rim(blank: BlankDesign, reads: str) -> list[str]:
    """A rim that is as large as the piece was found: trued, or said to stay."""
    ring = next(land for land in blank.lands if land.name == "ring")
    over = [f.radius for f in blank.found if f.z_back < ring.z_front - 1e-6 and f.z_front > ring.z_back + 1e-6]
    if not over or max(over) - ring.radius > 1e-6:
        return []
    rim = diameter(2 * ring.radius)
    return [
        f"The tooth ring's rim {rim} is as found and stays: nothing is turned off it. Run the indicator on it, "
        f"{reads}; where it reads more, it has to be trued, and wheel.outside_diameter is the size it then has (about "
        f"{length(2 * TRUING)} less), so that slots, gap and balance are reckoned for that."
    ]


def turning_page(blank: BlankDesign, limit: float | None, findings: Sequence[Finding] = ()) -> PacketPage:
    """The page. limit: what an indicator may read, mm, where the balance has one."""
    page = PacketPage("At the lathe: turn the blank")
    page.words(
        "The drawing is blank-drawing. Turn everything in one chucking where you can: a surface that runs out puts "
        "more out of balance than the missing tooth does."
    )
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
            step.tool,
        ]
        for step in turning_steps(blank)
    ]
    page.grid(["Surface", "From", "To", "Length", "Behind front", "Passes", "rpm", "Tool"], rows, "lrrrrrrl", tick=True)
    start = f"{length(DEPTH_OF_CUT)} on the radius a pass, HSS tool: where to start."
    said = [*_channels(blank), *_as_found_rim(blank, reads)]
    page.points([*said, *_grooves(blank.lands), start, material(blank.material).cutting_note]).notes(findings, "blank")
    return page.caution(
        [
            "Chuck key out, guard down, sleeves and hair tied back; never touch the work or the swarf while it turns.",
            "Turning mass off a pulley may change how it calms a long crankshaft's twisting, rubber ring or not: ask "
            "the engine's maker.",
        ]
    )


def _grooves(lands: tuple[Land, ...]) -> Iterator[str]:
    for land in lands:
        if land.groove is not None:
            floor = length(max(0.0, groove_floor_width(land.groove)))
            wide = f"{length(land.groove.width)} wide outside, {floor} at its floor"
            yield f"The belt groove in the {diameter(2 * land.radius)} land stays: {wide}. Do not touch it."
