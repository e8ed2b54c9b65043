"""What a job file may say, as frozen models in base units (mm, degrees, rpm, Hz, kg).

Each field's description is the reference: the JSON Schema, the starter job and the README's table are made from
these models. Whether values fit each other is not decided here (that is Design's work); only kinds and ranges are.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, PrivateAttr, StrictInt, ValidationInfo
from pydantic_core import PydanticCustomError

from wheelcad import units
from wheelcad.job.source import JobSource


def _quantity(kind: str) -> Callable[[Any, ValidationInfo], float]:
    def read(value: Any, info: ValidationInfo) -> float:
        bare = {"angle": "deg", "speed": "rpm", "frequency": "Hz", "mass": "kg"}.get(kind)
        if bare is None:
            bare = (info.context or {}).get("units", "mm")
        try:
            return units.parse(value, kind, bare)
        except units.UnitError as error:
            raise PydanticCustomError("quantity", "{why}", {"why": str(error)}) from None

    return read


def _yes_no(value: Any) -> Any:
    if isinstance(value, str) and value.strip().lower() in {"yes", "no", "true", "false", "on", "off"}:
        return value.strip().lower() in {"yes", "true", "on"}
    if not isinstance(value, bool):
        raise PydanticCustomError("yes_no", "should be yes or no")
    return value


Length = Annotated[float, BeforeValidator(_quantity("length")), Field(ge=-5000, le=5000)]
Positive = Annotated[float, BeforeValidator(_quantity("length")), Field(gt=0, le=5000)]
NotNegative = Annotated[float, BeforeValidator(_quantity("length")), Field(ge=0, le=5000)]
Angle = Annotated[float, BeforeValidator(_quantity("angle")), Field(ge=-720, le=720)]
Speed = Annotated[float, BeforeValidator(_quantity("speed")), Field(gt=0, le=100_000)]
Frequency = Annotated[float, BeforeValidator(_quantity("frequency")), Field(gt=0, le=1e9)]
Mass = Annotated[float, BeforeValidator(_quantity("mass")), Field(gt=0, le=1000)]
YesNo = Annotated[bool, BeforeValidator(_yes_no)]
Count = Annotated[StrictInt, Field(ge=1, le=64)]


class Section(BaseModel):
    """A part of the job file: frozen, and every key it does not know is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class Engine(Section):
    """The engine the wheel goes on."""

    cylinders: Annotated[StrictInt, Field(ge=1, le=24)] | None = Field(None, description="number of cylinders")
    firing_order: tuple[Annotated[StrictInt, Field(ge=1, le=24)], ...] | None = Field(
        None, description="cylinder numbers in the order they fire"
    )
    turns: Literal["clockwise", "anticlockwise"] = Field(
        "clockwise", description="which way the crank turns, seen facing the wheel"
    )
    max_speed: Speed | None = Field(None, description="highest crank speed the engine ever sees, rpm")
    cranking_speed: Speed = Field(200, description="crank speed on the starter, rpm")
    spark: Literal["wasted", "per-cylinder", "distributor"] = Field("wasted", description="how sparks are handed out")
    firing_angles: tuple[Annotated[float, BeforeValidator(_quantity("angle")), Field(ge=0, lt=720)], ...] | None = Field(
        None, description="crank degrees over 720 at which cylinders fire, in firing order; even when left out"
    )


class Slot(Section):
    """One slot of the wheel."""

    width: Positive = Field(description="parallel: the cutter's width; radial: the chord at the rim")
    depth: Positive = Field(description="from the rim to the deepest point of the floor")
    sides: Literal["parallel", "radial"] = Field("parallel", description="parallel: one cutter's width; radial: sides point at the axis")
    floor: Literal["round", "flat"] | None = Field(
        None, description="round (parallel sides only) or flat; left out: round for parallel sides, flat for radial"
    )
    corner_radius: NotNegative = Field(0, description="radius between side and flat floor")


class Wheel(Section):
    """The wheel you want."""

    form: Literal["turned-down", "plate"] | None = Field(
        None, description="turned-down: cut into a pulley; plate: cut from plate, bolted on; left out: turned-down when the pulley has `turned`"
    )
    teeth: Annotated[StrictInt, Field(ge=3, le=720)] = Field(description="positions round the wheel, missing ones counted")
    missing: Annotated[StrictInt, Field(ge=0, le=360)] = Field(description="teeth left out in the gap")
    gap_at: Angle = Field(0, description="centre of the gap, degrees from the TDC line the way the crank turns")
    outside_diameter: Positive = Field(description="over the teeth")
    thickness: Positive = Field(description="of the tooth ring, along the crank")
    slot: Slot = Field(description="the slots between the teeth")
    material: Literal["grey-iron", "ductile-iron", "mild-steel", "stainless-430", "aluminium-6061"] = Field(
        "mild-steel", description="what the wheel is made of"
    )
    bore: Positive | None = Field(None, description="plate form only: the hole in the middle")


class Keyway(Section):
    """The keyway in the pulley's bore."""

    width: Positive = Field(description="across the key")
    depth: Positive = Field(description="from the bore to the floor, on the keyway's centre line")
    at: Angle = Field(0, description="degrees from the TDC line")


class Bolts(Section):
    """A circle of equally spaced bolt holes."""

    count: Count = Field(description="how many")
    circle: Positive = Field(description="diameter of the circle their centres lie on")
    hole: Positive = Field(description="diameter of the holes")
    first_at: Angle = Field(0, description="degrees from the TDC line to one of them")


class Recess(Section):
    """A counterbore in the front face."""

    diameter: Positive = Field(description="of the counterbore")
    depth: Positive = Field(description="from the front face as turned")


class Groove(Section):
    """A belt groove in the middle of its length."""

    width: Positive = Field(description="at the outside")
    depth: Positive = Field(description="from the outside to the floor")
    angle: Annotated[float, BeforeValidator(_quantity("angle")), Field(ge=0, lt=120)] = Field(
        36, description="between the two sides"
    )


class Step(Section):
    """A cylindrical length of the pulley."""

    length: Positive = Field(description="along the crank")
    diameter: Positive = Field(description="outside")
    groove: Groove | None = Field(None, description="a belt groove in it")


class Belt(Section):
    """Where a belt runs, so that the bracket keeps clear of it."""

    at: Length = Field(description="middle of the belt, behind the pulley's front face")
    width: Positive = Field(description="of the belt")
    from_deg: Angle = Field(description="start of the arc where the belt touches or leaves the pulley")
    to_deg: Angle = Field(description="end of that arc")


class Pulley(Section):
    """What the wheel is cut into, or bolted to."""

    bore: Positive | None = Field(None, description="the hole for the crank's nose")
    keyway: Keyway | None = Field(None, description="in the bore")
    bolts: Bolts | None = Field(None, description="the bolt circle")
    recess: Recess | None = Field(None, description="counterbore in the front face")
    rubber_ring: YesNo = Field(False, description="a bonded rubber ring between hub and rim")
    as_found: tuple[Step, ...] = Field((), description="outside as you have it, from the front face backwards")
    turned: tuple[Step | Literal["wheel"], ...] = Field(
        (), description="the same piece as it leaves the lathe; the word wheel stands for the tooth ring"
    )
    belts: tuple[Belt, ...] = Field((), description="where belts run")


class Pilot(Section):
    """A spigot that locates the wheel's bore."""

    diameter: Positive = Field(description="of the spigot")
    length: Positive = Field(description="how far it stands out of the adapter's front face")


class Adapter(Section):
    """Plate form: the spacer between pulley and wheel."""

    length: Positive = Field(description="from the pulley's front face to the wheel's back")
    outside_diameter: Positive = Field(description="of the spacer")
    pilot: Pilot | None = Field(None, description="locates the wheel's bore")
    material: Literal["grey-iron", "ductile-iron", "mild-steel", "stainless-430", "aluminium-6061"] = Field(
        "mild-steel", description="what the adapter is made of"
    )


class SensorBolt(Section):
    """The bolt that holds a flange sensor."""

    hole: Positive = Field(description="bolt hole in the sensor's flange")
    offset: Positive = Field(description="from the body's centre to the bolt's centre")


class Sensor(Section):
    """The sensor that reads the teeth."""

    kind: Literal["hall", "reluctance"] = Field(description="hall, or reluctance (magnetic pickup)")
    looks: Literal["in", "along"] = Field("in", description="in: at the rim, towards the axis; along: at the wheel's side face")
    from_: Literal["front", "back"] = Field("front", alias="from", description="looks along: which side it stands on")
    radius: Positive | None = Field(None, description="looks along: where it looks; left out: the middle of the slot depth")
    at: Angle = Field(description="where it sits, degrees from the TDC line the way the crank turns")
    air_gap: Positive = Field(0.8, description="from sensing face to tooth")
    air_gap_range: tuple[Positive, Positive] | None = Field(None, description="least and greatest gap the sensor allows")
    face_diameter: Positive | None = Field(None, description="the part of the nose that senses")
    body_diameter: Positive | None = Field(None, description="the hole it passes through, before clearance")
    nose_length: Positive | None = Field(None, description="mounting face to sensing face")
    bolt: SensorBolt | None = Field(None, description="the fixing bolt of a flange sensor")
    thread: str | None = Field(
        None, pattern=r"^M\d+(\.\d+)?(x\d+(\.\d+)?)?$", description="the thread of a barrel sensor with two nuts, such as M12x1"
    )
    mass: Mass | None = Field(None, description="of the sensor and its lead's first hand's width")
    max_tooth_rate: Frequency | None = Field(None, description="the fastest teeth it can follow")
    times_on: Literal["leading", "trailing", "centre"] | None = Field(
        None, description="what the controller times on; left out: leading edge for hall, centre for reluctance"
    )
    senses: Literal["along-crank", "across", "any"] = Field(
        "any", description="the direction of a two-element or chisel face, relative to the crank"
    )

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, populate_by_name=True)


class Plate(Section):
    """The plate the bracket is cut from."""

    thickness: Positive = Field(description="of the plate")
    material: Literal["mild-steel", "stainless-430", "aluminium-6061"] = Field("mild-steel", description="of the plate")
    inside_radius: NotNegative = Field(description="of the bends")
    k_factor: Annotated[float, Field(gt=0, le=0.5)] | None = Field(
        None, description="place of the neutral fibre as a share of the thickness; left out: DIN 6935"
    )


class Mount(Section):
    """A threaded hole in the block that the bracket bolts to, engine frame."""

    x: Length = Field(description="to the right of the crank axis, facing the wheel")
    y: Length = Field(description="above the crank axis")
    hole: Positive = Field(description="clearance hole in the plate")
    thread: str | None = Field(None, pattern=r"^M\d+(\.\d+)?(x\d+(\.\d+)?)?$", description="the block's thread, such as M10")


class HandBend(Section):
    """What your own test strip said."""

    allowance: Positive = Field(description="length of metal a bend takes up, measured from a bent test strip")


class Bracket(Section):
    """The plate bracket that carries the sensor."""

    plate: Plate = Field(description="the plate it is cut from")
    mounts: tuple[Mount, ...] = Field(min_length=1, max_length=8, description="threaded holes in the block")
    mount_face: Length = Field(description="z of the face the plate bolts to (0 is the middle of the tooth ring, positive towards you)")
    width: Positive = Field(description="of the tab and the bend line")
    adjust: NotNegative = Field(6, description="total slot travel along the sensor's axis, outwards from the nominal gap")
    adjust_along: NotNegative = Field(0, description="slot travel along the crank, to line the sensor up with the ring")
    bends: Literal["hand", "brake"] = Field("brake", description="hand: slit on the bend line, bent by hand, welded; brake: pressed")
    gusset: YesNo = Field(False, description="a welded stiffening plate in the corner")
    hand_bend: HandBend | None = Field(None, description="figures from your own bent test strip")


class Gauge(Section):
    """The printed layout gauge."""

    thickness: Positive = Field(4, description="of the printed plate")
    style: Literal["outline", "windows"] = Field("outline", description="outline: the wheel's own outline; windows: pencil windows at the slots")
    hole_allowance: Annotated[float, BeforeValidator(_quantity("length")), Field(ge=-1, le=2)] = Field(
        0.2, description="added to the diameter of printed holes, on top of the pulley's hole"
    )
    covers: Annotated[float, BeforeValidator(_quantity("angle")), Field(gt=0, le=360)] = Field(
        360, description="how much of the circle it covers, centred on the gap"
    )


class Balance(Section):
    """How the missing teeth are balanced."""

    grade: Literal["G2.5", "G6.3", "G16", "G40"] = Field("G16", description="balance quality grade after ISO 21940-11")
    correct_by: Literal["holes", "none"] = Field("holes", description="holes: drill on the heavy side; none: report only")
    radius: Positive | None = Field(None, description="where the holes are drilled, from the axis; left out: found")
    band: tuple[Positive, Positive] | None = Field(
        None, description="least and greatest radius for the holes' centres, where you want them found within it"
    )
    largest_drill: Positive = Field(8, description="largest drill you are willing to use")
    faces: Literal["front", "back", "both"] = Field(
        "front", description="faces you are willing to drill from; the front is the set-up the slots are cut in"
    )
    as_found: Literal["known", "unknown"] = Field(
        "known",
        description="known: the pulley was in balance as found, key in, and only what is cut counts; "
        "unknown: its keyway and bolt holes count as well",
    )


class RotaryTable(Section):
    """The rotary table or dividing head."""

    ratio: Annotated[StrictInt, Field(ge=1, le=360)] = Field(description="turns of the handwheel for one turn of the table")
    dial_step: Annotated[float, BeforeValidator(_quantity("angle")), Field(gt=0, le=10)] = Field(
        0.1, description="smallest division of the handwheel's dial, in degrees of table"
    )
    backlash: Annotated[float, BeforeValidator(_quantity("angle")), Field(ge=0, le=10)] = Field(
        0, description="lost motion, in degrees of table"
    )
    plates: tuple[tuple[Annotated[StrictInt, Field(ge=2, le=400)], ...], ...] = Field(
        (), description="dividing plates: the numbers of holes in their circles"
    )
    scale: Literal["clockwise", "anticlockwise"] | None = Field(
        None, description="which way the numbers on the table's edge run, seen from above"
    )


class Cutter(Section):
    """The milling cutter for the slots."""

    diameter: Positive = Field(description="of the cutter")
    flutes: Annotated[StrictInt, Field(ge=1, le=20)] = Field(4, description="cutting edges")
    material: Literal["hss", "carbide"] = Field("hss", description="of the cutter")
    stick_out: Positive | None = Field(None, description="from the holder's nose to the cutter's end")
    holder_diameter: Positive | None = Field(None, description="of the holder's nose")


class Printer(Section):
    """The 3D printer for the gauge."""

    bed: tuple[Positive, Positive] = Field(description="printable size")
    nozzle: Positive = Field(0.4, description="nozzle diameter")


class Plasma(Section):
    """The plasma table."""

    kerf: Positive = Field(description="width of the cut")
    bend_marks: YesNo = Field(False, description="mark bend lines on the flat")


class Shop(Section):
    """The machines in your shop."""

    rotary_table: RotaryTable | None = Field(None, description="for the slots")
    cutter: Cutter | None = Field(None, description="for the slots")
    printer: Printer | None = Field(None, description="for the gauge")
    plasma: Plasma | None = Field(None, description="for plate wheels and brackets")
    drills: Literal["metric", "inch"] = Field("metric", description="the drill set you own")
    readout: YesNo = Field(False, description="a digital readout: the cuts as X and Y from the wheel's centre as well")
    rotary_axis: YesNo = Field(False, description="a driven rotary axis: a short program that turns it to each cut and stops")


class Job(Section):
    """One conversion: the engine, the pulley you have, the wheel you want, the sensor, the bracket and the shop."""

    job: str = Field(
        pattern=r"^[A-Za-z0-9][A-Za-z0-9_-]{0,63}$", description="letters, digits, - and _: names the output folder"
    )
    title: str = Field("", max_length=200, description="what the drawings say it is")
    units: Literal["mm", "in"] = Field("mm", description="unit of bare lengths, and of dimensions on drawings")
    engine: Engine | None = Field(None, description="the engine")
    wheel: Wheel = Field(description="the wheel you want")
    pulley: Pulley | None = Field(None, description="what the wheel is cut into, or bolted to")
    adapter: Adapter | None = Field(None, description="plate form: the spacer between pulley and wheel")
    sensor: Sensor | None = Field(None, description="the sensor that reads the teeth")
    bracket: Bracket | None = Field(None, description="the bracket that carries the sensor")
    gauge: Gauge | None = Field(None, description="the printed layout gauge")
    balance: Balance | None = Field(None, description="how the missing teeth are balanced")
    shop: Shop = Field(default_factory=Shop, description="the machines in your shop")

    _source: JobSource = PrivateAttr(default_factory=JobSource)

    @property
    def source(self) -> JobSource:
        """Where the job was read from, for messages; empty for a job made in a script."""
        return self._source

    def with_source(self, source: JobSource) -> Job:
        """The same job, knowing the file it came from."""
        copy = self.model_copy()
        object.__setattr__(copy, "__pydantic_private__", {"_source": source})
        return copy
