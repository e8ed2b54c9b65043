"""What turns: the engine's crank, the wheel, the pulley it is cut into or bolted to, and the adapter between them."""

from typing import Annotated, Any, Literal, Self

from pydantic import ConfigDict, Discriminator, Field, Tag, model_validator

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
)

Advance = Annotated[float, Quantity("angle", -30, 90)]


class SparkAdvance(Section):
    """How far before TDC the controller fires, from what it is set to."""

    cranking: Advance | None = Field(
        default=None, description="on the starter, before TDC; left out: assumed and printed so", examples=["5 deg"]
    )
    least: Advance | None = Field(
        default=None, description="least once it runs; left out: assumed and printed so", examples=["5 deg"]
    )
    most: Advance | None = Field(
        default=None, description="most it ever asks for; left out: assumed and printed so", examples=["40 deg"]
    )


class Engine(Section):
    """The engine the wheel goes on."""

    cylinders: Cylinder | None = Field(default=None, description="number of cylinders", examples=[6])
    firing_order: tuple[Cylinder, ...] | None = Field(
        default=None,
        min_length=1,
        max_length=24,
        description="cylinder numbers in the order they fire",
        examples=[[1, 5, 3, 6, 2, 4]],
    )
    turns: Literal["clockwise", "anticlockwise"] = Field(
        default="clockwise", description="which way the crank turns, seen facing the wheel", examples=["clockwise"]
    )
    max_speed: Speed | None = Field(
        default=None, description="highest crank speed the engine ever sees, rpm", examples=["5200 rpm"]
    )
    cranking_speed: Speed = Field(default=200, description="crank speed on the starter, rpm", examples=["180 rpm"])
    spark: Literal["wasted", "per-cylinder", "distributor"] = Field(
        default="wasted",
        description="wasted: two cylinders share a coil; per-cylinder: a coil each (needs a cam signal as well); "
        "distributor: one coil",
        examples=["wasted"],
    )
    firing_angles: tuple[Annotated[float, Quantity("angle", 0, 720, below=True)], ...] | None = Field(
        default=None,
        min_length=1,
        max_length=24,
        description="crank degrees over 720 at which cylinders fire, in firing order; even when left out, and needed "
        "for two cylinders; counted from cylinder 1 whichever the list begins with",
        examples=[[0, 270]],
    )
    layout: Literal["inline", "vee", "flat", "single"] | None = Field(
        default=None, description="how the cylinders stand", examples=["inline"]
    )
    vee_angle: Annotated[float, Quantity("angle", 0, 180, above=True)] | None = Field(
        default=None, description="layout vee: the angle between the banks", examples=["90 deg"]
    )
    idle_speed: Speed | None = Field(
        default=None, description="crank speed at idle, rpm; left out: assumed and printed so", examples=["800 rpm"]
    )
    cranking_dip: Share | None = Field(
        default=None,
        description="on the starter, the slowest moment's speed as a share of the mean; left out: assumed and printed "
        "so",
        examples=[0.55],
    )
    compression: Annotated[float, Number(1, 30)] | None = Field(
        default=None,
        description="compression ratio, 8.5 for 8.5 to 1: the shape of the cranking speed; left out: assumed and "
        "printed so",
        examples=[8.5],
    )
    advance: SparkAdvance | None = Field(
        default=None,
        description="how far before TDC it fires",
        examples=[{"cranking": "5 deg", "least": "5 deg", "most": "40 deg"}],
    )
    dwell: Time | None = Field(
        default=None,
        description="how long a coil is charged for a spark; left out: assumed and printed so",
        examples=["4 ms"],
    )


class Slot(Section):
    """One slot of the wheel."""

    width: Positive = Field(description="parallel: the cutter's width; radial: the chord at the rim", examples=[6])
    depth: Positive = Field(description="from the rim to the deepest point of the floor", examples=[6.35])
    sides: Literal["parallel", "radial"] = Field(
        default="parallel",
        description="parallel: one cutter's width; radial: sides point at the axis",
        examples=["parallel"],
    )
    floor: Literal["round", "flat"] | None = Field(
        default=None,
        description="round (parallel sides only) or flat; left out: round for parallel sides, flat for radial",
        examples=["round"],
    )
    corner_radius: NotNegative = Field(default=0, description="radius between side and flat floor", examples=[0.8])


class Gap(Section):
    """One of several gaps."""

    at: Angle = Field(
        description="its middle, degrees from the TDC line the way the crank turns; the first gap sets the tooth grid",
        examples=["0 deg"],
    )
    missing: Annotated[int, Whole(1, 360)] = Field(description="teeth left out in it", examples=[1])


class Bolts(Section):
    """A circle of equally spaced bolt holes."""

    count: Annotated[int, Whole(1, 64)] = Field(description="how many", examples=[4])
    circle: Positive = Field(description="diameter of the circle their centres lie on", examples=[80])
    hole: Positive = Field(description="diameter of the holes", examples=[8.4])
    first_at: Angle = Field(
        default=0,
        description="degrees from the TDC line to one of them, the way the crank turns",
        examples=["45 deg"],
    )


class Marks(Section):
    """Marks cut or scribed on the ring's front face, from 1 mm inside the slots' floor inwards."""

    tdc: Literal["notch", "line"] | None = Field(
        default=None,
        description="the TDC mark: notch: a V of 60 degrees, 1 mm deep, milled and counted in the balance; line: "
        "scribed, no metal taken away; left out: none",
        examples=["notch"],
    )
    degrees: tuple[Angle, ...] = Field(
        default=(),
        max_length=72,
        description="degree marks, each so far ahead of the TDC mark the way the crank turns",
        examples=[[5, 10, 15, 20, 30]],
    )


class Ring(Section):
    """Plate form: a ready-made ring as it came, to be opened up."""

    bore: Positive | None = Field(default=None, description="the hole it has in the middle", examples=[50])
    bolts: Bolts | None = Field(
        default=None,
        description="the bolt holes it has",
        examples=[{"count": 3, "circle": 62, "hole": 6.6, "first_at": 0}],
    )
    toothed: YesNo = Field(
        default=True, description="its teeth are cut already; no: only the disc is ready-made", examples=["yes"]
    )


def _one_of(schema: dict[str, Any]) -> None:
    """An editor should ask for `missing` or `gaps`, not for `missing` alone."""
    schema["required"] = [name for name in schema.get("required", []) if name != "missing"]
    schema["anyOf"] = [{"required": ["missing"]}, {"required": ["gaps"]}]


class Wheel(Section):
    """The wheel you want."""

    model_config = ConfigDict(json_schema_extra=_one_of)

    form: Literal["turned-down", "plate"] | None = Field(
        default=None,
        description="turned-down: cut into a pulley; plate: cut from plate, bolted on; left out: turned-down when the "
        "pulley has `turned`, else plate",
        examples=["turned-down"],
    )
    teeth: Annotated[int, Whole(3, 720)] = Field(
        description="positions round the wheel, missing ones counted", examples=[36]
    )
    missing: Annotated[int, Whole(0, 360)] = Field(
        description="teeth left out in the gap; left out where `gaps` is given: the first gap's", examples=[1]
    )
    gap_at: Angle = Field(
        default=0,
        description="centre of the gap, degrees from the TDC line the way the crank turns",
        examples=["0 deg"],
    )
    gaps: tuple[Gap, ...] = Field(
        default=(),
        max_length=36,
        description="several gaps, each on the tooth grid, instead of `missing` and `gap_at`",
        examples=[[{"at": "0 deg", "missing": 1}, {"at": "120 deg", "missing": 2}]],
    )
    outside_diameter: Positive = Field(description="over the teeth", examples=[160])
    thickness: Positive = Field(description="of the tooth ring, along the crank", examples=[3.2])
    slot: Slot = Field(description="the slots between the teeth", examples=[{"width": 6, "depth": 6.35}])
    material: WheelMetal = Field(default="mild-steel", description="what the wheel is made of", examples=["grey-iron"])
    bore: Positive | None = Field(
        default=None, description="plate form only: the hole in the middle; left out: as_found.bore", examples=[70]
    )
    as_found: Ring | None = Field(
        default=None,
        description="plate form only: what a ready-made ring already has, so that the job says what is opened up",
        examples=[{"bore": 50, "bolts": {"count": 3, "circle": 62, "hole": 6.6, "first_at": 0}}],
    )

    marks: Marks | None = Field(
        default=None,
        description="marks for the timing light; left out: none are made, and no page asks for them",
        examples=[{"tdc": "notch", "degrees": [5, 10, 15, 20, 30]}],
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

    width: Positive = Field(description="across the key", examples=[8])
    depth: Positive = Field(description="from the bore to the floor, on the keyway's centre line", examples=[3.3])
    at: Angle = Field(default=0, description="degrees from the TDC line the way the crank turns", examples=["0 deg"])


class Recess(Section):
    """A counterbore in the front face."""

    diameter: Positive = Field(description="of the counterbore", examples=[60])
    depth: Positive = Field(description="from the front face as turned", examples=[10])


class Groove(Section):
    """A belt groove in the middle of its length."""

    width: Positive = Field(description="at the outside", examples=[12])
    depth: Positive = Field(description="from the outside to the floor", examples=[11])
    angle: Annotated[float, Quantity("angle", 0, 120, below=True)] = Field(
        default=36, description="between the two sides", examples=["36 deg"]
    )


class Step(Section):
    """A cylindrical length of the pulley."""

    length: Positive = Field(description="along the crank", examples=[14])
    diameter: Positive = Field(description="outside", examples=[150])
    groove: Groove | None = Field(
        default=None, description="a belt groove in it", examples=[{"width": 12, "depth": 11, "angle": "36 deg"}]
    )


class Belt(Section):
    """Where a belt runs, so that the bracket keeps clear of it."""

    at: Length = Field(description="middle of the belt, behind the pulley's front face", examples=[33])
    width: Positive = Field(description="of the belt", examples=[10])
    from_deg: Angle = Field(
        description="start of the arc where the belt touches or leaves the pulley", examples=["100 deg"]
    )
    to_deg: Angle = Field(description="end of that arc", examples=["260 deg"])


def _step_or_wheel(value: Any) -> str:
    return "step" if isinstance(value, dict | Step) else "wheel"


TurnedStep = Annotated[
    Annotated[Step, Tag("step")] | Annotated[Literal["wheel"], Tag("wheel")], Discriminator(_step_or_wheel)
]


class Pulley(Section):
    """What the wheel is cut into, or bolted to."""

    bore: Positive | None = Field(default=None, description="the hole for the crank's nose", examples=[32])
    keyway: Keyway | None = Field(
        default=None, description="in the bore", examples=[{"width": 8, "depth": 3.3, "at": "0 deg"}]
    )
    bolts: Bolts | None = Field(
        default=None,
        description="the bolt circle",
        examples=[{"count": 4, "circle": 80, "hole": 8.4, "first_at": "45 deg"}],
    )
    recess: Recess | None = Field(
        default=None, description="counterbore in the front face", examples=[{"diameter": 60, "depth": 10}]
    )
    rubber_ring: YesNo = Field(default=False, description="a bonded rubber ring between hub and rim", examples=["no"])
    as_found: tuple[Step, ...] = Field(
        default=(),
        max_length=32,
        description="outside as you have it, from the front face backwards",
        examples=[[{"length": 26, "diameter": 168}]],
    )
    turned: tuple[TurnedStep, ...] = Field(
        default=(),
        max_length=32,
        description="the same piece as it leaves the lathe; the word wheel stands for the tooth ring",
        examples=[[{"length": 8, "diameter": 118}, "wheel", {"length": 14.8, "diameter": 118}]],
    )
    belts: tuple[Belt, ...] = Field(
        default=(),
        max_length=8,
        description="where belts run",
        examples=[[{"at": 33, "width": 10, "from_deg": "100 deg", "to_deg": "260 deg"}]],
    )


class Pilot(Section):
    """A spigot that locates the wheel's bore."""

    diameter: Positive = Field(description="of the spigot", examples=[69.95])
    length: Positive = Field(description="how far it stands out of the adapter's front face", examples=[2])


class Adapter(Section):
    """Plate form: the spacer between pulley and wheel."""

    length: Positive = Field(description="from the pulley's front face to the wheel's back", examples=[12])
    outside_diameter: Positive = Field(description="of the spacer", examples=[100])
    ring_at: Length | None = Field(
        default=None,
        description="where the sensor wants the middle of the ring, in front of the pulley's front face; `length` is "
        "held against it",
        examples=[13.6],
    )
    pilot: Pilot | None = Field(
        default=None, description="locates the wheel's bore", examples=[{"diameter": 69.95, "length": 2}]
    )
    material: WheelMetal = Field(
        default="mild-steel", description="what the adapter is made of", examples=["mild-steel"]
    )
