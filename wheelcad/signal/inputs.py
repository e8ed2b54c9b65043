"""Everything that the signal's numbers rest on, each marked as given in the job or assumed.

Assumptions are common practice without a source unless their line says otherwise; every one is printed with the
results. What nothing rests on is not listed: without `sensor.level` no voltage is, and no voltage comes out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal, cast

from wheelcad.errors import Faults
from wheelcad.job.models import Engine, Job, Sensor
from wheelcad.signal.decode import Compares, default_ratio
from wheelcad.signal.edges import Edges, On, first_gap
from wheelcad.signal.speed import EXPONENT, ROD_RATIO
from wheelcad.trade.ignition import CYCLE_DEG, companions, firing_angles_even

Element = Literal["pole", "hall-fixed", "hall-selfsetting", "hall-differential", "vane"]

DIP, DIP_FEW, FEW = 0.55, 0.5, 4  # slowest over mean speed on the starter; of four or fewer cylinders
COMPRESSION = 8.5
ADVANCE = {"cranking": 5.0, "least": 5.0, "most": 40.0}  # degrees before TDC
DWELL_MS = 4.0
IDLE_RPM, TOP_RPM, CRANKING_RPM = 800.0, 6000.0, 200.0
FACE_MM = 4.0  # width of a pole or Hall element along the motion
SPACING_MM = 2.5  # between the two elements of a differential sensor
ARMING = 0.35  # share of the last peak
LEAST_VOLTS = 0.3
DELAY_US, FILTER_US = 10.0, 20.0
RUN_UP_DEG = 90.0  # of crank in which a starter brings the crank to about two thirds of its speed


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
class Level:
    """The one signal that was measured or stands in a data sheet: volts peak to peak at a speed and a gap."""

    volts: float
    rpm: float
    gap_mm: float


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

    def take(self, section: Any, where: str, name: str, assumed: Any, *, listed: bool = True) -> Any:
        """The section's value, or what is assumed; a default that the section itself fills in counts as assumed."""
        value = getattr(section, name, None) if section is not None else None
        given = value is not None and name in section.model_fields_set
        value = assumed if value is None else value
        if listed and value is not None:
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
    dip = read.take(engine, "engine", "cranking_dip", DIP_FEW if len(order) <= FEW else DIP)
    compression = read.take(engine, "engine", "compression", COMPRESSION)
    read.note("rod length / crank throw", ROD_RATIO)
    read.note("exponent of compression", EXPONENT)
    read.note("crank degrees of run-up on the starter", RUN_UP_DEG)
    advance = _advance(engine, read)
    dwell = read.take(engine, "engine", "dwell", DWELL_MS)
    cranking = read.take(engine, "engine", "cranking_speed", CRANKING_RPM)
    idle = read.take(engine, "engine", "idle_speed", IDLE_RPM)
    top = read.take(engine, "engine", "max_speed", TOP_RPM)
    seen = _sensor(sensor, read)
    level, least_volts = _volts(job, sensor, read)
    controller = getattr(job, "controller", None)
    pole = seen["element"] == "pole"
    gap = first_gap(edges, job.wheel.gap_at)
    ratio = read.take(controller, "controller", "ratio", default_ratio(edges.missing))
    compares = read.take(controller, "controller", "compares", "last")
    arming = read.take(controller, "controller", "arming", ARMING, listed=pole)
    held = read.take(controller, "controller", "filter", FILTER_US)
    read.note("wheel.gap_at", job.wheel.gap_at, "gap_at" in job.wheel.model_fields_set or bool(job.wheel.gaps))
    read.note("edges", f"measured in {edges.source}" if edges.source == "files" else "the design's, not measured", True)
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
        filter_us=held,
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
    faults.raise_if_any()
    assert engine is not None
    assert sensor is not None
    return engine, sensor


def cylinder_one_first(
    order: tuple[int, ...], angles_deg: tuple[float, ...]
) -> tuple[tuple[int, ...], tuple[float, ...]]:
    """Order and firing angles turned so that cylinder 1 (the lowest number) fires at 0 and comes first, ascending."""
    zero = angles_deg[order.index(min(order))]
    pairs = sorted(
        (round((angle - zero) % CYCLE_DEG, 9) % CYCLE_DEG, one) for one, angle in zip(order, angles_deg, strict=True)
    )
    return tuple(one for _, one in pairs), tuple(angle for angle, _ in pairs)


def _firing(engine: Engine, read: _Reader) -> tuple[tuple[int, ...], tuple[float, ...]]:
    count = engine.cylinders or len(engine.firing_order or ())
    read.note("engine.cylinders", count, engine.cylinders is not None)
    order = engine.firing_order or tuple(range(1, count + 1))
    read.note("engine.firing_order", order, engine.firing_order is not None)
    angles = engine.firing_angles or firing_angles_even(len(order))
    read.note("engine.firing_angles", angles, engine.firing_angles is not None)
    return cylinder_one_first(order, angles)


def coil_intervals_deg(order: tuple[int, ...], firing_deg: tuple[float, ...], spark: str) -> tuple[float, ...]:
    """Crank degrees from a coil's spark before to each cylinder's own.

    A distributor's one coil fires for all; a coil of a companion pair every turn; own coils once a cycle. `wasted` where
    a cylinder has no companion is a coil of its own fired every turn.
    """
    if spark == "distributor":
        return tuple((angle - firing_deg[k - 1]) % CYCLE_DEG or CYCLE_DEG for k, angle in enumerate(firing_deg))
    return (360.0 if spark == "wasted" else CYCLE_DEG,) * len(order)


def pairs_of(inputs: Inputs) -> tuple[tuple[int, int], ...]:
    """The companions that share coils: only with `spark: wasted`, and only where they exist."""
    return companions(inputs.order, inputs.firing_deg) if inputs.spark == "wasted" else ()


def _advance(engine: Engine, read: _Reader) -> dict[str, float]:
    section = getattr(engine, "advance", None)
    out = {name: read.take(section, "engine.advance", name, least) for name, least in ADVANCE.items()}
    out["most"] = max(out["most"], out["least"])
    return out


def _sensor(sensor: Sensor, read: _Reader) -> dict[str, Any]:
    element = read.take(sensor, "sensor", "element", "pole" if sensor.kind == "reluctance" else "hall-selfsetting")
    by_centre = element in ("pole", "hall-differential")
    read.note("sensor.at", sensor.at, True)
    out = {
        "element": element,
        "sensor_deg": sensor.at,
        "looks": sensor.looks,
        "on": read.take(sensor, "sensor", "times_on", "centre" if by_centre else "leading"),
        "air_gap_mm": read.take(sensor, "sensor", "air_gap", 0.8),
        "face_mm": read.take(sensor, "sensor", "face_diameter", FACE_MM),
    }
    around = (0.5 * out["air_gap_mm"], 1.5 * out["air_gap_mm"])
    out["air_gap_range"] = tuple(read.take(sensor, "sensor", "air_gap_range", around))
    differential = element == "hall-differential"
    out["spacing_mm"] = read.take(sensor, "sensor", "element_spacing", SPACING_MM, listed=differential)
    out["output"] = None if element == "pole" else read.take(sensor, "sensor", "output", "iron-low")
    out["delay_us"] = read.take(sensor, "sensor", "delay", DELAY_US)
    out["least_tooth_rate_hz"] = read.take(sensor, "sensor", "least_tooth_rate", 0.0, listed=element != "pole")
    out["needs_teeth"] = read.take(sensor, "sensor", "needs_teeth", 0)
    return out


def _volts(job: Job, sensor: Sensor, read: _Reader) -> tuple[Level | None, float]:
    """The user's data point and the controller's threshold: the one means nothing without the other."""
    said = getattr(sensor, "level", None)
    controller = getattr(job, "controller", None)
    least = read.take(controller, "controller", "least_volts", LEAST_VOLTS, listed=said is not None)
    if said is None:
        return None, least
    level = Level(said.volts, said.at, said.gap)
    read.note("sensor.level", {"volts": level.volts, "at": level.rpm, "gap": level.gap_mm}, True)
    return level, least


def _plain(value: Any) -> object:
    """A value as JSON holds it."""
    if isinstance(value, tuple | list):
        return [_plain(one) for one in value]
    return value
