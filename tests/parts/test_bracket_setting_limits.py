"""How a gap is set, and room to what turns and stands, exactly at the limits; by hand.

The jobs are those of bracket_jobs: a ⌀160 ring 5 thick, plate 5 thick bent about 5, holes of 9 for bolts of 8, gap 0.8.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from statistics import NormalDist
from typing import Any

import pytest

from tests.parts.bracket_jobs import along_job, flat_job, in_job, made
from wheelcad.findings import Finding
from wheelcad.job.stationary import Obstacle
from wheelcad.parts.bracket import obstacles, setting
from wheelcad.parts.bracket.clear import Bulk, LeastRoom, Slide, lands_beside, least_room, rooms, turning_parts
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.bracket.obstacles import _clear, mending, obstacle_findings, room_to
from wheelcad.parts.bracket.setting import (
    Astray,
    _by_shims,
    _lines_up,
    _plan,
    _radius,
    _reaches_by_slots,
    astray,
    least_gap,
    setting_findings,
)
from wheelcad.parts.common.stack import Land
from wheelcad.words import Words

FLANGE: dict[str, Any] = {"bolt": {"hole": 6.6, "offset": 20}, "thread": None, "body_diameter": 16}
STILL = Slide(1.0, 0.0, 0.0, 0.0)
# of a radius that holds 95 % of what is spread alike both ways, the 95 % of one of them
ONE = NormalDist().inv_cdf(0.975) / math.sqrt(-2 * math.log(0.05))


def off(fold: float = 0.0, face: float = 0.0, radial: float = 0.0) -> Astray:
    """So much by folding, by the face and away from the crank."""
    return Astray(fold, face, radial, 0.0, 0.0)


def why(finding: Finding, units: str = "mm") -> str:
    """What a finding says."""
    return Words(units).text(finding.why)


@pytest.mark.parametrize(("gap", "range_", "least"), [
    (0.8, None, 0.3), (0.2, None, 0.2), (0.8, [0.4, 1.5], 0.4), (0.4, [0.4, 1.5], 0.4), (2.0, [0.4, 3.0], 0.4),
])  # fmt: skip
def test_the_least_gap_a_nose_is_left_with(gap: float, range_: list[float] | None, least: float) -> None:
    """Common practice 0.3 mm where the sensor's own is not known; never more than it is planned with."""
    design = made(in_job(sensor={"air_gap": gap, "air_gap_range": range_}, bracket={"bends": "hand"}))
    assert least_gap(design.asked) == least
    [clears] = [f for f in setting_findings(design) if f.check == "nose-clears"]
    assert clears.limit == pytest.approx(max(0.0, 1.0 + astray(design).radial - gap + least), abs=0.006)


@pytest.mark.parametrize("poor", [0, 1])
def test_the_mount_that_is_known_worst_decides(monkeypatch: pytest.MonkeyPatch, poor: int) -> None:
    """Two mounts to 0.2 and 0.6; of one alone, that is how far the sensor may be off both ways."""
    within: Mapping[str, float] = {"m1": 0.2, "m2": 0.6} if poor else {"m1": 0.6, "m2": 0.2}
    monkeypatch.setattr(setting, "mounts_within", lambda job: within)
    found = astray(replace(made(in_job()), mount_points=((150.0, 60.0),)))
    assert (found.radial, found.around) == pytest.approx((ONE * 0.6, ONE * 0.6), rel=1e-4)


def test_mounts_whose_squares_add_up_to_just_one_say_nothing_of_the_angle(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(setting, "mounts_within", lambda job: {"m1": 1.0})
    cross = ((100.5, 0.0), (99.5, 0.0), (100.0, 0.5), (100.0, -0.5))
    found = astray(replace(made(in_job()), mount_points=cross))
    assert (found.radial, found.around) == pytest.approx((ONE / 2, ONE / 2), rel=1e-4)
    apart = astray(replace(made(in_job()), mount_points=((110.0, 0.0), *cross[1:])))
    assert apart.radial > ONE / 2 + 0.01


@pytest.mark.parametrize(("along", "found"), [(0.5, ["fail"]), (0.0, [])])
def test_a_plate_square_to_the_crank_cannot_slide_along_it(along: float, found: list[str]) -> None:
    design = made(along_job(bracket={"adjust_along": along}))
    assert [f.measured for f in setting_findings(design) if f.check == "adjust-along"] == ["not made"] * len(found)


@pytest.mark.parametrize(("error", "left", "told"), [(0.75, 1.0, False), (0.8, 1.05, True)])
def test_the_gap_that_slots_still_reach(error: float, left: float, told: bool) -> None:
    """0.75 and the error less the bolts' play of 0.5, against 1 mm; what is missing is told twice on the hole."""
    design = made(in_job(sensor={"air_gap_range": [0.4, 1.0]}))
    [found] = _reaches_by_slots(replace(design, gap=0.75), off(fold=error))
    assert found.measured == pytest.approx(left)
    assert ("hole 9.1 mm, or file the slots 0.05 mm longer" in why(found)) is told
    assert ("make bracket.mounts'" in why(found)) is told


@pytest.mark.parametrize(("way", "packing", "error", "left", "told"), [
    ("back", 0.0, 0.75, 0.25, ""),  # just what the sensor takes
    ("back", 0.0, 0.85, 0.15, "bracket.packing: 0.1 mm or more"),
    ("back", 3.0, 3.5, 0.5, ""),
    ("back", 3.0, 4.0, 0.0, "bracket.packing: 3.3 mm or more"),
    ("front", 0.0, 0.5, 1.5, ""),
    ("front", 0.0, 0.75, 1.75, "bracket.packing: 0.3 mm or more"),
    ("front", 3.0, 3.5, 1.5, ""),
    ("front", 3.0, 3.75, 1.75, "bracket.packing: 3.3 mm or more"),
])  # fmt: skip
def test_shims_and_packing_either_way(way: str, packing: float, error: float, left: float, told: str) -> None:
    """A gap of 1 between 0.25 and 1.5."""
    sensor = {**FLANGE, "air_gap": 1.0, "air_gap_range": [0.25, 1.5], "from": way}
    design = made(along_job(sensor=sensor, bracket={"packing": packing, "mount_face": -60}))
    [found] = _by_shims(design, off(fold=error))
    assert found.check == ("nose-clears" if way == "back" else "gap-setting")
    assert found.measured == pytest.approx(left)
    assert told in why(found)
    assert ("packing: " in why(found)) is bool(told)
    assert ("only close it" in why(found)) is (way == "back")
    assert (f"packing of {packing:g} mm out" in why(found)) is (packing > 0)


@pytest.mark.parametrize(("way", "short", "units", "told"), [
    ("back", 0.23, "mm", "sensor.air_gap: 1.1 mm"),  # from 1.03 on
    ("front", 0.23, "mm", "sensor.air_gap: 0.5 mm"),  # 0.57 or less
    ("front", 0.3, "mm", "sensor.air_gap: 0.5 mm"),
    ("back", 0.2, "in", "sensor.air_gap: 0.040 in"),  # 1 mm is 0.0394
])  # fmt: skip
def test_a_flat_plate_wants_another_gap(way: str, short: float, units: str, told: str) -> None:
    face = {"back": -(2.5 + 0.8 + 24), "front": 22.3}[way]
    design = made(flat_job(units=units, sensor={**FLANGE, "from": way}, bracket={"mount_face": face}))
    assert design.bends == ()
    assert Words(units).text(_plan(design, short)).endswith(told)


def test_a_sensor_that_does_not_line_up_is_told_its_slots() -> None:
    """2.9 off, half a ring of 5: 0.4 too much, on either side of the slot's middle."""
    found = _lines_up(made(in_job()), off(fold=2.0, face=0.9))
    assert (found.measured, found.limit) == (2.9, 2.5)
    assert "adjust_along: 0.8 mm" in why(found)


@pytest.mark.parametrize("slide", [Slide(1.0, 0.0, -1.0, 2.0), Slide(1.0, 0.0, -2.0, 1.0)])
def test_the_radius_is_set_as_far_as_the_shorter_way(slide: Slide) -> None:
    assert _radius(replace(made(along_job()), slide=slide), off(fold=0.5)).measured == 1.0


# what turns


def box(x0: float, x1: float, z: tuple[float, float], what: str = "the tab") -> Bulk:
    return Bulk(what, ((x0, -10), (x1, -10), (x1, 10), (x0, 10)), *z)


@pytest.mark.parametrize("what", ["the tab", "the arm"])
def test_over_a_face_the_distance_is_that_along_the_crank(what: str) -> None:
    [(_, _, found)] = rooms([box(45, 65, (5.5, 9), what)], [Land("pulley", 0.0, 5.0, 50.0)], STILL)
    assert found == pytest.approx(0.5)


def test_of_two_that_are_as_near_the_first_is_named() -> None:
    blocks = [box(60, 70, (0, 2), "the tab"), box(60, 70, (0, 2), "the bend")]
    found = least_room(blocks, [Land("ring", -2.0, 2.0, 30.0)], STILL)
    assert found is not None
    assert found.what == "the tab"
    pump = Obstacle(name="pump", x=90.0, y=0.0, z=9.0, radius=12.0)
    assert room_to(pump, blocks, STILL).what == "the tab"


def test_the_crankshaft_starts_behind_the_last_of_the_pulley() -> None:
    parts = turning_parts(in_job(pulley={"bore": 30, "as_found": [{"length": 12, "diameter": 90}]}))
    *_, pulley, shaft = parts
    assert (pulley.name, shaft.name) == ("pulley", "crankshaft")
    assert shaft.z_front == pulley.z_back == -14.5
    assert shaft.radius == 15.0


def test_what_turns_in_the_very_stretch_is_beside_it_however_little_is_asked() -> None:
    assert [land.name for land in lands_beside(in_job(wheel={"bore": None}), -1.0, 1.0, 0.05)] == ["ring"]


# what stands still


@pytest.mark.parametrize(("x", "z", "room"), [
    (5.0, -0.5, 0.5), (5.0, -3.0, 3.0), (22.5, 3.0, 0.5), (22.5, -3.0, math.hypot(0.5, 3.0)),
    (21.5, 3.0, -0.5), (5.0, 0.25, -0.25),
])  # fmt: skip
def test_a_thing_beside_and_below_a_plate(x: float, z: float, room: float) -> None:
    """A block to 10 along x, from z = 0; a thing of 12."""
    thing = Obstacle(name="pump", x=x, y=0.0, z=z, radius=12.0)
    assert room_to(thing, [box(-10, 10, (0, 5))], STILL).distance == pytest.approx(room)


def test_a_thing_that_a_corner_slides_past_is_nearest_where_it_is_drawn() -> None:
    corner = Bulk("the tab", ((0, -30), (10, 0), (0, 30)), 0.0, 5.0)
    thing = Obstacle(name="pump", x=30.0, y=0.0, z=20.0, radius=12.0)
    assert room_to(thing, [corner], Slide(0.0, 1.0, -20.0, 20.0)).distance == pytest.approx(8.0)


def with_rooms(monkeypatch: pytest.MonkeyPatch, *distances: float) -> BracketDesign:
    """An L with a thing at each of these distances from its arm."""
    rows = tuple(LeastRoom("the arm", f"pump {n}", each) for n, each in enumerate(distances, 1))
    monkeypatch.setattr(obstacles, "least_of", lambda design: rows)
    return made(in_job())


@pytest.mark.parametrize(("distance", "verdict", "touches", "mended"), [
    (3.0, "pass", False, False), (2.99, "warn", False, True), (1.0, "warn", False, True),
    (0.99, "fail", False, True), (0.0, "fail", True, True), (-0.5, "fail", True, True),
])  # fmt: skip
def test_room_to_a_thing_judged(
    monkeypatch: pytest.MonkeyPatch, distance: float, verdict: str, touches: bool, mended: bool
) -> None:
    """3 mm is aimed at and 1 is the least; what would make room is looked for where there is too little."""
    design, asked = with_rooms(monkeypatch, distance), []
    monkeypatch.setattr(obstacles, "mending", lambda design: asked.append(design) or "move it")
    [found] = obstacle_findings(design)
    assert found.verdict == verdict
    assert ("runs into" in found.why) is touches
    assert ("move it" in found.why) is bool(asked) is mended
    assert (";" in found.why) is mended


def test_the_thing_that_is_nearest_says_how_far_to_go(monkeypatch: pytest.MonkeyPatch) -> None:
    design = with_rooms(monkeypatch, 2.5, 0.5, 1.5)
    monkeypatch.setattr(obstacles, "_clear", lambda job, **changed: False)
    assert "has to go 2.5 mm further away" in Words("mm").text(mending(design))


@pytest.mark.parametrize(("distance", "clear"), [(3.0, True), (2.99, False)])
def test_just_three_millimetres_are_room_enough(monkeypatch: pytest.MonkeyPatch, distance: float, clear: bool) -> None:
    with_rooms(monkeypatch, 9.0, distance)
    assert _clear(in_job(), sensor={"at": 60}) is clear
