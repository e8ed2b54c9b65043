"""Holes on the bracket's paper: where a name stands (below, or beside where it would run over something), and in which
order crosses are drawn."""

from __future__ import annotations

import pytest

from tests.parts.bracket_jobs import along_job, flat_job, in_job, made
from wheelcad.drawing.ink import Letters
from wheelcad.job.models import Job
from wheelcad.parts.bracket import paper
from wheelcad.parts.bracket.model import Hole
from wheelcad.parts.bracket.paper import PaperLine

HOLE = Hole("mount", "arm", 0.0, 0.0, 0.0, 0.0, 9.0, mount=1)  # its cross reaches 7.5 mm from the middle
BELOW = Letters(0.0, -11.5, "mount 1", paper.SMALL, "centre")  # 1.8 under the cross, capitals of 2.2


def named(x0: float, y0: float, x1: float, y1: float, *more: PaperLine, words: tuple[Letters, ...] = ()) -> Letters:
    """The name on a plate with these edges."""
    edge = PaperLine("edge", "the outline", ((x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)))
    cross = paper._cross("the cross of mount 1", 0.0, 0.0, 4.5 + paper.BEYOND)
    return paper._name_of(HOLE, [edge, PaperLine("hole", "mount 1", paper._run(HOLE.loop)), *cross, *more], words)


def test_it_stands_below_where_there_is_room() -> None:
    assert named(-30, -30, 30, 30) == BELOW


@pytest.mark.parametrize(("y", "below"), [(-12.1, False), (-12.2, True)])
def test_three_tenths_of_a_millimetre_from_the_edge_is_enough(y: float, below: bool) -> None:
    """The letters reach down to -11.5 - 0.15 × 2.2 = -11.83; 0.3 more is -12.13."""
    assert (named(-30, y, 30, 30) == BELOW) == below


def test_where_the_plate_ends_below_it_stands_above() -> None:
    assert named(-30, -9, 30, 30) == Letters(0.0, 9.3, "mount 1", paper.SMALL, "centre")


def test_where_it_ends_above_as_well_it_stands_at_the_right_or_the_left() -> None:
    assert named(-30, -9, 30, 9) == Letters(9.3, -1.1, "mount 1", paper.SMALL)
    assert named(-30, -9, 12, 9) == Letters(-9.3, -1.1, "mount 1", paper.SMALL, "right")


def test_where_there_is_no_room_at_all_it_stands_below() -> None:
    assert named(-9, -9, 9, 9) == BELOW


def test_a_fold_and_another_word_are_kept_clear_of() -> None:
    fold = PaperLine("fold", "fold 1", ((0.0, -30.0), (0.0, -8.0)))
    assert named(-30, -30, 30, 30, fold).y == 9.3
    word = Letters(0.0, 10.0, "body", paper.SMALL, "centre")
    assert named(-30, -30, 30, 30, fold, words=(word,)).x == 9.3


@pytest.mark.parametrize("job", [in_job(), along_job(), flat_job()], ids=["L", "Z", "flat"])
def test_a_slot_s_crosses_are_drawn_from_its_start_to_its_end(job: Job) -> None:
    """Their order is not left to how the last digit was rounded: another machine writes the same page."""
    design = made(job)
    flat, _ = paper.plan_paper(design)
    slots = [hole for hole in design.holes if (hole.x0, hole.y0) != (hole.x1, hole.y1)]
    assert len(slots) >= 2
    for hole in slots:
        drawn = [line.points for line in flat.lines if line.name == f"the cross of {hole.name}"]
        middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in drawn]
        ends = [(hole.x0, hole.y0)] * 2 + [(hole.x1, hole.y1)] * 2
        assert middles == [pytest.approx(end, abs=1e-9) for end in ends]
