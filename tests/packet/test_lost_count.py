"""Where am I? Slips made on purpose have to be named."""

from __future__ import annotations

import pytest

from tests.conftest import plate_job
from tests.packet.lost_count import Whereabouts, explain, turns_by_edge, where_am_i
from wheelcad.job.models import Job
from wheelcad.packet.bench_rules import SAYS, SLIPS
from wheelcad.parts.indexing.design import design_indexing
from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.parts.wheel.design import design_wheel

TABLE = "rotary_table: {ratio: 40, dial_step: 0.05, backlash: 0.2, scale: clockwise, plates: [[15,16,17,18,19,20]]}"


def plan_of(job: Job) -> IndexPlan:
    plan = design_indexing(job, design_wheel(job))
    assert plan is not None
    return plan


@pytest.fixture(scope="module")
def plan() -> IndexPlan:
    return plan_of(plate_job(extra=f"shop: {{{TABLE}, cutter: {{diameter: 6}}}}\n"))


def at(plan: IndexPlan, step: int, slip_deg: float) -> Whereabouts:
    """What is answered when the table stands `slip_deg` past a step, read and counted faithfully."""
    assert plan.table is not None
    stands = (float(plan.table.reached(plan.stops[step].setting)) + slip_deg) % 360
    turns = int(stands // 9 + 1e-9)
    return where_am_i(plan, turns, round(stands - 9 * turns, 6) + 0.0, step)


def first(where: Whereabouts) -> tuple[str, int]:
    return where.causes[0].kind, where.causes[0].times


@pytest.mark.parametrize("step", [0, 5, 20, 36, 40, 60, 75])
def test_every_setting_is_itself(plan: IndexPlan, step: int) -> None:
    where = at(plan, step, 0.0)
    assert first(where) == ("sound", 0)
    assert where.nearest_cut == plan.stops[step].cut
    assert where.off_deg == pytest.approx(0, abs=1e-9)


def test_part_turn_forgotten_three_times(plan: IndexPlan) -> None:
    where = at(plan, 12, -3.0)  # cut 13 with the one degree left out three times
    assert first(where) == ("part-forgotten", 3)
    assert where.back_to == 10  # cut 11 is the first in the wrong place
    assert where.nearest_cut == 13
    assert where.near_deg == pytest.approx(-3)
    assert "3 times" in explain(plan, where)[0]


def test_a_part_forgotten_on_the_way_to_a_cut_has_spoilt_none(plan: IndexPlan) -> None:
    where = at(plan, 6, -1.0)  # cut 7, which is not cut yet
    assert first(where) == ("part-forgotten", 1)
    assert where.back_to == 6
    assert "no cut is wrong: turn on to 7 turns + 2.00°" in explain(plan, where)[-1]
    assert "stand in the wrong place" in explain(plan, at(plan, 6, -2.0))[-1]


@pytest.mark.parametrize("times", [1, 2, 3, 5, 8])
@pytest.mark.parametrize("step", [14, 30, 47])
def test_part_turn_forgotten_n_times(plan: IndexPlan, step: int, times: int) -> None:
    part = float(plan.stops[step].move.dial)  # 1 degree in the scratch lap, 2 in the lap of every other slot
    if (part * times) % 9 == 0 or part * times % 10 == 0:
        return  # indistinguishable from whole turns, or from another cut
    found = {(cause.kind, cause.times) for cause in at(plan, step, -part * times).causes}
    assert ("part-forgotten", times) in found


@pytest.mark.parametrize(
    ("slip", "kind", "times"),
    [
        (9.0, "turns-many", 1),
        (18.0, "turns-many", 2),
        (-9.0, "turns-few", 1),
        (-18.0, "turns-few", 2),
        (-0.2, "backlash", 1),
        (0.2, "backlash", 1),
        (0.5, "hole", 1),
        (-0.5, "hole", 1),
        (1.0, "part-twice", 1),
        (-10.0, "not-turned", 0),
        (-13.0, "part-forgotten-before", 3),
        (20.0, "other-cut", 1),
        (33.3, "unknown", 0),
        (0.04, "sound", 0),
    ],
)
def test_each_slip_is_named(plan: IndexPlan, slip: float, kind: str, times: int) -> None:
    where = at(plan, 20, slip)
    causes = {(cause.kind, cause.times) for cause in where.causes}
    assert (kind, times) in causes
    if (kind, times) != ("part-twice", 1):  # one degree on is also two holes
        assert first(where) == (kind, times)
    assert where.off_deg == pytest.approx(slip)


def test_other_cut_says_where_to_go(plan: IndexPlan) -> None:
    where = at(plan, 20, 20.0)
    assert where.causes[0].cut == 23
    assert plan.stops[where.back_to].cut == 23
    assert "cut 23" in explain(plan, where)[0]


def test_dial_read_from_the_other_end(plan: IndexPlan) -> None:
    where = where_am_i(plan, 3, 1.0, 3)  # cut 4 stands at 3 turns + 8, one from the other end
    assert ("other-end", 1) in {(cause.kind, cause.times) for cause in where.causes}


def test_without_a_step_the_fewest_slips_decide(plan: IndexPlan) -> None:
    assert where_am_i(plan, 13, 8.0).nearest_cut == 13
    where = where_am_i(plan, 13, 5.0)
    assert where.causes[0].kind in {"part-forgotten", "not-turned", "turns-few", "turns-many"}
    assert where.step in range(36)


def test_the_edge_does_not_forget_turns(plan: IndexPlan) -> None:
    for turns, dial in ((0, 0.0), (0, 5.0), (13, 5.0), (39, 8.95)):
        edge = turns * 9 + dial
        assert turns_by_edge(plan, edge, dial) == turns
        assert turns_by_edge(plan, edge + 3.9, dial) == turns  # a coarse reading is enough
    falling = plan_of(plate_job(turns="anticlockwise", extra=f"shop: {{{TABLE}}}\n"))
    assert turns_by_edge(falling, 360 - (13 * 9 + 5), 5.0) == 13
    unsaid = plan_of(plate_job(extra="shop: {rotary_table: {ratio: 40}}\n"))
    with pytest.raises(ValueError, match="which way"):
        turns_by_edge(unsaid, 10, 1)


def test_no_table_no_answer() -> None:
    with pytest.raises(ValueError, match="no dial"):
        where_am_i(plan_of(plate_job(extra="shop: {readout: yes}\n")), 1, 1.0)


def test_every_slip_has_its_words() -> None:
    assert set(SLIPS) | {"sound", "unknown"} == set(SAYS)
