"""The gauge's decisions at their limits, each expectation worked out by hand from lengths and triangles.

The jobs are those of gauge_jobs: `turned` is a ⌀100 wheel of 24-1 with slots 6 wide and 6 deep (floors at 44), 4 thick,
behind 6 mm of ⌀70 shoulder, bolts on ⌀50, a bore of 20; the gauge's holes are 0.2 larger than the pulley's.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely

from tests.parts.gauge_files import gauge_of
from tests.parts.gauge_jobs import job_of, turned
from wheelcad.errors import DesignError, Faults
from wheelcad.parts.gauge.body import _collisions, _joint_places, _middle, _skirt
from wheelcad.parts.gauge.cover import Cover, PrintHole, find_cover, hub_radius
from wheelcad.parts.gauge.joints import _key_place, _sector_points, fits_bed
from wheelcad.parts.gauge.mounting import _bolt, _looseness, smallest_fault, turned_one_bolt
from wheelcad.parts.gauge.seat import Cavity, Register, Seat, find_seat
from wheelcad.parts.gauge.styles import _carrier, finger_outline, outline_style, windows_style
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.trade.loop import Loop
from wheelcad.words import Words


def seat_of(**changes: Any) -> Seat:
    job, faults = job_of(**turned(**changes)), Faults()
    assert job.gauge is not None
    assert job.pulley is not None
    seat = find_seat(job, job.gauge, job.pulley, faults)
    faults.raise_if_any()
    return seat


def pulley(shoulder: float | None = 70.0, **changes: Any) -> dict[str, Any]:
    """The pulley of `turned` with another shoulder before the ring (None: none at all), other keys too."""
    front = [] if shoulder is None else [{"length": 6.0, "diameter": shoulder}]
    steps = [*front, "wheel", {"length": 10.0, "diameter": 70.0}]
    return {key: v for key, v in {**turned()["pulley"], "turned": steps, **changes}.items() if v is not None}


def gauge(**changes: Any) -> dict[str, Any]:
    return {**turned()["gauge"], **changes}


# what it sits on and what centres it


@pytest.mark.parametrize(("recess", "by"), [(43.4, "recess"), (43.5, "bolts")])
def test_a_boss_goes_into_a_recess_that_ends_inside_the_bolts(recess: float, by: str) -> None:
    """Holes of 6.6 on ⌀50 reach in to 25 - 3.3 = 21.7, a diameter of 43.4."""
    seat = seat_of(pulley=pulley(None, recess={"diameter": recess, "depth": 4.0}))
    assert seat.register.by == by


@pytest.mark.parametrize(("deep", "boss"), [(1.9, None), (2.0, 1.5), (6.5, 6.0), (9.0, 6.0)])
def test_a_boss_ends_half_a_millimetre_above_the_recess_and_is_six_long_at_most(
    deep: float, boss: float | None
) -> None:
    register = seat_of(pulley=pulley(None, recess={"diameter": 30.0, "depth": deep})).register
    assert (register.by == "recess") == (boss is not None)
    assert register.boss_depth == pytest.approx(boss or 0.0)


@pytest.mark.parametrize(("bore", "by"), [(5.19, "bolts"), (5.25, "bore")])
def test_a_boss_of_less_than_five_millimetres_snaps_off(bore: float, by: str) -> None:
    assert seat_of(pulley=pulley(None, bore=bore, keyway=None)).register.by == by


@pytest.mark.parametrize(("deep", "reach"), [(2.3, 9.9 + 2.1), (0.8, 9.9 + 0.6), (0.6, 9.9 + 0.5)])
def test_a_bosss_key_is_as_much_smaller_and_never_under_half_a_millimetre(deep: float, reach: float) -> None:
    """A bore of 20 less 0.2 is 9.9 in radius; the key's floor stands out by the keyway's depth less 0.2."""
    key = {"width": 5.0, "depth": deep, "at": 0.0}
    register = seat_of(pulley=pulley(None, bolts=None, keyway=key)).register
    assert register.keyed
    assert register.boss is not None
    assert register.boss.bounds()[3] == pytest.approx(reach)
    corners = [x for x, y, _ in register.boss.vertices.tolist() if y > 9.9 + 1e-6]
    assert sorted(corners) == pytest.approx([-2.4, 2.4])


@pytest.mark.parametrize(("covers", "by"), [(200.0, "shoulder"), (199.9, "bore")])
def test_a_shoulder_centres_what_goes_200_degrees_round_it(covers: float, by: str) -> None:
    assert seat_of(gauge=gauge(covers=covers)).register.by == by


def test_a_shoulder_must_leave_the_skirt_inside_the_ring() -> None:
    """The skirt's inside is 0.1 larger than the shoulder: at ⌀99.8 it is as large as the ⌀100 ring."""
    assert seat_of(pulley=pulley(99.7)).cavities[-1].radius == pytest.approx(49.95)
    with pytest.raises(DesignError, match="cannot reach the ring"):
        seat_of(pulley=pulley(99.8))


@pytest.mark.parametrize(("deep", "ease"), [(6.0, 0.8), (2.4, 0.8), (1.5, 0.5)])
def test_a_skirt_is_eased_by_eight_tenths_or_a_third_of_its_last_step(deep: float, ease: float) -> None:
    seat = Seat(2.0 + deep, 2.0, (Cavity(30.0, 2.0, 2.0 + deep),), Register("bolts"), 30.0)
    assert seat.ease == pytest.approx(ease)
    assert seat.inside_radius == pytest.approx(30.0 + ease)
    assert Seat(2.0, 2.0, (), Register("bolts"), 30.0).inside_radius == 0.0


@pytest.mark.parametrize(("floor", "rows"), [
    (44.0, [(35.8, 2.0, 2.8), (35.0, 2.8, 8.0)]),
    (35.9, [(35.3, 2.0, 2.3), (35.0, 2.3, 8.0)]),
    (35.1, [(35.0, 2.0, 8.0)]),
])  # fmt: skip
def test_the_ease_takes_no_more_than_a_third_of_the_wall_to_the_slots(floor: float, rows: list[Any]) -> None:
    seat = Seat(8.0, 2.0, (Cavity(35.0, 2.0, 8.0),), Register("bolts"), 30.0)
    found = [(wall.loop.bounds()[2], wall.z0, wall.z1) for wall in _skirt(seat, floor)]
    assert [x for row in found for x in row] == pytest.approx([x for row in rows for x in row])


# the opening, the holes, what it covers


@pytest.mark.parametrize(("changes", "radius"), [
    ({}, 10.5),  # the bore of 20 and half a millimetre all round
    ({"recess": {"diameter": 36.0, "depth": 4.0}}, 18.5),  # bolts of 6.8 on ⌀50 and 3 mm of web leave 18.6
    ({"recess": {"diameter": 36.4, "depth": 4.0}}, 10.5),  # 18.7 is too much: the bore's
    ({"bore": 37.5, "keyway": None}, 18.6),  # too large altogether: what there is room for
    ({"bore": 5.0, "keyway": None}, 3.0),
    ({"bore": 4.9, "keyway": None}, 0.0),
])  # fmt: skip
def test_the_opening_shows_recess_or_bore_as_far_as_the_bolts_let_it(changes: dict[str, Any], radius: float) -> None:
    assert gauge_of(job_of(**turned(pulley=pulley(**changes)))).body.opening_radius == pytest.approx(radius)


def test_the_opening_leaves_a_boss_its_wall() -> None:
    """A boss of ⌀19.8 less 2.4 of wall all round."""
    design = gauge_of(job_of(**turned(pulley=pulley(None))))
    assert design.body.opening_radius == pytest.approx(7.5)


@pytest.mark.parametrize(("clear", "inner", "words"), [
    (13.01, 6.99, []),
    (13.0, 6.99, ["slots or windows"]),
    (13.01, 7.0, ["bore"]),
    (12.0, 8.0, ["slots or windows", "bore"]),
    (13.01, 0.0, []),
])  # fmt: skip
def test_printed_holes_that_touch_slots_or_opening(clear: float, inner: float, words: list[str]) -> None:
    """A hole of 6 mm, 10 from the axis, reaches from 7 to 13."""
    faults = Faults()
    _collisions(clear, [PrintHole(6.0, 8.0, 3.0), PrintHole(0.0, -9.5, 2.5)], inner, faults)
    said = []
    try:
        faults.raise_if_any()
    except DesignError as error:
        said = [fault.message for fault in error.faults]
    assert len(said) == len(words)
    assert all(word in message for word, message in zip(words, said, strict=True))


@pytest.mark.parametrize(("shoulder", "opening", "hub"), [
    (0.0, 20.0, 43.0),  # 28.4 to the bolts' far side, 5 of wall and 11 of room, but a millimetre inside the floors
    (0.0, 60.0, 43.0),
    (35.1, 20.0, 34.6),  # half a millimetre inside the shoulder: 33.4 would be enough
    (33.9, 20.0, 33.4),  # the same to the tenth
    (33.8, 20.0, 37.8),  # not enough: over the shoulder, with 4 of skirt round it
    (29.0, 20.0, 33.4),  # 4 of skirt is less than the bolts ask for
    (60.0, 20.0, 43.0),
    (33.9, 60.0, 37.9),  # an opening of ⌀60 asks for 35
])  # fmt: skip
def test_how_far_a_hub_reaches(shoulder: float, opening: float, hub: float) -> None:
    wheel, holes = design_wheel(job_of(**turned())), [PrintHole(15.0, 20.0, 3.4)]
    assert hub_radius((opening, None), wheel, holes, shoulder) == pytest.approx(hub)


def test_a_hub_without_bolts_has_all_the_room_it_wants() -> None:
    assert hub_radius((20.0, 24.0), design_wheel(job_of(**turned())), [], 0.0) == pytest.approx(12 + 5 + 11)


@pytest.mark.parametrize(("asked", "made", "marks"), [
    (20.0, 30.0, 2), (30.0, 30.0, 2), (30.1, 60.0, 4), (330.0, 330.0, 22), (330.1, 360.0, 24), (360.0, 360.0, 24),
])  # fmt: skip
def test_a_part_circle_ends_in_the_next_tooths_middle(asked: float, made: float, marks: int) -> None:
    """Teeth 15 degrees apart, the first either side of the gap 15 from its middle; slots at 7.5, 22.5 …"""
    cover = find_cover(asked, design_wheel(job_of(**turned())), 20.0, Faults())
    assert (cover.covers_deg, len(cover.marks)) == (pytest.approx(made), marks)
    assert (cover.from_deg + cover.to_deg) / 2 == pytest.approx(30.0)
    assert (cover.keep is None) == (made == 360.0)


@pytest.mark.parametrize(("sense", "about", "below"), [(1, -5.0, 50.0), (-1, 5.0, -50.0)])
def test_writing_is_looked_for_about_the_middle_of_what_is_covered(sense: int, about: float, below: float) -> None:
    """Covered from 0 to 100 the way the crank turns; the arrow 55 degrees before that way of its place."""
    part = Cover(100.0, 0.0, 100.0, Loop.circle(0, 0, 1), (), 10.0)
    assert _middle(part, sense) == pytest.approx((about, below))
    assert _middle(Cover(360.0, -180.0, 180.0, None, (), 10.0), sense) == (0.0, 180.0)


# joints


def test_joints_run_through_the_middles_of_teeth_but_not_through_the_gap() -> None:
    wheel = design_wheel(job_of(**turned()))
    found = sorted(place % 360 for place in _joint_places(wheel, "outline"))
    assert found == pytest.approx(sorted((30.0 + 15.0 * k) % 360 for k in range(1, 24)))
    assert _joint_places(wheel, "windows") == wheel.slot_centres_deg.tolist()


@pytest.mark.parametrize(("inner", "clear", "shoulder", "place"), [
    (10, 40, 0, (23, 1)),  # from 14 to 32: in the middle
    (10, 49, 0, (27.5, 1)),  # 27 wide, three heads: still in the middle
    (10, 49.3, 0, (14 + 27.3 * 2 / 3, 1)),  # wider: two thirds of the way out
    (10, 28, 0, (17, 6 / 9)),  # 6 wide: a smaller one
    (10, 26.1, 0, (16.05, 4.1 / 9)),
    (10, 26.0, 0, None),  # 4 wide is under 0.45 of its size
    (10, 60, 30, (42, 1)),  # either side of the skirt takes a whole one: the outer
    (10, 65, 50, (14 + 34 * 2 / 3, 1)),  # outside of the skirt there are 5 mm alone
    (10, 40, 40, (23, 1)),  # a skirt as far out as the slots does not part it
    (10, 40, 10, (23, 1)),
])  # fmt: skip
def test_where_a_dovetail_stands_and_how_large(
    inner: float, clear: float, shoulder: float, place: tuple[float, float] | None
) -> None:
    found = _key_place(inner, clear, shoulder)
    assert found is None if place is None else found == pytest.approx(place)


@pytest.mark.parametrize("sense", [1, -1])
def test_a_piece_is_held_against_the_bed_with_its_dovetail(sense: int) -> None:
    """A quarter from the TDC line: its far end lies at ±x, the dovetail 7 below it at 0.55 of the reach."""
    rows = _sector_points(0.0, 90.0, 10.0, 40.0, sense)
    assert len(rows) == 30 + 1 + 30
    assert rows[30].tolist() == pytest.approx([sense * 22.0, -7.0])
    assert rows[0].tolist() == pytest.approx([0.0, 40.0])
    assert rows[-1].tolist() == pytest.approx([0.0, 10.0])
    assert len(_sector_points(0.0, 6.0, 10.0, 40.0, sense)) == 3 + 1 + 3
    assert _sector_points(0.0, 90.0, 0.0, 40.0, sense)[-1].tolist() == [0.0, 0.0]


@pytest.mark.parametrize(
    ("x", "y", "fits"), [(115, 95, True), (115.1, 95, False), (95, 115, True), (140, 2, True), (150, 2, False)]
)
def test_what_lies_on_a_bed_with_eight_millimetres_all_round(x: float, y: float, fits: bool) -> None:
    """131 x 111 leaves 115 x 95. A stick of 140 x 2 fits at 36 degrees: 113.3 + 1.2 by 82.3 + 1.6; one of 150 nowhere:
    it is longer than the diagonal, 149.2."""
    assert fits_bed(shapely.box(0, 0, x, y), (131.0, 111.0)) is fits


# the styles


@pytest.mark.parametrize(("shoulder", "parted"), [(86.1, False), (86.3, True)])
def test_a_skirt_of_less_than_eight_tenths_is_teeth_alone(shoulder: float, parted: bool) -> None:
    """Its inside is the shoulder's radius and 0.1; the slots' floors lie at 44: 43.15 and 0.8 or 43.25 and 0.8."""
    seat, wheel = seat_of(pulley=pulley(shoulder)), design_wheel(job_of(**turned()))
    style = outline_style(wheel, 0.0, seat, seat.z + 3.0, 0.0)
    assert (style.skirt is not None) is parted
    assert style.walls[0].z0 == pytest.approx(seat.z if parted else seat.z_ring)


@pytest.mark.parametrize(("shoulder", "clear"), [
    (70.0, 44.0 - (2 * 44 * math.sin(math.radians(7.5)) - 6 - 1.6) / 2),  # sides lean as far as the rib lets them
    (90.0, 47.6 - 0.5 - 0.2),  # the skirt's inside at 45.9, 1 of wall, 0.2 of step leave 0.5 to lean, to 47.6
    (90.9, 47.35),  # 0.05 is no lean: upright from 46.35 and the wall
    (91.5, None),  # 47.65: less than 0.4 of the slot's depth is left
])  # fmt: skip
def test_windows_lean_and_begin_where_the_skirt_lets_them(shoulder: float, clear: float | None) -> None:
    seat, wheel = seat_of(pulley=pulley(shoulder)), design_wheel(job_of(**turned()))
    style = windows_style(wheel, 0.0, seat, seat.z + 3.0, 0.0)
    assert (style.clear_radius if style else None) == (None if clear is None else pytest.approx(clear))


@pytest.mark.parametrize(("thick", "long"), [(4.0, 3.7), (8.3, 8.0), (12.0, 8.0)])
def test_a_combs_fingers_end_before_the_rings_back(thick: float, long: float) -> None:
    wheel = {**turned()["wheel"], "thickness": thick}
    assert gauge_of(job_of(**turned(wheel=wheel, gauge=gauge(style="comb")))).body.style.finger_mm == pytest.approx(
        long
    )


@pytest.mark.parametrize("inset", [0.0, 0.4])
def test_a_carrier_is_a_disc_with_a_tongue(inset: float) -> None:
    """Circle less the piece that the tongue's foot cuts off, and the tongue from that chord to its end."""
    r, half, tip = 52.0 - inset, 3.2 - inset, 61.0 - inset
    chord = math.sqrt(r**2 - half**2)
    cut_off = r**2 * math.asin(half / r) - half * chord
    loop = _carrier(52.0, (6.4, 9.0), 0.0, inset)
    assert loop.area == pytest.approx(math.pi * r**2 - cut_off + 2 * half * (tip - chord))
    assert loop.bounds() == pytest.approx((-r, -r, r, tip))
    assert _carrier(52.0, (6.4, 9.0), 90.0, inset).bounds() == pytest.approx((-r, -r, tip, r))


def test_a_finger_that_cannot_reach_the_floor_is_straight_from_where_it_begins() -> None:
    """Floor of the round slot at 44, where a finger that begins there is the slot itself; from 45 on it is a box."""
    slot = design_wheel(job_of(**turned())).slot
    box, round_one = (Loop(finger_outline(slot, start, 49.7)) for start in (45.0, 44.0))
    assert box.area == pytest.approx(6.0 * 4.7)
    assert box.bounds() == pytest.approx((-3.0, 45.0, 3.0, 49.7))
    assert abs(round_one.area) == pytest.approx(6.0 * (49.7 - 47.0) + math.pi * 9 / 2)


# what it is worth


@pytest.mark.parametrize(("hole", "units", "bolt"), [
    (6.6, "mm", 6.0), (8.4, "mm", 8.0), (6.56, "in", 6.35), (6.54, "in", 4.7625), (3.4, "in", 3.0),
])  # fmt: skip
def test_the_bolt_a_hole_is_meant_for(hole: float, units: str, bolt: float) -> None:
    """ISO 273; in inches the largest size 0.2 smaller, and a metric one where the hole is under 3/16 in."""
    assert _bolt(hole, units) == pytest.approx(bolt)


@pytest.mark.parametrize(("pins", "turn"), [(2, 0.15 / 25), (1, 0.25 / 25)])
def test_one_pin_also_lets_the_gauge_turn_by_what_it_is_off_centre(pins: int, turn: float) -> None:
    """0.2 loose on a shoulder, 0.3 on pins at 25 mm, marks at 47."""
    slop = _looseness(Register("shoulder", 70.0, 70.2), pins, 0.3, 50.0, 47.0)
    assert slop is not None
    assert (slop.shift_mm, slop.turn_deg) == pytest.approx((0.1, math.degrees(turn)))
    assert slop.worst_deg == pytest.approx(math.degrees(turn + 0.1 / 47))


def test_one_bolt_alone_holds_nothing() -> None:
    assert _looseness(Register("bolts"), 1, 0.3, 50.0, 47.0) is None
    two = _looseness(Register("bolts"), 2, 0.3, 50.0, 47.0)
    assert two is not None
    assert two.turn_deg == pytest.approx(math.degrees(0.15 / 25))


@pytest.mark.parametrize(("teeth", "ratio", "fault"), [(36, 40, 1.0), (24, 40, 6.0), (20, 40, 9.0), (36, 90, 2.0)])
def test_the_smallest_fault_of_indexing(teeth: int, ratio: int, fault: float) -> None:
    """Turns for one position: 1 1/9 of 9 degrees, 1 2/3 of 9, 2 whole ones of 9, 2 1/2 of 4."""
    wheel = {**turned()["wheel"], "teeth": teeth}
    job = job_of(**turned(wheel=wheel, shop={"rotary_table": {"ratio": ratio}}))
    assert smallest_fault(job)[0] == pytest.approx(fault)


@pytest.mark.parametrize(("teeth", "bolts", "said"), [
    (36, 5, "2°"),  # 7 1/5 positions
    (36, 8, "5°"),  # 4 1/2: a tooth's middle
    (24, 9, "5°"),  # 2 2/3: a third of a position short
])  # fmt: skip
def test_what_turning_by_one_bolt_shows(teeth: int, bolts: int, said: str) -> None:
    repeats, text = turned_one_bolt(teeth, 1, bolts)
    assert repeats is False
    assert f"lies {said} off its slot" in Words("mm").text(text)
    assert ("on the middle of a tooth" in text) == (teeth % bolts * 2 == bolts)
    assert turned_one_bolt(teeth, 1, 4)[0] is True
    assert turned_one_bolt(teeth, 1, 1)[0] is None


@pytest.mark.parametrize(("thick", "made"), [(1.2, True), (1.19, False)])
def test_three_layers_of_floor_under_the_engraving(thick: float, made: bool) -> None:
    job = job_of(**turned(gauge=gauge(thickness=thick)))
    if made:
        assert gauge_of(job).thickness_mm == thick
    else:
        with pytest.raises(DesignError, match="too thin"):
            gauge_of(job)
