"""The turned piece against the piece as found, face by face, lengths by hand; what of it the lathe makes."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tests.parts.gauge_jobs import job_of, turned
from wheelcad.errors import DesignError
from wheelcad.job.models import Groove
from wheelcad.parts.blank.design import BlankDesign, design_blank
from wheelcad.parts.blank.found import APART, _same, found_paths, is_turned
from wheelcad.parts.common.stack import Land
from wheelcad.words import Words


def _step(length: float, diameter: float, **more: Any) -> dict[str, Any]:
    return {"length": length, "diameter": diameter, **more}


def _blank(steps: list[Any], found: list[Any] | None = None, **pulley: Any) -> BlankDesign:
    made = {"bore": 16.0, "turned": steps, **({"as_found": found} if found else {}), **pulley}
    blank = design_blank(job_of(**turned(pulley=made)))
    assert blank is not None
    return blank


def _refused(steps: list[Any], found: list[Any] | None = None, **pulley: Any) -> list[tuple[str, str]]:
    """Key and what is allowed, of each fault."""
    try:
        _blank(steps, found, **pulley)
    except DesignError as error:
        return [(fault.dotted, Words("mm").text(fault.allowed)) for fault in error.faults]
    return []


def test_faces_and_what_is_faced_off() -> None:
    """6 before a ring of 4 whose middle is 0, 10 behind; 14 and 9 as found, which is 3 more."""
    steps = [_step(6.0, 70.0), "wheel", _step(10.0, 70.0)]
    blank = _blank(steps, [_step(14.0, 110.0), _step(9.0, 108.0)])
    assert (blank.z_front, blank.z_back, blank.faced_off_mm) == (8.0, -12.0, 3.0)
    assert _blank(steps).faced_off_mm == 0.0


@pytest.mark.parametrize(
    ("waist", "key", "allowed"),
    [
        ([_step(10.0, 80.0), _step(10.0, 90.0), _step(10.0, 80.0)], "pulley.turned[1].diameter", "at most 90 mm"),
        ([_step(30.0, 94.9)], "pulley.turned[1].diameter", "at most 94.9 mm"),
        ([_step(30.0, 95.0)], None, None),
        ([_step(15.0, 98.0), _step(0.05, 60.0), _step(14.95, 98.0)], "pulley.turned[1].diameter", "at most 60 mm"),
    ],
)
def test_a_step_fatter_than_what_was_found_beside_it_is_told_how_fat_it_may_be(
    waist: list[Any], key: str | None, allowed: str | None
) -> None:
    """Neighbours that only touch the step as turned are no matter."""
    steps = [_step(10.0, 59.0), _step(10.0, 95.0), _step(10.0, 59.0), "wheel"]
    assert _refused(steps, [*waist, _step(4.0, 110.0)]) == ([(key, allowed)] if key else [])


def test_metal_where_there_was_a_groove_is_told_the_grooves_floor_and_place() -> None:
    """A groove 6 wide and 5 deep amid 20 of ⌀110: its floor is 6 - 10·tan 18° = 2.75 wide and begins at 8.62."""
    found = [_step(20.0, 110.0, groove={"width": 6.0, "depth": 5.0, "angle": 36.0}), _step(4.0, 110.0)]
    told = _refused([_step(20.0, 104.0), "wheel"], found)
    assert told == [("pulley.turned[0].diameter", "⌀100 mm in its groove, 8.62 mm behind its front face")]


def test_a_sharp_groove_is_allowed_and_so_is_one_almost_to_the_axis() -> None:
    steps: list[Any] = [_step(6.0, 70.0), "wheel"]
    for width, depth, angle, fine in ((22.0, 11.0, 90.0, True), (21.9, 11.0, 90.0, False), (60.0, 26.0, 36.0, True)):
        groove = {"width": width, "depth": depth, "angle": angle}
        assert (_refused([*steps, _step(80.0, 70.0, groove=groove)]) == []) is fine


@pytest.mark.parametrize(("circle", "key"), [(86.0, "pulley.bolts.circle"), (85.8, None)])
def test_bolts_stay_inside_the_slots_floors(circle: float, key: str | None) -> None:
    """Floors at 50 - 6 = 44 between shoulders of 60; holes of ⌀2."""
    bolts = {"count": 3, "circle": circle, "hole": 2.0, "first_at": 20.0}
    told = _refused([_step(6.0, 120.0), "wheel", _step(10.0, 120.0)], bolts=bolts)
    assert [name for name, _ in told] == ([key] if key else [])


@pytest.mark.parametrize(("circle", "verdict"), [(61.3, "pass"), (61.4, "pass"), (61.5, "warn")])
def test_a_millimetre_of_wall_outside_the_bolts(circle: float, verdict: str) -> None:
    """Hub of radius 35, holes of 6.6. Common practice, no source."""
    bolts = {"count": 3, "circle": circle, "hole": 6.6, "first_at": 20.0}
    (wall,) = _blank([_step(6.0, 70.0), "wheel", _step(10.0, 70.0)], bolts=bolts).findings
    assert (wall.measured, wall.verdict) == (pytest.approx(35 - 3.3 - circle / 2), verdict)


def test_a_recess_needs_the_metal_around_it_and_none_behind_its_floor() -> None:
    """10 deep it ends with the ring, where the hub behind begins."""
    steps = [_step(6.0, 70.0), "wheel", _step(10.0, 50.0)]
    assert _refused(steps, recess={"diameter": 60.0, "depth": 10.0}) == []
    told = _refused(steps, recess={"diameter": 60.0, "depth": 10.1})
    assert told == [("pulley.recess.diameter", "less than 50 mm")]


def test_which_steps_the_lathe_makes() -> None:
    land = Land("pulley", -10.0, 0.0, 40.0)
    groove = Groove(width=4.0, depth=2.0, angle=36.0)
    for found, is_made in (
        ((), True),
        ((land,), False),
        ((Land("pulley", -12.0, 3.0, 40.0),), False),
        ((Land("pulley", -9.9, 0.0, 40.0),), True),
        ((Land("pulley", -10.0, -0.1, 40.0),), True),
        ((Land("pulley", -10.0, 0.0, 40.1),), True),
        ((Land("pulley", -10.0, 0.0, -40.0),), True),
        ((Land("pulley", -10.0, 0.0, 40.0, groove),), True),
    ):
        assert is_turned(land, found) is is_made


def test_the_front_face_as_found_is_drawn_down_to_the_recess() -> None:
    """2 more as found than turned: its front lies at 10, from the recess's radius of 20 out to 55."""
    steps = [_step(6.0, 70.0), "wheel", _step(10.0, 70.0)]
    blank = _blank(steps, [_step(22.0, 110.0)], recess={"diameter": 40.0, "depth": 3.0})
    upper = np.array(found_paths(blank)[0])
    assert upper[0] == pytest.approx([10.0, 20.0, 0.0])
    assert upper[1] == pytest.approx([10.0, 55.0, 0.0])


def test_a_face_as_found_at_a_step_is_the_turned_one_between_the_steps_radii() -> None:
    lands = (Land("pulley", 0.0, 6.0, 35.0), Land("ring", -4.0, 0.0, 50.0))
    for radius, same in ((35 - APART / 2, True), (35 - 2 * APART, False), (45.0, True), (50 + APART / 2, True)):
        assert _same(lands, ((0.0, radius - 1e-6), (0.0, radius + 1e-6))) is same
