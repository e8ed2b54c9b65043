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


@pytest.mark.parametrize(
    ("v", "intervals"),
    # common practice, no source: V-twins with one crankpin, and a 360-degree twin
    [(45, (315, 405)), (90, (270, 450)), (0, (360, 360))],
)
def test_twins(v, intervals):
    assert ig.v_twin_intervals_deg(v) == intervals


def test_table_of_twins_follows_the_rule():
    # Source: geometry: both rods on one pin fire 360 less and more the V; every row adds up to 720
    for name, intervals in ig.TWIN_INTERVALS_DEG.items():
        assert sum(intervals) == 720
        if name.startswith("V-twin"):
            assert intervals == ig.v_twin_intervals_deg(float(name.split()[1]))
    assert ig.TWIN_INTERVALS_DEG["parallel twin 360"] == (360, 360)


def test_eccentricity():
    # Source: asin(e/r), computed by hand: 0.1 mm at 75 mm
    assert ig.eccentricity_timing_deg(0.1, 75) == pytest.approx(0.0764, abs=5e-5)


def test_microseconds_for_a_degree():
    # Source: pint, an independent library of units; 27.78 computed by hand
    units = pint.UnitRegistry()
    want = (units.Quantity(1, "degree") / units.Quantity(6000, "revolution/minute")).to("microsecond").magnitude
    assert ig.us_per_degree(6000) == pytest.approx(want, rel=1e-12)
    assert ig.us_per_degree(6000) == pytest.approx(27.78, abs=5e-3)


def test_thirty_six_less_one_with_the_gap_at_tdc():
    # common practice, no source: 36-1 has a tooth every 10 degrees, the first tooth after the gap 10 from its centre
    assert ig.first_tooth_centre_deg(0, 10, 1) == 350


@pytest.mark.parametrize(
    ("diameter", "teeth", "pitch", "share"),
    # Source: exp(-2 pi gap / pitch), from memory of magnetic recording; computed by hand for 0.5 to 1.0 mm
    [(150, 36, 13.090, 0.7866), (120, 60, 6.2832, 0.6065)],
)
def test_signal_against_gap(diameter, teeth, pitch, share):
    got = sensing.rim_pitch_mm(diameter, teeth)
    assert got == pytest.approx(pitch, abs=5e-4)
    assert sensing.signal_ratio(0.5, 1.0, got) == pytest.approx(share, abs=5e-5)


def test_tooth_rate():
    # Source: arithmetic: 36 positions at 6000 rpm are 100 turns a second
    assert sensing.tooth_rate_hz(36, 6000) == 3600


def test_least_rim_speed():
    # Source: pickup makers' guides: 15 in/s
    assert pytest.approx(0.381) == sensing.RELUCTANCE_LEAST_SPEED_M_S
