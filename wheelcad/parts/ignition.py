"""What the controller must be told: where the gap and the first tooth stand against TDC, coils and tooth rate.

Degrees of crank from a feature passing the sensor to TDC of cylinder 1, 0 ≤ a < 360.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from wheelcad.codes import Check
from wheelcad.findings import Finding, at_most
from wheelcad.job.elements import element_of, times_on_of
from wheelcad.job.models import Job, Sensor
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.ignition import companions, first_tooth_to_tdc, from_cylinder_one, to_tdc_deg
from wheelcad.trade.sensing import tooth_rate_hz


@dataclass(frozen=True)
class IgnitionDesign:
    """Numbers for the controller; those that need a sensor or an engine are None without it.

    first_edge, first_tooth_centre, trailing_edge: of the first tooth after the gap, at the rim. reversed_centre: the
    slot centre a reluctance sensor of the wrong polarity times on. use: what to type in, and why.
    """

    gap_centre_to_tdc_deg: float | None
    first_edge_to_tdc_deg: float | None
    first_tooth_centre_to_tdc_deg: float | None
    trailing_edge_to_tdc_deg: float | None
    reversed_centre_to_tdc_deg: float | None
    use_deg: float | None
    use_why: str
    companions: tuple[tuple[int, int], ...]
    firing_order: tuple[int, ...]
    firing_angles_deg: tuple[float, ...]
    tooth_rate_at_max_speed_hz: float | None
    tooth_rate_at_cranking_hz: float
    findings: tuple[Finding, ...]

    def report(self) -> dict[str, object]:
        """report.json's `ignition`."""
        return {
            "gap_centre_to_tdc_deg": self.gap_centre_to_tdc_deg,
            "first_edge_to_tdc_deg": self.first_edge_to_tdc_deg,
            "first_tooth_centre_to_tdc_deg": self.first_tooth_centre_to_tdc_deg,
            "trailing_edge_to_tdc_deg": self.trailing_edge_to_tdc_deg,
            "reversed_polarity_centre_to_tdc_deg": self.reversed_centre_to_tdc_deg,
            "use_deg": self.use_deg,
            "use_why": self.use_why,
            "companions": [list(pair) for pair in self.companions],
            "firing_order": list(self.firing_order),
            "firing_angles_deg": list(self.firing_angles_deg),
            "tooth_rate_at_max_speed_hz": self.tooth_rate_at_max_speed_hz,
            "tooth_rate_at_cranking_hz": self.tooth_rate_at_cranking_hz,
        }


WHY = {
    "leading": "the controller times on the leading edge of each tooth: the first edge after the gap",
    "trailing": "the controller times on the trailing edge of each tooth",
    "centre": "a reluctance signal crosses zero over the middle of each tooth (over the middle of a slot when its two "
    "wires are swapped: then use reversed_polarity_centre_to_tdc_deg)",
}


DIFFERENTIAL = "a differential element switches where its two halves see the same field: over the middle of each tooth"
NO_GAP = "the wheel has no gap, so no tooth is the first: the controller learns from its cam signal which one is which"


def design_ignition(job: Job, wheel: WheelDesign) -> IgnitionDesign:
    """The ignition numbers of a job."""
    engine, sensor = job.engine, job.sensor
    order = engine.firing_order if engine is not None and engine.firing_order is not None else ()
    angles: tuple[float, ...] = ()
    if engine is not None and order:
        order, angles = from_cylinder_one(order, engine.firing_angles)
    top = tooth_rate_hz(wheel.teeth.count, engine.max_speed) if engine is not None and engine.max_speed else None
    cranking = tooth_rate_hz(wheel.teeth.count, engine.cranking_speed if engine is not None else 200.0)
    told = _to_tdc(sensor, wheel) if sensor is not None else _NOTHING
    return IgnitionDesign(
        **told._asdict(),
        companions=companions(order, angles) if order else (),
        firing_order=order,
        firing_angles_deg=angles,
        tooth_rate_at_max_speed_hz=top,
        tooth_rate_at_cranking_hz=cranking,
        findings=tuple(_findings(sensor, top)),
    )


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
    reversed_centre_to_tdc_deg: float | None = None
    use_deg: float | None = None
    use_why: str = "no sensor in the job file, so nothing can be said of where the gap passes it"


_NOTHING = _ToTdc()


def _to_tdc(sensor: Sensor, wheel: WheelDesign) -> _ToTdc:
    gap, pitch = wheel.gaps[0], wheel.pitch_deg
    tooth = first_tooth_to_tdc(gap.at_deg, pitch, gap.missing, pitch - 2 * wheel.slot.rim_half_deg, sensor.at)
    times_on = times_on_of(sensor)
    use = {"leading": tooth.leading_deg, "trailing": tooth.trailing_deg, "centre": tooth.centre_deg}[times_on]
    return _ToTdc(
        gap_centre_to_tdc_deg=to_tdc_deg(gap.at_deg, sensor.at),
        first_edge_to_tdc_deg=tooth.leading_deg,
        first_tooth_centre_to_tdc_deg=tooth.centre_deg,
        trailing_edge_to_tdc_deg=tooth.trailing_deg,
        reversed_centre_to_tdc_deg=to_tdc_deg(gap.at_deg - pitch * (gap.missing + 2) / 2, sensor.at),
        use_deg=use if gap.missing else None,
        use_why=_why(sensor, times_on) if gap.missing else NO_GAP,
    )


def _findings(sensor: Sensor | None, top: float | None) -> list[Finding]:
    if sensor is None or sensor.max_tooth_rate is None or top is None:
        return []
    why = "teeth a second at max_speed, missing ones counted, against what the sensor can follow"
    return [
        at_most(
            Check.TOOTH_RATE,
            "sensor",
            top,
            "Hz",
            sensor.max_tooth_rate,
            why,
            "teeth·rpm/60; the sensor's own figure",
            "fail",
        )
    ]
