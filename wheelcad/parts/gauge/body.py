"""The gauge's body as walls (trade.wall): outline, skirt, openings, windows, engraving. Wheel frame, mm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from wheelcad.errors import DesignError, Fault, Faults
from wheelcad.job.models import Gauge, Job
from wheelcad.parts.gauge.cover import Cover, PrintHole
from wheelcad.parts.gauge.joints import Joints, find_joints
from wheelcad.parts.gauge.labels import APART, CAUTIONS, Engraving, Front, number_radius
from wheelcad.parts.gauge.seat import BOSS_WALL, Seat
from wheelcad.parts.gauge.shape import can_grow, keyed_circle
from wheelcad.parts.gauge.styles import Style, comb_style, footed, outline_style, windows_style
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.frames import wrap_180, wrap_360
from wheelcad.trade.loop import Loop
from wheelcad.trade.printing import TEXT_DEPTH_MM
from wheelcad.trade.wall import Wall
from wheelcad.words import diameter, length

CLEAR_BORE = 0.5  # mm all round between the opening and the bore or recess it shows
WEB = 3.0  # mm of plate kept between the opening and the bolt holes
LEAST_OPENING = 3.0  # mm radius, below which there is no opening
HEAD = 1.05  # radius kept free of writing round a bolt, in hole diameters: a plain washer's
SAW_ROOM = 0.5  # mm kept free of writing beside a joint
PARTS_OF_TEXT = 0.4  # of the plate's thickness, the most that letters are deep


@dataclass(frozen=True)
class GaugeBody:
    """walls: the whole body, but for the skirt of its style. outline: at the ring; opening_radius: 0 for none;
    text_depth of the engraving, foot: how far edges on the bed are set back; number_radius: to the middle of the cut
    numbers. All mm."""

    walls: tuple[Wall, ...]
    outline: Loop
    style: Style
    z_front: float
    opening_radius: float
    engraving: Engraving
    text_depth: float
    foot: float
    number_radius: float
    joints: Joints

    def bounds(self, keep: Loop | None) -> tuple[float, float, float, float]:
        """xmin, ymin, xmax, ymax of the body, or of what is kept of it."""
        if keep is None:
            return self.outline.bounds()
        area = shapely.Polygon(self.outline.flatten(1e-3)).intersection(shapely.Polygon(keep.flatten(1e-3)))
        x0, y0, x1, y1 = area.bounds
        return float(x0), float(y0), float(x1), float(y1)


def build_body(
    job: Job, gauge: Gauge, wheel: WheelDesign, seat: Seat, cover: Cover, holes: Sequence[PrintHole], faults: Faults
) -> GaugeBody:
    """The walls of a job's gauge. DesignError with all faults, those found before included."""
    z_front = seat.z + gauge.thickness
    foot = min(gauge.first_layer_setback, gauge.thickness / 4)
    style = _style(gauge, wheel, seat, z_front, foot)
    outline = style.walls[0].loop
    inner = _opening(job, seat, holes, cover)
    _collisions(style.clear_radius, holes, inner, faults)
    faults.raise_if_any()
    bed = job.shop.printer.bed if job.shop.printer is not None and cover.keep is None else None
    places = _joint_places(wheel, gauge.style)
    shoulder = seat.cavities[-1].radius if seat.cavities else 0.0
    joints = find_joints(outline, bed, places, holes, inner, style.clear_radius, style.reach, wheel.sense, shoulder)
    walls = [*style.walls, *([] if style.skirt is not None else _skirt(seat, style.slot.floor_radius))]
    for x, y, r in holes:
        walls += footed(Loop.circle(x, y, r), Loop.circle(x, y, r + foot), seat.z, z_front, foot)
    walls += _hub(job, seat, inner, z_front, foot)
    engraving = _engrave(job, wheel, seat, cover, holes, inner, style, joints)
    depth = min(TEXT_DEPTH_MM, PARTS_OF_TEXT * gauge.thickness)
    walls += [Wall(loop, z_front - depth, z_front) for loop in engraving.loops]
    walls += [Wall(loop, seat.z, z_front) for loop in engraving.through]
    return GaugeBody(
        tuple(walls), outline, style, z_front, inner, engraving, depth, foot,
        number_radius(style.clear_radius, engraving.size), joints,
    )  # fmt: skip


def _style(gauge: Gauge, wheel: WheelDesign, seat: Seat, z_front: float, foot: float) -> Style:
    """The walls of the style asked for. DesignError when allowance or clearance leaves nothing of it."""
    if gauge.style == "comb":
        if can_grow(wheel.slot, gauge.clearance / 2, wheel.pitch_deg) and gauge.clearance < wheel.slot.width / 2:
            return comb_style(wheel, gauge.clearance, seat, z_front, foot)
        why = "leaves nothing of the comb's fingers"
        raise DesignError(Fault(why, ("gauge", "clearance"), length(gauge.clearance)))
    growth = gauge.outline_allowance
    if growth and not can_grow(wheel.slot, growth, wheel.pitch_deg):
        raise DesignError(Fault("leaves no slot or no tooth", ("gauge", "outline_allowance"), length(growth)))
    if gauge.style == "outline":
        return outline_style(wheel, growth, seat, z_front, foot)
    windows = windows_style(wheel, growth, seat, z_front, foot)
    if windows is None:
        found = f"{diameter(2 * seat.shoulder_radius)} in front of the ring"
        raise DesignError(Fault("has no room for windows beside the shoulder", ("gauge", "style"), found, "outline"))
    return windows


def _joint_places(wheel: WheelDesign, style: str) -> list[float]:
    """Where a joint may run, degrees: through windows, or between the slots of neighbouring cuts, not in the gap."""
    centres: list[float] = wheel.slot_centres_deg.tolist()
    if style == "windows":
        return centres
    ends = zip(centres, [*centres[1:], centres[0]], strict=True)
    inside = [i for i in range(len(centres)) if i not in wheel.teeth.gap_after]
    middles = [float(wrap_360(a + ((b - a) % 360.0) / 2)) for a, b in ends]
    return [middles[i] for i in inside]


def _skirt(seat: Seat, floor_radius: float) -> Iterator[Wall]:
    """The room inside the skirt, eased at the ring where the slots' floors leave room for that."""
    for i, cavity in enumerate(seat.cavities):
        z0, ease = cavity.z0, min(seat.ease, (floor_radius - cavity.radius) / 3)
        if i == len(seat.cavities) - 1 and ease > 0.05:
            yield Wall(Loop.circle(0, 0, cavity.radius + ease), z0, z0 + ease)
            z0 += ease
        yield Wall(Loop.circle(0, 0, cavity.radius), z0, cavity.z1)


def _opening(job: Job, seat: Seat, holes: Sequence[PrintHole], cover: Cover) -> float:
    """Radius of the opening for the crank bolt: that of recess or bore where bolts and boss leave room; 0 for none."""
    pulley = job.pulley
    if pulley is None:
        return 0.0
    limit = min((float(np.hypot(x, y)) - r for x, y, r in holes), default=seat.sight_radius) - WEB
    register = seat.register
    if register.boss is not None:
        limit = min(limit, register.printed_diameter / 2 - BOSS_WALL)
    if cover.keep is not None:
        limit = min(limit, cover.hub_radius - WEB)
    recess = pulley.recess.diameter if pulley.recess is not None else None
    wanted = [d / 2 + CLEAR_BORE for d in (recess, pulley.bore, job.wheel.bore) if d is not None]
    if not wanted:
        return 0.0
    radius = max((w for w in wanted if w <= limit), default=min(*wanted, limit))
    return radius if radius >= LEAST_OPENING else 0.0


def _hub(job: Job, seat: Seat, inner: float, z_front: float, foot: float) -> Iterator[Wall]:
    """The boss, and the opening through it and the plate, with a V towards the keyway."""
    boss, z_low = seat.register.boss, seat.z
    if boss is not None:
        z_low = seat.z - seat.register.boss_depth
        yield Wall(boss, z_low, seat.z)
    if inner > 0:
        key = job.pulley.keyway if job.pulley is not None else None
        page = job.sense * key.at if key is not None and boss is None else None
        yield from footed(keyed_circle(inner, page), keyed_circle(inner + foot, page), z_low, z_front, foot)


def _collisions(clear_radius: float, holes: Sequence[PrintHole], inner: float, faults: Faults) -> None:
    """Printed holes must lie inside the plate and clear of the opening."""
    reach = max((float(np.hypot(x, y)) + r for x, y, r in holes), default=0.0)
    least = min((float(np.hypot(x, y)) - r for x, y, r in holes), default=float("inf"))
    if reach >= clear_radius:
        found = f"{length(reach - clear_radius)} beyond them"
        faults.add(("gauge", "hole_allowance"), "opens the bolt holes into the slots or windows", found=found)
    if least <= inner:
        faults.add(("gauge", "hole_allowance"), "opens the bolt holes into the bore")


def _room(
    job: Job, cover: Cover, holes: Sequence[PrintHole], inner: float, clear: float, joints: Joints
) -> shapely.Geometry:
    """Where on the front something may be written."""
    free = shapely.Point(0, 0).buffer(clear - 0.8, 64)
    if inner > 0:
        free = free.difference(shapely.Point(0, 0).buffer(inner + 3.5 + APART, 64))
    bolts = job.bolts
    head = HEAD * bolts.hole if bolts is not None else 0.0
    for x, y, r in holes:
        free = free.difference(shapely.Point(x, y).buffer(max(head, r + APART)))
    for cut in joints.cuts:
        free = free.difference(shapely.Polygon(cut.vertices[:, :2]).buffer(SAW_ROOM))
    if cover.keep is not None:
        free = free.intersection(shapely.Polygon(cover.keep.flatten(0.01)).buffer(-APART))
    return free


def _engrave(
    job: Job,
    wheel: WheelDesign,
    seat: Seat,
    cover: Cover,
    holes: Sequence[PrintHole],
    inner: float,
    style: Style,
    joints: Joints,
) -> Engraving:
    """All that is written, in the order of its weight: numbers, TDC pointer, direction, cautions."""
    clear = style.clear_radius
    room = _room(job, cover, holes, inner, clear, joints)
    front = Front(room, wheel.sense)
    front.number(cover.marks, clear, wheel.pitch_deg)
    outer = clear - 3.0 - front.out.size.height
    low = inner + 5.0
    sight = min(seat.sight_radius - APART, wheel.floor_radius_mm - APART, outer)
    boss = seat.register.printed_diameter / 2 + APART if seat.register.boss is not None else 0.0
    front.pointer([sight, *np.arange(outer, low + 4.0, -0.5).tolist()], (boss, sight))
    if front.out.tdc is None:  # rather a number less than no pointer
        front = Front(room, wheel.sense)
        front.pointer(np.arange(clear, low + 3.0, -0.5).tolist(), (boss, sight))
        front.number(cover.marks, clear, wheel.pitch_deg)
    ring = np.arange(outer - 3.0, low, -1.5).tolist()
    about, below = _middle(cover, wheel.sense)
    spread = [0.0, *(s * a for a in range(5, 181, 5) for s in (1.0, -1.0))]
    front.arrow(ring, [about + 55.0 * wheel.sense + a for a in spread])
    if style.finger_mm > 0:
        front.text(("NO GO",), ring, [wheel.sense * wheel.gap_at_deg + a for a in spread])
    for k, words in enumerate(CAUTIONS):
        front.text(words, ring, [below + (k - 0.5) * 80.0 + a for a in spread])
    return front.out


def _middle(cover: Cover, sense: int) -> tuple[float, float]:
    """Page angles about which to look for room: the direction arrow's and the cautions'."""
    if cover.keep is None:
        return 0.0, 180.0
    middle = sense * (cover.from_deg + cover.to_deg) / 2
    return float(wrap_180(middle)) - 55.0 * sense, float(wrap_180(middle))
