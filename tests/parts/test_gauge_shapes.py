"""The gauge's outlines against areas and distances in closed form, and how far its metal may grow."""

from __future__ import annotations

import math

import numpy as np
import pytest

from wheelcad.parts.gauge.shape import (
    can_grow,
    grown_slot,
    keyed_circle,
    offset_convex,
    sector,
    window,
    window_lean,
    window_reach,
)
from wheelcad.parts.wheel.outline import SlotShape
from wheelcad.trade.frames import angle_of

PARALLEL = SlotShape(50.0, 6.0, 6.0, radial=False, round_floor=True, corner_radius=0.0)
RADIAL = SlotShape(60.0, 5.0, 5.0, radial=True, round_floor=False, corner_radius=0.0)
FLAT = SlotShape(50.0, 6.0, 6.0, radial=False, round_floor=False, corner_radius=0.5)


def test_metal_that_grows_moves_rim_floor_and_sides_alike() -> None:
    grown = grown_slot(FLAT, 0.3)
    assert (grown.rim_radius, grown.floor_radius, grown.width) == pytest.approx((50.3, 44.3, 5.4))
    assert grown.corner_radius == pytest.approx(0.2)
    assert grown_slot(FLAT, 0.6).corner_radius == 0.0
    assert grown_slot(PARALLEL, -0.3).corner_radius == 0.0  # what has no corner gets none


def test_radial_sides_move_by_the_growth_half_way_down() -> None:
    """There, at 57.5, half the slot is half its angle times the radius along the arc."""
    grown = grown_slot(RADIAL, 0.5)
    before, after = (math.radians(slot.rim_half_deg) for slot in (RADIAL, grown))
    assert (before - after) * 57.5 == pytest.approx(0.5)
    assert grown.rim_radius == pytest.approx(60.5)


@pytest.mark.parametrize(("slot", "growth", "pitch", "can"), [
    (PARALLEL, 2.89, 15.0, True),  # 0.22 of width is left
    (PARALLEL, 2.91, 15.0, False),  # 0.18: under 0.2
    (PARALLEL, -2.9, 30.0, False),  # 11.8 wide: the half-round floor, 5.9 high, leaves nothing of the sides
    (PARALLEL, -2.0, 30.0, True),
    (PARALLEL, -3.1, 30.0, False),  # a round floor 12.2 wide is deeper than the slot
    (RADIAL, -2.40, 10.0, True),  # the tooth's chord: 2·57.60·(sin 5° - sin 4.7795°) = 0.44
    (RADIAL, -2.45, 10.0, False),  # 2·57.55·(sin 5° - sin 4.8293°) = 0.34: under 0.4
    (FLAT, -2.4, 15.0, True),  # 10.8 wide; the corner grows to 2.9, and 2.5 of flat are left on either side
    (SlotShape(50.0, 6.0, 27.0, False, False, 0.0), 0.0, 15.0, True),  # at 23 half of it takes atan(3/23), 7.43 degrees
    (SlotShape(50.0, 6.0, 27.5, False, False, 0.0), 0.0, 15.0, False),  # and at 22.5 7.59
    (SlotShape(50.0, 6.0, 30.0, False, True, 0.0), 0.0, 15.0, True),  # about 23 a round of 3 takes 7.49
    (SlotShape(50.0, 6.0, 30.1, False, True, 0.0), 0.0, 15.0, False),  # and about 22.9 7.53
    (FLAT, -3.0, 15.0, False),  # 12 wide: the slots meet above their corners of 3.5
])  # fmt: skip
def test_how_far_metal_may_grow(slot: SlotShape, growth: float, pitch: float, can: bool) -> None:
    assert can_grow(slot, growth, pitch) is can


@pytest.mark.parametrize(("pitch", "height", "lean"), [
    (15.0, 9.0, (88 * math.sin(math.radians(7.5)) - 6.0 - 1.6) / 2 - 0.2),  # a rib of 1.6 between windows
    (30.0, 9.0, 3.0),  # the most
    (30.0, 3.7, 2.9),  # at 45 degrees from the land's 0.8
    (30.0, 0.8, 0.0),
    (9.0, 9.0, 0.0),  # no room: 6.9 from slot to slot
])  # fmt: skip
def test_how_far_a_windows_sides_lean(pitch: float, height: float, lean: float) -> None:
    assert window_lean(PARALLEL, pitch, height) == pytest.approx(lean)


def test_a_radial_window_leans_by_its_width_at_the_floor() -> None:
    """At 55: 2·55·sin 2.388° = 4.583 wide, 2·55·sin 10° = 19.10 from slot to slot, less a rib, half of it, less a step
    is 6.26; of 10 degrees 9.587 leave 1.502."""
    assert window_lean(RADIAL, 20.0, 9.0) == pytest.approx(3.0)
    wide = 2 * 55 * 2.5 / 60
    assert window_lean(RADIAL, 10.0, 9.0) == pytest.approx((110 * math.sin(math.radians(5)) - wide - 1.6) / 2 - 0.2)


@pytest.mark.parametrize("sense", [1, -1])
@pytest.mark.parametrize("slot", [PARALLEL, RADIAL])
def test_a_window_reaches_from_its_start_to_beyond_the_rim(slot: SlotShape, sense: int) -> None:
    """Its sides at the ring's face are the slot's own; at the front they have leant out on all four sides."""
    start, beyond = slot.floor_radius, slot.rim_radius + 1.5
    made = window(slot, 40.0, sense, 0.7, start)
    ends = (
        (slot.width / 2,) * 2 if not slot.radial else tuple(h * math.tan(math.asin(2.5 / 60)) for h in (start, beyond))
    )
    assert abs(made.land.area) == pytest.approx((ends[0] + ends[1]) * (beyond - start))
    x, y = made.land.vertices[:, :2].T
    assert float(angle_of(x.mean(), y.mean(), sense)) == pytest.approx(40.0)
    side = math.hypot(beyond - start, ends[1] - ends[0])
    lean = math.atan2(ends[1] - ends[0], beyond - start)
    for loop, out in ((made.lean, 0.2), (made.front, 0.9)):
        # a polygon set out by d grows by d times its sides and, at each corner turned through t, d² tan(t/2)
        corners = 2 * math.tan((math.pi / 2 - lean) / 2) + 2 * math.tan((math.pi / 2 + lean) / 2)
        round_it = 2 * (ends[0] + ends[1] + side)
        assert abs(loop.area) == pytest.approx(abs(made.land.area) + out * round_it + out**2 * corners)
    if not slot.radial:
        furthest = np.hypot(*made.front.vertices[:, :2].T).max()
        assert window_reach(slot, 0.7) == pytest.approx(furthest)
        assert furthest == pytest.approx(math.hypot(50.0 + 1.5 + 0.9, 3.9))


def test_every_side_is_moved_out_and_corners_stay_sharp() -> None:
    square = np.array([(0.0, 0.0), (2.0, 0.0), (2.0, 1.0), (0.0, 1.0)])
    assert offset_convex(square, 0.5).tolist() == pytest.approx(
        np.array([(-0.5, -0.5), (2.5, -0.5), (2.5, 1.5), (-0.5, 1.5)])
    )


@pytest.mark.parametrize("sense", [1, -1])
@pytest.mark.parametrize(("start", "stop"), [(0.0, 90.0), (-70.0, 200.0)])
def test_a_sector_is_a_hub_and_a_wedge(sense: int, start: float, stop: float) -> None:
    share = (stop - start) / 360.0
    made = sector(start, stop, 10.0, 40.0, sense)
    assert made.area == pytest.approx(math.pi * (1600 * share + 100 * (1 - share)))
    # seen about its middle, the wedge lies where the crank carries it
    flat = made.flatten(1e-4)
    far = flat[np.hypot(*flat.T) > 39.9]
    at = (np.asarray(angle_of(far[:, 0], far[:, 1], sense)) - start + 1e-6) % 360
    assert at.max() <= stop - start + 1e-3


def test_an_opening_has_a_v_towards_its_keyway() -> None:
    """The circle less the segment under the V's foot, and the triangle on that chord to 2.5 beyond the circle."""
    half = math.asin(2.0 / 10.0)
    chord = 10.0 * math.cos(half)
    area = math.pi * 100 - (100 * half - 2.0 * chord) + 2.0 * (12.5 - chord)
    made = keyed_circle(10.0, 0.0)
    assert made.area == pytest.approx(area)
    assert made.bounds() == pytest.approx((-10.0, -10.0, 10.0, 12.5))
    assert sorted(made.vertices[:, :2].tolist()) == [
        pytest.approx(row, abs=1e-9) for row in ((-2.0, chord), (0.0, 12.5), (2.0, chord))
    ]
    assert keyed_circle(10.0, 90.0).bounds() == pytest.approx((-10.0, -10.0, 12.5, 10.0))
    assert keyed_circle(10.0, None).area == pytest.approx(math.pi * 100)
