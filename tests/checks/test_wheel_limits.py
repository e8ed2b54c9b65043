"""The measured wheel by hand: edges, gaps, rim and notch that are just good enough, and just not."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
import shapely
import trimesh

from wheelcad.checks import wheel
from wheelcad.checks.mesh import MeshMoments
from wheelcad.checks.wheel import MeasuredTeeth
from wheelcad.errors import UnreadableError
from wheelcad.findings import Finding
from wheelcad.parts.wheel.teeth import ToothGap
from wheelcad.words import Words

Floats = np.ndarray[Any, np.dtype[np.float64]]
NOTHING = np.zeros((0, 3, 3))
NARROW, WIDE = 0.96, 1.04  # of a limit: just within it and just beyond


def teeth(*middles: float, wide: float = 4.0) -> Floats:
    """Edges of teeth with these middles, degrees."""
    edges = np.array(middles)[:, None] + np.array([-wide / 2, wide / 2])
    return np.asarray(edges[np.argsort(edges[:, 0] % 360.0)] % 360.0)


# twelve places of 30°, of which that at 0° and those at 90 and 120° are gaps
MIDDLES = (30.0, 60.0, 150.0, 180.0, 210.0, 240.0, 270.0, 300.0, 330.0)
GAPS = (ToothGap(0.0, 1), ToothGap(105.0, 2))


def design(theory: Floats | None = None, pitch: float = 30.0, gaps: tuple[ToothGap, ...] = GAPS) -> Any:
    """A wheel by its teeth alone, 80 mm in radius."""
    held = teeth(*MIDDLES) if theory is None else theory
    slot = SimpleNamespace(depth=6.0)
    return SimpleNamespace(
        tooth_edges_at=lambda radius: held, pitch_deg=pitch, gaps=gaps, radius_mm=80.0, slot=slot, sense=1
    )


def edges(found: Floats, made: Any = None) -> dict[str, Finding]:
    return {str(f.check): f for f in wheel._edges(MeasuredTeeth(77.0, found), design() if made is None else made)}


def moved(tooth: int, start: float, end: float) -> Floats:
    """The teeth, one with its edges moved."""
    found = teeth(*MIDDLES)
    found[tooth] += (start, end)
    return found


@pytest.mark.parametrize("share", [NARROW, WIDE])
@pytest.mark.parametrize(
    ("start", "end", "off"),
    [
        (1.0, 0.0, {"edge-angles": 1.0, "tooth-spacing": 0.5, "tooth-width": 0.5}),
        (0.0, -1.0, {"edge-angles": 1.0, "tooth-spacing": 0.5, "tooth-width": 0.5}),
        (1.0, 1.0, {"edge-angles": 1.0, "tooth-spacing": 1.0, "tooth-width": 0.0}),
        (-1.0, 1.0, {"edge-angles": 1.0, "tooth-spacing": 0.0, "tooth-width": 1.0}),
    ],
)
def test_a_tooth_s_edges_to_a_thousandth_of_a_degree(
    share: float, start: float, end: float, off: dict[str, float]
) -> None:
    """Of a tooth whose one edge is off half counts as spacing; and a width may be off by both its edges."""
    found = edges(moved(4, 0.001 * share * start, 0.001 * share * end))
    for check, times in off.items():
        limit = 0.002 if check == "tooth-width" else 0.001
        assert found[check].measured == pytest.approx(times * share * limit, abs=1e-9)
        assert (found[check].verdict == "pass") == (times * share <= 1.0)


@pytest.mark.parametrize(("theory", "found"), [(2e-4, -2e-4), (-2e-4, 2e-4)])
def test_an_edge_at_the_tdc_line_may_lie_on_either_side_of_it(theory: float, found: float) -> None:
    """Sorted it comes first in the one and last in the other."""
    made = design(teeth(2.0 + theory, 62.0, 122.0, 182.0), 60.0, ())
    seen = edges(teeth(2.0 + found, 62.0, 122.0, 182.0), made)
    assert seen["edge-angles"].measured == pytest.approx(4e-4, abs=1e-9)
    assert {f.verdict for f in seen.values()} == {"pass"}


def test_a_tooth_across_the_tdc_line() -> None:
    one = np.array([[350.0, 10.0]])  # all alone
    assert [f.measured for f in edges(one, design(one, 360.0, ())).values()] == pytest.approx([0.0, 0.0, 0.0])
    found = MeasuredTeeth(80.0, np.array([[100.0, 106.0], [355.0, 3.0]]))
    assert found.centres_deg.tolist() == [103.0, 359.0]
    assert found.widths_deg.tolist() == [6.0, 8.0]
    assert found.steps_deg.tolist() == [256.0, 104.0]


@pytest.mark.parametrize(
    ("starts", "ends", "paired"),
    [
        ([10.0, 100.0], [50.0, 140.0], [[10.0, 50.0], [100.0, 140.0]]),
        ([10.0, 100.0], [5.0, 50.0], [[10.0, 50.0], [100.0, 5.0]]),
        ([10.0], [10.0], [[10.0, 10.0]]),
        ([10.0, 100.0], [50.0], None),
        ([], [], None),
    ],
)
def test_each_edge_has_its_other(
    starts: list[float], ends: list[float], paired: list[list[float]] | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In a section half-way through the wheel's thickness."""
    heights: list[float] = []
    monkeypatch.setattr(wheel, "section_segments", lambda triangles, z: (heights.append(z), None))
    monkeypatch.setattr(wheel, "circle_crossings", lambda *given: (np.array(starts), np.array(ends)))
    if paired is None:
        with pytest.raises(UnreadableError, match="rising and"):
            wheel.measure_teeth(NOTHING, 77.0, 1)
    else:
        assert wheel.measure_teeth(NOTHING, 77.0, 1).edges_deg.tolist() == paired
    assert heights == [0.0]


@pytest.mark.parametrize("lost", [0, 1])
def test_teeth_are_counted_before_anything_is_measured(
    lost: int, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """With one lost there is nothing to hold the others against."""
    paths: list[Path] = []
    found = MeasuredTeeth(77.0, teeth(*MIDDLES)[lost:])
    monkeypatch.setattr(wheel, "read_stl", lambda path: paths.append(path) or BOX)
    monkeypatch.setattr(wheel, "measure_teeth", lambda triangles, radius, sense: found)
    monkeypatch.setattr(wheel, "_rim", lambda triangles, made: "rim")
    made = design()
    made.slot.check_radius, made.marks = 77.0, ()
    made.teeth = SimpleNamespace(tooth_centres_deg=np.array(MIDDLES), count=12, missing=3)
    out = list(wheel.check_wheel(tmp_path, made))
    assert {*paths} == {tmp_path / "wheel.stl"}
    assert [str(f.check) for f in out[:2]] == ["sound-body", "tooth-count"]
    assert out[1].verdict == ("fail" if lost else "pass")
    assert ("rim" in out, len(out) > 2) == ((False, False) if lost else (True, True))


# --- gaps ----------------------------------------------------------------------------------------------------------
def gaps(middles: tuple[float, ...], wanted: tuple[ToothGap, ...] = GAPS) -> list[Finding]:
    return list(wheel._gaps(MeasuredTeeth(77.0, teeth(*middles)), design(gaps=wanted)))


def test_gaps_are_found_by_place_and_size() -> None:
    number, first, second = gaps(MIDDLES)
    assert number.verdict == first.verdict == second.verdict == "pass"
    assert Words().text(str(number.measured)) == "2 gaps with 2, 1 missing"
    assert [first.measured, second.measured] == pytest.approx([0.0, 0.0], abs=1e-9)
    swapped = gaps(MIDDLES, (ToothGap(0.0, 2), ToothGap(105.0, 2)))
    assert [f.verdict for f in swapped] == ["fail", "pass", "pass"]
    assert gaps(MIDDLES, (*GAPS, ToothGap(77.0, 0)))[0].verdict == "pass"


@pytest.mark.parametrize("share", [NARROW, WIDE])
def test_a_gap_s_middle_to_a_thousandth_of_a_degree(share: float) -> None:
    """Both teeth beside the one gap are turned on together."""
    off = 0.001 * share
    found = gaps((30.0, 60.0 + off, 150.0 + off, *MIDDLES[3:]))
    assert [f.verdict for f in found] == ["pass", "pass", "pass" if share < 1 else "fail"]
    assert [f.measured for f in found[1:]] == pytest.approx([0.0, off], abs=1e-9)


@pytest.mark.parametrize(("step", "wide"), [(44.0, False), (45.0, False), (46.0, True), (49.0, True)])
def test_more_than_a_pitch_and_a_half_is_a_gap(step: float, wide: bool) -> None:
    """Of 30° a tooth; where none is found no distance is told from it."""
    number, place = gaps((100.0, 100.0 + step, *np.arange(150.0 + step - 20, 460.0, 30.0)), (ToothGap(0.0, 1),))
    said = "1 gap with 1 missing" if wide else "0 gaps with no missing"
    assert Words().text(str(number.measured)) == said
    assert math.isinf(place.measured) != wide


# --- the rim -------------------------------------------------------------------------------------------------------
def ring(radius: float = 80.0, x: float = 0.0, y: float = 0.0, arc: tuple[float, float] = (-180.0, 178.0)) -> Floats:
    """Points about every two degrees of a circle about (x, y)."""
    a = np.radians(np.linspace(*arc, int((arc[1] - arc[0]) / 2) + 1))
    return np.column_stack([x + radius * np.cos(a), y + radius * np.sin(a)])


def rim(points: Floats, monkeypatch: pytest.MonkeyPatch, depth: float = 6.0) -> Finding:
    """The rim of a section whose corners are these."""
    seen: list[float] = []
    pairs = np.stack([points, points], axis=1)
    monkeypatch.setattr(wheel, "section_segments", lambda triangles, z: (seen.append(z) or pairs, None))
    made = design(pitch=10.0)
    made.slot.depth = depth
    found = wheel._rim(NOTHING, made)
    assert seen == [0.0]
    return found


@pytest.mark.parametrize("share", [NARROW, WIDE])
@pytest.mark.parametrize("way", ["aside", "up", "larger", "smaller"])
def test_the_rim_runs_out_by_a_hundredth_at_most(way: str, share: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """An indicator reads twice what a rim lies off the axis; a rim's radius counts once."""
    off = 0.01 * share
    made = {
        "aside": ring(x=off / 2),
        "up": ring(y=-off / 2),
        "larger": ring(80.0 + off),
        "smaller": ring(80.0 - off),
    }[way]
    found = rim(made, monkeypatch)
    assert found.measured == pytest.approx(off, rel=1e-3)
    assert (found.verdict == "pass") == (share < 1)


@pytest.mark.parametrize(
    ("depth", "below", "top"),
    [(6.0, 0.095, True), (6.0, 0.105, False), (6.0, 1.0, False), (0.2, 0.046, True), (0.2, 0.055, False)],
)
def test_what_lies_below_the_rim_is_no_tooth_top(
    depth: float, below: float, top: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By a tenth of a millimetre, and in shallow slots by a quarter of their depth."""
    found = rim(np.concatenate([ring(), ring(80.0 - below)]), monkeypatch, depth)
    assert found.measured == pytest.approx(below / 2 if top else 0.0, rel=1e-2, abs=1e-6)


@pytest.mark.parametrize(("points", "found"), [(2, False), (3, True)])
def test_a_circle_goes_through_three_points(points: int, found: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of as many teeth; the other ends of their sides lie in the slots."""
    a = np.radians([0.0, 100.0, 230.0][:points])
    tops = 80.0 * np.column_stack([np.cos(a), np.sin(a)])
    pairs = np.stack([tops, 0.9 * tops], axis=1)
    monkeypatch.setattr(wheel, "section_segments", lambda triangles, z: (pairs, None))
    assert (wheel._rim(NOTHING, design(pitch=10.0)).measured != "no rim found") == found


@pytest.mark.parametrize(("half", "times"), [(91.0, 2.0), (90.25, 2.0), (89.75, 1.0), (89.0, 1.0)])
def test_teeth_on_one_side_say_little_of_a_circle(half: float, times: float) -> None:
    """A rim a fiftieth off towards its teeth. Round more than half a turn the circle shows it twice over; on less each
    tooth's own radius is looked at, of which the one in the middle is high by all of it."""
    points = ring(x=0.02, arc=(-half, half))
    assert wheel._off_round(points, design(pitch=6.0)) == pytest.approx(0.02 * times, rel=3e-3)


@pytest.mark.parametrize(("pitch", "off"), [(10.0, 0.007), (8.0, 0.007), (7.9, 0.05)])
def test_a_tooth_on_one_side_counts_by_its_highest_point(pitch: float, off: float) -> None:
    """Corners two degrees apart are one tooth's where that is no more than a quarter of a pitch; one is five hundredths
    low. All are high by seven thousandths."""
    points = ring(80.007, arc=(-60.0, 60.0))
    points[21] *= (80.007 - 0.05) / 80.007
    assert wheel._off_round(points, design(pitch=pitch)) == pytest.approx(off, rel=1e-3)


def test_teeth_on_one_side_may_not_differ_among_each_other() -> None:
    """One is high by 5 thousandths and one low by 4."""
    points = np.concatenate([ring(80.005, arc=(0.0, 6.0)), ring(79.996, arc=(40.0, 46.0)), ring(80.0, arc=(80, 86))])
    assert wheel._off_round(points, design(pitch=10.0)) == pytest.approx(0.009, rel=1e-3)


# --- a notch, a body, a volume -------------------------------------------------------------------------------------
def notch(box: tuple[float, float, float, float], monkeypatch: pytest.MonkeyPatch) -> list[Finding]:
    """A notch half a millimetre deep at 0°, from 60 to 70 mm, whose section's sides lie off by so much, outwards;
    elsewhere is a correction hole."""
    half = wheel.half_width(0.25)
    left, low, right, high = box
    hole = shapely.box(-half - left, 60.0 - low, half + right, 70.0 + high)
    seen: list[float] = []
    plate = shapely.box(-90, -90, 90, 90).difference(hole).difference(shapely.box(20, -50, 28, -42))
    monkeypatch.setattr(wheel, "section_area", lambda triangles, z: seen.append(z) or plate)
    made = cast(Any, SimpleNamespace(sense=1, thickness_mm=5.0))
    mark = cast(Any, SimpleNamespace(deep=0.5, inner=60.0, outer=70.0, at_deg=0.0, name="notch"))
    found = wheel._notch(NOTHING, made, mark)
    assert seen == [2.25]
    return found


@pytest.mark.parametrize("share", [NARROW, WIDE])
@pytest.mark.parametrize("side", range(4))
@pytest.mark.parametrize("way", [1, -1])
def test_a_notch_s_size_to_a_hundredth(side: int, way: int, share: float, monkeypatch: pytest.MonkeyPatch) -> None:
    box = [0.0] * 4
    box[side] = way * 0.01 * share
    _, size = notch((box[0], box[1], box[2], box[3]), monkeypatch)
    assert size.measured == pytest.approx(0.01 * share, rel=1e-3)
    assert (size.verdict == "pass") == (share < 1)


@pytest.mark.parametrize("share", [NARROW, WIDE])
@pytest.mark.parametrize("way", [1, -1])
def test_a_notch_s_place_to_a_thousandth_of_a_degree(way: int, share: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """At its middle, 65 mm from the axis."""
    aside = way * 65.0 * math.tan(math.radians(0.001 * share))
    place, _ = notch((-aside, 0.0, aside, 0.0), monkeypatch)
    assert place.measured == pytest.approx(0.001 * share, rel=1e-3)
    assert (place.verdict == "pass") == (share < 1)


BOX = np.asarray(trimesh.creation.box((20.0, 12.0, 6.0)).triangles)


@pytest.mark.parametrize(
    ("triangles", "good"),
    [
        (BOX, True),
        (BOX / 20, True),  # of a fifth of a cubic millimetre
        (BOX[:, ::-1], False),  # inside out
        (BOX[1:], False),
        (np.concatenate([BOX, BOX + 30.0]), False),
        (np.concatenate([BOX, BOX[:1]]), False),
        (NOTHING, False),
    ],
)
def test_one_closed_body(triangles: Floats, good: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(wheel, "read_stl", lambda path: triangles)
    found = wheel.sound_body(Path("part.stl"))
    assert ((found.verdict == "pass"), found.subject) == (good, "part.stl")


@pytest.mark.parametrize("share", [NARROW, WIDE, -NARROW, -WIDE])
def test_mesh_and_solid_agree_in_volume_to_a_thousandth(share: float) -> None:
    found = wheel.volume_agrees("wheel", MeshMoments(5000.0 * (1 + 0.001 * share), np.zeros(3), 0.0), 5000.0)
    assert found.measured == pytest.approx(0.001 * abs(share), rel=1e-6)
    assert (found.verdict == "pass") == (abs(share) < 1)


def test_a_part_s_mesh_is_read_where_it_lies(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(wheel, "read_stl", lambda path: BOX if path == tmp_path / "blank.stl" else NOTHING)
    assert wheel.wheel_moments(tmp_path, "blank").volume == pytest.approx(1440.0)
