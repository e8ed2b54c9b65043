"""Why no hole can be somewhere, what is turned again, blind holes and readings: at the places where they turn."""

from __future__ import annotations

import math
import warnings
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from tests.conftest import plate_job
from tests.parts.balance_jobs import turned_job
from wheelcad.parts.balance import alternatives, runout, walls
from wheelcad.parts.balance.blind import blind_pairs, single_blind, two_planes
from wheelcad.parts.balance.candidates import HoleSearch
from wheelcad.parts.balance.marks import ShopSteps
from wheelcad.parts.balance.metal import Metal, MetalPiece
from wheelcad.parts.balance.reading import LevelEdges, edges_for
from wheelcad.parts.balance.reasons import in_the_way
from wheelcad.parts.balance.runout import _returned_length, _volume, plate_offset_mm, runout_limit_mm, turned_again
from wheelcad.parts.balance.spread import likely
from wheelcad.parts.common.stack import Land
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.trade.drills import Drill
from wheelcad.words import Words

POINT = 1 / (2 * math.tan(math.radians(59)))  # a point of 118 degrees: its height over its diameter
STEEL = 7850e-6


def piece(name: str, back: float, front: float, radius: float, *, recess: bool = False) -> MetalPiece:
    wall = walls.SLOTS if name == "ring" else walls.RIM
    return MetalPiece(Land(name, back, front, radius), radius - wall.mm, wall, recess)


def metal(*pieces: MetalPiece, **more: Any) -> Metal:
    given: dict[str, Any] = {"bore": 0.0, "recess": 0.0, "recess_depth": 0.0, "bolts": (), "keyway": None, **more}
    return Metal(pieces, **given, sense=1, rubber=False)


RING = piece("ring", -2, 2, 70)
BLOCK = piece("ring", -30, 30, 70)


def test_which_wall_is_in_a_holes_way() -> None:
    """A drill of 6: its edges lie 3 mm on either side."""

    def way(body: Metal, radius: float) -> str:
        return Words("mm").text(in_the_way(body, radius, 6.0, False))

    bored = metal(RING, bore=12.5)
    assert way(bored, 18.4).startswith("3 mm must stay to the bore")
    assert way(bored, 18.5) == "there is no metal"  # of the bore, nothing is in its way
    assert way(metal(RING), 2.0) == "there is no metal"
    assert way(metal(RING, bore=0.5), 6.4).startswith("3 mm must stay to the bore")
    assert "the slot floors" in way(bored, 66.0)
    shouldered = metal(piece("pulley", 2, 10, 60), RING)
    assert "the outside of the piece" in way(shouldered, 59.9)
    assert "the shoulder beside it" in way(shouldered, 60.0)


@pytest.mark.parametrize(
    ("radius", "wall"),
    [
        (36.1, walls.RECESS),  # its outer edge 0.9 from the recess's: one must stay
        (40.0, walls.RECESS),
        (43.9, walls.RECESS),
        (44.0, walls.RIM),  # a millimetre off the recess, and one too near to the outside
        (45.9, walls.RIM),
    ],
)
def test_the_edge_of_a_recess_is_in_the_way(radius: float, wall: walls.Clearance) -> None:
    body = metal(piece("pulley", 2, 10, 48, recess=True), RING, recess=40.0, recess_depth=8.0)
    assert f"must stay to {wall.what}" in Words("mm").text(in_the_way(body, radius, 6.0, False))


def test_a_surface_as_found_is_not_turned_again() -> None:
    """To a thousandth of a millimetre of its radius, and as far as both reach along the crank."""
    land = Land("pulley", 0.0, 10.0, 50.0)
    for radius, kept in ((50.0, 4), (50.0009, 4), (49.9991, 4), (50.00105, 0), (48.0, 0)):
        assert _returned_length(land, (Land("pulley", -5.0, 4.0, radius),)) == 10 - kept
    thin = Land("pulley", 0.0, 10.0, 0.001)
    assert _returned_length(thin, (Land("pulley", 6.0, 30.0, 0.002),)) == 6
    for z in (20.0, -20.0, 10.0):
        assert _returned_length(land, (Land("pulley", z, z + 5, 50.0),)) == 10
    assert _returned_length(land, ()) == 10


def test_a_v_groove_is_a_triangle() -> None:
    """4 wide and 10 deep at 40 degrees: its flanks meet at 5.5 already, and below it is counted as nothing wide."""
    groove: Any = SimpleNamespace(width=4.0, depth=10.0, angle=40.0)
    without, pointed = Land("pulley", 0, 20, 50), Land("pulley", 0, 20, 50, groove)
    lost = _volume(without) - _volume(pointed)
    assert lost == pytest.approx(2 * math.pi * (50 - 10 / 3) * (4 * 10 / 2))  # Pappus
    straight: Any = SimpleNamespace(width=9.0, depth=4.0, angle=0.0)
    assert _volume(without) - _volume(Land("pulley", 0, 20, 50, straight)) == pytest.approx(
        math.pi * (50**2 - 46**2) * 9
    )


def test_what_comes_off_a_piece_as_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """Cylinders: ⌀100 x 20 of ⌀104 x 20; nothing where nothing is known of it or where it was smaller."""
    job = turned_job("wheel, {length: 20, diameter: 100}", "")
    wheel = design_wheel(job)

    def again(lands: tuple[Land, ...], found: tuple[Land, ...]) -> runout.TurnedAgain:
        monkeypatch.setattr(runout, "turned_lands", lambda _: lands)
        monkeypatch.setattr(runout, "as_found_lands", lambda _: found)
        return turned_again(job, wheel)

    now, before = Land("pulley", 0, 20, 50), Land("pulley", 0, 20, 52)
    made = again((now,), (before,))
    assert made.mass_g == pytest.approx(math.pi * 50**2 * 20 * STEEL)
    assert made.removed_g == pytest.approx(math.pi * (52**2 - 50**2) * 20 * STEEL)
    assert made.found_g == pytest.approx(math.pi * (52**2 - 12.5**2) * 20 * STEEL)
    assert made.removed_share == pytest.approx((52**2 - 50**2) / (52**2 - 12.5**2))
    assert (again((now,), ()).removed_g, again((now,), ()).found_g, again((now,), ()).removed_share) == (0, 0, 0)
    assert again((before,), (now,)).removed_g == 0
    assert again((), (now,)) == runout.TurnedAgain(0, 0, 0, "")
    same = again((now,), (now,))
    assert (same.mass_g, same.removed_g, same.surfaces) == (0, 0, "")
    hair = again((Land("pulley", 0, 20.0015, 50),), (now,))
    assert hair.mass_g == pytest.approx(math.pi * 50**2 * 0.0015 * STEEL)
    assert again((Land("pulley", 0, 20.0009, 50),), (now,)).mass_g == 0
    assert again((Land("pulley", 0, 0.001, 50),), ()).mass_g == 0
    assert runout.TurnedAgain(1, 0.1, 0.4, "").removed_share == pytest.approx(0.25)
    solid = job.model_copy(update={"pulley": job.pulley.model_copy(update={"bore": None})}) if job.pulley else job
    monkeypatch.setattr(runout, "as_found_lands", lambda _: (before,))
    assert turned_again(solid, wheel).found_g == pytest.approx(math.pi * 52**2 * 20 * STEEL)


def test_the_reading_that_a_budget_allows(monkeypatch: pytest.MonkeyPatch) -> None:
    """Twice the budget over the mass, in hundredths, never under one of them: what an indicator shows."""
    job = turned_job("wheel, {length: 20, diameter: 100}", "")
    wheel = design_wheel(job)
    for mass, budget, limit in (
        (1000.0, 20.0, 0.04),
        (1000.0, 19.0, 0.03),
        (1000.0, 4.0, 0.01),
        (1000.0, 0.0, 0.01),
        (1000.0, -5.0, 0.01),
        (20.0, 0.5, 0.05),
        (0.5, 0.0125, 0.05),
        (0.0, 20.0, None),
    ):
        monkeypatch.setattr(runout, "turned_again", lambda *_, mass=mass: SimpleNamespace(mass_g=mass))
        assert runout_limit_mm(job, wheel, budget) == limit


def test_how_far_off_a_plate_may_sit() -> None:
    """M8 in 8.4 by its bolts, two tenths by eye; a bolt's fine clearance is never less than two tenths."""
    bolted = "pulley: {bore: 20, bolts: {count: 3, circle: 80, hole: 8.4, first_at: 0}}\n"
    assert plate_offset_mm(plate_job(extra=bolted))[0] == pytest.approx(0.2)
    assert plate_offset_mm(plate_job(extra=bolted.replace("8.4", "6.45")))[0] == pytest.approx(0.225)
    assert plate_offset_mm(plate_job())[0] == 0.2


def sought(*pieces: MetalPiece, **more: Any) -> HoleSearch:
    given: dict[str, Any] = {
        "amount": 300.0,
        "at_deg": 180.0,
        "plane_mm": 0.0,
        "density": STEEL,
        "metal": metal(*pieces or (BLOCK,)),
        "marks": ShopSteps(0.0, 40, 0.05, 0.1, 0.5),
        "drills": (Drill("8.0 mm", 8.0),),
        "radii": np.array([60.0]),
        "faces": (False,),
        "at_worst": 2.0,
        "doubtful": 100.0,
        "couple_limit": None,
    }
    return HoleSearch(**{**given, **more})


def taken(depth: float, d: float = 8.0, r: float = 60.0) -> float:
    """g·mm of a blind hole: a cylinder and its cone."""
    return math.pi / 4 * d**2 * (depth + d * POINT / 3) * STEEL * r


def test_one_blind_hole_to_the_nearest_tenth() -> None:
    """On the heavy line; what the rounding of its depth leaves must be within what may be left, or just that."""
    amount = taken(9.53)
    left = abs(float(sought().grids[0].taken_blind(np.array([9.5]))[0]) - amount)
    for worst, good in ((left * 1.001, True), (left, True), (left * 0.999, False)):
        [kind] = single_blind(sought(amount=amount, at_worst=worst), relaxed=True)
        assert kind.good.tolist() == [good]
        one = kind.wanted(0)
        assert one is not None
        assert [(hole.off_deg, hole.depth) for hole in one] == [(0.0, 9.5)]
        errors = likely(100.0, *(np.array([[each]]) for each in (taken(9.5), 0.0, 60.0, 8.0, 9.5 + 8 * POINT / 3)))
        assert kind.figure == pytest.approx(errors + amount - taken(9.5))


def test_the_depth_that_is_more_than_a_dimple_and_no_deeper_than_four_drills() -> None:
    for depth, good in ((4.0, True), (3.9, False), (32.0, True), (32.1, False)):
        [kind] = single_blind(sought(amount=taken(depth)), relaxed=True)
        assert kind.good.tolist() == [good]


def test_blind_pairs_take_out_the_amount_by_their_angle() -> None:
    """Depths for half angles from the least on to beyond 70 degrees; each two cylinders with cones."""
    kinds = list(blind_pairs(sought(amount=450.0), relaxed=True))
    found = []
    for kind in kinds:
        for i in np.flatnonzero(kind.good).tolist():
            pair = kind.wanted(i)
            assert pair is not None
            first, second = pair
            assert first.depth is not None
            assert (first.off_deg, first.depth) == (-second.off_deg, second.depth)
            assert first.depth * 10 == pytest.approx(round(first.depth * 10))
            assert 2 * taken(first.depth) * math.cos(math.radians(first.off_deg)) == pytest.approx(450)
            found.append(first.off_deg)
            both = np.ones((1, 2))
            each = taken(first.depth), first.off_deg * np.array([1, -1]), 60.0, 8.0, first.depth + 8 * POINT / 3
            assert kind.figure[i] == pytest.approx(likely(100.0, *(both * one for one in each))[0])
    step = 2 * math.degrees(math.asin(6 / 60))  # 8 and 4 of wall
    least = (step / 2 + 0.05, 15, 25, 35, 45, 55, 65, 72)  # our choice; depth in tenths moves each on a little
    for angle, want in zip(found, least, strict=True):
        deeper = taken(round(10 * _depth(450, want)) / 10 + 0.1)
        assert want <= angle <= math.degrees(math.acos(450 / 2 / deeper)) + 1e-9


def test_pairs_so_near_the_axis_that_they_would_meet_bring_no_warning() -> None:
    """Two of ⌀8 and 4 mm between them do not fit on a circle of ⌀10, however little they take out."""
    near = sought(radii=np.array([5.0]), amount=300.0)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert not any(kind.good.any() for kind in blind_pairs(near, relaxed=True))
    assert not any(kind.good.any() for kind in blind_pairs(sought(radii=np.array([5.0]), amount=8.0), relaxed=True))


def _depth(amount: float, half_deg: float) -> float:
    """Depth of each of two holes at this half angle."""
    one = amount / 2 / math.cos(math.radians(half_deg))
    return one / (math.pi / 4 * 64 * STEEL * 60) - 8 * POINT / 3


def test_two_planes_at_a_single_place() -> None:
    """One drill and one radius are enough; both faces take half of what lies in the middle between them."""
    plan = next(two_planes(sought(amount=600.0, faces=(False, True), couple_limit=1e4)))
    assert {hole.from_back for hole in plan.holes} == {False, True}
    assert plan.couple < 600 * 0.5
    shares = [
        sum(taken(h.depth_mm) * math.cos(math.radians(h.at_deg - 180)) for h in plan.holes if h.from_back == back)
        for back in (False, True)
    ]
    assert shares == pytest.approx([300, 300], abs=2)
    assert not list(two_planes(sought(amount=600.0)))


def test_a_couple_at_its_limit_may_stay() -> None:
    asked: dict[str, Any] = {"amount": 600.0, "faces": (False, True), "plane_mm": 7.0}
    plan = next(two_planes(sought(**asked)))
    assert plan.couple < 600 * 0.5  # half a millimetre off its plane, by the rounding of depths
    assert next(two_planes(sought(**asked, couple_limit=plan.couple))).holes == plan.holes
    assert all(
        other.couple < plan.couple for other in two_planes(sought(**asked, couple_limit=plan.couple * (1 - 1e-9)))
    )


def test_an_arc_slot_by_integration() -> None:
    """A sector between two radii and two half discs at its ends, summed over a fine grid; and found back."""
    radius, width, half = 60.0, 6.0, 20.0
    x, y = np.meshgrid(np.arange(-30, 30, 0.05), np.arange(50, 64, 0.05))
    r, a = np.hypot(x, y), np.degrees(np.arctan2(np.abs(x), y))
    end = np.hypot(np.abs(x) - radius * math.sin(math.radians(half)), y - radius * math.cos(math.radians(half)))
    inside = ((np.abs(r - radius) <= 3) & (a <= half)) | (end <= 3)
    moment = float((y * inside).sum()) * 0.05**2
    assert alternatives.arc_slot_moment(radius, width, half) == pytest.approx(moment, rel=2e-3)
    for angle in (0.0, 1e-3, 0.05, 45.0, 80.0):
        needed = alternatives.arc_slot_moment(radius, width, angle)
        assert alternatives.arc_slot_half_deg(needed, radius, width) == pytest.approx(angle, abs=1e-6)
    most = alternatives.arc_slot_moment(radius, width, 90.0) * 0.9999
    found = alternatives.arc_slot_half_deg(most, radius, width)
    assert found is not None
    assert alternatives.arc_slot_moment(radius, width, found) == pytest.approx(most)
    for needed in (
        alternatives.arc_slot_moment(radius, width, 0.0) * 0.999,
        alternatives.arc_slot_moment(radius, width, 90.0) * 1.001,
    ):
        assert alternatives.arc_slot_half_deg(needed, radius, width) is None


def test_an_arc_slot_clears_the_bolt_holes_and_comes_out() -> None:
    """Bolt holes of ⌀8 at 40: their edge at 44, 4 mm under the washer, a cutter of 6: from 51 on. A millimetre of air
    behind."""
    radii = np.array([40.0, 50.5, 51.0])
    for last, there in ((2, False), (3, True)):
        told = alternatives.slot_behind_rim(
            metal(RING, bolts=((0.0, 40.0, 4.0),)), 200.0, 180.0, STEEL, radii[:last], 6.0
        )
        assert (told is not None) == there
    assert told is not None
    assert "at radius 51 mm" in Words("mm").text(told)
    for air, there in ((1.0, False), (1.01, True)):
        lands = RING, piece("pulley", -2 - air, -2, 20), piece("pulley", -20, -2 - air, 70)
        assert (alternatives.slot_behind_rim(metal(*lands), 200.0, 180.0, STEEL, radii, 6.0) is not None) == there


def test_an_arc_slot_keeps_clear_of_a_timing_mark() -> None:
    """A mark from 55 to 68 mm at 100 degrees and a cutter of 6: its middle stays 1 + 3 mm off. Where the slot would
    run into it, it is milled further in, beyond the mark's end."""
    radii, half = np.array([50.0, 60.0]), 30.0
    amount = alternatives.arc_slot_moment(60.0, 6.0, half) * 4 * STEEL
    near = math.degrees(math.asin(4 / 60))
    for off, radius in ((half + near + 0.01, 60), (half + near - 0.01, 50), (0.0, 50)):
        for side in (1, -1):
            marked = metal(RING, marks=((100.0, 55.0, 68.0),))
            told = alternatives.slot_behind_rim(marked, amount, 100.0 + side * off, STEEL, radii, 6.0)
            assert told is not None
            assert f"at radius {radius} mm" in Words("mm").text(told)


def test_what_level_edges_show_by_hand() -> None:
    """A ⌀25 x 200 arbour of steel weighs 771 g; on a thinner bore one as thin. 5 g·mm at 50 mm are 0.1 g."""
    assert LevelEdges(25.0, 5.0).felt_g(50.0) == pytest.approx(0.1)
    for bore, across in ((30.0, 25.0), (0.0, 25.0), (10.0, 20.0)):
        arbour, edges = math.pi / 4 * across**2 * 200 * 7.85e-3, edges_for(2.0, bore)
        assert edges.arbour_mm == across
        assert edges.felt_g_mm == pytest.approx((2000 + arbour) / arbour * edges_for(0.0, bore).felt_g_mm)
