"""Companions, timing and sensor figures held against what is published or known in the trade."""

import pint
import pytest

from wheelcad.trade import ignition as ig
from wheelcad.trade import sensing


@pytest.mark.parametrize(
    ("order", "pairs"),
    # common practice, no source: cylinders 360 degrees apart in these orders share a coil
    [
        ([1, 3, 4, 2], {(1, 4), (3, 2)}),
        ([1, 5, 3, 6, 2, 4], {(1, 6), (5, 2), (3, 4)}),
        ([1, 8, 4, 3, 6, 5, 7, 2], {(1, 6), (8, 5), (4, 7), (3, 2)}),
        ([1, 2, 4, 5, 3], set()),
        ([1, 3, 2], set()),
    ],
)
def test_companions(order, pairs):
    assert set(ig.companions(order)) == pairs


def test_microseconds_for_a_degree():
    # Source: pint, an independent library of units; 27.78 computed by hand
    units = pint.UnitRegistry()
    want = (units.Quantity(1, "degree") / units.Quantity(6000, "revolution/minute")).to("microsecond").magnitude
    assert ig.us_per_degree(6000) == pytest.approx(want, rel=1e-12)
    assert ig.us_per_degree(6000) == pytest.approx(27.78, abs=5e-3)


def test_a_lamp_that_counts_a_wasted_spark_shows_twice_the_speed():
    # Source: an answer on induction tachometers: two sparks where the meter expects one, "reads twice"; by hand, one
    # plug's sparks in a minute at 3000 are 1500 or, wasted, 3000, and a meter of four-strokes shows twice their number
    assert ig.lamp_rpm(3000, wasted=True) == 2 * 3000 == 6000
    assert ig.lamp_rpm(3000, wasted=False) == 2 * 1500


def test_thirty_six_less_one_with_the_gap_at_tdc():
    # common practice, no source: 36-1 has a tooth every 10 degrees, the first tooth after the gap 10 from its centre
    assert ig.first_tooth_centre_deg(0, 10, 1) == 350


def test_tooth_rate():
    # Source: arithmetic: 36 positions at 6000 rpm are 100 turns a second
    assert sensing.tooth_rate_hz(36, 6000) == 3600


def test_least_rim_speed():
    # Source: pickup makers' guides: 15 in/s
    assert pytest.approx(0.381) == sensing.RELUCTANCE_LEAST_SPEED_M_S
