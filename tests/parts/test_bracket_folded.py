"""The folded plate seen along its bends, its sheet and its holes, against a section laid piece by piece and by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from shapely.affinity import rotate, translate
from shapely.geometry import Point, Polygon, box

from tests.parts.bracket_jobs import hole_at, in_job, l_layout, made
from wheelcad.parts.bracket.fold_shapes import plan_loop, profile, profile_point
from wheelcad.parts.bracket.gusset import NOSE, corner_back, gusset_loop, place_gussets, stands_on
from wheelcad.parts.bracket.model import Bend, Frame, Gusset, Hole, Region
from wheelcad.trade.loop import Loop

TURNED = Frame((30.0, -20.0, 7.0), (0.6, 0.8, 0.0), (0.8, -0.6, 0.0), (0.0, 0.0, -1.0))
T, R = 5.0, 3.0


def section(straights: list[float], bends: list[tuple[float, bool]]) -> Polygon:
    """Laid from the arm's end at x = 90 towards the tab: plate T thick above the path, sectors of R between."""
    at, heading, pieces = Point(90.0, 0.0), 180.0, []
    for n, straight in enumerate(straights):
        bar = rotate(box(0.0, -T, straight, 0.0), heading, origin=(0, 0))  # half a turn lays its plate above the path
        pieces.append(translate(bar, at.x, at.y))
        at = Point(at.x + straight * _cos(heading), at.y + straight * _sin(heading))
        if n < len(bends):
            angle, up = bends[n]
            away = T + R if up else -R
            centre = Point(at.x + away * _cos(heading - 90), at.y + away * _sin(heading - 90))
            turn = -angle if up else angle
            ring = centre.buffer(R + T, quad_segs=180).difference(centre.buffer(R, quad_segs=180))
            first = heading + 90 if up else heading - 90  # from the centre to the path
            fan = [(centre.x, centre.y)]
            fan += [(centre.x + 99 * _cos(first + turn * k / 9), centre.y + 99 * _sin(first + turn * k / 9))
                    for k in range(10)]  # fmt: skip
            pieces.append(ring.intersection(Polygon(fan).buffer(0)))
            at, heading = rotate(at, turn, origin=centre), heading + turn
    whole = pieces[0]
    for piece in pieces[1:]:
        whole = whole.union(piece.buffer(1e-7))
    return whole


def _cos(deg: float) -> float:
    return math.cos(math.radians(deg))


def _sin(deg: float) -> float:
    return math.sin(math.radians(deg))


def folded(straights: list[float], bends: list[tuple[float, bool]]) -> Any:
    """A plate of these straights from the arm's end at x = 90, the tab last, folded between them."""
    x, frame, regions, made_bends = 90.0, TURNED, [], []
    for n, straight in enumerate(straights):
        x -= straight
        low = 0.0 if n == len(straights) - 1 else x
        regions.append(
            Region(f"{n}", Loop.polygon([(low, -9), (x + straight, -9), (x + straight, 8), (low, 8)]), frame)
        )
        if n < len(bends):
            angle, up = bends[n]
            taken = math.radians(angle) * (R + 0.4 * T)
            made_bends.append(Bend(x - taken, x, -9, 8, angle, up, R, taken, 0.0))
            x -= taken
            frame = frame.beyond(made_bends[-1], T)
    assert x == pytest.approx(0.0, abs=1e-9)
    return SimpleNamespace(thickness=T, bends=tuple(made_bends), regions=tuple(regions))


@pytest.mark.parametrize("bends", [
    [(90.0, True)], [(60.0, False)], [(70.0, True), (70.0, False)], [(45.0, False), (30.0, True)], [],
])  # fmt: skip
def test_the_profile_is_the_plate_laid_piece_by_piece(bends: list[tuple[float, bool]]) -> None:
    straights = [23.0, 11.0, 17.0][: len(bends)]
    taken = sum(math.radians(angle) * (R + 0.4 * T) for angle, _ in bends)
    straights.append(90.0 - sum(straights) - taken)
    loop = profile(folded(straights, bends))
    assert loop.area > 0
    wanted = section(straights, bends)
    assert Polygon(loop.flatten(1e-4)).symmetric_difference(wanted).area < 0.02
    assert len(loop.vertices) == 4 + 4 * len(bends)


def test_a_point_of_the_engine_in_the_profile_is_as_far_along_the_arm_and_above_it() -> None:
    design = folded([23.0, 90 - 23 - math.pi / 2 * (R + 0.4 * T)], [(90.0, True)])
    assert profile_point(design, TURNED.points((12.0, 5.0, -3.0))) == pytest.approx((12.0, -3.0))


@pytest.mark.parametrize(("frame", "sign"), [(TURNED, -1.0), (replace(TURNED, ez=(0.0, 0.0, 1.0)), 1.0)])
def test_an_arc_seen_from_its_back_turns_the_other_way(frame: Frame, sign: float) -> None:
    found = plan_loop(Region("arm", Loop.circle(0, 0, 9), frame), Loop.circle(2, 3, 4))
    assert found.vertices[:, 2].tolist() == [sign, sign]


@pytest.mark.parametrize(("angle", "up"), [(90.0, True), (90.0, False), (30.0, True)])
def test_a_tabs_frame_is_the_arms_turned_about_the_inside_of_the_bend(angle: float, up: bool) -> None:
    """The axis lies R above the upper face or below the lower; both ends of the metal are as far from it."""
    bend = Bend(40.0, 48.0, -9, 8, angle, up, R, 8.0, 0.0)
    beyond = TURNED.beyond(bend, T)
    axis = TURNED.points((48.0, 0.0, T + R if up else -R))
    near = TURNED.points((48.0, 0.0, 0.0)) - axis
    far = beyond.points((40.0, 0.0, 0.0)) - axis
    assert np.linalg.norm(far) == pytest.approx(np.linalg.norm(near))
    assert near @ far == pytest.approx(np.linalg.norm(near) ** 2 * _cos(angle))
    rise = (beyond.points((0.0, 0.0, 0.0)) - beyond.points((40.0, 0.0, 0.0))) @ np.array(TURNED.ez)
    assert rise == pytest.approx(40 * _sin(angle) * (1 if up else -1))
    numbers = [*beyond.origin, *beyond.ex, *beyond.ey, *beyond.ez]
    assert not any(value == 0 and math.copysign(1.0, value) < 0 for value in numbers)  # nobody reads "-0"


# holes and the sheet


@pytest.mark.parametrize(("long", "round_"), [(0.0, True), (0.05, False)])
def test_a_slot_of_a_twentieth_is_a_slot(long: float, round_: bool) -> None:
    hole = hole_at(10.0, 4.0, 10.0, 4.0 + long, 8.0)
    assert hole.round is round_
    assert hole.axis.length == pytest.approx(long, abs=1e-6)


def test_sheet_stock_and_free_length_by_hand() -> None:
    """A flat of 100 by 50 from (-5, -20), a piece beside it from (110, -33) to (130, 41); ten to each edge."""
    design = made(in_job())
    square = Loop.polygon([(-5, -20), (95, -20), (95, 30), (-5, 30)])
    beside = Gusset(square, TURNED, Loop.polygon([(110, -33), (130, -33), (130, 41)]), 5.0)
    body = Hole("body", "tab", 10.0, 5.0, 10.0, 5.0, 10.0)
    holes = (body, hole_at(40.0, 45.0, 44.0, 45.0, 8.0), hole_at(13.0, 65.0, d=6.0))
    cut = replace(design, outline=square, gussets=(beside,), holes=holes)
    assert cut.sheet_place == pytest.approx((15.0, 43.0))
    assert cut.stock_size == pytest.approx((135.0 + 20, 74.0 + 20))
    assert cut.free_length == pytest.approx(50.0)  # 30 along and 40 across
    assert cut.flat_area == pytest.approx(5000 - math.pi * (25 + 16 + 9) - 4 * 8)
    whole = replace(cut, gussets=())
    assert whole.sheet_place == pytest.approx((15.0, 30.0))
    assert whole.stock_size == pytest.approx((120.0, 70.0))
    assert [cut.region(region.name) for region in cut.regions] == list(cut.regions)


# gussets


@pytest.mark.parametrize(("angle", "back"), [(90.0, 6.0), (60.0, 6 / math.sqrt(3)), (120.0, 6 * math.sqrt(3))])
def test_a_gussets_corners(angle: float, back: float) -> None:
    """About 6 inside, faces meet r·tan(half the angle) back; cut off 1.5 beyond that, 4 blunt, on both legs alike."""
    bend = replace(l_layout().bends[0], inside_radius=6.0, angle_deg=angle)
    assert corner_back(bend) == pytest.approx(back)
    v = gusset_loop(40.0, 30.0, 6.0, angle).vertices[:, :2]
    assert v[:3] == pytest.approx(np.array([(back + 1.5, 0), (40, 0), (40, 4)]))
    up = np.array([-_cos(angle), _sin(angle)])
    assert v[5] == pytest.approx((back + 1.5) * up, abs=1e-8)
    assert v[4] == pytest.approx(30 * up, abs=1e-8)
    assert np.linalg.norm(v[3] - v[4]) == pytest.approx(4.0)
    assert (v[3] - v[4]) @ np.array([up[1], -up[0]]) == pytest.approx(4.0)  # square to the leg, into the corner
    assert NOSE < 12 / 2  # the shortest leg has 12 to weld


def test_gussets_lie_side_by_side_on_the_sheet_and_stand_at_both_edges() -> None:
    """Of a gentler bend, whose gusset reaches back over its corner: half of 30."""
    layout = l_layout()
    bend = replace(layout.bends[0], angle_deg=60.0)
    one, two = place_gussets(layout, bend, (40.0, 30.0), 5.0, (200.0, -9.0))
    assert one.loop.bounds()[::2] == pytest.approx((-15.0, 40.0))
    assert one.nested.bounds()[::2] == pytest.approx((200.0, 255.0))
    assert two.nested.bounds()[::2] == pytest.approx((265.0, 320.0))
    assert one.nested.bounds()[1] == two.nested.bounds()[1] == pytest.approx(-9.0)
    for gusset, (low, high) in ((one, (-22, -17)), (two, (17, 22))):
        flat = layout.arm_frame.back(gusset.frame.points([(0, 0, 0), (0, 0, 5), (10, 2, 0)]))
        assert flat[:2, 1] == pytest.approx([high, low])
        assert flat[0, ::2] == pytest.approx([bend.x_arm - 5 / math.sqrt(3), 5.0])
        assert flat[2] - flat[0] == pytest.approx([10, 0, 2], abs=1e-9)


@pytest.mark.parametrize(("y", "stands"), [(11.5, True), (11.5625, False)])
def test_a_washer_may_just_touch_a_gussets_foot(y: float, stands: bool) -> None:
    """A slot of 5 takes 5.5 from its middle line to the foot's side at 17."""
    layout = l_layout()
    bend = layout.bends[0].x_arm
    plate = Region("arm", Loop.polygon([(bend, -22), (bend + 60, -22), (bend + 60, 22), (bend, 22)]), layout.arm_frame)
    slot = hole_at(bend + 8, y, bend + 12, y, 5.0)
    assert stands_on(plate, replace(layout, mounts=(slot,)), (30.0, 30.0), 5.0) is stands
