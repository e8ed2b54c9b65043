"""Places from distances: known answers, what is asked where there are two, what is said where there is none."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import binom

from tests.survey.engines import Engine, random_engine, readings_of, survey_of
from wheelcad.errors import DesignError
from wheelcad.survey.adjust import Net
from wheelcad.survey.distances import solve_distances
from wheelcad.survey.model import DistanceReading, Distances, DistanceSurvey
from wheelcad.survey.snoop import UNCHECKED

B = 40 / math.sqrt(2)
KNOWN = {
    "centre": (0.0, 0.0, 0.0),
    "bolt-1": (B, B, 0.0),
    "bolt-2": (B, -B, 0.0),
    "bolt-3": (-B, -B, 0.0),
    "bolt-4": (-B, B, 0.0),
}
ENGINE = Engine({**KNOWN, "m1": (-132.0, 88.0, -38.0), "m2": (-132.0, 138.0, -38.0)}, ("m1", "m2"), 4)
ALL_OF = [("centre", "m1"), ("bolt-4", "m1"), ("bolt-3", "m1"), ("bolt-1", "m1")]


def exact(*pairs: tuple[str, str], slant: bool = False) -> tuple[DistanceReading, ...]:
    """True lengths between points of the engine."""
    return tuple(DistanceReading(a, b, ENGINE.length(a, b, slant), slant) for a, b in pairs)


def given(readings: tuple[DistanceReading, ...], read_to: float = 0.5, **clock: float) -> Distances:
    """A survey of the mounts that the readings name."""
    named = {name for reading in readings for name in (reading.start, reading.end)}
    return Distances(KNOWN, {name: -38.0 for name in ENGINE.sought if name in named}, readings, read_to, clock)


def off(survey: DistanceSurvey, engine: Engine) -> list[tuple[float, float]]:
    """How far each point lies from the truth, and its 95 % radius."""
    return [(math.dist((p.x_mm, p.y_mm), engine.places[p.name][:2]), p.within_95_mm) for p in survey.points]


@pytest.mark.parametrize("slant", [False, True])
def test_true_readings_give_the_true_places(slant: bool) -> None:
    readings = exact(*ALL_OF, ("centre", "m2"), ("bolt-4", "m2"), ("m1", "m2"), slant=slant)
    survey = solve_distances(given(readings))
    assert [far < 1e-6 for far, _ in off(survey, ENGINE)] == [True, True]
    assert [(p.name, p.z_mm) for p in survey.points] == [("m1", -38.0), ("m2", -38.0)]
    assert all(abs(r.fits_mm - r.reading.is_mm) < 1e-6 for r in survey.residuals)
    assert survey.sound
    assert survey.spare == 3


def test_the_95_per_cent_radius_of_two_circles_that_cross_squarely_is_that_of_a_round_normal() -> None:
    # centre at the origin, a bolt 200 away, the point square to both: x and y each known to read_to / 1.96, and the
    # radius of a round normal that holds 95 % is √(-2 ln 0.05) = 2.4477 standard deviations (Rayleigh's distribution)
    known = {"centre": (0.0, 0.0, 0.0), "bolt-1": (200.0, 150.0, 0.0)}
    readings = (DistanceReading("centre", "m1", 150.0), DistanceReading("bolt-1", "m1", 200.0))
    point = solve_distances(Distances(known, {"m1": 0.0}, readings, 0.5, {"m1": 12.0})).points[0]
    assert (point.x_mm, point.y_mm) == pytest.approx((0.0, 150.0), abs=1e-6)
    assert point.within_95_mm == pytest.approx(0.5 / 1.959964 * math.sqrt(-2 * math.log(0.05)), rel=1e-3)


def test_two_answers_ask_for_the_clock_and_it_settles_them_whichever_way_the_crank_turns() -> None:
    readings = exact(("centre", "m1"), ("bolt-4", "m1"))
    with pytest.raises(DesignError) as caught:
        solve_distances(given(readings))
    (fault,) = caught.value.faults
    assert fault.key == ("survey", "clock")
    assert "two answers for m1" in str(fault)
    assert "10 o'clock (x -132 mm, y 88 mm) or 11 o'clock (x -88 mm, y 132 mm)" in str(fault)
    for hours, place in ((10.0, (-132.0, 88.0)), (11.0, (-88.0, 132.0))):
        point = solve_distances(given(readings, m1=hours)).points[0]
        assert (point.x_mm, point.y_mm) == pytest.approx(place, abs=1e-4)
    with pytest.raises(DesignError, match="no answer lies there"):
        solve_distances(given(readings, m1=4.0))


def test_a_third_reading_makes_the_clock_needless() -> None:
    survey = solve_distances(given(exact(*ALL_OF[:3])))
    assert off(survey, ENGINE)[0][0] < 1e-6


@pytest.mark.parametrize(
    ("pairs", "advice"),
    [
        ([("centre", "m1")], "read bolt-"),
        ([*ALL_OF, ("m1", "m2")], "to m2 as well"),
    ],
)
def test_points_that_the_readings_do_not_fix_are_named_with_a_reading_that_would(
    pairs: list[tuple[str, str]], advice: str
) -> None:
    with pytest.raises(DesignError) as caught:
        solve_distances(given(exact(*pairs)))
    (fault,) = caught.value.faults
    assert "do not fix where" in fault.message
    assert advice in fault.hint


def test_a_point_in_line_with_centre_and_bolts_is_not_given_a_place() -> None:
    # opposite bolts and the centre lie on one line with the hole: no reading feels it move square to the line
    known = {name: KNOWN[name] for name in ("centre", "bolt-2", "bolt-4", "bolt-1")}
    place = (-120.0, 120.0)
    readings = tuple(DistanceReading(n, "m1", math.dist(known[n][:2], place)) for n in ("centre", "bolt-2", "bolt-4"))
    with pytest.raises(DesignError) as caught:
        solve_distances(Distances(known, {"m1": 0.0}, readings, 0.5))
    assert "bolt-1 to m1" in caught.value.faults[0].hint


def test_readings_that_contradict_without_any_to_spare_are_named_together() -> None:
    readings = (DistanceReading("centre", "m1", 158.6), DistanceReading("bolt-4", "m1", 300.0))
    with pytest.raises(DesignError, match=r"bolt-4 to m1 and centre to m1 cannot both be true"):
        solve_distances(given(readings))


def test_a_wrong_reading_is_named_with_how_much_it_is_off_and_left_out() -> None:
    pairs = [*ALL_OF, *((a, "m2") for a, _ in ALL_OF), ("m1", "m2")]
    readings = list(exact(*pairs))
    readings[-1] = replace(readings[-1], is_mm=readings[-1].is_mm + 3.1)
    survey = solve_distances(given(tuple(readings), read_to=0.2))
    ((suspect,),) = survey.suspects
    assert suspect.reading.name == "m1 to m2"
    assert suspect.off_mm == pytest.approx(3.1, abs=0.01)
    assert max(far for far, _ in off(survey, ENGINE)) < 1e-4
    assert not survey.sound


def test_without_a_reading_to_spare_nothing_is_said_to_be_checked() -> None:
    survey = solve_distances(given(exact(("centre", "m1"), ("bolt-4", "m1")), m1=10.0))
    assert survey.spare == 0
    assert max(residual.checked for residual in survey.residuals) < 1e-6
    assert not survey.suspects


def test_one_spare_cannot_tell_which_reading_is_wrong_and_does_not_pretend_to() -> None:
    readings = list(exact(*ALL_OF[:3]))
    readings[0] = replace(readings[0], is_mm=readings[0].is_mm + 6.0)
    survey = solve_distances(given(tuple(readings)))
    (group,) = survey.suspects
    # bolt-3 is cleared: without it the circles about centre and bolt-4, nearly in line with m1, would not even meet
    assert {suspect.reading.name for suspect in group} == {"centre to m1", "bolt-4 to m1"}


def coverage(count: int, seed: int) -> tuple[int, int, int]:
    """Of so many random engines: points inside their radius, points, engines that were declined or blamed."""
    rng = np.random.default_rng(seed)
    inside = total = declined = 0
    for _ in range(count):
        engine = random_engine(rng)
        read_to = float(rng.uniform(0.2, 1.0))
        readings = readings_of(engine, rng, read_to, bolts=int(rng.integers(2, 4)))
        try:
            survey = solve_distances(survey_of(engine, readings, read_to, clock=True))
        except DesignError:
            declined += 1
            continue
        if survey.suspects:
            declined += 1
            continue
        far = off(survey, engine)
        # one point an engine: the points of one engine share readings and are not independent
        pick = int(rng.integers(len(far)))
        inside += far[pick][0] <= far[pick][1]
        total += 1
    return inside, total, declined


def test_thirty_random_engines_lie_within_their_95_per_cent() -> None:
    inside, total, declined = coverage(30, seed=15)
    low, high = binom.interval(0.999, total, 0.95)  # what chance allows of a true 95 %: one sample in a thousand fails
    assert low <= inside <= high
    assert declined <= 3


@pytest.mark.slow
def test_a_thousand_random_engines_lie_within_their_95_per_cent() -> None:
    inside, total, declined = coverage(1000, seed=1)
    assert 0.93 <= inside / total <= 0.97
    assert declined <= 30


def resolves(directions: np.ndarray, read_to_mm: float) -> np.ndarray:
    """How large a mistake in each reading must be to stand out as its own, mm: the 95 % figure of a reading's error as
    the others give it, told from a mistake in any one of them. inf where nothing checks it, or none can tell.

    With Q the residuals' cofactors, q their diagonal and ρ their correlation: read_to / √(q·(1 - ρ²)).
    """
    u, s, _ = np.linalg.svd(directions, full_matrices=False)
    kept = u[:, s > 1e-9 * s.max(initial=1.0)]
    cofactors = np.eye(len(directions)) - kept @ kept.T
    own = np.clip(np.diag(cofactors), 1e-12, None)
    tied = np.abs(cofactors) / np.sqrt(np.outer(own, own))
    np.fill_diagonal(tied, 0.0)
    tied[:, own < UNCHECKED] = 0.0
    apart = own * (1.0 - np.clip(tied.max(axis=1, initial=0.0), 0.0, 1.0) ** 2)
    out = np.where((own < UNCHECKED) | (apart < 1e-6), np.inf, read_to_mm / np.sqrt(np.maximum(apart, 1e-12)))
    return np.asarray(out, dtype=float)


def seeded(count: int, seed: int) -> tuple[int, int, int]:
    """Engines with one wrong reading of 6 × what can be resolved: named alone, named among others, of how many."""
    rng = np.random.default_rng(seed)
    alone = among = total = 0
    while total < count:
        engine = random_engine(rng)
        read_to = float(rng.uniform(0.2, 1.0))
        readings = list(readings_of(engine, rng, read_to, bolts=3))
        trial = survey_of(engine, tuple(readings), read_to, clock=True)
        truth = np.array([engine.places[name][:2] for name in engine.sought]).ravel()
        limits = resolves(Net(trial).directions(truth), read_to)
        k = int(rng.integers(len(readings)))
        if len(readings) - 2 * len(engine.sought) < 2 or not limits[k] * 6 < 60.0:  # mm: nobody misreads by more
            continue
        error = 6.0 * float(limits[k]) * (1 if rng.random() < 0.5 else -1)
        readings[k] = replace(readings[k], is_mm=readings[k].is_mm + error)
        total += 1
        try:
            survey = solve_distances(survey_of(engine, tuple(readings), read_to, clock=True))
        except DesignError:
            continue
        first = survey.suspects[0] if survey.suspects else ()
        named = [suspect.reading for suspect in first]
        alone += named == [readings[k]]
        among += readings[k] in named
    return alone, among, total


def test_a_seeded_wrong_reading_is_named() -> None:
    alone, among, total = seeded(12, seed=3)
    assert alone >= binom.ppf(0.001, total, 0.95)
    assert among >= alone


@pytest.mark.slow
def test_a_seeded_wrong_reading_is_named_in_95_per_cent() -> None:
    alone, _, total = seeded(500, seed=4)
    assert alone >= 0.95 * total


def test_a_wrong_reading_without_which_two_answers_are_left_is_named_beside_them() -> None:
    # opposite bolts and the centre lie on one line; bolt-1 alone tells the sides apart, and is misread beyond both
    readings = exact(("centre", "m1"), ("bolt-2", "m1"), ("bolt-4", "m1"))
    wrong = DistanceReading("bolt-1", "m1", ENGINE.length("bolt-1", "m1", False) + 60.0)
    with pytest.raises(DesignError) as caught:
        solve_distances(given((*readings, wrong)))
    said = str(caught.value)
    assert "bolt-1 to m1 is" in said
    assert "longer than the others allow" in said
    assert "two answers for m1" in said
