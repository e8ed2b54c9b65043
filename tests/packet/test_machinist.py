"""A simulated machinist who obeys only the phone, and another who obeys only the paper, both end with the job's wheel:
every slot, bolt hole, balance hole and timing mark within 0.001 degrees and 0.01 mm."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser

from tests.packet.browser import chromium
from tests.packet.machinist import Wheel, by_paper, by_phone
from wheelcad.errors import JobError
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.balance.design import design_balance
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.indexing.design import design_indexing
from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.parts.wheel.design import design_wheel

ANGLE, SIZE = 0.001, 0.01
JOBS, SAMPLE = 100, 6
TABLES = (
    (36, 40, "0.05 deg"),
    (60, 90, "1'"),
    (24, 60, "0.25 deg"),
    (36, 72, "0.1 deg"),
    (48, 40, "0.05 deg"),
    (12, 90, "1'"),
)


def random_job(choose: random.Random) -> Job:
    """A plate wheel with bolts or a turned-down pulley, with marks and balance, in mm or inches, on a table whose dial
    reaches every slot; flat or on edge."""
    units = choose.choice(["mm", "in"])
    one, places = (25.4, 3) if units == "in" else (1.0, 1)

    def size(mm: float) -> float:
        return round(mm / one, places)

    teeth, ratio, step = choose.choice(TABLES)
    diameter = choose.choice([160, 180, 220])
    width = min(choose.uniform(0.3, 0.45) * 3.1416 * diameter / teeth, 10.0)
    floor = choose.choice(["round", f"flat, corner_radius: {size(0.4)}"])
    cutter = size(width) if choose.random() < 0.67 else size(0.7 * width)
    turned = choose.random() < 0.5
    thickness = choose.choice([3, 4, 5])
    if turned:
        lands = [size(0.7 * diameter), size(0.85 * diameter)]
        groove = f"groove: {{width: {size(12)}, depth: {size(11)}, angle: 36 deg}}"
        rear = f"{{length: {size(14)}, diameter: {lands[1]}, {groove}}}"
        form = f"form: turned-down, teeth: {teeth}, material: grey-iron, "
        found = f", as_found: [{{length: {size(22 + thickness)}, diameter: {size(diameter + 6)}}}, {rear}]"
        shoulder = f"diameter: {lands[0]}"
        turns = f"{{length: {size(8)}, {shoulder}}}, wheel, {{length: {size(14)}, {shoulder}}}, {rear}"
        found += f", turned: [{turns}]"
    else:
        form, found = f"form: plate, teeth: {teeth}, bore: {size(32)}, ", ""
    first = choose.choice([0, 15, 30, 45])
    return parse_job(
        f"job: random\nunits: {units}\n"
        f"engine: {{turns: {choose.choice(['clockwise', 'anticlockwise'])}, max_speed: 6000}}\n"
        f"wheel: {{{form}missing: {choose.choice([1, 2])}, "
        f"gap_at: {choose.choice([0, 12, 90, 255])}, "
        f"outside_diameter: {size(diameter)}, thickness: {size(thickness)}, "
        f"slot: {{width: {size(width)}, depth: {size(max(width, 6.0))}, floor: {floor}}}, "
        f"marks: {{tdc: {choose.choice(['notch', 'line'])}, degrees: [5, 10, 20]}}}}\n"
        f"pulley: {{bore: {size(32)}, bolts: {{count: {choose.choice([3, 4, 6])}, "
        f"circle: {size(80)}, hole: {size(8.4)}, first_at: {first}}}{found}}}\n"
        f"balance: {{grade: G16, correct_by: holes, largest_drill: {size(10)}}}\n"
        f"shop: {{rotary_table: {{ratio: {ratio}, dial_step: {step}, backlash: {choose.choice([0, 0.2])}}}, "
        f"cutter: {{diameter: {cutter}}}, drills: {'inch' if units == 'in' else 'metric'}}}\n",
        "random.yaml",
    )


def drawn(seed: int) -> tuple[Job, IndexPlan, tuple[CorrectionHole, ...]]:
    """A job that can be, every feature of which the dial reaches."""
    choose = random.Random(seed)
    while True:
        try:
            job = random_job(choose)
            wheel = design_wheel(job)
            holes = design_balance(job, wheel).holes
            plan = design_indexing(job, wheel, holes)
        except JobError:
            continue
        assert plan is not None
        exact = ("slot", "bolt", "hole", "notch", "mark")
        if all(stop.setting is not None and stop.setting.error == 0 for stop in plan.stops if stop.work in exact):
            return job, plan, holes


Obeys = Callable[[IndexPlan, Browser], Wheel]
SEEDS = [*range(SAMPLE), *(pytest.param(seed, marks=pytest.mark.slow) for seed in range(SAMPLE, JOBS))]


def near(one: float, two: float) -> float:
    """Degrees between two angles."""
    return abs((one - two + 180.0) % 360.0 - 180.0)


def judge(made: Wheel, job: Job, holes: tuple[CorrectionHole, ...]) -> None:
    """Everything that was made, against the job's own wheel."""
    wheel = design_wheel(job)
    centres = wheel.slot_centres_deg.tolist()
    assert len(made.slots) == len(made.scratched) == len(centres)
    for at, depth, offsets in made.slots.values():
        assert min(near(at, centre) for centre in centres) < ANGLE
        assert depth == pytest.approx(wheel.slot.depth, abs=SIZE)
        assert job.shop.cutter is not None
        sides = max(offsets), -min(offsets)
        assert [s + job.shop.cutter.diameter / 2 for s in sides] == pytest.approx([wheel.slot.width / 2] * 2, abs=SIZE)
    missing = job.wheel.missing * wheel.pitch_deg / 2
    assert made.gap
    assert all(near(at, wheel.gap_at_deg) < missing for at, _ in made.gap)
    assert job.pulley is not None
    assert job.pulley.bolts is not None
    bolts = job.pulley.bolts
    plate = job.wheel.form == "plate"  # a pulley has its bolt holes already
    for k in range(bolts.count if plate else 0):
        at, radius, size = min(made.bolts, key=lambda bolt: near(bolt[0], bolts.first_at + 360 / bolts.count * k))
        assert near(at, bolts.first_at + 360 / bolts.count * k) < ANGLE
        assert (radius, size) == pytest.approx((bolts.circle / 2, bolts.hole), abs=SIZE)
    assert len(made.bolts) == (bolts.count if plate else 0)
    assert len(made.holes) == len(holes)
    for hole in holes:
        at, radius, size, deep = min(made.holes, key=lambda found: near(found[0], hole.at_deg))
        assert near(at, hole.at_deg) < ANGLE
        assert (radius, size) == pytest.approx((hole.radius_mm, hole.diameter_mm), abs=SIZE)
        assert deep is None if hole.through else deep == pytest.approx(hole.depth_mm, abs=SIZE)
    assert job.wheel.marks is not None
    names = [name for name, *_ in sorted(made.marks, key=lambda mark: mark[1])]
    assert names == [f"TDC {job.wheel.marks.tdc}", "5° mark", "10° mark", "20° mark"]
    for mark, (_, at, outer, inner, deep) in zip(wheel.marks, sorted(made.marks, key=lambda m: m[1]), strict=True):
        assert near(at, mark.at_deg) < ANGLE
        assert (outer, inner) == pytest.approx((mark.outer, mark.inner), abs=SIZE)
        assert deep == (None if mark.deep is None else pytest.approx(mark.deep, abs=SIZE))


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as opened:
        yield opened


@pytest.mark.parametrize("obeys", [by_phone, by_paper])
@pytest.mark.parametrize("seed", SEEDS)
def test_who_obeys_the_page_alone_ends_with_the_wheel(obeys: Obeys, seed: int, browser: Browser) -> None:
    job, plan, holes = drawn(seed)
    judge(obeys(plan, browser), job, holes)


def test_the_sample_is_of_every_sort() -> None:
    found = [drawn(seed) for seed in range(SAMPLE)]
    assert {plan.setup_of("mill").lying for _, plan, _ in found} == {"flat", "on edge"}
    assert {job.wheel.form for job, *_ in found} == {"plate", "turned-down"}
    assert {job.units for job, *_ in found} == {"mm", "in"}


@pytest.mark.parametrize("obeys", [by_phone, by_paper])
def test_a_machinist_at_another_table_does_not_end_with_it(obeys: Obeys, browser: Browser) -> None:
    """The check can fail: a setting that is a dial mark off is seen."""
    from dataclasses import replace

    job, plan, holes = drawn(0)
    step = plan.stops[10]
    assert step.setting is not None
    wrong = replace(step, setting=step.setting._replace(dial=step.setting.dial + plan.table.dial_step))  # type: ignore[union-attr]
    spoilt = replace(plan, stops=(*plan.stops[:10], wrong, *plan.stops[11:]))
    with pytest.raises(AssertionError):
        judge(obeys(spoilt, browser), job, holes)
