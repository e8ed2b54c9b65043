"""How the wheel is balanced, and the machines of the shop it is made in."""

from typing import Annotated, Literal

from wheelcad.job.kinds import Quantity, Whole
from wheelcad.job.section import Angle, Mass, Positive, Section, YesNo, key, optional

FINEST_DIAL_DEG = 0.0001  # a third of a second of arc: finer than any handwheel or readout; our judgement


class LevelReading(Section):
    """What the finished wheel showed on level edges, its planned holes drilled."""

    putty: Mass = key("putty that brought it to rest anywhere", "2.1 g")
    radius: Positive = key("where it sat, from the axis", 60)
    at: Angle = key("where it sat, degrees from the TDC line the way the crank turns", "140 deg")


class Balance(Section):
    """How the missing teeth are balanced."""

    grade: Literal["G2.5", "G6.3", "G16", "G40"] = key("balance quality grade after ISO 21940-11", "G16", default="G16")
    correct_by: Literal["holes", "none"] = key(
        "holes: drill on the heavy side; none: report only", "holes", default="holes"
    )
    radius: Positive | None = optional("where the holes are drilled, from the axis; left out: found", 66)
    band: tuple[Positive, Positive] | None = optional(
        "least and greatest radius for the holes' centres, where you want them found within it", [55, 68]
    )
    largest_drill: Positive = key("largest drill you are willing to use", 8, default=8)
    faces: Literal["front", "back", "both"] = key(
        "faces you are willing to drill from; the front is the set-up the slots are cut in", "front", default="front"
    )
    as_found: Literal["known", "unknown"] = key(
        "known: the pulley was in balance as found, key in, and only what is cut counts; "
        "unknown: its keyway and bolt holes count as well",
        "known",
        default="known",
    )
    reading: LevelReading | None = optional(
        "what the finished wheel showed on level edges: the light side, from which more holes follow",
        {"putty": "2.1 g", "radius": 60, "at": "140 deg"},
    )
    recheck: LevelReading | None = optional(
        "the second reading, taken once the holes that follow from `reading` are drilled",
        {"putty": "0.3 g", "radius": 60, "at": "320 deg"},
    )
    turns_with: Mass | None = optional(
        "the mass that the standard's limit counts, such as the crank a plate wheel bolts to; left out: "
        "assumed for a plate from the engine's cylinders and printed so, a pulley's own",
        "18 kg",
    )


class RotaryTable(Section):
    """The rotary table or dividing head."""

    ratio: Annotated[int, Whole(1, 360)] = key("turns of the handwheel for one turn of the table", 40)
    dial_step: Annotated[float, Quantity("angle", FINEST_DIAL_DEG, 10)] = key(
        "smallest division of the handwheel's dial, in degrees of table", "0.05 deg", default=0.1
    )
    backlash: Annotated[float, Quantity("angle", 0, 10)] = key("lost motion, in degrees of table", "0.2 deg", default=0)
    plates: tuple[tuple[Annotated[int, Whole(2, 400)], ...], ...] = key(
        "dividing plates: the numbers of holes in the circles of each",
        [[15, 16, 17, 18, 19, 20], [21, 23, 27, 29, 31, 33]],
        default=(),
        max_length=16,
    )
    scale: Literal["clockwise", "anticlockwise"] | None = optional(
        "which way the numbers on the table's edge run, seen from above", "clockwise"
    )
    diameter: Positive | None = optional("of the table's face: how the work is held is judged with it", 150)
    centre_height: Positive | None = optional("of the table's axis above the mill's table when it stands on edge", 80)


class Cutter(Section):
    """The milling cutter for the slots."""

    diameter: Annotated[float, Quantity("length", 0.2, 100)] = key("of the cutter", 6)
    flutes: Annotated[int, Whole(1, 20)] = key("cutting edges", 4, default=4)
    material: Literal["hss", "carbide"] = key("of the cutter", "hss", default="hss")
    corner: Annotated[float, Quantity("length", 0, 10)] | None = optional(
        "radius of its corners, which a flat slot floor takes; left out: assumed and printed so", 0.2
    )
    stick_out: Positive | None = optional("from the holder's nose to the cutter's end", 25)
    holder_diameter: Positive | None = optional("of the holder's nose", 40)


class Printer(Section):
    """The 3D printer for the gauge."""

    bed: tuple[Positive, Positive] = key("printable size", [220, 220])
    nozzle: Positive = key("nozzle diameter", 0.4, default=0.4)


class Plasma(Section):
    """The plasma table."""

    kerf: Positive = key("width of the cut", 1.4)
    bend_marks: YesNo = key("mark bend lines on the flat", "no", default=False)
    compensate: YesNo = key(
        "also write the bracket's flat with half the kerf added outside and taken off holes, for a table "
        "whose program cannot",
        "no",
        default=False,
    )


class Shop(Section):
    """The machines in your shop."""

    rotary_table: RotaryTable | None = optional(
        "for the slots", {"ratio": 40, "dial_step": "0.05 deg", "backlash": "0.2 deg"}
    )
    cutter: Cutter | None = optional("for the slots", {"diameter": 6, "flutes": 4, "material": "hss"})
    printer: Printer | None = optional("for the gauge", {"bed": [220, 220], "nozzle": 0.4})
    plasma: Plasma | None = optional("for plate wheels and brackets", {"kerf": 1.4})
    drills: Literal["metric", "inch"] = key("the drill set you own", "metric", default="metric")
    slots_by: Literal["mill", "hand"] = key(
        "mill: with the rotary table; hand: marked from chords, drilled, sawn and filed", "mill", default="mill"
    )
    readout: YesNo = key("a digital readout: the cuts as X and Y from the wheel's centre as well", "yes", default=False)
    rotary_axis: YesNo = key(
        "a driven rotary axis: a short program that turns it to each cut and stops", "no", default=False
    )
