"""The search for correction holes at the places where its choices turn, each worked out by hand or in another way."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from tests.parts.hole_searches import POINT, RING, STEEL, cells, hole, piece, sought
from wheelcad.parts.balance import plan, walls
from wheelcad.parts.balance.candidates import (
    HoleSearch,
    Picked,
    Plan,
    _left,
    _one_by_one,
    cells_of,
    made,
    where,
)
from wheelcad.parts.balance.marks import ShopSteps
from wheelcad.parts.balance.through import (
    HoleProposals,
    plans,
    several_pairs,
    unequal_pairs,
)
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.trade.drills import Drill
from wheelcad.words import Words


def planned(*holes: CorrectionHole, kind: str = "through-pair", residual: float = 0.0) -> Plan:
    return Plan(kind, holes, residual, 20.0, 0.0)


PAIR = planned(hole(160), hole(200))
FOUR = planned(hole(160), hole(200), hole(150), hole(210), kind="through-pairs")
TWO_DRILLS = planned(hole(160), hole(200, 8.0), kind="unequal-pair")
BLIND = planned(hole(160, through=False), hole(200, through=False), kind="blind-pair")
BLIND_FOUR = planned(*(hole(at, through=False) for at in (150, 160, 200, 210)), kind="two-planes")


@pytest.mark.parametrize(
    ("figures", "chosen"),
    [
        # a second drill must better the figure by a tenth, and by 4 per cent more where the other is a plain pair
        ([(10.0, PAIR), (8.70, TWO_DRILLS)], TWO_DRILLS),
        ([(10.0, PAIR), (8.80, TWO_DRILLS)], PAIR),
        # fewer holes are worth 4 per cent with through holes of one drill, else 2
        ([(10.0, FOUR), (10.35, PAIR)], PAIR),
        ([(10.0, FOUR), (10.45, PAIR)], FOUR),
        ([(10.0, BLIND_FOUR), (10.15, BLIND)], BLIND),
        ([(10.0, BLIND_FOUR), (10.25, BLIND)], BLIND_FOUR),
        ([(10.0, BLIND), (10.35, PAIR)], PAIR),
        ([(10.0, PAIR), (9.9, BLIND)], PAIR),
        ([(10.0, BLIND_FOUR), (10.7, TWO_DRILLS)], BLIND_FOUR),
    ],
)
def test_which_plan_is_as_good_as_the_best(figures: list[tuple[float, Plan]], chosen: Plan) -> None:
    """Our judgement, as the module states it."""
    found = plan._Found(sought())
    found.plans = list(figures)
    assert found.least == min(figure for figure, _ in figures)
    told = found.chosen(relaxed=False)
    assert told.plan is chosen
    said = Words("mm").text(told.why)
    for figure, other in figures:
        assert Words("mm").text(plan.unbalance(figure)) in said, other.kind


def test_a_residual_at_its_limit_will_do() -> None:
    found = plan._Found(sought(at_worst=10.0))
    found.add([planned(hole(160), hole(200), residual=12.0), planned(hole(160), hole(200), residual=11.0)])
    assert (len(found.plans), found.nearest, found.least) == (0, 11.0, math.inf)
    found.add([planned(hole(160), hole(200), residual=13.0), planned(hole(160), hole(200), residual=10.0)])
    assert (len(found.plans), found.nearest) == (1, 11.0)
    found.add(planned(hole(160), hole(200)) for _ in range(20))
    assert len(found.plans) == 13  # of one kind a dozen is compared


def test_more_and_more_pairs_until_some_do(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two to six pairs where one is too little; no more of them once a plan is found."""
    for enough, tried in ((4, [2, 3, 4]), (9, [2, 3, 4, 5, 6])):
        asked: list[int] = []

        def several(_: HoleSearch, pairs: int, relaxed: bool, asked: list[int] = asked) -> list[int]:
            asked.append(pairs)
            return [pairs]

        def plans(_: HoleSearch, proposed: Any, enough: int = enough) -> Iterator[Plan]:
            return iter([FOUR] if list(proposed) == [enough] else [])

        monkeypatch.setattr(plan, "several_pairs", several)
        monkeypatch.setattr(plan, "plans", plans)
        plan._gather(plan._Found(sought(amount=1e6)), relaxed=False)
        assert asked == tried


def test_a_figure_at_the_very_share_is_still_as_good() -> None:
    """Of through pairs 4 per cent more, to the last digit."""
    worth = next(n for n in range(10, 99) if n * 1.04 / 1.1 * 1.1 == n * 1.04 and (n / 1.1) * 1.1 == n)
    found = plan._Found(sought())
    found.plans = [(worth / 1.1, FOUR), (worth * 1.04 / 1.1, PAIR)]
    assert found.chosen(relaxed=False).plan is PAIR


@pytest.mark.parametrize(
    ("good", "in_the_open", "tried"),
    [
        ((10.0, 20.0), (9.9, 25.0), False),  # within 2 per cent of what bolts would let be, on the better face
        ((12.0, 20.0), (9.9, 25.0), True),
        ((20.0, 1.02), (25.0, 1.0), False),
        ((20.0, 1.03), (25.0, 1.0), True),
    ],
)
def test_unequal_holes_are_tried_where_bolts_cost_two_per_cent(
    monkeypatch: pytest.MonkeyPatch, good: tuple[float, ...], in_the_open: tuple[float, ...], tried: bool
) -> None:
    kinds = [
        SimpleNamespace(figure=np.array([one, 30.0, 0.5]), good=np.array([True, True, False]), in_the_open=best)
        for one, best in zip(good, in_the_open, strict=True)
    ]
    asked = []

    def unequal(*_: Any) -> list[Any]:
        asked.append("unequal")
        return []

    monkeypatch.setattr(plan, "equal_pairs", lambda *_: kinds)
    monkeypatch.setattr(plan, "unequal_pairs", unequal)
    monkeypatch.setattr(plan, "plans", lambda _, proposed: iter([PAIR] if list(proposed) == kinds else []))
    plan._gather(plan._Found(sought()), relaxed=False)
    assert bool(asked) == tried


def test_why_no_holes_do_it() -> None:
    """One face can give 50 g·mm a hole and the other 40: two of the better reach 100 and no more."""
    two = (Drill("6.0 mm", 6.0), Drill("8.0 mm", 8.0))

    def why(amount: float, *grids: Any) -> str:
        return Words("mm").text(
            plan._why_not(cast(HoleSearch, SimpleNamespace(amount=amount, drills=two, grids=grids)))
        )

    assert why(100, cells([], [], 0)).startswith("no hole of 6 mm or more keeps its walls")
    assert "blind ones are too shallow" in why(100, cells([1.0], [False], 50))
    for amount, said in ((100.0, "bolts, keyway or other walls are in the way"), (100.1, "up to 12 of them side by")):
        told = why(amount, cells([1.0], [True], 40), cells([1.0, 1.0], [True, True], 50), cells([1.0], [False], 90))
        assert said in told
        assert "one through hole of up to 8 mm takes out at most 50 g·mm" in told
    nothing = plan.search(sought(amount=1e6))
    assert nothing.plan is None
    assert "side by side do not reach it" in nothing.why


def test_a_ring_full_of_bolts_leaves_no_place() -> None:
    """24 bolt holes of 8.4 on ⌀112 lie 14.7 mm apart, and a drill of 6 keeps 11.4 from each one's middle."""
    spots = [(56 * math.sin(a), 56 * math.cos(a), 4.2) for a in np.radians(np.arange(0, 360, 15))]
    full = sought(amount=50.0, bolts=tuple(spots), radii=np.array([56.0]), drills=(Drill("6.0 mm", 6.0),))
    told = plan.search(full)
    assert told.plan is None
    assert "bolts, keyway or other walls are in the way" in told.why


def test_how_deep_a_through_drill_reaches() -> None:
    """A drill of 6 has flutes of 57 mm (DIN 338, from memory): 34.1 beside it, 20 of metal, point and a millimetre."""
    for stand, through in ((34.1, True), (34.3, False)):
        shoulder, ring = piece("pulley", 0, stand, 30), piece("ring", -20, 0, 70, walls.SLOTS)
        found = cells_of(sought(shoulder, ring, radii=np.array([40.0]), drills=(Drill("6.0 mm", 6.0),)), False)
        assert (stand + 20 + 6 * POINT + 1 <= 57) == through
        assert found.through.tolist() == [through]
    for thick, through in ((48.0, True), (48.1, False)):  # eight diameters, common practice
        ring = piece("ring", -thick, 0, 70, walls.SLOTS)
        assert cells_of(sought(ring, radii=np.array([40.0]), drills=(Drill("6.0 mm", 6.0),)), False).through == [
            through
        ]


def test_air_that_a_drill_needs_to_come_out_into() -> None:
    for air, through in ((6 * POINT + 1.001, True), (6 * POINT + 0.999, False)):
        lands = piece("ring", 0, 4, 70), piece("pulley", -air, 0, 20), piece("pulley", -air - 9, -air, 70)
        found = cells_of(sought(*lands, radii=np.array([40.0]), drills=(Drill("6.0 mm", 6.0),)), False)
        assert found.through.tolist() == [through]


def test_two_holes_near_the_axis_stand_a_quarter_turn_off() -> None:
    """Drills of 8 are 12 mm apart; at 5 mm from the axis they cannot be, at 12 they are 60 degrees apart."""
    found = cells_of(sought(radii=np.array([5.0, 12.0]), drills=(Drill("8.0 mm", 8.0),)), False)
    assert found.least_half.tolist() == pytest.approx([90, 30])


def test_the_metal_a_hole_is_in() -> None:
    body = sought(piece("pulley", 2, 12, 60), RING, piece("pulley", -9, -2, 60)).metal
    for top, bottom, named in ((12, 2, "pulley"), (12, 1.95, "hub"), (2.05, -2, "hub"), (2, -2, "tooth ring")):
        assert where(body, top, bottom) == named
    assert where(body, -2, -9) == "pulley"
    assert where(sought().metal, 2, -2) == "plate"


def test_many_holes_are_bettered_until_no_neighbouring_mark_leaves_less() -> None:
    """A coarse table of 3 degrees a mark and eight holes: no single hole moved on by a mark leaves less."""
    for amount in (700.0, 720.0, 733.0, 741.0):
        coarse = sought(amount=amount, marks=ShopSteps(0.0, 40, 1.7, 0.1, 0.5))
        holes = [hole(180 + off, 8.0) for off in (-61, -40.3, -25, -9, 8, 23.7, 44, 59.2)]
        marks = [coarse.marks.around(one.at_deg) for one in holes]
        first = [choices[0] for choices in marks]
        best = _one_by_one(coarse, holes, marks)
        left = abs(_left(coarse, holes, best))
        assert left < abs(_left(coarse, holes, first))
        for i, choices in enumerate(marks):
            for choice in choices:
                assert abs(_left(coarse, holes, [*best[:i], choice, *best[i + 1 :]])) >= left - 2e-9


def test_a_pair_on_the_marks_is_the_best_of_all_its_neighbours() -> None:
    coarse = sought(marks=ShopSteps(0.0, 40, 0.4, 0.1, 0.5), amount=120.0)
    [grid] = coarse.grids
    made_of = made(coarse, "through-pair", [Picked(grid, 1, 50.1), Picked(grid, 1, -43.0)])
    assert made_of is not None
    one = math.pi / 4 * 36 * 4 * STEEL * 60
    marks = [coarse.marks.around(180 + off) for off in (50.1, -43.0)]
    left = [
        abs(120 - sum(one * np.exp(1j * math.radians(at - 180)) for at in two)) for two in itertools.product(*marks)
    ]
    assert made_of.residual == pytest.approx(min(left))
    assert made_of.half_deg == max(abs(one.at_deg - 180) for one in made_of.holes)
    assert {one.reading for one in made_of.holes} == {0}  # none of them follows from a reading


def test_a_search_ends() -> None:
    """Six hundred proposals in one search, the best first; 150 cells with pairs moved on; 240 for unequal ones."""
    looked: list[int] = []

    def wanted(i: int) -> None:
        looked.append(i)

    many = HoleProposals("through-pair", np.arange(700.0)[::-1], np.ones(700, dtype=bool), wanted)
    assert list(plans(sought(), [many])) == []
    assert looked == list(range(699, 99, -1))
    radii = np.arange(20.0, 65.0, 0.1)
    fine = sought(amount=1.0, radii=radii, drills=(Drill("6.0 mm", 6.0),))
    [kind] = several_pairs(fine, 2, relaxed=True)
    assert np.count_nonzero(kind.good) == 150
    [kind] = unequal_pairs(sought(amount=60.0, radii=radii, drills=(Drill("6.0 mm", 6.0),)), relaxed=True)
    used = {want.cell for i in range(len(kind.good)) for want in kind.wanted(i) or []}
    assert len(used) == 240
