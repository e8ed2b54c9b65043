"""Twelve engines gone through by hand: from one cylinder to twelve, even and odd fire, turning both ways.

Nothing here uses the package's own formulas: speed, times, intervals, ratios, sparks and passing are done again from
first principles, by sums over hundredths of a degree and by turning points about the axis.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import pytest

from tests.signal.wheels import edges_of, job_of
from wheelcad.job.models import Job
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.signal.edges import passing
from wheelcad.signal.gapmap import PLACES_DEG, cranking_speed, gap_map
from wheelcad.signal.inputs import Inputs, inputs_of, pairs_of
from wheelcad.signal.report import signal_of

FINE = 0.02  # degrees


class Engine(NamedTuple):
    cylinders: int
    order: list[int]
    angles: list[float] | None
    turns: str
    teeth: int
    missing: int
    spark: str
    companions: tuple[tuple[int, int], ...]


ENGINES = [
    Engine(1, [1], None, "clockwise", 12, 1, "wasted", ()),
    Engine(2, [2, 1], [0.0, 270.0], "anticlockwise", 24, 1, "wasted", ()),
    Engine(3, [1, 3, 2], None, "clockwise", 36, 1, "wasted", ()),
    Engine(4, [3, 4, 2, 1], None, "anticlockwise", 60, 2, "wasted", ((1, 4), (3, 2))),
    Engine(5, [1, 2, 4, 5, 3], None, "clockwise", 36, 2, "per-cylinder", ()),
    Engine(6, [1, 4, 3, 6, 5, 2], [0.0, 90.0, 240.0, 330.0, 480.0, 570.0], "anticlockwise", 36, 1, "wasted", ()),
    Engine(7, [1, 3, 5, 7, 2, 4, 6], None, "clockwise", 60, 2, "distributor", ()),
    Engine(8, [1, 8, 4, 3, 6, 5, 7, 2], None, "clockwise", 36, 1, "wasted", ((1, 6), (8, 5), (4, 7), (3, 2))),
    Engine(9, [1, 2, 3, 4, 5, 6, 7, 8, 9], None, "anticlockwise", 60, 2, "per-cylinder", ()),
    Engine(10, [1, 6, 5, 10, 2, 7, 3, 8, 4, 9], [0.0, 90.0, 144.0, 234.0, 288.0, 378.0, 432.0, 522.0, 576.0, 666.0],
           "clockwise", 60, 2, "per-cylinder", ()),
    Engine(11, list(range(1, 12)), None, "clockwise", 36, 1, "distributor", ()),
    Engine(12, [1, 7, 5, 11, 3, 9, 6, 12, 2, 8, 4, 10], None, "anticlockwise", 60, 2, "wasted",
           ((1, 6), (7, 12), (5, 2), (11, 8), (3, 4), (9, 10))),
]  # fmt: skip
GAP_AT, SENSOR_AT = 25.0, 130.0


def the_job(engine: Engine) -> Job:
    return job_of(
        engine.cylinders,
        engine.teeth,
        engine.missing,
        angles=engine.angles,
        order=engine.order,
        gap_at=GAP_AT,
        sensor={"at": SENSOR_AT, "times_on": "centre", "delay": 0},
        engine={"turns": engine.turns, "spark": engine.spark, "advance": {"cranking": 8, "least": 8, "most": 34}},
        controller={"filter": 0},
    )


def fired_at(engine: Engine) -> dict[int, float]:
    """Each cylinder's firing TDC past that of cylinder 1, written out."""
    angles = engine.angles or [720.0 / engine.cylinders * k for k in range(engine.cylinders)]
    by_cylinder = dict(zip(engine.order, angles, strict=True))
    return {cylinder: (angle - by_cylinder[1]) % 720 for cylinder, angle in by_cylinder.items()}


def work(theta: float, compression: float = 8.5, rod: float = 3.5, n: float = 1.3) -> float:
    """Gas work by summing pressure times volume, not by the closed form."""
    theta = (theta + 360) % 720 - 360
    if abs(theta) > 180:
        return 0.0

    def volume(degrees: float) -> float:
        t = math.radians(degrees)
        stroke = (1 - math.cos(t) + rod - math.sqrt(rod**2 - math.sin(t) ** 2)) / 2
        return 1 / (compression - 1) + stroke

    bottom, here = volume(180), volume(theta)
    steps = 400
    total = 0.0
    for k in range(steps):
        v = bottom + (here - bottom) * (k + 0.5) / steps
        total += ((bottom / v) ** n - 1) * (bottom - here) / steps
    return total


def speed_by_hand(engine: Engine, dip: float) -> np.ndarray:
    """Speed over its mean by time, at 0, FINE, … of the cycle."""
    degrees = np.arange(-180.0, 180.5, 0.5)
    one = np.array([work(float(d)) for d in degrees])
    grid = np.arange(0, 720, FINE)
    total = np.zeros_like(grid)
    for at in fired_at(engine).values():
        total += np.interp((grid - at + 360) % 720 - 360, degrees, one, left=0.0, right=0.0)
    total -= total.mean()
    low, high = 0.0, 1 / total.max()
    for _ in range(50):
        kappa = (low + high) / 2
        omega = np.sqrt(np.maximum(1 - kappa * total, 1e-12))
        low, high = (kappa, high) if omega.min() * np.mean(1 / omega) > dip else (low, kappa)
    return np.asarray(omega * np.mean(1 / omega))


def tooth_angles(engine: Engine, gap_passes: float) -> list[float]:
    """Crank angles over one turn at which tooth centres pass, tooth 1 first, when the gap passes at gap_passes."""
    pitch = 360 / engine.teeth
    first = gap_passes + pitch * (engine.missing + 1) / 2
    return [first + pitch * k for k in range(engine.teeth - engine.missing)]


def times_at(omega: np.ndarray, angles: list[float]) -> list[float]:
    passed = np.concatenate([[0.0], np.cumsum(FINE / ((omega + np.roll(omega, -1)) / 2))])
    grid = np.append(np.arange(0, 720, FINE), 720.0)
    return [float(np.interp(a % 720, grid, passed)) + passed[-1] * math.floor(a / 720) for a in angles]


def margin_by_hand(engine: Engine, omega: np.ndarray, gap_passes: float, compares: str) -> float:
    turn = tooth_angles(engine, gap_passes)
    four = [a + 360 * k for k in range(4) for a in turn]
    when = times_at(omega, four)
    q = (engine.missing + 2) / 2
    margin = math.inf
    n = len(turn)
    for k in range(n, 3 * n):
        before, now, after = when[k - 1] - when[k - 2], when[k] - when[k - 1], when[k + 1] - when[k]
        ratio = now / before if compares == "last" else now / math.sqrt(before * after)
        margin = min(margin, ratio / q if k % n == 0 else q / ratio)
    return margin


def inputs_and_map(engine: Engine) -> tuple[Job, Inputs]:
    job = the_job(engine)
    return job, inputs_of(job, edges_of(job))


@pytest.mark.parametrize("engine", ENGINES, ids=lambda e: f"{e.cylinders}-cylinders")
def test_firing_and_companions(engine: Engine) -> None:
    _, inputs = inputs_and_map(engine)
    assert dict(zip(inputs.order, inputs.firing_deg, strict=True)) == pytest.approx(fired_at(engine))
    assert (inputs.order[0], inputs.firing_deg[0]) == (1, 0.0)
    assert list(inputs.firing_deg) == sorted(inputs.firing_deg)
    assert {frozenset(pair) for pair in pairs_of(inputs)} == {frozenset(pair) for pair in engine.companions}


@pytest.mark.parametrize("engine", ENGINES, ids=lambda e: f"{e.cylinders}-cylinders")
def test_margins_at_places_round_the_crank(engine: Engine) -> None:
    job, inputs = inputs_and_map(engine)
    omega = speed_by_hand(engine, inputs.dip)
    assert cranking_speed(inputs).share_at(np.arange(0, 720, FINE)) == pytest.approx(omega, abs=2e-3)
    for compares in ("last", "both"):
        held = job_like(job, compares)
        found = gap_map(edges_of(held), inputs_of(held, edges_of(held)))
        assert found is not None
        for place in (0, 37, 105, 200, 331):
            by_hand = margin_by_hand(engine, omega, float(PLACES_DEG[place]), compares)
            assert found.margin[place] == pytest.approx(by_hand, rel=2e-3), (compares, place)


def job_like(job: Job, compares: str) -> Job:
    """The same job with the other decoder."""
    assert job.controller is not None
    return job.model_copy(update={"controller": job.controller.model_copy(update={"compares": compares})})


@pytest.mark.parametrize("engine", ENGINES, ids=lambda e: f"{e.cylinders}-cylinders")
def test_sparks_by_hand(engine: Engine) -> None:
    job = the_job(engine)
    signal = signal_of(job, edges_of(job), field=False)
    omega = speed_by_hand(engine, signal.inputs.dip)
    pitch = 360 / engine.teeth
    turn = tooth_angles(engine, (SENSOR_AT - GAP_AT) % 360)
    every = [a + 360 * k for k in range(-3, 4) for a in turn]
    cycle = times_at(omega, [720.0])[0]
    degrees = np.append(np.arange(0, 720, FINE), 720.0)
    passed = np.array([*times_at(omega, list(degrees[:-1])), cycle])
    for spark in signal.sparks:
        asked = fired_at(engine)[spark.cylinder] - 8
        k = max(i for i, a in enumerate(every) if a <= asked)
        assert spark.tooth["cranking"] == k % len(turn) + 1
        assert spark.us["cranking"] == pytest.approx((asked - every[k]) / (6 * 200) * 1e6, abs=1e-3)
        t1, t0 = times_at(omega, [every[k], every[k - 1]])
        between = pitch * (engine.missing + 1 if k % len(turn) == 0 else 1)
        fires = t1 + (asked - every[k]) * (t1 - t0) / between
        at = float(np.interp(fires % cycle, passed, degrees)) + 720 * math.floor(fires / cycle)
        assert spark.error_deg["cranking"] == pytest.approx(asked - at, abs=0.02)
        coil_on = asked - 4.0 * 200 * 6 / 1000
        on = max(i for i, a in enumerate(every) if a <= coil_on)
        assert spark.coil_on_tooth["cranking"] == on % len(turn) + 1


@pytest.mark.parametrize("engine", ENGINES, ids=lambda e: f"{e.cylinders}-cylinders")
def test_room_to_charge_at_top_speed(engine: Engine) -> None:
    """The time from a coil's spark before: 720/(6 n) for own coils, half of it for wasted, between firings for one."""
    job = the_job(engine)
    fired = fired_at(engine)
    for spark in signal_of(job, edges_of(job), field=False).sparks:
        if engine.spark == "distributor":
            others = [(fired[spark.cylinder] - at) % 720 for one, at in fired.items() if one != spark.cylinder]
            degrees = min(others)
        else:
            degrees = 360 if engine.spark == "wasted" else 720
        room = degrees / (6 * 6000) * 1000
        assert spark.charge_ms["top"] == pytest.approx(min(room, 4.0))


@pytest.mark.parametrize("engine", ENGINES, ids=lambda e: f"{e.cylinders}-cylinders")
def test_teeth_turned_about_the_axis_meet_the_sensor(engine: Engine) -> None:
    """Each tooth's centre as a point of the wheel, turned bodily by the crank, stands in front of the sensor."""
    job = the_job(engine)
    edges = edges_of(job)
    way = -1 if engine.turns == "clockwise" else 1  # of mathematicians' angles when the crank turns on
    one = passing(edges, SENSOR_AT, "centre", GAP_AT)
    up = 90.0
    designed = np.sort(design_wheel(job).teeth.tooth_centres_deg)
    assert np.sort(edges.centres_deg % 360) == pytest.approx(designed, abs=1e-9)
    sensor = complex(*(f(math.radians(up + way * SENSOR_AT)) for f in (math.cos, math.sin)))
    met = []
    for centre in designed:
        point = complex(*(f(math.radians(up + way * centre)) for f in (math.cos, math.sin)))
        for crank in one.crank_deg:
            turned = point * complex(math.cos(math.radians(way * crank)), math.sin(math.radians(way * crank)))
            if abs(turned - sensor) < 1e-6:
                met.append(float(centre))
    assert sorted(met) == pytest.approx(list(designed))
    # tooth 1 is the first to come once the gap's middle has passed
    gap_passed = (SENSOR_AT - GAP_AT) % 360
    assert float(one.crank_deg[0] - gap_passed) % 360 == pytest.approx(360 / engine.teeth * (engine.missing + 1) / 2)
