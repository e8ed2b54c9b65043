"""What the controller must be told: where the gap and the first tooth stand against TDC, coils and tooth rate.

Degrees of crank from a feature passing the sensor to TDC of cylinder 1, 0 ≤ a < 360.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import NamedTuple

from wheelcad.codes import Check
from wheelcad.findings import Finding, at_least, at_most
from wheelcad.job.elements import CRANKING_RPM, element_of, slowest_rpm, times_on_of
from wheelcad.job.models import Engine, Sensor
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.ignition import companions, first_tooth_to_tdc, from_cylinder_one, to_tdc_deg
from wheelcad.trade.sensing import tooth_rate_hz
from wheelcad.words import speed


@dataclass(frozen=True)
class IgnitionDesign:
    """Numbers for the controller; those that need a sensor or an engine are None or empty without it.

    first_edge, first_tooth_centre, trailing_edge: of the first tooth after the gap, at the radius where the sensor
    reads it. use: what to type in, and why. companions: pairs that share a coil, of wasted spark alone. firing_order
    begins with cylinder 1, which fires at 0. at_deg: by cylinder, where each fires within what `spark` can tell apart:
    a turn of the crank for a coil each on wasted spark (those without a companion), a turn of the rotor for a
    distributor. tooth_rate_at_cranking_hz: at the mean speed; tooth_rate_slowest_hz: at the slowest moment, when
    compression holds the crank back, given or assumed.
    """

    gap_centre_to_tdc_deg: float | None
    first_edge_to_tdc_deg: float | None
    first_tooth_centre_to_tdc_deg: float | None
    trailing_edge_to_tdc_deg: float | None
    use_deg: float | None
    use_why: str
    spark: str
    companions: tuple[tuple[int, int], ...]
    at_deg: tuple[tuple[int, float], ...]
    firing_order: tuple[int, ...]
    firing_angles_deg: tuple[float, ...]
    tooth_rate_at_max_speed_hz: float | None
    tooth_rate_at_cranking_hz: float
    tooth_rate_slowest_hz: float
    findings: tuple[Finding, ...]

    def report(self) -> dict[str, object]:
        """report.json's `ignition`."""
        out = {field.name: getattr(self, field.name) for field in fields(self) if field.name != "findings"}
        out["companions"] = [list(pair) for pair in self.companions]
        return out | {"at_deg": [{"cylinder": one, "at_deg": at} for one, at in self.at_deg]}


WHY = {
    "leading": "the controller times on the leading edge of each tooth: the first edge after the gap",
    "trailing": "the controller times on the trailing edge of each tooth",
    "centre": "the signal crosses zero over the middle of each tooth; with a pickup's two wires swapped the gap cannot "
    "be told from a slot, and no number helps: swap them back",
}


DIFFERENTIAL = "a differential element switches where its two halves see the same field: over the middle of each tooth"
NO_GAP = "the wheel has no gap, so no tooth is the first: the controller learns from its cam signal which one is which"
NO_SENSOR = "no sensor in the job file, so nothing can be said of where the gap passes it"


def design_ignition(engine: Engine | None, sensor: Sensor | None, wheel: WheelDesign) -> IgnitionDesign:
    """The ignition numbers of an engine, a sensor and a wheel."""
    spark = "wasted"
    order: tuple[int, ...] = ()
    angles: tuple[float, ...] = ()
    if engine is not None and engine.firing_order is not None:
        spark = engine.spark
        order, angles = from_cylinder_one(engine.firing_order, engine.firing_angles)
    top = tooth_rate_hz(wheel.teeth.count, engine.max_speed) if engine is not None and engine.max_speed else None
    cranking = tooth_rate_hz(wheel.teeth.count, engine.cranking_speed if engine is not None else CRANKING_RPM)
    slow = tooth_rate_hz(wheel.teeth.count, slowest_rpm(engine))
    told = _to_tdc(sensor, wheel) if sensor is not None else _ToTdc()
    pairs = tuple(companions(order, angles)) if order and spark == "wasted" else ()
    return IgnitionDesign(
        **told._asdict(),
        spark=spark,
        companions=pairs,
        at_deg=_places(spark, pairs, order, angles),
        firing_order=order,
        firing_angles_deg=angles,
        tooth_rate_at_max_speed_hz=top,
        tooth_rate_at_cranking_hz=cranking,
        tooth_rate_slowest_hz=slow,
        findings=tuple(_findings(sensor, engine, top, slow)),
    )


def _places(
    spark: str, pairs: tuple[tuple[int, int], ...], order: tuple[int, ...], angles: tuple[float, ...]
) -> tuple[tuple[int, float], ...]:
    """See IgnitionDesign.at_deg. A distributor turns once in two turns of the crank."""
    fires = list(zip(order, angles, strict=True))
    if spark == "distributor":
        return tuple((one, at / 2) for one, at in fires)
    paired = {one for pair in pairs for one in pair}
    return tuple((one, at % 360.0) for one, at in fires if one not in paired) if spark == "wasted" else ()


def _why(sensor: Sensor, times_on: str) -> str:
    if times_on == "centre" and element_of(sensor) == "hall-differential":
        return DIFFERENTIAL
    return WHY[times_on]


class _ToTdc(NamedTuple):
    """What needs a sensor; see IgnitionDesign."""

    gap_centre_to_tdc_deg: float | None = None
    first_edge_to_tdc_deg: float | None = None
    first_tooth_centre_to_tdc_deg: float | None = None
    trailing_edge_to_tdc_deg: float | None = None
    use_deg: float | None = None
    use_why: str = NO_SENSOR


def _to_tdc(sensor: Sensor, wheel: WheelDesign) -> _ToTdc:
    gap = wheel.gaps[0]
    width = wheel.tooth_deg(wheel.read_at_mm(sensor))
    tooth = first_tooth_to_tdc(gap.at_deg, wheel.pitch_deg, gap.missing, width, sensor.at)
    times_on = times_on_of(sensor)
    use = {"leading": tooth.leading_deg, "trailing": tooth.trailing_deg, "centre": tooth.centre_deg}[times_on]
    return _ToTdc(
        gap_centre_to_tdc_deg=to_tdc_deg(gap.at_deg, sensor.at),
        first_edge_to_tdc_deg=tooth.leading_deg,
        first_tooth_centre_to_tdc_deg=tooth.centre_deg,
        trailing_edge_to_tdc_deg=tooth.trailing_deg,
        use_deg=use if gap.missing else None,
        use_why=_why(sensor, times_on) if gap.missing else NO_GAP,
    )


def _findings(sensor: Sensor | None, engine: Engine | None, top: float | None, slow: float) -> list[Finding]:
    """Whether the sensor follows the fastest teeth and sees the slowest."""
    out: list[Finding] = []
    if sensor is None:
        return out
    source = "teeth·rpm/60; the sensor's own figure"
    if sensor.max_tooth_rate is not None and top is not None:
        why = "teeth a second at max_speed, missing ones counted, against what the sensor can follow"
        out.append(at_most(Check.TOOTH_RATE, "sensor", top, "Hz", sensor.max_tooth_rate, why, source))
    if sensor.least_tooth_rate and element_of(sensor) != "pole":
        why = (
            f"teeth a second at the slowest moment on the starter, {speed(slowest_rpm(engine))}, when compression "
            "holds the crank back: more teeth, a faster starter, or a sensor that reads slower ones"
        )
        out.append(at_least(Check.TOOTH_RATE_LEAST, "sensor", slow, "Hz", sensor.least_tooth_rate, why, source, "warn"))
    return out
