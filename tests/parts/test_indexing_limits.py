"""Clearances and clamping at the rotary table just where one answer turns into the next, lengths by hand.

`turned`: a ⌀100 wheel of 24-1, floors at 44, a ring of 4 behind 6 of shoulder. The plate: ⌀160, floors at 74, 4 thick.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.parts.gauge_jobs import job_of, turned
from wheelcad.findings import Finding
from wheelcad.job.models import Job
from wheelcad.parts.indexing.access import check_holder, packing_lines
from wheelcad.parts.indexing.basis import IndexBasis, basis_of
from wheelcad.parts.indexing.holding import _flat, _holder, free_radius, holding, stand_off
from wheelcad.parts.indexing.model import Cut
from wheelcad.parts.indexing.settings import WHOLE
from wheelcad.parts.indexing.work import Drilling, Scribe
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.words import Words

SLOTS = frozenset({"slot"})
BOLTS = frozenset({"bolt"})
TABLE = {"rotary_table": {"ratio": 40}}


def _text(said: str) -> str:
    return Words("mm").text(said)


def _step(length: float, diameter: float) -> dict[str, float]:
    return {"length": length, "diameter": diameter}


def _lands(*steps: Any, bore: float | None = 20.0) -> Job:
    pulley = {"turned": list(steps), **({"bore": bore} if bore else {})}
    return job_of(**turned(pulley=pulley, shop=TABLE))


def _plate(bore: float | None = 40.0, bolts: dict[str, Any] | None = None, **shop: Any) -> Job:
    slot = {"width": 6.0, "depth": 6.0, "floor": "flat"}
    wheel = {"form": "plate", "teeth": 36, "missing": 1, "outside_diameter": 160.0, "thickness": 4.0, "slot": slot}
    wheel |= {"bore": bore} if bore else {}
    return job_of(wheel=wheel, shop={**TABLE, **shop}, **({"pulley": {"bolts": bolts}} if bolts else {}))


def _basis(job: Job) -> IndexBasis:
    return basis_of(job, design_wheel(job))


# cutter and holder


def _reach(job: Job, flat: bool, **cutter: float) -> tuple[str, dict[str, Finding]]:
    shop = {**TABLE, "cutter": {"diameter": 6.0, "stick_out": 20.0, **cutter}}
    made = job.model_copy(update={"shop": job_of(wheel=turned()["wheel"], shop=shop).shop})
    assert made.shop.cutter is not None
    lines, findings = check_holder(made, design_wheel(made).slot, made.shop.cutter, flat)
    return _text(lines[0]), {str(finding.check): finding for finding in findings}


@pytest.mark.parametrize(("flat", "need"), [(False, 7.0), (True, 6.0)])
def test_a_plates_cutter_goes_a_millimetre_below_and_keeps_one_from_its_holder(flat: bool, need: float) -> None:
    """On edge 6 of slot and 1; flat 4 of plate, 1 below and 1. Common practice, no source."""
    said, told = _reach(_plate(), flat)
    assert f"by at least {need:g} mm." in said
    assert told["cutter-stick-out"].limit == need


@pytest.mark.parametrize(("holder", "need"), [(22.0, 6.0), (22.1, 12.0)])
def test_a_holder_beside_a_shoulder(holder: float, need: float) -> None:
    """At the floor the cutter's axis stands at 47; a shoulder of 35 and a millimetre leave 11."""
    job = _lands(_step(6.0, 70.0), "wheel", _step(10.0, 70.0))
    said, told = _reach(job, True, holder_diameter=holder)
    assert told["cutter-stick-out"].limit == need
    assert ("shoulder" in said) == (need > 6.0)


@pytest.mark.parametrize(("diameter", "slimmest"), [(2.0, None), (2.5, "0.5 mm"), (6.0, "4 mm")])
def test_how_slim_a_holder_passes_a_shoulder_as_large_as_the_floors(diameter: float, slimmest: str | None) -> None:
    """Half the cutter less the millimetre is left on each side."""
    said, _ = _reach(_lands(_step(6.0, 88.0), "wheel", _step(10.0, 70.0)), True, diameter=diameter)
    assert (f"no thicker than {slimmest}," in said) if slimmest else ("thicker" not in said)


@pytest.mark.parametrize(("rear", "room"), [(88.0, None), (88.1, 3.0)])
def test_the_cutters_end_below_the_ring_meets_what_is_wider_than_the_floors(rear: float, room: float | None) -> None:
    _, told = _reach(_lands("wheel", _step(3.0, 60.0), _step(10.0, rear)), True)
    assert (told["cutter-run-out"].measured if room else told.get("cutter-run-out")) == room


def _packing(*steps: Any, bore: float | None = 20.0) -> tuple[str, str]:
    job = _lands(*steps, bore=bore)
    lines, findings = packing_lines(job, design_wheel(job).slot)
    return _text(" ".join(lines)), _text(" ".join(finding.why for finding in findings))


def test_a_ring_that_overhangs_by_more_than_three_thicknesses_is_packed() -> None:
    """12 of 4; common practice, no source. What stands behind the nearest step is no support."""
    assert _packing("wheel", _step(10.0, 76.0)) == ("", "")
    said, why = _packing("wheel", _step(10.0, 75.0))
    assert "overhangs 12.5 mm" in why
    assert "bored 75.5 mm" in said
    assert "overhangs 30 mm" in _packing("wheel", _step(5.0, 40.0), _step(5.0, 88.0))[1]
    assert "overhangs 30 mm" in _packing(_step(5.0, 88.0), _step(5.0, 40.0), "wheel")[1]
    said, why = _packing("wheel", bore=None)
    assert "overhangs 50 mm" in why
    assert "bored" not in said


@pytest.mark.parametrize(("rear", "halves"), [(50.0, False), (49.0, False), (50.1, True)])
def test_a_packing_ring_is_sawn_where_it_must_go_in_behind(rear: float, halves: bool) -> None:
    assert ("two halves" in _packing("wheel", _step(5.0, 50.0), _step(5.0, rear))[0]) is halves


# what holds the work


@pytest.mark.parametrize(
    ("bore", "stud"),
    [(21.0, 20), (17.0, 16), (16.9, 12), (13.0, 12), (11.0, 10), (10.9, 8), (9.0, 8), (8.9, 6), (7.0, 6), (6.9, None)],
)
def test_a_stud_through_the_bore(bore: float, stud: int | None) -> None:
    """ISO 261's first choice with a millimetre of play; a washer with 4 on all sides, 2 inside the floors."""
    said = _text(" ".join(holding(_basis(_plate(bore)), (), SLOTS, True).holds))
    assert (f"A stud M{stud} through" in said) if stud else ("stud" not in said)
    assert (f"a washer of ⌀{bore + 8:g} mm to ⌀144 mm" in said) == (stud is not None)


def test_a_turned_wheels_bore_is_its_pulleys_and_a_plates_its_own() -> None:
    plate = _plate(17.0, bolts={"count": 3, "circle": 100.0, "hole": 8.4, "first_at": 0.0})
    for job in (_lands("wheel", _step(10.0, 70.0), bore=17.0), plate):
        assert "A stud M16 through" in " ".join(holding(_basis(job), (), SLOTS, True).holds)


@pytest.mark.parametrize(("bore", "by_stud"), [(135.9, True), (136.0, True), (136.1, False)])
def test_a_washer_bears_on_four_millimetres_at_least(bore: float, by_stud: bool) -> None:
    assert ("A stud M20" in " ".join(holding(_basis(_plate(bore)), (), SLOTS, True).holds)) is by_stud


def _drilled(work: str, at: float, size: float) -> Cut:
    return Cut(1, work, 1, WHOLE / 8, drill=Drilling(at, size, "", None, False, "plate", 500.0))


@pytest.mark.parametrize(
    ("bore", "drill", "free", "verdict"),
    [
        (None, 8.0, 4.0, "warn"),  # to 4 by the drill's edge at 6 and 2: just what a strap bears on
        (None, 8.02, 4.02, "pass"),
        (5.0, 11.0, 7.0, "pass"),  # 2.5 of bore and 4
        (5.0, 10.5, 6.5, "warn"),
        (None, 3.0, -1.0, "warn"),
    ],
)
def test_straps_want_room_between_bore_and_cut(bore: float | None, drill: float, free: float, verdict: str) -> None:
    cut = _drilled("hole", drill, 4.0)
    made = holding(_basis(_plate(bore)), (cut,), frozenset({"hole"}), True)
    (told,) = made.findings
    assert made.free == pytest.approx(free)
    assert told.verdict == verdict
    assert _text(str(told.measured)) == f"{max(free, 0.0):g} mm free from the centre"
    assert f"inside ⌀{max(2 * free, 0.0):g} mm" in _text(told.why)


def test_a_pulley_without_a_bore_leaves_straps_all_of_the_middle() -> None:
    job = _lands("wheel", _step(10.0, 70.0), bore=None)
    (told,) = holding(_basis(job), (_drilled("hole", 8.02, 4.0),), frozenset({"hole"}), True).findings
    assert told.verdict == "pass"


def test_a_clamp_stays_two_millimetres_inside_a_marks_inner_end() -> None:
    mark = Cut(1, "mark", 1, WHOLE / 8, scribe=Scribe("5° mark", "line", 50.0, 56.0, None))
    assert free_radius(_basis(_plate()), (mark,), frozenset({"mark"})) == 48.0
    assert free_radius(_basis(_plate()), (mark,), SLOTS) == 72.0


@pytest.mark.parametrize(("holes", "rim"), [((68.0, 60.0), True), ((60.0, 68.0), True), ((68.1, 60.0), False)])
def test_straps_at_the_rim_have_six_millimetres_to_lie_on(holes: tuple[float, float], rim: bool) -> None:
    """80 less the furthest hole's 68 + 4, less 2: common practice, no source."""
    cuts = [_drilled("bolt", at, 8.0) for at in holes]
    said = _text(" ".join(holding(_basis(_plate()), cuts, BOLTS, True).holds))
    assert ("Three straps on the front at the rim" in said) is rim
    if rim:
        assert "no nearer to the centre than 74 mm" in said


def test_what_the_work_stands_on() -> None:
    """A backing plate of 10 and half of 4; the pulley's own 10 behind half a ring. Common practice, no source."""
    assert stand_off(_plate()) == 12.0
    assert stand_off(_lands(_step(6.0, 70.0), "wheel", _step(10.0, 70.0))) == 12.0
    (told,) = _flat(_basis(_plate()), 200.0)
    assert "hangs over by 0 mm" in _text(told.why)


@pytest.mark.parametrize(("holder", "room"), [(22.0, None), (22.1, 74 + 5 - 50)])
def test_a_holder_clears_the_tables_face_by_a_millimetre_or_its_edge(holder: float, room: float | None) -> None:
    """The ring's middle is 12 off the face, 11 and 1. Else the nose, 5 beyond the floors, has to stay above the edge of
    a table of 100, the smallest in common use."""
    bolts = {"count": 3, "circle": 100.0, "hole": 8.4, "first_at": 0.0}  # bolts, so no arbour
    job = _plate(bolts=bolts, cutter={"diameter": 6.0, "stick_out": 5.0, "holder_diameter": holder})
    assert [told.measured for told in _holder(_basis(job), None)] == ([] if room is None else [room])
