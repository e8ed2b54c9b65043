"""A layout drawn out: arm, outline, regions and gussets, and the room they keep. What does not fit is a DesignError."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations

from wheelcad.errors import DesignError, Fault, Faults, Key
from wheelcad.job.models import Bracket, Job
from wheelcad.parts.bracket import clear
from wheelcad.parts.bracket.along_shapes import Maker
from wheelcad.parts.bracket.arm import FILLET_RADII, NoArmError, arm_string
from wheelcad.parts.bracket.blocks import fastener_blocks, nose_blocks, plate_blocks
from wheelcad.parts.bracket.flat import regions, whole_outline
from wheelcad.parts.bracket.gusset import FLANGE_ROOM, NESTED_APART, SHORTEST_LEG, leg_choices, place_gussets, stands_on
from wheelcad.parts.bracket.layout import BEND_MARGIN, Layout
from wheelcad.parts.bracket.model import Gusset, Hole, Region, bolt_place, hole_distance
from wheelcad.parts.bracket.sound import KeepOut, Start, Task
from wheelcad.parts.sensor.design import SensorBody, SensorPlace
from wheelcad.trade.loop import Loop
from wheelcad.trade.tangent import NoTangentError, Round

HOLE_SHARE = 0.5  # of the thickness: least plate between two holes
BESIDE = 1.2  # of a mount hole's diameter beyond the bend line's end: from there on it may lie beside the bend
NECK_SHARE = 0.6  # of the width: least band of plate from the bend to every mount
NECK_HOLES = 2.8  # of a mount hole's diameter: the band is never asked to be wider than this


@dataclass(frozen=True)
class Drawn:
    """A bracket's shape: layout, the flat's outline, its plane regions and gussets."""

    layout: Layout
    outline: Loop
    regions: tuple[Region, ...]
    gussets: tuple[Gusset, ...]


def draw(job: Job, place: SensorPlace, body: SensorBody, maker: Maker) -> Drawn:
    """The layout drawn out, gussets included where wanted, and clear of everything. DesignError otherwise."""
    bracket = job.bracket
    assert bracket is not None
    layout = maker(0.0)
    drawn = _plain(job, bracket, layout)
    _check_room(job, drawn, place, body)
    if bracket.gusset and layout.bends and layout.bends[0].angle_deg == 90.0:
        return _with_gusset(job, place, body, maker, drawn)
    return drawn


def _plain(job: Job, bracket: Bracket, layout: Layout) -> Drawn:
    _check_holes(job, layout, bracket.plate.thickness)
    string = _arm(job, bracket, layout)
    try:
        return Drawn(layout, whole_outline(layout, string), regions(layout, string, bracket.plate.thickness), ())
    except NoTangentError:
        boss = layout.tab[-1]  # without one, the tab's straight sides always meet
        room = layout.tab_start - boss.x - boss.radius
        raise DesignError(
            Fault(
                f"leaves the plate round the sensor's bolt, which reaches past the tab's side, {room:.1f} mm from the "
                f"bend; the corner beside it needs {FILLET_RADII[-1]:.1f} mm or more",
                key=("sensor", "bolt", "offset"),
                hint="turn the sensor (senses), widen the bracket, or give the arm more distance from the ring",
            )
        ) from None


def _check_holes(job: Job, layout: Layout, thickness: float) -> None:
    """DesignError for holes that run into each other."""
    faults = Faults()
    least = HOLE_SHARE * thickness
    for a, b in combinations((*layout.tab_holes, *layout.mounts), 2):
        bridge = hole_distance(a, b)
        if a.region == b.region and bridge < least:
            faults.add(
                ("sensor", "bolt", "offset") if b.name == "bolt" else ("bracket", "mounts", int(b.name.split()[1]) - 1),
                f"brings {b.name} too near {a.name}: {bridge:.1f} mm of plate between the holes, slots included",
                allowed=f"{least:.1f} mm or more",
            )
    faults.raise_if_any()


def _with_gusset(job: Job, place: SensorPlace, body: SensorBody, maker: Maker, plain: Drawn) -> Drawn:
    """Drawn with the largest gussets that stand on sound plate and clear of everything.

    Where the plain arm gives no footing, its straight sides are made as long as the gusset.
    """
    bracket = job.bracket
    assert bracket is not None
    trouble: DesignError | None = None
    for leg in leg_choices(plain.layout, body, bracket.plate.thickness):
        try:
            found = _on_footing(job, place, body, plain, leg)
            if found is None:
                longer = _plain(job, bracket, maker(leg[0] - bracket.plate.inside_radius + 2.0))
                found = _on_footing(job, place, body, longer, leg)
        except DesignError as error:
            trouble = error
            continue
        if found is not None:
            return found
    if trouble is not None:
        raise trouble
    raise DesignError(
        Fault(
            f"has no room: beside the sensor and in the corner no gusset with {SHORTEST_LEG:.0f} mm of weld on each "
            "leg stands on sound plate clear of the mounts' washers",
            key=("bracket", "gusset"),
            allowed=f"a width of {2 * (body.flange_radius + bracket.plate.thickness + FLANGE_ROOM):.1f} mm or more, "
            "and mounts further from the bend",
            hint="leave the gusset out, or widen the bracket",
        )
    )


def _on_footing(job: Job, place: SensorPlace, body: SensorBody, drawn: Drawn, leg: tuple[float, float]) -> Drawn | None:
    """With gussets of these legs; None where no sound plate is under them. DesignError where they hit something."""
    assert job.bracket is not None
    t = job.bracket.plate.thickness
    if not stands_on(drawn.regions[0], drawn.layout, leg, t):
        return None
    _, low, right, _ = drawn.outline.bounds()
    gussets = place_gussets(drawn.layout, drawn.layout.bends[0], leg, t, (right + NESTED_APART, low))
    drawn = replace(drawn, gussets=gussets)
    _check_room(job, drawn, place, body)
    return drawn


def _arm(job: Job, bracket: Bracket, layout: Layout) -> list[Round]:
    """The arm's string, kept off what turns by the aimed clearance, or by half of it where that is all there is."""
    start = Start(layout.start_x, layout.half) if layout.bends else None
    neck = min(NECK_SHARE * bracket.width, *(NECK_HOLES * hole.diameter for hole in layout.mounts))
    near = layout.tab_holes[0] if start is None else None
    first = (layout.start_x + 0.5, 0.0) if near is None else (near.x0, near.y0)
    anchors = (first, *((hole.x0, hole.y0) for hole in layout.mounts))
    fault: NoArmError | None = None
    for clearance in (clear.AIMED, clear.AIMED / 2):
        task = Task(start, layout.mounts, _keep_outs(job, layout, clearance), anchors, neck)
        try:
            _check_mounts(layout, bracket)
            return arm_string(task, layout.tab if start is None else ())
        except NoArmError as error:
            fault = error
    assert fault is not None
    key: Key = ("bracket", "mounts") if fault.mount is None else ("bracket", "mounts", fault.mount)
    message = fault.reason if fault.mount is not None else f"cannot be reached: {fault.reason}"
    hint = "use other mounts, another sensor.at, or a mount_face clear of what turns"
    raise DesignError(Fault(message, key=key, hint=hint))


def _check_mounts(layout: Layout, bracket: Bracket) -> None:
    """NoArmError for a mount hole in the bend, or behind it."""
    if not layout.bends:
        return
    bend, t = layout.bends[0], bracket.plate.thickness
    for number, hole in enumerate(layout.mounts):
        x, y = min(hole.x0, hole.x1), min(abs(hole.y0), abs(hole.y1))
        if y > layout.half + BESIDE * hole.diameter + FILLET_RADII[-1] and x > bend.x_arm - bracket.width:
            continue
        gap = x - hole.diameter / 2 - bend.x_arm
        if gap < BEND_MARGIN * t:
            raise NoArmError(
                f"lies too near the bend: its hole or slot {_ends(hole, gap)} the bent metal, and needs "
                f"{BEND_MARGIN * t:.1f} mm of plate; it has to be {BEND_MARGIN * t - gap:.1f} mm further from the "
                f"sensor{layout.why_there}",
                number,
            )


def _ends(hole: Hole, gap: float) -> str:
    return f"ends {gap:.1f} mm short of" if gap >= 0 else f"reaches {-gap:.1f} mm into"


def _keep_outs(job: Job, layout: Layout, clearance: float) -> tuple[KeepOut, ...]:
    lands = clear.lands_beside(job, *layout.arm_z, clearance)
    if not lands:
        return ()
    land = max(lands, key=lambda item: item.radius)
    slide = layout.slide
    middle = (slide.low + slide.high) / 2
    x, y, _ = layout.arm_frame.back((-middle * slide.x, -middle * slide.y, layout.arm_frame.origin[2])).tolist()
    radius = land.radius + clearance + (slide.high - slide.low) / 2
    return (KeepOut(float(x), float(y), radius, clear.name_of(land)),)


def check_nose(job: Job, place: SensorPlace, faults: Faults) -> None:
    """The nose must run clear of what turns beside the ring, wherever the bracket goes."""
    assert job.sensor is not None
    beside = [land for land in clear.turning_parts(job) if land.name != "ring"]
    room = clear.least_room(nose_blocks(place), beside, clear.Slide(place.out[0], place.out[1], 0.0, 0.0))
    least = min(clear.LEAST, job.sensor.air_gap)
    if room is not None and room.distance < least - 1e-6:
        faults.add(
            ("sensor", "body_diameter"),
            f"the sensor's nose would hit {room.land}: {room.words}",
            allowed=f"at least {least:.1f} mm",
            hint="a slimmer sensor, or another place for it along the crank or in radius",
        )


def _check_room(job: Job, drawn: Drawn, place: SensorPlace, body: SensorBody) -> None:
    """DesignError when the bracket or its nuts would hit what turns, or bracket or sensor would stand in a belt."""
    assert job.bracket is not None
    t, slide = job.bracket.plate.thickness, drawn.layout.slide
    blocks = plate_blocks(drawn.regions, drawn.layout.bends, drawn.gussets, t)
    blocks += fastener_blocks(place, body, bolt_place(drawn.layout.tab_holes, drawn.regions[-1].frame, place), t)
    faults = Faults()
    room = clear.least_room(blocks, clear.turning_parts(job), slide)
    if room is not None and room.distance < clear.LEAST - 1e-6:
        faults.add(
            ("bracket", "mount_face") if room.what == "the arm" else ("sensor", "nose_length"),
            f"{room.what} would hit {room.land}: {room.words}",
            allowed=f"at least {clear.LEAST:.1f} mm",
            hint="through the whole travel of the slots, corners of bends taken as square",
        )
    belt = clear.belt_room(job, [*blocks, *nose_blocks(place)], slide)
    if belt is not None and belt.distance < clear.LEAST:
        faults.add(
            ("pulley", "belts", int(belt.land.split()[1]) - 1),
            f"{belt.what} of the bracket would stand in the belt: {belt.distance:.2f} mm between them",
            allowed=f"at least {clear.LEAST:.1f} mm from the belt's arc at its depth",
            hint="move sensor.at or the mounts out of the belt's arc, or change mount_face",
        )
    faults.raise_if_any()
