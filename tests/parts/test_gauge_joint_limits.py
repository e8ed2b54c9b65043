"""Dovetails, the room for writing and the opening of a gauge, by lengths worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from tests.parts.gauge_files import gauge_of
from tests.parts.gauge_jobs import job_of, turned
from wheelcad.errors import DesignError, Faults
from wheelcad.parts.gauge.body import HEAD, SAW_ROOM, _opening, _room
from wheelcad.parts.gauge.cover import HUB_ROOM, HUB_WALL, PrintHole, hub_radius
from wheelcad.parts.gauge.design import _holes
from wheelcad.parts.gauge.joints import NO_JOINTS, _key_place, joint_line
from wheelcad.parts.gauge.labels import APART
from wheelcad.parts.gauge.paper import in_the_way
from wheelcad.parts.gauge.printing import _laid, piece_names
from wheelcad.parts.wheel.design import design_wheel


@pytest.mark.parametrize("scale", [1.0, 0.8])
@pytest.mark.parametrize("sense", [1, -1])
def test_a_dovetail_is_six_at_its_root_nine_at_its_end_and_seven_long(scale: float, sense: int) -> None:
    """Along 0 degrees a joint runs out along +Y of the page and its key stands towards rising angle, ±X."""
    line = np.array(joint_line(0.0, (30.0, scale), 10.0, 50.0, sense).coords)
    out, across = line[:, 1], line[:, 0] * sense
    assert out == pytest.approx(
        [6.0, 30 - 3 * scale, 30 - 4.5 * scale, 30 + 4.5 * scale, 30 + 3 * scale, 53.0]
    )  # from 4 within the opening to 3 beyond the rim
    assert across == pytest.approx([0, 0, 7 * scale, 7 * scale, 0, 0], abs=1e-12)
    assert np.array(joint_line(0.0, (30.0, scale), 3.0, 50.0, sense).coords)[0] == pytest.approx((0, 0))


@pytest.mark.parametrize(
    ("clear", "found"),
    [
        (21.0, ((14.0 + 13.0) / 2, None)),  # bands begin 4 outside the opening and end 8 within the rim
        (29.0, (14.0 + 3.5, 7 / 9)),
        (31.0, (14.0 + 4.5, 1.0)),  # nine wide: a whole key, in the middle
        (49.0, (14.0 + 13.5, 1.0)),  # 27: still in the middle
        (52.0, (14.0 + 20.0, 1.0)),  # 30: two thirds of the way out
    ],
)
def test_a_key_is_as_large_as_its_band_allows(clear: float, found: tuple[float, float | None]) -> None:
    got = _key_place(10.0, clear, 0.0)
    middle, scale = found
    assert got == (None if scale is None else pytest.approx((middle, scale)))


def test_of_two_bands_the_outer_serves_where_both_hold_a_whole_key() -> None:
    assert _key_place(10.0, 60.0, 30.0) == pytest.approx((32.0 + 10.0, 1.0))  # 14 to 28 and 32 to 52
    assert _key_place(10.0, 45.0, 30.0) == pytest.approx((21.0, 1.0))  # outside the shoulder 32 to 37 are left


def test_nothing_is_written_round_a_hole_a_head_or_the_opening() -> None:
    job = job_of(**turned())
    wheel = design_wheel(job)
    design = gauge_of(job)
    assert design is not None
    bolts = job.bolts
    assert bolts is not None
    for hole, keep in ((2.0, HEAD * 6.6), (12.0, 12.0 + APART)):  # a head is wider than a small hole
        room = _room(job, design.cover, [PrintHole(30.0, 0.0, hole)], 0.0, 44.0, NO_JOINTS)
        for off, free in ((keep - 0.1, False), (keep + 0.1, True)):
            assert room.contains(shapely.Point(30.0 - off, 0.0)) is free
    bare = job_of(**turned(pulley={**turned()["pulley"], "bolts": None}))
    room = _room(bare, design.cover, [PrintHole(30.0, 0.0, 2.0)], 10.0, 44.0, NO_JOINTS)
    assert not room.contains(shapely.Point(30.0 - 2.0 - APART + 0.05, 0.0))  # no bolts: no heads either
    assert room.contains(shapely.Point(30.0 - 2.0 - APART - 0.05, 0.0))
    assert not room.contains(shapely.Point(0.0, 10.0 + 3.5 + APART - 0.1))
    assert room.contains(shapely.Point(0.0, 10.0 + 3.5 + APART + 0.1))
    assert not room.contains(shapely.Point(0.0, 44.0 - 0.7))
    assert room.contains(shapely.Point(0.0, 44.0 - 0.9))
    assert wheel.floor_radius_mm == pytest.approx(44.0)
    assert SAW_ROOM > 0


def test_a_pulley_without_bore_and_recess_leaves_the_gauge_closed() -> None:
    pulley = {key: value for key, value in turned()["pulley"].items() if key not in ("bore", "keyway")}
    job = job_of(**turned(pulley=pulley))
    design = gauge_of(job)
    assert design is not None
    assert _opening(job, design.seat, [], design.cover) == 0.0


@pytest.mark.parametrize(
    ("shoulder", "hub"),
    [
        (0.0, 30.0),  # none: the bolts' 20, and walls and lettering of 10
        (31.0, 30.0),
        (30.4, 29.9),  # half a millimetre within the skirt
    ],
)
def test_a_hub_leaves_no_sliver_of_skirt(shoulder: float, hub: float) -> None:
    wheel = design_wheel(job_of(**turned()))
    reach = 30.0 - HUB_WALL - HUB_ROOM
    assert hub_radius((None, 2 * reach, 8.0), wheel, [], shoulder) == pytest.approx(hub)
    assert hub_radius((), wheel, [PrintHole(reach - 4.0, 0.0, 4.0)], shoulder) == pytest.approx(hub)
    assert hub_radius((90.0,), wheel, [], 0.0) == pytest.approx(wheel.floor_radius_mm - 1.0)


def test_pieces_are_named_as_a_slicer_lists_them() -> None:
    assert piece_names(1) == ["gauge"]
    assert piece_names(3) == ["gauge 1 of 3", "gauge 2 of 3", "gauge 3 of 3"]


@pytest.mark.parametrize(("bolt", "runs_in"), [(6.3, False), (6.4, True)])
def test_printed_bolt_holes_may_not_run_into_each_other(bolt: float, runs_in: bool) -> None:
    """Twenty-four on a circle of 50 stand 50 sin 7.5 degrees = 6.53 apart; printed they are 0.2 larger."""
    bolts = {"count": 24, "circle": 50.0, "hole": bolt, "first_at": 0.0}
    faults = Faults()
    holes = _holes(job_of(**turned(pulley={**turned()["pulley"], "bolts": bolts})), 0.2, faults)
    assert [hole.radius for hole in holes] == pytest.approx([bolt / 2 + 0.1] * 24)
    if runs_in:
        with pytest.raises(DesignError, match="run into each other"):
            faults.raise_if_any()
    else:
        faults.raise_if_any()


@pytest.mark.parametrize("bed", [None, (220.0, 200.0)])
def test_a_piece_is_moved_on_the_bed_and_not_off_it(bed: tuple[float, float] | None) -> None:
    piece = np.array([[[10.0, 20.0, 0.0], [50.0, 20.0, 0.0], [50.0, 80.0, 3.0]]])
    x, y = bed or (0.0, 0.0)
    assert _laid(piece, bed) == pytest.approx(piece - [30.0, 50.0, 0.0] + [x / 2, y / 2, 0.0])


@pytest.mark.parametrize(("x", "y", "blocked"), [
    (0.0, 0.05, True), (0.0, -14.0, True), (0.0, -14.1, False),  # the crank centre's cross
    (25.0, 11.3, True), (25.0, 11.4, False), (25.0, -11.2, True),
    (25.0, 0.05, True),  # on the bolt itself
    (-18.9, 0.0, False), (-19.1, 0.0, True), (-20.9, 0.0, True), (-21.1, 0.0, False),  # a circle of 20
    (-33.9, 0.0, False), (-34.1, 0.0, True), (-61.9, 0.0, True), (-62.1, 0.0, False),  # 44 - 10 to 50 + 7 + 4 + 1
])  # fmt: skip
def test_joining_crosses_keep_off_what_is_drawn(x: float, y: float, blocked: bool) -> None:
    """A wheel of 100 with floors at 44, a bolt's hole of 6.6 at 25."""
    wheel = design_wheel(job_of(**turned()))
    assert in_the_way((x, y), wheel, ((25.0, 0.0),), 3.3, (0.0, 20.0)) is blocked


@pytest.mark.parametrize(("width", "fits"), [(3.9, True), (3.7, False)])
def test_fingers_narrower_than_half_their_slot_are_none(width: float, fits: bool) -> None:
    slot = {"width": width, "depth": 6.0, "sides": "parallel", "floor": "round"}
    gauge = {**turned()["gauge"], "style": "comb", "clearance": 1.9}
    job = job_of(**turned(wheel={**turned()["wheel"], "slot": slot}, gauge=gauge))
    if fits:
        assert gauge_of(job) is not None
    else:
        with pytest.raises(DesignError, match="leaves nothing of the comb's fingers"):
            gauge_of(job)
