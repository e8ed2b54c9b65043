"""What stands still, the sensor and its bracket, and the printed gauge."""

from typing import Annotated, Any, Literal, Self

from pydantic import ConfigDict, Discriminator, Tag, model_validator

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
    key,
    optional,
)


class SensorBolt(Section):
    """The bolt that holds a flange sensor."""

    hole: Positive = key("bolt hole in the sensor's flange", 6.6)
    offset: Positive = key("from the body's centre to the bolt's centre", 24)


class Level(Section):
    """One point of the signal, measured or from the data sheet: without it no volts are ever printed."""

    volts: Volts = key("volts from peak to peak", 1.2)
    at: Speed = key("crank speed at which it was seen, rpm", "100 rpm")
    gap: Positive = key("air gap at which it was seen", 0.8)


class Sensor(Section):
    """The sensor that reads the teeth."""

    kind: Literal["hall", "reluctance"] = key("hall, or reluctance (magnetic pickup)", "hall")
    looks: Literal["in", "along"] = key(
        "in: at the rim, towards the axis; along: at the wheel's side face", "in", default="in"
    )
    from_: Literal["front", "back"] = key(
        "looks along: which side it stands on", "front", default="front", alias="from"
    )
    radius: Positive | None = optional("looks along: where it looks; left out: the middle of the slot depth", 76)
    at: Angle = key("where it sits, degrees from the TDC line the way the crank turns", "310 deg")
    air_gap: Positive = key("from sensing face to tooth", 0.8, default=0.8)
    air_gap_range: tuple[Positive, Positive] | None = optional("least and greatest gap the sensor allows", [0.5, 1.5])
    face_diameter: Positive | None = optional("the part of the nose that senses", 6)
    body_diameter: Positive | None = optional("the hole it passes through, before clearance", 18)
    nose_length: Positive | None = optional("mounting face to sensing face", 25)
    bolt: SensorBolt | None = optional("the fixing bolt of a flange sensor", {"hole": 6.6, "offset": 24})
    thread: Thread | None = optional("the thread of a barrel sensor with two nuts, instead of `bolt`", "M12x1")
    mass: Mass | None = optional("of the sensor and its lead's first hand's width", "60 g")
    max_tooth_rate: Frequency | None = optional("the fastest teeth it can follow", "15 kHz")
    times_on: Literal["leading", "trailing", "centre"] | None = optional(
        "what the controller times on; left out: the leading edge for hall, the centre for reluctance and "
        "hall-differential",
        "leading",
    )
    senses: Literal["along-crank", "across", "any"] = key(
        "the direction of a two-element or chisel face, relative to the crank", "any", default="any"
    )
    element: Literal["pole", "hall-fixed", "hall-selfsetting", "hall-differential", "vane"] | None = optional(
        "what senses: pole: a coil on a magnet; hall-fixed: switches at a fixed field; hall-selfsetting: "
        "at a share of the last swing; hall-differential: where two elements see the same; vane: iron passes between "
        "magnet and element; left out: pole for reluctance, hall-selfsetting for hall",
        "hall-selfsetting",
    )
    element_spacing: Positive | None = optional("hall-differential: between its two elements", 2.5)
    output: Literal["iron-low", "iron-high"] | None = optional(
        "its electrical level with iron in front of it", "iron-low"
    )
    level: Level | None = optional(
        "one measured or data-sheet point of the signal", {"volts": 1.2, "at": "100 rpm", "gap": 0.8}
    )
    delay: Time | None = optional(
        "from the edge at its face to the edge at its output; left out: assumed and printed so", "10 us"
    )
    least_tooth_rate: Annotated[float, Quantity("frequency", 0, 1e9)] | None = optional(
        "the slowest teeth it sees, 0 when it reads a wheel at rest; left out: assumed and printed so", "0 Hz"
    )
    needs_teeth: Annotated[int, Whole(0, 720)] | None = optional(
        "teeth that pass after it is switched on before its output is right; left out: assumed and printed so", 0
    )

    model_config = ConfigDict(populate_by_name=True)


class Plate(Section):
    """The plate the bracket is cut from."""

    thickness: Positive = key("of the plate", "3/16 in")
    material: PlateMetal = key("of the plate", "mild-steel", default="mild-steel")
    inside_radius: NotNegative = key("of the bends", 5)
    k_factor: Annotated[float, Number(0, 0.5)] | None = optional(
        "place of the neutral fibre as a share of the thickness; left out: DIN 6935", 0.4
    )


class Mount(Section):
    """A threaded hole in the block that the bracket bolts to, engine frame."""

    model_config = ConfigDict(populate_by_name=True)

    name: PointName = key("what `survey` calls it; left out: m1, m2 and so on", "m1", default="")
    given_x: Length | None = optional(
        "to the right of the crank axis, facing the wheel; left out where `survey` has readings to it", -150, alias="x"
    )
    given_y: Length | None = optional(
        "above the crank axis, up being the TDC line; left out where `survey` has readings to it", 95, alias="y"
    )
    hole: Positive = key("clearance hole in the plate", 10.5)
    thread: Thread | None = optional("the block's thread", "M10")

    @property
    def x(self) -> float:
        """Where it is, mm to the right of the crank axis; of a job whose places are settled (parts/places.py)."""
        return _settled(self.given_x, "a mount's x")

    @property
    def y(self) -> float:
        """Where it is, mm above the crank axis; of a job whose places are settled (parts/places.py)."""
        return _settled(self.given_y, "a mount's y")


class BehindFront(Section):
    """Where a face is, as a depth gauge on the pulley's front face reads it."""

    behind_front: Length = key("from the pulley's front face as found to the face, positive towards the engine", 38)


def _settled(value: float | BehindFront | None, name: str) -> float:
    if value is None or isinstance(value, BehindFront):
        raise ValueError(f"{name} was asked for before its place was settled")
    return value


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

    name: PointName = key("what it is; left out: thing-1, thing-2", "pump", default="")
    x: Length = key("its middle, to the right of the crank axis, facing the wheel", -120)
    y: Length = key("its middle, above the crank axis, up being the TDC line", 60)
    front: ThingFront = key(
        "how far it stands out: z of its front (0 is the middle of the tooth ring, positive towards you), "
        "or how far that lies behind the pulley's front face as found",
        -12,
        {"behind_front": 20},
        alias="z",
    )
    radius: NotNegative = key("how far it reaches round its middle; 15 mm where nobody says", 25, default=15)

    @property
    def z(self) -> float:
        """z of its front, mm, of a job whose places are settled (parts/places.py)."""
        return _settled(self.front, "an obstacle's z")


class HandBend(Section):
    """What your own test strip said."""

    allowance: Positive = key("length of metal a bend takes up, measured from a bent test strip", 11.2)


class Bracket(Section):
    """The plate bracket that carries the sensor."""

    model_config = ConfigDict(populate_by_name=True)

    plate: Plate = key(
        "the plate it is cut from", {"thickness": "3/16 in", "material": "mild-steel", "inside_radius": 5}
    )
    mounts: tuple[Mount, ...] = key(
        "threaded holes in the block",
        [{"x": -150, "y": 95, "hole": 10.5}, {"x": -150, "y": 150, "hole": 10.5}],
        min_length=1,
        max_length=8,
    )
    face: MountFace = key(
        "the face the plate bolts to: its z (0 is the middle of the tooth ring, positive towards you), or "
        "how far it lies behind the pulley's front face as found",
        -30,
        {"behind_front": 38},
        alias="mount_face",
    )
    packing: NotNegative = key(
        "thickness of a packing piece planned between block and plate, alike under every mount: thinner or left out, "
        "the plate comes back towards the block",
        1.5,
        default=0,
    )
    block: BlockMetal | None = optional(
        "what the bolts screw into: the thread's depth and the bolts' length follow", "grey-iron"
    )
    width: Annotated[float, Quantity("length", 0, 500, above=True)] = key("of the tab and the bend line", 45)
    adjust: NotNegative = key("total slot travel along the sensor's axis, outwards from the nominal gap", 6, default=6)
    adjust_along: NotNegative = key("slot travel along the crank, to line the sensor up with the ring", 2, default=0)
    bends: Literal["hand", "brake"] = key(
        "hand: slit on the bend line, bent by hand, welded; brake: pressed", "hand", default="brake"
    )
    gusset: YesNo = key("a welded stiffening plate in the corner", "yes", default=False)
    obstacles: tuple[Obstacle, ...] = key(
        "things in the way that the bracket is to keep clear of",
        [{"name": "pump", "x": -120, "y": 60, "z": -12, "radius": 25}],
        default=(),
        max_length=40,
    )
    hand_bend: HandBend | None = optional("bends by hand: figures from your own bent test strip", {"allowance": 11.2})

    @model_validator(mode="after")
    def _named(self) -> Self:
        """Mounts that carry no name are called m1, m2 and so on, by their place in the list; things in the way too."""
        for what, prefix in (("mounts", "m"), ("obstacles", "thing-")):
            named = [
                one if one.name else one.model_copy(update={"name": f"{prefix}{i}"})
                for i, one in enumerate(getattr(self, what), 1)
            ]
            self.__dict__[what] = tuple(named)
        return self

    @property
    def mount_face(self) -> float:
        """z of the block's face, mm, of a job whose places are settled (parts/places.py)."""
        return _settled(self.face, "mount_face")

    @property
    def plate_back(self) -> float:
        """z of the plate's own back, mm: the block's face, or what is packed off it."""
        return self.mount_face + self.packing


class Gauge(Section):
    """The printed layout gauge."""

    thickness: Positive = key("of the printed plate", 4, default=4)
    style: Literal["outline", "windows", "comb"] = key(
        "outline: the wheel's own outline; windows: pencil windows; comb: fingers for cut slots",
        "outline",
        default="outline",
    )
    hole_allowance: Annotated[float, Quantity("length", -1, 2)] = key(
        "added to the diameter of printed holes, on top of the pulley's hole", 0.25, default=0.2
    )
    covers: Annotated[float, Quantity("angle", 0, 360, above=True)] = key(
        "how much of the circle it covers, centred on the gap", "360 deg", default=360
    )
    outline_allowance: Annotated[float, Quantity("length", -1, 1)] = key(
        "how far printed outlines stand outside their place, less than 0 for a printer that prints fat", -0.1, default=0
    )
    clearance: Annotated[float, Quantity("length", 0, 2, above=True)] = key(
        "comb: how much narrower its fingers are than the slots, and how much wider its no-go tongue", 0.2, default=0.2
    )
    shrinkage: Annotated[float, Number(0, 3)] | None = optional(
        "per cent a print shrinks in cooling, by which gauge.3mf is larger; about 0.2 for PLA, none when left out", 0.2
    )
    first_layer_setback: Annotated[float, Quantity("length", 0, 2)] = key(
        "how far edges on the printer's bed are set back, as high as that: first layers squash outwards",
        0.4,
        default=0.4,
    )
