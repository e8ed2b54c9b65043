"""The drawing of the milled wheel: teeth from the front, one slot enlarged, a section, and tables of teeth and holes.

Seen facing the wheel, the TDC line straight up.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Protocol

from wheelcad.drawing.dimension_text import degrees, length
from wheelcad.drawing.model import (
    SMALL,
    Angular,
    CentreLine,
    CentreMark,
    Circle,
    DetailCircle,
    Entity,
    Note,
    Outline,
    Path,
    Sheet,
    Table,
    View,
)
from wheelcad.drawing.symbols import polar
from wheelcad.job.models import Job, Keyway
from wheelcad.parts.blank.design import BlankDesign
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.common.openings import Opening, rounds
from wheelcad.parts.common.sheets import (
    at_angle,
    bolt_circle,
    drawing_units,
    paper_deg,
    part_sheet,
    reference_marks,
    section_marks,
    title_block,
)
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.detail import detail_view
from wheelcad.parts.wheel.marks import NOTCH_DEG, half_width
from wheelcad.parts.wheel.ring import RingWork
from wheelcad.parts.wheel.section import section_view
from wheelcad.trade.fits import GREATEST_MM, LEAST_MM, limits_mm
from wheelcad.trade.frames import apart_deg, wrap_360
from wheelcad.words import fine

LONGEST_WAY_DEG = 270.0  # beyond this the gap is dimensioned the short way round
CENTRE_PAST_MM = 3.0  # model mm a radial centre line of a slot runs past the rim
SLOT_PLACE_DEG = 0.2  # how far a slot may be from its place; less than a timing light shows (our judgement)
CAUTIONS = (
    "Cutters and chips cut: clamp the work on both sides, eyes protected, no gloves or loose clothing near a "
    "turning spindle. Never run a wheel that has cracked or been dropped.",
    "Follow local codes; leave engine work you are not trained for to a licensed shop.",
)


class Balanced(Protocol):
    """What the drawing says of the wheel's balance: holes drilled, mass, and what an indicator on the rim may read."""

    @property
    def holes(self) -> tuple[CorrectionHole, ...]: ...
    @property
    def mass_kg(self) -> float: ...
    @property
    def runout_limit_mm(self) -> float | None: ...
    @property
    def runout_by(self) -> str: ...


def wheel_sheet(job: Job, wheel: WheelDesign, blank: BlankDesign | None, balance: Balanced) -> Sheet:
    """The wheel's drawing; `blank` is the turned piece it is cut into, None in plate form."""
    drilled, runout = balance.holes, balance.runout_limit_mm
    title = title_block(job, "Crank trigger wheel", "wheel", wheel.material, balance.mass_kg, only_new=True)
    views = (
        _front(job, wheel, blank, drilled),
        section_view(wheel, blank, _keyway(job, blank), _bore_limits(job, wheel), runout),
        detail_view(wheel),
    )
    tables = [_teeth_table(job, wheel)]
    if wheel.ring is not None:
        tables.append(_ring_table(job, wheel.ring))
    if drilled:
        tables.append(_hole_table(job, drilled))
    notes, across = _notes(job, wheel, balance), 2 * wheel.radius_mm
    return part_sheet(job, "wheel", title, views, notes, CAUTIONS, tables=tuple(tables), across_mm=across)


def _keyway(job: Job, blank: BlankDesign | None) -> Keyway | None:
    """The pulley's keyway, where the piece has its bore."""
    return job.pulley.keyway if job.pulley is not None and blank is not None and blank.bore is not None else None


def _front(job: Job, wheel: WheelDesign, blank: BlankDesign | None, drilled: Sequence[CorrectionHole]) -> View:
    radius, sense = wheel.radius_mm, wheel.sense
    entities: list[Entity] = [Outline(wheel.outline)]
    openings: tuple[Opening, ...] = wheel.openings
    if blank is not None:
        entities += _pulley_circles(blank)
        openings = (*((blank.bore,) if blank.bore is not None else ()), *blank.bolts)
    entities += [Outline(o.loop, "HOLES") if o.round is None else Circle(*o.round, "HOLES") for o in openings]
    entities.append(CentreMark(0.0, 0.0, radius))
    entities += _bolt_marks(job, openings, known=blank is not None)
    entities += _marks(wheel)
    entities += _corrections(wheel, drilled)
    centre, pitch_at = _places(wheel, drilled)
    entities += _angles(wheel, pitch_at)
    # the direction arrow stands on the side on which the gap's angle does not start
    entities += reference_marks(radius, sense, "TDC line", left=(sense > 0) == (_from_tdc(wheel) >= 0))
    entities.append(section_marks(radius))
    x, y = at_angle(wheel.floor_radius_mm + wheel.slot.depth * 0.6, centre, sense)
    reach = max(wheel.slot.depth, wheel.slot.width) * 0.75 + 1.0
    entities.append(DetailCircle(x, y, reach, "Z", paper_deg(centre, sense)))
    return View("front", tuple(entities), cell=(0, 0))


def _pulley_circles(blank: BlankDesign) -> list[Entity]:
    """What stands in front of the ring: shoulders, recess."""
    ahead: list[float] = []
    for land in blank.lands:
        if land.name == "ring":
            break
        ahead.append(land.radius)
    radii = {r for k, r in enumerate(ahead) if all(r > other + 1e-6 for other in ahead[:k])}
    if blank.recess is not None:
        radii.add(blank.recess[0])
    return [Circle(0.0, 0.0, r) for r in sorted(radii)]


def _bolt_marks(job: Job, openings: tuple[Opening, ...], known: bool) -> list[Entity]:
    spots = rounds(o for o in openings if o.name == "bolt")
    if not spots or job.bolts is None:
        return []
    bolts = job.bolts
    first = bolts.first_at % (360.0 / bolts.count)
    below = f"on ⌀{length(bolts.circle, drawing_units(job))}, first at {degrees(first)}\nfrom the TDC line"
    return bolt_circle(spots, bolts.circle, below, reference=known)


def _bore_limits(job: Job, wheel: WheelDesign) -> tuple[float, float] | None:
    """Limit deviations of a plate's bore that sits on a pilot, mm: H7; None where nothing sits in it."""
    bore = next((o.round for o in wheel.openings if o.name == "bore" and o.round is not None), None)
    if bore is None or job.pilot is None:
        return None
    size = 2 * bore[2]
    return limits_mm(size, "H7") if LEAST_MM < size <= GREATEST_MM else None


def _corrections(wheel: WheelDesign, drilled: Sequence[CorrectionHole]) -> Iterator[Entity]:
    for k, hole in enumerate(drilled, start=1):
        x, y = hole.centre(wheel.sense)
        r = hole.diameter_mm / 2
        way = math.degrees(math.atan2(y, x))
        layer = "HIDDEN" if hole.from_back and not hole.through else "HOLES"
        yield Circle(x, y, r, layer)
        yield CentreMark(x, y, r, way)
        yield Note(polar((x, y), r, way), f"B{k}", way, end="none", height=SMALL, on_part=True)


def _angles(wheel: WheelDesign, pitch_at: float) -> list[Entity]:
    """Gap from the TDC line, the slots that bound it, and one pitch: theoretically exact angles."""
    out: list[Entity] = []
    radius, sense, pitch = wheel.radius_mm, wheel.sense, wheel.pitch_deg
    gap, missing = wheel.gap_at_deg, wheel.gaps[0].missing
    outer = radius + CENTRE_PAST_MM

    def between(a: float, b: float, suffix: str = "") -> Angular:
        low, high = sorted((paper_deg(a, sense), paper_deg(b, sense)))
        return Angular(0.0, 0.0, outer, low, high, exact=True, suffix=suffix)

    def ray(a: float, inner: float) -> CentreLine:
        return CentreLine(at_angle(inner, a, sense), at_angle(outer, a, sense), beyond=0.0)

    floor = wheel.floor_radius_mm - CENTRE_PAST_MM
    if missing:
        bounds = gap - pitch * missing / 2, gap + pitch * missing / 2
        out += [ray(bounds[0], floor), ray(bounds[1], floor), between(*bounds)]
        if min(gap, 360.0 - gap) > 1e-9:
            turned = _from_tdc(wheel)
            against = "against rotation" if turned < 0 else ""
            out += [ray(gap, 0.0), between(0.0, turned, against)]
    near = _slot_near(wheel, pitch_at)
    out += [ray(near, floor), ray(near + pitch, floor), between(near, near + pitch)]
    return out


def _slot_near(wheel: WheelDesign, angle: float) -> float:
    """The slot centre next to an angle whose following slot is one pitch on."""
    pitch = wheel.pitch_deg
    centres = wheel.slot_centres_deg.tolist()
    fit = [c for c in centres if any(apart_deg(d, c + pitch) < 1e-6 for d in centres)]
    return float(min(fit or centres, key=lambda c: apart_deg(c, angle)))


def _from_tdc(wheel: WheelDesign) -> float:
    """The gap's angle as the drawing gives it: the way the crank turns, or a quarter turn or less against it."""
    return wheel.gap_at_deg if wheel.gap_at_deg <= LONGEST_WAY_DEG else wheel.gap_at_deg - 360.0


def _free_slot(wheel: WheelDesign, taken: list[float]) -> float:
    """A slot as far as can be (degrees) from what is drawn at the angles `taken`, on a diagonal of the view."""
    gap = _from_tdc(wheel)
    taken = [*taken, *(gap * k / 12 for k in range(13))]
    diagonals = [c + d for c in (45.0, 135.0, 225.0, 315.0) for d in (-15.0, 0.0, 15.0)]

    def room(angle: float) -> float:
        return min(apart_deg(angle, t) for t in taken)

    return float(wrap_360(_slot_near(wheel, max(diagonals, key=room))))


def _places(wheel: WheelDesign, drilled: Sequence[CorrectionHole]) -> tuple[float, float]:
    """The slot that is enlarged, and the one from which a pitch is dimensioned."""
    holes = [hole.at_deg for hole in drilled]
    detailed = _free_slot(wheel, holes)
    return detailed, _free_slot(wheel, [*holes, detailed])


def _teeth_table(job: Job, wheel: WheelDesign) -> Table:
    first, last = wheel.slot_centres_deg[0], wheel.slot_centres_deg[-1]
    rows = [
        ("Positions, missing", f"{wheel.teeth.count}, {wheel.teeth.missing}"),
        ("Pitch", degrees(wheel.pitch_deg, 4)),
        *_gap_rows(wheel),
        ("Slots to cut, then the gap", f"{len(wheel.slot_centres_deg)}"),
        ("First slot from the TDC line", degrees(float(first), 3)),
        ("Last slot from the TDC line", degrees(float(last), 3)),
        ("Tooth top, along the chord", length(wheel.tooth_top_mm, drawing_units(job))),
        ("Diameter at the slot floors", "⌀" + length(2 * wheel.floor_radius_mm, drawing_units(job))),
    ]
    return Table("Teeth", ("Angles the way the crank turns", ""), tuple(rows), align="lr")


def _gap_rows(wheel: WheelDesign) -> list[tuple[str, str]]:
    """Where the gaps are; several are numbered in the order of the job."""
    if len(wheel.gaps) == 1:
        return [("Gap centre from the TDC line", degrees(wheel.gap_at_deg, 3))]
    return [
        (f"Gap {k}: teeth missing, centre", f"{gap.missing}, {degrees(float(wrap_360(gap.at_deg)), 3)}")
        for k, gap in enumerate(wheel.gaps, start=1)
    ]


def _ring_table(job: Job, ring: RingWork) -> Table:
    """What is done to a ready-made ring, hole by hole."""
    rows = []
    for step in ring.steps:
        at = "" if step.at_deg is None else degrees(step.at_deg, 2)
        sizes = ["⌀" + length(d, drawing_units(job)) if d > 0 else "-" for d in (step.from_mm, step.to_mm)]
        rows.append((step.what, step.do, at, *sizes))
    return Table("Ready-made ring", ("Hole", "Work", "From TDC line", "As found", "Finished"), tuple(rows))


def _hole_table(job: Job, drilled: Sequence[CorrectionHole]) -> Table:
    rows = []
    for k, hole in enumerate(drilled, start=1):
        deep = "through" if hole.through else length(hole.depth_mm, drawing_units(job))
        rows.append(
            (
                f"B{k}",
                degrees(hole.at_deg, 2),
                length(hole.radius_mm, drawing_units(job)),
                "⌀" + length(hole.diameter_mm, drawing_units(job)),
                deep,
                "back" if hole.from_back else "front",
            )
        )
    columns = ("Hole", "From TDC line", "Radius", "Size", "Depth", "Drilled from")
    return Table("Balance holes", columns, tuple(rows))


def _notes(job: Job, wheel: WheelDesign, balance: Balanced) -> tuple[str, ...]:
    lines = [
        f"Boxed angles are exact. Each slot within ±{SLOT_PLACE_DEG:g}° of its place counted from the gap's centre, "
        "not from its neighbour.",
        "The gap is cleared to the depth of the slot floors, from slot to slot; the outer halves of its slots stay.",
        "Sensing edges sharp but free of burrs; do not chamfer them.",
    ]
    if balance.holes:
        lines.append(_holes_note(balance.holes))
    lines += _made_from(job, wheel, balance) + _marks_note(job, wheel)
    return tuple(lines)


def _holes_note(holes: Sequence[CorrectionHole]) -> str:
    """What the balance holes are for: those of a reading are there for what the finished wheel showed."""
    read = [f"B{k}" for k, hole in enumerate(holes, start=1) if hole.reading]
    said = "Balance holes: depth is that of the full diameter, the drill's point not counted. "
    if len(read) < len(holes):
        said += f"{'Those of the plan' if read else 'They'} take out the metal that weighs against the missing teeth."
    if read:
        said += f" {', '.join(read)} follow from what the finished wheel showed on level edges: drill them last."
    return said


def _made_from(job: Job, wheel: WheelDesign, balance: Balanced) -> list[str]:
    """What the wheel is cut from, and what of it stays as it came."""
    if wheel.form != "plate":
        return [f"Made from blank {job.job}-blank of job mark {job.source.sha256[:8]}; what it does not change stays."]
    lines = ["Faces stay as rolled. Datum is the bore: rim and slots are made about it, the rim on a mandrel in it."]
    if wheel.ring is not None:
        return lines[:1]
    if balance.runout_limit_mm is not None:
        lines.append(
            f"The indicator may read {fine(balance.runout_limit_mm)} on the rim while the wheel turns about its bore "
            f"({balance.runout_by}): off centre by half of that, all the plate weighs to one side."
        )
    if job.shop.plasma is not None:
        lines.append(
            "wheel-flat.dxf is a disc with metal left on rim and bore, to be turned and milled to this drawing; "
            "wheel-finished.dxf is this outline itself, for laser, water jet or wire, which hold it."
        )
    else:
        lines.append(
            "wheel-flat.dxf is this outline itself, for a process that holds it (laser, water jet, wire); a plasma "
            "table does not: give shop.plasma for a disc with allowance."
        )
    return lines


def _marks_note(job: Job, wheel: WheelDesign) -> list[str]:
    """Which marks the front face carries, or that the line from TDC is to be kept."""
    if not wheel.marks:
        kept = "Keep the TDC line on the face: every angle here is measured from it, the way the crank turns."
        return [kept + _one_way(job, wheel)]
    units = drawing_units(job)
    notch = next((mark for mark in wheel.marks if mark.deep is not None), None)
    lines = [mark for mark in wheel.marks if mark.deep is None]
    said = []
    if notch is not None:
        deep = length(notch.deep or 0.0, units)
        said.append(f"TDC notch {NOTCH_DEG:g}° V, {deep} deep, {length(notch.long, units)} long")
    if lines:
        named = ", ".join(f"{mark.degrees:g}°" for mark in lines)
        said.append(f"lines scribed at {named}, {length(lines[-1].long, units)} long")
    outer = length(wheel.marks[0].outer, units)
    return [
        f"Timing marks on the front face, from radius {outer} inwards: {'; '.join(said)}. Degrees lie ahead of the TDC "
        f"mark, the way the crank turns.{_one_way(job, wheel)}"
    ]


def _one_way(job: Job, wheel: WheelDesign) -> str:
    """That equally spaced bolts let a plate go on in several ways, of which the TDC line tells the right one."""
    bolts = job.bolts
    if wheel.form != "plate" or bolts is None or bolts.count < 2:
        return ""
    return f" The bolts let the plate go on in {bolts.count} ways: this line on the pulley's TDC mark is the right one."


def _marks(wheel: WheelDesign) -> Iterator[Entity]:
    """The timing marks as they lie on the front face: a notch by its two edges, a line by itself."""
    for mark in wheel.marks:
        half = half_width() if mark.deep is not None else 0.0
        out_x, out_y = at_angle(1.0, mark.at_deg, wheel.sense)
        for side in (-half, half) if half else (0.0,):
            ends = [(r * out_x - side * out_y, r * out_y + side * out_x, 0.0) for r in (mark.inner, mark.outer)]
            yield Path(tuple(ends))
