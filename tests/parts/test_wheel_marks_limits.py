"""Marks for the timing light, end by end: how long they are, what shortens them, and the metal a notch takes.

The plate has floors at 74 and marks from 73 inwards; the turned wheel floors at 44, marks from 43, behind a shoulder.
Bolt holes are put beside a mark's line so that they leave it at a whole number: 3-4-5.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from tests.parts.gauge_jobs import job_of, turned
from wheelcad.errors import DesignError, Faults
from wheelcad.job.models import Job
from wheelcad.parts.common.openings import Opening, round_opening
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.marks import WheelMark, _apart, _taken, cut_marks

MARKS = {"tdc": "notch", "degrees": [20.0]}
SLOT = {"width": 6.0, "depth": 6.0, "floor": "round"}


def _plate(units: str = "mm", **wheel: Any) -> Job:
    plain = {"form": "plate", "teeth": 36, "missing": 1, "outside_diameter": 160.0, "thickness": 4.0, "slot": SLOT}
    return job_of(units=units, wheel={**plain, **wheel})


def _shouldered(shoulder: float | None, marks: dict[str, Any] | None = None, **pulley: Any) -> Job:
    steps = [
        *([{"length": 6.0, "diameter": shoulder}] if shoulder else []),
        "wheel",
        {"length": 10.0, "diameter": 86.0},
    ]
    made = {key: value for key, value in {"bore": 20.0, **pulley}.items() if value is not None}
    sections = turned(pulley={**made, "turned": steps})
    return job_of(**{**sections, "wheel": {**sections["wheel"], "marks": marks or MARKS}})


def _ends(job: Job) -> list[tuple[float, float]]:
    return [(mark.inner, mark.outer) for mark in design_wheel(job).marks]


def test_ten_millimetres_for_tdc_and_six_for_degrees_a_millimetre_inside_the_floors() -> None:
    """Common practice, no source."""
    assert np.array(_ends(_plate(marks=MARKS))) == pytest.approx(np.array([(63.0, 73.0), (67.0, 73.0)]))


def test_ends_are_whole_hundredths_or_thousandths_of_an_inch_inwards() -> None:
    """Floors at 73.9937: outer ends at 72.9937, which is 2873.77 thousandths of an inch."""
    odd = {"marks": MARKS, "outside_diameter": 159.9874}
    assert np.array(_ends(_plate(**odd))) == pytest.approx(np.array([(63.0, 72.99), (67.0, 72.99)]))
    inches = np.array(_ends(_plate("in", **odd))) / 25.4
    assert inches == pytest.approx(np.array([(2.481, 2.873), (2.638, 2.873)]))


def test_the_metal_of_a_notch() -> None:
    """A V of 60 degrees, 1 deep: tan 30° in section, 10 long, its middle at 68."""
    notch = WheelMark(0.0, "notch", 63.0, 73.0)
    volume = 10.0 / math.sqrt(3.0)
    assert notch.volume_mm3 == pytest.approx(volume)
    assert notch.first_moment(1) == pytest.approx([0.0, 68.0 * volume])
    assert WheelMark(90.0, "notch", 63.0, 73.0).first_moment(-1) == pytest.approx([-68.0 * volume, 0.0])
    line = WheelMark(0.0, "line", 63.0, 73.0)
    assert line.volume_mm3 == 0
    assert line.deep is None


@pytest.mark.parametrize(("shoulder", "long"), [(65.0, 9.9), (70.0, 7.4), (80.8, 2.0)])
def test_a_mark_ends_six_tenths_from_a_shoulder_and_is_two_long_at_least(shoulder: float, long: float) -> None:
    """43 less the shoulder's radius and 0.6, half a notch's width of 2·tan 30° = 1.15 rounded up."""
    assert design_wheel(_shouldered(shoulder)).marks[0].long == pytest.approx(long)


def test_a_mark_a_little_shorter_than_two_is_refused() -> None:
    with pytest.raises(DesignError, match="no room") as told:
        design_wheel(_shouldered(80.9))
    assert {fault.key for fault in told.value.faults} == {("wheel", "marks")}


def test_the_line_a_table_cuts_for_itself_wants_two_millimetres_as_well() -> None:
    """Floors at 3.6 of a plate without a bore: from 2.6 to 0.6 are just two."""
    job = _plate()
    (mark,) = cut_marks(job, 3.6, (), 1)
    assert (mark.inner, mark.outer) == pytest.approx((0.6, 2.6))
    assert cut_marks(job, 3.59, (), 1) == ()


@pytest.mark.parametrize(
    ("pulley", "taken"),
    [
        ({}, 10.0),
        ({"bore": None}, 0.0),
        ({"bore": 62.0}, 31.0),
        ({"recess": {"diameter": 78.0, "depth": 3.0}}, 39.0),
    ],
)
def test_a_turned_wheels_face_is_taken_by_bore_and_recess_where_no_shoulder_stands_before_it(
    pulley: dict[str, Any], taken: float
) -> None:
    assert _taken(_shouldered(None, **pulley), 0.0, 43.0, (), 1) == taken


def _beside(at_deg: float, sense: int, along: float, across: float) -> Opening:
    """A hole of ⌀8.8: with the mark's 0.6 it keeps 5 about its middle."""
    a = math.radians(at_deg)
    out, side = (sense * math.sin(a), math.cos(a)), (sense * math.cos(a), -math.sin(a))
    x, y = (along * out[k] + across * side[k] for k in (0, 1))
    return round_opening("found", x, y, 4.4)


@pytest.mark.parametrize("across", [3.0, -3.0])
@pytest.mark.parametrize("sense", [1, -1])
@pytest.mark.parametrize("at", [0.0, 30.0, 210.0])
def test_a_hole_beside_the_line_leaves_it_at_the_root_of_25_less_9(at: float, sense: int, across: float) -> None:
    """Of the line a hole takes up to 60 + 4, less the 0.6 that are kept anyway."""
    job, hole = _plate(), _beside(at, sense, 60.0, across)
    assert _taken(job, at, 73.0, (hole,), sense) == pytest.approx(63.4)
    assert _taken(job, at + 40.0, 73.0, (hole,), sense) == 0.0
    lines = cut_marks(job, 74.0, (hole,), sense)
    assert lines[0].inner == pytest.approx(64.0 if at == 0.0 else 63.0, abs=0.011)


@pytest.mark.parametrize(
    ("along", "across", "taken"),
    [
        (60.0, 5.0, 0.0),  # just clear of the line
        (60.0, 4.999, 59.5),
        (70.0, 0.0, 74.4),
        (77.9, 0.0, 82.3),
        (78.0, 0.0, 0.0),  # just outside the marks' outer ends
        (-4.0, 0.0, 0.4),  # over the axis from behind
        (-4.4, 0.0, 0.0),
        (-60.0, 0.0, 0.0),  # behind it
    ],
)
def test_which_holes_take_from_the_line(along: float, across: float, taken: float) -> None:
    hole = round_opening("found", across, along, 4.4)
    assert _taken(_plate(), 0.0, 73.0, (hole,), 1) == pytest.approx(taken, abs=1e-2 if across == 4.999 else 1e-12)


def test_marks_a_millimetre_apart_where_both_are_do_not_run_into_one_another() -> None:
    for degrees, told in ((math.degrees(1.0), False), (57.0, True), (303.0, True)):  # a radian at radius 1
        faults = Faults()
        _apart([WheelMark(0.0, "line", 1.0, 9.0), WheelMark(degrees, "line", 1.0, 9.0)], faults)
        assert bool(faults) is told
