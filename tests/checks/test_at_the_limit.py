"""What the parts of checks make of values that lie at their very limits, and a little to each side.

A limit is put to a number that two can divide, where its own cannot be met exactly by what is measured.
"""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import ezdxf
import numpy as np
import pytest
import shapely

from tests.conftest import plate_job
from wheelcad.checks import (
    balance,
    bracket_metal,
    drawings,
    gauge,
    gauge_print,
    mesh,
    paper,
    sections,
    teeth_seen,
    unbalance,
    wheel,
    wheel_flat,
)
from wheelcad.checks.metal import MetalBody
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.marks import WheelMark
from wheelcad.words import Words

Floats = np.ndarray[Any, np.dtype[np.float64]]


@pytest.mark.parametrize("through", [True, False])
@pytest.mark.parametrize(
    ("over", "off", "through_part", "blind_part"),
    [
        (0.5, 0.0, True, True),  # twice the limit on the diameter
        (0.51, 0.0, False, False),
        (-0.5, 0.25, True, True),  # and once on the place
        (-0.51, 0.0, False, True),  # a blind hole's point is narrower
        (0.0, 0.26, False, False),
    ],
)
def test_a_section_of_a_planned_hole(
    through: bool, over: float, off: float, through_part: bool, blind_part: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(balance, "PLACE_LIMIT_MM", 0.25)
    planned = cast(Any, SimpleNamespace(centre=lambda sense: (3.0, 4.0), diameter_mm=8.0, through=through))
    seen = balance.RoundHole(3.0 + off, 4.0, 8.0 + over)
    assert balance._part_of(seen, planned, 1) == (through_part if through else blind_part)
    assert balance._same(seen, (3.0, 4.0, 8.0)) == through_part


@pytest.mark.parametrize(("slope", "level"), [(0.0, True), (0.2, True), (0.25, False), (0.3, False)])
def test_a_face_is_level_where_its_corners_are(slope: float, level: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """A face that is none of the design's counts where it is level: it then lies 1 mm from the nearest one."""
    monkeypatch.setattr(sections, "FLAT", 0.25)
    faces = [[[0, 0, z], [1, 0, z], [0, 1, z]] for z in (0.0, 2.0)]
    odd = [[0, 0, 1.0 - slope], [1, 0, 1.0], [0, 1, 1.0]]
    body = MetalBody((0.0, 2.0), (), (), lambda z: shapely.Polygon())
    found = sections.worst_height(np.array([*faces, odd]), body)
    assert found == pytest.approx(1.0 if level else 0.0)


@pytest.mark.parametrize(("away", "found"), [(0.0, True), (0.9, True), (1.0, True), (1.1, False), (3.0, False)])
def test_a_notch_is_looked_for_within_twice_its_depth(
    away: float, found: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    mark = WheelMark(0.0, "notch", 60.0, 70.0)
    made = SimpleNamespace(sense=1, thickness_mm=5.0)
    deep = 0.5
    at = cast(Any, SimpleNamespace(deep=deep, inner=60.0, outer=70.0, at_deg=0.0, name=mark.kind))
    half = wheel.half_width(deep / 2)
    disc = shapely.box(-90, -90, 90, 90)
    hole = shapely.box(-half, 60.0, half, 70.0) if not away else shapely.box(away, 60.0, away + 2, 70.0)
    monkeypatch.setattr(wheel, "section_area", lambda triangles, z: disc.difference(hole))
    measured = wheel._notch(np.zeros((0, 3, 3)), cast(Any, made), at)
    assert [finding.measured != "no notch found" for finding in measured] == ([True, True] if found else [False])
    assert ({finding.verdict for finding in measured} == {"pass"}) == (away == 0.0)


def _walls(corners: int, radius: float, hole: bool) -> Floats:
    """The walls of an upright prism about (30, 4), which face its middle where it is a hole. Cut just above its foot,
    each is two pieces whose ends all lie next to a corner."""
    turn = 2 * np.pi * np.arange(corners) / corners * (-1 if hole else 1)
    low = np.column_stack([30 + radius * np.cos(turn), 4 + radius * np.sin(turn), 0 * turn - 1.0])
    high, next_low = low + np.array([0, 0, 2.0]), np.roll(low, -1, axis=0)
    next_high = np.roll(high, -1, axis=0)
    return np.concatenate([np.stack([low, next_low, high], axis=1), np.stack([next_low, next_high, high], axis=1)])


@pytest.mark.parametrize(("corners", "hole", "found"), [(4, True, 1), (3, True, 0), (12, True, 1), (12, False, 0)])
def test_a_round_hole_has_so_many_corners(corners: int, hole: bool, found: int) -> None:
    """Each wall is two triangles, and so two pieces of the section: eight of a square."""
    seen = list(balance.round_holes(_walls(corners, 5.0, hole), -0.9999))
    assert len(seen) == found
    for one in seen:
        assert (one.x, one.y) == (pytest.approx(30.0), pytest.approx(4.0))
    assert list(balance.round_holes(_walls(corners, 5.0, hole), -0.9999, within=20.0)) == []


def test_a_pin_is_no_hole_however_thin() -> None:
    assert list(balance.round_holes(_walls(12, 0.2, False), -0.9999)) == []
    assert len(list(balance.round_holes(_walls(12, 0.2, True), -0.9999))) == 1


# --- the gauge ------------------------------------------------------------------------------------------------------
def _gauge(finger: float, skirt: float = 0.0) -> Any:
    body = SimpleNamespace(z_front=9.0, text_depth=0.5, style=SimpleNamespace(finger_mm=finger))
    seat = SimpleNamespace(z=4.0, z_ring=4.0 - skirt)
    return SimpleNamespace(
        seat=seat, body=body, thickness_mm=4.0, z_marks=1.0, style="comb", nozzle_mm=0.4, mark_radius=70.0, sense=1
    )


@pytest.mark.parametrize(
    ("finger", "skirt", "heights"),
    [(0.0, 0.0, []), (0.9, 0.0, [1.0]), (8.0, 0.0, [1.0]), (0.0, 0.5, []), (0.0, 0.6, [3.7])],
)
def test_heights_at_which_a_gauge_s_walls_are_measured(
    finger: float, skirt: float, heights: list[float], monkeypatch: pytest.MonkeyPatch
) -> None:
    """In the plate, under the lettering; and half-way down a skirt, and in the fingers, where there are any."""
    seen: list[float] = []
    monkeypatch.setattr(gauge, "section_area", lambda triangles, z: seen.append(z))
    monkeypatch.setattr(gauge, "narrowest", lambda area, most: 2.0)
    monkeypatch.setattr(gauge, "measure_marks", lambda triangles, design: np.zeros((0, 2)))
    (found,) = gauge.check_walls(np.zeros((0, 3, 3)), _gauge(finger, skirt))
    assert seen == pytest.approx([5.0, 8.48, *heights])
    assert (found.measured, found.verdict) == (2.0, "pass")


def test_what_plastic_shrinks_by_is_said_in_per_cent(monkeypatch: pytest.MonkeyPatch) -> None:
    import trimesh

    box = np.asarray(trimesh.creation.box((20.0, 12.0, 6.0)).triangles) + np.array([0.0, 0.0, 3.0])
    body = SimpleNamespace(name="gauge", triangles=box * np.array([1.005, 1.005, 1.0]))
    monkeypatch.setattr(gauge_print, "read_3mf", lambda path: ("MilliMeter", [body]))
    monkeypatch.setattr(gauge_print, "read_stl", lambda path: box)
    monkeypatch.setattr(gauge_print, "as_printed", lambda design, triangles: [body.triangles])
    monkeypatch.setattr(gauge_print, "shrinkage_scale", lambda shrinkage: 1.005)
    design = cast(Any, SimpleNamespace(pieces=1, shrinkage=0.005, bed=None))
    found = {str(f.check): f for f in gauge_print.check_gauge_print(Path("anywhere"), design)}
    assert {f.verdict for check, f in found.items() if check != "gauge-print-same"} == {"pass"}
    assert "0.5 % shrinkage" in found["gauge-print-volume"].why


@pytest.mark.parametrize(("finger", "expected"), [(0.0, [20.0, 30.0]), (0.9, [10.0, 40.0]), (8.0, [10.0, 40.0])])
def test_a_finger_s_edges_are_a_slot_s_the_other_way_round(
    finger: float, expected: list[float], monkeypatch: pytest.MonkeyPatch
) -> None:
    design = _gauge(finger)
    design.mark_edges_deg = lambda: np.array([[12.0, 34.0]])
    edges = np.array([10.0, 30.0]), np.array([20.0, 40.0])  # where metal begins and ends
    monkeypatch.setattr(gauge, "section_segments", lambda triangles, z: (None, None))
    monkeypatch.setattr(gauge, "circle_crossings", lambda *given: edges)
    assert gauge.measure_marks(np.zeros((0, 3, 3)), design).tolist() == [expected]


def test_every_height_of_the_design_is_looked_for() -> None:
    """One face where it should be, one 0.3 mm higher; and one that the design does not have, 1 mm from the nearest."""
    faces = np.array([[[0, 0, z], [1, 0, z], [0, 1, z]] for z in (0.0, 2.3, 5.0)])
    body = MetalBody((0.0, 2.0, 5.0), (), (), lambda z: shapely.Polygon())
    assert sections.worst_height(faces, body) == pytest.approx(0.3)
    more = np.concatenate([faces, faces[:1] + np.array([0.0, 0.0, 1.0])])
    assert sections.worst_height(more, body) == pytest.approx(1.0)
    tipped = MetalBody((0.0, 2.3, 5.0), (3.6,), (), lambda z: shapely.Polygon())
    assert sections.worst_height(faces, tipped) == pytest.approx(1.3)


def test_a_corner_on_the_circle_itself_is_one_crossing() -> None:
    """From (0, 8) in to (3, 4), which lies at 5 mm, and on to (0, 1)."""
    segments = np.array([[[0.0, 8.0], [3.0, 4.0]], [[3.0, 4.0], [0.0, 1.0]]])
    entering, leaving = mesh.circle_crossings(segments, np.array([[4.0, 3.0], [3.0, -3.0]]), 5.0, 1)
    assert len(entering) + len(leaving) == 1
    assert np.concatenate([entering, leaving]).tolist() == pytest.approx([np.degrees(np.arctan2(3, 4))])


@pytest.mark.parametrize("first", [0, 1, 2])
def test_moments_of_a_box_off_the_axis(first: int) -> None:
    """20 by 12 by 6 about (7, -4, 2), by closed forms; whichever corner of a triangle comes first."""
    import trimesh

    box = trimesh.creation.box((20.0, 12.0, 6.0))
    triangles = np.roll(np.asarray(box.triangles), first, axis=1) + np.array([7.0, -4.0, 2.0])
    found, volume = mesh.mesh_moments(triangles), 20.0 * 12.0 * 6.0
    assert found.volume == pytest.approx(volume)
    assert found.first == pytest.approx(volume * np.array([7.0, -4.0, 2.0]))
    assert found.polar == pytest.approx(volume * ((20.0**2 + 12.0**2) / 12 + 7.0**2 + 4.0**2))


def test_no_section_between_heights_that_are_one() -> None:
    """Two hundredths apart they are one; a drill point's taper is left out."""
    body = MetalBody((0.0, 0.02, 1.0, 1.03, 5.0), (), ((2.0, 3.0),), lambda z: shapely.Polygon())
    assert body.heights == pytest.approx((0.51, 1.015, 1.515, 4.0))


@pytest.mark.parametrize(("outer", "ways"), [(25.0, 1), (20.0, 2)])
def test_marks_lie_alike_by_both_their_ends(outer: float, ways: int) -> None:
    """Two bolts, and a line towards each from 10 mm out: turned by half they differ where one is longer."""
    lines: Any = [SimpleNamespace(vertices=[(0.0, a, 0.0), (0.0, b, 0.0)]) for a, b in ((10.0, 20.0), (-10.0, -outer))]
    bolts = np.array([[0.0, 30.0], [0.0, -30.0]])
    holes = [SimpleNamespace(x=x, y=y) for x, y in bolts.tolist()]
    cut = cast(Any, SimpleNamespace(circles={"HOLES": holes}, paths={"MARK": lines}))
    found = wheel_flat._one_way("wheel-flat.dxf", cut, bolts, lines)
    assert found.verdict == ("pass" if ways == 1 else "fail")
    assert Words().text(str(found.measured)) == f"2 ways by the holes, {ways} by the marks"


SQUARE = np.array([[[0, 0], [20, 0]], [[20, 0], [20, 12]], [[20, 12], [0, 12]], [[0, 12], [0, 0]]], dtype=float)


@pytest.mark.parametrize(
    ("segments", "off"),
    [
        (SQUARE, 0.0),
        (SQUARE[:3], 12 / 2),  # a side is lost
        (np.concatenate([SQUARE, [[[5.0, 4.0], [7.0, 4.0]]]]), 4.0),  # and one is too much
        (SQUARE + np.array([0.3, 0.0]), 0.3),
    ],
)
def test_what_is_missing_and_what_is_too_much_in_a_plane_part(
    segments: Floats, off: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bracket_metal, "section_segments", lambda triangles, z: (segments, None))
    frame = cast(Any, SimpleNamespace(back=lambda triangles: triangles))
    found = bracket_metal._off(np.zeros((0, 3, 3)), frame, 4.0, shapely.box(0, 0, 20, 12), [], ())
    assert found == pytest.approx(off)


def test_a_tooth_s_weight_times_its_radius() -> None:
    """Radial sides: a piece of a ring, pitch less slot wide: its moment is the integral of r² dr times the chord."""
    made = design_wheel(plate_job(36, 1, 160.0, slot="{width: 6, depth: 6, sides: radial, floor: flat}"))
    wide = 2 * np.pi / 36 - 2 * np.arcsin(3.0 / 80.0)
    expected = 7850e-6 * 3.2 * (80.0**3 - 74.0**3) / 3 * 2 * np.sin(wide / 2)
    assert unbalance.tooth_moment_g_mm(made, 7850.0) == pytest.approx(expected, rel=2e-3)


@pytest.mark.parametrize("level", [True, False])
def test_a_bar_s_ends_are_read_on_both_sides_alike(level: bool) -> None:
    """Each stroke as far to the one side of the bar's line as to the other, within its half length."""
    seen: list[tuple[paper.Point, paper.Point]] = []
    page = cast(Any, SimpleNamespace(line_across=lambda place, along: seen.append((place, along)) or 0.01))
    a, b = (20.0, 30.0), (120.0, 30.0) if level else (20.0, 130.0)
    assert list(paper.bar_ends(page, cast(Any, SimpleNamespace(a=a, b=b, level=level)))) == [0.01] * 4
    along, across = (0, 1) if level else (1, 0)
    assert {way for _, way in seen} == {(1.0, 0.0) if level else (0.0, 1.0)}
    for end in (a, b):
        beside = [place[across] - end[across] for place, _ in seen if place[along] == end[along]]
        assert sum(beside) == pytest.approx(0.0)
        assert 1.0 < max(beside) < paper.BAR_TICK / 2
    assert len(seen) == 4


# --- drawings -------------------------------------------------------------------------------------------------------
def test_the_first_four_words_that_differ_are_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    doc = ezdxf.new()
    for word in ("one", "two", "three", "four", "five"):
        doc.modelspace().add_text(f"⌀{word}")
    monkeypatch.setattr(drawings, "pdf_texts", lambda path: ["⌀one"])
    assert drawings._same_words("wheel", doc, tmp_path).measured == "⌀two, ⌀three, ⌀four, ⌀five"
    monkeypatch.setattr(drawings, "pdf_texts", lambda path: [])
    assert drawings._same_words("wheel", doc, tmp_path).measured == "⌀one, ⌀two, ⌀three, ⌀four"
    monkeypatch.setattr(drawings, "pdf_texts", lambda path: ["⌀one ⌀two⌀three ⌀four ⌀five"])
    assert drawings._same_words("wheel", doc, tmp_path).measured == "5 words"


# --- a wheel that a sensor looks at -----------------------------------------------------------------------------------
@pytest.mark.parametrize("gap_at", [100.0, 240.0])
def test_a_slot_across_the_tdc_line_is_as_wide_as_any(gap_at: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Few teeth, so that the one slot across 0 degrees counts: four positions, one missing, at the places given."""
    made = design_wheel(plate_job(4, 1, 60.0, gap_at=gap_at, slot="{width: 6, depth: 5}"))
    starts = np.sort(np.mod(made.teeth.tooth_centres_deg - 35.0, 360.0))
    ends = starts + 70.0
    monkeypatch.setattr(teeth_seen, "read_stl", lambda path: None)
    monkeypatch.setattr(teeth_seen, "section_segments", lambda triangles, z: (np.ones((1, 2, 2)), None))
    monkeypatch.setattr(teeth_seen, "_edges_at", lambda *given: (starts, ends))
    sensor = cast(Any, SimpleNamespace(looks="along", radius=27.0))
    seen = teeth_seen.measured_edges(Path("anywhere"), made, sensor)
    assert np.degrees(seen.slot_width_mm / seen.radius_mm) == pytest.approx(20.0)


@pytest.mark.parametrize(
    ("radius", "read_at"), [(79.5, [79.5]), (79.74, [79.74]), (79.75, [77.0, 79.0]), (80.0, [77.0, 79.0])]
)
def test_near_the_rim_edges_are_drawn_out_from_further_in(
    radius: float, read_at: list[float], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The rim itself cuts chords of arcs; there the straight sides are gone on with."""
    monkeypatch.setattr(teeth_seen, "BELOW_RIM_MM", 0.25)
    monkeypatch.setattr(teeth_seen, "NEAR_RIM", 2 / 3)
    asked: list[float] = []

    def crossings(segments: Floats, normals: Floats, at: float, sense: int) -> tuple[Floats, Floats]:
        asked.append(at)
        return np.array([10.0, 100.0]), np.array([50.0, 140.0])

    monkeypatch.setattr(teeth_seen, "circle_crossings", crossings)
    made = cast(Any, SimpleNamespace(sense=1, slot=SimpleNamespace(check_radius=77.0)))
    start, end = teeth_seen._edges_at(np.zeros((0, 2, 2)), np.zeros((0, 2)), made, radius, 80.0)
    assert asked == pytest.approx(read_at)
    assert (start.tolist(), end.tolist()) == (pytest.approx([10.0, 100.0]), pytest.approx([50.0, 140.0]))
