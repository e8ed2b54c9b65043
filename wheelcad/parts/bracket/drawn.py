"""A layout drawn out: arm, outline, regions and gussets, and the room they keep. What does not fit is a DesignError."""

from __future__ import annotations

from dataclasses import dataclass

from wheelcad.errors import DesignError, Fault, Faults, Key
from wheelcad.job.models import Bracket, Job
from wheelcad.parts.bracket import clear
from wheelcad.parts.bracket.along_shapes import Maker
from wheelcad.parts.bracket.arm import NoArmError, arm_string
from wheelcad.parts.bracket.blocks import fastener_blocks, nose_blocks, plate_blocks
from wheelcad.parts.bracket.flat import regions, whole_outline
from wheelcad.parts.bracket.gusset import NESTED_APART, SHORTEST_LEG, leg_choices, place_gussets, stands_on
from wheelcad.parts.bracket.layout import BEND_MARGIN, Layout
from wheelcad.parts.bracket.model import Gusset, Hole, Region, bolt_place
from wheelcad.parts.bracket.sound import KeepOut, Start, Task
from wheelcad.parts.sensor.design import SensorBody, SensorPlace
from wheelcad.parts.stack import rotating_lands
from wheelcad.trade.loop import Loop
from wheelcad.trade.tangent import NoTangentError, Round

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
    plain = maker(0.0)
    if bracket.gusset and plain.bends and plain.bends[0].angle_deg == 90.0:
        drawn = _with_gusset(job, bracket, body, maker, plain)
    else:
        drawn = _plain(job, bracket, plain)
    _check_room(job, drawn, place, body)
    return drawn


def _plain(job: Job, bracket: Bracket, layout: Layout) -> Drawn:
    string = _arm(job, bracket, layout)
    try:
        return Drawn(layout, whole_outline(layout, string), regions(layout, string, bracket.plate.thickness), ())
    except (NoArmError, NoTangentError):
        raise DesignError(
            Fault(
                "the plate round the sensor's bolt reaches into the bend",
                key=("sensor", "bolt", "offset"),
                hint="turn the sensor (senses), or give the arm more distance from the ring",
            )
        ) from None


def _with_gusset(job: Job, bracket: Bracket, body: SensorBody, maker: Maker, plain: Layout) -> Drawn:
    """Drawn with the largest gussets that stand clear on sound plate."""
    t, r = bracket.plate.thickness, bracket.plate.inside_radius
    choices = leg_choices(plain, body, t)
    trouble: DesignError | None = None
    for leg in choices:
        for shank in (0.0, leg[0] - r + 2.0):
            try:
                drawn = _plain(job, bracket, maker(shank))
            except DesignError as error:
                trouble = error
                continue
            if stands_on(drawn.regions[0], drawn.layout, leg, t):
                _, low, right, _ = drawn.outline.bounds()
                nested = (right + NESTED_APART, low)
                gussets = place_gussets(drawn.layout, drawn.layout.bends[0], leg, t, nested)
                return Drawn(drawn.layout, drawn.outline, drawn.regions, gussets)
    if choices and trouble is not None:
        raise trouble
    raise DesignError(
        Fault(
            f"has no room: beside the sensor and in the corner no gusset with legs of {SHORTEST_LEG:.0f} mm weld "
            "or more "
            "stands on sound plate clear of the mounts' washers",
            key=("bracket", "gusset"),
            allowed=f"a width of {2 * (body.flange_radius + t + 1.0):.1f} mm or more, and mounts further from the bend",
            hint="leave the gusset out, or widen the bracket",
        )
    )


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
        if y > layout.half + hole.diameter and x > bend.x_arm:
            continue
        gap = x - hole.diameter / 2 - bend.x_arm
        if gap < BEND_MARGIN * t:
            raise NoArmError(
                f"lies too near the bend: its hole or slot {_ends(hole, gap)} the bent metal, and needs "
                f"{BEND_MARGIN * t:.1f} mm of "
                f"plate; it has to be {BEND_MARGIN * t - gap:.1f} mm further from the tab, or adjust that much less",
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


def _check_room(job: Job, drawn: Drawn, place: SensorPlace, body: SensorBody) -> None:
    """DesignError when bracket, nose or nut would hit what turns, or stand in a belt."""
    assert job.sensor is not None
    assert job.bracket is not None
    t, slide = job.bracket.plate.thickness, drawn.layout.slide
    lands = rotating_lands(job)
    plate = plate_blocks(drawn.regions, drawn.layout.bends, drawn.gussets, t)
    nuts = fastener_blocks(place, body, bolt_place(drawn.layout.tab_holes, drawn.regions[-1].frame, place), t)
    nose = nose_blocks(place)
    still = clear.Slide(slide.x, slide.y, 0.0, 0.0)
    beside = [land for land in lands if land.name != "ring"]
    faults = Faults()
    checks = (
        (clear.least_room([*plate, *nuts], lands, slide), clear.LEAST),
        (clear.least_room(nose, beside, still), min(clear.LEAST, job.sensor.air_gap)),
    )
    for room, least in checks:
        if room is not None and room.distance < least - 1e-6:
            faults.add(
                _blame(room),
                f"{room.what} would hit {room.land}: {room.distance:.2f} mm between them",
                allowed=f"at least {least:.1f} mm",
                hint="through the whole travel of the slots, corners of bends taken as square",
            )
    belt = clear.belt_room(job, [*plate, *nuts, *nose], slide)
    if belt is not None and belt.distance < clear.LEAST:
        faults.add(
            ("pulley", "belts", int(belt.land.split()[1]) - 1),
            f"{belt.what} of the bracket would stand in the belt: {belt.distance:.2f} mm between them",
            allowed=f"at least {clear.LEAST:.1f} mm from the belt's arc at its depth",
            hint="move sensor.at or the mounts out of the belt's arc, or change mount_face",
        )
    faults.raise_if_any()


def _blame(room: clear.Room) -> Key:
    if room.what == "the sensor's nose":
        return ("sensor", "body_diameter")
    return ("bracket", "mount_face") if room.what == "the arm" else ("sensor", "nose_length")
