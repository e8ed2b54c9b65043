"""What the printed gauge is held to: bodies, size, marks, seat, lettering, walls and what the printer gets, by hand."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
import shapely

from tests.checks.test_bracket_folded import block
from tests.checks.test_gauge_limits import NOTHING, figure, holes, ring, written
from wheelcad.checks import gauge, gauge_print
from wheelcad.checks.mesh import MeshMoments
from wheelcad.findings import Finding
from wheelcad.words import Words

Floats = np.ndarray[Any, np.dtype[np.float64]]


def said(finding: Finding) -> str:
    return Words().text(str(finding.measured))


def judged(finding: Finding) -> tuple[Any, str]:
    return finding.measured, finding.verdict


def test_the_gauge_that_is_measured_is_the_file_s(monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[Path] = []
    monkeypatch.setattr(gauge, "read_stl", lambda path: read.append(path) or NOTHING)
    for name in ("bodies", "size", "marks", "holes", "seat", "writing", "walls"):
        monkeypatch.setattr(gauge, f"check_{name}", lambda triangles, design, name=name: [name])
    found = gauge.check_gauge(Path("made"), cast(Any, None))
    assert found == ["bodies", "size", "marks", "holes", "seat", "writing", "walls"]
    assert read == [Path("made/gauge.stl")]


# --- bodies and size --------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("triangles", "pieces", "words", "verdict"),
    [
        (block(2, 3, 4), 1, "watertight, 1 of 1 body, 24 mm³", "pass"),
        (block(2, 3, 4), 2, "watertight, 1 of 2 bodies, 24 mm³", "fail"),
        (block(2, 3, 4)[1:], 1, "not watertight, 1 of 1 body", "fail"),
        (block(2, 3, 4)[:, ::-1], 1, "not watertight, 1 of 1 body", "fail"),  # inside out
        (block(0.5, 0.5, 0.5), 1, "watertight, 1 of 1 body", "pass"),
    ],
)
def test_closed_bodies(triangles: Floats, pieces: int, words: str, verdict: str) -> None:
    (found,) = gauge.check_bodies(triangles, cast(Any, SimpleNamespace(pieces=pieces)))
    assert said(found).startswith(words)
    assert found.verdict == verdict


def test_a_body_without_volume_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gauge, "mesh_moments", lambda triangles: MeshMoments(0.0, np.zeros(3), 0.0))
    (found,) = gauge.check_bodies(block(1, 1, 1), cast(Any, SimpleNamespace(pieces=1)))
    assert found.verdict == "fail"


@pytest.mark.parametrize(("off", "verdict"), [(0.0, "pass"), (0.019, "pass"), (-0.021, "fail")])
@pytest.mark.parametrize("axis", [0, 1, 2])
def test_over_all(axis: int, off: float, verdict: str) -> None:
    size = np.array([100.0, 80.0, 9.0])
    wanted = size - off * np.eye(3)[axis]
    (found,) = gauge.check_size(block(*size, (3.0, 2.0, 1.0)), cast(Any, SimpleNamespace(size_mm=tuple(wanted))))
    assert judged(found) == (pytest.approx(abs(off), abs=1e-9), verdict)
    assert "over all 100 mm × 80 mm × 9 mm" in Words().text(found.why)


# --- marks ------------------------------------------------------------------------------------------------------------
def test_the_nearest_of_the_angles_found() -> None:
    found = gauge.nearest_angle(np.array([2.0, 100.0, 359.0]), np.array([0.2, 0.8, 60.0, 357.0, 180.0]))
    assert found.tolist() == [359.0, 2.0, 100.0, 359.0, 100.0]
    assert gauge.nearest_angle(np.array([5.0]), np.array([1.0, 200.0])).tolist() == [5.0, 5.0]
    assert np.isnan(gauge.nearest_angle(np.array([]), np.array([1.0, 2.0]))).tolist() == [True, True]


def marks(
    found: list[list[float]],
    monkeypatch: pytest.MonkeyPatch,
    cut: Any = True,
    tip: Any = None,
    sense: int = 1,
    tdc: tuple[float, float] = (0.0, 60.0),
) -> list[Finding]:
    """Marks of cuts 4, 5 and 9, whose edges should lie at 10 and 14, 20 and 24, 358 and 2 degrees."""
    heights: list[float] = []
    monkeypatch.setattr(gauge, "measure_marks", lambda triangles, design: np.array(found))
    points = np.array([[[0.0, 50.0], [5.0, 50.0]], [[*(tip or (0.0, 0.0))], [9.0, 9.0]]])
    monkeypatch.setattr(gauge, "section_segments", lambda triangles, z: heights.append(z) or (points, None))
    engraving = SimpleNamespace(tdc=tdc if tip else None)
    design = SimpleNamespace(
        mark_edges_deg=lambda: np.array([[10.0, 14.0], [20.0, 24.0], [358.0, 2.0]]),
        mark_edges_cut=lambda: np.broadcast_to(cut, (3, 2)),
        cover=SimpleNamespace(marks=[SimpleNamespace(number=n) for n in (4, 5, 9)]),
        mark_radius=70.0, sense=sense, body=SimpleNamespace(z_front=9.0, text_depth=1.5, engraving=engraving),
    )  # fmt: skip
    out = list(gauge.check_marks(NOTHING, cast(Any, design)))
    assert heights == ([8.25] if tip else [])
    return out


@pytest.mark.parametrize(
    ("off", "verdict"), [(0.0, "pass"), (0.0019, "pass"), (-0.0019, "pass"), (0.0021, "fail"), (-0.0021, "fail")]
)
@pytest.mark.parametrize(("row", "side"), [(0, 1), (1, 0), (2, 0)])
def test_the_worst_edge_of_all_marks(
    row: int, side: int, off: float, verdict: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    edges = [[10.0, 14.0005], [20.0, 24.0], [358.0, 2.0]]
    edges[row][side] += off
    worst = max(0.0005, abs(off + (0.0005 if (row, side) == (0, 1) else 0.0)))
    (found,) = marks(edges, monkeypatch)
    assert found.measured == pytest.approx(worst, abs=1e-9)
    assert found.verdict == ("pass" if worst <= 0.002 else "fail")
    number = (4, 5, 9)[row] if abs(off) > 0.001 else 4
    assert f"3 marks' edges, cut {number}, at radius 70 mm" in Words().text(found.why)


def test_an_edge_that_the_gap_has_taken_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    edges = [[10.0, 14.0], [20.0, 60.0], [358.0, 2.001]]
    cut = np.array([[True, True], [True, False], [True, True]])
    assert judged(marks(edges, monkeypatch, cut)[0]) == (pytest.approx(0.001), "pass")
    (lost,) = marks([[10.0, 14.0], [math.nan, 24.0], [358.0, 2.0]], monkeypatch)
    assert (math.isnan(float(cast(Any, lost.measured))), lost.verdict) == (True, "fail")
    assert "cut 5" in lost.why


@pytest.mark.parametrize("sense", [1, -1])
@pytest.mark.parametrize(
    ("tip", "angle", "verdict"),
    [
        ((0.0, 60.0), 0.0, "pass"),
        ((0.0199, 60.0), 0.0190, "pass"),
        ((-0.0220, 60.0), 0.02101, "fail"),
        ((0.0, 59.91), 0.0, "pass"),
        ((0.0, 60.105), math.nan, "fail"),  # more than a tenth away is not it
    ],
)
def test_the_pointer_s_tip_on_the_tdc_line(
    tip: tuple[float, float], angle: float, verdict: str, sense: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    _, found = marks([[10.0, 14.0], [20.0, 24.0], [358.0, 2.0]], monkeypatch, tip=tip, sense=sense)
    assert judged(found) == (pytest.approx(angle, abs=1e-4, nan_ok=True), verdict)


def test_a_tip_just_a_tenth_away_is_the_tip(monkeypatch: pytest.MonkeyPatch) -> None:
    edges = [[10.0, 14.0], [20.0, 24.0], [358.0, 2.0]]
    assert marks(edges, monkeypatch, tip=(0.0, 0.1), tdc=(0.0, 0.0))[1].verdict == "pass"


# --- holes and seat ---------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("off", "verdict"), [(0.0195, "pass"), (0.021, "fail")])
def test_how_far_a_hole_may_lie_off(off: float, verdict: str, monkeypatch: pytest.MonkeyPatch) -> None:
    found = holes(ring(30.0 + off, 4.0, 4.0, 256), monkeypatch)
    assert judged(found["gauge-hole-place"]) == (pytest.approx(off, abs=1e-9), verdict)
    found = holes(ring(30.0, 4.0, 4.0 + off / 2, 256), monkeypatch)
    assert judged(found["gauge-hole-size"]) == (pytest.approx(off, abs=1e-9), verdict)
    assert Words().text(found["gauge-hole-size"].why) == "against ⌀8 mm, hole and allowance"


@pytest.mark.parametrize(("inside", "verdict"), [(0.00095, "pass"), (0.00105, "fail")])
def test_flats_of_a_hole(inside: float, verdict: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """On the diameter: one piece's middle lies so much inside, the others outside."""
    walls = ring(30.0, 4.0, 4.0 / math.cos(math.pi / 64), 64)
    walls[7] -= 0.5 * inside * (walls[7].mean(axis=0) - [30.0, 4.0]) / 4.0
    found = holes(walls, monkeypatch)["gauge-hole-flats"]
    assert judged(found) == (pytest.approx(inside, abs=1e-9), verdict)


def test_the_worst_of_several_holes(monkeypatch: pytest.MonkeyPatch) -> None:
    walls = np.concatenate([ring(30.0, 4.0, 4.0, 64), ring(-30.03, 4.0, 4.0, 64)])
    monkeypatch.setattr(gauge, "section_segments", lambda t, z: (walls, None))
    both = tuple(SimpleNamespace(x=x, y=4.0, radius=4.0) for x in (30.0, -30.0))
    design = SimpleNamespace(holes=both, seat=SimpleNamespace(z=2.0), thickness_mm=4.0)
    place = gauge.check_holes(NOTHING, cast(Any, design))[0]
    assert judged(place) == (pytest.approx(0.03), "fail")
    assert place.why == "worst of 2 bolt holes' places"
    assert gauge.check_holes(NOTHING, cast(Any, SimpleNamespace(holes=()))) == []


def test_what_is_a_fifth_of_the_radius_away_is_no_part_of_a_hole(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 5 mm: walls whose middles are at 4 and at 6."""
    beside = np.array([[[4.0, -1.0], [4.0, 1.0]], [[6.0, -1.0], [6.0, 1.0]]])
    monkeypatch.setattr(gauge, "section_segments", lambda t, z: (np.concatenate([ring(0, 0, 5, 64), beside]), None))
    hole = SimpleNamespace(x=0.0, y=0.0, radius=5.0)
    design = SimpleNamespace(holes=(hole,), seat=SimpleNamespace(z=2.0), thickness_mm=4.0)
    place, size, _ = gauge.check_holes(NOTHING, cast(Any, design))
    assert [place.measured, size.measured] == pytest.approx([0.0, 0.0], abs=1e-9)
    near = np.array([[[0.1, 0.0], [0.0, 0.1]], [[-0.1, 0.0], [0.0, -0.1]]] * 2)
    monkeypatch.setattr(gauge, "section_segments", lambda t, z: (near, None))
    assert math.isnan(gauge._circle_about_axis(NOTHING, 1.0, 0.2))  # a tenth away is another


def seat(
    found: float, monkeypatch: pytest.MonkeyPatch, cavities: Any = (), keyed: bool = False, low: float = -6.0
) -> Any:
    asked: list[tuple[float, float]] = []
    monkeypatch.setattr(gauge, "_circle_about_axis", lambda t, z, radius: asked.append((z, radius)) or found)
    register = SimpleNamespace(boss="boss", keyed=keyed, boss_depth=5.0, printed_diameter=59.8, metal_diameter=60.0)
    made = SimpleNamespace(register=register, cavities=cavities, shoulder_radius=58.0, z=2.0)
    design = SimpleNamespace(seat=made, z_back=-6.0)
    return list(gauge.check_seat(block(9, 9, 10.0, (0.0, 0.0, low + 5.0)), cast(Any, design))), asked


@pytest.mark.parametrize(("off", "verdict"), [(0.0, "pass"), (0.019, "pass"), (-0.021, "fail")])
def test_how_far_a_seat_reaches_and_fits(off: float, verdict: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A boss is measured half-way along it; of a skirt the last cavity counts, six tenths of the way along."""
    reach, boss = seat(29.9 + off / 2, monkeypatch, low=-6.0 + off)[0]
    for found in (reach, boss):
        assert judged(found) == (pytest.approx(abs(off), abs=1e-9), verdict)
    assert seat(29.9, monkeypatch)[1] == [(-0.5, 29.9)]
    cavities = [SimpleNamespace(z0=-9.0, z1=-8.0, radius=40.0), SimpleNamespace(z0=-6.0, z1=4.0, radius=58.5)]
    (_, skirt), asked = seat(58.5 + off, monkeypatch, cavities)
    assert judged(skirt) == (pytest.approx(abs(off), abs=1e-9), verdict)
    assert asked == [(pytest.approx(0.0), 58.5)]
    assert Words().text(skirt.why).endswith("0.5 mm clear of the shoulder")
    assert len(seat(29.9, monkeypatch, keyed=True)[0]) == 1


# --- lettering and walls ----------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("stroke", "verdict"), [(0.571, "pass"), (0.5685, "fail"), (0.62, "pass")])
def test_the_narrowest_stroke(stroke: float, verdict: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Six tenths, less what measuring it is good to; the narrowest of all letters counts."""
    widths = iter([0.9, stroke, 0.8])
    monkeypatch.setattr(gauge, "narrowest", lambda p, upto: next(widths))
    found = written([figure(-1.5), figure(1.5), figure(0.0)], monkeypatch)["gauge-stroke"]
    assert judged(found) == (stroke, verdict)


def test_what_is_a_letter_and_how_wide_it_is_measured(monkeypatch: pytest.MonkeyPatch) -> None:
    """A square of 0.22 has less than a twentieth of a square millimetre; none is measured beyond two."""
    for size, seen in ((0.22, 2), (0.23, 3)):
        found = written([figure(-1.5), figure(1.5), figure(0.0, size=size)], monkeypatch)["gauge-stroke"]
        assert f"{seen} letters" in found.why
    assert written([figure(0.0, size=2.15)], monkeypatch)["gauge-stroke"].measured == 2.0


def test_a_number_is_written_as_one_of_so_many_cuts(monkeypatch: pytest.MonkeyPatch) -> None:
    """What reads as another upside down has a stop at its foot, where there is such a cut: up to 12 here."""
    monkeypatch.setattr(gauge, "number_text", lambda number, most: "9." if most == 12 else "9")
    assert written([figure(-1.0), figure(1.0)], monkeypatch)["gauge-numbers-in-place"].verdict == "pass"


@pytest.mark.parametrize("at", [0.0, 90.0, 180.0, 270.0])
def test_letters_are_looked_for_as_far_out_all_round(at: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Half a millimetre inside 58: at 57 a square of one is in, at 57.04 its edge is not."""
    for out, seen in ((6.97, True), (7.03, False)):
        found = written([figure(-1.5), figure(1.5), figure(0.0, out, at=at)], monkeypatch)
        assert f"{3 if seen else 2} letters" in found["gauge-stroke"].why


def test_where_lettering_is_cut(monkeypatch: pytest.MonkeyPatch) -> None:
    """Half-way down it, and just under its floor."""
    heights: list[float] = []
    body = SimpleNamespace(z_front=9.0, text_depth=0.8, style=SimpleNamespace(clear_radius=58.0), number_radius=50.0,
                           engraving=SimpleNamespace(loops=[1], size=None, numbered=()))  # fmt: skip
    monkeypatch.setattr(gauge, "section_area", lambda t, z: heights.append(z) or shapely.Point(0, 0).buffer(60))
    design = SimpleNamespace(body=body, cover=SimpleNamespace(marks=[]), sense=1)
    stroke, places = gauge.check_writing(NOTHING, cast(Any, design))
    assert heights == pytest.approx([8.6, 8.19])
    assert (stroke.verdict, places.verdict, said(places)) == ("fail", "pass", "0 of 0 in place")


@pytest.mark.parametrize(
    ("style", "edges", "thin"),
    [
        ("outline", [[10.0, 14.0], [15.0, 19.0], [30.0, 34.0]], 2 * 70 * math.sin(math.radians(0.5))),
        ("outline", [[2.0, 8.0], [20.0, 24.0], [350.0, 0.8]], 2 * 70 * math.sin(math.radians(0.6))),  # across 0
        ("outline", [[0.5, 8.0], [20.0, 24.0], [350.0, 359.3]], 2 * 70 * math.sin(math.radians(0.6))),
        ("outline", [[10.0, 14.0], [20.0, 24.0], [30.0, 34.0]], 3.0),  # the plate's is thinner
        ("outline", [[10.0, 14.0], [15.0, 19.0]], 2 * 70 * math.sin(math.radians(0.5))),
        ("outline", [[10.0, 10.5]], 3.0),
        ("comb", [[10.0, 14.0], [15.0, 19.0]], 3.0),
    ],
)
def test_the_thinnest_tooth_of_an_outline(
    style: str, edges: list[list[float]], thin: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between where one mark ends and the next begins, as a chord."""
    monkeypatch.setattr(gauge, "section_area", lambda t, z: z)
    monkeypatch.setattr(gauge, "narrowest", lambda area, upto: 3.0)
    monkeypatch.setattr(gauge, "measure_marks", lambda t, design: np.array(edges))
    body = SimpleNamespace(z_front=9.0, text_depth=0.5, style=SimpleNamespace(finger_mm=0.0))
    design = SimpleNamespace(seat=SimpleNamespace(z=4.0, z_ring=4.0), body=body, thickness_mm=4.0, z_marks=1.0,
                             style=style, nozzle_mm=0.4, mark_radius=70.0)  # fmt: skip
    (found,) = gauge.check_walls(NOTHING, cast(Any, design))
    assert found.measured == pytest.approx(thin)


def test_a_skirt_of_half_a_millimetre_and_more_has_walls(monkeypatch: pytest.MonkeyPatch) -> None:
    heights: list[float] = []
    monkeypatch.setattr(gauge, "section_area", lambda t, z: heights.append(z))
    monkeypatch.setattr(gauge, "narrowest", lambda area, upto: 3.0)
    monkeypatch.setattr(gauge, "measure_marks", lambda t, design: np.zeros((0, 2)))
    body = SimpleNamespace(z_front=9.0, text_depth=0.5, style=SimpleNamespace(finger_mm=0.0))
    design = SimpleNamespace(seat=SimpleNamespace(z=4.0, z_ring=3.48), body=body, thickness_mm=4.0, style="comb",
                             nozzle_mm=0.4)  # fmt: skip
    gauge.check_walls(NOTHING, cast(Any, design))
    assert heights == pytest.approx([5.0, 8.48, 3.74])


# --- what the printer gets --------------------------------------------------------------------------------------------
def printed(
    bodies: list[Floats], monkeypatch: pytest.MonkeyPatch, unit: str = "MilliMeter", pieces: int = 2, bed: Any = None
) -> dict[str, Finding]:
    """Two blocks as in gauge.stl, and what gauge.3mf has."""
    asked: list[str] = []
    wanted = [block(20, 12, 6, (0.0, 0.0, 3.0)), block(10, 10, 4, (40.0, 0.0, 2.0))]
    named = [SimpleNamespace(name=f"piece {n}", triangles=body) for n, body in enumerate(bodies)]
    monkeypatch.setattr(gauge_print, "read_3mf", lambda path: asked.append(str(path)) or (unit, named))
    monkeypatch.setattr(gauge_print, "read_stl", lambda path: asked.append(str(path)) or np.concatenate(wanted))
    monkeypatch.setattr(gauge_print, "as_printed", lambda design, triangles: wanted)
    design = cast(Any, SimpleNamespace(pieces=pieces, shrinkage=0.0, bed=bed))
    found = {str(f.check): f for f in gauge_print.check_gauge_print(Path("made"), design)}
    assert asked == [str(Path("made") / name) for name in ("gauge.3mf", "gauge.stl")]
    return found


FIRST, SECOND = block(20, 12, 6, (0.0, 0.0, 3.0)), block(10, 10, 4, (40.0, 0.0, 2.0))


@pytest.mark.parametrize(("off", "verdict"), [(0.0009, "pass"), (0.00105, "fail"), (-0.00105, "fail")])
def test_pieces_laid_down_are_those_of_the_gauge(off: float, verdict: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """One of them a thousandth out of place; and standing so high, or so low."""
    found = printed([FIRST, SECOND + np.array([0.0, off, 0.0])], monkeypatch)
    assert judged(found["gauge-print-same"]) == (pytest.approx(abs(off), abs=1e-5), verdict)
    assert judged(found["gauge-print-stands"]) == (0.0, "pass")
    found = printed([FIRST + np.array([0.0, 0.0, off]), SECOND], monkeypatch)
    assert judged(found["gauge-print-stands"]) == (pytest.approx(abs(off), abs=1e-9), verdict)
    short = printed([FIRST[:-1], SECOND], monkeypatch)["gauge-print-same"]
    assert judged(short) == (math.inf, "fail")


@pytest.mark.parametrize(("more", "verdict"), [(0.0000999, "pass"), (0.000105, "fail"), (-0.000105, "fail")])
def test_the_volume_of_all_pieces(more: float, verdict: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 1,440 and 400 mm³ a ten-thousandth more or less."""
    grown = SECOND * [1.0, 1.0, 1 + more * 1840 / 400]
    found = printed([FIRST, grown], monkeypatch)["gauge-print-volume"]
    assert judged(found) == (pytest.approx(abs(more), abs=1e-9), verdict)


def test_unit_and_number_of_pieces(monkeypatch: pytest.MonkeyPatch) -> None:
    assert printed([FIRST, SECOND], monkeypatch)["gauge-print-bodies"].verdict == "pass"
    assert printed([FIRST, SECOND], monkeypatch, unit="Inch")["gauge-print-bodies"].verdict == "fail"
    one = printed([FIRST], monkeypatch)
    assert [f.verdict for f in one.values()] == ["fail"]


@pytest.mark.parametrize(
    ("bed", "over", "verdict"),
    [
        ((36.0, 28.0), 0.0, "pass"),
        ((36.0, 27.95), 0.05, "warn"),
        ((35.95, 80.0), 0.05, "warn"),
        ((200.0, 31.0), -3.0, "pass"),
    ],
)
def test_the_largest_piece_on_the_bed(
    bed: tuple[float, float], over: float, verdict: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """20 by 12 mm with 8 mm left on every side: 36 by 28 is the least."""
    found = printed([SECOND, FIRST], monkeypatch, bed=bed)["gauge-print-bed"]
    assert judged(found) == (pytest.approx(over, abs=1e-9), verdict)
    words = Words().text(found.why)
    assert words.startswith(f"largest piece 20 mm × 12 mm × 6 mm on a bed of {bed[0]:g} mm × {bed[1]:g} mm; ")
    for slender in (block(4, 30, 2, (0.0, 0.0, 1.0)), block(30, 4, 9, (0.0, 0.0, 4.5))):
        found = printed([slender, FIRST], monkeypatch, bed=(100.0, 100.0))["gauge-print-bed"]
        assert found.measured == pytest.approx(30.0 - 84.0)
        assert "largest piece 20 mm × 12 mm" in Words().text(found.why)
