"""What several parts share, at its limits: pages joined at full size, bores, bolts and half sections; all by hand."""

from __future__ import annotations

import math
from itertools import combinations

import pytest

from tests.parts.bracket_jobs import in_job
from tests.parts.gauge_jobs import job_of, turned
from wheelcad.errors import DesignError, Fault, Faults
from wheelcad.job.models import Groove, Keyway
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.common.measured import mounts_within
from wheelcad.parts.common.openings import bolt_centres, bolt_openings, keyed_bore
from wheelcad.parts.common.paper import Point, Tile, tiled
from wheelcad.parts.common.paper_ink import page_ink
from wheelcad.parts.common.profile import outer_points, radius_at
from wheelcad.parts.common.stack import Land
from wheelcad.parts.design import design_job
from wheelcad.parts.kept import Memory
from wheelcad.parts.places import face_z, mount_places, settled


def nowhere(_: Point) -> bool:
    return False


# pages


@pytest.mark.parametrize(("paper", "units", "wide", "high", "bar"), [
    ("A4", "mm", 210, 297, 100), ("Letter", "mm", 8.5 * 25.4, 11 * 25.4, 100), ("Letter", "in", 215.9, 279.4, 101.6),
])  # fmt: skip
def test_a_page_and_its_bars(paper: str, units: str, wide: float, high: float, bar: float) -> None:
    """ISO 216 A4, US letter of 8 1/2 by 11 in; 8 mm white all round, 16 at the left and 40 at the foot for the bars:
    100 mm long, or 4 in."""
    plan = tiled(paper, units, (0, 0, 50, 50), nowhere)
    assert plan.window == pytest.approx((24, 48, wide - 8, high - 8))
    level, upright = plan.bars
    assert level.level
    assert not upright.level
    assert (level.length, upright.length) == pytest.approx((bar, bar))
    assert (*level.a, *level.b) == pytest.approx((24, 40, 24 + bar, 40))
    assert (*upright.a, *upright.b) == pytest.approx((19, 48, 19, 48 + bar))


@pytest.mark.parametrize(("long", "starts"), [
    (178.0, [0.0]), (178.2, [-81.9, 82.1]), (342.0, [0.0, 164.0]), (342.2, [-81.9, 82.1, 246.1]),
])  # fmt: skip
def test_pages_lap_over_by_fourteen_millimetres(long: float, starts: list[float]) -> None:
    """A window of 178 on A4: 178 + 164 on two pages; the drawing lies in the middle of what the pages show."""
    tiles = tiled("A4", "mm", (0.0, 0.0, long, 10.0), nowhere).tiles
    assert [tile.x0 for tile in tiles] == pytest.approx(starts)
    high = tiled("A4", "mm", (0.0, 0.0, 10.0, 467.9), nowhere)  # 241 + 227 high
    assert [tile.row for tile in high.tiles] == [0, 1]


@pytest.mark.parametrize(("x", "y", "room", "shown"), [
    (105.0, 55.0, 5.0, True), (104.9, 55.0, 5.0, False), (105.0, 54.9, 5.0, False),
    (273.0, 286.0, 5.0, True), (273.1, 286.0, 5.0, False), (273.0, 286.1, 5.0, False),
])  # fmt: skip
def test_what_a_page_shows(x: float, y: float, room: float, shown: bool) -> None:
    """178 by 241 from (100, 50)."""
    plan = tiled("A4", "mm", (0, 0, 50, 50), nowhere)
    assert plan.shows(Tile(0, 0, 100.0, 50.0), (x, y), room) is shown


def test_joining_crosses_do_not_run_into_each_other() -> None:
    """Letter's window is 183.9 by 223.4. Where four pages meet, crosses of the upright overlap lie 15.3 above and below
    the level one's once their first places are taken: enough, as a cross is 8 across and 12 are kept."""
    bounds = (0.0, 0.0, 353.8, 432.8)
    plan = tiled("Letter", "mm", bounds, nowhere)
    assert (plan.columns, plan.rows) == (2, 2)
    assert all(math.dist(a, b) > 12 for a, b in combinations(plan.crosses, 2))
    x, y = 169.9 + 7, 209.4 + 7
    free = tiled("Letter", "mm", bounds, lambda p: abs(p[0] - x) < 0.01 and abs(p[1] - y) < 5)
    near = sorted(p for p in free.crosses if math.dist(p, (x, y)) < 16)
    assert [v for p in near for v in p] == pytest.approx([176.544, y, x, 201.06, x, 231.74])


def test_crosses_and_bars_ends_as_they_are_drawn() -> None:
    """Crosses of 8 mm; strokes of 4 across a bar's ends."""
    plan = tiled("A4", "mm", (0.0, 0.0, 342.0, 200.0), nowhere)
    lines = [ink for ink in page_ink(plan, plan.tiles[0], (1, 2), "mm", "a", ()) if hasattr(ink, "points")]
    sizes = [(round(p[-1][0] - p[0][0], 6), round(p[-1][1] - p[0][1], 6)) for p in (line.points() for line in lines)]
    assert sizes.count((8.0, 0.0)) == sizes.count((0.0, 8.0)) == len(plan.crosses) == 3
    assert sizes.count((0.0, 4.0)) == sizes.count((4.0, 0.0)) == 2


# bores and bolts


def test_a_keyway_is_narrower_than_its_bore() -> None:
    with pytest.raises(ValueError, match="as wide as the bore"):
        keyed_bore(5.0, Keyway(width=10.0, depth=3.0, at=0.0), 1)
    area = keyed_bore(5.0, Keyway(width=8.0, depth=3.0, at=0.0), 1).loop.oriented().area
    assert area == pytest.approx(25 * (math.pi - math.asin(0.8)) + 3 * 4 + 8 * 5)  # to a floor 8 from the axis


@pytest.mark.parametrize(("count", "hole", "apart"), [(2, 8.0, False), (2, 7.9, True), (1, 8.0, True)])
def test_two_bolt_holes_that_touch_are_told_of(count: int, hole: float, apart: bool) -> None:
    bolts = {"count": count, "circle": 8.0, "hole": hole, "first_at": 0.0}
    job = job_of(**turned())
    assert job.pulley is not None
    job = job.model_copy(update={"pulley": job.pulley.model_copy(update={"bolts": type(job.pulley.bolts)(**bolts)})})
    faults = Faults()
    assert len(bolt_openings(job, faults)) == count
    assert (not faults) is apart
    bare = job.model_copy(update={"pulley": None})
    assert bolt_centres(bare).shape == (0, 2)
    assert (face_z(bare), mount_places(bare)) == (0.0, {})
    assert mount_places(in_job()) == {"m1": (150, 60), "m2": (150, 110)}


def test_a_hole_is_a_planned_one_unless_a_reading_asked_for_it() -> None:
    assert CorrectionHole(0.0, 50.0, 6.0, 3.0, -3.0).report()["reading"] == 0


# half sections


def test_an_outside_by_hand() -> None:
    """A land of 50, a groove to a floor of 0.05 in the next of 40, and a sliver at the back."""
    groove = Groove(width=10.0, depth=6.0, angle=2 * math.degrees(math.atan(9.95 / 12)))
    lands = [Land("a", -5.0, 0.0, 50.0), Land("b", -25.0, -5.0, 40.0, groove), Land("c", -25.05, -25.0, 38.0)]
    points = outer_points(lands)
    assert [z for _, z in points] == pytest.approx([0, -5, -5, -10, -14.975, -15.025, -20, -25, -25, -25.05])
    assert [radius_at(lands, z) for z in (0.0, -2.0, -5.0, -7.0, -15.0, -25.03)] == pytest.approx(
        [50, 50, 50, 40, 34, 38]
    )
    assert radius_at(lands, -10 - 4.975 / 2) == pytest.approx(37)
    assert (radius_at(lands, 0.1), radius_at(lands, -25.1)) == (0.0, 0.0)


# how well the engine was measured


def test_a_pulley_of_one_step_is_where_depths_are_read_from() -> None:
    """A reading from its front face is known as well as the tape is read, a place written down likewise."""
    pulley = {"bore": 30, "as_found": [{"length": 30, "diameter": 90}], "belts": []}
    survey = {"read_to": 0.7, "readings": [{"from": "centre", "to": "m1", "is": 161.6}]}
    assert mounts_within(settled(in_job(pulley=pulley, survey=survey))) == {"m1": 0.7, "m2": 0.7}


# a whole job


def test_nothing_else_is_judged_on_slots_that_cannot_be() -> None:
    """A pitch of 13.96 at the rim has no room for slots of 20; a bracket of 10 leaves nothing beside its sensor."""
    assert design_job(in_job()).parts == ["wheel", "bracket"]
    narrow = {"width": 10}
    with pytest.raises(DesignError) as caught:
        design_job(in_job(bracket=narrow))
    assert [fault.dotted for fault in caught.value.faults] == ["bracket.width"]
    with pytest.raises(DesignError) as caught:
        design_job(in_job(bracket=narrow, wheel={"slot": {"width": 20, "depth": 6.35}}))
    assert {fault.dotted.rsplit(".", 1)[0] for fault in caught.value.faults} == {"wheel.slot"}


def test_a_part_is_worked_out_again_when_what_it_reads_is_another() -> None:
    memory, made = Memory(), list[str]()

    def work(outcome: str) -> str:
        made.append(outcome)
        if not outcome:
            raise DesignError(Fault("cannot be", key=("gauge",)))
        return outcome

    plain, other = in_job(), in_job(wheel={"bore": 30})
    assert [memory.of("gauge", job, lambda: work("one")) for job in (plain, in_job(job="renamed"))] == ["one", "one"]
    assert made == ["one"]
    assert memory.of("gauge", other, lambda: work("two")) == "two"
    for _ in range(2):
        with pytest.raises(DesignError):
            memory.of("gauge", plain, lambda: work(""))
    assert made == ["one", "two", ""]
