"""Distances from the bracket to what turns and stands, at their limits, by hand. The jobs are those of bracket_jobs."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tests.parts.bracket_jobs import along_job, flat_job, hole_at, in_job, l_layout, made
from wheelcad.job.models import Job
from wheelcad.job.stationary import Obstacle
from wheelcad.parts.bracket.blocks import (
    _bend_blocks,
    _box_blocks,
    cylinder_blocks,
    fastener_blocks,
    held_blocks,
    nose_blocks,
)
from wheelcad.parts.bracket.clear import (
    Bulk,
    LeastRoom,
    Slide,
    axis_path,
    belt_room,
    lands_beside,
    least_room,
    moved,
    name_of,
    rooms,
    turning_parts,
)
from wheelcad.parts.bracket.judge import _slit_bridge, bend_distance, bracket_findings
from wheelcad.parts.bracket.judge_fit import _straight_runs
from wheelcad.parts.bracket.model import Frame, bolt_place, hole_distance
from wheelcad.parts.bracket.obstacles import room_to
from wheelcad.parts.bracket.setting import _up, axis_tolerance, fold_tolerance
from wheelcad.parts.common.stack import Land, pulley_front_z
from wheelcad.words import Words

PLAIN = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
STILL = Slide(1.0, 0.0, 0.0, 0.0)


def box(x0: float, y0: float, x1: float, y1: float, z: tuple[float, float] = (0, 5), what: str = "the tab") -> Bulk:
    return Bulk(what, ((x0, y0), (x1, y0), (x1, y1), (x0, y1)), *z)


@pytest.mark.parametrize(("near", "z_low", "tab", "arm"), [
    (62.0, 10.0, 13.0, 13.0),  # 12 out and 5 before
    (62.0, 5.0, 12.0, 12.0),
    (62.0, 3.0, 12.0, 12.0),  # beside it
    (45.0, 10.0, 5.0, 5.0),
    (50.0, 3.0, 0.0, 0.0),
    (45.0, 5.0, 0.0, 0.0),
    (48.0, 4.0, -2.0, -1.0),  # into it: a tab goes outwards, an arm along the crank
    (49.5, 3.0, -0.5, -0.5),
    (48.0, -2.0, -2.0, -2.0),
])  # fmt: skip
def test_distance_of_a_block_and_a_cylinder(near: float, z_low: float, tab: float, arm: float) -> None:
    land = Land("pulley", 0.0, 5.0, 50.0)
    for what, wanted in (("the tab", tab), ("the arm", arm)):
        block = box(near, -10, near + 20, 10, (z_low, z_low + 4), what)
        [(_, _, found)] = rooms([block], [land], STILL)
        assert found == pytest.approx(wanted)


def test_the_least_room_through_the_travel_is_the_nearest_pair() -> None:
    lands = [Land("ring", -2.0, 2.0, 30.0), Land("pulley", 2.0, 9.0, 40.0)]
    blocks = [box(60, -5, 70, 5, (-1, 1), "the tab"), box(-80, -5, -70, 5, (3, 5), "the riser")]
    found = least_room(blocks, lands, STILL)
    assert found is not None
    assert (found.what, Words("mm").text(found.land)) == ("the tab", "the pulley (⌀80 mm)")
    assert found.distance == pytest.approx(math.hypot(20, 1))
    # moved out by 4 at most: the riser comes nearer by that, the tab was nearest where it is
    slid = least_room(blocks[1:], lands, Slide(1.0, 0.0, 0.0, 4.0))
    assert slid is not None
    assert slid.distance == pytest.approx(26.0)
    back = least_room(blocks[1:], lands, Slide(1.0, 0.0, -4.0, 0.0))
    assert back is not None
    assert back.distance == pytest.approx(30.0)
    assert least_room([], lands, STILL) is None
    assert name_of(lands[0]) == "the wheel"


@pytest.mark.parametrize(
    ("distance", "said"),
    [(0.1, "0.1 mm between them"), (0.0, "they overlap by 0 mm"), (-3.26, "they overlap by 3.3 mm")],
)
def test_how_near_two_things_come_in_words(distance: float, said: str) -> None:
    assert Words("mm").text(LeastRoom("the tab", "the wheel", distance).words) == said


@pytest.mark.parametrize(("low", "high", "beside"), [
    (5.4, 9.0, True), (5.5, 9.0, False), (-9.0, -5.4, True), (-9.0, -5.5, False), (-1.0, 1.0, True),
])  # fmt: skip
def test_what_turns_beside_a_stretch_of_the_crank(low: float, high: float, beside: bool) -> None:
    """The ring lies from -2.5 to 2.5; 3 aside of it is clear."""
    names = [land.name for land in lands_beside(in_job(wheel={"bore": None}), low, high, 3.0)]
    assert names == (["ring"] if beside else [])


def test_the_crankshaft_is_as_thick_as_the_bore_and_lies_behind_everything() -> None:
    shaft = turning_parts(in_job())[-1]
    assert (shaft.name, shaft.radius, shaft.z_front, shaft.z_back) == ("crankshaft", 20.0, -2.5, -502.5)
    assert "crankshaft" not in {land.name for land in turning_parts(in_job(wheel={"bore": None}))}


def belt_job(from_deg: float = 0.0, to_deg: float = 180.0, **change: Any) -> Job:
    """A pulley of 90 with a belt 10 wide, 12 behind its front."""
    belt = {"at": 12, "width": 10, "from_deg": from_deg, "to_deg": to_deg}
    return in_job(pulley={"bore": 30, "as_found": [{"length": 30, "diameter": 90}], "belts": [belt]}, **change)


@pytest.mark.parametrize(("before", "distance"), [(0.0, 40.0), (-3.0, 40.0), (2.9, math.hypot(40, 2.9)), (3.0, None)])
@pytest.mark.parametrize("way", [1, -1])
def test_room_to_a_belt_whose_depth_is_met(before: float, distance: float | None, way: int) -> None:
    """The belt takes the right half; the block lies 40 left of it, and `before` its edge."""
    job = belt_job()
    z = pulley_front_z(job) - 12
    stretch = (z + 5 + before, z + 5 + before + 3) if way > 0 else (z - 5 - before - 3, z - 5 - before)
    found = belt_room(job, [box(-90, -10, -40, 10, stretch)], STILL)
    if distance is None:
        assert found is None
        return
    assert found is not None
    assert (found.distance, found.belt, found.land) == (pytest.approx(distance), 1, "belt 1")
    for slide in (Slide(1.0, 0.0, 0.0, 7.0), Slide(-1.0, 0.0, -7.0, 0.0)):
        nearer = belt_room(job, [box(-90, -10, -40, 10, (z - 1, z + 1))], slide)
        assert nearer is not None
        assert nearer.distance == pytest.approx(33.0)


def test_the_axis_runs_against_the_bracket() -> None:
    path = axis_path(Slide(0.6, 0.8, -2.0, 3.0))
    assert np.ravel(list(path.coords)) == pytest.approx([1.2, 1.6, -1.8, -2.4])
    assert LeastRoom("the tab", "the wheel", 1.0).belt == 0


def test_a_footprint_moves_along_the_slots() -> None:
    assert moved(box(1, 2, 3, 5).polygon, Slide(0.6, 0.8, -9.0, 9.0), 5.0).bounds == pytest.approx((4, 6, 6, 9))


@pytest.mark.parametrize(("before", "met"), [(4.9, True), (5.0, False), (-7.9, True), (-8.0, False)])
def test_the_straight_runs_of_a_belt(before: float, met: bool) -> None:
    """From the top (0, 45) and the bottom (0, -45) to the left; the belt stands 2 out of its groove."""
    job = belt_job()
    z = pulley_front_z(job) - 12
    block = box(-200, 100, -190, 110, (z + before, z + before + 3))
    found = _straight_runs(job, job.belts[0], [block], Slide(0.0, 1.0, -3.0, 0.0))
    assert found == (pytest.approx(100 - 3 - 45 - 2) if met else None)


@pytest.mark.parametrize(("y", "run"), [(46.0, 0.0), (50.0, 2.0), (-49.0, 1.0), (0.0, 42.0)])
def test_a_belts_run_at_either_end_of_its_arc(y: float, run: float) -> None:
    """A block 2 high about y; runs at 45 and -45 either side."""
    job = belt_job()
    z = pulley_front_z(job) - 12
    block = box(-200, y - 1, -190, y + 1, (z - 1, z + 1))
    assert _straight_runs(job, job.belts[0], [block], STILL) == pytest.approx(run)
    whole = belt_job(30.0, 30.0)
    assert _straight_runs(whole, whole.belts[0], [block], STILL) is None


# things that stand still


@pytest.mark.parametrize(("x", "z", "room"), [
    (30.0, 20.0, 8.0),  # 20 less the thing's 12
    (30.0, -4.0, math.hypot(8, 4)),  # it ends 4 below the block
    (15.0, -4.0, 4.0),
    (15.0, 1.0, -1.0),  # a millimetre of its height, or 7 aside
    (21.0, 3.0, -1.0),
    (22.0, 3.0, 0.0),
    (15.0, 0.0, 0.0),
])  # fmt: skip
def test_room_to_a_thing_in_the_way(x: float, z: float, room: float) -> None:
    thing = Obstacle(name="pump", x=x, y=0.0, z=z, radius=12.0)
    found = room_to(thing, [box(-60, -5, -50, 5), box(-10, -5, 10, 5)], STILL)
    assert found.distance == pytest.approx(room)
    assert (found.what, found.land) == ("the tab", "pump")


@pytest.mark.parametrize(
    ("low", "high", "room"), [(0.0, 0.0, 8.0), (-5.0, 3.0, 5.0), (0.0, 4.0, 4.0), (-6.0, 0.0, 8.0)]
)
def test_room_to_a_thing_through_the_travel(low: float, high: float, room: float) -> None:
    thing = Obstacle(name="pump", x=30.0, y=0.0, z=20.0, radius=12.0)
    assert room_to(thing, [box(-10, -5, 10, 5)], Slide(1.0, 0.0, low, high)).distance == pytest.approx(room)


# the folded bracket as blocks


def test_a_box_is_cut_into_eight_along_its_length() -> None:
    sloping = Frame((0.0, 0.0, 10.0), (0.6, 0.0, 0.8), (0.0, 1.0, 0.0), (-0.8, 0.0, 0.6))
    blocks = _box_blocks("the riser", sloping, (0.0, -3.0, 40.0, 3.0), 5.0)
    assert len(blocks) == 8
    assert [b.z_low for b in blocks] == pytest.approx([10 + 4 * k for k in range(8)])
    assert [b.z_high for b in blocks] == pytest.approx([10 + 4 * (k + 1) + 3 for k in range(8)])
    assert blocks[0].polygon.bounds == pytest.approx((-4, -3, 3, 3))


def test_a_bend_is_taken_as_flat_pieces_outside_of_its_round() -> None:
    """A square bend of 5 inside and 5 thick about (0, 10): from the arm's end below it round to the tab's beside it."""
    bend = replace(l_layout().bends[0], x_arm=0.0, y_from=-4.0, y_to=4.0)
    blocks = list(_bend_blocks(PLAIN, bend, 5.0))
    outer = 10 / math.cos(math.pi / 32)
    assert len(blocks) == 8
    assert blocks[0].polygon.bounds[2] == pytest.approx(0.0)
    assert min(b.z_low for b in blocks) == pytest.approx(10 - outer)
    assert max(b.z_high for b in blocks) == pytest.approx(10.0)
    assert min(b.polygon.bounds[0] for b in blocks) == pytest.approx(-outer)
    assert {b.polygon.bounds[1::2] for b in blocks} == {(-4.0, 4.0)}
    down = list(_bend_blocks(PLAIN, replace(bend, up=False), 5.0))
    assert max(b.z_high for b in down) == pytest.approx(-5 + outer)
    assert min(b.z_low for b in down) == pytest.approx(-5.0)


@pytest.mark.parametrize("z", [1.0, -1.0])
def test_a_cylinder_along_the_crank_is_a_prism_round_it(z: float) -> None:
    [block] = cylinder_blocks("the nut", np.array([3.0, 4.0, 7.0]), np.array([0.0, 0.0, z]), 10.0, 6.0)
    assert (block.z_low, block.z_high) == ((7.0, 17.0) if z > 0 else (-3.0, 7.0))
    assert block.polygon.area == pytest.approx(72 * 36 * math.tan(math.pi / 72))  # its flats touch the circle
    assert len(block.footprint) == 72


def test_a_cylinder_across_is_sixteen_layers_as_wide_as_it_is_there() -> None:
    blocks = cylinder_blocks("the nose", np.array([0.0, 0.0, 2.0]), np.array([0.0, 1.0, 0.0]), 20.0, 8.0)
    assert len(blocks) == 16
    assert (blocks[0].z_low, blocks[-1].z_high) == pytest.approx((-6.0, 10.0))
    for block in blocks:
        low, high = block.z_low - 2, block.z_high - 2
        widest = 0.0 if low < -1e-9 < 1e-9 < high else min(abs(low), abs(high))
        half = math.sqrt(64 - widest**2)
        assert block.polygon.bounds == pytest.approx((-half, 0, half, 20), abs=1e-6)


def test_nose_and_nut_where_the_sensor_is() -> None:
    """At the top: the face at 104.8, 24 of nose, 16 thick; the bolt has its nut inside of the plate of 5."""
    design = made(in_job(sensor={"at": 0}, bracket={"mounts": [{"x": -30, "y": 150, "hole": 9}]}))
    place, body = design.asked.place, design.asked.body
    nose = nose_blocks(place)
    assert min(b.polygon.bounds[1] for b in nose) == pytest.approx(80.8)
    assert max(b.polygon.bounds[3] for b in nose) == pytest.approx(104.8)
    assert max(b.z_high for b in nose) == pytest.approx(8.0)
    at = bolt_place(design.holes, design.regions[-1].frame, place)
    nut = fastener_blocks(place, body, at, 5.0)
    assert max(b.polygon.bounds[3] for b in nut) == pytest.approx(99.8)
    assert (nut[0].z_low + nut[-1].z_high) / 2 == pytest.approx(20.0)
    assert fastener_blocks(place, replace(body, bolt=0.0), at, 5.0) == []
    whats = {b.what for b in held_blocks(design)}
    assert whats == {"the arm", "the tab", "the bend", "the sensor's nut"}


# plate between cuts


@pytest.mark.parametrize(("x", "y", "distance"), [
    (20.0, 0.0, 15.5), (-20.0, 0.0, 5.5), (20.0, 26.4, 15.5), (20.0, 26.6, math.inf), (20.0, -26.4, 15.5),
    (20.0, -26.6, math.inf),
])  # fmt: skip
def test_plate_between_a_hole_and_a_bend(x: float, y: float, distance: float) -> None:
    """A bend from -10 to 0, 44 long; a slot of 9 from x to 6 further off the bend."""
    bend = replace(l_layout().bends[0], x_tab=-10.0, x_arm=0.0)
    away = 6.0 if x > 0 else -6.0
    further = 3.0 if y >= 0 else -3.0
    for hole in (hole_at(x, y, x + away, y + further), hole_at(x + away, y + further, x, y)):
        assert bend_distance(hole, bend) == pytest.approx(distance)


def test_plate_between_two_slots() -> None:
    assert hole_distance(hole_at(0, 0, 10, 0, 8.0), hole_at(13, 9, 13, 4, 6.0)) == pytest.approx(5 - 7)
    assert hole_distance(hole_at(0, 0, d=8.0), hole_at(30, 40, d=6.0)) == pytest.approx(43)


def test_slits_lie_a_bridge_from_each_other_and_from_the_edge() -> None:
    design = made(in_job(bracket={"bends": "hand"}))
    x = design.bends[0].line_x
    slits = (((x, -14.0), (x, -4.0)), ((x, 2.0), (x, 13.0)))
    assert [_slit_bridge(replace(design, slits=slits), n) for n in (0, 1)] == pytest.approx([6.0, 6.0])
    slits = (((x, -14.0), (x, -8.0)), ((x, 2.0), (x, 13.0)))
    assert [_slit_bridge(replace(design, slits=slits), n) for n in (0, 1)] == pytest.approx([8.0, 9.0])


@pytest.mark.parametrize(("adjust", "limit"), [(0, 1.2), (5, 1.5)])
def test_slots_want_more_plate_to_the_edge_than_holes(adjust: float, limit: float) -> None:
    found = bracket_findings(made(in_job(bracket={"adjust": adjust})))
    limits = {f.subject: f.limit for f in found if f.check == "hole-to-edge"}
    mounts = {value for name, value in limits.items() if "mount" in name}
    assert mounts == {limit}
    assert {value for name, value in limits.items() if "mount" not in name} == {1.2}


# how true it comes out


@pytest.mark.parametrize(("bends", "folded", "axis"), [("hand", 1.0, 1.0), ("brake", 0.5, 0.5)])
def test_how_true_a_fold_comes_out(bends: str, folded: float, axis: float) -> None:
    bracket = in_job(bracket={"bends": bends}).bracket
    assert bracket is not None
    assert (fold_tolerance(bracket, 1), fold_tolerance(bracket, 0)) == (folded, 0.0)
    assert axis_tolerance(bracket, 1) == axis


@pytest.mark.parametrize(
    ("face", "off"), [(22.3, 0.2), (-150.0, 0.5), (-100.0, 0.3), (0.0, 0.1), (3.0, 0.1), (6.1, 0.2)]
)
def test_without_a_fold_it_is_iso_2768_m_of_where_the_plate_lies(face: float, off: float) -> None:
    """ISO 2768-1, class m: ±0.1 to 6, ±0.2 to 30, ±0.3 to 120, ±0.5 to 400."""
    bracket = flat_job(bracket={"mount_face": face}).bracket
    assert bracket is not None
    assert axis_tolerance(bracket, 0) == off


@pytest.mark.parametrize(("value", "units", "up"), [
    (1.2, "mm", 1.2), (1.20000001, "mm", 1.2), (1.21, "mm", 1.3), (0.0, "mm", 0.0), (-1.21, "mm", -1.2),
    (0.254, "in", 0.254), (0.26, "in", 0.381),
])  # fmt: skip
def test_packing_is_rounded_up_to_what_is_written(value: float, units: str, up: float) -> None:
    """Tenths of a millimetre, or 0.005 in."""
    assert _up(value, units) == pytest.approx(up)


def test_a_z_has_the_blocks_of_all_its_pieces() -> None:
    whats = {b.what for b in held_blocks(made(along_job(bracket={"gusset": True, "width": 60})))}
    assert {"the arm", "the riser", "the tab", "the bend", "the sensor's nut"} <= whats
