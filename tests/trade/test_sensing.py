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
    "sensing_mm": 3.0,
    "air_gap_mm": 0.6,
    "rim_diameter_mm": 150.0,
    "slowest_rpm": 110.0,
}


def broken(findings):
    return [finding.check for finding in findings if finding.verdict != "pass"]


def test_good_pickup_passes_every_rule():
    found = list(sensing.reluctance_findings(sensing.Target(**GOOD_PICKUP)))
    assert len(found) == 8
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
        ("slowest_rpm", 40.0, "rim-speed-cranking"),
        ("tooth_top_mm", 8.0, "widest-tooth"),
        ("depth_mm", math.nan, "slot-depth"),
    ],
)
def test_each_pickup_rule_breaks_alone_and_only_warns(key, value, check):
    found = list(sensing.reluctance_findings(sensing.Target(**{**GOOD_PICKUP, key: value})))
    assert broken(found) == [check]
    assert worst(found) == "warn"


def test_rules_without_numbers_are_left_out():
    found = sensing.reluctance_findings(sensing.Target("w", 1, 1, 1, 1))
    assert [finding.check for finding in found] == ["slot-depth"]


def test_the_widest_tooth_is_about_where_the_field_has_a_twentieth_of_its_slope():
    """Own field solutions (slots of 6 mm), tooth at which the crossing's share is 0.05, read off by interpolation; the
    rule of thumb must lie within a sixth of each: pole 4 mm at gaps .5, .8, 1.2, pole 2.5 at .8; elements of 4 mm, 2.5
    apart, likewise, and 2.5 mm."""
    for part, gap, found in (
        (4, 0.5, 9.3), (4, 0.8, 10.5), (4, 1.2, 12.6), (2.5, 0.8, 8.8),
        (6.5, 0.5, 12.0), (6.5, 0.8, 13.4), (6.5, 1.2, 14.8), (5.0, 0.8, 11.1),
    ):  # fmt: skip
        assert sensing.widest_tooth_mm(part, gap) == pytest.approx(found, rel=1 / 6)
    with pytest.raises(ValueError, match="greater than nothing"):
        sensing.widest_tooth_mm(0, 1)
