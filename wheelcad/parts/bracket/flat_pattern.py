"""A layout drawn out: arm, outline, regions and gussets, and the room they keep. What does not fit is a DesignError."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations

from wheelcad.errors import DesignError, Fault, Faults, Key
from wheelcad.job.models import Bracket, Job, Sensor
from wheelcad.parts.bracket import clear
from wheelcad.parts.bracket.along_shapes import Maker
from wheelcad.parts.bracket.arm import FILLET_RADII, NoArmError, arm_string
from wheelcad.parts.bracket.blocks import fastener_blocks, nose_blocks, plate_blocks
from wheelcad.parts.bracket.feasibility import KeepOut, TabStart, Task
from wheelcad.parts.bracket.flat import regions, whole_outline
from wheelcad.parts.bracket.gusset import (
    FLANGE_ROOM,
    LEAST_ANGLE,
    NESTED_APART,
    SHORTEST_LEG,
    corner_back,
    leg_choices,
    place_gussets,
    stands_on,
)
from wheelcad.parts.bracket.layout import BEND_MARGIN, Layout
from wheelcad.parts.bracket.model import Asked, Gusset, Region, bolt_place, hole_distance
from wheelcad.parts.sensor.design import SensorPlace
from wheelcad.trade.loop import Loop
from wheelcad.trade.tangent import NoTangentError, Round
from wheelcad.words import length

HOLE_SHARE = 0.5  # of the thickness: least plate between two holes
BESIDE = 1.2  # of a mount hole's diameter beyond the bend line's end: from there on it may lie beside the bend
NECK_SHARE = 0.6  # of the width: least band of plate from the bend to every mount
NECK_HOLES = 2.8  # of a mount hole's diameter: the band is never asked to be wider than this


@dataclass(frozen=True)
class FlatPattern:
    """A bracket's shape: layout, the flat's outline, its plane regions and gussets."""

    layout: Layout
    outline: Loop
    regions: tuple[Region, ...]
    gussets: tuple[Gusset, ...]


def draw(asked: Asked, maker: Maker) -> FlatPattern:
    """The layout drawn out, gussets included where wanted, and clear of everything. DesignError otherwise."""
    layout = maker(0.0)
    drawn = _plain(asked.job, asked.bracket, layout)
    _check_room(asked, drawn)
    if asked.bracket.gusset and layout.bends and layout.bends[0].angle_deg >= LEAST_ANGLE:
        return _with_gusset(asked, maker, drawn)
    return drawn


def unhindered(asked: Asked, maker: Maker) -> FlatPattern:
    """The layout drawn out without gussets and whatever stands in its way, to show what does. DesignError where it
    cannot be drawn at all."""
    return _plain(asked.job, asked.bracket, maker(0.0), hindered=False)


def _plain(job: Job, bracket: Bracket, layout: Layout, hindered: bool = True) -> FlatPattern:
    _check_holes(layout, bracket.plate.thickness)
    string = _arm(job, bracket, layout, hindered)
    try:
        return FlatPattern(layout, whole_outline(layout, string), regions(layout, string, bracket.plate.thickness), ())
    except NoTangentError:
        boss = layout.tab[-1]  # without one, the tab's straight sides always meet
        room = layout.tab_start - boss.x - boss.radius
        raise DesignError(
            Fault(
                f"leaves the plate round the sensor's bolt, which reaches past the tab's side, {length(room, 1)} from "
                f"the bend; the corner beside it needs {length(FILLET_RADII[-1], 1)} or more",
                key=("sensor", "bolt", "offset"),
                hint="turn the sensor (senses), widen the bracket, or give the arm more distance from the ring",
            )
        ) from None


def _check_holes(layout: Layout, thickness: float) -> None:
    """DesignError for holes that run into each other."""
    faults = Faults()
    least = HOLE_SHARE * thickness
    for a, b in combinations((*layout.tab_holes, *layout.mounts), 2):
        bridge = hole_distance(a, b)
        if a.region == b.region and bridge < least:
            faults.add(
                ("bracket", "mounts", b.mount - 1) if b.mount else ("sensor", "bolt", "offset"),
                f"brings {b.name} too near {a.name}: {length(bridge, 1)} of plate between the holes, slots included",
                allowed=f"{length(least, 1)} or more",
            )
    faults.raise_if_any()


def _with_gusset(asked: Asked, maker: Maker, plain: FlatPattern) -> FlatPattern:
    """Drawn with the largest gussets that stand on sound plate and clear of everything.

    Where the plain arm gives no footing, its straight sides are made as long as the gusset.
    """
    bracket, body = asked.bracket, asked.body
    trouble: DesignError | None = None
    for leg in leg_choices(plain.layout, body, bracket.plate.thickness):
        try:
            found = _on_footing(asked, plain, leg)
            if found is None:
                longer = _plain(asked.job, bracket, maker(leg[0] - corner_back(plain.layout.bends[0]) + 2.0))
                found = _on_footing(asked, longer, leg)
        except DesignError as error:
            trouble = error
            continue
        if found is not None:
            return found
    if trouble is not None:
        raise trouble
    width = 2 * (body.flange_radius + bracket.plate.thickness + FLANGE_ROOM)
    raise DesignError(
        Fault(
            f"has no room: beside the sensor and in the corner no gusset with {length(SHORTEST_LEG)} of weld on each "
            "leg stands on sound plate clear of the mounts' washers",
            key=("bracket", "gusset"),
            allowed=f"a width of {length(width, 1)} or more, and mounts further from the bend",
            hint="leave the gusset out, or widen the bracket",
        )
    )


def _on_footing(asked: Asked, drawn: FlatPattern, leg: tuple[float, float]) -> FlatPattern | None:
    """With gussets of these legs; None where no sound plate is under them. DesignError where they hit something."""
    t = asked.bracket.plate.thickness
    if not stands_on(drawn.regions[0], drawn.layout, leg, t):
        return None
    _, low, right, _ = drawn.outline.bounds()
    gussets = place_gussets(drawn.layout, drawn.layout.bends[0], leg, t, (right + NESTED_APART, low))
    drawn = replace(drawn, gussets=gussets)
    _check_room(asked, drawn)
    return drawn


def _arm(job: Job, bracket: Bracket, layout: Layout, hindered: bool) -> list[Round]:
    """The arm's string, kept off what turns by the aimed clearance, or by half of it where that is all there is; not
    hindered: straight through it."""
    start = TabStart(layout.start_x, layout.half) if layout.bends else None
    neck = min(NECK_SHARE * bracket.width, *(NECK_HOLES * hole.diameter for hole in layout.mounts))
    near = layout.tab_holes[0] if start is None else None
    first = (layout.start_x + 0.5, 0.0) if near is None else (near.x0, near.y0)
    anchors = (first, *((hole.x0, hole.y0) for hole in layout.mounts))
    fault: NoArmError | None = None
    for clearance in (clear.AIMED, clear.AIMED / 2):
        keep_outs = _keep_outs(job, layout, clearance) if hindered else ()
        task = Task(start, layout.mounts, keep_outs, anchors, neck)
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
                f"lies too near the bend: its hole or slot {_ends(gap)} the bent metal, and needs "
                f"{length(BEND_MARGIN * t, 1)} of plate; it has to be {length(BEND_MARGIN * t - gap, 1)} further from "
                f"the sensor{layout.why_there}",
                number,
            )


def _ends(gap: float) -> str:
    return f"ends {length(gap, 1)} short of" if gap >= 0 else f"reaches {length(-gap, 1)} into"


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


def check_nose(job: Job, sensor: Sensor, place: SensorPlace, faults: Faults) -> None:
    """The nose must run clear of what turns beside the ring, wherever the bracket goes, and without one."""
    beside = [land for land in clear.turning_parts(job) if land.name != "ring"]
    room = clear.least_room(nose_blocks(place), beside, clear.Slide(place.out[0], place.out[1], 0.0, 0.0))
    least = min(clear.LEAST, sensor.air_gap)
    if room is not None and room.distance < least - 1e-6:
        why = f"the sensor's nose would hit {room.land}: {room.words}"
        hint = "a slimmer sensor, or another place for it along the crank or in radius"
        faults.add(("sensor", "body_diameter"), why, allowed=f"at least {length(least, 1)}", hint=hint)


def _check_room(asked: Asked, drawn: FlatPattern) -> None:
    """DesignError when the bracket or its nuts would hit what turns, or bracket or sensor would stand in a belt."""
    job, place, t, slide = asked.job, asked.place, asked.bracket.plate.thickness, drawn.layout.slide
    blocks = plate_blocks(drawn.regions, drawn.layout.bends, drawn.gussets, t)
    blocks += fastener_blocks(place, asked.body, bolt_place(drawn.layout.tab_holes, drawn.regions[-1].frame, place), t)
    faults = Faults()
    room = clear.least_room(blocks, clear.turning_parts(job), slide)
    if room is not None and room.distance < clear.LEAST - 1e-6:
        faults.add(
            ("bracket", "mount_face") if room.what == "the arm" else ("sensor", "nose_length"),
            f"{room.what} would hit {room.land}: {room.words}",
            allowed=f"at least {length(clear.LEAST)}",
            hint="through the whole travel of the slots, corners of bends taken as square",
        )
    belt = clear.belt_room(job, [*blocks, *nose_blocks(place)], slide)
    if belt is not None and belt.distance < clear.LEAST:
        faults.add(
            ("pulley", "belts", belt.belt - 1),
            f"{belt.what} of the bracket would stand in the belt: {length(belt.distance)} between them",
            allowed=f"at least {length(clear.LEAST)} from the belt's arc at its depth",
            hint="move sensor.at or the mounts out of the belt's arc, or change mount_face",
        )
    faults.raise_if_any()
