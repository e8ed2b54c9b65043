"""Lettering: strokes as wide as asked for, text that reads from the front, numbers at their slots on both hands."""

from __future__ import annotations

import math
import string

import numpy as np
import pytest
import shapely
import shapely.affinity

from tests.parts.gauge_files import gauge_of
from tests.parts.gauge_jobs import job_of, plate, random_gauge_job, turned
from wheelcad.errors import DesignError
from wheelcad.parts.gauge.lettering import (
    Lettering,
    curved_text,
    letter_outlines,
    number_text,
    place,
    straight_text,
)
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.parts.wheel.design import design_wheel

CHARACTERS = string.digits + string.ascii_uppercase + "-"


def letter_area(ch: str, height: float, stroke: float) -> shapely.Geometry:
    outlines = sorted((shapely.Polygon(p) for p in letter_outlines(ch, height, stroke)), key=lambda p: -p.area)
    area = outlines[0]
    for inner in outlines[1:]:
        area = area.symmetric_difference(inner)
    return area


@pytest.mark.parametrize(("height", "stroke"), [(3.0, 0.6), (4.0, 0.8)])
def test_every_letter_is_as_high_and_its_strokes_as_wide_as_asked(height: float, stroke: float) -> None:
    for ch in CHARACTERS:
        area = letter_area(ch, height, stroke)
        assert area.geom_type == "Polygon", ch
        worn = area.buffer(-stroke / 2 + 0.02)
        assert not worn.is_empty, ch
        assert worn.geom_type == "Polygon", ch  # in one piece: no stroke is narrower
        if ch != "-":
            assert area.bounds[3] - area.bounds[1] == pytest.approx(height, abs=0.35 * height), ch


def test_letters_are_told_apart_by_their_shapes() -> None:
    size = (4.0, 0.8)
    for i, a in enumerate(string.digits):
        for b in string.digits[i + 1 :]:
            differ = letter_area(a, *size).symmetric_difference(letter_area(b, *size)).area
            assert differ > 0.8, (a, b)


def test_placing_neither_mirrors_nor_stretches() -> None:
    points = np.array([[0.0, -1.0], [2.0, -1.0], [2.0, 0.0]])
    for page in (0.0, 75.0, 200.0):
        for turned_by in (0.0, 180.0):
            out = place(points, 30.0, page, turned_by)
            a, b = out[1] - out[0], out[2] - out[0]
            assert a[0] * b[1] - a[1] * b[0] == pytest.approx(2.0)  # still anticlockwise, the same area


def test_reading_at_the_top_runs_to_the_right_and_below_too() -> None:
    """What is read first stands to the left, whether tops point outwards (above) or inwards (below)."""
    size = Lettering(4.0, 0.8)
    for page in (0.0, 180.0):
        loops = curved_text("1-8", size, 40.0, page)
        xs = [shapely.Polygon(loop.vertices[:, :2]).centroid.x for loop in loops]
        assert xs[0] < xs[1] < xs[2]
    top = shapely.Polygon(curved_text("7", size, 40.0, 180.0)[0].vertices[:, :2])
    assert top.centroid.y > -40.0  # a 7 has its weight at its top, which points inwards (upwards) there


def test_a_number_stands_across_its_radius() -> None:
    loops = list(straight_text("12", Lettering(4.0, 0.8), 50.0, 90.0))
    centres = np.array([shapely.Polygon(loop.vertices[:, :2]).centroid.coords[0] for loop in loops])
    assert centres[:, 0] == pytest.approx([50.0, 50.0], abs=0.4)
    assert centres[0, 1] > centres[1, 1]  # tops outwards, to the right: it reads downwards


def local_letters(design: GaugeDesign, number: int) -> list[shapely.Geometry]:
    """The engraved letters at a cut's number, turned back to where they read from left to right."""
    mark = next(m for m in design.marks if m.number == number)
    page = math.radians(design.sense * mark.at_deg)
    out = []
    for loop in design.engraving.loops:
        x, y = loop.vertices[:, 0], loop.vertices[:, 1]
        s, h = x * math.cos(page) - y * math.sin(page), x * math.sin(page) + y * math.cos(page)
        if np.abs(s).max() < 6 and np.abs(h - design.number_radius).max() < design.engraving.size.height:
            out.append(shapely.Polygon(np.column_stack([s, h - design.number_radius])))
    return out


@pytest.mark.parametrize("turns", ["clockwise", "anticlockwise"])
def test_numbers_read_right_from_the_front_on_both_hands(turns: str) -> None:
    design = gauge_of(job_of(**turned(engine={"turns": turns})))
    size = design.engraving.size
    for number in (4, 6, 7, 9, 12, 16, 23):
        found = shapely.union_all(local_letters(design, number))
        shapes = [
            shapely.Polygon(outline + np.array([x, 0.0]))
            for ch, x in size.offsets(number_text(number, 36))
            for outline in letter_outlines(ch, size.height, size.stroke)
        ]
        assert found.symmetric_difference(shapely.union_all(shapes)).area < 1e-6, number


@pytest.mark.parametrize("turns", ["clockwise", "anticlockwise"])
def test_the_pointer_is_on_the_tdc_line_and_the_arrow_turns_with_the_crank(turns: str) -> None:
    design = gauge_of(job_of(**plate(engine={"turns": turns})))
    assert design.engraving.tdc is not None
    assert design.engraving.tdc[0] == 0.0
    assert design.engraving.tdc[1] > 0
    arrow = max(design.engraving.loops, key=lambda loop: abs(loop.area))
    p = arrow.vertices[:, :2]
    middle = p.mean(axis=0)
    # the head is wider than the shaft: the corners furthest from the middle's circle are the barbs, next to the tip
    barb = p[np.argmax(np.abs(np.hypot(*p.T) - np.hypot(*middle)))]
    clockwise = middle[0] * barb[1] - middle[1] * barb[0] < 0
    assert clockwise == (turns == "clockwise")


def test_close_slots_are_numbered_now_and_then_and_that_is_said() -> None:
    sections = plate(gauge={"thickness": 3.0})
    sections["wheel"] = {
        "form": "plate",
        "teeth": 120,
        "missing": 2,
        "outside_diameter": 160.0,
        "thickness": 3.0,
        "slot": {"width": 2.0, "depth": 4.0},
        "bore": 40.0,
    }
    design = gauge_of(job_of(**sections))
    assert design.engraving.numbered == [1, *range(2, 119, 2)]  # 3 deg at ⌀160 is 4 mm: every second has room
    finding = next(f for f in design.findings if f.check == "gauge-numbers")
    assert "count on from those" in finding.why


def test_nothing_written_or_cut_touches_anything_else() -> None:
    """On random gauges no two walls that stand at the same height touch in plan."""
    tried = 0
    for seed in range(300, 340):
        job = random_gauge_job(seed)
        wheel = design_wheel(job)
        try:
            design = gauge_of(job)
        except DesignError:
            continue
        rings = [shapely.LinearRing(wall.loop.flatten(0.01)) for wall in design.walls]
        heads = [shapely.LinearRing(wall.upper.flatten(0.01)) for wall in design.walls]
        tree = shapely.STRtree([shapely.union(a, b).envelope for a, b in zip(rings, heads, strict=True)])
        for i, j in tree.query([shapely.union(a, b).envelope for a, b in zip(rings, heads, strict=True)]).T:
            a, b = design.walls[i], design.walls[j]
            if i < j and a.z0 <= b.z1 and b.z0 <= a.z1:
                for p in (rings[i], heads[i]):
                    for q in (rings[j], heads[j]):
                        assert p.distance(q) > 0.05, (seed, i, j)
        assert wheel.radius_mm > 0
        tried += 1
    assert tried > 30


def test_no_number_reads_as_another_upside_down() -> None:
    """Turned half round, 6 is 9 and 16 is 91; a full stop at the foot tells them apart. 8, 11, 69 stay themselves."""
    assert {n for n in range(1, 37) if number_text(n, 36).endswith(".")} == {6, 9}  # there is no slot 91 for 16 to be
    wanted = {6, 9, 16, 18, 19, 61, 66, 68, 81, 86, 89, 91, 98, 99}
    assert {n for n in range(1, 100) if number_text(n, 99).endswith(".")} == wanted
    six, nine = (shapely.union_all([shapely.Polygon(o) for o in letter_outlines(ch, 4.0, 0.8)]) for ch in "69")
    assert shapely.affinity.rotate(six, 180).symmetric_difference(nine).area < 2.0  # they do look alike
    dot = letter_area(".", 4.0, 0.8)
    assert dot.area > 0.6  # a dot as wide as a stroke, and a little longer
