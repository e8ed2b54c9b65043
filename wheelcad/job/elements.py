"""What a sensor is taken to be where the job leaves it open: one place for every reader."""

from __future__ import annotations

from typing import Literal

from wheelcad.job.standing import Sensor

Element = Literal["pole", "hall-fixed", "hall-selfsetting", "hall-differential", "vane"]
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
