"""Speed over a cycle: its times, its dip, its inverse."""

from __future__ import annotations

import numpy as np
import pytest

from tests.signal.closed import compression_speed, sinusoid
from wheelcad.signal.speed import (
    at_other_speed,
    compression_work,
    even_speed,
    from_speed,
    gas_work,
)


@pytest.mark.parametrize("dip", [1.0, 0.9, 0.55, 0.3, 0.1])
@pytest.mark.parametrize("firing", [[0], [0, 270], [0, 180, 360, 540], [60 * k for k in range(12)]])
def test_the_slowest_moment_is_the_dip_and_the_mean_is_one(dip: float, firing: list[float]) -> None:
    speed = compression_speed(firing, dip)
    assert speed.dip == pytest.approx(dip, abs=2e-4)
    assert speed.time_deg[-1] == pytest.approx(720)
    assert 720 / np.mean(1 / speed.share) == pytest.approx(720, rel=1e-9)


def test_the_crank_is_slowest_just_at_tdc_where_the_gas_holds_most() -> None:
    """Energy alone: what the gas holds is missing from the crank, so that speed is least at TDC itself."""
    speed = compression_speed([0, 180, 360, 540], 0.5)
    assert np.argmin(speed.share) * 0.25 % 180 == 0


def test_work_is_nothing_at_bottom_and_outside_the_closed_half() -> None:
    assert compression_work([180, -180, 200, 300, 360], 8.5) == pytest.approx(0, abs=1e-12)
    assert compression_work(0, 8.5) > compression_work(30, 8.5) > compression_work(90, 8.5) > 0


def test_time_of_a_sinusoid_against_its_integral() -> None:
    """∫dθ/(1 + s·cos θ) = 2/√(1 - s²)·atan(√((1-s)/(1+s))·tan(θ/2)); a turn takes 2π/√(1 - s²)."""
    s = 0.4
    speed = sinusoid(s, 1)
    theta = np.radians(np.arange(1.0, 180.0, 7.3))
    exact = 2 / np.sqrt(1 - s * s) * np.arctan(np.sqrt((1 - s) / (1 + s)) * np.tan(theta / 2))
    mean = np.sqrt(1 - s * s)  # of the speed, by time
    assert speed.when(np.degrees(theta)) == pytest.approx(np.degrees(exact) * mean, abs=1e-6)
    assert speed.share_at(np.degrees(theta)) == pytest.approx((1 + s * np.cos(theta)) / mean, abs=1e-5)


def test_angle_undoes_when() -> None:
    speed = compression_speed([0, 180, 360, 540], 0.3)
    at = np.linspace(-1500, 1500, 997)
    assert speed.angle(speed.when(at)) == pytest.approx(at, abs=1e-6)


def test_even_speed_is_exact() -> None:
    at = np.linspace(-800, 1600, 333)
    assert even_speed().when(at) == pytest.approx(at, abs=1e-9)


def test_720_on_and_another_beginning_change_nothing() -> None:
    one, other = gas_work([0, 90, 240, 330, 480, 570], 8.5), gas_work([720, 810, 240, 1050, 480, 570], 8.5)
    assert one == pytest.approx(other, abs=1e-12)


def test_the_ripple_falls_with_the_square_of_the_speed() -> None:
    work = gas_work([0, 180, 360, 540], 8.5)
    slow, fast = at_other_speed(work, 0.5, 200, 200), at_other_speed(work, 0.5, 200, 2000)
    assert slow.dip == pytest.approx(0.5, abs=2e-4)
    assert fast.dip == pytest.approx(1 - (1 - 0.5) / 100, abs=0.01)
    assert np.ptp(fast.share) < np.ptp(slow.share) / 50


def test_a_dead_cylinder_is_left_out() -> None:
    whole, dead = gas_work([0, 180, 360, 540], 8.5), gas_work([0, 180, 360], 8.5)
    assert (whole - dead)[4 * 540] > (whole - dead)[4 * 180]


@pytest.mark.parametrize("dip", [0.0, -0.5, 1.1])
def test_dips_that_cannot_be_are_refused(dip: float) -> None:
    with pytest.raises(ValueError, match="slowest speed"):
        compression_speed([0], dip)


def test_a_crank_that_stops_is_refused() -> None:
    with pytest.raises(ValueError, match="greater than nothing"):
        from_speed(np.zeros(2880))
    with pytest.raises(ValueError, match="less than 1"):
        sinusoid(1.0, 2)
    with pytest.raises(ValueError, match="greater than 1"):
        compression_work(0, 1)
