"""The planner against a search of all drills, radii, depths and pairs, each drawn with its errors by other code."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest

from tests.conftest import demo_text
from tests.parts.balance_oracle import random_job
from wheelcad.errors import JobError
from wheelcad.job.reader import parse_job
from wheelcad.parts.balance import walls
from wheelcad.parts.balance.blind import DEEP, SHALLOWEST
from wheelcad.parts.balance.candidates import HoleSearch
from wheelcad.parts.balance.correction import hole_search
from wheelcad.parts.balance.design import design_balance
from wheelcad.parts.balance.initial import initial_unbalance
from wheelcad.parts.balance.metal import metal_of, seats
from wheelcad.parts.balance.plan import search
from wheelcad.parts.balance.spread import DRAWS, figure, likely, spread
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.trade.drills import flute_length_mm

DRAWN, FEW, KEPT = 8000, 150, 60
TOGETHER = 500_000  # pairs times draws reckoned at once
CONE = 1 / (2 * math.tan(math.radians(59)))  # a point of 118 degrees, its height over its diameter


def errors(seed: int = 7) -> dict[str, np.ndarray]:
    """The errors of two holes, drawn once: stated in the planner's module, drawn here in another order."""
    draw = np.random.default_rng(seed)
    return {
        "metal": draw.uniform(-0.01, 0.01, DRAWN),
        "over": draw.uniform(0, 0.1, DRAWN),
        "deep": draw.uniform(-0.1, 0.1, DRAWN),
        "place": draw.uniform(-0.2, 0.2, (2, 2, DRAWN)),
        "local": draw.uniform(-0.01, 0.01, (2, DRAWN)),
    }


ERRORS = errors()


def drawn_95(
    doubtful: float, density: float, d: float, r: float, half_deg: float, depth: float, blind: bool, draws: int = DRAWN
) -> float:
    """95 % figure of an equal pair at ±half that leaves nothing as planned, complex numbers along the heavy line."""
    return float(drawn_each(doubtful, density, np.array([[d, r, half_deg, depth, blind]], dtype=float), draws)[0])


def drawn_each(doubtful: float, density: float, pairs: np.ndarray, draws: int = DRAWN) -> np.ndarray:
    """The same of many pairs, (n, 5): d, r, half, depth, blind."""
    if len(pairs) * draws > TOGETHER:
        half = (len(pairs) + 1) // 2
        parts = [drawn_each(doubtful, density, part, draws) for part in (pairs[:half], pairs[half:]) if len(pairs) > 1]
        return np.concatenate(parts)
    d, r, half_deg, depth, blind = pairs.T[:, :, None]
    e = {name: drawn[..., :draws] for name, drawn in ERRORS.items()}
    cone = CONE / 3 * blind
    left = doubtful * e["metal"].astype(complex)
    for k, sign in enumerate((1, -1)):
        turn = np.exp(1j * np.radians(sign * half_deg))
        size = d + e["over"]
        deep = depth + blind * e["deep"]
        mass = math.pi / 4 * size**2 * (deep + cone * size) * density * (1 + e["local"][k])
        planned = math.pi / 4 * d**2 * (depth + cone * d) * density * r * turn
        left = left + planned - mass * (r * turn + e["place"][k][0] + 1j * e["place"][k][1])
    return np.asarray(np.quantile(np.abs(left), 0.95, axis=1))


def drawn_plan(sought: HoleSearch, holes: Sequence[CorrectionHole]) -> float:
    """95 % figure of any holes, by the same draws as the pairs': a planner that forgets an error must not judge itself.

    What one drill cuts over size is alike in its holes, and so is the depth of one stop.
    """
    more = np.random.default_rng(11)
    left = sought.amount + sought.doubtful * ERRORS["metal"].astype(complex)
    over: dict[float, np.ndarray] = {}
    deep: dict[tuple[float, bool], np.ndarray] = {}
    for k, hole in enumerate(holes):
        d, stop = hole.diameter_mm, (hole.depth_mm, hole.from_back)
        size = d + over.setdefault(d, more.uniform(0, 0.1, DRAWN) if over else ERRORS["over"])
        depth, cone = hole.depth_mm + np.zeros(DRAWN), 0.0
        if not hole.through:
            depth = depth + deep.setdefault(stop, more.uniform(-0.1, 0.1, DRAWN) if deep else ERRORS["deep"])
            cone = CONE / 3
        place, local = more.uniform(-0.2, 0.2, (2, DRAWN)), more.uniform(-0.01, 0.01, DRAWN)
        if k < 2:
            place, local = ERRORS["place"][k], ERRORS["local"][k]
        mass = math.pi / 4 * size**2 * (depth + cone * size) * sought.density * (1 + local)
        turn = np.exp(1j * math.radians(hole.at_deg - sought.at_deg))
        left = left - mass * (hole.radius_mm * turn + place[0] + 1j * place[1])
    return float(np.quantile(np.abs(left), 0.95))


def clear(sought: HoleSearch, r: float, d: float, half: float) -> bool:
    """Bolts, keyway and the other hole, by distances between centres; half degrees from the heavy line."""
    if 2 * r * math.sin(math.radians(half)) < d + max(3.0, d / 2):
        return False
    for sign in (1, -1):
        at = math.radians(sought.at_deg + sign * half)
        for bolt_at, bolt_r, hole in sought.metal.bolts_polar:
            b = math.radians(bolt_at)
            apart = math.sqrt(r * r + bolt_r * bolt_r - 2 * r * bolt_r * math.cos(at - b))
            if apart < hole + max(2.0, hole) + d / 2:
                return False
        if sought.metal.keyway is not None:
            key, wide, reach = sought.metal.keyway
            keep = sought.metal.bore_wall + d / 2
            near = abs((math.degrees(at) - key + 180) % 360 - 180)
            if r - keep < reach and near < math.degrees(math.asin(min(1.0, (wide + keep) / r))):
                return False
    return True


def best_pair(sought: HoleSearch) -> float:
    """The least figure of all equal pairs, through and blind, that keep their walls; infinite without any."""
    pairs: list[tuple[float, float, float, float, bool]] = []
    for back in sought.faces:
        for drill in sought.drills:
            d = drill.diameter_mm
            at = seats(sought.metal, sought.radii, np.full(sought.radii.shape, d), back)
            for i in np.flatnonzero(at.fits):
                r, thick = float(at.radius[i]), float(at.thickness[i])
                one = math.pi / 4 * d * d * sought.density * r
                point, stand = CONE * d, float(at.stand[i])
                if (
                    float(at.beyond[i]) >= point + walls.BREAK_THROUGH
                    and thick <= walls.DEEPEST * d
                    and stand + thick + point + walls.BREAK_THROUGH <= flute_length_mm(d)
                ):
                    pairs += _at(sought, d, r, one, thick, False)
                most = min(thick - point - walls.FLOOR.mm, DEEP * d, walls.DEEPEST * d)
                most = min(most, flute_length_mm(d) - stand - point)
                for depth in np.arange(math.ceil(SHALLOWEST * d * 10) / 10, most + 1e-9, 0.4):
                    pairs += _at(sought, d, r, one, float(depth), True)
    if not pairs:
        return math.inf
    # all of them with few draws, the best of those with all
    every = np.array(pairs, dtype=float)
    few = drawn_each(sought.doubtful, sought.density, every, FEW)
    return float(drawn_each(sought.doubtful, sought.density, every[np.argsort(few)[:KEPT]]).min())


def _at(
    sought: HoleSearch, d: float, r: float, one: float, depth: float, blind: bool
) -> list[tuple[float, float, float, float, bool]]:
    u = one * (depth + (CONE * d / 3 if blind else 0.0))
    if sought.amount > 2 * u:
        return []
    half = math.degrees(math.acos(sought.amount / (2 * u)))
    if half > 75 or not clear(sought, r, d, half):
        return []
    return [(d, r, half, depth, blind)]


def compared(seed: int) -> float | None:
    """Our figure over the best there is; None where there is no such wheel or no pair."""
    try:
        job = random_job(seed)
        wheel = design_wheel(job)
    except JobError:
        return None
    metal = metal_of(job, wheel)
    assert job.balance is not None
    sought = hole_search(job, job.balance, wheel, metal, initial_unbalance(job, wheel, metal))
    best = best_pair(sought)
    if math.isinf(best):
        return None
    found = search(sought)
    assert found.plan is not None, seed
    if found.plan.residual > 0.3 * best:  # a coarse table leaves more than any error does, whatever the drill
        return None
    return drawn_plan(sought, found.plan.holes) / best


@pytest.mark.parametrize("seeds", [(0, 3, 5)])
def test_within_five_per_cent_of_the_best_pair(seeds: tuple[int, ...]) -> None:
    ratios = [ratio for ratio in map(compared, seeds) if ratio is not None]
    assert len(ratios) == 3
    assert max(ratios) <= 1.05


@pytest.mark.slow
@pytest.mark.parametrize("start", range(0, 240, 20))
def test_two_hundred_jobs_within_five_per_cent(start: int) -> None:
    ratios = [ratio for ratio in map(compared, range(start, start + 20)) if ratio is not None]
    assert len(ratios) >= 8
    assert max(ratios) <= 1.05


def pair(d: float, half: float, r: float, *, through: bool = True, depth: float = 3.2) -> list[CorrectionHole]:
    point = None if through else 118.0
    return [CorrectionHole(at % 360, r, d, depth, 0.0, through, point) for at in (half, -half)]


@pytest.mark.parametrize(
    ("d", "half", "r", "through", "depth"),
    [(8.0, 50.0, 66.0, True, 3.2), (4.0, 6.0, 66.0, True, 3.2), (6.0, 30.0, 30.0, False, 12.0)],
)
def test_the_figure_that_ranks_is_near_the_one_that_is_drawn(
    d: float, half: float, r: float, through: bool, depth: float
) -> None:
    holes = pair(d, half, r, through=through, depth=depth)
    density = 7200e-6
    one = holes[0].mass_g(7200) * r
    taken = 2 * one * math.cos(math.radians(half))
    vectors, _ = spread(np.zeros(2), np.array([0.0, taken]), holes, density, 1)
    deep = math.inf if through else depth + holes[0].point_mm / 3
    both = np.ones((1, 2))
    about = likely(taken, one * both, half * np.array([[1.0, -1.0]]), r * both, d * both, deep * both)
    assert float(about[0]) == pytest.approx(figure(vectors), rel=0.06)
    independent = drawn_95(taken, density, d, r, half, depth, not through)
    assert figure(vectors) == pytest.approx(independent, rel=0.04)


def test_a_drill_cuts_all_its_holes_over_size_alike() -> None:
    """With one drill the oversize adds up; drawn apart for each hole it would partly cancel."""
    holes = pair(6.0, 20.0, 66.0)
    vectors, _ = spread(np.zeros(2), np.zeros(2), holes, 7200e-6, 1)
    taken = 2 * holes[0].mass_g(7200) * 66 * math.cos(math.radians(20))
    # by hand: even between 0 and 2·0.1/6 of what is taken out: its 95 % place, and its mean half of the greatest
    greatest = taken * ((6.1 / 6) ** 2 - 1)
    assert figure(vectors) == pytest.approx(0.95 * greatest, rel=0.06)
    assert abs(float(vectors[:, 1].mean())) == pytest.approx(greatest / 2, rel=0.03)
    assert len(vectors) == DRAWS


def test_the_cone_of_a_blind_hole_counts_a_third() -> None:
    """Nothing is off on the average but the oversize: planned and drawn holes weigh alike, the point included."""
    holes = pair(8.0, 30.0, 50.0, through=False, depth=5.0)
    vectors, _ = spread(np.zeros(2), np.zeros(2), holes, 7850e-6, 1)
    d = 8.0 + np.linspace(0, 0.1, 1001)
    weigh = np.pi / 4 * d**2 * (5 + d * CONE / 3) * 7850e-6
    mean = 2 * math.cos(math.radians(30)) * 50 * float(weigh.mean() - weigh[0])
    assert float(-vectors[:, 1].mean()) == pytest.approx(mean, rel=0.06)


def test_a_drill_of_the_plain_sets_and_one_alone_is_preferred() -> None:
    """7.7 mm leaves 0.1 per cent less than 8.0, and an 11/32 with an S 5 per cent less than a pair."""
    for demo, drill in (("tarn-six", "8.0 mm"), ("fell-twin", "11/32 in")):
        balance = design_balance(parse_job(demo_text(demo), demo), design_wheel(parse_job(demo_text(demo), demo)))
        assert [hole.drill for hole in balance.holes] == [drill] * 2


@pytest.mark.parametrize("draws", [1, 2, 7, 500])
def test_the_figure_of_a_spread_is_the_95_percent_quantile_of_its_lengths(draws: int) -> None:
    vectors = np.random.default_rng(draws).normal(size=(draws, 2))
    assert figure(vectors) == pytest.approx(np.quantile(np.hypot(*vectors.T), 0.95), rel=1e-12)
