"""How the wheel is balanced, and the machines of the shop it is made in."""

from typing import Annotated, Literal

from pydantic import Field

from wheelcad.job.kinds import Quantity, Whole
from wheelcad.job.section import Angle, Mass, Positive, Section, YesNo

FINEST_DIAL_DEG = 0.0001  # a third of a second of arc: finer than any handwheel or readout; our judgement


class LevelReading(Section):
    """What the finished wheel showed on level edges, its planned holes drilled."""

    putty: Mass = Field(description="putty that brought it to rest anywhere", examples=["2.1 g"])
    radius: Positive = Field(description="where it sat, from the axis", examples=[60])
    at: Angle = Field(
        description="where it sat, degrees from the TDC line the way the crank turns", examples=["140 deg"]
    )


class Balance(Section):
    """How the missing teeth are balanced."""

    grade: Literal["G2.5", "G6.3", "G16", "G40"] = Field(
        default="G16", description="balance quality grade after ISO 21940-11", examples=["G16"]
    )
    correct_by: Literal["holes", "none"] = Field(
        default="holes", description="holes: drill on the heavy side; none: report only", examples=["holes"]
    )
    radius: Positive | None = Field(
        default=None, description="where the holes are drilled, from the axis; left out: found", examples=[66]
    )
    band: tuple[Positive, Positive] | None = Field(
        default=None,
        description="least and greatest radius for the holes' centres, where you want them found within it",
        examples=[[55, 68]],
    )
    largest_drill: Positive = Field(default=8, description="largest drill you are willing to use", examples=[8])
    faces: Literal["front", "back", "both"] = Field(
        default="front",
        description="faces you are willing to drill from; the front is the set-up the slots are cut in",
        examples=["front"],
    )
    as_found: Literal["known", "unknown"] = Field(
        default="known",
        description="known: the pulley was in balance as found, key in, and only what is cut counts; "
        "unknown: its keyway and bolt holes count as well",
        examples=["known"],
    )
    reading: LevelReading | None = Field(
        default=None,
        description="what the finished wheel showed on level edges: the light side, from which more holes follow",
        examples=[{"putty": "2.1 g", "radius": 60, "at": "140 deg"}],
    )
    recheck: LevelReading | None = Field(
        default=None,
        description="the second reading, taken once the holes that follow from `reading` are drilled",
        examples=[{"putty": "0.3 g", "radius": 60, "at": "320 deg"}],
    )
    turns_with: Mass | None = Field(
        default=None,
        description="the mass that the standard's limit counts, such as the crank a plate wheel bolts to; left out: "
        "assumed for a plate from the engine's cylinders and printed so, a pulley's own",
        examples=["18 kg"],
    )


class RotaryTable(Section):
    """The rotary table or dividing head."""

    ratio: Annotated[int, Whole(1, 360)] = Field(
        description="turns of the handwheel for one turn of the table", examples=[40]
    )
    dial_step: Annotated[float, Quantity("angle", FINEST_DIAL_DEG, 10)] = Field(
        default=0.1, description="smallest division of the handwheel's dial, in degrees of table", examples=["0.05 deg"]
    )
    backlash: Annotated[float, Quantity("angle", 0, 10)] = Field(
        default=0, description="lost motion, in degrees of table", examples=["0.2 deg"]
    )
    plates: tuple[tuple[Annotated[int, Whole(2, 400)], ...], ...] = Field(
        default=(),
        max_length=16,
        description="dividing plates: the numbers of holes in the circles of each",
        examples=[[[15, 16, 17, 18, 19, 20], [21, 23, 27, 29, 31, 33]]],
    )
    scale: Literal["clockwise", "anticlockwise"] | None = Field(
        default=None,
        description="which way the numbers on the table's edge run, seen from above",
        examples=["clockwise"],
    )
    diameter: Positive | None = Field(
        default=None, description="of the table's face: how the work is held is judged with it", examples=[150]
    )
    centre_height: Positive | None = Field(
        default=None, description="of the table's axis above the mill's table when it stands on edge", examples=[80]
    )


class Cutter(Section):
    """The milling cutter for the slots."""

    diameter: Annotated[float, Quantity("length", 0.2, 100)] = Field(description="of the cutter", examples=[6])
    flutes: Annotated[int, Whole(1, 20)] = Field(default=4, description="cutting edges", examples=[4])
    material: Literal["hss", "carbide"] = Field(default="hss", description="of the cutter", examples=["hss"])
    corner: Annotated[float, Quantity("length", 0, 10)] | None = Field(
        default=None,
        description="radius of its corners, which a flat slot floor takes; left out: assumed and printed so",
        examples=[0.2],
    )
    stick_out: Positive | None = Field(
        default=None, description="from the holder's nose to the cutter's end", examples=[25]
    )
    holder_diameter: Positive | None = Field(default=None, description="of the holder's nose", examples=[40])


class Printer(Section):
    """The 3D printer for the gauge."""

    bed: tuple[Positive, Positive] = Field(description="printable size", examples=[[220, 220]])
    nozzle: Positive = Field(default=0.4, description="nozzle diameter", examples=[0.4])


class Plasma(Section):
    """The plasma table."""

    kerf: Positive = Field(description="width of the cut", examples=[1.4])
    bend_marks: YesNo = Field(default=False, description="mark bend lines on the flat", examples=["no"])
    compensate: YesNo = Field(
        default=False,
        description="also write the bracket's flat with half the kerf added outside and taken off holes, for a table "
        "whose program cannot",
        examples=["no"],
    )


class Shop(Section):
    """The machines in your shop."""

    rotary_table: RotaryTable | None = Field(
        default=None,
        description="for the slots",
        examples=[{"ratio": 40, "dial_step": "0.05 deg", "backlash": "0.2 deg"}],
    )
    cutter: Cutter | None = Field(
        default=None, description="for the slots", examples=[{"diameter": 6, "flutes": 4, "material": "hss"}]
    )
    printer: Printer | None = Field(
        default=None, description="for the gauge", examples=[{"bed": [220, 220], "nozzle": 0.4}]
    )
    plasma: Plasma | None = Field(default=None, description="for plate wheels and brackets", examples=[{"kerf": 1.4}])
    drills: Literal["metric", "inch"] = Field(
        default="metric", description="the drill set you own", examples=["metric"]
    )
    slots_by: Literal["mill", "hand"] = Field(
        default="mill",
        description="mill: with the rotary table; hand: marked from chords, drilled, sawn and filed",
        examples=["mill"],
    )
    readout: YesNo = Field(
        default=False,
        description="a digital readout: the cuts as X and Y from the wheel's centre as well",
        examples=["yes"],
    )
    rotary_axis: YesNo = Field(
        default=False,
        description="a driven rotary axis: a short program that turns it to each cut and stops",
        examples=["no"],
    )
