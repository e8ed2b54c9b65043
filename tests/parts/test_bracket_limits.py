"""A bracket's layout at its limits: gussets, the way of the arm, the L; each expectation worked out by hand.

The jobs are those of bracket_jobs: a ⌀160 ring 5 thick, plate 5 thick bent about 5, 44 wide, a body of 16, holes of 9.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tests.parts.bracket_jobs import along_job, asked_of, flat_job, hole_at, in_job, l_layout, made, refused
from wheelcad.errors import DesignError
from wheelcad.parts.bracket.along_shapes import _bolt_ways, _past_what_turns, _slide, _ways, z_angle
from wheelcad.parts.bracket.gusset import leg_choices, stands_on
from wheelcad.parts.bracket.judge import bracket_findings
from wheelcad.parts.bracket.l_shape import _side_and_height
from wheelcad.parts.bracket.model import Region
from wheelcad.parts.sensor.design import SensorPlace
from wheelcad.trade.loop import Loop
from wheelcad.words import Words

FLANGE: dict[str, Any] = {"bolt": {"hole": 6.6, "offset": 20}, "thread": None, "body_diameter": 16}


# gussets


@pytest.mark.parametrize(("x", "y", "d", "stands"), [
    (25 + 9.95, -20.0, 9.0, True),  # a washer takes 1.1 diameters from the foot's end at 25
    (25 + 9.85, -20.0, 9.0, False),
    (10.0, 17 - 9.95, 9.0, True),  # and from its side at 17
    (10.0, 17 - 9.85, 9.0, False),
    (10.0, 0.0, 15.4, True),  # 16.94 of the 17 to either gusset
    (10.0, 0.0, 15.5, False),
])  # fmt: skip
def test_a_gusset_stands_clear_of_the_washers(x: float, y: float, d: float, stands: bool) -> None:
    """Legs of 30 less the 5 that the inner corner lies back from the bend's metal: 25 of foot, 5 wide at 17 to 22."""
    layout = l_layout()
    bend = layout.bends[0].x_arm
    slot = hole_at(bend + x + 4, y, bend + x, y, d)
    plate = Region("arm", Loop.polygon([(bend, -22), (bend + 60, -22), (bend + 60, 22), (bend, 22)]), layout.arm_frame)
    assert stands_on(plate, replace(layout, mounts=(slot,)), (30.0, 30.0), 5.0) is stands


@pytest.mark.parametrize(("low", "long", "high", "stands"), [
    (-22, 25.0, 22, True), (-22, 24.9, 22, False), (-22, 25.0, 21.9, False), (-21.9, 25.0, 22, False),
])  # fmt: skip
def test_a_gusset_has_plate_under_all_of_its_foot(low: float, long: float, high: float, stands: bool) -> None:
    layout = l_layout()
    x0, x1 = layout.bends[0].x_arm, layout.bends[0].x_arm + long
    plate = Region("arm", Loop.polygon([(x0, low), (x1, low), (x1, high), (x0, high)]), layout.arm_frame)
    assert stands_on(plate, replace(layout, mounts=()), (30.0, 30.0), 5.0) is stands


@pytest.mark.parametrize(("x_tab", "legs"), [
    (22.4, []),
    (22.5, [18.5, 18.5]),
    (40.0, [36.0, 32.5, 29.0, 25.5, 22.0, 18.5]),
    (49.1, [45.0, *[45.0 - 26.5 * k / 7 for k in range(1, 8)]]),
    (80.0, [45.0, *[45.0 - 26.5 * k / 7 for k in range(1, 8)]]),
])  # fmt: skip
def test_the_legs_that_are_tried(x_tab: float, legs: list[float]) -> None:
    """The corner lies 5 back; 7 of the tab is its cut corner and 2 stay free: a tab of 40 leaves 36, 45 is the most;
    the least is 5 + 1.5 of relief + 12 of weld, and no step is over 4."""
    asked, layout = asked_of(in_job()), l_layout()
    tab = replace(layout, bends=(replace(layout.bends[0], x_tab=x_tab),))
    found = leg_choices(tab, asked.body, 5.0)
    assert [leg for leg, _ in found] == pytest.approx(legs)
    assert {up for _, up in found} == ({legs[0]} if legs else set())
    riser = replace(layout, bends=(replace(layout.bends[0], x_tab=x_tab), replace(layout.bends[0], x_arm=7.0)), half=5)
    assert [leg for leg, _ in leg_choices(riser, asked.body, 5.0)] == pytest.approx(legs)


@pytest.mark.parametrize(("half", "room"), [(17.0, True), (16.99, False)])
def test_a_gusset_stands_beside_the_flange(half: float, room: bool) -> None:
    """A flange of 8 + 3, a millimetre of room and the gusset's 5."""
    layout = replace(l_layout(), half=half)
    assert bool(leg_choices(layout, asked_of(in_job()).body, 5.0)) is room


@pytest.mark.parametrize(("offset", "angle", "gussets"), [(25.0, 45.0, 2), (17.0, 30.0, 0)])
def test_a_bend_of_45_degrees_is_the_gentlest_with_gussets(offset: float, angle: float, gussets: int) -> None:
    """The sensor's plate lies at 2.5 + 0.8 + 24 - 5 = 22.3; about 15 inside a riser of either is over 20 long."""
    plate = {"thickness": 5, "inside_radius": 15}
    design = made(along_job(bracket={"gusset": True, "mount_face": 22.3 - offset, "plate": plate}))
    assert design.bends[0].angle_deg == angle
    assert len(design.gussets) == gussets
    assert any(f.check == "gusset" for f in bracket_findings(design)) is (gussets == 0)


# which way an arm goes that lies square to a sensor's look


def place_at(x: float, y: float, out_deg: float) -> SensorPlace:
    a = math.radians(out_deg)
    return SensorPlace((x, y, 27.3), (0.0, 0.0, -1.0), (math.cos(a), math.sin(a), 0.0), 24.0, 16.0)


@pytest.mark.parametrize(("out", "radial"), [(100.0, [-80, 100]), (104.9, [-75.1, 104.9]), (105.1, [-74.9]), (0, [0])])
def test_an_arm_is_tried_every_fifteen_degrees_up_to_105_and_radially(out: float, radial: list[float]) -> None:
    bracket = along_job(bracket={"mounts": [{"x": 150, "y": 50, "hole": 9}, {"x": 250, "y": 50, "hole": 9}]}).bracket
    assert bracket is not None
    angles = [math.degrees(math.atan2(p[1], p[0])) for p in _ways(bracket, place_at(100.0, 50.0, out))]
    wanted = sorted([*range(-105, 106, 15), *radial], key=lambda turn: (abs(turn), turn))
    assert angles == pytest.approx(wanted, abs=1e-6)


@pytest.mark.parametrize(("off", "towards"), [(0.0, 70.0), (0.05, 0.0)])
def test_mounts_about_the_sensor_itself_leave_the_way_out(off: float, towards: float) -> None:
    bracket = along_job(bracket={"mounts": [{"x": 90 + off, "y": 50, "hole": 9}]}).bracket
    assert bracket is not None
    first = _ways(bracket, place_at(90.0, 50.0, 70.0))[0]
    assert math.degrees(math.atan2(first[1], first[0])) == pytest.approx(towards)


def test_an_arm_goes_towards_the_middle_of_the_mounts() -> None:
    mounts = [{"x": x, "y": y, "hole": 9} for x, y in ((60, 150), (140, 150))]
    bracket = along_job(bracket={"mounts": mounts}).bracket
    assert bracket is not None
    assert _ways(bracket, place_at(100.0, 50.0, 10.0))[0] == pytest.approx([0, 1, 0], abs=1e-9)
    assert _ways(bracket, place_at(0.0, 150.0, 10.0))[0] == pytest.approx([1, 0, 0], abs=1e-9)


def test_which_way_the_bolt_lies_from_the_body() -> None:
    p, out = np.array([1.0, 0.0, 0.0]), (math.sin(math.radians(60)), 0.5, 0.0)

    def ways(flat: bool, **sensor: Any) -> list[list[float]]:
        asked = asked_of(along_job(sensor={**FLANGE, **sensor}))
        return [way.tolist() for way in _bolt_ways(asked, p, flat)]

    assert ways(True) == [[1, 0, 0], [-1, 0, 0]]
    assert ways(False) == [[-1, 0, 0], [1, 0, 0]]
    assert ways(False, bolt=None) == [[-1, 0, 0]]
    assert np.ravel(ways(True, senses="along-crank")) == pytest.approx([*out, *(-v for v in out)])
    across = [-out[1], out[0], 0.0]
    assert np.ravel(ways(True, senses="across")) == pytest.approx([*across, *(-v for v in across)])


def z_least(angle: float) -> float:
    """Offset of a riser two thicknesses long between bends of 5 inside and 5 thick: 15 (1 - cos) + 10 sin."""
    return 15 * (1 - math.cos(math.radians(angle))) + 10 * math.sin(math.radians(angle))


@pytest.mark.parametrize("sign", [1, -1])
def test_the_steepest_bends_that_leave_a_riser_of_two_thicknesses(sign: int) -> None:
    bracket = along_job().bracket
    assert bracket is not None
    for angle, gentler in ((90, 75), (75, 60), (60, 45), (45, 30), (30, 20)):
        found, riser = z_angle(bracket, sign * (z_least(angle) + 0.01))
        assert found == angle
        assert riser == pytest.approx(10 + 0.01 / math.sin(math.radians(angle)))
        assert z_angle(bracket, sign * (z_least(angle) - 0.01))[0] == gentler
    assert z_angle(bracket, sign * (z_least(20) + 0.01))[0] == 20


@pytest.mark.parametrize(("offset", "allowed", "hint"), [
    (3.0, "-29 mm for a flat bracket, or -33.32 mm and beyond", "`packing: 3 mm` for a flat"),
    (-3.0, "-35 mm for a flat bracket, or -30.68 mm and beyond", "`packing: 1.32 mm` for a Z"),
    (0.5, "-31.5 mm for a flat bracket, or -35.82 mm and beyond", "`packing: 0.5 mm` for a flat"),
])  # fmt: skip
def test_too_little_for_a_z_names_the_faces_that_do(offset: float, allowed: str, hint: str) -> None:
    """On a face at -32; the gentlest bends need z_least(20) = 4.325."""
    bracket = along_job().bracket
    assert bracket is not None
    with pytest.raises(DesignError) as caught:
        z_angle(bracket, offset)
    [fault] = caught.value.faults
    words = Words("mm")
    assert allowed in words.text(fault.allowed or "")
    assert hint in words.text(fault.hint or "")
    assert "4.3 mm at least" in words.text(fault.message)


@pytest.mark.parametrize("off", [0.09, -0.09, 0.11, -0.11])
def test_a_plate_a_tenth_off_is_still_flat(off: float) -> None:
    job = flat_job(bracket={"mount_face": 22.3 + off})
    if abs(off) < 0.1:
        assert made(job).shape == "flat"
    else:
        assert refused(job)[0][0] == "bracket.mount_face"


@pytest.mark.parametrize(("turned", "off"), [(0.0, 0.0), (40.0, None), (90.0, None), (180.0, 0.0)])
def test_a_riser_starts_outside_of_what_turns(turned: float, off: float | None) -> None:
    """The ring's 80, 3 to stay clear and 2.5 of slot: a circle of 85.5, which the strip of 44 must not meet. What of
    it lies nearest to the axis lies `off` beside it."""
    asked = asked_of(along_job())
    (ox, oy, _), (fx, fy, _) = asked.place.out, asked.place.face
    a = math.atan2(oy, ox) + math.radians(turned)
    far = math.hypot(fx, fy)
    beside = max(0.0, abs(far * math.sin(math.radians(turned))) - 22) if off is None else off
    past, what = _past_what_turns(
        asked, np.array([math.cos(a), math.sin(a), 0.0]), 22.0, _slide(asked.bracket, asked.place)
    )
    assert what == "the wheel"
    assert past == pytest.approx(math.sqrt(85.5**2 - beside**2) - far * math.cos(math.radians(turned)))


# the L


@pytest.mark.parametrize(("face", "side", "height"), [(-2.5, 1, 2.5), (-2.4, -1, 2.6), (-32, 1, 32), (27, -1, 32)])
def test_an_arm_whose_middle_lies_behind_the_rings_bends_forwards(face: float, side: int, height: float) -> None:
    bracket = in_job(bracket={"mount_face": face}).bracket
    assert bracket is not None
    assert _side_and_height(bracket) == (side, pytest.approx(height))


@pytest.mark.parametrize(("face", "x", "bolt"), [
    (-32, (30, 20), 1), (-32, (-30, -20), -1), (-32, (30, -30), 1), (27, (30, 20), -1), (27, (-30, -20), 1),
])  # fmt: skip
def test_a_bolt_across_lies_on_the_side_the_mounts_are_not_on(face: float, x: tuple[float, float], bolt: int) -> None:
    """A sensor at the top: from behind, x to the right is the flat's -y; from in front its +y."""
    mounts = [{"x": each, "y": 150, "hole": 9} for each in x]
    layout = l_layout(sensor={"at": 0, "senses": "across"}, bracket={"mounts": mounts, "mount_face": face, "width": 60})
    body, fixing = layout.tab_holes
    to_mounts = np.sign(sum(hole.y0 for hole in layout.mounts))
    assert fixing.y0 - body.y0 == pytest.approx(20.0 * bolt)
    assert bolt == (-to_mounts if sum(x) else 1)
    assert fixing.x0 == body.x0
