"""Where an L, a Z and a flat plate lie, and what they are refused for, at the limits; by hand.

The jobs are those of bracket_jobs: a ⌀160 ring 5 thick, plate 5 thick bent about 5, 44 wide, a body of 16, holes of 9.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np
import pytest

from tests.parts.bracket_jobs import along_job, asked_of, flat_job, hole_at, in_job, l_layout, refused
from wheelcad.errors import DesignError, Faults
from wheelcad.parts.bracket import clear, flat_pattern
from wheelcad.parts.bracket.along_shapes import _in_flat, _layout_z, _past_what_turns, _ways, tab_low, z_angle
from wheelcad.parts.bracket.arm import NoArmError, _why_not
from wheelcad.parts.bracket.clear import LeastRoom, Slide
from wheelcad.parts.bracket.feasibility import Task
from wheelcad.parts.bracket.flat_pattern import _arm, _check_mounts, _check_room, _ends, _plain, check_nose
from wheelcad.parts.bracket.l_shape import _check_height, layout_l
from wheelcad.words import Words

FLANGE: dict[str, Any] = {"bolt": {"hole": 6.6, "offset": 20}, "thread": None, "body_diameter": 16}
STILL = Slide(1.0, 0.0, 0.0, 0.0)


def said(error: DesignError) -> str:
    """Everything that its faults say."""
    return " ".join(Words("mm").text(f"{f.dotted} {f.message} {f.allowed} {f.hint}") for f in error.faults)


# flat and Z


def test_a_riser_of_just_two_thicknesses_will_do() -> None:
    bracket = along_job(bracket={"plate": {"thickness": 4, "inside_radius": 0}}).bracket
    assert bracket is not None
    assert z_angle(bracket, 12.0) == (90.0, 8.0)  # 4 for the bends, 8 between them


def test_a_plate_more_than_a_tenth_off_is_not_flat() -> None:
    for off in (0.105, -0.105):
        assert refused(flat_job(bracket={"mount_face": 22.3 + off}))[0][0] == "bracket.mount_face"


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_direction_in_the_flat_is_so_far_along_the_arm_and_so_far_across(side: float) -> None:
    along, across = np.array([0.6, 0.8, 0.0]), np.array([-0.8, 0.6, 0.0])
    assert _in_flat(3 * along + 2 * across, along, side) == pytest.approx((3.0, 2.0 * side))


def test_an_arm_is_tried_along_the_sensors_radius_wherever_the_mounts_lie() -> None:
    """The mounts lie 30 degrees up from the sensor, its radius runs at 100 (and 280, too far round)."""
    place = replace(asked_of(along_job()).place, face=(0.0, 0.0, 27.3), out=(_cos(100), _sin(100), 0.0))
    bracket = along_job(bracket={"mounts": [{"x": 100 * _cos(30), "y": 50, "hole": 9}]}).bracket
    assert bracket is not None
    found = sorted(round(math.degrees(math.atan2(p[1], p[0])), 6) % 360 for p in _ways(bracket, place))
    assert found == sorted([100, *((30 + 15 * k) % 360 for k in range(-7, 8))])


def _cos(deg: float) -> float:
    return math.cos(math.radians(deg))


def _sin(deg: float) -> float:
    return math.sin(math.radians(deg))


def turned_z(turn: float) -> Any:
    """A Z's skeleton whose arm leaves at an angle to the sensor's radius, its bolt square to that radius."""
    asked = asked_of(along_job(sensor={**FLANGE, "senses": "across"}))
    ox, oy, _ = asked.place.out
    a = math.atan2(oy, ox) + math.radians(turn)
    p = np.array([math.cos(a), math.sin(a), 0.0])
    return _layout_z(asked, p, np.array([-oy, ox, 0.0]), (90.0, 39.0), 0.0)


def test_a_z_bends_beyond_the_plate_round_a_bolt_that_reaches_past_its_sides() -> None:
    """20 off at 40 degrees: 12.9 along the arm and 15.3 across, with 10.8 of plate round it (3.3 and 1.5 × 5); then
    half of 5 kept straight and the least fillet of 3. Without it the bolt's hole wants 12.9 + 3.3 + 10."""
    layout = turned_z(40.0)
    body, bolt = layout.tab_holes
    along = 20 * math.sin(math.radians(40))
    assert bolt.x0 - body.x0 == pytest.approx(along)
    assert layout.bends[1].x_tab - body.x0 == pytest.approx(along + 10.8 + 2.5 + 3.0)
    assert layout.arm_z == (-32.0, -27.0)
    assert layout.arm_frame.origin[2] == -32.0
    assert layout.arm_frame.ez == (0.0, 0.0, 1.0)


def test_an_arm_before_the_sensors_plate_lies_upside_down() -> None:
    """Its lower side, from which the bends turn, is the one towards you."""
    asked = asked_of(along_job(bracket={"mount_face": 60}))
    layout = _layout_z(asked, np.array(asked.place.out), -np.array(asked.place.out), (90.0, 20.0), 0.0)
    assert layout.arm_frame.origin[2] == 65.0
    assert layout.arm_frame.ez == (0.0, 0.0, -1.0)
    assert layout.arm_z == (60.0, 65.0)


def test_how_far_out_a_riser_starts() -> None:
    """Round the ring with 3 to spare and the longer travel; beside a shaft not at all; where nothing turns from 0."""
    asked = asked_of(along_job())
    out, far = np.array(asked.place.out), float(np.hypot(*asked.place.face[:2]))
    past, _ = _past_what_turns(asked, out, 22.0, Slide(out[0], out[1], -4.0, 2.0))
    assert past == pytest.approx(80 + 3 + 4 - far)
    beside = np.array([-out[1], out[0], 0.0])
    behind = asked_of(along_job(sensor={"from": "back"}, bracket={"mount_face": -70}))
    assert tab_low(behind) == pytest.approx(-27.3)
    past, what = _past_what_turns(behind, beside, 5.0, Slide(out[0], out[1], -2.5, 2.5))
    assert past == pytest.approx(0.0, abs=1e-9)  # the shaft's 20 + 3 + 2.5, and the strip passes 71.8 beside its axis
    assert Words("mm").text(what) == "the crankshaft (⌀40 mm)"
    before = asked_of(along_job(bracket={"mount_face": 60}))
    assert _past_what_turns(before, out, 22.0, STILL) == (0.0, "")


# the L


@pytest.mark.parametrize(("off", "bolt"), [(5.0, -1), (0.5, -1), (-0.5, 1), (-5.0, 1)])
@pytest.mark.parametrize("face", [-32, 27])
def test_a_bolt_across_lies_away_from_mounts_that_are_hardly_beside_the_sensor(
    face: int, off: float, bolt: int
) -> None:
    """A mount 150 out at the sensor's 60 degrees, `off` to the left of that way."""
    c, s = math.cos(math.radians(60)), math.sin(math.radians(60))
    mount = {"x": 150 * s - off * c, "y": 150 * c + off * s, "hole": 9}
    layout = l_layout(sensor={"senses": "across"}, bracket={"mounts": [mount], "mount_face": face, "width": 60})
    side = 1 if face < 0 else -1
    assert layout.mounts[0].y0 == pytest.approx(off * side)
    assert layout.tab_holes[1].y0 == pytest.approx(20.0 * bolt * side)


@pytest.mark.parametrize(("beyond", "blamed"), [
    ((0.0,), [0]),  # in the tab's own plane
    ((60.0, -60.0), [0]),
    ((-60.0, 60.0, 0.0), [1, 2]),
    ((60.0, 70.0, -50.0), [2]),
    ((0.5, 60.0, -50.0), [2]),
    ((60.0, 70.0, 0.0), [2]),
    ((-60.0, -70.0, 0.0), [2]),
])  # fmt: skip
def test_mounts_on_both_sides_of_the_tab_blame_the_fewer(beyond: tuple[float, ...], blamed: list[int]) -> None:
    """A sensor at the top: its face, 104.8 up."""
    top = asked_of(in_job(sensor={"at": 0})).place.face[1]
    mounts = [{"x": 40 * n, "y": top + each, "hole": 9} for n, each in enumerate(beyond)]
    keys = [key for key, _ in refused(in_job(sensor={"at": 0}, bracket={"mounts": mounts}))]
    assert keys == [f"bracket.mounts[{n}]" for n in blamed]


def test_a_tab_long_enough_for_bend_margin_and_hole() -> None:
    """Plate 5, 5 inside, half of 5 to spare, half a hole of 16: 20.5, and packing brings the plate nearer."""
    bracket = in_job(bracket={"packing": 3, "mount_face": -22}).bracket
    assert bracket is not None
    _check_height(bracket, 20.5, 16.0)
    with pytest.raises(DesignError) as caught:
        _check_height(bracket, 20.4, 16.0)
    told = said(caught.value)
    assert "15.4 mm of clear height" in told
    assert "need 15.5 mm" in told
    assert "-23.5 mm or less (arm behind the ring), 12.5 mm or more" in told
    assert "packing: 37.5 mm" in told  # 3 + 12.5 + 22


@pytest.mark.parametrize(
    ("mounts", "tab"), [([{"x": 150, "y": 60, "hole": 9}], 1), ([{"x": 60, "y": 20, "hole": 9}], -1)]
)
@pytest.mark.parametrize("face", [-32, 27])
def test_the_tabs_outer_face_is_the_sensors_whichever_way_the_arm_leaves(
    mounts: list[dict[str, float]], tab: int, face: int
) -> None:
    """Bent square: the arm's metal ends its inside radius beyond the tab's nearer face."""
    asked = asked_of(in_job(bracket={"mounts": mounts, "mount_face": face}))
    layout = layout_l(asked, 0.0)
    out = np.array(asked.place.out)
    end = float(layout.arm_frame.points((layout.bends[0].x_arm, 0.0, 0.0)) @ out)
    assert end == pytest.approx(104.8 + 5 if tab > 0 else 104.8 - 5 - 5)
    assert layout.arm_frame.origin[2] == (-32.0 if face < 0 else 32.0)
    assert layout.bends[0].angle_deg == 90.0


# drawn out


@pytest.mark.parametrize(("hole", "least"), [(9, "25.2 mm is the least"), (10, "26.4 mm is the least")])
def test_the_band_from_bend_to_mount(monkeypatch: pytest.MonkeyPatch, hole: float, least: str) -> None:
    """Three fifths of 44, but never over 2.8 holes."""

    def none(task: Task, tab: object) -> None:
        raise NoArmError(_why_not(task, 0.0))

    monkeypatch.setattr(flat_pattern, "arm_string", none)
    job = in_job(bracket={"mounts": [{"x": 150, "y": 60, "hole": hole}, {"x": 150, "y": 110, "hole": 12}]})
    asked = asked_of(job)
    with pytest.raises(DesignError) as caught:
        _arm(job, asked.bracket, layout_l(asked, 0.0), hindered=False)
    assert least in said(caught.value)


def test_a_bolts_plate_too_near_the_bend_names_what_is_left() -> None:
    """25 high with 10 for plate and bend, 2.5 kept straight: 12.5 to the axis, less the bolt's 10.8."""
    layout = l_layout(sensor={"senses": "across"}, bracket={"mount_face": -25})
    job = in_job()
    assert job.bracket is not None
    with pytest.raises(DesignError) as caught:
        _plain(job, job.bracket, layout)
    assert "1.7 mm from the bend; the corner beside it needs 3 mm or more" in said(caught.value)


@pytest.mark.parametrize(("x", "y", "ok"), [
    (107.0, 0.0, True),  # 7 less half of 9 is the 2.5 it needs
    (106.9, 0.0, False),
    (80.0, 37.1, True),
    (80.0, 37.0, False),  # 22 + 1.2 × 10 + 3: not yet beside the bend
    (56.1, 40.0, True),
    (56.0, 40.0, False),  # as far back as the plate is wide
])  # fmt: skip
def test_a_mount_just_before_the_bend_or_just_beside_it(x: float, y: float, ok: bool) -> None:
    layout, bracket = l_layout(), in_job().bracket
    assert bracket is not None
    hole = hole_at(x, y, d=9.0 if y == 0 else 10.0)
    layout = replace(layout, bends=(replace(layout.bends[0], x_arm=100.0),), mounts=(hole,))
    if ok:
        _check_mounts(layout, bracket)
    else:
        with pytest.raises(NoArmError, match="too near the bend"):
            _check_mounts(layout, bracket)


def test_how_far_a_hole_ends_from_the_bend_in_words() -> None:
    assert [Words("mm").text(_ends(gap)) for gap in (0.0, -0.1)] == ["ends 0 mm short of", "reaches 0.1 mm into"]


@pytest.mark.parametrize(("across", "gap", "ok"), [
    (160.0, 0.8, True), (160.1, 0.8, False), (160.0, 1.2, True), (160.4, 1.2, True), (160.5, 1.2, False),
])  # fmt: skip
def test_a_pulley_as_large_as_the_ring_leaves_the_nose_its_gap(across: float, gap: float, ok: bool) -> None:
    """But a millimetre is enough."""
    job = in_job(sensor={"air_gap": gap}, pulley={"as_found": [{"length": 30, "diameter": across}]})
    faults, asked = Faults(), asked_of(job)
    check_nose(job, asked.sensor, asked.place, faults)
    if ok:
        faults.raise_if_any()
    else:
        with pytest.raises(DesignError, match="nose would hit"):
            faults.raise_if_any()


@pytest.mark.parametrize(("turning", "belt", "keys"), [
    (1.0, 1.0, []), (0.95, 1.0, ["bracket.mount_face"]), (1.0, 0.99, ["pulley.belts[1]"]),
])  # fmt: skip
def test_a_millimetre_to_what_turns_is_just_enough(
    monkeypatch: pytest.MonkeyPatch, turning: float, belt: float, keys: list[str]
) -> None:
    asked = asked_of(in_job())
    drawn = flat_pattern.unhindered(asked, partial(layout_l, asked))
    monkeypatch.setattr(clear, "least_room", lambda *rest: LeastRoom("the arm", "the wheel", turning))
    monkeypatch.setattr(clear, "belt_room", lambda *rest: LeastRoom("the arm", "belt 2", belt, 2))
    if not keys:
        _check_room(asked, drawn)
        return
    with pytest.raises(DesignError) as caught:
        _check_room(asked, drawn)
    assert [fault.dotted for fault in caught.value.faults] == keys
