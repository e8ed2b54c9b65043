"""What stands still, the sensor and its bracket, and the printed gauge."""

from typing import Annotated, Literal

from pydantic import ConfigDict, Field

from wheelcad.job.kinds import Number, Quantity
from wheelcad.job.section import (
    Angle,
    Frequency,
    Length,
    Mass,
    NotNegative,
    PlateMetal,
    Positive,
    Section,
    Thread,
    YesNo,
)


class SensorBolt(Section):
    """The bolt that holds a flange sensor."""

    hole: Positive = Field(description="bolt hole in the sensor's flange", examples=[6.6])
    offset: Positive = Field(description="from the body's centre to the bolt's centre", examples=[24])


class Sensor(Section):
    """The sensor that reads the teeth."""

    kind: Literal["hall", "reluctance"] = Field(description="hall, or reluctance (magnetic pickup)", examples=["hall"])
    looks: Literal["in", "along"] = Field(
        default="in", description="in: at the rim, towards the axis; along: at the wheel's side face", examples=["in"]
    )
    from_: Literal["front", "back"] = Field(
        default="front", alias="from", description="looks along: which side it stands on", examples=["front"]
    )
    radius: Positive | None = Field(
        default=None, description="looks along: where it looks; left out: the middle of the slot depth", examples=[76]
    )
    at: Angle = Field(
        description="where it sits, degrees from the TDC line the way the crank turns", examples=["310 deg"]
    )
    air_gap: Positive = Field(default=0.8, description="from sensing face to tooth", examples=[0.8])
    air_gap_range: tuple[Positive, Positive] | None = Field(
        default=None, description="least and greatest gap the sensor allows", examples=[[0.5, 1.5]]
    )
    face_diameter: Positive | None = Field(default=None, description="the part of the nose that senses", examples=[6])
    body_diameter: Positive | None = Field(
        default=None, description="the hole it passes through, before clearance", examples=[18]
    )
    nose_length: Positive | None = Field(default=None, description="mounting face to sensing face", examples=[25])
    bolt: SensorBolt | None = Field(
        default=None, description="the fixing bolt of a flange sensor", examples=[{"hole": 6.6, "offset": 24}]
    )
    thread: Thread | None = Field(
        default=None, description="the thread of a barrel sensor with two nuts, instead of `bolt`", examples=["M12x1"]
    )
    mass: Mass | None = Field(
        default=None, description="of the sensor and its lead's first hand's width", examples=["60 g"]
    )
    max_tooth_rate: Frequency | None = Field(
        default=None, description="the fastest teeth it can follow", examples=["15 kHz"]
    )
    times_on: Literal["leading", "trailing", "centre"] | None = Field(
        default=None,
        description="what the controller times on; left out: leading edge for hall, centre for reluctance",
        examples=["leading"],
    )
    senses: Literal["along-crank", "across", "any"] = Field(
        default="any",
        description="the direction of a two-element or chisel face, relative to the crank",
        examples=["any"],
    )

    model_config = ConfigDict(populate_by_name=True)


class Plate(Section):
    """The plate the bracket is cut from."""

    thickness: Positive = Field(description="of the plate", examples=["3/16 in"])
    material: PlateMetal = Field(default="mild-steel", description="of the plate", examples=["mild-steel"])
    inside_radius: NotNegative = Field(description="of the bends", examples=[5])
    k_factor: Annotated[float, Number(0, 0.5)] | None = Field(
        default=None,
        description="place of the neutral fibre as a share of the thickness; left out: DIN 6935",
        examples=[0.4],
    )


class Mount(Section):
    """A threaded hole in the block that the bracket bolts to, engine frame."""

    x: Length = Field(description="to the right of the crank axis, facing the wheel", examples=[-150])
    y: Length = Field(description="above the crank axis, up being the TDC line", examples=[95])
    hole: Positive = Field(description="clearance hole in the plate", examples=[10.5])
    thread: Thread | None = Field(default=None, description="the block's thread", examples=["M10"])


class HandBend(Section):
    """What your own test strip said."""

    allowance: Positive = Field(
        description="length of metal a bend takes up, measured from a bent test strip", examples=[11.2]
    )


class Bracket(Section):
    """The plate bracket that carries the sensor."""

    plate: Plate = Field(
        description="the plate it is cut from",
        examples=[{"thickness": "3/16 in", "material": "mild-steel", "inside_radius": 5}],
    )
    mounts: tuple[Mount, ...] = Field(
        min_length=1,
        max_length=8,
        description="threaded holes in the block",
        examples=[[{"x": -150, "y": 95, "hole": 10.5}, {"x": -150, "y": 150, "hole": 10.5}]],
    )
    mount_face: Annotated[float, Quantity("length", -1000, 1000)] = Field(
        description="z of the face the plate bolts to (0 is the middle of the tooth ring, positive towards you)",
        examples=[-30],
    )
    width: Annotated[float, Quantity("length", 0, 500, above=True)] = Field(
        description="of the tab and the bend line", examples=[45]
    )
    adjust: NotNegative = Field(
        default=6,
        description="total slot travel along the sensor's axis, outwards from the nominal gap",
        examples=[6],
    )
    adjust_along: NotNegative = Field(
        default=0, description="slot travel along the crank, to line the sensor up with the ring", examples=[2]
    )
    bends: Literal["hand", "brake"] = Field(
        default="brake",
        description="hand: slit on the bend line, bent by hand, welded; brake: pressed",
        examples=["hand"],
    )
    gusset: YesNo = Field(default=False, description="a welded stiffening plate in the corner", examples=["yes"])
    hand_bend: HandBend | None = Field(
        default=None, description="bends by hand: figures from your own bent test strip", examples=[{"allowance": 11.2}]
    )


class Gauge(Section):
    """The printed layout gauge."""

    thickness: Positive = Field(default=4, description="of the printed plate", examples=[4])
    style: Literal["outline", "windows", "comb"] = Field(
        default="outline",
        description="outline: the wheel's own outline; windows: pencil windows; comb: fingers for cut slots",
        examples=["outline"],
    )
    hole_allowance: Annotated[float, Quantity("length", -1, 2)] = Field(
        default=0.2, description="added to the diameter of printed holes, on top of the pulley's hole", examples=[0.25]
    )
    covers: Annotated[float, Quantity("angle", 0, 360, above=True)] = Field(
        default=360, description="how much of the circle it covers, centred on the gap", examples=["360 deg"]
    )
    outline_allowance: Annotated[float, Quantity("length", -1, 1)] = Field(
        default=0,
        description="how far printed outlines stand outside their place, less than 0 for a printer that prints fat",
        examples=[-0.1],
    )
    clearance: Annotated[float, Quantity("length", 0, 2, above=True)] = Field(
        default=0.2,
        description="comb: how much narrower its fingers are than the slots, and how much wider its no-go tongue",
        examples=[0.2],
    )
    shrinkage: Annotated[float, Number(0, 3)] | None = Field(
        default=None,
        description="per cent a print shrinks in cooling, by which gauge.3mf is larger; about 0.2 for PLA, "
        "none when left out",
        examples=[0.2],
    )
    elephant_foot: Annotated[float, Quantity("length", 0, 2)] = Field(
        default=0.4,
        description="how far edges on the printer's bed are set back, as high as that: first layers squash outwards",
        examples=[0.4],
    )
