"""A bracket shaken through an engine's speeds, by one mass on a spring worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from wheelcad.checks.fem.limits import BracketLimits, keeps, wanted_times
from wheelcad.checks.fem.model import Held, ModeShare, ShakeAnswer, scaled
from wheelcad.checks.fem.response import BETWEEN, Peak, Speeds, between, worst, worst_by_order
from wheelcad.trade.excitation import Order

FIRING = Order(1.0, 1.0, names=("firing",))
SPEEDS = Speeds((FIRING,), 800.0, 6000.0, (1.0, 0.0, 0.0))
LIMITS = BracketLimits(0.2, 0.2, 80.0, 400.0, 240.0, 80.0)


def one_mass(hz: float = 60.0) -> Held:
    """All of its slow answer is one mode's: 0.01 mm of gap, 0.004 mm round the crank, 2 MPa."""
    share = ModeShare(0.01, (0.004, 0.003, 0.0), 2.0, 1.0)
    return Held("", (hz,), (ShakeAnswer("up", (0.0, 0.0, 1.0), 0.01, (0.004, 0.003, 0.0), 2.0, (share,)),))


def test_at_resonance_everything_grows_by_one_over_twice_the_damping() -> None:
    """60 Hz is met by order 1 at 3600 rpm: 1/(2·0.02) = 25 times the slow answer."""
    found = worst([one_mass()], SPEEDS)
    assert found.gap.size == pytest.approx(0.25, rel=1e-3)
    assert found.gap.rpm == pytest.approx(3600, abs=1.0)
    assert found.gap.times == pytest.approx(25.0, rel=1e-3)
    assert found.aside.size == pytest.approx(0.1, rel=1e-3)
    assert found.load.size == pytest.approx(250.0, rel=1e-3)
    # stress is a bound: |A - 1| + 1 times the slow one
    assert found.stress.size == pytest.approx(2.0 * (1 + 25.02), rel=1e-3)
    assert worst([one_mass()], SPEEDS, 0.01).gap.size == pytest.approx(0.5, rel=1e-3)
    assert worst([one_mass()], SPEEDS, 0.05).gap.size == pytest.approx(0.1, rel=2e-3)


def test_a_third_above_it_answers_2_3_times() -> None:
    """Shaken at 100 Hz at most, its own 133.3 Hz: 1/(1 - (3/4)²) = 16/7."""
    found = worst([one_mass(400 / 3)], SPEEDS)
    assert found.gap.times == pytest.approx(16 / 7, rel=3e-3)
    assert found.gap.rpm == 6000


def test_what_no_mode_accounts_for_does_not_grow() -> None:
    held = one_mass()
    more = replace(held, shakes=(replace(held.shakes[0], gap_change_mm=0.03),))
    # 0.02 stands beside 0.25 at a right angle
    assert worst([more], SPEEDS).gap.size == pytest.approx((0.25**2 + 0.02**2) ** 0.5, rel=2e-3)


def test_weak_orders_and_low_speeds_count_for_less() -> None:
    half = replace(FIRING, falls=0.5)
    assert worst([one_mass()], replace(SPEEDS, orders=(half,))).gap.size == pytest.approx(0.125, rel=1e-3)
    inertia = replace(FIRING, strength=0.0, inertia=1.0)
    by_speed = worst([one_mass()], replace(SPEEDS, orders=(inertia,)))
    assert by_speed.gap.size == pytest.approx(0.25 * (3600 / 6000) ** 2, rel=0.02)
    idle = replace(SPEEDS, idle_rpm=5000.0)
    assert worst([one_mass()], idle).gap.size < 0.05  # run through on the starter only
    each = worst_by_order([one_mass()], replace(SPEEDS, orders=(FIRING, half)))
    assert [order for order, _ in each] == [FIRING, half]


def test_between_two_clampings_a_resonance_is_found() -> None:
    """Neither 80 nor 125 Hz is met from 5400 to 6000 rpm (90 to 100 Hz), but what lies between is."""
    soft, stiff = one_mass(80.0), scaled(one_mass(80.0), 125 / 80)
    fast = replace(SPEEDS, idle_rpm=5400.0)
    assert [round(h.first_hz, 1) for h in between([soft, stiff])] == [80.0, 89.4, 100.0, 111.8, 125.0]
    assert len(between([soft, stiff])) == BETWEEN
    alone = max(worst([one], fast).gap.times for one in (soft, stiff))
    assert worst([soft, stiff], fast).gap.times > 4 * alone


def test_a_stiffer_bracket_gives_way_with_the_square() -> None:
    twice = scaled(one_mass(), 2.0)
    assert twice.frequencies_hz == (120.0,)
    assert twice.shakes[0].gap_change_mm == pytest.approx(0.0025)
    assert twice.shakes[0].modes[0].stress_mpa == pytest.approx(1.0)


def test_how_much_stiffer_it_must_be() -> None:
    """At 60 Hz it loses 0.25 mm of a limit of 0.2; 0.25/k² is met by k = 1.118."""
    assert not keeps(worst([one_mass()], SPEEDS), LIMITS)
    assert wanted_times([one_mass()], SPEEDS, LIMITS) == pytest.approx(1.118, rel=0.02)
    assert wanted_times([one_mass(600.0)], SPEEDS, LIMITS) == 1.0
    assert wanted_times([one_mass(1.5)], SPEEDS, replace(LIMITS, gap=1e-9)) == float("inf")
    found = worst([one_mass()], SPEEDS)
    wide = replace(LIMITS, gap=1.0)
    assert keeps(found, wide)
    for name, low in (("aside", 0.09), ("stress", 52.0), ("load", 249.0)):
        assert not keeps(found, replace(wide, **{name: low}))


def test_what_is_shaken_slowly_is_not_amplified() -> None:
    assert Peak(0.3).times == worst([], SPEEDS).gap.times == 1.0
