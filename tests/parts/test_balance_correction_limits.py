"""What the search for holes is asked, and what is told of its answer, at the very places where it turns; by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from tests.parts.balance_jobs import designed, turned_job
from tests.parts.hole_searches import hole, piece, sought
from wheelcad.errors import DesignError
from wheelcad.job.models import Job
from wheelcad.job.workshop import LevelReading
from wheelcad.parts.balance import cautions, correction, runout, told, verdicts
from wheelcad.parts.balance.candidates import HoleSearch, Plan
from wheelcad.parts.balance.initial import InitialUnbalance
from wheelcad.parts.balance.metal import metal_of
from wheelcad.parts.balance.plan import Chosen
from wheelcad.parts.balance.reading import LevelEdges, LevelRead, unbalance_read, what_went_wrong
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.words import Words

SHORT = "wheel, {length: 20, diameter: 104}"


def text(words: str) -> str:
    return Words("mm").text(words)


def slow(job: Job) -> Job:
    """The job without the engine's highest speed: nothing then says how much unbalance is permitted."""
    assert job.engine is not None
    return job.model_copy(update={"engine": job.engine.model_copy(update={"max_speed": None})})


def weighing(initial: InitialUnbalance, amount: float) -> InitialUnbalance:
    return replace(initial, parts=(("slots and gap", 0.0, amount, 0.0),))


def aim(kg: float) -> float:
    """g·mm at 6,000 rpm: 6.3 mm/s over the angular speed is how far the mass may sit off (ISO 21940-11)."""
    return 6.3 / (6000 / 60 * 2 * math.pi) * kg * 1000


@pytest.mark.parametrize("given_speed", [True, False])
def test_how_little_is_not_worth_a_hole(monkeypatch: pytest.MonkeyPatch, given_speed: bool) -> None:
    """A twentieth of the aim, or half a g·mm where no speed gives one: our judgement."""
    job = turned_job(SHORT, "radius: 40") if given_speed else slow(turned_job(SHORT, "radius: 40"))
    wheel, real = design_wheel(job), correction.initial_unbalance
    metal = metal_of(job, wheel)
    as_cut = real(job, wheel, metal)
    least = 0.05 * correction.aim_of(job, as_cut.mass_kg) if given_speed else 0.5
    if given_speed:
        assert least == pytest.approx(aim(as_cut.mass_kg) / 20)
    monkeypatch.setattr(correction, "search", lambda _: Chosen(None, "searched"))
    for amount, why in ((least, correction.NOTHING_HEAVY), (least * 1.01, "searched")):
        light = weighing(as_cut, amount)
        monkeypatch.setattr(correction, "initial_unbalance", lambda *_, light=light: light)
        assert correction.correction(job, wheel).outcome.why == why
        others = list(correction.other_ways(job, wheel, metal, light, None))
        assert bool(others) == (why == "searched")


def asked_of(job: Job) -> HoleSearch:
    wheel = design_wheel(job)
    metal = metal_of(job, wheel)
    assert job.balance is not None
    return correction.hole_search(job, job.balance, wheel, metal, correction.initial_unbalance(job, wheel, metal))


def test_a_tenth_may_be_left_where_no_speed_gives_an_aim() -> None:
    asked = asked_of(slow(turned_job("{length: 90, diameter: 100}, wheel", "radius: 40")))
    assert asked.at_worst == pytest.approx(asked.amount / 10)
    assert asked.couple_limit is None


def test_a_wheel_half_as_long_as_it_is_wide_is_balanced_in_one_plane() -> None:
    """⌀120 and 60 long is a disc still; of a longer one each end may keep half the aim."""
    for hub, disc in ((56.0, True), (56.5, False)):
        job = turned_job(f"{{length: {hub}, diameter: 100}}, wheel", "radius: 40")
        limit = asked_of(job).couple_limit
        wheel = design_wheel(job)
        kg = correction.initial_unbalance(job, wheel, metal_of(job, wheel)).mass_kg
        assert limit == (None if disc else pytest.approx(aim(kg) / 2 * (hub + 4)))


def test_holes_are_looked_for_in_a_flange_wider_than_the_ring() -> None:
    assert asked_of(turned_job("{length: 10, diameter: 130}, {length: 8, diameter: 90}, wheel", "")).radii[-1] == 65


def test_a_band_that_only_the_thinnest_drill_fits() -> None:
    """The ring's floor lies at 54, and 2 mm stay: a drill of 3 fits at 50.5, one of 3.1 in none of the band."""
    job = turned_job("wheel", "band: [50.5, 50.8]")
    assert design_wheel(job).floor_radius_mm == pytest.approx(54)
    radii = asked_of(job).radii
    assert (radii[0], radii[-1] <= 50.8) == (50.5, True)


GROOVED = "{length: 20, diameter: 104, groove: {width: 10, depth: 8, angle: 36}}, wheel"


@pytest.mark.parametrize(
    ("lands", "fits", "wall"),
    [
        ("{length: 10, diameter: 130}, {length: 8, diameter: 90}, wheel", 61.5, "outside of the piece"),
        (GROOVED, 40.5, "belt groove"),
        ("wheel", 50.5, "slot floors"),
    ],
)
def test_the_outermost_place_of_the_thinnest_drill(lands: str, fits: float, wall: str) -> None:
    """A drill of 3 and two millimetres: in from a flange of ⌀130, a groove down to 44, slots down to 54."""
    assert asked_of(turned_job(lands, f"radius: {fits}")).radii.tolist() == [fits]
    with pytest.raises(DesignError, match=wall):
        asked_of(turned_job(lands, f"radius: {fits + 0.1}"))


def test_a_larger_drill_is_offered_by_the_larger_of_two(monkeypatch: pytest.MonkeyPatch) -> None:
    """Up to the 13 mm that an ordinary chuck takes (common practice, no source)."""
    job = turned_job(SHORT, "radius: 40, largest_drill: 4")
    wheel = design_wheel(job)
    metal = metal_of(job, wheel)
    two = Plan("unequal-pair", tuple(replace(hole(180, d), drill=f"{d} mm") for d in (6.0, 8.0)), 0.0, 20.0, 0.0)
    searched: list[HoleSearch] = []

    def search(asked: HoleSearch) -> Chosen:
        searched.append(asked)
        return Chosen(two if len(searched) == answer else None, "")

    monkeypatch.setattr(correction, "search", search)
    for answer, first in ((1, "balance.largest_drill of 8 mm would do: 2 holes of 8 mm"), (2, "leaving out balance.r")):
        searched.clear()
        initial = weighing(correction.initial_unbalance(job, wheel, metal), 500.0)
        ways = correction.other_ways(job, wheel, metal, initial, Chosen(None, "none"))
        assert text(next(ways)).startswith(first)
        assert [asked.drills[-1].diameter_mm for asked in searched] == [13.0, 4.0][:answer]
    assert searched[0].radii.tolist() == [40.0]
    assert searched[1].radii[-1] == 54.0


def test_a_reading_at_the_very_least_that_is_felt(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is left alone; of one above it the holes may leave half of what edges can show."""
    job = turned_job(SHORT, "radius: 40, reading: {putty: 2.1 g, radius: 50, at: 140 deg}")
    wheel = design_wheel(job)
    assert job.balance is not None
    assert job.balance.reading is not None
    size = unbalance_read(job.balance.reading)[0]
    searched: list[HoleSearch] = []

    def search(asked: HoleSearch) -> Chosen:
        searched.append(asked)
        return Chosen(Plan("blind-hole", (), 0.0, 0.0, 0.0), "")

    monkeypatch.setattr(correction, "search", search)
    for felt, there in ((size, 0), (size * 0.99, 1)):
        searched.clear()
        monkeypatch.setattr(correction, "edges_for", lambda *_, felt=felt: LevelEdges(25.0, felt))
        [one] = correction.correction(job, wheel).readings
        after = [asked for asked in searched if asked.reading]
        assert len(after) == there
        assert (one.instead is not None) == bool(there)
        assert all(asked.at_worst == felt / 2 for asked in after)
    assert one.instead is not None
    assert one.instead.at_deg == pytest.approx(140)


def level(size: float, felt: float, number: int = 1) -> LevelRead:
    """Heavy straight up, no holes for it."""
    return LevelRead(number, size, 0.0, LevelEdges(25.0, felt), Chosen(None, "none"), None, 1, 7850.0)


@pytest.mark.parametrize(
    ("first", "felt", "again", "wrong"),
    [
        (100.0, 1.0, 125.0, False),  # a quarter of the first reading
        (100.0, 1.0, 125.1, True),
        (10.0, 3.0, 15.0, False),  # edges that show 3 and 4 g·mm: 5 together
        (10.0, 3.0, 15.1, True),
    ],
)
def test_how_near_a_second_reading_must_come(first: float, felt: float, again: float, wrong: bool) -> None:
    said = what_went_wrong(level(first, felt), level(again, felt + 1, 2))
    assert (said is not None) == wrong


def test_a_reading_of_just_what_edges_show_leaves_nothing_to_drill() -> None:
    for size, verdict, said in ((40.0, "pass", "nothing to drill"), (40.1, "warn", "no holes")):
        [found] = told.reading_findings(SimpleNamespace(readings=(level(size, 40.0),)))  # type: ignore[arg-type]
        assert (found.verdict, found.measured) == (verdict, said)


def test_a_heavy_side_a_hair_short_of_a_turn_is_no_whole_turn() -> None:
    taken = LevelReading.model_validate({"putty": "2 g", "radius": 60, "at": 179.99999999999})
    assert unbalance_read(taken)[1] == 0.0


def cautioned(monkeypatch: pytest.MonkeyPatch, removed: float, cylinders: int, limit: float) -> dict[str, str]:
    """Of a pulley of 100 g as found."""
    turned = runout.TurnedAgain(1000.0, removed, 100.0, "surfaces")
    monkeypatch.setattr(runout, "turned_again", lambda *_: turned)
    job: Any = SimpleNamespace(engine=SimpleNamespace(cylinders=cylinders), pulley=None)
    design: Any = SimpleNamespace(
        runout_limit_mm=limit, initial=SimpleNamespace(against_blank=True), max_speed_rpm=6000.0
    )
    wheel: Any = SimpleNamespace(form="turned-down")
    return {found.check: found.verdict for found in cautions.cautions(job, wheel, design)}


def test_how_much_may_be_turned_off(monkeypatch: pytest.MonkeyPatch) -> None:
    """A twentieth; and cranks of five cylinders are long. Common practice, no source."""
    assert "makers-drillings" not in cautioned(monkeypatch, 5.0, 4, 0.1)
    for cylinders, damped in ((4, "pass"), (5, "note")):
        found = cautioned(monkeypatch, 5.1, cylinders, 0.1)
        assert (found["makers-drillings"], found["torsional-damping"]) == ("note", damped)


def test_two_hundredths_on_the_indicator_can_be_held(monkeypatch: pytest.MonkeyPatch) -> None:
    for limit, verdict in ((0.02, "pass"), (0.01, "warn")):
        assert cautioned(monkeypatch, 1.0, 4, limit)["turned-runout"] == verdict


def a_design(**more: Any) -> Any:
    given = {"planned": (), "holes": (), "plan": "a plan", "other": (), "couple_g_mm2": 0.0, "sense": 1}
    return SimpleNamespace(**{**given, "correct_by": "holes", "density_kg_m3": 7850.0, **more})


def test_an_unbalance_of_just_what_is_allowed_would_pass_as_it_is() -> None:
    for before, passes in ((30.0, True), (30.1, False)):
        drilled = a_design(planned=(hole(180),), before=(0.0, before), aim_g_mm=30.0)
        [found] = verdicts._plan(drilled, 0.0)
        assert ("would pass without them" in found.why) == passes
        [found] = verdicts._plan(a_design(before=(0.0, before), permissible_g_mm=30.0), 0.0)
        assert found.verdict == ("warn" if passes else "fail")


def test_what_a_couple_may_be_in_a_disc_and_in_a_drum() -> None:
    """60 long and ⌀120 at its widest: a disc keeps all of the aim in one plane, a drum half of it in each face."""
    for length, share in ((60.0, 30.0), (60.5, 15.0)):
        body = sought(piece("ring", -4, 0, 60), piece("pulley", -length, -4, 40)).metal
        counted = SimpleNamespace(parts=(("slots and gap", 0.0, 20.0, -2.0),))
        found = verdicts._couple(a_design(metal=body, initial=counted, aim_g_mm=30.0))
        assert found.limit == share


def blind(d: float, r: float) -> CorrectionHole:
    return CorrectionHole(180.0, r, d, 4.0, 0.0, False, 118.0)


def test_an_error_of_depth_by_hand() -> None:
    """A tenth more of each blind hole, and nothing of one that goes through."""
    through = CorrectionHole(90.0, 30.0, 6.0, 4.0, 0.0)
    for d, r in ((8.0, 50.0), (1.0, 1.0)):
        holes = (through, blind(d, r))
        before = sum(one.mass_g(7850) * complex(*one.centre(1)) for one in holes)
        design = a_design(planned=holes, before=(before.real, before.imag), permissible_g_mm=None)
        [found] = verdicts._depth(design)
        assert found.measured == pytest.approx(math.pi / 4 * d**2 * 0.1 * 7850e-6 * r)


def test_where_nothing_is_turned_again_nothing_is_off_centre() -> None:
    found = ", as_found: [{length: 4, diameter: 120}, {length: 20, diameter: 104}]"
    job = turned_job("wheel, {length: 20, diameter: 104}", "correct_by: none", found)
    _, balance = designed(job)
    assert (balance.runout_limit_mm, balance.spread.offset_mm) == (None, 0.0)
    assert balance.figures((0.05, 0.0))["at_deg"] == pytest.approx(90)  # however small, it has a side
