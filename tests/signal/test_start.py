"""From a standing start."""

from __future__ import annotations

import numpy as np
import pytest

from tests.signal.wheels import inputs_for
from wheelcad.signal.edges import Passing, passing
from wheelcad.signal.gapmap import cranking_speed
from wheelcad.signal.speed import even_speed
from wheelcad.signal.start import start_intervals, turns_to_sync


def one_of(**what: object) -> tuple[Passing, float]:
    edges, inputs = inputs_for(**what)
    return passing(edges, inputs.sensor_deg, inputs.on, inputs.gap_deg), inputs.ratio


def test_a_gap_missed_at_the_start_costs_a_turn_and_no_more() -> None:
    """Standing just before the gap, it is the first interval and has none before it: found a turn later. 36-1: between
    one turn and one turn and a few teeth."""
    one, q = one_of(cylinders=4)
    turns = turns_to_sync(one, even_speed(), q, "last")
    assert turns is not None
    assert 1 < turns < 1 + 5 / 36
    both = turns_to_sync(one, even_speed(), q, "both")
    assert both is not None
    assert turns <= both < 1 + 6 / 36


def test_the_crank_is_slow_at_first() -> None:
    one, _ = one_of(cylinders=4)
    intervals, turned = start_intervals(one, even_speed())
    assert intervals.shape[0] == 2 * 35
    assert turned[:, 0] == pytest.approx(np.where(np.arange(70) % 35 == 0, 10.0, 5.0))
    plain = intervals[2]
    assert plain[0] > plain[1] > plain[2]
    assert plain[25] == pytest.approx(10, rel=0.1)


def test_a_sensor_that_needs_teeth_takes_longer() -> None:
    one, q = one_of(cylinders=4)
    plain = turns_to_sync(one, even_speed(), q, "last")
    waits = turns_to_sync(one, even_speed(), q, "last", needs_teeth=10)
    assert plain is not None
    assert waits is not None
    assert waits - plain == pytest.approx(10 / 36, abs=2 / 36)


def test_three_like_gaps_are_as_good_as_one_but_unlike_ones_must_be_told_apart() -> None:
    """A pattern that looks the same three times a turn is synced in a third of a turn (to a third of a turn); gaps at
    unequal distances need two of them."""
    like, q = one_of(cylinders=6, gaps=[{"at": 0, "missing": 1}, {"at": 120, "missing": 1}, {"at": 240, "missing": 1}])
    unlike, _ = one_of(
        cylinders=6, gaps=[{"at": 0, "missing": 1}, {"at": 100, "missing": 1}, {"at": 240, "missing": 1}]
    )
    short, long = turns_to_sync(like, even_speed(), q, "last"), turns_to_sync(unlike, even_speed(), q, "last")
    assert short is not None
    assert long is not None
    assert short < 1 / 3 + 4 / 36
    assert short < long < 1


def test_no_gap_never() -> None:
    one, q = one_of(cylinders=4, teeth=12, missing=0)
    assert turns_to_sync(one, even_speed(), q, "last") is None


def test_a_gap_that_is_never_found_is_told_as_never() -> None:
    """A four of 12-1 at a dip of .3 with the gap just after TDC, where the crank speeds up."""
    edges, inputs = inputs_for(cylinders=4, teeth=12, gap_at=5, engine={"cranking_dip": 0.3})
    one = passing(edges, inputs.sensor_deg, inputs.on, inputs.gap_deg)
    assert turns_to_sync(one, cranking_speed(inputs), inputs.ratio, "last") is None
