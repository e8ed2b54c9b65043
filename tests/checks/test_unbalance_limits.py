"""What the files weigh, by hand: boxes for wheel and blank, holes just where they should be and just not."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
import trimesh

from wheelcad.checks import balance, unbalance
from wheelcad.checks.balance import RoundHole
from wheelcad.checks.unbalance import MeasuredBalance
from wheelcad.files.figures import BodyFigures, KernelResult
from wheelcad.findings import Finding
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.words import Words

Floats = np.ndarray[Any, np.dtype[np.float64]]
STEEL = 7850.0


def box(x: float, y: float) -> Floats:
    """20 by 12 by 6 mm with its middle there: in steel 11.304 g."""
    return np.asarray(trimesh.creation.box((20.0, 12.0, 6.0)).triangles) + np.array([x, y, 2.0])


def made(**said: object) -> Any:
    """A balance's design by what the checks take from it."""
    given: dict[str, object] = {
        "density_kg_m3": STEEL, "holes": (), "readings": (), "permissible_g_mm": 100.0, "aim_g_mm": 40.0,
        "max_speed_rpm": 6000.0, "grade": "G16", "aim_grade": "G6.3", "rated": SimpleNamespace(kg=9.99),
        "before": (300.0, -400.0), "after": (10.0, 20.0), "sense": 1,
        "initial": SimpleNamespace(against_blank=False, key=(0.0, 0.0)),
    }  # fmt: skip
    return cast(Any, SimpleNamespace(**{**given, **said}))


@pytest.mark.parametrize(
    ("against", "key", "left"),
    [
        (False, (0.0, 0.0), (11.304 * 7, 11.304 * -4)),
        (True, (0.0, 0.0), (11.304 * (7 - 3), 11.304 * (-4 + 9))),
        (True, (5.0, -2.0), (11.304 * 4 + 5, 11.304 * 5 - 2)),
    ],
)
def test_the_mesh_s_unbalance_is_its_mass_times_its_place(
    against: bool, key: tuple[float, float], left: tuple[float, float], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Less the blank's where only what was cut counts, and with what a key weighs."""
    meshes = {"wheel.stl": box(7.0, -4.0), "blank.stl": box(3.0, -9.0)}
    monkeypatch.setattr(unbalance, "read_stl", lambda path: meshes[path.name])
    of = made(initial=SimpleNamespace(against_blank=against, key=key))
    assert unbalance.unbalance_left(Path(), of) == pytest.approx(left, rel=1e-6)


def body(x: float, y: float) -> BodyFigures:
    """The kernel's figures of such a box, 1440 mm³."""
    return cast(Any, SimpleNamespace(first=(1440 * x, 1440 * y, 0.0)))


def test_what_each_reading_s_holes_take_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """The wheel stands at 1, then at 3, then at 4 mm along x: between the readings its heavy side moves by 2 and 1."""
    monkeypatch.setattr(unbalance, "unbalance_left", lambda folder, of: (1.0, 2.0))
    readings = [SimpleNamespace(found=(50.0, 60.0)), SimpleNamespace(found=(70.0, -80.0))]
    given = KernelResult(
        {"wheel": body(4.0, 2.0), "blank": body(0.5, 1.0)},
        body(9.0, 7.0),
        before_readings=(body(1.0, 0.0), body(3.0, 5.0)),
    )
    of = made(initial=SimpleNamespace(against_blank=True, key=(5.0, -2.0)), readings=readings)
    found = unbalance.measure_balance(Path(), of, given)
    assert found.before == pytest.approx([11.304 * 8.5 + 5, 11.304 * 6 - 2])
    assert found.after == pytest.approx([11.304 * 3.5 + 5, 11.304 * 1 - 2])
    assert found.after_mesh.tolist() == [1.0, 2.0]
    assert found.readings[0] == pytest.approx([50 + 11.304 * 2, 60 + 11.304 * 5])
    assert found.readings[1] == pytest.approx([70 + 11.304 * 1, -80 - 11.304 * 3])
    assert found.judged is found.readings[1]
    of.initial.against_blank = False
    assert unbalance.measure_balance(Path(), of, given).after == pytest.approx([11.304 * 4 + 5, 11.304 * 2 - 2])


def left(x: float, y: float, **said: object) -> dict[str, Finding]:
    """What is said of a file that has this unbalance left, and of a mesh 3, 4 g·mm off."""
    at = np.array([x, y])
    found = unbalance.residual(MeasuredBalance(at, at, at + np.array([3.0, -4.0])), made(**said))
    return {str(f.check): f for f in found}


@pytest.mark.parametrize(("times", "limit", "aim"), [(0.5, True, True), (0.7, True, False), (1.25, False, False)])
def test_what_is_left_against_limit_and_aim(times: float, limit: bool, aim: bool) -> None:
    """60, 80 is 100 g·mm; aimed at is 60."""
    found = left(60 * times, -80 * times, holes=(1,), aim_g_mm=60.0)
    assert found["unbalance-left"].measured == pytest.approx(100 * times)
    assert found["unbalance-left"].verdict == ("pass" if limit else "fail")
    assert found["unbalance-left-aim"].verdict == ("pass" if aim else "warn")
    assert left(60, -80, holes=(1,))["unbalance-left"].verdict == "pass"
    bare = left(60 * times, -80 * times)
    assert list(bare) == ["unbalance-left"]
    assert bare["unbalance-left"].verdict == ("pass" if limit else "warn")
    said = Words().text(str(bare["unbalance-left"].why))
    assert said.startswith("G16 for 9.99 kg at 6000 rpm")
    at = np.array([60.0, -80.0])
    assert MeasuredBalance(at, at, at + np.array([3.0, -4.0])).facets_g_mm == pytest.approx(5.0)
    assert left(60, -80, max_speed_rpm=None) == {}


@pytest.mark.parametrize("share", [0.96, 1.04])
def test_three_ways_of_weighing_agree_to_half_a_per_cent(share: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of the gap's 500 g·mm, or of one tooth's 800 where that is more."""
    for tooth, scale in ((120.0, 500.0), (800.0, 800.0)):
        monkeypatch.setattr(unbalance, "tooth_moment_g_mm", lambda wheel, density, tooth=tooth: tooth)
        off = np.array([0.6, -0.8]) * 0.005 * share * scale
        before, after = np.array([300.0, -400.0]), np.array([10.0, 20.0])
        found = {
            str(f.check): f
            for f in unbalance.three_ways(
                cast(Any, None), made(), MeasuredBalance(before + off, after - off, after + off)
            )
        }
        for check, times in (("unbalance-before", 1), ("unbalance-after", 1), ("unbalance-solid", 2)):
            assert found[check].measured == pytest.approx(times * 0.005 * share)
            assert (found[check].verdict == "pass") == (times * share < 1)


def test_a_tooth_s_weight_times_its_radius() -> None:
    """A piece of a ring 5.6 degrees wide, from 74 to 80 mm: the chord times the integral of r² dr."""
    slot = SimpleNamespace(rim_half_deg=2.2)
    wheel = SimpleNamespace(pitch_deg=10.0, slot=slot, floor_radius_mm=74.0, radius_mm=80.0, thickness_mm=3.2)
    wanted = 7850e-6 * 3.2 * (80.0**3 - 74.0**3) / 3 * 2 * math.sin(math.radians(2.8))
    assert unbalance.tooth_moment_g_mm(cast(Any, wheel), STEEL) == pytest.approx(wanted)


# --- the holes -----------------------------------------------------------------------------------------------------
def hole(**said: object) -> CorrectionHole:
    """At 90° of a crank that turns clockwise: on +x, 40 mm out; 8 in diameter, 10 deep."""
    return CorrectionHole(
        **{"at_deg": 90.0, "radius_mm": 40.0, "diameter_mm": 8.0, "z_top": 5.0, "z_bottom": -5.0, **said}
    )  # type: ignore[arg-type]


def judged(planned: CorrectionHole, seen: dict[float, list[RoundHole]], monkeypatch: pytest.MonkeyPatch) -> Finding:
    """The finding on a hole where sections by height have those holes."""
    asked: list[tuple[float, float, tuple[float, float]]] = []

    def holes(triangles: Floats, z: float, within: float, about: tuple[float, float]) -> list[RoundHole]:
        asked.append((z, within, about))
        return seen.get(round(z, 6), [])

    monkeypatch.setattr(balance, "round_holes", holes)
    corners = np.array([[[40.0, 0.0, 5.0], [44.0, 0.0, -5.0], [40.0, 0.0, -7.4]]])
    found = balance._one_hole(corners, planned, 1, 1)
    assert [z for z, *_ in asked] == pytest.approx([4.0, -4.0])  # a tenth of its depth from both ends
    assert all(within == 5.0 for _, within, _ in asked)
    assert all(about == pytest.approx((40.0, 0.0)) for *_, about in asked)
    return found


@pytest.mark.parametrize("off", [0.0192, 0.0208])
@pytest.mark.parametrize("way", ["along", "across", "wide", "narrow"])
@pytest.mark.parametrize("end", [4.0, -4.0])
def test_a_hole_s_place_and_diameter_to_a_fiftieth(
    end: float, way: str, off: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At either end; of several holes in sight the one that fits counts."""
    moved = {
        "along": RoundHole(40.0 + off, 0.0, 8.0),
        "across": RoundHole(40.0, -off, 8.0),
        "wide": RoundHole(40.0, 0.0, 8.0 + off),
        "narrow": RoundHole(40.0, 0.0, 8.0 - off),
    }[way]
    good, far = RoundHole(40.0, 0.0, 8.0), RoundHole(41.0, 0.0, 8.0)
    found = judged(hole(), {end: [far, moved], -end: [good, far]}, monkeypatch)
    assert found.measured == pytest.approx(off)
    assert (found.verdict == "pass") == (off < 0.02)


def test_a_hole_that_is_not_there(monkeypatch: pytest.MonkeyPatch) -> None:
    good = RoundHole(40.0, 0.0, 8.0)
    assert judged(hole(), {4.0: [good], -4.0: [good]}, monkeypatch).verdict == "pass"
    assert math.isinf(float(judged(hole(), {4.0: [good]}, monkeypatch).measured))


@pytest.mark.parametrize(("point", "off"), [(118.0, 0.0035), (90.0, 1.6)])
def test_a_blind_hole_ends_in_its_tip(point: float, off: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """8 mm with a point of 118° reaches 4/tan 59° = 2.4034 mm further than its full depth, one of 90° 4 mm."""
    good = RoundHole(40.0, 0.0, 8.0)
    blind = hole(through=False, point_deg=point)
    found = judged(blind, {4.0: [good], -4.0: [good]}, monkeypatch)
    assert found.measured == pytest.approx(off, abs=2e-4)


@pytest.mark.parametrize(("aside", "seen"), [(0.0192, True), (0.0208, False), (-0.0192, True), (-0.0208, False)])
@pytest.mark.parametrize("along", [True, False])
@pytest.mark.parametrize("back", [True, False])
def test_a_tip_lies_on_its_hole_s_axis(back: bool, along: bool, aside: float, seen: bool) -> None:
    """Of the corners there the one nearest to where the tip should be, at 9 mm in front or 9 behind."""
    at = np.array([40.0 + aside, 3.0]) if along else np.array([40.0, 3.0 + aside])
    corners = np.array([[[*at, 8.5], [*at, -8.0], [40.0, 50.0, 9.0]]])
    blind = hole(through=False, point_deg=90.0, from_back=back)
    end = balance._depth_end(corners, 40.0, 3.0, blind)
    assert end == ((8.5 if back else -8.0) if seen else math.inf)


def strange(seen: list[RoundHole], monkeypatch: pytest.MonkeyPatch) -> list[RoundHole]:
    """What is found that nobody planned in a ring 6 mm thick before a hub 20 mm long."""
    asked: list[tuple[float, float]] = []
    monkeypatch.setattr(balance, "round_holes", lambda triangles, z, within: asked.append((z, within)) or seen)
    land = SimpleNamespace(name="ring", z_front=4.0, z_back=-2.0, least_radius=80.0)
    hub = SimpleNamespace(name="pulley", z_front=-2.0, z_back=-22.0, least_radius=50.0)
    metal = SimpleNamespace(
        bore=10.0, recess=15.0, bolts=[(30.0, 0.0, 3.5)], pieces=[SimpleNamespace(land=land), SimpleNamespace(land=hub)]
    )
    of = made(metal=metal, holes=(hole(),))
    out = balance._unplanned(np.zeros((0, 3, 3)), of, cast(Any, SimpleNamespace(floor_radius_mm=74.0)))
    assert asked == [(1.0, pytest.approx(73.95)), (-12.0, pytest.approx(49.95))]
    return out


@pytest.mark.parametrize(
    ("seen", "known"),
    [
        (RoundHole(0.0, 0.0, 20.0), True),
        (RoundHole(0.0, 0.0, 30.0), True),
        (RoundHole(30.0, 0.0, 7.0), True),
        (RoundHole(40.0, 0.0, 8.0), True),
        (RoundHole(0.0, 0.0, 25.0), False),
        (RoundHole(0.0, 30.0, 7.0), False),
        (RoundHole(30.0192, 0.0, 7.0384), True),
        (RoundHole(30.0208, 0.0, 7.0), False),
        (RoundHole(30.0, 0.0208, 7.0), False),
        (RoundHole(30.0, 0.0, 7.0416), False),
        (RoundHole(30.0, 0.0, 6.9584), False),
    ],
)
def test_bore_recess_bolts_and_planned_holes_are_known(
    seen: RoundHole, known: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Any other one is told once, however many pieces it goes through."""
    assert strange([seen], monkeypatch) == ([] if known else [seen])


def wall(points: Floats, inwards: bool = True) -> tuple[Floats, Floats]:
    """A closed outline as pieces, and their walls' normals."""
    pieces = np.stack([points, np.roll(points, -1, axis=0)], axis=1)
    out = pieces.mean(axis=1) - points.mean(axis=0)
    return pieces, -out if inwards else out


def outline(corners: int = 16, uneven: float = 0.0, x: float = 30.0, radius: float = 5.0) -> Floats:
    """A round outline whose corners lie by turns a little further out and in."""
    turn = 2 * np.pi * np.arange(corners) / corners
    r = radius + uneven * (-1.0) ** np.arange(corners)
    return np.column_stack([x + r * np.cos(turn), 4.0 + r * np.sin(turn)])


def holes_in(
    monkeypatch: pytest.MonkeyPatch, *walls: tuple[Floats, Floats], within: float = math.inf
) -> list[RoundHole]:
    pieces, normals = np.concatenate([w[0] for w in walls]), np.concatenate([w[1] for w in walls])
    monkeypatch.setattr(balance, "section_segments", lambda triangles, z: (pieces, normals))
    return list(balance.round_holes(np.zeros((0, 3, 3)), 0.0, within))


@pytest.mark.parametrize(
    ("corners", "uneven", "found"), [(16, 0.0192, 1), (16, 0.0208, 0), (8, 0.0, 1), (7, 0.0, 0), (16, -0.0208, 0)]
)
def test_what_is_a_round_hole(corners: int, uneven: float, found: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Eight pieces and more, whose ends lie within a fiftieth of a circle; a pin's wall faces outwards."""
    seen = holes_in(monkeypatch, wall(outline(corners, uneven)))
    assert len(seen) == found
    for one in seen:
        assert (one.x, one.y, one.diameter) == pytest.approx((30.0, 4.0, 10.0), abs=1e-3)
    assert holes_in(monkeypatch, wall(outline(corners, uneven), inwards=False)) == []


def test_holes_side_by_side_are_two_and_only_what_is_within_reach_counts(monkeypatch: pytest.MonkeyPatch) -> None:
    """The nearer one lies within hypot(35, 4) of the axis, the other beyond 40 mm; a few of its pieces are no hole."""
    both = wall(outline()), wall(outline(x=45.0))
    assert [round(one.x, 6) for one in holes_in(monkeypatch, *both)] == [30.0, 45.0]
    assert [round(one.x, 6) for one in holes_in(monkeypatch, *both, within=36.0)] == [30.0]
    assert holes_in(monkeypatch, *both, within=28.0) == []


@pytest.mark.parametrize(("apart", "chains"), [(0.0, 1), (0.0004, 1), (0.0007, 2)])
def test_ends_within_a_micrometre_are_one(apart: float, chains: int) -> None:
    """By their thousandths, rounded."""
    pieces = np.array([[[20.0, 3.0], [0.5, 7.0]], [[0.5 + apart, 7.0], [9.0, 9.0]], [[9.0, 9.0], [8.0, 1.0]]])
    found = balance._loops(pieces)
    assert found == ([[0, 1, 2]] if chains == 1 else [[0], [1, 2]])
    assert balance._loops(pieces[:, ::-1, ::-1]) == found


def test_pieces_within_reach_of_the_axis_or_of_a_point(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of eight pieces the two at the far corner lie hypot(35, 4) = 35.228 mm from the axis, and all 5 from their
    middle."""
    eight = wall(outline(8))
    assert len(holes_in(monkeypatch, eight, within=35.24)) == 1
    assert holes_in(monkeypatch, eight, within=35.22) == []
    for x, found in ((30.0, 1), (29.0, 0)):
        assert len(list(balance.round_holes(np.zeros((0, 3, 3)), 0.0, 5.1, (x, 4.0)))) == found
    assert list(balance.round_holes(np.zeros((0, 3, 3)), 0.0, 5.1, (30.0, 3.0))) == []


def test_every_hole_is_judged_where_the_mesh_lies(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """By its number from 1; a hole that nobody planned is told with its place."""
    paths: list[Path] = []
    monkeypatch.setattr(balance, "read_stl", lambda path: paths.append(path) or "mesh")
    monkeypatch.setattr(balance, "_one_hole", lambda triangles, planned, number, sense: (triangles, planned, number))
    monkeypatch.setattr(balance, "_unplanned", lambda triangles, of, made: [RoundHole(0.0, -30.0, 8.0)])
    wheel = cast(Any, SimpleNamespace(sense=1))
    *each, last = balance.check_balance(tmp_path, wheel, made(holes=("a", "b")))
    assert (paths, each) == ([tmp_path / "wheel.stl"], [("mesh", "a", 1), ("mesh", "b", 2)])
    assert (last.verdict, Words().text(str(last.measured))) == ("fail", "⌀8 mm at 180°, radius 30 mm")


def test_one_corner_off_the_circle_is_no_round_hole(monkeypatch: pytest.MonkeyPatch) -> None:
    for off, found in ((0.01, 1), (0.05, 0)):
        points = outline(16)
        points[3] += (points[3] - points.mean(axis=0)) * off / 5.0
        assert len(holes_in(monkeypatch, wall(points))) == found


@pytest.mark.parametrize(("x", "y", "off"), [(20.0, 30.0, 0.0), (20.0, -30.0, 60.0), (-20.0, 30.0, 40.0)])
def test_a_hole_lies_where_it_was_planned(x: float, y: float, off: float, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(balance, "round_holes", lambda *given: [RoundHole(x, y, 8.0)])
    planned = hole(at_deg=math.degrees(math.atan2(20, 30)), radius_mm=math.hypot(20, 30))
    assert balance._one_hole(np.zeros((0, 3, 3)), planned, 1, 1).measured == pytest.approx(off)


@pytest.mark.parametrize(
    ("x", "y", "said"),
    [
        (0.0, 1e-16, "⌀52 mm at the centre"),
        (0.019, 0.0, "⌀52 mm at the centre"),
        (0.0, 0.02, "⌀52 mm at 0°, radius 0.02 mm"),
        (-3.0, 0.0, "⌀52 mm at 270°, radius 3 mm"),
    ],
)
def test_a_hole_round_the_axis_is_said_to_be_at_the_centre(x: float, y: float, said: str) -> None:
    """So short a radius has no angle: one would be told of the last digit's rounding."""
    assert Words().text(balance._said(RoundHole(x, y, 52.0), 1)) == said
