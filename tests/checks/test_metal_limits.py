"""Where metal should be, by areas worked out by hand, and how far a section may lie off it."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
import shapely
import trimesh

from wheelcad.checks import metal, section, sections, solids_truth
from wheelcad.checks.metal import MetalBody
from wheelcad.job.models import Groove
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.common.openings import Opening
from wheelcad.parts.common.stack import Land
from wheelcad.trade.loop import Loop

Floats = np.ndarray[Any, np.dtype[np.float64]]


def disc(radius: float) -> float:
    return math.pi * radius**2


def opening(x: float, y: float, radius: float) -> Opening:
    return cast(Opening, SimpleNamespace(loop=Loop.circle(x, y, radius)))


def area(body: MetalBody, z: float) -> Any:
    """To five hundredths of a per cent: a polygon lies inside its circle."""
    return pytest.approx(body.at(z).area, rel=5e-4)


# a ring of 80 before a hub of 50, with a V groove 10 wide and 4 deep, 40 degrees, in the hub's middle
LANDS = (Land("ring", -5.0, 0.0, 80.0), Land("pulley", -35.0, -5.0, 50.0, Groove(width=10.0, depth=4.0, angle=40.0)))
FLOOR = 10.0 - 2 * 4.0 * math.tan(math.radians(20.0))


def test_a_turned_piece_s_regions_and_heights() -> None:
    """Solid behind a recess of 30 by 2 mm; at the groove's floor 4 mm less, half-way up its side 2 mm."""
    body = metal.lands_body(LANDS, [opening(0.0, 0.0, 10.0), opening(40.0, 0.0, 3.0)], (30.0, 2.0))
    bolt = disc(10.0) + disc(3.0)
    assert disc(80.0) - disc(30.0) - disc(3.0) == area(body, -1.9)
    assert disc(80.0) - bolt == area(body, -2.1)
    assert disc(50.0) - bolt == area(body, -6.0)
    assert disc(46.0) - bolt == area(body, -20.0)
    assert disc(48.0) - bolt == area(body, -20.0 + (FLOOR / 2 + 5.0) / 2)
    assert body.faces == pytest.approx((-35, -25, -20 - FLOOR / 2, -20 + FLOOR / 2, -15, -5, -2, 0))
    assert metal.lands_body(LANDS, [], None).faces == pytest.approx(tuple(z for z in body.faces if z != -2))
    assert disc(80.0) == area(metal.lands_body(LANDS, [], None), -1.0)
    assert body.at(-1.0).bounds == pytest.approx((-80.0, -80.0, 80.0, 80.0), abs=0.01)


def test_where_two_lands_of_one_radius_meet_nothing_changes() -> None:
    same = (Land("ring", -5.0, 0.0, 60.0), Land("pulley", -9.0, -5.0, 60.0), Land("pilot", -12.0, -9.0, 60.05))
    assert metal.lands_body(same, [], None).faces == (-12.0, -9.0, 0.0)
    other = (Land("ring", -5.0, 0.0, 60.05), Land("pulley", -9.0, -5.0, 60.0), Land("pilot", -12.0, -9.0, 60.0))
    assert metal.lands_body(other, [], None).faces == (-12.0, -5.0, 0.0)


def test_heights_that_are_one() -> None:
    assert metal._heights([3.0, 1.0, 1.0 + 5e-7, 2.0, 3.0]) == (1.0, 2.0, 3.0)
    assert metal._heights([1.0, 1.00001]) == (1.0, 1.00001)


@pytest.mark.parametrize(("apart", "cut"), [(0.0192, False), (0.0208, True)])
def test_no_section_where_two_heights_are_nearly_one(apart: float, cut: bool) -> None:
    body = MetalBody((0.0, apart, 5.0), (), (), lambda z: shapely.Polygon())
    assert body.heights == pytest.approx((apart / 2, (5 + apart) / 2) if cut else ((5 + apart) / 2,))


def wheel(*marks: object) -> Any:
    """A ring 6 mm thick of 80 with a bore of 20, for an engine that turns clockwise."""
    return SimpleNamespace(
        thickness_mm=6.0, outline=Loop.circle(0.0, 0.0, 80.0), openings=[opening(0.0, 0.0, 20.0)], marks=marks, sense=1
    )


def hole(**said: object) -> CorrectionHole:
    given = {"at_deg": 90.0, "radius_mm": 40.0, "diameter_mm": 8.0, "z_top": 3.0, "z_bottom": -3.0}
    return CorrectionHole(**{**given, **said})  # type: ignore[arg-type]


def test_a_plate_wheel_with_its_holes_and_notch() -> None:
    """The notch is a V of 60°, a millimetre deep from the front: half its depth down as wide as 2·0.5·tan 30°."""
    notch = SimpleNamespace(deep=1.0, at_deg=90.0, inner=60.0, outer=70.0)
    line = SimpleNamespace(deep=None, at_deg=10.0, inner=60.0, outer=70.0)
    plate = disc(80.0) - disc(20.0)
    body = metal.wheel_body(wheel(notch, line), None, [hole(), hole(at_deg=180.0, z_bottom=1.0, through=False)])
    assert plate - disc(4.0) == area(body, 0.0)
    cut = body.at(0.0).symmetric_difference(body.at(2.5))
    assert cut.area == pytest.approx(disc(4.0) + 10.0 * 2 * 0.5 * math.tan(math.radians(30.0)), rel=1e-3)
    _, low, right, _ = cut.bounds
    assert (right, low) == (pytest.approx(70.0), pytest.approx(-44.0))  # the one at 90° is x, that at 180° down
    assert body.at(1.5).symmetric_difference(body.at(0.0)).area == pytest.approx(disc(4.0), rel=1e-3)
    assert body.faces == (-3.0, 2.0, 3.0)
    assert metal.wheel_body(wheel(), None, []).faces == (-3.0, 3.0)


def test_blind_holes_end_in_a_cone_from_either_side() -> None:
    """Of 90° and 8 mm: 4 mm further."""
    front = hole(z_bottom=-1.0, through=False, point_deg=90.0)
    back = hole(z_top=2.0, through=False, point_deg=90.0, from_back=True)
    body = metal.wheel_body(wheel(), None, [front, back, hole()])
    assert body.tips == pytest.approx((-5.0, -1.0, 6.0, 2.0))
    assert [pytest.approx(cone) for cone in body.cones] == [(-5.0, -1.0), (2.0, 6.0)]
    flat = metal.wheel_body(wheel(), None, [hole(z_bottom=-1.0, through=False)])
    assert (flat.tips, flat.cones) == ((-1.0, -1.0), ())


def test_teeth_are_cut_in_the_ring_s_thickness_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of a turned piece of 90 mm all along, whose ring is 6 mm thick about z = 0."""
    turned = MetalBody((-20.0, 10.0), (), (), lambda z: metal.region(Loop.circle(0.0, 0.0, 90.0)))
    monkeypatch.setattr(metal, "blank_body", lambda blank: turned)
    body = metal.wheel_body(wheel(), cast(Any, 1), [])
    ring = disc(80.0) - disc(20.0)
    for z, wanted in ((2.9, ring), (-2.9, ring), (3.1, disc(90.0)), (-3.1, disc(90.0))):
        assert wanted == area(body, z)
    assert body.faces == (-20.0, -3.0, 3.0, 10.0)


def test_a_cam_s_target_is_one_outline() -> None:
    cam = SimpleNamespace(
        cam=SimpleNamespace(thickness=5.0), outline=Loop.circle(0, 0, 30.0), openings=[opening(0, 0, 6.0)]
    )
    body = metal.cam_body(cast(Any, cam))
    assert body.faces == (-2.5, 2.5)
    assert disc(30.0) - disc(6.0) == area(body, 1.0)


def test_a_spacer_s_bore() -> None:
    for bore, less in ((0.0, 0.0), (12.0, disc(12.0))):
        made = cast(Any, SimpleNamespace(bore_radius_mm=bore, lands=LANDS[:1], bolts=[opening(40.0, 0.0, 3.0)]))
        assert disc(80.0) - disc(3.0) - less == area(metal.adapter_body(made), -1.0)


# --- sections ------------------------------------------------------------------------------------------------------
BOX = shapely.box(0.0, 0.0, 20.0, 12.0)
RING = np.array([[[0, 0], [20, 0]], [[20, 0], [20, 12]], [[20, 12], [0, 12]], [[0, 12], [0, 0]]], dtype=float)


@pytest.mark.parametrize(
    ("segments", "off", "at"),
    [
        (RING, 0.0, None),
        (RING[[0, 1, 3]], 10.0, (10.0, 12.0)),  # one side is lost: its middle is 10 mm from the others
        (np.concatenate([RING, [[[8.0, 3.0], [8.0, 9.0]]]]), 6.0, (8.0, 6.0)),  # one too much, at its middle
        (RING + np.array([0.0, 0.7]), 0.7, None),
    ],
)
def test_a_section_against_a_border_both_ways(segments: Floats, off: float, at: tuple[float, float] | None) -> None:
    found = sections.off_border(segments, BOX)
    assert found.off == pytest.approx(off)
    if at is not None:
        assert (found.x, found.y) == pytest.approx(at)
    assert sections.off_border(RING[:0], shapely.Polygon()).off == 0.0
    assert math.isinf(sections.off_border(RING[:0], BOX).off)
    assert math.isinf(sections.off_border(RING, shapely.Polygon()).off)


def test_nothing_off_lies_nowhere() -> None:
    assert vars(sections.WorstSection(0.0)) == {"off": 0.0, "x": 0.0, "y": 0.0, "z": 0.0}


def solid(x: float = 0.0, y: float = 0.0, z: float = 0.0, size: tuple[float, float, float] = (20, 12, 6)) -> Floats:
    """A box from its middle at this place."""
    return np.asarray(trimesh.creation.box(size).triangles) + np.array([x, y, z])


WANTED = MetalBody((-3.0, 3.0), (), (), lambda z: shapely.box(-10, -6, 10, 6))


@pytest.mark.parametrize("share", [0.96, 1.04])
@pytest.mark.parametrize("limit", [None, 0.05])
def test_a_body_s_sections_and_heights(share: float, limit: float | None) -> None:
    """Sections to a hundredth and heights to two thousandths; of a coarser mesh heights to a fifth of its limit."""
    said = {} if limit is None else {"limit": limit}
    sideways, along = limit or 0.01, max(0.002, (limit or 0.01) / 5)
    first, second = sections.check_body("a.stl", solid(x=share * sideways), WANTED, **said)
    assert (first.measured, second.measured) == (pytest.approx(share * sideways), pytest.approx(0.0, abs=1e-6))
    assert (first.verdict == "pass") == (share < 1)
    first, second = sections.check_body("a.stl", solid(z=share * along), WANTED, **said)
    assert second.measured == pytest.approx(share * along, abs=1e-6)
    assert (second.verdict == "pass", first.verdict) == (share < 1, "pass")


def test_the_worst_of_all_sections_is_told_with_its_place() -> None:
    """Two heights, of which the upper is off by a millimetre at one side."""
    body = MetalBody((-3.0, 1.0, 3.0), (), (), lambda z: shapely.box(-10, -6, 10 if z < 1 else 11, 6))
    worst = sections.worst_section(solid(), body)
    assert (worst.off, worst.x, worst.z) == pytest.approx((1.0, 10.0, 2.0))
    alike = MetalBody((-3.0, 1.0, 3.0), (), (), lambda z: shapely.box(-10, -6, 11, 6))
    assert sections.worst_section(solid(), alike).z == -1.0  # the first of those that are as far off


@pytest.mark.parametrize(("slope", "off"), [(0.96e-4, 1.0), (1.04e-4, 0.0)])
def test_a_face_a_ten_thousandth_out_of_level_is_none(slope: float, off: float) -> None:
    faces = [[[0, 0, z], [1, 0, z], [0, 1, z]] for z in (0.0, 2.0)]
    odd = [[0, 0, 1.0 - slope], [1, 0, 1.0], [0, 1, 1.0]]
    body = MetalBody((0.0, 2.0), (), (), lambda z: shapely.Polygon())
    assert sections.worst_height(np.array([*faces, odd]), body) == pytest.approx(off, abs=2e-4)


# --- thin places of a section --------------------------------------------------------------------------------------
@pytest.mark.parametrize("neck", [0.5, 1.3, 1.9])
def test_the_narrowest_neck(neck: float) -> None:
    """Two pieces joined by a neck, a ring whose rim is that thin, and two holes with a rib between them."""
    joined = shapely.union_all([shapely.box(0, 0, 10, 10), shapely.box(9, 4, 21, 4 + neck), shapely.box(20, 0, 30, 10)])
    ring = shapely.box(0, 0, 20, 20).difference(shapely.box(neck, 5, 15, 15))
    rib = shapely.box(0, 0, 40, 20).difference(
        shapely.union_all([shapely.box(5, 5, 15, 15), shapely.box(15 + neck, 5, 30, 15)])
    )
    for piece in (joined, ring, rib):
        assert section.narrowest(piece, 3.0) == pytest.approx(neck, abs=0.03)
        assert section.narrowest(piece, 0.4) == 0.4
    assert section.narrowest(shapely.box(0, 0, 10, 10), 3.0) == 3.0


def test_a_cut_mesh_is_an_area_with_its_holes() -> None:
    outer, inner = solid(), solid(size=(8, 4, 6))[:, ::-1]
    cut = section.section_area(np.concatenate([outer, inner]), 0.5)
    assert cut.area == pytest.approx(240.0 - 32.0)
    assert section.parts_and_holes(cut) == (1, 1)
    two = section.section_area(np.concatenate([outer, solid(x=50.0)]), 0.5)
    assert section.parts_and_holes(two) == (2, 0)


# --- a solid against its other mesh --------------------------------------------------------------------------------
@pytest.mark.parametrize("share", [0.96, 1.04])
@pytest.mark.parametrize("axis", [0, 1, 2])
def test_two_meshes_of_one_body(axis: int, share: float) -> None:
    move = [0.0] * 3
    move[axis] = share * 0.03
    same, volume = solids_truth.same_body("gauge.step", solid(*move), solid())
    assert same.measured == pytest.approx(share * 0.03)
    assert (same.verdict == "pass", volume.verdict) == (share < 1, "pass")


@pytest.mark.parametrize("share", [0.96, 1.04, -0.96, -1.04])
def test_two_meshes_of_one_volume(share: float) -> None:
    """A small hole more or less, which reaches nowhere out."""
    wide = math.sqrt(240.0 * 0.002 * abs(share))
    pin = solid(size=(wide, wide, 6.0))[:, ::-1] * 1.0
    one, other = solid(), np.concatenate([solid(), pin])
    _, volume = solids_truth.same_body("gauge.step", *((other, one) if share < 0 else (one, other)))
    assert volume.measured == pytest.approx(0.002 * abs(share), rel=3e-3)
    assert (volume.verdict == "pass") == (abs(share) < 1)


def test_sections_between_every_two_level_faces() -> None:
    """Half-way; faces five hundredths apart are one."""
    stack = np.concatenate([solid(), solid(z=4.0, size=(4, 4, 2)), solid(z=5.02, size=(2, 2, 0.04))])
    assert solids_truth._cuts(stack) == pytest.approx([0.0, 4.0])
    stack = np.concatenate([stack[:-12], solid(z=5.026, size=(2, 2, 0.052))])
    assert solids_truth._cuts(stack) == pytest.approx([0.0, 4.0, 5.026])


def holes(off: float, corners: int, radius: float, monkeypatch: pytest.MonkeyPatch) -> Any:
    """The finding on a gauge's bolt hole of 3 mm at (30, 4), whose mesh has so many corners."""
    turn = 2 * np.pi * np.arange(corners) / corners
    ring = np.column_stack([30 + radius * np.cos(turn), 4 + radius * np.sin(turn)]) + np.array([off, 0.0])
    seen: list[float] = []
    pairs = np.stack([ring, ring], axis=1)
    monkeypatch.setattr(solids_truth, "section_segments", lambda triangles, z: (seen.append(z) or pairs, None))
    design = SimpleNamespace(
        holes=[SimpleNamespace(x=30.0, y=4.0, radius=3.0)], seat=SimpleNamespace(z=2.0), thickness_mm=4.0
    )
    (found,) = solids_truth._gauge_holes("gauge.step", np.zeros((0, 3, 3)), cast(Any, design))
    assert seen == [3.0]
    return found


@pytest.mark.parametrize("share", [0.96, 1.04, -0.96, -1.04])
def test_a_gauge_s_bolt_hole_to_a_thousandth(share: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """In a STEP file; by its furthest corner, which shows a place that is off as well."""
    found = holes(0.0, 24, 3.0 + 0.001 * share, monkeypatch)
    assert found.measured == pytest.approx(0.001 * abs(share))
    assert (found.verdict == "pass") == (abs(share) < 1)
    assert holes(0.001 * abs(share), 24, 3.0, monkeypatch).measured == pytest.approx(0.001 * abs(share), rel=1e-2)


@pytest.mark.parametrize(
    ("corners", "radius", "there"),
    [(3, 3.0, True), (2, 3.0, False), (24, 3.58, True), (24, 3.62, False), (24, 2.38, False)],
)
def test_what_are_a_bolt_hole_s_corners(
    corners: int, radius: float, there: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Within a fifth of its radius; each comes twice, as an end of two pieces: two are no hole."""
    assert math.isinf(holes(0.0, corners, radius, monkeypatch).measured) != there


def test_files_are_read_where_they_lie(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    read: list[Path] = []
    monkeypatch.setattr(solids_truth, "read_stl", lambda path: read.append(path) or solid())
    bare = SimpleNamespace(bracket=None, gauge=SimpleNamespace(holes=()))
    monkeypatch.setattr(solids_truth, "bodies", lambda design: {"wheel": WANTED})
    assert [f.verdict for f in solids_truth.check_stl(tmp_path, "wheel", cast(Any, bare))] == ["pass", "pass"]
    found = solids_truth.check_step_solid("gauge", solid(), cast(Any, bare), tmp_path)
    assert [f.verdict for f in found] == ["pass", "pass"]
    assert read == [tmp_path / "wheel.stl", tmp_path / "gauge.stl"]
    assert solids_truth.check_stl(tmp_path, "sensor", cast(Any, bare)) == []
