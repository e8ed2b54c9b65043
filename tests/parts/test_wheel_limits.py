"""Slots, shoulders, rim and cutting files of a wheel at their limits, worked out by hand.

⌀160 with slots 6 wide and 6 deep where nothing else is said: floors at 74, sides leave the rim at the root of 80² - 3².
"""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any, cast

import pytest

from tests.conftest import plate_job
from tests.parts.gauge_jobs import job_of, plate, turned
from tests.parts.test_wheel_ring import ring_job
from wheelcad.codes import Check
from wheelcad.errors import DesignError, Faults
from wheelcad.job.models import Groove, Job
from wheelcad.parts.common.stack import Land
from wheelcad.parts.wheel.design import WheelDesign, _check_slots, design_wheel
from wheelcad.parts.wheel.flat import plasma_blank, stock_mm
from wheelcad.parts.wheel.gaps import repeats
from wheelcad.parts.wheel.outline import SlotShape
from wheelcad.parts.wheel.rim import Hollow, groove_distance, rim_findings
from wheelcad.parts.wheel.teeth import ToothGap, lay_out
from wheelcad.parts.wheel.trade import sensor_findings
from wheelcad.words import Words


def _slot(**keys: Any) -> str:
    told = {"width": 6, "depth": 6, **keys}
    return "{" + ", ".join(f"{key}: {value}" for key, value in told.items()) + "}"


def _fault(job: Job) -> tuple[str, str, str] | None:
    """Key, message and allowed of a wheel's first fault, in mm."""
    try:
        design_wheel(job)
    except DesignError as error:
        fault = error.faults[0]
        return fault.dotted, fault.message, Words("mm").text(fault.allowed)
    return None


@pytest.mark.parametrize(
    ("keys", "key", "why", "allowed"),
    [
        ({"depth": 80}, "depth", "reaches the axis", "less than 80 mm"),
        ({"depth": 79.9}, "depth", "run into each other", "shallower"),
        ({"width": 160, "depth": 79, "floor": "flat"}, "width", "is wider than the wheel", "less than 160 mm"),
        ({"width": 159, "depth": 79.6, "floor": "flat"}, "width", "leaves no tooth", "less than 13.74 mm"),
        ({"depth": 2.9}, "width", "too wide for a round floor", "at most twice the depth, 5.8 mm"),
        # a straight side from the root of 6391 = 79.944 down to floor and rounding: 3.26 deep leaves 0.204, 3.25 0.194
        ({"depth": 3.25}, "depth", "leaves no straight side", "deeper"),
        # a pitch of 10 degrees is 160·sin 5° = 13.945 along the chord; two tenths of it are left for a tooth
        ({"width": 13.75, "sides": "radial"}, "width", "leaves no tooth", "less than 13.74 mm"),
        ({"floor": "flat", "corner_radius": 3.01}, "corner_radius", "too large for the floor", "at most 3 mm"),
    ],
)
def test_a_slot_that_just_cannot_be_says_why(keys: dict[str, Any], key: str, why: str, allowed: str) -> None:
    found = _fault(plate_job(slot=_slot(**keys), extra="allow: [wheel.slot.width]\n"))
    assert found is not None
    assert found[0] == f"wheel.slot.{key}"
    assert why in found[1]
    assert allowed in found[2]


@pytest.mark.parametrize(
    "keys",
    [{"depth": 3.26}, {"width": 13.74, "sides": "radial"}, {"floor": "flat", "corner_radius": 3.0}, {"floor": "flat"}],
)
def test_a_slot_that_just_can_be_is_made(keys: dict[str, Any]) -> None:
    assert _fault(plate_job(slot=_slot(**keys))) is None


@pytest.mark.parametrize(
    ("straight", "widest", "keys"), [(0.2, 4.9, []), (0.19, 4.9, ["depth"]), (0.2, 5.0, ["depth"])]
)
def test_slots_that_just_meet_at_their_floors_run_into_each_other(
    straight: float, widest: float, keys: list[str]
) -> None:
    """36 teeth: half a pitch is 5 degrees."""
    sizes = {"rim_radius": 80.0, "width": 6.0, "depth": 6.0, "tangent": 0.0, "floor_half_width": 3.0}
    slot = SimpleNamespace(**sizes, straight=straight, widest_half_deg=widest)
    faults = Faults()
    _check_slots(cast(Any, SimpleNamespace(teeth=36)), cast(Any, slot), faults)
    assert [fault.key[-1] for fault in faults] == keys


def test_a_floors_rounding_that_reaches_past_the_rim_leaves_less_than_no_side() -> None:
    """Corners of 8 in a slot 6 deep begin at 82, the sides leave the rim at the root of 6300."""
    assert SlotShape(80.0, 20.0, 6.0, False, False, 8.0).straight == pytest.approx(-(82.0 - math.sqrt(6300.0)))


@pytest.mark.parametrize(("depth", "half"), [(77.0, 30.0), (80.0, 90.0), (81.0, 90.0), (82.0, 90.0), (83.0, 180.0)])
def test_a_round_floor_fills_a_sector_up_to_half_a_circle_and_all_of_it_about_the_axis(
    depth: float, half: float
) -> None:
    """A floor's circle of radius 3 about 83 - depth: at 6 it is half as large as it is far."""
    assert SlotShape(80.0, 6.0, depth, False, True, 0.0).widest_half_deg == pytest.approx(half)


@pytest.mark.parametrize("corner", [2.95, 3.0])
def test_a_flat_floor_between_two_corners_may_be_a_tenth_of_a_millimetre(corner: float) -> None:
    """Of a plain flat-floored slot each corner leaves (1 - pi/4)·r² standing."""
    area = {
        r: design_wheel(plate_job(missing=0, slot=_slot(floor="flat", corner_radius=r))).outline.area
        for r in (0.0, corner)
    }
    assert area[corner] - area[0.0] == pytest.approx(36 * 2 * (1 - math.pi / 4) * corner**2, abs=1e-6)


@pytest.mark.parametrize(("corner", "points"), [(0.0, 4), (2.0, 6), (3.0, 5)])
def test_a_flat_floor_is_one_edge_and_corners_that_meet_have_a_point_between(corner: float, points: int) -> None:
    """Rim, side's end, corner's end and back."""
    flank = SlotShape(80.0, 6.0, 6.0, False, False, corner).flank()
    assert len(flank) == points
    assert [s for s, _, _ in flank] == pytest.approx([-s for s, _, _ in reversed(flank)])


@pytest.mark.parametrize(("front", "rear", "key"), [(88.2, 70.0, 0), (70.0, 88.2, 2), (88.0, 88.0, None)])
def test_no_shoulder_stands_beyond_the_slots_floors(front: float, rear: float, key: int | None) -> None:
    steps = [{"length": 6.0, "diameter": front}, "wheel", {"length": 10.0, "diameter": rear}]
    found = _fault(job_of(**turned(pulley={"bore": 20.0, "turned": steps})))
    assert (found and found[0]) == (None if key is None else f"pulley.turned[{key}].diameter")


# what is left round the slots


def test_how_far_a_hollow_stays_beside_a_ring() -> None:
    assert Hollow("recess", 10.0, 5.0, 9.0).beside(2.0) == 3.0
    assert Hollow("recess", 10.0, -9.0, -5.0).beside(2.0) == 3.0
    assert Hollow("recess", 10.0, -9.0, 5.0).beside(2.0) == 0.0
    assert Hollow("bore", 10.0).beside(2.0) == 0.0


def _rim(job: Job) -> dict[str, Any]:
    return {finding.check: finding for finding in rim_findings(job, design_wheel(job))}


def test_without_a_bore_the_rim_goes_down_to_the_axis() -> None:
    told = _rim(job_of(**turned(pulley={"turned": ["wheel", {"length": 10.0, "diameter": 70.0}]})))[Check.RIM_LEFT]
    assert told.measured == 44.0
    assert "down to the axis" in told.why


@pytest.mark.parametrize(("hole", "wall", "verdict"), [(6.0, 2.0, "pass"), (5.8, 2.1, "pass"), (6.2, 1.9, "warn")])
def test_two_millimetres_between_slots_and_bolt_holes(hole: float, wall: float, verdict: str) -> None:
    """Common practice, no source. Floors at 55 of a ⌀120 plate, bolts on ⌀100."""
    told = _rim(job_of(**plate(pulley={"bolts": {"count": 3, "circle": 100.0, "hole": hole, "first_at": 0.0}})))
    assert told[Check.BOLTS_CLEAR].measured == pytest.approx(wall)
    assert told[Check.BOLTS_CLEAR].verdict == verdict


def test_of_a_rings_own_holes_the_one_that_reaches_furthest_counts() -> None:
    """Two of four are there, ⌀9 instead of 8.4: 69 less 45 + 4.5."""
    job = ring_job("{bore: 50, bolts: {count: 2, circle: 90, hole: 9, first_at: 0}}")
    assert _rim(job)[Check.BOLTS_CLEAR].measured == pytest.approx(19.5)


def test_a_recess_wider_than_the_floors_is_as_far_from_them_as_it_ends_before_the_ring() -> None:
    """6 of shoulder before a ring that begins at z = 2; a recess 3 deep ends at 5."""
    pulley = {**turned()["pulley"], "recess": {"diameter": 92.0, "depth": 3.0}}
    assert _rim(job_of(**turned(pulley=pulley)))[Check.RECESS_CLEAR].measured == 3.0


@pytest.mark.parametrize(
    ("radius", "behind", "far"), [(32.0, (-4.0, -16.0), 13.0), (32.0, (16.0, 4.0), 13.0), (41.0, (-4.0, -14.0), 5.0)]
)
def test_a_belt_groove_beside_the_slots(radius: float, behind: tuple[float, float], far: float) -> None:
    """5-12-13 and 3-4-5: a groove 6 wide amid 12 or 10, the ring of half 2, its floors at 44."""
    land = Land("pulley", behind[1], behind[0], radius)
    assert groove_distance(land, Groove(width=6.0, depth=3.0, angle=36.0), 2.0, 44.0) == pytest.approx(far)


# gaps and teeth


def _cuts(missing: tuple[int, int], apart: int, teeth: int) -> tuple[bool, bool]:
    """Whether two gaps' missing teeth are the same ones, or side by side: counted out tooth by tooth."""
    first, second = set(range(missing[0])), {(apart + k) % teeth for k in range(missing[1])}
    beside = {(k + 1) % teeth for k in first} | {(k - 1) % teeth for k in first}
    return bool(first & second), bool(beside & second)


@pytest.mark.parametrize("missing", [(1, 1), (1, 3), (3, 1), (2, 3)])
def test_which_gaps_meet_tooth_by_tooth(missing: tuple[int, int]) -> None:
    """12 positions, 30 degrees each: gap b's first missing tooth `apart` places after gap a's."""
    for apart in range(12):
        at = 30.0 * (apart + (missing[1] - 1) / 2 - (missing[0] - 1) / 2)
        gaps = [{"at": 0.0, "missing": missing[0]}, {"at": at, "missing": missing[1]}]
        found = _fault(
            job_of(wheel={**plate()["wheel"], "teeth": 12, "missing": missing[0], "gap_at": 0.0, "gaps": gaps})
        )
        same, beside = _cuts(missing, apart, 12)
        said = found[1] if found else ""
        assert ("overlaps" in said, "leaves no tooth" in said) == (same, beside and not same), apart


@pytest.mark.parametrize(("off", "told"), [(0.005, False), (0.0053, True)])
def test_a_gap_written_to_two_decimals_may_be_half_of_the_last_one_off(off: float, told: bool) -> None:
    gaps = [{"at": 0.0, "missing": 1}, {"at": 90.0 + off, "missing": 1}]
    wheel = {**plate()["wheel"], "missing": 1, "gap_at": 0.0, "gaps": gaps}
    assert (_fault(job_of(wheel=wheel)) is not None) == told
    wheel["gaps"] = [{"at": 40.0, "missing": 1}, {"at": 90.0, "missing": 1}]
    assert (_fault(job_of(wheel={**wheel, "gap_at": 40.0 - off})) is not None) == told


def test_how_often_a_pattern_repeats_wherever_its_teeth_lie() -> None:
    assert repeats(lay_out(36, (ToothGap(2.5, 1), ToothGap(182.5, 1)))) == 2


def test_a_layout_holds_gaps_to_the_grid_and_leaves_a_tooth() -> None:
    for off in (1e-5, 0.05):
        with pytest.raises(ValueError, match="off the tooth grid"):
            lay_out(36, (ToothGap(0.0, 1), ToothGap(90.0 + off, 1)))
    with pytest.raises(ValueError, match="no tooth is left"):
        lay_out(4, (ToothGap(0.0, 4),))
    with pytest.raises(ValueError, match="overlap"):
        lay_out(4, (ToothGap(0.0, 5),))


# what is cut, and what the sensor sees


@pytest.mark.parametrize(
    ("diameter", "thickness", "stock"),
    [
        # half of ISO 9013's class 2, 0.8 + 0.02 of the thickness, half a millimetre: up to the next half
        (160.0, 6.0, 2.0),  # 0.55 + 0.92 + 0.5 = 1.97
        (120.0, 14.9, 2.5),  # 0.9 + 1.098 + 0.5 = 2.498
        (160.0, 34.5, 2.5),  # thicker than the table goes: 1 either way, so 0.5 + 1.49 + 0.5 = 2.49
    ],
)
def test_stock_for_the_lathe_is_in_half_millimetres(diameter: float, thickness: float, stock: float) -> None:
    wheel = cast(WheelDesign, SimpleNamespace(radius_mm=diameter / 2, thickness_mm=thickness))
    assert stock_mm(wheel) == stock


@pytest.mark.parametrize(("bore", "holes"), [(None, 0), (15.9, 0), (16.0, 1), (16.2, 1)])
def test_a_bore_is_pierced_from_a_radius_of_six_on(bore: float | None, holes: int) -> None:
    """2 of stock a side on ⌀160 of 4: 0.55 + 0.88 + 0.5 = 1.93. Common practice, no source."""
    wheel = {**plate()["wheel"], "outside_diameter": 160.0, "thickness": 4.0, "bore": bore}
    job = job_of(wheel=wheel)
    blank = plasma_blank(job, design_wheel(job))
    assert len(blank.holes) == holes
    crosses = [mark for mark in blank.marks if mark[0][:2] == (-3.0, 0.0)]
    assert len(crosses) == 1 - holes


@pytest.mark.parametrize(("hole", "arm"), [(8.0, 2.4), (10.5, 3.0), (9.5, 2.85)])
def test_a_bolts_centre_mark_is_drilled_away_whole(hole: float, arm: float) -> None:
    """Three tenths of the hole each way, up to 3 mm; our judgement."""
    job = job_of(**plate(pulley={"bolts": {"count": 1, "circle": 70.0, "hole": hole, "first_at": 0.0}}))
    across = [mark for mark in plasma_blank(job, design_wheel(job)).marks if mark[0][1] == mark[1][1] == 35.0]
    assert [(start[0], end[0]) for start, end in across] == [(pytest.approx(-arm), pytest.approx(arm))]


def test_a_plate_without_a_bore_has_no_hole_in_it() -> None:
    assert design_wheel(job_of(wheel={**plate()["wheel"], "bore": None})).openings == ()


def test_a_sensor_sees_teeth_and_slots_along_the_rim() -> None:
    """A slot's arc is 160·asin(3/80), a tooth's the rest of pi·160/36."""
    job = plate_job(slot=_slot(), extra="sensor: {kind: hall, at: 60, face_diameter: 5, air_gap: 1}\n")
    told = {finding.check: finding for finding in sensor_findings(job, design_wheel(job))}
    slot = 160.0 * math.asin(3.0 / 80.0)
    assert told[Check.SLOT_WIDTH].measured == pytest.approx(slot)
    assert told[Check.TOOTH_TOP].measured == pytest.approx(math.pi * 160.0 / 36 - slot)
