"""What a sensor is taken to be where the job leaves it open: one place for every reader."""

from __future__ import annotations

from typing import Literal

from wheelcad.job.rotating import Engine
from wheelcad.job.stationary import Sensor
from wheelcad.trade.assumed import assumed, assumed_dip

Element = Literal["pole", "hall-fixed", "hall-selfsetting", "hall-differential", "vane"]
CRANKING_RPM = 200.0  # where no engine says; common practice, no source
MANY_CYLINDERS = 6
KIND_OF = {
    "pole": "reluctance",
    "hall-fixed": "hall",
    "hall-selfsetting": "hall",
    "hall-differential": "hall",
    "vane": "hall",
}


def element_of(sensor: Sensor) -> Element:
    """What senses: as written, or a pole for reluctance and a self-setting element for hall (then assumed)."""
    if sensor.element is not None:
        return sensor.element
    return "pole" if sensor.kind == "reluctance" else "hall-selfsetting"


def times_on_of(sensor: Sensor) -> Literal["leading", "trailing", "centre"]:
    """What the controller times on: as written, or the centre where the element itself switches there."""
    if sensor.times_on is not None:
        return sensor.times_on
    return "centre" if element_of(sensor) in ("pole", "hall-differential") else "leading"


def spacing_of(sensor: Sensor) -> float:
    """Distance (mm) of a differential's two elements along the motion: as written, or assumed."""
    return assumed("sensor.element_spacing") if sensor.element_spacing is None else sensor.element_spacing


def cylinders_of(engine: Engine | None) -> int | None:
    """How many cylinders the job tells of, by their count or their firing order; None for neither."""
    if engine is None:
        return None
    return engine.cylinders or (len(engine.firing_order) if engine.firing_order else None)


def dip_of(engine: Engine | None) -> float:
    """Slowest over mean speed on the starter: as written, or assumed by the cylinders (of many where none are told)."""
    if engine is not None and engine.cranking_dip is not None:
        return engine.cranking_dip
    return assumed_dip(cylinders_of(engine) or MANY_CYLINDERS)


def slowest_rpm(engine: Engine | None) -> float:
    """Crank speed (rpm) at the slowest moment on the starter: it is there that teeth come too slowly."""
    return (CRANKING_RPM if engine is None else engine.cranking_speed) * dip_of(engine)
