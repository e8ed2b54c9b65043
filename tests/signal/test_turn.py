"""The whole turn of a signal agrees with the model it is drawn from: its crossings, its gaps, the scope's own trace."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from tests.conftest import demo_text, edited
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.packet.scope_trace import level_spans
from wheelcad.page.strip import strip_of, turn_json
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.teeth_seen import designed_edges
from wheelcad.signal.report import Signal, signal_of
from wheelcad.signal.trace import scope
from wheelcad.signal.turn import Turn, turn_of
from wheelcad.trade.frames import wrap_180

PICKUP = edited(demo_text("tarn-six"), ("  kind: hall\n", "  kind: reluctance\n"))


def solved(text: str) -> tuple[Job, Signal, Turn]:
    job = parse_job(text)
    assert job.sensor is not None
    signal = signal_of(job, designed_edges(design_wheel(job), job.sensor))
    turn = turn_of(signal)
    assert turn is not None
    return job, signal, turn


def test_a_pickup_falls_through_zero_where_the_controller_times() -> None:
    _, signal, turn = solved(PICKUP)
    assert len(turn.timed_deg) == 35
    for at in turn.timed_deg:
        before, after = np.interp([(at - 0.6) % 360.0, (at + 0.6) % 360.0], turn.crank_deg, turn.values)
        assert before > 0 > after, at
        near = np.abs(wrap_180(turn.crank_deg - at)) < 0.6
        crossing = turn.crank_deg[near][np.argmin(np.abs(turn.values[near]))]
        assert abs(wrap_180(crossing - at)) < 0.3
    assert turn.values[0] == pytest.approx(turn.values[-1])
    assert np.quantile(turn.values, 0.97) == pytest.approx(1.0, abs=0.15)
    trace = scope(signal)
    assert trace is not None
    assert signal.gaps is not None
    share = signal.speeds["cranking"].share_at(trace.crank_deg + signal.gaps.here_deg)
    ours = np.interp((trace.crank_deg + signal.gaps.here_deg) % 360.0, turn.crank_deg, turn.values)
    inside = np.abs(trace.crank_deg) < trace.crank_deg[-1] - 1.0
    assert np.abs(ours - trace.right / share)[inside].max() < 0.06  # between its points


def test_a_hall_level_changes_within_half_a_degree_of_each_tooth_edge() -> None:
    job, _, turn = solved(demo_text("tarn-six"))
    wheel = design_wheel(job)
    drawn = turn_json(turn, True)
    steps = np.array([a for (a, v), (b, w) in pairwise(drawn["trace"]) if a == b and v != w])
    edges = np.array([end for span in level_spans(job, wheel) for end in span if 0.0 < end < 360.0])
    assert len(steps) == len(edges) == 70
    assert max(np.abs(wrap_180(steps - edge)).min() for edge in edges) < 0.5
    strip = strip_of(job, wheel, drawn)
    assert strip is not None
    assert strip.solved
    under = [any((at + 1e-6 - start) % 360.0 < end - start for start, end in strip.teeth) for at, _ in strip.trace]
    low = [value for (_, value), there in zip(strip.trace, under, strict=True) if there and value == 0.0]
    assert low  # iron-low: the level is low while a tooth is there


def test_the_sketch_is_the_packet_cards() -> None:
    job = parse_job(demo_text("tarn-six"))
    wheel = design_wheel(job)
    strip = strip_of(job, wheel)
    assert strip is not None
    assert not strip.solved
    down = [(a, b) for (a, v), (b, w) in pairwise(strip.trace) if v == w == 0.0 and a != b]
    assert down == level_spans(job, wheel)
