"""Slots, windows, combs and skirts at the limits of what can be made, by lengths and triangles worked out by hand."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from tests.parts.gauge_jobs import job_of, turned
from wheelcad.parts.gauge.seat import Cavity, Register, Seat
from wheelcad.parts.gauge.shape import can_grow
from wheelcad.parts.gauge.styles import _parted_outline, comb_style, finger_outline, outline_style, windows_style
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.outline import SlotShape
from wheelcad.trade.loop import Loop


def flat(width: float, depth: float, corner: float = 0.0, rim: float = 50.0) -> SlotShape:
    """A slot with parallel sides and a flat floor."""
    return SlotShape(rim, width, depth, radial=False, round_floor=False, corner_radius=corner)


def skirted(inside: float) -> Seat:
    """A seat 6 mm in front of the ring, the skirt so far out inside; its ease is 0.8."""
    return Seat(8.0, 2.0, (Cavity(inside, 2.0, 8.0),), Register("bolts"), 30.0)


def reaches(loop: Loop) -> list[float]:
    """From the axis to each corner, mm."""
    return np.hypot(*loop.vertices[:, :2].T).tolist()


@pytest.mark.parametrize(("slot", "pitch", "can"), [
    (flat(0.2, 1.0), 15.0, False),
    (flat(0.21, 1.0), 15.0, True),
    (flat(12.63, 1.5), 15.0, True),  # 2·50·sin 7.5° is 13.053 from slot to slot: a tooth of 0.42 is left
    (flat(12.67, 1.5), 15.0, False),  # 0.38
    (flat(0.6, 0.3, rim=0.5), 180.0, False),  # 0.4 to the last digit
    (flat(6.0, 6.0, 2.95), 15.0, True),  # a tenth of floor between the corners
    (flat(6.0, 6.0, 3.0), 15.0, False),  # none: that slot is a round one
    (flat(6.0, 0.195), 15.0, True),  # the rim's corners lie at √(50² - 3²) = 49.910: 0.105 of side is left
    (flat(6.0, 0.185), 15.0, False),  # 0.095
    (SlotShape(50.0, 6.0, 2.9, False, True, 0.0), 15.0, False),  # a round floor higher than the slot is deep
    (flat(6.0, 27.0), 2 * math.degrees(math.atan2(3.0, 23.0)), False),  # floors' corners meet
])  # fmt: skip
def test_what_a_slot_must_leave_to_be_one(slot: SlotShape, pitch: float, can: bool) -> None:
    assert can_grow(slot, 0.0, pitch) is can


def test_windows_leave_three_millimetres_of_plate_around_them() -> None:
    """A skirt inside of 45.495 and its ease of 0.8, 1 of wall and 0.2 of step leave a lean of 0.105 up to 47.6, where
    0.4 of the slot's depth is left. A lean of 0.095 is none."""
    wheel = design_wheel(job_of(**turned()))
    for inside, lean in ((45.495, 0.105), (45.505, 0.0)):
        style = windows_style(wheel, 0.0, skirted(inside), 11.0, 0.0)
        assert style is not None
        furthest = math.hypot(50.0 + 1.5 + 0.2 + lean, 3.0 + 0.2 + lean)
        assert style.reach == pytest.approx(furthest + 3.0)
        assert style.finger_mm == 0.0
        assert len(style.walls) == 1 + 24 * (2 if lean else 1)


def test_a_comb_is_two_larger_than_its_wheel_and_its_tongue_three_longer_than_a_slot() -> None:
    """0.4 of clearance: the tongue is 6.4 wide and 9 long beyond a rim of 52; fingers 5.6 wide end 0.3 inside the
    wheel's, and 0.3 before its back. They begin 1 mm outside the skirt's 44.8."""
    wheel = design_wheel(job_of(**turned()))
    style = comb_style(wheel, 0.4, skirted(44.0), 11.0, 0.0)
    plate, *fingers = style.walls
    assert style.reach == pytest.approx(52.0)
    assert max(reaches(plate.loop)) == pytest.approx(math.hypot(3.2, 61.0))
    tip = np.mean([v[:2] for v in plate.loop.vertices if math.hypot(*v[:2]) > 60.0], axis=0)
    assert tip.tolist() == pytest.approx([61.0 * math.sin(math.radians(30)), 61.0 * math.cos(math.radians(30))])
    assert len(fingers) == 24
    for finger in fingers:
        assert (finger.z0, finger.z1) == pytest.approx((2.0 - 3.7, 2.0))
        assert sorted(reaches(finger.loop)) == pytest.approx(
            [math.hypot(2.8, 45.8)] * 2 + [math.hypot(2.8, 49.7)] * 2
        )  # fmt: skip


def test_a_finger_that_begins_within_a_flat_floor_follows_it() -> None:
    slot = flat(6.0, 6.0)
    assert Loop(finger_outline(slot, 43.95, 49.7)).bounds() == pytest.approx((-3.0, 44.0, 3.0, 49.7))
    assert Loop(finger_outline(slot, 44.05, 49.7)).bounds() == pytest.approx((-3.0, 44.05, 3.0, 49.7))


def two_slots(slot: SlotShape, pitch: float) -> Any:
    """A wheel of which only two slots are drawn."""
    teeth = SimpleNamespace(gap_after=())
    return SimpleNamespace(
        slot=slot, pitch_deg=pitch, slot_centres_deg=np.array([0.0, 180.0]), teeth=teeth, sense=1,
        outline=Loop.circle(0, 0, slot.rim_radius),
    )  # fmt: skip


@pytest.mark.parametrize(("foot", "eased"), [(0.2, True), (0.4, False)])
def test_first_layers_are_set_back_only_where_a_tooth_is_left(foot: float, eased: bool) -> None:
    """Teeth of 13.05 - 12 = 1.05: set back on both sides by 0.2 they are 0.6 wide, by 0.4 0.15."""
    seat = Seat(2.0, 2.0, (), Register("bolts"), 50.0)
    walls = outline_style(two_slots(flat(12.0, 1.5), 15.0), 0.0, seat, 5.0, foot).walls
    assert [(wall.z0, wall.z1) for wall in walls] == ([(2.0, 4.8), (4.8, 5.0)] if eased else [(2.0, 5.0)])


def test_a_skirt_of_just_eight_tenths_still_is_a_ring() -> None:
    wheel = design_wheel(job_of(**turned()))
    assert outline_style(wheel, 0.0, skirted(43.2), 11.0, 0.0).skirt is None
    assert outline_style(wheel, 0.0, skirted(43.21), 11.0, 0.0).skirt is not None


@pytest.mark.parametrize(("pitch", "inside", "floor"), [
    (15.0, 40.0, 39.0),  # a millimetre inside the skirt, where half a slot takes atan(5/39) = 7.31 degrees
    (15.0, 38.4, 47.0),  # at 37.4 it would take 7.61: slots would run into each other, so they stay as they are
    (2 * math.degrees(math.atan2(5.0, 39.0)), 40.0, 47.0),  # and where they would just meet
    (15.0, 48.0, 46.0),
])  # fmt: skip
def test_slots_of_a_parted_skirt_go_through_it_where_they_stay_apart(pitch: float, inside: float, floor: float) -> None:
    outline = _parted_outline(two_slots(flat(10.0, 3.0), pitch), flat(10.0, 3.0), inside)
    assert min(abs(y) for _, y, _ in outline.vertices.tolist()) == pytest.approx(floor)
