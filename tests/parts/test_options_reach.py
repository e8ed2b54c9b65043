"""Which patterns may be written, and what a table's dial does for one, in degrees and marks worked out by hand."""

from __future__ import annotations

import pytest

from wheelcad.errors import JobError
from wheelcad.job.models import RotaryTable
from wheelcad.parts.options.patterns import USUAL, parse_pattern
from wheelcad.parts.options.reach import table_reach
from wheelcad.parts.wheel.gaps import meant_instead


@pytest.mark.parametrize(
    ("text", "pattern"), [("3-1", (3, 1)), ("720", (720, 0)), ("12-10", (12, 10)), ("36/2", (36, 2)), ("60-0", (60, 0))]
)
def test_patterns_that_can_be(text: str, pattern: tuple[int, int]) -> None:
    assert parse_pattern(text) == pattern


@pytest.mark.parametrize(
    ("text", "allowed"),
    [("2", "3 to 720 positions"), ("721-1", "3 to 720 positions"), ("12-11", "at most 10 of 12 missing")],
)
def test_patterns_that_cannot(text: str, allowed: str) -> None:
    with pytest.raises(JobError, match=allowed):
        parse_pattern(text)


def test_what_is_offered_unasked_is_a_count_that_dividing_plates_have() -> None:
    """Common practice, no source: 12 to 60 positions, one or two missing; none of them a count of metal teeth."""
    assert [f"{teeth}-{missing}" for teeth, missing in USUAL] == ["12-1", "18-1", "24-1", "36-1", "36-2", "60-2"]
    assert [meant_instead(*pattern) for pattern in USUAL] == [None] * 6
    assert [meant_instead(teeth - missing, missing) for teeth, missing in USUAL] == list(USUAL)


@pytest.mark.parametrize(
    ("ratio", "step", "teeth", "missing", "error"),
    [
        # 40:1 is 9 degrees a turn, 18 marks of a half: slots of a 48 lie 7.5 or, for an odd gap, 3.75 degrees apart
        (40, 0.5, 48, 2, 0.0),
        (40, 0.5, 48, 1, 0.25),  # seven marks and a half
        (40, 0.5, 48, 3, 0.25),
        (40, 0.5, 48, 0, 0.0),
        (40, 0.5, 7, 2, 0.5 * 3 / 7),  # sevenths of a mark: three at most from the nearest
        # 7:1 is no whole number of marks a turn: exact where whole turns are, else half a mark
        (7, 0.05, 7, 2, 0.0),
        (7, 0.05, 14, 2, 0.025),
        (7, 0.05, 7, 1, 0.025),
    ],
)
def test_what_a_dial_misses_at_most(ratio: int, step: float, teeth: int, missing: int, error: float) -> None:
    found = table_reach(RotaryTable(ratio=ratio, dial_step=step), teeth, missing)
    assert found.error_deg == pytest.approx(error)
    assert (found.by_dial, found.circle) == (error == 0, None)
    assert found.worst_deg == pytest.approx(error)
