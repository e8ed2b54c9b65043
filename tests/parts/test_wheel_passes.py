"""The cutter's passes at what they may just leave, by circles and triangles drawn on paper."""

from __future__ import annotations

import math
from fractions import Fraction
from types import SimpleNamespace
from typing import Any, cast

import pytest

from wheelcad.parts.indexing.readout import _outwards, passes_lying_flat
from wheelcad.parts.wheel.outline import SlotShape
from wheelcad.parts.wheel.passes import _end_spots, gap_angles, ridge_mm, slot_passes, widest_step_deg

RIDGE = 0.1  # mm between two passes; our judgement: no sensor sees it


def _flat(width: float, corner: float = 0.0) -> SlotShape:
    return SlotShape(80.0, width, 6.0, False, False, corner)


@pytest.mark.parametrize(("width", "passes"), [(4.0, 1), (4.1, 2), (7.5, 2), (7.7, 3), (11.1, 3), (11.3, 4)])
def test_a_flat_end_moves_on_by_nine_tenths_of_its_width(width: float, passes: int) -> None:
    """⌀4: 3.6 a pass; common practice, no source. 11.2 wide leaves 7.2 for the middle to go, two steps."""
    made = slot_passes(_flat(width), 4.0)
    assert len(made) == passes
    assert [one.depth_mm for one in made] == [6.0] * passes
    sides = {one.side for one in made if abs(one.offset_mm) > (width - 4.0) / 2 - 1e-6}
    assert sides == ({"higher", "lower"} if passes > 1 else {"middle"})


def test_one_pass_down_the_middle_meets_two_at_leaning_sides() -> None:
    """⌀10 in a slot 28 wide at the floor: 9 each side of the middle, just what one pass overlaps."""
    for half, passes in ((14.0, 1), (14.1, 4)):
        slot = cast(Any, SimpleNamespace(radial=True, floor_half_width=half, floor_radius=200.0))
        assert len(_end_spots(slot, 5.0)) == passes


def test_noses_round_a_hollow_corner_leave_a_tenth_and_one_fewer_more() -> None:
    """A floor of radius 10 by a nose of radius 2: neighbours stand 16·sin(turn/2) apart on a circle of 8, and the ridge
    between them is where their circles meet."""
    slot = SlotShape(80.0, 20.0, 16.0, False, True, 0.0)
    turns = (len(slot_passes(slot, 4.0)) - 1) // 2  # a quarter of a circle on either side of the middle

    def ridge(count: int) -> float:
        half = math.pi / 4 / count
        return 10.0 - 8.0 * math.cos(half) - math.sqrt(4.0 - (8.0 * math.sin(half)) ** 2)

    assert ridge(turns) <= RIDGE < ridge(turns - 1)


def test_a_cutter_that_just_spans_the_step_at_the_rim_leaves_no_wall() -> None:
    slot = SlotShape(80.0, 16.0, 10.0, False, True, 0.0)
    radius = 80.0 * math.sin(math.radians(10.0) / 2)
    assert math.isfinite(ridge_mm(slot, 2 * radius, 10.0))
    assert ridge_mm(slot, 1.999 * radius, 10.0) == math.inf


def test_where_two_passes_corners_just_touch_the_ridge_is_where_they_do() -> None:
    """⌀4 with corners of 0.5, 4 degrees apart: the line midway is a tangent from the axis to circles about
    1.5 from the centre line and 0.5 above the floor."""
    floor = 56.78123409829532
    slot = cast(Any, SimpleNamespace(floor_radius=floor, rim_radius=57.3, corner_radius=0.5, round_floor=False))
    tangent = math.sqrt(1.5**2 + (floor + 0.5) ** 2 - 0.5**2)
    assert ridge_mm(slot, 4.0, 4.0) == pytest.approx(tangent - floor)
    slot.floor_radius = floor + 1e-6
    assert ridge_mm(slot, 4.0, 4.0) == math.inf


@pytest.mark.parametrize(("rim", "diameter"), [(80.0, 6.0), (80.0, 3.0), (250.0, 0.3)])
def test_the_widest_step_of_a_round_nose_by_the_law_of_cosines(rim: float, diameter: float) -> None:
    """Triangle: axis, the nose's centre at floor + r, and the ridge's top at floor + 0.1, r from that centre."""
    slot, r = SlotShape(rim, diameter, 6.0, False, True, 0.0), diameter / 2
    floor, centre = rim - 6.0, rim - 6.0 + r
    by_cosines = 2 * math.degrees(math.acos((centre**2 + (floor + RIDGE) ** 2 - r**2) / (2 * centre * (floor + RIDGE))))
    wall = 2 * math.degrees(math.asin(r / rim))
    assert widest_step_deg(slot, diameter) == pytest.approx(min(by_cosines, wall), rel=1e-6)


def test_a_gap_no_wider_than_a_step_needs_no_pass_on_any_grid() -> None:
    assert gap_angles(Fraction(0), Fraction(10), 10.0, (Fraction(1),)) == ()


def test_a_grid_hardly_finer_than_a_step_serves_where_every_mark_of_it_is_used() -> None:
    """122 degrees from one mark on, marks every 30, steps of 31 at most: four passes would miss a mark."""
    assert gap_angles(Fraction(30), Fraction(152), 31.0, (Fraction(30),)) == (60, 90, 120, 150)


@pytest.mark.parametrize(
    ("corner", "passes"),
    [
        (0.0, 5),  # noses of radius 2 leave a tenth every 2·sqrt(4 - 1.9²) = 1.249 of the 4 across
        (1.5, 5),  # a corner smaller than the cutter's radius comes out as that
        (2.0, 5),
    ],
)
def test_without_a_table_the_wheel_lies_flat_and_its_corners_get_the_cutters_radius(corner: float, passes: int) -> None:
    assert len(passes_lying_flat(_flat(8.0, corner), 4.0)) == passes


@pytest.mark.parametrize(
    ("r", "depth", "places"),
    [
        (4.0, 3.0, [81.0]),  # the cutter is past the rim at once
        (0.1, 0.5, [79.6, 79.8, 80.0]),  # a tenth is all of it: cusps are whole
        (2.0, 4.5, [77.5, 77.5 + 2 * math.sqrt(0.39), 77.5 + 4 * math.sqrt(0.39), 77.5 + 6 * math.sqrt(0.39)]),
    ],
)
def test_plunges_go_outwards_until_they_pass_the_rim(r: float, depth: float, places: list[float]) -> None:
    slot = cast(Any, SimpleNamespace(rim_radius=80.0))
    assert [y for _, y in _outwards(slot, r, 0.0, 0.0, depth, 1)] == pytest.approx(places)
