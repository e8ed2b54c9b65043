"""The search for correction holes at the places where its choices turn, each worked out by hand or in another way."""

from __future__ import annotations

import itertools
import math
import warnings
from collections.abc import Iterator
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
from scipy.stats import gamma

from wheelcad.parts.balance import plan, walls
from wheelcad.parts.balance.candidates import (
    HoleSearch,
    Picked,
    Plan,
    _left,
    _one_by_one,
    cells_of,
    made,
    walls_hold,
    where,
)
from wheelcad.parts.balance.marks import ShopSteps
from wheelcad.parts.balance.metal import Metal, MetalPiece
from wheelcad.parts.balance.spread import likely
from wheelcad.parts.balance.through import (
    HoleProposals,
    _clear_of_bolts,
    equal_pairs,
    in_plane,
    plans,
    several_pairs,
    unequal_pairs,
)
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.common.stack import Land
from wheelcad.trade.drills import Drill
from wheelcad.words import Words

POINT = 1 / (2 * math.tan(math.radians(59)))  # a point of 118 degrees: its height over its diameter
STEEL = 7850e-6


def piece(name: str, back: float, front: float, radius: float, wall: walls.Clearance = walls.RIM) -> MetalPiece:
    return MetalPiece(Land(name, back, front, radius), radius - wall.mm, wall, False)


RING = piece("ring", -2, 2, 70, walls.SLOTS)


def sought(*pieces: MetalPiece, **more: Any) -> HoleSearch:
    """A search in a steel ring of 4 mm, drills of 6 and 8, heavy at 180 degrees."""
    bolts = more.pop("bolts", ())
    metal = Metal(pieces or (RING,), 0.0, 0.0, 0.0, bolts, None, 1, False)
    given: dict[str, Any] = {
        "amount": 100.0,
        "at_deg": 180.0,
        "plane_mm": 0.0,
        "density": STEEL,
        "metal": metal,
        "marks": ShopSteps(0.0, 40, 0.05, 0.1, 0.5),
        "drills": (Drill("6.0 mm", 6.0), Drill("8.0 mm", 8.0)),
        "radii": np.array([50.0, 60.0]),
        "faces": (False,),
        "at_worst": 10.0,
        "doubtful": 100.0,
        "couple_limit": None,
    }
    return HoleSearch(**{**given, **more})


def hole(at: float, d: float = 6.0, *, through: bool = True, r: float = 60.0) -> CorrectionHole:
    return CorrectionHole(at, r, d, 2.0, -2.0, through, None if through else 118.0)


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


def cells(one: list[float], through: list[bool], taken: float) -> Any:
    """The first takes out `taken`, each further one 10 g·mm less."""
    less = taken - 10.0 * np.arange(len(one))
    return SimpleNamespace(one=np.array(one), through=np.array(through), taken_through=less)


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


@pytest.mark.parametrize("at", [0.0, 37.0, 90.0])
def test_two_holes_keep_their_wall_whichever_way_they_lie(at: float) -> None:
    """Two of ⌀6 in one line from the axis: 6 and 3 of wall between their middles."""
    metal = sought().metal
    for apart, holds in ((9.0, True), (8.99, False)):
        two = [hole(at, r=45.0), hole(at, r=45.0 + apart)]
        assert walls_hold(metal, two) == holds


def test_pairs_side_by_side_keep_their_wall() -> None:
    """Two pairs of ⌀6 at 60 mm, 9 apart: the inner at half a step from the heavy line; the outer trims the amount."""
    base = sought()
    one = math.pi / 4 * 36 * 4 * STEEL * 60
    step = 2 * (math.degrees(math.asin(4.5 / 60)) + 0.05)
    inner = 2 * one * math.cos(math.radians(step / 2))

    def halves(outer: float, **more: Any) -> list[float] | None:
        wanted = sought(amount=inner + 2 * one * math.cos(math.radians(outer)), **more)
        return _clear_of_bolts(wanted, wanted.grids[0], 1, 2)

    assert base.grids[0].taken_through[1] == pytest.approx(one)
    assert halves(1.5 * step) == pytest.approx([step / 2, 1.5 * step])
    assert halves(40.0) == pytest.approx([step / 2, 40])
    assert halves(74.9) == pytest.approx([step / 2, 74.9])
    assert halves(75.1) is None
    assert halves(1.5 * step - 0.05) is None
    at = math.radians(180 + 40)
    assert halves(40.0, bolts=((60 * math.sin(at), 60 * math.cos(at), 3.0),)) is None


def test_pairs_move_outwards_past_a_bolt_by_half_degrees() -> None:
    """A bolt hole of ⌀6 on the heavy line keeps 3 + 3 + 3 mm from a drill of 6: 8.6 degrees at 60 mm."""
    base = sought(bolts=((0.0, -60.0, 3.0),))
    one, step = base.grids[0].taken_through[1], 2 * (math.degrees(math.asin(4.5 / 60)) + 0.05)
    keep = 2 * math.degrees(math.asin(4.5 / 60))
    first = step / 2
    while first < keep:
        first += 0.5
    outer = first + step + 7
    amount = 2 * one * sum(math.cos(math.radians(half)) for half in (first, outer))
    found = sought(amount=amount, bolts=((0.0, -60.0, 3.0),))
    assert _clear_of_bolts(found, found.grids[0], 1, 2) == pytest.approx([first, outer])


def test_unequal_pairs_close_their_triangle() -> None:
    """What each proposal takes out adds up to the amount along the heavy line, and to nothing across it."""
    asked = sought(amount=80.0)
    [kind] = unequal_pairs(asked, relaxed=True)
    assert kind.good.any()
    for i in np.flatnonzero(kind.good).tolist():
        wanted = kind.wanted(i)
        assert wanted is not None
        parts = [w.cells.taken_through[w.cell] * np.exp(1j * math.radians(w.off_deg)) for w in wanted]
        assert sum(parts) == pytest.approx(80)
        assert wanted[0].cell != wanted[1].cell


def test_cells_that_take_out_too_little_bring_no_warning() -> None:
    """Two holes of ⌀6 at 50 mm take out 2 x 44.4 g·mm: asked for 93, those at 60 are left and nothing is told."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        [kind] = equal_pairs(sought(amount=93.0, drills=(Drill("6.0 mm", 6.0),)), relaxed=True)
    assert kind.good.tolist() == [False, True]


def test_more_pairs_only_where_all_of_them_together_are_enough() -> None:
    """Two pairs of ⌀6 at 50 and 60 mm could take out 178 and 213 g·mm at the very most."""
    one = math.pi / 4 * 36 * 4 * STEEL
    for amount, good in ((150.0, [True, True]), (4 * one * 50 * 1.05, [False, True]), (4 * one * 60, [False, False])):
        [kind] = several_pairs(sought(amount=amount, drills=(Drill("6.0 mm", 6.0),)), 2, relaxed=True)
        assert kind.good.tolist() == good


def test_metal_near_enough_to_the_unbalances_plane() -> None:
    """100 g·mm and 300 g·mm² of couple: 3 mm from z = 5, on either side."""
    z = np.array([1.9, 2.0, 5.0, 8.0, 8.1])
    asked = sought(plane_mm=5.0, couple_limit=300.0)
    assert in_plane(asked, z, relaxed=False).tolist() == [False, True, True, True, False]
    assert in_plane(asked, z, relaxed=True).all()
    assert in_plane(sought(plane_mm=5.0), z, relaxed=False).all()


@pytest.mark.parametrize("small", [1.0, 1e-4])
@pytest.mark.parametrize(
    ("doubtful", "one", "off", "r", "d", "depth"),
    [
        (90.0, (60.0, 60.0), (40.0, -40.0), (60.0, 60.0), (6.0, 6.0), (math.inf, math.inf)),
        (90.0, (70.0, 50.0), (30.0, -55.0), (60.0, 40.0), (6.0, 8.0), (math.inf, math.inf)),
        (300.0, (70.0, 50.0), (70.0, -20.0), (60.0, 40.0), (9.0, 4.0), (3.0, 9.0)),
        (0.0, (10.0, 30.0), (70.0, -70.0), (20.0, 70.0), (3.0, 3.0), (2.0, 2.5)),
    ],
)
def test_the_figure_that_ranks_against_moments_and_a_gamma_quantile(
    small: float, doubtful: float, one: Any, off: Any, r: Any, d: Any, depth: Any
) -> None:
    """Errors as vectors: their mean and covariance, by them mean and variance of the square (moments of a quadratic
    form, any textbook), and the 95 % quantile of the gamma distribution that has both. Places 0.2 mm, over size 0 to
    0.1, depth 0.1 and metal 1 %: the module's own, common practice, no source; what is even has its width²/12."""
    mean, covariance = np.zeros(2), np.zeros((2, 2))

    def err(vector: np.ndarray, width: float) -> None:
        nonlocal covariance
        covariance = covariance + np.outer(vector, vector) * width**2 / 12

    err(np.array([doubtful * small, 0.0]), 0.02)
    ways = [np.array([math.cos(math.radians(a)), math.sin(math.radians(a))]) for a in off]
    for u, way, radius in zip(one, ways, r, strict=True):
        err(u * small * way, 0.02)
        for axis in np.eye(2):
            err(u * small / radius * axis, 0.4)
    for grows, width, middle in (
        ([2 * u * small / size * way for u, size, way in zip(one, d, ways, strict=True)], 0.1, 0.05),
        ([u * small / deep * way for u, deep, way in zip(one, depth, ways, strict=True)], 0.2, 0.0),
    ):
        mean = mean + sum(grows) * middle
        for vector in [sum(grows)] if len(set(d)) == 1 else grows:
            err(vector, width)
    square = mean @ mean + np.trace(covariance)
    variance = 2 * np.trace(covariance @ covariance) + 4 * mean @ covariance @ mean
    by_gamma = math.sqrt(gamma.ppf(0.95, square**2 / variance, scale=variance / square))
    arrays = [np.array([value], dtype=float) for value in (np.array(one) * small, off, r, d, depth)]
    assert likely(doubtful * small, *arrays)[0] == pytest.approx(by_gamma, rel=0.008)


def test_more_pairs_that_take_out_too_little_bring_no_warning_either() -> None:
    """Two pairs of ⌀6 at 50 mm, the inner near the heavy line: 0.05 more than the outer can give on it."""
    [grid] = sought(drills=(Drill("6.0 mm", 6.0),)).grids
    one, step = float(grid.taken_through[0]), 2 * (float(grid.least_half[0]) + 0.05)
    inner = 2 * one * math.cos(math.radians(step / 2))
    for share, good in ((1.05, False), (0.05, True)):
        asked = sought(amount=inner + share * 2 * one, drills=(Drill("6.0 mm", 6.0),), radii=np.array([50.0]))
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            [kind] = several_pairs(asked, 2, relaxed=True)
        assert kind.good.tolist() == [good]
    halves = np.array([step / 2, math.degrees(math.acos(0.05))])
    off = np.array([[*halves, *-halves]])
    arrays = (np.full(off.shape, value) for value in (one, 50.0, 6.0, math.inf))
    first, *rest = arrays
    alone = likely(asked.doubtful, first, off, *rest)
    assert kind.figure == pytest.approx(2 * alone)  # it stands outside the range, so after all that fit at once


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
