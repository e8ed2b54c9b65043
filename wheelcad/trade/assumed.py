"""What is taken where a job does not say: one table, a line of source each, so that every page can print it as assumed.

Values in base units: degrees, rpm, mm, ms, Hz, kg; shares and ratios as they are. Keys are those of the job file.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from wheelcad.findings import PRACTICE

VEE_FROM = 7  # so many cylinders and more stand in a vee
VEE_DEG = {10: 72.0, 12: 60.0}  # by cylinders: even fire with pins shared
USUAL_VEE_DEG = 90.0
FEW_CYLINDERS = 4  # up to so many, the starter is slowed further between two firings
DIP_FEW = 0.5
CRANK_KG, CRANK_KG_EACH = 2.0, 3.0  # a crank without its flywheel, and for each cylinder; common practice, no source


@dataclass(frozen=True)
class Assumed:
    """A value that is taken where the job gives none. kind: of wheelcad.units, or "" for a bare number or a word."""

    value: float | str
    kind: str
    source: str


ASSUMED: Mapping[str, Assumed] = MappingProxyType(
    {
        "engine.idle_speed": Assumed(800.0, "speed", PRACTICE),
        # half for few cylinders: `assumed_dip`
        "engine.cranking_dip": Assumed(0.55, "", "beside a published trace of an eight, 85 of 150 rpm; " + PRACTICE),
        "engine.compression": Assumed(8.5, "", PRACTICE + "; it only shapes the ripple"),
        "engine.advance.cranking": Assumed(5.0, "angle", PRACTICE),
        "engine.advance.least": Assumed(5.0, "angle", PRACTICE),
        "engine.advance.most": Assumed(40.0, "angle", PRACTICE),
        "engine.dwell": Assumed(4.0, "time", PRACTICE),
        # of a four: `assumed_crank_kg`
        "balance.turns_with": Assumed(14.0, "mass", "a crank of 2 kg and 3 kg a cylinder, no flywheel: " + PRACTICE),
        "shop.cutter.corner": Assumed(0.2, "length", "a plain end mill's corners wear to 0.1 to 0.3 mm: " + PRACTICE),
        "sensor.element_spacing": Assumed(2.5, "length", PRACTICE),
        "sensor.output": Assumed("iron-low", "", "an open collector that iron switches on: " + PRACTICE),
        "sensor.delay": Assumed(0.01, "time", PRACTICE),
        "sensor.least_tooth_rate": Assumed(0.0, "frequency", "reads a wheel at rest: " + PRACTICE),
        "sensor.needs_teeth": Assumed(0.0, "", PRACTICE),
        "controller.least_volts": Assumed(0.3, "", PRACTICE),
        "controller.arming": Assumed(0.35, "", PRACTICE),
        "controller.compares": Assumed("last", "", PRACTICE),
        "controller.filter": Assumed(0.02, "time", PRACTICE),
        "tolerances.table_accuracy": Assumed(1 / 60, "angle", PRACTICE),
        "tolerances.centring": Assumed(0.05, "length", PRACTICE),
        "tolerances.bore_clearance": Assumed(0.03, "length", PRACTICE),
        "tolerances.tdc_mark": Assumed(0.25, "angle", PRACTICE),
        "tolerances.stop_marks": Assumed(0.3, "angle", PRACTICE),
        "tolerances.sensor_angle": Assumed(1.0, "length", PRACTICE),
        "tolerances.light_reading": Assumed(1.0, "angle", PRACTICE),
        "tolerances.gap_hot": Assumed(0.1, "length", PRACTICE),
    }
)


def assumed(key: str) -> float:
    """The number that is taken for a key. ValueError for one that is a word."""
    return float(ASSUMED[key].value)


def assumed_dip(cylinders: int) -> float:
    """Slowest speed over mean speed on the starter for an engine of so many cylinders; common practice, no source."""
    return DIP_FEW if cylinders <= FEW_CYLINDERS else assumed("engine.cranking_dip")


def assumed_layout(cylinders: int) -> str:
    """How so many cylinders stand where the job does not say: single, inline or vee; common practice, no source."""
    if cylinders == 1:
        return "single"
    return "vee" if cylinders >= VEE_FROM else "inline"


def assumed_vee_deg(cylinders: int) -> float:
    """The angle between the banks of a vee of so many cylinders; common practice, no source."""
    return VEE_DEG.get(cylinders, USUAL_VEE_DEG)


def assumed_crank_kg(cylinders: int | None) -> float:
    """Mass (kg) that turns with a plate wheel: a light crank without its flywheel; of a single where `cylinders` is not
    known, so that the limit is never too generous. Common practice, no source."""
    return CRANK_KG + CRANK_KG_EACH * (cylinders or 1)


def assumed_ratio(missing: int) -> float:
    """How much longer than its neighbour the gap's interval must be: (m + 2)/2, midway between 1 and m + 1.

    missing: of the smallest gap. ValueError when nothing is missing: then there is no gap to find.
    """
    if missing < 1:
        raise ValueError("a wheel without a missing tooth has no gap to find")
    return (missing + 2) / 2
