"""What turns: the engine's crank, the wheel, the pulley it is cut into or bolted to, and the adapter between them."""

from typing import Annotated, Any, Literal, Self

from pydantic import ConfigDict, Discriminator, Tag, model_validator

from wheelcad.job.kinds import Number, Quantity, Whole
from wheelcad.job.section import (
    Angle,
    Cylinder,
    Length,
    NotNegative,
    Positive,
    Section,
    Share,
    Speed,
    Time,
    WheelMetal,
    YesNo,
    key,
    optional,
)

Advance = Annotated[float, Quantity("angle", -30, 90)]


class SparkAdvance(Section):
    """How far before TDC the controller fires, from what it is set to."""

    cranking: Advance | None = optional("on the starter, before TDC; left out: assumed and printed so", "5 deg")
    least: Advance | None = optional("least once it runs; left out: assumed and printed so", "5 deg")
    most: Advance | None = optional("most it ever asks for; left out: assumed and printed so", "40 deg")


class Engine(Section):
    """The engine the wheel goes on."""

    cylinders: Cylinder | None = optional("number of cylinders", 6)
    firing_order: tuple[Cylinder, ...] | None = optional(
        "cylinder numbers in the order they fire", [1, 5, 3, 6, 2, 4], min_length=1, max_length=24
    )
    turns: Literal["clockwise", "anticlockwise"] = key(
        "which way the crank turns, seen facing the wheel", "clockwise", default="clockwise"
    )
    max_speed: Speed | None = optional("highest crank speed the engine ever sees, rpm", "5200 rpm")
    cranking_speed: Speed = key("crank speed on the starter, rpm", "180 rpm", default=200)
    spark: Literal["wasted", "per-cylinder", "distributor"] = key(
        "wasted: two cylinders share a coil; per-cylinder: a coil each (needs a cam signal as well); "
        "distributor: one coil",
        "wasted",
        default="wasted",
    )
    firing_angles: tuple[Annotated[float, Quantity("angle", 0, 720, below=True)], ...] | None = optional(
        "crank degrees over 720 at which cylinders fire, in firing order; even when left out, and needed "
        "for two cylinders; counted from cylinder 1 whichever the list begins with",
        [0, 270],
        min_length=1,
        max_length=24,
    )
    layout: Literal["inline", "vee", "flat", "single"] | None = optional("how the cylinders stand", "inline")
    vee_angle: Annotated[float, Quantity("angle", 0, 180, above=True)] | None = optional(
        "layout vee: the angle between the banks", "90 deg"
    )
    idle_speed: Speed | None = optional("crank speed at idle, rpm; left out: assumed and printed so", "800 rpm")
    cranking_dip: Share | None = optional(
        "on the starter, the slowest moment's speed as a share of the mean; left out: assumed and printed so", 0.55
    )
    compression: Annotated[float, Number(1, 30)] | None = optional(
        "compression ratio, 8.5 for 8.5 to 1: the shape of the cranking speed; left out: assumed and printed so", 8.5
    )
    advance: SparkAdvance | None = optional(
        "how far before TDC it fires", {"cranking": "5 deg", "least": "5 deg", "most": "40 deg"}
    )
    dwell: Time | None = optional("how long a coil is charged for a spark; left out: assumed and printed so", "4 ms")


class Slot(Section):
    """One slot of the wheel."""

    width: Positive = key("parallel: the cutter's width; radial: the chord at the rim", 6)
    depth: Positive = key("from the rim to the deepest point of the floor", 6.35)
    sides: Literal["parallel", "radial"] = key(
        "parallel: one cutter's width; radial: sides point at the axis", "parallel", default="parallel"
    )
    floor: Literal["round", "flat"] | None = optional(
        "round (parallel sides only) or flat; left out: round for parallel sides, flat for radial", "round"
    )
    corner_radius: NotNegative = key("radius between side and flat floor", 0.8, default=0)


class Gap(Section):
    """One of several gaps."""

    at: Angle = key(
        "its middle, degrees from the TDC line the way the crank turns; the first gap sets the tooth grid", "0 deg"
    )
    missing: Annotated[int, Whole(1, 360)] = key("teeth left out in it", 1)


class Bolts(Section):
    """A circle of equally spaced bolt holes."""

    count: Annotated[int, Whole(1, 64)] = key("how many", 4)
    circle: Positive = key("diameter of the circle their centres lie on", 80)
    hole: Positive = key("diameter of the holes", 8.4)
    first_at: Angle = key("degrees from the TDC line to one of them, the way the crank turns", "45 deg", default=0)


class Marks(Section):
    """Marks cut or scribed on the ring's front face, from 1 mm inside the slots' floor inwards."""

    tdc: Literal["notch", "line"] | None = optional(
        "the TDC mark: notch: a V of 60 degrees, 1 mm deep, milled and counted in the balance; line: "
        "scribed, no metal taken away; left out: none",
        "notch",
    )
    degrees: tuple[Angle, ...] = key(
        "degree marks, each so far ahead of the TDC mark the way the crank turns",
        [5, 10, 15, 20, 30],
        default=(),
        max_length=72,
    )


class Ring(Section):
    """Plate form: a ready-made ring as it came, to be opened up."""

    bore: Positive | None = optional("the hole it has in the middle", 50)
    bolts: Bolts | None = optional("the bolt holes it has", {"count": 3, "circle": 62, "hole": 6.6, "first_at": 0})
    toothed: YesNo = key("its teeth are cut already; no: only the disc is ready-made", "yes", default=True)


def _one_of(schema: dict[str, Any]) -> None:
    """An editor should ask for `missing` or `gaps`, not for `missing` alone."""
    schema["required"] = [name for name in schema.get("required", []) if name != "missing"]
    schema["anyOf"] = [{"required": ["missing"]}, {"required": ["gaps"]}]


class Wheel(Section):
    """The wheel you want."""

    model_config = ConfigDict(json_schema_extra=_one_of)

    form: Literal["turned-down", "plate"] | None = optional(
        "turned-down: cut into a pulley; plate: cut from plate, bolted on; left out: turned-down when the "
        "pulley has `turned`, else plate",
        "turned-down",
    )
    teeth: Annotated[int, Whole(3, 720)] = key("positions round the wheel, missing ones counted", 36)
    missing: Annotated[int, Whole(0, 360)] = key(
        "teeth left out in the gap; left out where `gaps` is given: the first gap's", 1
    )
    gap_at: Angle = key("centre of the gap, degrees from the TDC line the way the crank turns", "0 deg", default=0)
    gaps: tuple[Gap, ...] = key(
        "several gaps, each on the tooth grid, instead of `missing` and `gap_at`",
        [{"at": "0 deg", "missing": 1}, {"at": "120 deg", "missing": 2}],
        default=(),
        max_length=36,
    )
    outside_diameter: Positive = key("over the teeth", 160)
    thickness: Positive = key("of the tooth ring, along the crank", 3.2)
    slot: Slot = key("the slots between the teeth", {"width": 6, "depth": 6.35})
    material: WheelMetal = key("what the wheel is made of", "grey-iron", default="mild-steel")
    bore: Positive | None = optional("plate form only: the hole in the middle; left out: as_found.bore", 70)
    as_found: Ring | None = optional(
        "plate form only: what a ready-made ring already has, so that the job says what is opened up",
        {"bore": 50, "bolts": {"count": 3, "circle": 62, "hole": 6.6, "first_at": 0}},
    )

    marks: Marks | None = optional(
        "marks for the timing light; left out: none are made, and no page asks for them",
        {"tdc": "notch", "degrees": [5, 10, 15, 20, 30]},
    )

    @model_validator(mode="before")
    @classmethod
    def _first_gap(cls, data: Any) -> Any:
        """Where there are `gaps`, `missing` need not be written; a wrong first gap is complained of in its place."""
        gaps = data.get("gaps") if isinstance(data, dict) else None
        if isinstance(gaps, list | tuple) and gaps and "missing" not in data:
            count = gaps[0].get("missing") if isinstance(gaps[0], dict) else None
            return {**data, "missing": count if str(count).isdecimal() else 1}
        return data

    @model_validator(mode="after")
    def _said_once(self) -> Self:
        """What `gaps` and `as_found` say need not be written twice."""
        if self.gaps and "gap_at" not in self.model_fields_set:
            self.__dict__["gap_at"] = self.gaps[0].at
        if self.bore is None and self.as_found is not None:
            self.__dict__["bore"] = self.as_found.bore
        return self


class Keyway(Section):
    """The keyway in the pulley's bore."""

    width: Positive = key("across the key", 8)
    depth: Positive = key("from the bore to the floor, on the keyway's centre line", 3.3)
    at: Angle = key("degrees from the TDC line the way the crank turns", "0 deg", default=0)


class Recess(Section):
    """A counterbore in the front face."""

    diameter: Positive = key("of the counterbore", 60)
    depth: Positive = key("from the front face as turned", 10)


class Groove(Section):
    """A belt groove in the middle of its length."""

    width: Positive = key("at the outside", 12)
    depth: Positive = key("from the outside to the floor", 11)
    angle: Annotated[float, Quantity("angle", 0, 120, below=True)] = key("between the two sides", "36 deg", default=36)


class Step(Section):
    """A cylindrical length of the pulley."""

    length: Positive = key("along the crank", 14)
    diameter: Positive = key("outside", 150)
    groove: Groove | None = optional("a belt groove in it", {"width": 12, "depth": 11, "angle": "36 deg"})


class Belt(Section):
    """Where a belt runs, so that the bracket keeps clear of it."""

    at: Length = key("middle of the belt, behind the pulley's front face", 33)
    width: Positive = key("of the belt", 10)
    from_deg: Angle = key("start of the arc where the belt touches or leaves the pulley", "100 deg")
    to_deg: Angle = key("end of that arc", "260 deg")


def _step_or_wheel(value: Any) -> str:
    return "step" if isinstance(value, dict | Step) else "wheel"


TurnedStep = Annotated[
    Annotated[Step, Tag("step")] | Annotated[Literal["wheel"], Tag("wheel")], Discriminator(_step_or_wheel)
]


class Pulley(Section):
    """What the wheel is cut into, or bolted to."""

    bore: Positive | None = optional("the hole for the crank's nose", 32)
    keyway: Keyway | None = optional("in the bore", {"width": 8, "depth": 3.3, "at": "0 deg"})
    bolts: Bolts | None = optional("the bolt circle", {"count": 4, "circle": 80, "hole": 8.4, "first_at": "45 deg"})
    recess: Recess | None = optional("counterbore in the front face", {"diameter": 60, "depth": 10})
    rubber_ring: YesNo = key("a bonded rubber ring between hub and rim", "no", default=False)
    as_found: tuple[Step, ...] = key(
        "outside as you have it, from the front face backwards",
        [{"length": 26, "diameter": 168}],
        default=(),
        max_length=32,
    )
    turned: tuple[TurnedStep, ...] = key(
        "the same piece as it leaves the lathe; the word wheel stands for the tooth ring",
        [{"length": 8, "diameter": 118}, "wheel", {"length": 14.8, "diameter": 118}],
        default=(),
        max_length=32,
    )
    belts: tuple[Belt, ...] = key(
        "where belts run",
        [{"at": 33, "width": 10, "from_deg": "100 deg", "to_deg": "260 deg"}],
        default=(),
        max_length=8,
    )


class Pilot(Section):
    """A spigot that locates the wheel's bore."""

    diameter: Positive = key("of the spigot", 69.95)
    length: Positive = key("how far it stands out of the adapter's front face", 2)


class Adapter(Section):
    """Plate form: the spacer between pulley and wheel."""

    length: Positive = key("from the pulley's front face to the wheel's back", 12)
    outside_diameter: Positive = key("of the spacer", 100)
    ring_at: Length | None = optional(
        "where the sensor wants the middle of the ring, in front of the pulley's front face; `length` is "
        "held against it",
        13.6,
    )
    pilot: Pilot | None = optional("locates the wheel's bore", {"diameter": 69.95, "length": 2})
    material: WheelMetal = key("what the adapter is made of", "mild-steel", default="mild-steel")
