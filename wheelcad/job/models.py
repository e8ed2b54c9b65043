"""What a job file may say, as frozen models in base units (mm, degrees, rpm, Hz, kg, ms).

The sections live beside this module: `rotating` (engine, wheel, pulley, adapter), `cam`, `stationary` (sensor, bracket,
gauge), `survey`, `controller`, `tolerances` and `workshop` (balance, shop). Each field's description is the reference:
the JSON Schema, the starter job and the README's tables are made from these models, where a field's default is in base
units whatever `units` says, and its first example is what a job in mm would write. Whether values fit each other is not
decided here; only kinds and ranges are.
"""

from collections.abc import Mapping
from typing import Annotated, Any, Literal, Self

from pydantic import PrivateAttr, field_validator

from wheelcad.job.cam import Cam, CamSensor
from wheelcad.job.controller import Controller
from wheelcad.job.kinds import Text, refusal, units_of
from wheelcad.job.rotating import (
    Adapter,
    Belt,
    Bolts,
    Engine,
    Groove,
    Keyway,
    Pilot,
    Pulley,
    Recess,
    Ring,
    Step,
    Wheel,
)
from wheelcad.job.section import Section, key, optional
from wheelcad.job.source import JobSource
from wheelcad.job.stationary import BehindFront, Bracket, Gauge, Mount, Sensor
from wheelcad.job.survey import Survey
from wheelcad.job.tolerances import Tolerances
from wheelcad.job.workshop import Balance, Cutter, RotaryTable, Shop

__all__ = [
    "Adapter",
    "Balance",
    "BehindFront",
    "Belt",
    "Bolts",
    "Bracket",
    "Cam",
    "CamSensor",
    "Cutter",
    "Engine",
    "Gauge",
    "Groove",
    "Job",
    "Keyway",
    "Mount",
    "Pulley",
    "Recess",
    "Ring",
    "RotaryTable",
    "Section",
    "Sensor",
    "Step",
    "Survey",
    "Tolerances",
    "Wheel",
]

# Names that some systems keep for devices: a folder of that name cannot be made there, or not be opened again.
DEVICE_NAMES = frozenset(["con", "prn", "aux", "nul", *(f"com{i}" for i in range(10)), *(f"lpt{i}" for i in range(10))])
JOB_NAME = Text(
    "a name of at most 64 letters, digits, - and _ that begins with a letter or digit", 64, "[A-Za-z0-9][A-Za-z0-9_-]*"
)

DOTTED = Text("a key of the job file, its sections before it with points between: pulley.as_found", 80)


class Job(Section):
    """One conversion: the engine, the pulley you have, the wheel you want, the sensor, the bracket and the shop."""

    job: Annotated[str, JOB_NAME] = key("letters, digits, - and _: names the output folder", "tarn-six")
    title: Annotated[str, Text("one line of text", 200)] = key(
        "what the drawings say it is", "Crank trigger wheel for a 2.6 litre inline six", default=""
    )
    units: Literal["mm", "in"] = key("unit of bare lengths, and of dimensions on drawings", "mm", default="mm")
    paper: Literal["A4", "A3", "Letter", "Tabloid"] | None = optional(
        "the largest sheet your printer takes: drawings use it or the next smaller of its kind (a larger "
        "one only for what could not be read on it), the packet A4 or Letter; left out: A3, in a job in inches Tabloid",
        "A3",
    )
    dimensions: Literal["single", "dual"] = key(
        "on drawings: single: in the job's unit; dual: mm with inches in brackets", "single", default="single"
    )
    engine: Engine | None = optional("the engine")
    wheel: Wheel = key("the wheel you want")
    pulley: Pulley | None = optional("what the wheel is cut into, or bolted to")
    adapter: Adapter | None = optional("plate form: the spacer between pulley and wheel")
    sensor: Sensor | None = optional("the sensor that reads the teeth")
    bracket: Bracket | None = optional("the bracket that carries the sensor")
    survey: Survey | None = optional("distances read on the engine, for the mounts' places")
    controller: Controller | None = optional("what the controller makes of the signal")
    tolerances: Tolerances | None = optional("how well the shop works")
    cam: Cam | None = optional("a target on the cam, for coils of each cylinder's own")
    gauge: Gauge | None = optional("the printed layout gauge")
    balance: Balance | None = optional("how the missing teeth are balanced")
    shop: Shop = key("the machines in your shop", default_factory=Shop)
    allow: tuple[Annotated[str, DOTTED], ...] = key(
        "keys whose sizes are meant although no shop of this kind has such, with all that is below them",
        ["pulley.as_found"],
        default=(),
        max_length=64,
    )

    _source: JobSource = PrivateAttr(default_factory=JobSource)

    @field_validator("job")
    @classmethod
    def _no_device(cls, name: str) -> str:
        if name.lower() in DEVICE_NAMES:
            raise refusal("is a name that some systems keep for a device", JOB_NAME.allowed(), f"{name}-wheel")
        return name

    @classmethod
    def from_data(cls, data: Mapping[str, Any]) -> Self:
        """A job from plain values as a job file holds them; `units` says what bare lengths are in.

        pydantic.ValidationError for what is not allowed: a script's values have no lines to point at.
        """
        return cls.model_validate(data, context={"units": units_of(data)})

    @property
    def sense(self) -> int:
        """+1 where the crank turns clockwise, as it is taken to where no engine says otherwise; -1 anticlockwise."""
        return -1 if self.engine is not None and self.engine.turns == "anticlockwise" else 1

    @property
    def max_speed(self) -> float | None:
        """The engine's highest speed, rpm."""
        return self.engine.max_speed if self.engine is not None else None

    @property
    def bolts(self) -> Bolts | None:
        """The pulley's bolt circle."""
        return self.pulley.bolts if self.pulley is not None else None

    @property
    def belts(self) -> tuple[Belt, ...]:
        """The belts that run on the pulley."""
        return self.pulley.belts if self.pulley is not None else ()

    @property
    def pilot(self) -> Pilot | None:
        """The adapter's pilot."""
        return self.adapter.pilot if self.adapter is not None else None

    @property
    def mounts(self) -> tuple[Mount, ...]:
        """The bracket's mounts on the block."""
        return self.bracket.mounts if self.bracket is not None else ()

    def with_sensor_at(self, at_deg: float) -> Self:
        """The job with its sensor at another angle; itself without one."""
        if self.sensor is None:
            return self
        return self.model_copy(update={"sensor": self.sensor.model_copy(update={"at": at_deg % 360.0})})

    @property
    def source(self) -> JobSource:
        """Where the job was read from, for messages; empty for a job made in a script."""
        return self._source

    def with_source(self, source: JobSource) -> Self:
        """The same job, knowing the file it came from."""
        copy = self.model_copy()
        copy._source = source
        return copy
