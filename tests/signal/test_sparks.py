"""Sparks: where teeth put them."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from tests.signal.closed import linear_early_deg, sinusoid
from tests.signal.wheels import edges_of, inputs_for, job_of, off_centre
from wheelcad.signal.edges import ideal_edges, passing
from wheelcad.signal.inputs import inputs_of
from wheelcad.signal.report import signal_of
from wheelcad.signal.sparks import (
    each_turn_deg,
    extrapolation_early_deg,
    lag_deg,
    last_before,
    rotor_window_deg,
)
from wheelcad.signal.speed import (
    even_speed,
)


def test_an_ideal_wheel_at_even_speed_is_exact() -> None:
    edges, inputs = inputs_for(cylinders=6)
    one = passing(edges, inputs.sensor_deg, "leading")
    asked = np.linspace(-400, 900, 1301)
    assert np.abs(extrapolation_early_deg(one, asked, even_speed())).max() < 1e-6


@pytest.mark.parametrize(("e", "r"), [(0.1, 75.0), (0.3, 60.0)])
def test_a_wheel_off_centre_puts_sparks_off_by_twice_asin(e: float, r: float) -> None:
    """Asked just after every tooth: what is left between teeth is the wheel's own error, 2·asin(e/r) over the wheel,
    less what the extrapolation over the small rest adds; within 1 %."""
    edges = off_centre(ideal_edges(60, ((0.0, 2),), 3.0, r), e, 117.0)
    one = passing(edges, 60.0, "centre")
    early = extrapolation_early_deg(one, one.nominal_deg + 1e-6, even_speed())
    assert np.ptp(early) == pytest.approx(2 * math.degrees(math.asin(e / r)), rel=0.01)


def test_a_crank_that_slows_has_its_spark_early() -> None:
    """At the steepest slowing of a small ripple, as the closed form says."""
    speed = sinusoid(0.05, 1)  # slowest at 180, slows most about 90
    edges = ideal_edges(36, ((200.0, 1),), 5, 80)
    one = passing(edges, 0.0, "centre")
    k = int(np.argmin(np.abs(one.crank_deg % 360 - 86)))
    early = extrapolation_early_deg(one, np.array([one.crank_deg[k] + 8]), speed)[0]
    assert early > 0
    assert early == pytest.approx(linear_early_deg(-0.05, 8, 10), rel=0.03)


def test_the_last_tooth_before_goes_round() -> None:
    crank = np.array([10.0, 100.0, 200.0, 300.0])
    index, turns = last_before(crank, np.array([5.0, 10.0, 299.9, 365.0, 371.0, -355.0]))
    assert list(index) == [3, 0, 2, 3, 0, 3]
    assert list(turns) == [-1, 0, 0, 0, 1, -2]


def test_delay_lags_by_6_n_tau() -> None:
    """10 µs at 6000 rpm 0.36°, 50 µs 1.8°."""
    assert lag_deg(6000, 10) == pytest.approx(0.36)
    assert lag_deg(6000, 50) == pytest.approx(1.8)
    none = job_of(4, sensor={"delay": 0}, controller={"filter": 0})
    some = job_of(4, sensor={"delay": "10 us"}, controller={"filter": "40 us"})
    top = [signal_of(job, edges_of(job), field=False).sparks[0].error_deg["top"] for job in (none, some)]
    assert top[0] - top[1] == pytest.approx(1.8, abs=1e-6)


def test_a_rotor_meets_its_post_over_half_the_advance() -> None:
    _, inputs = inputs_for(cylinders=6, engine={"spark": "distributor", "advance": {"least": 4, "most": 38}})
    assert rotor_window_deg(inputs) == pytest.approx(17)


def test_own_coils_fired_every_turn_stand_at_angles_of_a_turn() -> None:
    """A three and a V-twin have no companions; a four has none that lack one."""
    _, three = inputs_for(cylinders=3)
    assert each_turn_deg(three) == {1: 0, 2: 240, 3: 120}
    _, twin = inputs_for(cylinders=2, angles=[0, 270])
    assert each_turn_deg(twin) == {1: 0, 2: 270}
    _, four = inputs_for(cylinders=4)
    assert each_turn_deg(four) == {}
    _, own = inputs_for(cylinders=3, engine={"spark": "per-cylinder"})
    assert each_turn_deg(own) == {}


def test_a_constant_turn_of_the_wheel_s_mark_changes_no_spark() -> None:
    """What the controller is told is where tooth 1 is: turning the whole wheel and telling it so leaves even-speed
    errors at nothing."""
    job = job_of(4, gap_at=11.3, sensor={"at": 77.7, "delay": 0}, controller={"filter": 0}, engine={"cranking_dip": 1})
    inputs = inputs_of(job, edges_of(job))
    assert inputs.dip == 1
    for spark in signal_of(job, edges_of(job), field=False).sparks:
        assert spark.error_deg["cranking"] == pytest.approx(0, abs=1e-6)
    assert replace(inputs, dip=0.5).dip == 0.5
