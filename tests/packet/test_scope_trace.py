"""The card's trace looks like the scope's, for each kind of element."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tests.signal.wheels import job_of
from wheelcad.packet.scope_trace import iron_spans, level_spans, pickup_trace, scope_picture, scope_words
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.signal.detect import zero_crossings

SENSOR_AT = 60.0  # of the test jobs, gap at 0: its middle passes 60 degrees after TDC


def drawn(**sensor: Any) -> list[tuple[float, float]]:
    """(crank, height up the picture) of the path's points."""
    job = job_of(4, sensor=sensor)
    svg = scope_picture(job, design_wheel(job))
    path = svg[svg.index('<path d="') + 9 :].split('"')[0]
    numbers = [float(word) for word in path.replace("M", "").replace("L", "").split()]
    return [(x, -y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]


def level_at(path: list[tuple[float, float]], crank: float) -> str:
    """high or low at a place between steps."""
    heights = {y for _, y in path}
    last = [y for x, y in path if x <= crank][-1]
    return "high" if last == max(heights) else "low"


def test_a_pickup_falls_through_zero_over_every_tooth_and_lies_flat_in_the_gap() -> None:
    job = job_of(4, sensor={"kind": "reluctance"})
    wheel = design_wheel(job)
    assert job.sensor is not None
    crank, volts = np.arange(721) / 2, pickup_trace(job.sensor, wheel)
    falls = [c.at for c in zero_crossings(crank, volts, 0.35)]
    teeth = np.sort((SENSOR_AT - wheel.teeth.tooth_centres_deg) % 360)
    inside = teeth[(teeth > 3) & (teeth < 357)]
    assert len(falls) >= len(inside)
    for tooth in inside:
        near = min(falls, key=lambda at: abs(at - tooth))
        # a tooth beside the gap crosses a little farther from it, the others over their middles
        assert near == pytest.approx(tooth, abs=0.5)
    assert np.abs(volts[(crank > SENSOR_AT - 2) & (crank < SENSOR_AT + 2)]).max() < 0.15
    beside = np.abs(volts[(crank > SENSOR_AT) & (crank < SENSOR_AT + 10)]).max()
    assert beside > np.abs(volts[(crank > 180) & (crank < 190)]).max()  # the first pulse after the gap is larger


@pytest.mark.parametrize("element", ["hall-fixed", "hall-selfsetting", "vane"])
@pytest.mark.parametrize(("output", "over_iron", "free"), [("iron-low", "low", "high"), ("iron-high", "high", "low")])
def test_a_level_stands_as_the_output_says(element: str, output: str, over_iron: str, free: str) -> None:
    path = drawn(element=element, output=output)
    assert level_at(path, SENSOR_AT) == free  # the gap's middle
    for tooth in (SENSOR_AT + 10, SENSOR_AT + 20, SENSOR_AT + 100):
        assert level_at(path, tooth) == over_iron
        assert level_at(path, tooth + 5) == free  # a slot


def test_a_differential_switches_over_the_middles() -> None:
    job = job_of(4, sensor={"element": "hall-differential"})
    spans = level_spans(job, design_wheel(job))
    ends = np.sort([end % 360 for _, end in spans if end < 360])
    centres = np.sort((SENSOR_AT - design_wheel(job).teeth.tooth_centres_deg) % 360)
    assert ends == pytest.approx(centres[centres > 1e-6], abs=1e-9)
    across_gap = next((a, b) for a, b in spans if b > SENSOR_AT and a <= SENSOR_AT + 1e-6)
    assert across_gap == pytest.approx((SENSOR_AT, SENSOR_AT + 10))  # from the gap's middle to tooth 1's
    assert spans != iron_spans(job, design_wheel(job))


def test_where_the_sensor_looks_along_edges_are_those_at_its_radius() -> None:
    """Parallel sides: the tooth is narrower, in degrees, nearer the crank."""
    job = job_of(4, sensor={"looks": "along"})
    slot = job.wheel.slot.model_copy(update={"sides": "parallel"})
    job = job.model_copy(update={"wheel": job.wheel.model_copy(update={"slot": slot})})
    wheel = design_wheel(job)
    assert job.sensor is not None
    width = wheel.tooth_deg(wheel.read_at_mm(job.sensor))
    assert width < wheel.tooth_deg(wheel.radius_mm) - 0.1
    assert sum(b - a for a, b in iron_spans(job, wheel)) == pytest.approx(35 * width)


def test_the_words_say_which_level_it_is_and_what_is_assumed() -> None:
    pole = scope_words(job_of(4, sensor={"kind": "reluctance"}))
    assert "falls through zero" in pole
    assert "assumed" not in pole
    assert "is pulled low while a tooth" in scope_words(job_of(4))
    assert "assumed" in scope_words(job_of(4))
    given = scope_words(job_of(4, sensor={"output": "iron-high"}))
    assert "stands high while a tooth" in given
    assert "assumed" not in given
    assert scope_words(job_of(4).model_copy(update={"sensor": None})) == ""
