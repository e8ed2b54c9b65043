"""Teeth too weak for a pickup, and volts that come only from the user's own point."""

from __future__ import annotations

import numpy as np
import pytest

from tests.signal.wheels import edges_of, inputs_for, job_of
from wheelcad.job.models import Job
from wheelcad.signal.edges import passing
from wheelcad.signal.gapmap import cranking_speed
from wheelcad.signal.inputs import inputs_of
from wheelcad.signal.report import signal_of
from wheelcad.signal.weak import Strength, least_rpm, lost_teeth, peak_volts

LEVEL = {"volts": 1.2, "at": "200 rpm", "gap": 0.8}


def pole(least_volts: float, **more: object) -> Job:
    return job_of(
        4, sensor={"kind": "reluctance", "level": LEVEL}, controller={"least_volts": least_volts, **more}, gap_at=300
    )


def test_loss_begins_at_the_slowest_tooth() -> None:
    """Ordinary peak at the mean speed of 200 rpm: 0.6 V. Raising the least volts step by step, the teeth that go first
    are those that pass slowest."""
    job = pole(0.1)
    edges = edges_of(job)
    inputs = inputs_of(job, edges)
    one = passing(edges, inputs.sensor_deg, "centre", inputs.gap_deg).turns(2)
    share = cranking_speed(inputs).share_at(one.crank_deg)
    counts = []
    for least in np.arange(0.26, 0.61, 0.01):
        found = lost_teeth(inputs_of(pole(float(least)), edges), one.steps, share)
        assert found is not None
        counts.append(int(found.sum()))
        if found.any() and not found.all():
            assert share[found].max() <= share[~found].min()
    first = next(k for k, n in enumerate(counts) if n)
    assert counts[0] == 0
    assert 0 < counts[first] < 12
    assert counts == sorted(counts)
    assert 0.6 * share.min() == pytest.approx(0.26 + 0.01 * first, abs=0.011)


def test_a_tooth_lost_is_no_sync() -> None:
    edges = edges_of(pole(0.1))
    sound, weak = signal_of(pole(0.1), edges, field=False), signal_of(pole(0.45), edges, field=False)
    assert sound.margin > 1
    assert weak.margin < 1
    assert weak.gaps is not None
    assert sound.gaps is not None
    assert weak.gaps.margin.max() < 1  # teeth are lost at the slow moments wherever the gap is
    assert sound.gaps.margin.max() > 1


def test_least_rpm_puts_the_slowest_tooth_at_the_least_volts() -> None:
    edges = edges_of(pole(0.3))
    signal = signal_of(pole(0.3), edges, field=False)
    assert signal.least_rpm == pytest.approx(0.3 / (0.6 / 200 * signal.slowest))
    volts = peak_volts(signal.inputs, signal.least_rpm or 0, signal.slowest, Strength())
    assert volts == pytest.approx(0.3)


def test_without_the_point_there_are_no_volts() -> None:
    _, inputs = inputs_for(cylinders=4, sensor={"kind": "reluctance"})
    assert peak_volts(inputs, 200, 1.0, Strength()) is None
    assert least_rpm(inputs, 36, 0.5) is None
    even = np.ones(70)
    found = lost_teeth(inputs, np.ones(70, dtype=int), even)
    assert found is not None
    assert not found.any()


def test_arming_loses_a_tooth_that_is_much_slower_than_the_last() -> None:
    _, inputs = inputs_for(cylinders=4, sensor={"kind": "reluctance"}, controller={"arming": 0.5})
    share = np.array([1.0, 1.0, 0.45, 0.4, 1.0])
    found = lost_teeth(inputs, np.ones(5, dtype=int), share)
    assert list(np.flatnonzero(found)) == [2]


def test_a_hall_sensor_s_teeth_are_never_weak_but_may_be_too_slow() -> None:
    _, inputs = inputs_for(cylinders=4, sensor={"least_tooth_rate": "20 Hz"})
    assert lost_teeth(inputs, np.ones(5, dtype=int), np.ones(5)) is None
    assert least_rpm(inputs, 36, 0.5) == pytest.approx(60 * 20 / (36 * 0.5))
    _, still = inputs_for(cylinders=4)
    assert least_rpm(still, 36, 0.5) == 0
