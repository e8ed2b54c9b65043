"""What stands still, the sensor and its bracket, and the printed gauge."""

from typing import Annotated, Any, Literal, Self

from pydantic import ConfigDict, Discriminator, Field, Tag, model_validator

from wheelcad.job.kinds import Number, Quantity, Whole
from wheelcad.job.section import (
    Angle,
    BlockMetal,
    Frequency,
    Length,
    Mass,
    NotNegative,
    PlateMetal,
    PointName,
    Positive,
    Section,
    Speed,
    Thread,
    Time,
    Volts,
    YesNo,
)


class SensorBolt(Section):
    """The bolt that holds a flange sensor."""

    hole: Positive = Field(description="bolt hole in the sensor's flange", examples=[6.6])
    offset: Positive = Field(description="from the body's centre to the bolt's centre", examples=[24])


class Level(Section):
    """One point of the signal, measured or from the data sheet: without it no volts are ever printed."""

    volts: Volts = Field(description="volts from peak to peak", examples=[1.2])
    at: Speed = Field(description="crank speed at which it was seen, rpm", examples=["100 rpm"])
    gap: Positive = Field(description="air gap at which it was seen", examples=[0.8])


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
        description="what the controller times on; left out: the leading edge for hall, the centre for reluctance and "
        "hall-differential",
        examples=["leading"],
    )
    senses: Literal["along-crank", "across", "any"] = Field(
        default="any",
        description="the direction of a two-element or chisel face, relative to the crank",
        examples=["any"],
    )
    element: Literal["pole", "hall-fixed", "hall-selfsetting", "hall-differential", "vane"] | None = Field(
        default=None,
        description="what senses: pole: a coil on a magnet; hall-fixed: switches at a fixed field; hall-selfsetting: "
        "at a share of the last swing; hall-differential: where two elements see the same; vane: iron passes between "
        "magnet and element; left out: pole for reluctance, hall-selfsetting for hall",
        examples=["hall-selfsetting"],
    )
    element_spacing: Positive | None = Field(
        default=None, description="hall-differential: between its two elements", examples=[2.5]
    )
    output: Literal["iron-low", "iron-high"] | None = Field(
        default=None, description="its electrical level with iron in front of it", examples=["iron-low"]
    )
    level: Level | None = Field(
        default=None,
        description="one measured or data-sheet point of the signal",
        examples=[{"volts": 1.2, "at": "100 rpm", "gap": 0.8}],
    )
    delay: Time | None = Field(
        default=None,
        description="from the edge at its face to the edge at its output; left out: assumed and printed so",
        examples=["10 us"],
    )
    least_tooth_rate: Annotated[float, Quantity("frequency", 0, 1e9)] | None = Field(
        default=None,
        description="the slowest teeth it sees, 0 when it reads a wheel at rest; left out: assumed and printed so",
        examples=["0 Hz"],
    )
    needs_teeth: Annotated[int, Whole(0, 720)] | None = Field(
        default=None,
        description="teeth that pass after it is switched on before its output is right; left out: assumed and printed "
        "so",
        examples=[0],
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

    model_config = ConfigDict(populate_by_name=True)

    name: PointName = Field(
        default="", description="what `survey` calls it; left out: m1, m2 and so on", examples=["m1"]
    )
    given_x: Length | None = Field(
        default=None,
        alias="x",
        description="to the right of the crank axis, facing the wheel; left out where `survey` has readings to it",
        examples=[-150],
    )
    given_y: Length | None = Field(
        default=None,
        alias="y",
        description="above the crank axis, up being the TDC line; left out where `survey` has readings to it",
        examples=[95],
    )
    hole: Positive = Field(description="clearance hole in the plate", examples=[10.5])
    thread: Thread | None = Field(default=None, description="the block's thread", examples=["M10"])

    @property
    def x(self) -> float:
        """Where it is, mm to the right of the crank axis; of a job whose places are settled (parts/places.py)."""
        return _settled(self.given_x, "x")

    @property
    def y(self) -> float:
        """Where it is, mm above the crank axis; of a job whose places are settled (parts/places.py)."""
        return _settled(self.given_y, "y")


def _settled(value: float | None, name: str) -> float:
    if value is None:
        raise ValueError(f"a mount's {name} was asked for before its place was settled")
    return value


class BehindFront(Section):
    """Where a face is, as a depth gauge on the pulley's front face reads it."""

    behind_front: Length = Field(
        description="from the pulley's front face as found to the face, positive towards the engine",
        examples=[38],
    )


def _z_or_depth(value: Any) -> str:
    return DEPTH_TAG if isinstance(value, dict | BehindFront) else Z_TAG


# How the models tell the two ways of writing where a face is; they begin with what no key of a file can hold.
Z_TAG, DEPTH_TAG = "\0z", "\0depth"
MountFace = Annotated[
    Annotated[Annotated[float, Quantity("length", -1000, 1000)], Tag(Z_TAG)] | Annotated[BehindFront, Tag(DEPTH_TAG)],
    Discriminator(_z_or_depth),
]
ThingFront = Annotated[
    Annotated[Length, Tag(Z_TAG)] | Annotated[BehindFront, Tag(DEPTH_TAG)], Discriminator(_z_or_depth)
]


class Obstacle(Section):
    """A thing in the way of the bracket: a belt's run, a cover, a pump. It is taken to stand round its point from the
    block out to z, engine frame."""

    model_config = ConfigDict(populate_by_name=True)

    name: PointName = Field(default="", description="what it is; left out: thing-1, thing-2", examples=["pump"])
    x: Length = Field(description="its middle, to the right of the crank axis, facing the wheel", examples=[-120])
    y: Length = Field(description="its middle, above the crank axis, up being the TDC line", examples=[60])
    front: ThingFront = Field(
        alias="z",
        description="how far it stands out: z of its front (0 is the middle of the tooth ring, positive towards you), "
        "or how far that lies behind the pulley's front face as found",
        examples=[-12, {"behind_front": 20}],
    )
    radius: NotNegative = Field(
        default=15, description="how far it reaches round its middle; 15 mm where nobody says", examples=[25]
    )

    @property
    def z(self) -> float:
        """z of its front, mm, of a job whose places are settled (parts/places.py)."""
        if isinstance(self.front, BehindFront):
            raise ValueError("an obstacle's z was asked for before its place was settled")
        return self.front


class HandBend(Section):
    """What your own test strip said."""

    allowance: Positive = Field(
        description="length of metal a bend takes up, measured from a bent test strip", examples=[11.2]
    )


class Bracket(Section):
    """The plate bracket that carries the sensor."""

    model_config = ConfigDict(populate_by_name=True)

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
    face: MountFace = Field(
        alias="mount_face",
        description="the face the plate bolts to: its z (0 is the middle of the tooth ring, positive towards you), or "
        "how far it lies behind the pulley's front face as found",
        examples=[-30, {"behind_front": 38}],
    )
    packing: NotNegative = Field(
        default=0,
        description="thickness of a packing piece planned between block and plate, alike under every mount: thinner "
        "or left out, the plate comes back towards the block",
        examples=[1.5],
    )
    block: BlockMetal | None = Field(
        default=None,
        description="what the bolts screw into: the thread's depth and the bolts' length follow",
        examples=["grey-iron"],
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
    obstacles: tuple[Obstacle, ...] = Field(
        default=(),
        max_length=40,
        description="things in the way that the bracket is to keep clear of",
        examples=[[{"name": "pump", "x": -120, "y": 60, "z": -12, "radius": 25}]],
    )
    hand_bend: HandBend | None = Field(
        default=None, description="bends by hand: figures from your own bent test strip", examples=[{"allowance": 11.2}]
    )

    @model_validator(mode="after")
    def _named(self) -> Self:
        """Mounts that carry no name are called m1, m2 and so on, by their place in the list."""
        if not all(mount.name for mount in self.mounts):
            named = (m if m.name else m.model_copy(update={"name": f"m{i}"}) for i, m in enumerate(self.mounts, 1))
            self.__dict__["mounts"] = tuple(named)
        if not all(thing.name for thing in self.obstacles):
            called = (
                o if o.name else o.model_copy(update={"name": f"thing-{i}"}) for i, o in enumerate(self.obstacles, 1)
            )
            self.__dict__["obstacles"] = tuple(called)
        return self

    @property
    def mount_face(self) -> float:
        """z of the block's face, mm, of a job whose places are settled (parts/places.py)."""
        if isinstance(self.face, BehindFront):
            raise ValueError("mount_face was asked for before its place was settled")
        return self.face

    @property
    def plate_back(self) -> float:
        """z of the plate's own back, mm: the block's face, or what is packed off it."""
        return self.mount_face + self.packing


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
    first_layer_setback: Annotated[float, Quantity("length", 0, 2)] = Field(
        default=0.4,
        description="how far edges on the printer's bed are set back, as high as that: first layers squash outwards",
        examples=[0.4],
    )
