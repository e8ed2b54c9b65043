"""A gauge in pieces: where it may be cut, and whether the pieces lie on the bed. Triangles by hand; mm, degrees."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from wheelcad.parts.gauge.joints import Joints, _all_fit, _key_place, _outline_of, _sector_points, find_joints
from wheelcad.trade.loop import Loop

DISC = Loop.circle(0.0, 0.0, 60.0)
Holes = list[tuple[float, float, float]]


def cut(bed: tuple[float, float] | None, places: list[float], holes: Holes, clear: float = 55.0) -> Joints:
    """The joints of a disc of ⌀120 with an opening of ⌀20, clockwise."""
    return find_joints(DISC, bed, places, holes, 10.0, clear, 60.0, 1, 0.0)


@pytest.mark.parametrize(("x", "pieces"), [(6.05, 2), (5.95, 0), (30.0, 2)])
def test_a_joint_runs_a_millimetre_clear_of_the_two_about_a_bolt_hole(x: float, pieces: int) -> None:
    """A hole of ⌀6 beside the cut along +Y, inside its dovetail: 3 and 2 of its own and 1 more are 6."""
    assert cut((140.0, 95.0), [0.0, 180.0], [(x, 20.0, 3.0)]).pieces == pieces


def test_without_bolts_a_gauge_is_cut_all_the_same() -> None:
    joints = cut((140.0, 95.0), [0.0, 180.0], [])
    assert joints.at_deg == (0.0, 180.0)
    assert joints.pieces == len(joints.cuts) == 2


def test_a_gauge_that_fits_is_one_piece_and_one_without_room_for_a_dovetail_none() -> None:
    """136 less a margin of 8 on either side are the 120 of the disc. From 14 to 26 - 8 = 18 there is no dovetail."""
    assert cut((136.1, 136.1), [0.0, 180.0], []) == Joints((), (), 1)
    assert cut(None, [0.0, 180.0], []) == Joints((), (), 1)
    assert cut((140.0, 95.0), [0.0, 180.0], [], clear=26.0) == Joints((), (), 0)


def test_eight_pieces_are_the_most() -> None:
    """A bed of 71 holds 54 of a piece: one of 45 degrees, 46 wide and 51 long, but not one of 80, which is 51 long and
    77 wide. With a place every 45 degrees it takes eight; every 40 it would take nine."""
    assert cut((71.0, 71.0), [45.0 * k for k in range(8)], []).pieces == 8
    assert cut((71.0, 71.0), [40.0 * k for k in range(9)], []).pieces == 0


@pytest.mark.parametrize("sense", [1, -1])
@pytest.mark.parametrize("inner", [10.0, 0.0])
def test_a_piece_needs_a_millimetre_less_than_the_bed_has(sense: int, inner: float) -> None:
    """Half a box of 100 x 40, its far end along -Y with room for a dovetail: a triangle from where the cut begins, 0.1
    inside the opening, to a point 7 to the side at 0.55 of the reach, 3 beyond the gauge's. Where the box ends, at 20,
    the triangle has that share of its 7. A bed has 16 of margins and that millimetre more."""
    box, begin, tip = shapely.box(-50.0, -20.0, 50.0, 20.0), max(inner - 0.1, 0.0), 0.55 * (60.0 + 3.0)
    wide = 50.0 + 7.0 * (20.0 - begin) / (tip - begin) + 17.0
    for x, y, fits in (
        (wide + 5e-4, 57.05, True), (wide - 5e-4, 57.05, False), (75.0, 57.0 + 5e-4, True), (75.0, 56.95, False),
        (57.05, wide + 5e-4, True), (57.05, wide - 5e-4, False),
    ):  # fmt: skip
        assert _all_fit(box, (0.0, 180.0), inner, 60.0, sense, (x, y)) is fits


def test_a_sectors_outline_has_a_point_every_three_degrees() -> None:
    assert len(_sector_points(30.0, 120.0, 10.0, 40.0, 1)) == 30 + 1 + 30
    assert len(_sector_points(30.0, 120.0, 0.0, 40.0, 1)) == 30 + 1 + 1
    assert _sector_points(0.0, 90.0, 0.9, 40.0, 1)[-1].tolist() == pytest.approx([0.0, 0.9])


def test_of_two_sides_of_a_skirt_the_outer_takes_any_whole_dovetail() -> None:
    """Inside a skirt of 30 there are 14 mm from 14 on; outside, from 32 to 49.2 - 8, 9.2: a whole one's 9 as well."""
    assert _key_place(10.0, 49.2, 30.0) == pytest.approx((36.6, 1.0))


def test_a_saw_cut_is_two_tenths_wide() -> None:
    """The play that printed pieces slide in. A straight cut of 40 mm, and one with a square corner: its outer corner
    is filled, so that it is as long as its middle line."""
    straight = _outline_of(shapely.LineString([(0, 10), (0, 50)]))
    bent = _outline_of(shapely.LineString([(0, 10), (0, 30), (20, 30)]))
    assert straight.area == pytest.approx(40 * 0.2)
    assert bent.area == pytest.approx(40 * 0.2)
    assert np.ptp(straight.vertices[:, 0]) == pytest.approx(0.2)
    assert math.isclose(np.ptp(straight.vertices[:, 1]), 40.0)
