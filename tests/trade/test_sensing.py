import math

import pytest

from wheelcad.findings import worst
from wheelcad.trade import sensing

GOOD_PICKUP = {
    "subject": "wheel",
    "tooth_top_mm": 4.0,
    "face_width_mm": 6.0,
    "slot_mm": 9.0,
    "depth_mm": 9.0,
    "pole_diameter_mm": 3.0,
    "air_gap_mm": 0.6,
    "rim_diameter_mm": 150.0,
    "cranking_rpm": 200.0,
}
GOOD_HALL = {
    "subject": "wheel",
    "tooth_top_mm": 7.0,
    "face_width_mm": 3.2,
    "slot_mm": 6.0,
    "depth_mm": 6.35,
    "sensing_diameter_mm": 6.0,
    "air_gap_mm": 0.8,
    "air_gap_range_mm": (0.5, 1.5),
}


def broken(findings):
    return [finding.check for finding in findings if finding.verdict != "pass"]


def test_good_pickup_passes_every_rule():
    found = sensing.reluctance_findings(**GOOD_PICKUP)
    assert len(found) == 7
    assert worst(found) == "pass"


@pytest.mark.parametrize(
    ("key", "value", "check"),
    [
        ("tooth_top_mm", 2.9, "tooth-top"),
        ("face_width_mm", 2.9, "ring-thickness"),
        ("slot_mm", 8.9, "slot-width"),
        ("depth_mm", 8.9, "slot-depth"),
        ("air_gap_mm", 0.9, "air-gap"),
        ("air_gap_mm", 0.3, "air-gap-least"),
        ("cranking_rpm", 40.0, "rim-speed-cranking"),
        ("depth_mm", math.nan, "slot-depth"),
    ],
)
def test_each_pickup_rule_breaks_alone_and_only_warns(key, value, check):
    found = sensing.reluctance_findings(**{**GOOD_PICKUP, key: value})
    assert broken(found) == [check]
    assert worst(found) == "warn"


def test_rules_without_numbers_are_left_out():
    found = sensing.reluctance_findings(subject="w", tooth_top_mm=1, face_width_mm=1, slot_mm=1, depth_mm=1)
    assert [finding.check for finding in found] == ["slot-depth"]


def test_good_hall_passes_every_rule():
    found = sensing.hall_findings(**GOOD_HALL)
    assert len(found) == 7
    assert worst(found) == "pass"


@pytest.mark.parametrize(
    ("key", "value", "check"),
    [
        ("face_width_mm", 2.9, "ring-thickness"),
        ("depth_mm", 1.9, "slot-depth"),
        ("slot_mm", 5.9, "sensing-part"),
        ("tooth_top_mm", 5.9, "sensing-part"),
        ("air_gap_mm", 1.6, "air-gap"),
        ("air_gap_mm", 0.4, "air-gap-least"),
    ],
)
def test_each_hall_rule_breaks_alone(key, value, check):
    assert broken(sensing.hall_findings(**{**GOOD_HALL, key: value})) == [check]


def test_narrow_teeth_and_slots_for_hall():
    found = sensing.hall_findings(**{**GOOD_HALL, "sensing_diameter_mm": None, "tooth_top_mm": 1.9, "slot_mm": 1.9})
    assert broken(found) == ["tooth-top", "slot-width"]
