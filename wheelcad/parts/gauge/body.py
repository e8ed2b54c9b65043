"""The gauge's body as walls (trade.wall): outline, skirt, openings, windows, engraving. Wheel frame, mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from wheelcad.errors import Faults
from wheelcad.job.models import Job
from wheelcad.parts.gauge.cover import Cover
from wheelcad.parts.gauge.labels import APART, CAUTIONS, Engraving, Front, number_radius
from wheelcad.parts.gauge.seat import BOSS_WALL, CORNER, Seat
from wheelcad.parts.gauge.shape import (
    WINDOW_LAND,
    WINDOW_RIM,
    WINDOW_STEP,
    can_grow,
    grown_slot,
    keyed_circle,
    wheel_like,
    window,
    window_lean,
    window_reach,
)
from wheelcad.parts.openings import job_sense
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.outline import SlotShape
from wheelcad.trade.frames import wrap_180
from wheelcad.trade.loop import Loop
from wheelcad.trade.printing import TEXT_DEPTH_MM
from wheelcad.trade.wall import Wall

CLEAR_BORE = 0.5  # mm all round between the opening and the bore or recess it shows
WEB = 3.0  # mm of plate kept between the opening and the bolt holes
LEAST_OPENING = 3.0  # mm radius, below which there is no opening
HEAD = 1.05  # radius kept free of writing round a bolt, in hole diameters: a plain washer's


@dataclass(frozen=True)
class Body:
    """walls: the whole body. outline: at the ring; slot: as it stands in the gauge; opening_radius: 0 for none;
    text_depth of the engraving, foot: how far edges on the bed are set back; number_radius: to the middle of the cut
    numbers; clear_radius: inside of which no slot or window reaches. All mm."""

    walls: tuple[Wall, ...]
    outline: Loop
    slot: SlotShape
    z_front: float
    opening_radius: float
    engraving: Engraving
    text_depth: float
    foot: float
    number_radius: float
    clear_radius: float

    def bounds(self, keep: Loop | None) -> tuple[float, float, float, float]:
        """xmin, ymin, xmax, ymax of the body, or of what is kept of it."""
        if keep is None:
            return self.outline.bounds()
        area = shapely.Polygon(self.outline.flatten(1e-3)).intersection(shapely.Polygon(keep.flatten(1e-3)))
        x0, y0, x1, y1 = area.bounds
        return float(x0), float(y0), float(x1), float(y1)


def build_body(
    job: Job, wheel: WheelDesign, seat: Seat, cover: Cover, holes: Sequence[tuple[float, float, float]], faults: Faults
) -> Body:
    """The walls of a job's gauge. holes: x, y and radius of the printed bolt holes."""
    assert job.gauge is not None
    gauge = job.gauge
    z_front = seat.z + gauge.thickness
    foot = min(gauge.elephant_foot, gauge.thickness / 4)
    growth = gauge.outline_allowance
    if not can_grow(wheel.slot, growth, wheel.pitch_deg):
        faults.add(("gauge", "outline_allowance"), "leaves no slot or no tooth in the outline", found=f"{growth:g} mm")
        faults.raise_if_any()
    slot = grown_slot(wheel.slot, growth) if growth else wheel.slot
    walls = (
        _windows(wheel, slot, seat, z_front, foot)
        if gauge.style == "windows"
        else _outline(wheel, growth, seat, z_front, foot)
    )
    outline = walls[0].loop
    inner = _opening(job, seat, holes, cover)
    _collisions(outline, slot, holes, inner, faults)
    faults.raise_if_any()
    walls += _skirt(seat, slot)
    walls += [
        w
        for x, y, r in holes
        for w in _footed(Loop.circle(x, y, r), Loop.circle(x, y, r + foot), seat.z, z_front, foot)
    ]
    walls += _hub(job, seat, inner, z_front, foot)
    depth = min(TEXT_DEPTH_MM, 0.4 * gauge.thickness)
    lean = window_lean(slot, wheel.pitch_deg, z_front - seat.z_ring) + WINDOW_STEP if gauge.style == "windows" else 0.0
    clear = slot.floor_radius - max(lean, 0.0)
    engraving = _engrave(job, wheel, seat, cover, holes, inner, clear)
    walls += [Wall(loop, z_front - depth, z_front) for loop in engraving.loops]
    walls += [Wall(loop, seat.z, z_front) for loop in engraving.through]
    return Body(
        tuple(walls), outline, slot, z_front, inner, engraving, depth, foot, number_radius(clear, engraving.size), clear
    )


def _footed(loop: Loop, eased: Loop, z0: float, z1: float, foot: float) -> list[Wall]:
    """An upright edge whose last `foot` mm, printed first, are set back against the squashed first layers."""
    if foot <= 0:
        return [Wall(loop, z0, z1)]
    return [Wall(loop, z0, z1 - foot), Wall(eased, z1 - foot, z1)]


def _outline(wheel: WheelDesign, growth: float, seat: Seat, z_front: float, foot: float) -> list[Wall]:
    """The wheel's own outline from the ring's face to the front."""
    if not can_grow(wheel.slot, growth - foot, wheel.pitch_deg):
        foot = 0.0
    return _footed(wheel_like(wheel, growth), wheel_like(wheel, growth - foot), seat.z_ring, z_front, foot)


def _windows(wheel: WheelDesign, slot: SlotShape, seat: Seat, z_front: float, foot: float) -> list[Wall]:
    """A disc with a pencil window at every slot."""
    lean = max(window_lean(slot, wheel.pitch_deg, z_front - seat.z_ring), 0.0)
    radius = window_reach(slot, lean) + WINDOW_RIM
    walls = _footed(Loop.circle(0, 0, radius), Loop.circle(0, 0, radius - foot), seat.z_ring, z_front, foot)
    for at_deg in wheel.slot_centres_deg.tolist():
        w = window(slot, at_deg, wheel.sense, lean)
        if lean > 0:
            walls += [
                Wall(w.land, seat.z_ring, seat.z_ring + WINDOW_LAND),
                Wall(w.lean, seat.z_ring + WINDOW_LAND, z_front, w.front),
            ]
        else:
            walls.append(Wall(w.land, seat.z_ring, z_front))
    return walls


def _skirt(seat: Seat, slot: SlotShape) -> list[Wall]:
    """The room inside the skirt, eased at the ring for the fillet a turning tool leaves."""
    walls = []
    for i, cavity in enumerate(seat.cavities):
        z0 = cavity.z0
        if i == len(seat.cavities) - 1:
            ease = min(CORNER, (cavity.z1 - cavity.z0) / 3, max((slot.floor_radius - cavity.radius) / 3, 0.0))
            if ease > 0.05:
                walls.append(Wall(Loop.circle(0, 0, cavity.radius + ease), z0, z0 + ease))
                z0 += ease
        walls.append(Wall(Loop.circle(0, 0, cavity.radius), z0, cavity.z1))
    return walls


def _opening(job: Job, seat: Seat, holes: Sequence[tuple[float, float, float]], cover: Cover) -> float:
    """Radius of the opening for the crank bolt: that of recess or bore where bolts and boss leave room; 0 for none."""
    pulley = job.pulley
    assert pulley is not None
    limit = min((float(np.hypot(x, y)) - r for x, y, r in holes), default=seat.sight_radius) - WEB
    register = seat.register
    if register.boss is not None:
        limit = min(limit, register.printed_diameter / 2 - BOSS_WALL)
    if cover.keep is not None:
        limit = min(limit, cover.hub_radius - WEB)
    wanted = [
        d / 2 + CLEAR_BORE
        for d in (pulley.recess.diameter if pulley.recess else None, pulley.bore, job.wheel.bore)
        if d is not None
    ]
    if not wanted:
        return 0.0
    radius = max((w for w in wanted if w <= limit), default=min(max(wanted), limit))
    return radius if radius >= LEAST_OPENING else 0.0


def _hub(job: Job, seat: Seat, inner: float, z_front: float, foot: float) -> list[Wall]:
    """The boss, and the opening through it and the plate, with a V towards the keyway."""
    walls = []
    boss, z_low = seat.register.boss, seat.z
    if boss is not None:
        z_low = seat.z - seat.register.boss_depth
        walls.append(Wall(boss, z_low, seat.z))
    if inner > 0:
        key = job.pulley.keyway if job.pulley is not None else None
        room = boss is None
        page = job_sense(job) * key.at if key is not None and room else None
        walls += _footed(keyed_circle(inner, page), keyed_circle(inner + foot, page), z_low, z_front, foot)
    return walls


def _collisions(
    outline: Loop, slot: SlotShape, holes: Sequence[tuple[float, float, float]], inner: float, faults: Faults
) -> None:
    """Printed holes must lie inside the plate and clear of the opening."""
    reach = max((float(np.hypot(x, y)) + r for x, y, r in holes), default=0.0)
    least = min((float(np.hypot(x, y)) - r for x, y, r in holes), default=float("inf"))
    if reach >= slot.floor_radius:
        faults.add(
            ("gauge", "hole_allowance"),
            "opens the bolt holes into the slots",
            found=f"{reach - slot.floor_radius:.3g} mm beyond the slot floors",
        )
    if inner > 0 and least <= inner:
        faults.add(("gauge", "hole_allowance"), "opens the bolt holes into the bore")


def _engrave(
    job: Job,
    wheel: WheelDesign,
    seat: Seat,
    cover: Cover,
    holes: Sequence[tuple[float, float, float]],
    inner: float,
    floor_radius: float,
) -> Engraving:
    """All that is written, in the order of its weight: numbers, TDC pointer, direction, cautions.

    floor_radius: inside of which the front is free of slots or windows.
    """
    free = shapely.Point(0, 0).buffer(floor_radius - 0.8, 64)
    if inner > 0:
        free = free.difference(shapely.Point(0, 0).buffer(inner + 3.5 + APART, 64))
    heads = 2 * HEAD * (job.pulley.bolts.hole / 2) if job.pulley is not None and job.pulley.bolts is not None else 0.0
    for x, y, r in holes:
        free = free.difference(shapely.Point(x, y).buffer(max(heads, r + APART)))
    if cover.keep is not None:
        free = free.intersection(shapely.Polygon(cover.keep.flatten(0.01)).buffer(-APART))
    front = Front(free, wheel.sense)
    front.number(cover.marks, floor_radius, wheel.pitch_deg)
    outer = floor_radius - 3.0 - front.out.size.height
    low = inner + 5.0
    sight = min(seat.sight_radius - APART, outer)
    front.pointer([sight, *np.arange(outer, low + 4.0, -1.0).tolist()], sight)
    ring = np.arange(outer - 3.0, low, -1.5).tolist()
    if not ring:
        ring = [max((outer + low) / 2, 1.0)]
    middle = _middle(cover, wheel.sense)
    spread = [0.0, *(s * a for a in range(15, 181, 15) for s in (1.0, -1.0))]
    front.arrow(ring, [middle[0] + 55.0 * wheel.sense + a for a in spread])
    for k, words in enumerate(CAUTIONS):
        front.text(words, ring, [middle[1] + (k - 0.5) * 80.0 + a for a in spread])
    return front.out


def _middle(cover: Cover, sense: int) -> tuple[float, float]:
    """Page angles about which to look for room: the direction arrow's and the cautions'."""
    if cover.keep is None:
        return 0.0, 180.0
    middle = sense * (cover.from_deg + cover.to_deg) / 2
    return float(wrap_180(middle)) - 55.0 * sense, float(wrap_180(middle))
