"""Metal, walls and marks of the balance at the very places where their decisions turn; each by hand or by geometry."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from shapely import affinity
from shapely.geometry import Point, box

from tests.conftest import plate_job
from tests.parts.balance_jobs import turned_job
from wheelcad.parts.balance import walls
from wheelcad.parts.balance.margins import margins
from wheelcad.parts.balance.marks import ShopSteps, marks_of, usable_drills
from wheelcad.parts.balance.metal import (
    Metal,
    MetalPiece,
    _sensed,
    _split,
    blocked_angles,
    free_at,
    is_free,
    metal_of,
    seats,
)
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.common.stack import Land
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.trade.drills import drills
from wheelcad.trade.indexing import dial_setting

POINT = 1 / (2 * math.tan(math.radians(59)))  # a point of 118 degrees: its height over its diameter


def piece(
    name: str, back: float, front: float, radius: float, *, recess: bool = False, wall: walls.Clearance = walls.RIM
) -> MetalPiece:
    return MetalPiece(Land(name, back, front, radius), radius - wall.mm, wall, recess)


def metal(*pieces: MetalPiece, **more: Any) -> Metal:
    """Pieces from front to back, in one wheel; no openings but those that are said."""
    given: dict[str, Any] = {"bore": 0.0, "recess": 0.0, "recess_depth": 0.0, "bolts": (), "keyway": None, **more}
    return Metal(pieces, **given, sense=1, rubber=False)


RING = piece("ring", -2, 2, 70, wall=walls.SLOTS)


@pytest.mark.parametrize("back", [False, True])
def test_what_stands_within_a_chucks_reach_of_the_drill(back: bool) -> None:
    """A shoulder of radius 30 and 10 high; a chuck of radius 20 meets it from a hole at less than 50."""
    shoulder = piece("pulley", -12, -2, 30) if back else piece("pulley", 2, 12, 30)
    both = (RING, shoulder) if back else (shoulder, RING)
    radii = np.array([34.0, 49.9, 50.0, 50.1, 52.0])
    found = seats(metal(*both), radii, np.full(5, 6.0), from_back=back)
    assert found.fits.all()
    assert found.stand.tolist() == [10, 10, 0, 0, 0]
    assert (found.z_top.tolist(), found.z_bottom.tolist()) == ([2] * 5, [-2] * 5)
    assert np.isinf(found.beyond).all()


def test_the_wall_of_a_recess_stands_within_a_chucks_reach() -> None:
    """A recess of radius 40 and 8 deep: the chuck comes up to its wall from 20 on; a millimetre stays at its edge."""
    body = metal(piece("pulley", 2, 10, 70, recess=True), RING, recess=40.0, recess_depth=8.0)
    radii = np.array([10.0, 19.9, 20.0, 20.1, 36.0, 36.1, 43.9, 44.0])
    found = seats(body, radii, np.full(8, 6.0))
    assert found.fits.tolist() == [True] * 5 + [False, False, True]
    assert found.stop.tolist() == [-1] * 5 + [0, 0, -1]
    assert found.stand[:5].tolist() == [0, 0, 0, 8, 8]
    assert found.z_top[found.fits].tolist() == [2] * 5 + [10]


@pytest.mark.parametrize("back", [False, True])
def test_air_beyond_a_flange_ends_at_the_next_one(back: bool) -> None:
    """Flange, neck of 8 mm and ring: 8 of air behind either; none where the neck is in the drill's way."""
    flange = piece("pulley", 10, 20, 50)
    radius, size = np.array([30.0]), np.array([6.0])
    for neck, beyond, stop in ((20.0, 8, -1), (26.0, 8, -1), (26.1, 0, 1), (34.9, 0, 1)):
        found = seats(metal(flange, piece("pulley", 2, 10, neck), RING), radius, size, from_back=back)
        assert (found.fits[0], found.beyond[0], found.stop[0]) == (True, beyond, stop)
        assert (found.z_top[0], found.z_bottom[0]) == ((2, -2) if back else (20, 10))
    solid = seats(metal(flange, piece("pulley", 2, 10, 35), RING), radius, size, from_back=back)
    assert (solid.z_top[0], solid.z_bottom[0], solid.beyond[0]) == (20, -2, math.inf)


def test_metal_round_a_bore_and_none_to_keep_without_one() -> None:
    radii = np.array([3.0, 4.0, 6.4, 6.5])
    for bore, fits in ((0.0, [True] * 4), (0.5, [False, False, False, True])):
        assert seats(metal(RING, bore=bore), radii, np.full(4, 6.0)).fits.tolist() == fits


def test_angles_that_a_bolt_hole_blocks() -> None:
    """A bolt hole of ⌀8 at 50 mm and a drill of 6: 4 + 4 + 3 = 11 mm between the centres."""
    bolted = metal(RING, bolts=((0.0, 50.0, 4.0),))
    radii = np.array([50.0, 45.0, 39.1, 39.0, 38.9, 37.0, 61.1, 63.0])
    [(at, half)] = blocked_angles(bolted, radii, np.full(8, 6.0))
    assert at == pytest.approx(0)
    for r, wide in zip(radii.tolist(), half.tolist(), strict=True):
        if abs(r - 50) < 11:
            assert math.dist((0, 50), (r * math.sin(math.radians(wide)), r * math.cos(math.radians(wide)))) == (
                pytest.approx(11)
            )
        else:
            assert wide == pytest.approx(0, abs=1e-6)
            assert is_free(list(blocked_angles(bolted, r, 6.0)), 0.0)
    free = free_at(bolted, radii, np.full(8, 6.0), np.zeros(8))
    assert free.tolist() == [False, False, False, True, True, True, True, True]


def test_a_small_bolt_hole_keeps_two_millimetres() -> None:
    """Of ⌀3 at 50 mm, a drill of 6: 1.5 + 2 + 3 between their middles."""
    small = metal(RING, bolts=((0.0, 50.0, 1.5),))
    free = free_at(small, np.array([43.5, 43.6]), np.full(2, 6.0), np.zeros(2))
    assert free.tolist() == [True, False]


def test_a_bolt_hole_that_is_near_all_round_blocks_all_angles() -> None:
    """Its centre 2 mm from the axis, the drill's 3: never more than 5 apart, and 11 must be kept."""
    [(_, half)] = blocked_angles(metal(RING, bolts=((0.0, 2.0, 4.0),)), np.array([3.0]), np.array([6.0]))
    assert half.tolist() == [180]


def test_angles_at_their_very_limit_are_free() -> None:
    half = np.array(10.0)
    marked, radius, size = metal(RING, marks=((0.0, 50.0, 60.0),)), np.full(1, 55.0), np.full(1, 6.0)
    [(_, wide)] = blocked_angles(marked, radius, size)
    assert free_at(marked, radius, size, wide).all()
    assert not free_at(marked, radius, size, wide - 1e-6).any()
    for at, free in ((10.0, True), (10.1, True), (9.95, False), (350.0, True), (350.05, False)):
        assert is_free([(0.0, half)], at) == free
    assert is_free([(0.0, np.array(0.0))], 0.0)
    assert not is_free([(0.0, np.array(0.5))], 0.2)


def test_angles_that_a_mark_blocks() -> None:
    """A scribed mark from 50 to 60 mm, a drill of 6: a millimetre stays beside its edge, 4 mm to its centre."""
    marked = metal(RING, marks=((10.0, 50.0, 60.0),))
    radii = np.array([46.0, 46.01, 55.0, 63.99, 64.0])
    [(at, half)] = blocked_angles(marked, radii, np.full(5, 6.0))
    assert at == 10
    by_hand = [0, math.asin(4 / 46.01), math.asin(4 / 55), math.asin(4 / 63.99), 0]
    assert half.tolist() == pytest.approx(np.degrees(by_hand).tolist())
    [(_, near)] = blocked_angles(metal(RING, marks=((10.0, 1.0, 9.0),)), np.array([3.7, 4.1]), np.full(2, 6.0))
    assert near.tolist() == pytest.approx([90, math.degrees(math.asin(4 / 4.1))])


def test_angles_that_a_keyway_blocks() -> None:
    """A keyway 8 wide that reaches 14 mm, 3 mm of wall, a drill of 6: 4 + 6 mm beside its middle, up to 20 mm out."""
    keyed = metal(RING, bore=12.5, keyway=(30.0, 4.0, 14.0))
    radii = np.array([9.2, 10.5, 19.99, 20.0, 25.0])
    [(at, half)] = blocked_angles(keyed, radii, np.full(5, 6.0))
    assert at == 30
    by_hand = [math.pi / 2, math.asin(10 / 10.5), math.asin(10 / 19.99), 0, 0]
    assert half.tolist() == pytest.approx(np.degrees(by_hand).tolist())


def test_a_land_is_cut_where_the_recess_ends_however_near_to_its_end() -> None:
    land = Land("pulley", 0.0, 10.0, 50.0)
    for depth, cut in ((4.0, True), (9.95, True), (0.05, True), (10.0, False), (0.0, False)):
        found = _split([land], depth)
        assert [part.length for part in found] == pytest.approx([depth, 10 - depth] if cut else [10])
        assert all(a.z_back == b.z_front for a, b in pairwise(found))


def test_what_lies_beside_the_recess() -> None:
    """5 mm deep in a hub of 5.05: what is left of the hub is metal from the axis on."""
    for length, beside in ((5.05, [True, False, False]), (5.0, [True, False])):
        job = turned_job(f"{{length: {length}, diameter: 104}}, wheel", "", ", recess: {diameter: 60, depth: 5}")
        found = metal_of(job, design_wheel(job))
        assert [part.in_recess for part in found.pieces] == beside
    none = turned_job("{length: 5, diameter: 104}, wheel", "")
    assert not any(part.in_recess for part in metal_of(none, design_wheel(none)).pieces)


SENSOR = "sensor: {{kind: hall, looks: {looks}, at: 20{more}}}\n"


def test_what_a_sensor_sees_that_looks_along() -> None:
    """Slots of 6 in ⌀160 end at 74: a face of 6 at 77 sees from there on, and the slots' own wall is named."""
    slot = "{width: 6, depth: 6, sides: parallel, floor: round}"
    for looks, more, seen, wall in (
        ("along", ", radius: 77", 77, walls.SLOTS),
        ("along", ", radius: 77, face_diameter: 6", 74, walls.SLOTS),
        ("along", ", radius: 77, face_diameter: 6.2", 73.9, walls.SENSED),
        ("in", "", None, walls.SLOTS),
    ):
        job = plate_job(slot=slot, extra=SENSOR.format(looks=looks, more=more))
        wheel = design_wheel(job)
        assert _sensed(job, wheel) == (None if seen is None else pytest.approx(seen, abs=1e-9))
        assert metal_of(job, wheel).pieces[0].wall == wall


def hole(at: float, r: float, d: float, top: float, bottom: float, **more: Any) -> CorrectionHole:
    return CorrectionHole(at, r, d, top, bottom, **more)


def kept(body: Metal, *holes: CorrectionHole) -> dict[str, float]:
    """The least of each wall."""
    out: dict[str, float] = {}
    for margin in margins(body, holes):
        out[margin.what] = min(margin.mm, out.get(margin.what, math.inf))
    return out


def test_walls_round_about_a_hole() -> None:
    body = metal(piece("pulley", 2, 10, 60, recess=True), RING, recess=20.0, recess_depth=8.0, bore=5.0)
    outside = kept(body, hole(0, 30, 6, 10, -2))
    assert outside == {walls.BORE.what: 22, walls.RECESS.what: 7, walls.RIM.what: 27, walls.SLOTS.what: 37}
    within = kept(body, hole(0, 12, 6, 2, -2))
    assert within == {walls.BORE.what: 4, walls.RECESS.what: 5, walls.SLOTS.what: 55}
    for bore, there in ((0.0, False), (0.5, True)):
        assert (walls.BORE.what in kept(replace(body, bore=bore), hole(0, 30, 6, 10, -2))) == there


@pytest.mark.parametrize("back", [False, True])
def test_the_shoulder_that_the_drill_runs_down_beside(back: bool) -> None:
    before, behind = piece("pulley", 2, 12, 30), piece("pulley", -12, -2, 40)
    found = kept(metal(before, RING, behind), hole(0, 50, 6, 2, -2, from_back=back))
    assert found == {walls.SHOULDER.what: 7 if back else 17, walls.SLOTS.what: 17}


@pytest.mark.parametrize("at", [0.0, 20.0, 60.0, 100.0, 180.0, 285.0, 340.0])
@pytest.mark.parametrize("radius", [16.0, 20.0, 30.0])
def test_the_wall_to_a_keyway_against_shapely(at: float, radius: float) -> None:
    """The slot as a rectangle from the axis to its floor, at 30 degrees the way the crank turns."""
    keyed = metal(RING, bore=12.5, keyway=(30.0, 4.0, 15.0))
    slot = affinity.rotate(box(-4, 0, 4, math.sqrt(15**2 - 4**2)), -30, origin=(0, 0))
    x, y = radius * math.sin(math.radians(at)), radius * math.cos(math.radians(at))
    found = [m for m in margins(keyed, [hole(at, radius, 6, 2, -2)]) if m.what == "the keyway"]
    assert [m.mm for m in found] == [pytest.approx(slot.distance(Point(x, y)) - 3)]
    assert found[0].limit == 3


def test_the_wall_between_holes_counts_where_less_than_a_floor_lies_between_them() -> None:
    """Through holes have plain ends. At 50 and 60 mm in one line: 10 apart, less 4 and 3."""
    first = hole(0, 50, 8, 16, 12)
    for top, counts in ((10.0, False), (11.0, True), (10.5, True)):
        second = hole(0, 60, 6, top, 4)
        for two in ((first, second), (second, first)):
            found = [m for m in margins(metal(RING), two) if m.what == walls.HOLES.what]
            assert [(m.mm, m.limit) for m in found] == ([(pytest.approx(3), 4)] if counts else [])
    for two in ((first, hole(90, 50, 6, 16, 12)), (hole(90, 50, 6, 16, 12), first)):
        across = [m for m in margins(metal(RING), two) if m.what == walls.HOLES.what]
        assert [m.mm for m in across] == [pytest.approx(50 * math.sqrt(2) - 7)]


@pytest.mark.parametrize("back", [False, True])
def test_the_floor_under_a_blind_hole_goes_on_to_the_next_air(back: bool) -> None:
    """A blind hole of ⌀8 at 30 mm, its full diameter 10 above its own piece's end; its edge lies at 34."""
    sign = -1 if back else 1

    def at(*pieces: tuple[float, float, float]) -> Metal:
        ordered = [piece("pulley", *sorted((sign * a, sign * b))[:2], r) for a, b, r in pieces]
        return metal(*(reversed(ordered) if back else ordered))

    ends = sorted((sign * 20.0, sign * 10.0))
    blind = hole(0, 30, 8, ends[1], ends[0], through=False, point_deg=118.0, from_back=back)
    for body, floor in (
        (at((20, 0, 70)), 10),
        (at((20, 0, 70), (0, -5, 20)), 10),
        (at((20, 0, 70), (0, -5, 33.9)), 10),
        (at((20, 0, 70), (0, -5, 34)), 15),  # a piece that ends at the drill's edge still closes the hole
        (at((20, 0, 70), (0, -5, 40), (-5, -9, 20)), 15),
        (at((20, 10, 70), (10, 4, 60), (4, -9, 20)), 6),
    ):
        assert kept(body, blind)[walls.FLOOR.what] == pytest.approx(floor - 8 * POINT)


def test_the_marks_next_to_an_angle() -> None:
    """Half a degree a mark: 10.21 lies next to 10, and its neighbours are one mark off, not two."""
    shop = ShopSteps(0.0, 40, 0.5, 0.1, 0.5)
    assert shop.around(11.21) == pytest.approx([11.0, 10.5, 11.5])
    assert shop.around(10.79) == pytest.approx([11.0, 10.5, 11.5])
    assert shop.around(11.0) == pytest.approx([11.0, 10.5, 11.5])


def test_an_angle_halfway_goes_up_and_the_dial_ends_with_its_turn() -> None:
    """40:1 is 9 degrees a turn; marks of 0.4: the last is 8.8 and the turn's own the next, 0.2 on."""
    assert ShopSteps(0.0, 40, 0.5, 0.1, 0.5).nearest(1.25) == 1.5
    shop = ShopSteps(0.0, 40, 0.4, 0.1, 0.5)
    for rest in (8.78, 8.85, 8.899, 8.9, 8.901, 8.93, 8.95, 8.99):
        assert shop.nearest(rest) == pytest.approx(8.8 if rest <= 8.9 else 9.0)
        assert shop.nearest(rest) == pytest.approx(rest + dial_setting(rest, 40, 0.4).error_deg)
    assert ShopSteps(0.0, 40, 0.7, 0.1, 0.5).nearest(8.99) == 9.0  # 9.1 would be over the turn
    assert ShopSteps(0.0, None, 0.7, 0.1, 0.5).nearest(200.0) == pytest.approx(286 * 0.7)  # laid out: one turn of 360


def test_every_angle_is_less_than_a_turn() -> None:
    """Sums of tenths miss 360 by rounding: 0 is written, not 360."""
    for zero in (0.3, 33.3, 359.9, 359.99999999999994):
        assert ShopSteps(zero, None, 0.1, 0.1, 0.5).nearest(0.0) == 0.0
    laid_out = marks_of(job := plate_job(), design_wheel(job))
    assert laid_out.nearest(10.16) == 10.2  # tenths where there is no rotary table


@pytest.mark.parametrize(
    ("step", "high", "found"),
    [
        (0.5, 56.0, 0.5),  # twelve steps are enough
        (0.5, 55.9, 0.25),
        (0.5, 51.0, 0.0625),
        (0.1, 50.2, 0.05),  # nothing finer is set on a mill's dials
        (0.104, 50.2, 0.026),
    ],
)
def test_radii_are_set_finer_in_a_narrow_band(step: float, high: float, found: float) -> None:
    radii = ShopSteps(0.0, None, 0.1, 0.1, step).radii(50.0, high)
    np.testing.assert_allclose(np.diff(radii), found)
    assert radii.min() >= 50 - 1e-9
    assert radii.max() <= high + 1e-9
    assert len(radii) == math.floor(high / found + 1e-9) - math.ceil(50 / found - 1e-9) + 1


def test_radii_lie_within_their_band_to_the_last_hundredth() -> None:
    radii = ShopSteps(0.0, None, 0.1, 0.1, 0.5).radii(20.52, 59.98)
    assert (radii[0], radii[-1]) == (21.0, 59.5)


def test_a_drill_a_thousandth_larger_than_allowed_is_that_drill() -> None:
    """A size written with three places is meant to the thousandth."""
    largest = 8.0 - 1e-3
    assert largest + 1e-3 == 8.0
    for limit, found in ((8.0, 8.0), (largest, 8.0), (7.99895, 7.9)):
        assert usable_drills("metric", limit, 3.0)[-1].diameter_mm == found
    assert 7.9 in [drill.diameter_mm for drill in drills("metric")]
