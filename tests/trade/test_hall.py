"""What each kind of Hall element wants of the teeth."""

from __future__ import annotations

import math
from typing import Any

import pytest

from wheelcad.findings import worst
from wheelcad.trade import hall

GOOD: dict[str, Any] = {
    "subject": "wheel",
    "tooth_top_mm": 7.0,
    "face_width_mm": 3.2,
    "slot_mm": 6.0,
    "depth_mm": 6.35,
    "sensing_mm": 4.0,
    "spacing_mm": 2.5,
    "air_gap_mm": 0.8,
    "air_gap_range_mm": (0.5, 1.5),
}
COUNT = {"hall-fixed": 8, "hall-selfsetting": 8, "hall-differential": 8, "vane": 7}


def broken(found: list[Any]) -> list[str]:
    return [str(finding.check) for finding in found if finding.verdict != "pass"]


@pytest.mark.parametrize("element", hall.HALL_RULES)
def test_a_good_wheel_passes_every_rule(element: hall.HallElement) -> None:
    found = list(hall.hall_findings(element, hall.Target(**GOOD)))
    assert len(found) == COUNT[element]
    assert worst(found) == "pass"


@pytest.mark.parametrize(
    ("element", "change", "checks"),
    [
        ("hall-selfsetting", {"face_width_mm": 2.9}, ["ring-thickness"]),
        ("hall-selfsetting", {"depth_mm": 1.9}, ["slot-depth"]),
        ("hall-selfsetting", {"slot_mm": 3.9}, ["sensing-part"]),
        ("hall-selfsetting", {"tooth_top_mm": 3.9}, ["sensing-part"]),
        ("hall-selfsetting", {"air_gap_mm": 1.6}, ["air-gap"]),
        ("hall-selfsetting", {"air_gap_mm": 0.4}, ["air-gap-least"]),
        ("hall-selfsetting", {"slot_mm": 2.4, "sensing_mm": 2, "air_gap_mm": 1.4}, ["slot-swing"]),
        ("hall-selfsetting", {"tooth_top_mm": 1.9, "slot_mm": 1.9, "sensing_mm": None},
         ["tooth-top", "slot-width"]),
        ("hall-selfsetting", {"tooth_top_mm": 40}, []),  # it times on edges: no tooth is too wide
        ("hall-fixed", {"tooth_top_mm": 40}, []),
        ("hall-fixed", {"air_gap_range_mm": (0.5, 2.5)}, ["slot-swing"]),
        ("hall-differential", {"tooth_top_mm": 14}, ["widest-tooth"]),
        ("hall-differential", {"spacing_mm": 10.0}, ["element-spacing"]),
        ("hall-differential", {"slot_mm": 3.0}, []),  # its sensing part is two small elements
        ("vane", {"tooth_top_mm": 5.5}, ["sensing-part"]),
        ("vane", {"slot_mm": 4.9}, ["slot-width", "sensing-part"]),
        ("vane", {"depth_mm": 4.9}, ["slot-depth"]),
        ("vane", {"face_width_mm": 1.2}, []),  # a thin blade is enough
        ("vane", {"face_width_mm": 0.8}, ["ring-thickness"]),
    ],
)  # fmt: skip
def test_each_rule_breaks_alone(element: hall.HallElement, change: dict[str, Any], checks: list[str]) -> None:
    found = list(hall.hall_findings(element, hall.Target(**{**GOOD, **change})))
    assert broken(found) == checks
    assert all(f.verdict == "warn" for f in found if f.verdict != "pass")


def test_one_level_does_for_a_range_of_gaps_as_the_field_says() -> None:
    """Over a tooth the field is U/gap, over a deep slot U/√(gap² + (slot/2)²): at the slot that is asked for, the field
    over a tooth at the greatest gap (and a quarter more) just reaches that over the slot at the least."""
    for low, high in ((0.5, 1.5), (0.8, 0.8), (0.3, 2.0)):
        slot = hall.least_slot_fixed_mm(low, high)
        assert 1 / (hall.LEVEL_ROOM * high) == pytest.approx(1 / math.hypot(low, slot / 2))
    with pytest.raises(ValueError, match="range"):
        hall.least_slot_fixed_mm(1.0, 0.5)


def test_the_field_falls_to_the_share_that_is_asked_for() -> None:
    for gap in (0.4, 1.0):
        u = hall.least_slot_selfsetting_mm(gap) / (2 * gap)
        assert 1 / math.sqrt(1 + u * u) == pytest.approx(hall.LEAST_DIP)
    with pytest.raises(ValueError, match="greater than nothing"):
        hall.least_slot_selfsetting_mm(0.0)
