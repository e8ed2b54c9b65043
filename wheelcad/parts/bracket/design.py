"""The bracket worked out from the sensor and the mounts: every number, no solid, no file.

What cannot exist or would collide is a DesignError that names the obstacle and the distance in the way; what can be
made but is poor is a Finding of the design.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from wheelcad.errors import DesignError, Fault, Faults, Key
from wheelcad.job.models import Bracket, Job, Sensor
from wheelcad.parts.bracket import clear
from wheelcad.parts.bracket.arm import KeepOut, NoArm, Start, arm_string
from wheelcad.parts.bracket.blocks import fastener_blocks, nose_blocks, plate_blocks
from wheelcad.parts.bracket.flat import hand_slits, regions, whole_outline
from wheelcad.parts.bracket.gusset import NESTED_APART, SHORTEST_LEG, leg_choices, place_gussets, stands_on
from wheelcad.parts.bracket.judge import judged, with_notes
from wheelcad.parts.bracket.judge_fit import bolt_point
from wheelcad.parts.bracket.l_shape import layout_l
from wheelcad.parts.bracket.layout import Layout, check_mount_holes
from wheelcad.parts.bracket.model import BracketDesign, Hole
from wheelcad.parts.bracket.stiffness import first_frequency
from wheelcad.parts.sensor.design import USUAL_MASS, SensorBody, SensorPlace, sensor_body, sensor_place
from wheelcad.trade.loop import Loop
from wheelcad.trade.materials import material
from wheelcad.trade.plasma import smallest_hole_mm
from wheelcad.trade.tangent import Round

NECK_SHARE = 0.6  # of the width: least band of plate from the bend to every mount


def design_bracket(job: Job) -> BracketDesign | None:
    """The bracket of the job; None without a bracket or a sensor section. Raises DesignError."""
    if job.bracket is None or job.sensor is None:
        return None
    place = sensor_place(job)
    body = sensor_body(job.sensor)
    faults = Faults()
    check_mount_holes(job, faults)
    faults.raise_if_any()
    return _finished(job, job.bracket, job.sensor, place, body)


def _finished(job: Job, bracket: Bracket, sensor: Sensor, place: SensorPlace, body: SensorBody) -> BracketDesign:
    """The design with its findings and notes."""
    design = _made(job, bracket, sensor, place, body)
    return with_notes(replace(design, findings=tuple(judged(job, design, place, body))), job, body)


def _made(job: Job, bracket: Bracket, sensor: Sensor, place: SensorPlace, body: SensorBody) -> BracketDesign:
    t = bracket.plate.thickness
    layout, string, leg = _drawn(job, bracket, place, body)
    parts = regions(layout, string, t)
    outline = whole_outline(layout, string)
    _, low, right, _ = outline.bounds()
    gussets = () if leg is None else place_gussets(layout, layout.bends[0], leg, t, (right + NESTED_APART, low))
    design = BracketDesign(
        shape=layout.shape,
        thickness=t,
        width=bracket.width,
        material=bracket.plate.material,
        density_kg_m3=material(bracket.plate.material).density_kg_m3,
        outline=outline,
        regions=parts,
        bends=layout.bends,
        holes=_marked(job, (*layout.tab_holes, *layout.mounts), t),
        slits=hand_slits(layout, t) if bracket.bends == "hand" else (),
        gussets=gussets,
        hand_bent=bracket.bends == "hand",
        bend_marks=job.shop.plasma is not None and job.shop.plasma.bend_marks,
        face=place.face,
        look=place.look,
        nose_length=place.nose_length,
        wheel_at=(job.wheel.outside_diameter if sensor.looks == "in" else job.wheel.thickness) / 2,
        mount_points=tuple((mount.x, mount.y) for mount in bracket.mounts),
        slide=(layout.slide.x, layout.slide.y, 0.0),
        travel_from=layout.slide.low,
        travel_to=layout.slide.high,
        gap=sensor.air_gap,
        mass_kg=0.0,
        flat_size=_size(outline),
        sensor_mass_kg=sensor.mass if sensor.mass is not None else USUAL_MASS,
        first_frequency_hz=0.0,
        frequency_method="",
    )
    _check_room(job, design, layout, place, body)
    gusset_volume = sum(g.loop.area * g.thickness for g in gussets)
    design = replace(design, mass_kg=(design.folded_volume + gusset_volume) * design.density_kg_m3 * 1e-9)
    hz, method = first_frequency(design)
    return replace(design, first_frequency_hz=hz, frequency_method=method)


def _size(outline: Loop) -> tuple[float, float]:
    x0, y0, x1, y1 = outline.bounds()
    return x1 - x0, y1 - y0


def _marked(job: Job, holes: Sequence[Hole], thickness: float) -> tuple[Hole, ...]:
    """The holes, those too small for the plasma table turned into centre marks for a drill."""
    if job.shop.plasma is None:
        return tuple(holes)
    least = smallest_hole_mm(thickness)
    return tuple(replace(hole, drill=hole.diameter < least) for hole in holes)


def _drawn(
    job: Job, bracket: Bracket, place: SensorPlace, body: SensorBody
) -> tuple[Layout, list[Round], tuple[float, float] | None]:
    """Layout, arm and, where a gusset is wanted, the legs of the largest that stands clear on sound plate."""
    layout = layout_l(job, place, body, 0.0)
    if not bracket.gusset or not layout.bends:
        return layout, _arm(job, bracket, layout), None
    choices = leg_choices(layout, body, bracket.plate.thickness)
    trouble: DesignError | None = None
    for leg in choices:
        for shank in (0.0, leg[0] - bracket.plate.inside_radius + 2.0):
            layout = layout_l(job, place, body, shank)
            try:
                string = _arm(job, bracket, layout)
            except DesignError as error:
                trouble = error
                continue
            if stands_on(regions(layout, string, bracket.plate.thickness)[0], layout, leg, bracket.plate.thickness):
                return layout, string, leg
    if choices and trouble is not None:
        raise trouble
    raise DesignError(
        Fault(
            f"has no room: beside the sensor's flange and under the tab no gusset with legs of {SHORTEST_LEG:.0f} mm weld or "
            "more stands on sound plate clear of the mounts' washers",
            key=("bracket", "gusset"),
            allowed=f"a width of {2 * (body.flange_radius + bracket.plate.thickness + 1.0):.1f} mm or more, mounts further off",
            hint="leave the gusset out, or widen the bracket",
        )
    )


def _arm(job: Job, bracket: Bracket, layout: Layout) -> list[Round]:
    """The arm's string, kept off what turns by the aimed clearance, or by half of it where that is all there is."""
    start = Start(layout.start_x, layout.half)
    fault: NoArm | None = None
    for clearance in (clear.AIMED, clear.AIMED / 2):
        keep_outs = _keep_outs(job, layout, clearance)
        neck = min(NECK_SHARE * bracket.width, *(2.0 * 1.4 * hole.diameter for hole in layout.mounts))
        try:
            return arm_string(start, layout.mounts, keep_outs, neck)
        except NoArm as error:
            fault = error
    assert fault is not None
    key: Key = ("bracket", "mounts") if fault.mount is None else ("bracket", "mounts", fault.mount)
    raise DesignError(
        Fault(
            fault.reason if fault.mount is not None else f"cannot be reached: {fault.reason}",
            key=key,
            hint="use other mounts, another sensor.at, or a mount_face clear of what turns",
        )
    )


def _keep_outs(job: Job, layout: Layout, clearance: float) -> list[KeepOut]:
    lands = clear.lands_beside(job, *layout.arm_z, clearance)
    if not lands:
        return []
    land = max(lands, key=lambda item: item.radius)
    slide = layout.slide
    middle = (slide.low + slide.high) / 2
    x, y, _ = layout.arm_frame.back((-middle * slide.x, -middle * slide.y, layout.arm_frame.origin[2])).tolist()
    radius = land.radius + clearance + (slide.high - slide.low) / 2
    return [KeepOut(float(x), float(y), radius, clear.name_of(land))]


def _check_room(job: Job, design: BracketDesign, layout: Layout, place: SensorPlace, body: SensorBody) -> None:
    """DesignError when bracket, nose or nut would hit what turns, or stand in a belt."""
    lands = clear.rotating_lands(job)
    plate = plate_blocks(design.regions, design.bends, design.gussets, design.thickness)
    nuts = fastener_blocks(place, body, bolt_point(design), design.thickness)
    still = clear.Slide(layout.slide.x, layout.slide.y, 0.0, 0.0)
    beside = [land for land in lands if land.name != "ring"]
    faults = Faults()
    checks = (
        (clear.least_room([*plate, *nuts], lands, layout.slide), clear.LEAST),
        (clear.least_room(nose_blocks(place), beside, still), min(clear.LEAST, design.gap)),
    )
    for room, least in checks:
        if room is not None and room.distance < least - 1e-6:
            faults.add(
                _blame(room),
                f"{room.what} would hit {room.land}: {room.distance:.2f} mm between them",
                allowed=f"at least {least:.1f} mm",
                hint="through the whole travel of the slots, corners of bends taken as square",
            )
    belt = clear.belt_room(job, [*plate, *nuts, *nose_blocks(place)], layout.slide)
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
