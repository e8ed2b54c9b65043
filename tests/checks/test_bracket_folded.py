"""The folded bracket's measures one by one: bodies, plane faces and hole walls made by hand, just within and beyond."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from wheelcad.checks import bracket_folded as folded
from wheelcad.checks.bracket_folded import PlaneFace, plane_faces, separate_bodies
from wheelcad.parts.bracket.model import Bend, Frame, Hole
from wheelcad.words import Words

Floats = np.ndarray[Any, np.dtype[np.float64]]
UPRIGHT = Frame((10.0, 20.0, -32.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))  # a plate that faces +x
PLAIN = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def block(x: float, y: float, z: float, at: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> Floats:
    """(12, 3, 3), about its middle."""
    sides = []
    for turn in range(3):  # each axis upward in turn
        for up in (1.0, -1.0):
            ring = np.array([[-1.0, -1.0, 1.0], [1.0, -1.0, 1.0], [1.0, 1.0, 1.0], [-1.0, 1.0, 1.0]])
            ring[:, 2], ring[:, 0] = up, up * ring[:, 0]
            sides += [np.roll(ring[[0, k, k + 1]], turn, axis=1) for k in (1, 2)]
    return np.array(sides) * np.array([x, y, z]) / 2 + np.array(at)


def said(finding: Any) -> str:
    return Words().text(str(finding.why))


def thick_or_wide(finding: Any) -> float:
    """The length in mm that its reason begins with."""
    return float(said(finding).split()[0])


# --- bodies -----------------------------------------------------------------------------------------------------------
def test_bodies_are_told_apart_and_the_largest_comes_first() -> None:
    """Three blocks, two of which meet in a corner, their triangles shuffled."""
    blocks = [block(2, 3, 4), block(4, 6, 8, (3.0, 4.5, 6.0)), block(1, 1, 1, (20.0, 0.0, 0.0))]
    mixed = np.concatenate(blocks)[np.random.default_rng(3).permutation(36)]
    assert [len(body) for body in separate_bodies(mixed)] == [12, 12, 12]
    assert [np.ptp(body.reshape(-1, 3), axis=0).tolist() for body in separate_bodies(mixed)] == [
        [4, 6, 8], [2, 3, 4], [1, 1, 1]
    ]  # fmt: skip


def test_one_triangle_is_a_body_and_none_is_not() -> None:
    assert len(separate_bodies(block(1, 1, 1)[:1])) == 1
    with pytest.raises(ValueError, match="empty"):
        separate_bodies(np.zeros((0, 3, 3)))


@pytest.mark.parametrize(("bodies", "verdict"), [(2, "fail"), (3, "pass"), (4, "fail")])
def test_a_plate_and_its_gussets_are_so_many_bodies(bodies: int, verdict: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """And the first, which is the largest, is the plate that everything else is measured on."""
    seen: list[Any] = []
    monkeypatch.setattr(folded, "read_stl", lambda path: path)
    monkeypatch.setattr(folded, "separate_bodies", lambda path: list(range(bodies)))
    monkeypatch.setattr(folded, "plane_faces", lambda plate: seen.append(plate))
    for name in ("_flat_length", "_hole_places"):
        monkeypatch.setattr(folded, name, lambda plate, *given: seen.append(plate) or [])
    for name in ("_thickness", "_angles", "_air_gap"):
        monkeypatch.setattr(folded, name, lambda faces, design: [])
    (found,) = folded.check_folded(Path("anywhere"), cast(Any, SimpleNamespace(gussets=(1, 2))), 100.0)
    assert (found.verdict, Words().text(str(found.measured))) == (verdict, f"{bodies} bodies")
    assert seen == [0, 0, 0]


# --- plane faces ------------------------------------------------------------------------------------------------------
def piece(area: float, z: float = 0.0, slope: float = 0.0) -> Floats:
    """A right triangle of that area with its middle at height z, risen in x by so much, facing up."""
    side = math.sqrt(2 * area)
    corners = np.array([[0.0, 0.0], [side, 0.0], [0.0, side]])
    return np.column_stack([corners, z + slope * (corners[:, 0] - side / 3)])


def faces(*pieces: Floats) -> list[tuple[float, float]]:
    """Area and offset of each face found."""
    return [(round(face.area, 6), round(face.offset, 5)) for face in plane_faces(np.array(pieces))]


@pytest.mark.parametrize("up", [1, -1])
@pytest.mark.parametrize(("step", "one"), [(0.0095, True), (0.0105, False)])
def test_triangles_a_hundredth_apart_are_of_one_face(step: float, one: bool, up: int) -> None:
    found = faces(piece(50.0), piece(30.0, up * step), piece(8.0, 5.0))
    mean = round(up * step * 30 / 80, 5)
    assert found == [*([(80.0, mean)] if one else [(50.0, 0.0), (30.0, up * step)]), (8.0, 5.0)]


def test_faces_gather_about_their_largest_triangle() -> None:
    assert faces(piece(10.0), piece(40.0, 0.008), piece(20.0, 0.016)) == [(70.0, round((0.32 + 0.32) / 70, 5))]
    assert faces(piece(40.0), piece(10.0, 0.008), piece(20.0, 0.016)) == [(50.0, 0.0016), (20.0, 0.016)]


@pytest.mark.parametrize(("slope", "one"), [(0.00095, True), (0.00105, False)])
def test_triangles_a_thousandth_out_of_parallel_are_of_one_face(slope: float, one: bool) -> None:
    """The face's own normal is that of both by their areas."""
    middle = math.sqrt(60.0) / 3  # where the second's own middle is, on the axis that it is tipped across
    tipped = piece(30.0, 0.0, slope) - np.array([middle, 0.0, 0.0])
    found = plane_faces(np.array([piece(50.0), tipped]))
    assert [round(face.area, 3) for face in found] == ([80.0] if one else [50.0, 30.0])
    if one:
        lean = 30.0 * slope / 80.0
        assert found[0].normal == pytest.approx([-lean, 0.0, 1.0], abs=1e-6)
        assert np.linalg.norm(found[0].normal) == pytest.approx(1.0, abs=1e-12)


def test_just_as_far_out_of_parallel_as_is_allowed_is_another_face(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(folded, "PLANE", 0.6)
    level, steep = np.array([[0, 0, 0], [5, 0, 0], [0, 1, 0]]), np.array([[0, 0, 0], [4, 0, -3], [0, 1, 0]])
    assert len(plane_faces(np.array([level, steep], dtype=float))) == 2  # whose normal is 0.6, 0, 0.8


def test_the_smallest_triangle_counts_and_a_needle_has_no_face() -> None:
    needle = np.array([[0.0, 0.0, 3.0], [5.0, 0.0, 3.0], [9.0, 0.0, 3.0]])
    assert faces(piece(0.01, 2.0), needle) == [(0.01, 2.0)]


@pytest.mark.parametrize(
    ("turned", "area", "picked"), [(9.9, 26.0, True), (10.5, 26.0, False), (-9.9, 26.0, True), (0.0, 25.0, False)]
)
def test_a_large_face_nearly_as_expected_is_picked(turned: float, area: float, picked: bool) -> None:
    way = np.array([math.cos(math.radians(turned)), math.sin(math.radians(turned)), 0.0])
    offered = [PlaneFace(way, 7.0, area), PlaneFace(np.array([0.0, 1.0, 0.0]), 5.0, 900.0)]
    found = folded._pick(offered, np.array([1.0, 0.0, 0.0]), 5.0)
    assert found is (offered[0] if picked else None)


def test_of_parallel_faces_the_nearest_is_picked() -> None:
    x = np.array([1.0, 0.0, 0.0])
    offered = [PlaneFace(x, 5.9, 40.0), PlaneFace(x, 5.8, 30.0), PlaneFace(x, 2.0, 90.0), PlaneFace(-x, 5.0, 90.0)]
    assert folded._pick(offered, x, 5.0) is offered[1]
    assert folded._pick(offered, x, 3.0) is offered[2]
    just = PlaneFace(np.array([math.cos(math.radians(10)), 0.0, 0.0]), 5.0, 90.0)
    assert folded._pick([just], x, 5.0) is None


@pytest.mark.parametrize("upper", [True, False])
def test_where_a_side_of_the_folded_plate_is_expected(upper: bool) -> None:
    """A plate of 4 mm that faces +x, its lower side at x = 10."""
    normal, offset = folded._expected(cast(Any, SimpleNamespace(frame=UPRIGHT)), 4.0, upper)
    assert (normal.tolist(), offset) == (([1.0, 0.0, 0.0], 14.0) if upper else ([-1.0, 0.0, 0.0], -10.0))


# --- what is measured of them -----------------------------------------------------------------------------------------
def plate(**more: Any) -> Any:
    """An upright arm and a level tab: 4 mm, 40 wide, one bend of 90 degrees."""
    level = Frame((50.0, 20.0, 6.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    regions = tuple(SimpleNamespace(name=name, frame=frame) for name, frame in (("arm", UPRIGHT), ("tab", level)))
    bend = Bend(10.0, 18.0, -20.0, 20.0, 90.0, True, 3.0, 7.0, 2.0)
    return SimpleNamespace(**({"thickness": 4.0, "width": 40.0, "regions": regions, "bends": (bend,)} | more))


def side(normal: tuple[float, float, float], offset: float) -> PlaneFace:
    return PlaneFace(np.array(normal), offset, 100.0)


def test_what_the_bends_leave_as_a_length(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two bends: (π/2 · (3 + 2) - 7) · 40 and (π/3 · (5 + 2) - 6) · 30 of the flat that the neutral fibre explains."""
    second = Bend(30.0, 38.0, -10.0, 20.0, 60.0, False, 5.0, 6.0, 2.0)
    design = plate(bends=(*plate().bends, second))
    known = (math.pi / 2 * 5 - 7) * 40 + (math.pi / 3 * 7 - 6) * 30
    for off, verdict in ((0.048, "pass"), (-0.048, "pass"), (0.052, "fail"), (-0.052, "fail")):
        area = 900.0 + known + off * 40.0
        (found,) = folded._flat_length(block(area, 2.0, 2.0), design, 900.0)
        assert (found.measured, found.verdict) == (pytest.approx(abs(off), abs=1e-5), verdict)


@pytest.mark.parametrize(
    ("upper", "lower", "off", "verdict"),
    [(14.0, -10.0, 0.0, "pass"), (14.0, -9.9905, 0.0095, "pass"), (13.9895, -10.0, 0.0105, "fail")],
)
def test_thickness_between_both_sides(upper: float, lower: float, off: float, verdict: str) -> None:
    found = folded._thickness(
        [side((1.0, 0.0, 0.0), upper), side((-1.0, 0.0, 0.0), lower), side((0.0, 0.0, 1.0), 10.0)],
        plate(),
    )
    arm, tab = found
    assert (arm.measured, arm.verdict) == (off, verdict)
    assert thick_or_wide(arm) == pytest.approx(upper + lower, abs=6e-4)
    assert (tab.measured, tab.verdict) == ("no plane face found", "fail")  # its lower side is not there


@pytest.mark.parametrize(
    ("angle", "wanted", "off", "verdict"),
    [
        (90.0, 90.0, 0.0, "pass"),
        (89.981, 90.0, 0.019, "pass"),
        (89.98149, 90.0, 0.01851, "pass"),
        (90.021, 90.0, 0.021, "fail"),
        (85.0, 90.0, 5.0, "fail"),
        (0.0, 0.0, 0.0, "pass"),
        (180.0, 180.0, 0.0, "pass"),
    ],
)
def test_the_angle_between_two_legs(angle: float, wanted: float, off: float, verdict: str) -> None:
    """Their normals a billionth longer than 1, as sums in binary are: no cosine is over 1."""
    turn = math.radians(wanted)
    leg = Frame((0.0, 0.0, 0.0), (0.0, 1.0, 0.0), (-math.sin(turn), 0.0, math.cos(turn)),
                (math.cos(turn), 0.0, math.sin(turn)))  # fmt: skip
    arm, _ = plate().regions
    bend = SimpleNamespace(angle_deg=wanted)
    design = plate(regions=(arm, SimpleNamespace(name="tab", frame=leg)), bends=(bend,))
    turn = math.radians(angle)
    seen = [side((1 + 1e-9, 0.0, 0.0), 14.0), side((math.cos(turn) * (1 + 1e-9), 0.0, math.sin(turn)), 4.0)]
    (found,) = folded._angles(seen, design)
    assert (found.measured, found.verdict) == (pytest.approx(off, abs=1e-5), verdict)
    assert said(found).startswith(f"{round(angle, 3):g}°")


@pytest.mark.parametrize("lost", [0, 1, 2])
def test_each_bend_is_between_the_legs_beside_it(lost: int) -> None:
    """Three legs, bent by 90 and by 45 degrees; one is not there."""
    ways = [(1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, math.sqrt(0.5), math.sqrt(0.5))]
    square = [(0.0, 1.0, 0.0), (1.0, 0.0, 0.0), (1.0, 0.0, 0.0)]
    regions = tuple(
        SimpleNamespace(name="leg", frame=Frame((0.0, 0.0, 0.0), x, cast(Any, tuple(np.cross(way, x).tolist())), way))
        for way, x in zip(ways, square, strict=True)
    )
    design = plate(regions=regions, bends=tuple(SimpleNamespace(angle_deg=a) for a in (90.0, 45.0)))
    seen = [side(way, 4.0) for way in ways]
    assert [f.measured for f in folded._angles(seen, design)] == pytest.approx([0.0, 0.0], abs=1e-5)
    left = [face for k, face in enumerate(seen) if k != lost]
    found = list(folded._angles(left, design))
    assert [f.measured == "no plane face found" for f in found] == [lost < 2, lost > 0]
    assert [f.subject for f in found] == ["bracket.stl, bend 1", "bracket.stl, bend 2"]


@pytest.mark.parametrize(
    ("offset", "tilt", "verdicts"),
    [
        (104.8, 0.0, ["pass", "pass", "pass"]),
        (104.8095, 0.019, ["pass", "pass", "pass"]),
        (104.7905, -0.019, ["pass", "pass", "pass"]),
        (104.8105, 0.021, ["fail", "fail", "fail"]),
    ],
)
@pytest.mark.parametrize("looks", ["in", "along"])
def test_the_gap_that_the_tab_s_face_gives(looks: str, offset: float, tilt: float, verdicts: list[str]) -> None:
    """Face at 104.8, nose of 24, wheel of 160 or as thick: 0.8 is left."""
    wheel = SimpleNamespace(outside_diameter=160.0, thickness=5.0)
    if looks == "along":
        wheel = SimpleNamespace(outside_diameter=300.0, thickness=160.0)
    place = SimpleNamespace(look=(-1.0, 0.0, 0.0), face=(104.8, 3.0, 7.0), nose_length=24.0)
    asked = SimpleNamespace(place=place, job=SimpleNamespace(wheel=wheel), sensor=SimpleNamespace(looks=looks))
    turn = math.radians(tilt)
    face = PlaneFace(np.array([math.cos(turn), math.sin(turn), 0.0]) * (1 + (1e-9 if not tilt else 0)), offset, 100.0)
    found = folded._air_gap([face, side((-1.0, 0.0, 0.0), -100.8)], plate(asked=asked, gap=0.8))
    away = round(abs(offset - 104.8), 5)
    assert [f.verdict for f in found] == verdicts
    assert [f.measured for f in found] == pytest.approx([away, abs(tilt), away], abs=2e-5)
    assert thick_or_wide(found[2]) == pytest.approx(offset - 104.0, abs=6e-4)
    (none,) = folded._air_gap([side((-1.0, 0.0, 0.0), -100.8)], plate(asked=asked, gap=0.8))
    assert none.verdict == "fail"


# --- hole walls -------------------------------------------------------------------------------------------------------
def corners(frame: Frame, points: list[tuple[float, float, float]]) -> Floats:
    """A mesh with these corners in a plate's flat, and some far away."""
    more = [*points, *[(90.0, 80.0, 0.0)] * (-len(points) % 3)]
    return np.asarray(frame.points(np.array(more))).reshape(-1, 3, 3)


def wall(x: float, y: float, r: float, begin: float = 0.0, sweep: float = 360.0) -> list[tuple[float, float, float]]:
    """Twelve corners of a round wall, by turns on the lower and the upper side of a plate of 4 mm."""
    turns = [math.radians(begin + sweep * k / (12 if sweep == 360.0 else 11)) for k in range(12)]
    return [(x + r * math.cos(a), y + r * math.sin(a), 4.0 * (k % 2)) for k, a in enumerate(turns)]


def centres(frame: Frame, points: list[tuple[float, float, float]], hole: Hole) -> list[tuple[float, float]]:
    return list(folded._wall_centres(corners(frame, points), frame, hole, 4.0))


ROUND = Hole("mount", "arm", 30.0, -7.0, 30.0, -7.0, 8.0, mount=1)


@pytest.mark.parametrize("frame", [PLAIN, UPRIGHT])
@pytest.mark.parametrize("off", [0.0, 0.3])
def test_the_middle_of_a_round_wall(frame: Frame, off: float) -> None:
    """Of what lies within half a millimetre of where it should be."""
    found = centres(frame, wall(30.0 + off, -7.0 - off / 2, 4.0) + wall(30.0, -7.0, 5.0) + wall(30.0, -7.0, 2.0), ROUND)
    assert found == [pytest.approx((30.0 + off, -7.0 - off / 2), abs=1e-5)] * 2


@pytest.mark.parametrize(
    ("points", "there"),
    [
        (wall(30.0, -7.0, 4.0)[:6], True),  # half of them on each side of the plate
        (wall(30.0, -7.0, 4.0)[:5], False),
        ([(x, y, w + d) for x, y, w in wall(30.0, -7.0, 4.0)[:5] for d in (0.0, -0.002)], False),  # five, each twice
        ([(x + d, y, w) for x, y, w in wall(30.001, -7.0, 4.0)[1:6] for d in (0.0, 2e-6)], False),
        ([*wall(30.0, -7.0, 4.0)[:5], (26.0, -7.0, -0.0095)], True),
        ([*wall(30.0, -7.0, 4.0)[:5], (26.0, -7.0, -0.01)], False),  # a hundredth below the plate
        ([*wall(30.0, -7.0, 4.0)[:5], (26.0, -7.0, 4.0095)], True),
        ([*wall(30.0, -7.0, 4.0)[:5], (26.0, -7.0, 4.01)], False),  # and above
        ([*wall(30.0, -7.0, 4.0)[:5], (25.5, -7.0, 0.0)], False),  # half a millimetre off the wall
        ([*wall(30.0, -7.0, 4.0)[:5], (25.51, -7.0, 0.0)], True),
    ],
)
def test_six_corners_make_a_wall(points: list[tuple[float, float, float]], there: bool) -> None:
    assert len(centres(PLAIN, points, ROUND)) == (2 if there else 0)


SLOT = Hole("mount", "arm", 30.0, -7.0, 39.0, 5.0, 8.0, mount=2)  # 15 mm long, 36.87 degrees off the flat's y
ALONG = math.degrees(math.atan2(12.0, 9.0))


@pytest.mark.parametrize("frame", [PLAIN, UPRIGHT])
def test_both_ends_of_a_slot(frame: Frame) -> None:
    """Each by its own half round: corners of the straight walls, from just inside the ends on, are no part of it."""
    both = wall(30.2, -7.0, 4.0, ALONG + 90.0, 180.0) + wall(39.0, 5.3, 4.0, ALONG - 90.0, 180.0)
    way, across = np.array([0.6, 0.8]), np.array([-0.8, 0.6])
    straight = [
        (*(np.array(end) + inwards * way + 4.4 * half * across), 0.0)
        for end, inwards in (((30.0, -7.0), 0.05), ((39.0, 5.0), -0.05))
        for half in (1, -1)
    ]
    shifted = [p for p in both if np.hypot(p[0] - 34.5, p[1] + 1.0) > 8.7]  # what lies beyond both ends' middles
    found = centres(frame, shifted + straight, SLOT)
    assert found == [pytest.approx((30.2, -7.0), abs=1e-4), pytest.approx((39.0, 5.3), abs=1e-4)]


def test_where_a_half_round_begins_to_single_precision() -> None:
    """Six corners, two of them where it begins, which a file of single precision puts half a millionth further in."""
    turns = [math.radians(ALONG + 90.0 + 36.0 * k) for k in range(6)]
    six = [(30 + 4 * math.cos(a) + 3e-7, -7 + 4 * math.sin(a) + 4e-7, 0.0) for a in turns]
    assert centres(PLAIN, six, SLOT) == [pytest.approx((30.0, -7.0), abs=1e-4)]


def places(target: tuple[float, float, float], low: float, high: float, hole: Hole, points: Any) -> Any:
    """The one finding of a hole in the upright arm."""
    place = SimpleNamespace(face=target)
    other = Hole("bolt", "arm", 0.0, 0.0, 0.0, 0.0, 6.0)
    design = plate(
        holes=(other, hole),
        mount_points=((0.0, 0.0), target[:2]) if hole.mount == 2 else (target[:2],),
        slide=SimpleNamespace(low=low, high=high),
        asked=SimpleNamespace(place=place),
        region=lambda name: SimpleNamespace(frame=UPRIGHT),
    )
    (found,) = folded._hole_places(corners(UPRIGHT, points), cast(Any, design))
    return found


SLOT_WALL = wall(30.0, -7.0, 4.0, ALONG + 90.0, 180.0) + wall(39.0, 5.0, 4.0, ALONG - 90.0, 180.0)


@pytest.mark.parametrize(("off", "verdict"), [(0.0, "pass"), (0.0095, "pass"), (-0.0105, "fail")])
def test_a_slot_s_nominal_place_on_its_thread(off: float, verdict: str) -> None:
    """It slides 3 mm one way and 9 the other: a quarter of its way from its first end, at x 32.25, y -4 of the flat,
    which is y 52.25 of the engine; where along the hole's axis, which is x, does not matter."""
    low, high = -3.0, 9.0
    moved = [(x, y + 32.0 + 4.0, w) for x, y, w in SLOT_WALL]  # so that its nominal place is at z = 0
    hole = Hole("mount", "arm", 30.0, 29.0, 39.0, 41.0, 8.0, mount=2)
    found = places((77.0, 52.25 + off, 0.0), low, high, hole, moved)
    assert (found.measured, found.verdict) == (pytest.approx(abs(off), abs=2e-5), verdict)
    assert (found.subject, said(found)) == (
        "bracket.stl, mount 2", "nominal place in the slot off the thread in the block"
    )  # fmt: skip
    little = places((77.0, 52.25, 0.0), -0.01, 0.03, hole, moved)
    assert little.measured == pytest.approx(0.0, abs=2e-5)


@pytest.mark.parametrize("low", [-3.0, 0.0])
def test_a_round_mount_hole_and_the_sensor_s_slot(low: float) -> None:
    """A round one is where it is, however the bracket slides; the sensor sits in its slot's middle."""
    at = [(x, y + 39.0, w) for x, y, w in wall(30.0, -7.0, 4.0)]
    found = places((5.0, 50.0, 0.0), low, 9.0, Hole("mount", "arm", 30.0, 32.0, 30.0, 32.0, 8.0, mount=1), at)
    assert (found.measured, found.verdict) == (pytest.approx(0.0, abs=2e-5), "pass")
    body = Hole("body", "arm", 30.0, -7.0, 39.0, 5.0, 8.0)
    found = places((104.0, 54.5, -33.0), low, 9.0, body, SLOT_WALL)
    assert (found.measured, said(found)) == (pytest.approx(0.0, abs=2e-5), "off the sensor's axis")
    found = places((104.0, 54.5, -33.0), low, 9.0, body, SLOT_WALL[:12])
    assert (found.measured, found.verdict) == ("not found", "fail")
