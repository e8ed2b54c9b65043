"""A ready-made ring hole by hole at the sizes where one answer turns into another, lengths by hand.

The ring of test_wheel_ring: floors at 69, a bore of 60, four bolts of 8.4 on ⌀90 unless said otherwise.
"""

from __future__ import annotations

import pytest

from tests.parts.test_wheel_ring import by_check, done, key_of, ring_job, work
from wheelcad.errors import Faults
from wheelcad.parts.common.openings import round_opening
from wheelcad.parts.wheel.ring import _bore, _wanted_hole
from wheelcad.words import Words


@pytest.mark.parametrize(("found", "do"), [(59.94, "bore"), (59.96, "leave"), (60.0, "leave"), (60.05, "leave")])
def test_a_bore_within_five_hundredths_is_left(found: float, do: str) -> None:
    assert done(work(ring_job(f"{{bore: {found}}}")))[0] == ("bore", do, found, 60)


def test_a_bore_larger_by_more_is_a_fault() -> None:
    assert key_of(ring_job("{bore: 60.052}")) == ["wheel.bore"]


def test_a_bore_just_five_hundredths_smaller_is_left_and_none_at_all_is_bored() -> None:
    faults = Faults()
    assert _bore(0.05, 0.0, faults).do == "leave"
    assert _bore(0.0, 0.05, faults).do == "leave"
    bored = _bore(None, 20.0, faults)
    assert (bored.do, bored.from_mm, bored.to_mm) == ("bore", 0.0, 20.0)
    assert not faults


@pytest.mark.parametrize(
    ("circle", "does"),
    [
        (54.0, [("gone", 6, 0)] * 3),  # they reach to 30, the new bore's own radius
        (66.0, [("unused", 6, 6)] * 3),  # they begin there
    ],
)
def test_old_holes_that_touch_the_new_bore(circle: float, does: list[tuple[str, float, float]]) -> None:
    ring = work(ring_job(f"{{bore: 20, bolts: {{count: 3, circle: {circle}, hole: 6, first_at: 20}}}}"))
    assert [step[1:] for step in done(ring) if step[1] in ("gone", "unused")] == does
    assert len(ring.openings) == (4 if does[0][0] == "gone" else 7)


@pytest.mark.parametrize(("circle", "faults"), [(129.8, False), (130.0, True)])
def test_old_holes_that_touch_the_slots_floors_are_in_the_slots(circle: float, faults: bool) -> None:
    job = ring_job(f"{{bore: 20, bolts: {{count: 3, circle: {circle}, hole: 8, first_at: 20}}}}")
    if faults:
        assert key_of(job) == ["wheel.as_found.bolts.circle"]
    else:
        assert [step.do for step in work(job).steps[-3:]] == ["unused"] * 3


@pytest.mark.parametrize(
    ("spot", "old", "do", "told"),
    [
        ((0.1, 0.0, 4.2), (0.0, 0.0, 4.2), "leave", False),  # a tenth apart: a drill follows the old hole
        ((0.11, 0.0, 4.2), (0.0, 0.0, 4.2), "drill", True),
        ((0.0, 0.0, 0.025), (0.0, 0.0, 0.0), "leave", False),  # larger by just five hundredths: the same size
        ((8.0, 0.0, 4.0), (0.0, 0.0, 4.0), "drill", False),  # they only touch
        ((7.99, 0.0, 4.0), (0.0, 0.0, 4.0), "drill", True),
    ],
)
def test_a_wanted_hole_beside_an_old_one(
    spot: tuple[float, float, float], old: tuple[float, float, float], do: str, told: bool
) -> None:
    faults = Faults()
    step, _, taken = _wanted_hole(round_opening("bolt", *spot), spot, [old], ring_job("{bore: 50}"), faults)
    assert step.do == do
    assert bool(faults) is told
    assert taken == ({0} if do == "leave" else set())
    assert (step.from_mm, step.to_mm) == ((2 * old[2],) * 2 if do == "leave" else (0.0, 2 * spot[2]))


@pytest.mark.parametrize(
    ("bolts", "wall", "verdict"),
    [
        ("{count: 4, circle: 124, hole: 8.4, first_at: 0}", 69 - 62 - 4.2, "pass"),  # to the slots
        ("{count: 4, circle: 126.4, hole: 8.4, first_at: 0}", 69 - 63.2 - 4.2, "warn"),
        ("{count: 4, circle: 72.6, hole: 8.4, first_at: 0}", 36.3 - 4.2 - 30, "pass"),  # to the bore: 2.1
        ("{count: 4, circle: 72, hole: 8.4, first_at: 0}", 36 - 4.2 - 30, "warn"),
        ("{count: 24, circle: 100, hole: 8.4, first_at: 0}", 100 * 0.1305261922 - 8.4, "pass"),  # 100·sin 7.5° apart
    ],
)
def test_the_thinnest_wall_of_a_ring(bolts: str, wall: float, verdict: str) -> None:
    """Two millimetres are wanted: common practice, no source."""
    told = by_check(work(ring_job("{bore: 50}", bolts=bolts)))["ring-wall"]
    assert told.measured == pytest.approx(wall)
    assert told.verdict == verdict


@pytest.mark.parametrize(("hole", "loose", "verdict"), [(8.4, 0.0, "pass"), (9.35, 0.95, "pass"), (9.45, 1.05, "warn")])
def test_holes_that_are_left_may_be_a_millimetre_loose(hole: float, loose: float, verdict: str) -> None:
    """The bore is left as well, but it is no bolt's. ISO 273 coarse is about a millimetre over fine."""
    found = f"{{bore: 60, bolts: {{count: 4, circle: 90, hole: {hole}, first_at: 0}}}}"
    told = by_check(work(ring_job(found)))["ring-hole-size"]
    assert told.measured == pytest.approx(loose)
    assert told.verdict == verdict


@pytest.mark.parametrize(("count", "said"), [(1, "drill 1 new hole"), (3, "drill 3 new holes")])
def test_one_hole_and_several(count: int, said: str) -> None:
    bolts = f"{{count: {count}, circle: 90, hole: 8.4, first_at: 0}}"
    told = by_check(work(ring_job("{bore: 50}", bolts=bolts)))["ring-work"]
    assert Words("mm").text(str(told.measured)) == f"bore ⌀50 mm to ⌀60 mm; {said}"
