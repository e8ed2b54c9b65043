"""Everything that the signal's numbers rest on, each marked as given in the job or assumed.

Assumptions are common practice without a source unless their line says otherwise; every one is printed with the
results. What nothing rests on is not listed: without `sensor.level` no voltage is, and no voltage comes out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, cast

from wheelcad.errors import DesignError, Faults
from wheelcad.job.elements import CRANKING_RPM, Element, element_of, times_on_of
from wheelcad.job.models import Engine, Job, Sensor
from wheelcad.job.stationary import Level
from wheelcad.signal.decode import Compares, default_ratio
from wheelcad.signal.edges import Edges, On, first_gap
from wheelcad.signal.speed import EXPONENT, ROD_RATIO
from wheelcad.trade.assumed import ASSUMED, assumed_dip
from wheelcad.trade.ignition import CYCLE_DEG, companions, from_cylinder_one

# What the job file has its own defaults for, or no key: common practice, no source.
TOP_RPM = 6000.0
FACE_MM = 4.0  # width of a pole or Hall element along the motion
RUN_UP_DEG = 90.0  # of crank in which a starter brings the crank to about four fifths of its speed
US_PER_MS = 1000.0


@dataclass(frozen=True)
class Input:
    """One number or word that results rest on. key: as in the job file; given: False where it is assumed."""

    key: str
    value: object
    given: bool

    def as_json(self) -> dict[str, object]:
        """As the report holds it."""
        return {"key": self.key, "value": self.value, "given": self.given}


@dataclass(frozen=True)
class Inputs:
    """Engine, sensor and controller as the signal needs them; degrees of crank, rpm, mm, µs, ms.

    order, firing_deg: cylinders and their firing TDCs over 720, ascending, cylinder 1 first and at 0. advance: before
    TDC, at cranking, least and most. coil_every_deg: crank degrees between two firings of each cylinder's coil, in the
    order of `order`. gap_deg: middle of the gap that counting starts from, None without one. rows: all of it, printed.
    """

    order: tuple[int, ...]
    firing_deg: tuple[float, ...]
    coil_every_deg: tuple[float, ...]
    spark: str
    cranking_rpm: float
    idle_rpm: float
    top_rpm: float
    dip: float
    compression: float
    advance_cranking: float
    advance_least: float
    advance_most: float
    dwell_ms: float
    sensor_deg: float
    gap_deg: float | None
    looks: str
    air_gap_mm: float
    air_gap_range: tuple[float, float]
    element: Element
    face_mm: float
    spacing_mm: float
    output: str | None
    on: On
    level: Level | None
    delay_us: float
    filter_us: float
    least_tooth_rate_hz: float
    needs_teeth: int
    least_volts: float
    arming: float
    ratio: float
    compares: Compares
    rows: tuple[Input, ...]

    @property
    def speeds(self) -> dict[str, tuple[float, float]]:
        """(rpm, advance) at cranking, idle (with the least advance) and top speed (with the most)."""
        return {
            "cranking": (self.cranking_rpm, self.advance_cranking),
            "idle": (self.idle_rpm, self.advance_least),
            "top": (self.top_rpm, self.advance_most),
        }


class _Reader:
    """Reads values from sections that may be missing, noting which were given."""

    def __init__(self) -> None:
        self.rows: list[Input] = []

    def take(self, section: Any, where: str, name: str, assumed: Any = None, *, listed: bool = True) -> Any:
        """The section's value, or what is assumed (None: the trade's table says it); a section's own default counts as
        assumed too."""
        value = getattr(section, name) if section is not None else None
        if value is None and assumed is None:
            assumed = ASSUMED[f"{where}.{name}"].value
        given = value is not None and name in section.model_fields_set
        value = assumed if value is None else value
        if listed:
            self.rows.append(Input(f"{where}.{name}", _plain(value), given))
        return value

    def note(self, key: str, value: object, given: bool = False) -> None:
        """A value that is worked out, or assumed without a key of its own."""
        self.rows.append(Input(key, _plain(value), given))


def inputs_of(job: Job, edges: Edges) -> Inputs:
    """All inputs of a job whose teeth are `edges`. DesignError names the sections and keys without which nothing can be
    said."""
    engine, sensor = _needed(job)
    read = _Reader()
    order, firing = _firing(engine, read)
    spark = read.take(engine, "engine", "spark", "wasted")
    dip = read.take(engine, "engine", "cranking_dip", assumed_dip(len(order)))
    compression = read.take(engine, "engine", "compression")
    read.note("rod length / crank throw", ROD_RATIO)
    read.note("exponent of compression", EXPONENT)
    read.note("degrees of run-up on the starter", RUN_UP_DEG)
    advance = _advance(engine, read)
    dwell = read.take(engine, "engine", "dwell")
    cranking = read.take(engine, "engine", "cranking_speed", CRANKING_RPM)
    idle = read.take(engine, "engine", "idle_speed")
    top = read.take(engine, "engine", "max_speed", TOP_RPM)
    seen = _sensor(sensor, read)
    level, least_volts = _level(job, sensor, read)
    ratio = read.take(job.controller, "controller", "ratio", default_ratio(edges.missing))
    compares = read.take(job.controller, "controller", "compares")
    arming = read.take(job.controller, "controller", "arming", listed=seen["element"] == "pole")
    held = read.take(job.controller, "controller", "filter")
    gap = first_gap(edges, job.wheel.gap_at)
    read.note("wheel.gap_at", job.wheel.gap_at, "gap_at" in job.wheel.model_fields_set or bool(job.wheel.gaps))
    read.note("edges", "measured in the files" if edges.source == "files" else "the design's, not measured", True)
    return Inputs(
        order=order,
        firing_deg=firing,
        coil_every_deg=coil_intervals_deg(order, firing, spark),
        spark=spark,
        cranking_rpm=cranking,
        idle_rpm=idle,
        top_rpm=top,
        dip=dip,
        compression=compression,
        advance_cranking=advance["cranking"],
        advance_least=advance["least"],
        advance_most=advance["most"],
        dwell_ms=dwell,
        gap_deg=None if gap is None else gap.at_deg,
        level=level,
        filter_us=held * US_PER_MS,
        least_volts=least_volts,
        arming=arming,
        ratio=ratio,
        compares=cast(Compares, compares),
        rows=tuple(read.rows),
        **seen,
    )


def _needed(job: Job) -> tuple[Engine, Sensor]:
    faults = Faults()
    engine, sensor = job.engine, job.sensor
    if engine is None:
        faults.add(("engine",), "is missing: without it nothing says when the crank slows and when sparks come")
    elif engine.cylinders is None and engine.firing_order is None:
        faults.add(("engine", "cylinders"), "is missing: the speed on the starter follows from it", hint="cylinders: 6")
    if sensor is None:
        faults.add(("sensor",), "is missing: without it nothing says when the gap passes")
    if engine is None or sensor is None or faults:
        raise DesignError(faults)
    return engine, sensor


def _firing(engine: Engine, read: _Reader) -> tuple[tuple[int, ...], tuple[float, ...]]:
    count = engine.cylinders or len(engine.firing_order or ())
    read.note("engine.cylinders", count, engine.cylinders is not None)
    order = engine.firing_order or tuple(range(1, count + 1))
    read.note("engine.firing_order", order, engine.firing_order is not None)
    said = engine.firing_angles or f"even, {CYCLE_DEG / len(order):g} apart"
    read.note("engine.firing_angles", said, engine.firing_angles is not None)
    return from_cylinder_one(order, engine.firing_angles)


def coil_intervals_deg(order: tuple[int, ...], firing_deg: tuple[float, ...], spark: str) -> tuple[float, ...]:
    """Crank degrees from a coil's spark before to each cylinder's own.

    A distributor's one coil fires for all; a coil of a companion pair every turn; own coils once a cycle. `wasted`
    where a cylinder has no companion is a coil of its own fired every turn.
    """
    if spark == "distributor":
        return tuple((angle - firing_deg[k - 1]) % CYCLE_DEG or CYCLE_DEG for k, angle in enumerate(firing_deg))
    return (360.0 if spark == "wasted" else CYCLE_DEG,) * len(order)


def pairs_of(inputs: Inputs) -> tuple[tuple[int, int], ...]:
    """The companions that share coils: only with `spark: wasted`, and only where they exist."""
    return tuple(companions(inputs.order, inputs.firing_deg)) if inputs.spark == "wasted" else ()


def _advance(engine: Engine, read: _Reader) -> dict[str, float]:
    out = {name: read.take(engine.advance, "engine.advance", name) for name in ("cranking", "least", "most")}
    out["most"] = max(out["most"], out["least"])
    return out


def _sensor(sensor: Sensor, read: _Reader) -> dict[str, Any]:
    element = read.take(sensor, "sensor", "element", element_of(sensor))
    read.note("sensor.at", sensor.at, True)
    out = {
        "element": element,
        "sensor_deg": sensor.at,
        "looks": sensor.looks,
        "on": read.take(sensor, "sensor", "times_on", times_on_of(sensor)),
        "air_gap_mm": read.take(sensor, "sensor", "air_gap"),
        "face_mm": read.take(sensor, "sensor", "face_diameter", FACE_MM),
    }
    around = (0.5 * out["air_gap_mm"], 1.5 * out["air_gap_mm"])
    out["air_gap_range"] = tuple(read.take(sensor, "sensor", "air_gap_range", around))
    out["spacing_mm"] = read.take(sensor, "sensor", "element_spacing", listed=element == "hall-differential")
    out["output"] = None if element == "pole" else read.take(sensor, "sensor", "output")
    out["delay_us"] = read.take(sensor, "sensor", "delay") * US_PER_MS
    out["least_tooth_rate_hz"] = read.take(sensor, "sensor", "least_tooth_rate", listed=element != "pole")
    out["needs_teeth"] = int(read.take(sensor, "sensor", "needs_teeth"))
    return out


def _level(job: Job, sensor: Sensor, read: _Reader) -> tuple[Level | None, float]:
    """The user's data point and the controller's threshold: the one means nothing without the other."""
    level = sensor.level
    least = read.take(job.controller, "controller", "least_volts", listed=level is not None)
    if level is not None:
        read.note("sensor.level", {"volts": level.volts, "at": level.at, "gap": level.gap}, True)
    return level, least


def _plain(value: Any) -> object:
    """A value as JSON holds it."""
    if isinstance(value, tuple | list):
        return [_plain(one) for one in value]
    return int(value) if isinstance(value, float) and value == int(value) else value
