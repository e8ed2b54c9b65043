"""bracket.step's faces of a made part of three legs: counted, parallel enough, coaxial enough, each bend by its own."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from wheelcad.checks import bracket_step as step
from wheelcad.files.figures import FaceFigure
from wheelcad.parts.bracket.model import Frame
from wheelcad.words import Words

LEGS = (  # 4 mm thick: facing +x, up +z, and half-way between y and z
    Frame((0.0, 0.0, 0.0), (0.0, 0.0, -1.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0)),
    Frame((9.0, 0.0, 50.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    Frame(
        (0.0, 70.0, 0.0), (1.0, 0.0, 0.0), (0.0, math.sqrt(0.5), -math.sqrt(0.5)), (0.0, math.sqrt(0.5), math.sqrt(0.5))
    ),
)


def design(radii: tuple[float, ...] = (3.0, 6.0), gussets: int = 0) -> Any:
    """Bends of 90 and 45 degrees; the sensor's face is the second leg's upper side, z = 54."""
    bends = tuple(SimpleNamespace(inside_radius=r, angle_deg=a) for r, a in zip(radii, (90.0, 45.0), strict=False))
    regions = tuple(SimpleNamespace(name=f"leg {n}", frame=frame) for n, frame in enumerate(LEGS, 1))
    place = SimpleNamespace(look=(0.0, 0.0, -1.0), face=(0.0, 0.0, 54.0))
    return cast(Any, SimpleNamespace(thickness=4.0, regions=regions, bends=bends, gussets=(0,) * gussets,
                                     asked=SimpleNamespace(place=place)))  # fmt: skip


def side(leg: int, upper: bool, tilt: float = 0.0, off: float = 0.0, **more: Any) -> FaceFigure:
    """A side of a leg, turned by so many radians about its own y."""
    frame = LEGS[leg]
    out = np.array(frame.ez) * (1 if upper else -1)
    way = math.cos(tilt) * out + math.sin(tilt) * np.array(frame.ex)
    at = frame.points((0.0, 0.0, 4.0 if upper else 0.0)) + off * out
    return FaceFigure("plane", _xyz(way), _xyz(at), 0.0, more.get("area", 900.0), more.get("solid", 0))


def _xyz(values: Any) -> tuple[float, float, float]:
    x, y, z = (float(v) for v in values)
    return x, y, z


def tube(radius: float, x: float, tilt: float = 0.0) -> FaceFigure:
    """A cylinder along y through x."""
    return FaceFigure("cylinder", (math.sin(tilt), math.cos(tilt), 0.0), (x, 0.0, 0.0), radius, 300.0, 0)


def whole() -> list[FaceFigure]:
    sides = [side(leg, upper) for leg in range(3) for upper in (True, False)]
    return [*sides, tube(3.0, 5.0), tube(7.0, 5.0), tube(6.0, 30.0), tube(10.0, 30.0)]


def found(faces: list[FaceFigure], asked: Any = None) -> dict[str, list[Any]]:
    out: dict[str, list[Any]] = {}
    for finding in step.check_step(tuple(faces), asked or design()):
        out.setdefault(str(finding.check), []).append(finding)
    return out


def bad(faces: list[FaceFigure], asked: Any = None) -> set[str]:
    return {check for check, findings in found(faces, asked).items() if any(f.verdict == "fail" for f in findings)}


def test_a_whole_one() -> None:
    assert bad(whole()) == set()
    seen = found(whole())
    assert Words().text(seen["step-thickness"][0].why).endswith("over 5 pairs of opposite sides, bends included")
    assert [f.subject for f in seen["step-bend-angle"]] == ["bracket.step, bend 1", "bracket.step, bend 2"]
    assert [f.measured for f in seen["step-bend-angle"] + seen["step-bend-radius"]] == pytest.approx([0] * 4, abs=1e-6)
    assert [Words().text(f.why).split(",")[0] for f in seen["step-bend-radius"]] == [
        "inside radius 3 mm", "inside radius 6 mm"
    ]  # fmt: skip


@pytest.mark.parametrize(("solids", "gussets", "good"), [(1, 0, True), (3, 2, True), (2, 2, False), (2, 0, False)])
def test_pieces_are_counted_and_the_largest_is_the_plate(solids: int, gussets: int, good: bool) -> None:
    """A gusset has one large face, but the plate more all together."""
    more = [side(1, True, off=3.0, area=2000.0, solid=n) for n in range(1, solids)]
    assert bad([*more, *whole()], design(gussets=gussets)) == (set() if good else {"bodies"})


@pytest.mark.parametrize(("tilt", "counts"), [(0.0012, True), (0.0017, False), (0.1, False)])
@pytest.mark.parametrize("upper", [True, False])
def test_sides_that_are_parallel_enough(upper: bool, tilt: float, counts: bool) -> None:
    """To a millionth of the cosine; others are none of the plate's sides."""
    more = side(0, upper, tilt, off=0.5)
    assert ("step-thickness" in bad([*whole(), more])) == counts
    face = side(1, True, tilt)
    told = found([face if f == side(1, True) else f for f in whole()])["step-tab-face"][0]
    assert (told.measured == 0.0) == counts


@pytest.mark.parametrize(
    ("radii", "gone", "good"),
    [
        ((3.0, 6.0), 0, True),
        ((3.0, 0.0), 2, True),  # a sharp inside has no cylinder
        ((3.0, 0.5), 2, False),
        ((3.0, 6.0), 2, False),
        ((3.0,), 2, True),
    ],
)
def test_as_many_bends_as_are_round_inside(radii: tuple[float, ...], gone: int, good: bool) -> None:
    faces = whole()[: 10 - gone]
    assert bad(faces, design(radii)) == (set() if good else {"step-bends", "step-thickness"} | ({"step-bend-radius"}))
    radius = found(faces, design(radii)).get("step-bend-radius", [])
    assert len(radius) == sum(r > 0 for r in radii)


def test_the_smallest_radius_is_one() -> None:
    faces = [*whole()[:8], tube(0.5, 30.0), tube(4.5, 30.0)]
    assert bad(faces, design((3.0, 0.5))) == set()


@pytest.mark.parametrize(
    ("outer", "good"),
    [
        (tube(10.0, 30.0), True),
        (tube(10.0, 30.0009), True),
        (tube(10.0, 30.0011), False),
        (tube(10.0, 30.0, tilt=0.9e-6), True),
        (tube(10.0, 30.0, tilt=1.1e-6), False),
        (tube(10.0, 30.0, tilt=0.01), False),
        (tube(10.9, 30.0), False),  # another thickness, but the same bend
        (tube(11.1, 30.0), False),
        (tube(11.0, 30.0), False),
    ],
)
def test_both_sides_of_a_bend_turn_about_one_line(outer: FaceFigure, good: bool) -> None:
    wrong = bad([*whole()[:9], outer])
    assert (wrong == set()) == good
    assert ("step-bends" in wrong) == (not good and outer.radius != 10.9)


def test_a_line_is_known_by_any_of_its_points(monkeypatch: pytest.MonkeyPatch) -> None:
    further = FaceFigure("cylinder", (0.0, 1.0, 0.0), (5.0, 40.0, 0.0), 7.0, 300.0, 0)
    assert bad([further if f == tube(7.0, 5.0) else f for f in whole()]) == set()
    monkeypatch.setattr(step, "PLACE_LIMIT", 0.25)
    assert not step._coaxial(tube(3.0, 5.0), tube(7.0, 5.25))


def test_a_flat_bracket_has_one_leg_and_no_bend() -> None:
    flat = design(())
    flat.regions = flat.regions[1:2]
    assert bad([side(1, True), side(1, False)], flat) == set()
    assert bad([side(1, True)], flat) == {"step-thickness"}


def test_cylinders_across_the_bends_are_holes() -> None:
    hole = [
        FaceFigure("cylinder", (0.05, math.sqrt(1 - 0.0025), 0.0), (80.0, 0.0, 0.0), r, 300.0, 0) for r in (4.0, 8.0)
    ]
    other = [FaceFigure("other", (0.0, 1.0, 0.0), (80.0, 0.0, 0.0), r, 300.0, 0) for r in (4.0, 8.0)]
    assert bad([*whole(), *hole, *other]) == set()


@pytest.mark.parametrize("lost", [0, 1, 2])
def test_a_leg_that_is_not_there(lost: int) -> None:
    """Every bend beside it is told."""
    faces = [f for f in whole() if f != side(lost, True)]
    angles = found(faces)["step-bend-angle"]
    assert [f.verdict == "fail" for f in angles] == [lost < 2, lost > 0]


@pytest.mark.parametrize(("turn", "verdict"), [(0.00095, "pass"), (-0.00105, "fail")])
def test_the_angle_of_a_bend(turn: float, verdict: str) -> None:
    """The second leg's upper side turned: the first bend has so much more or less."""
    faces = [side(1, True, math.radians(turn)) if f == side(1, True) else f for f in whole()]
    first = found(faces)["step-bend-angle"][0]
    assert (first.measured, first.verdict) == (pytest.approx(abs(turn), abs=2e-6), verdict)


def test_an_angle_is_told_to_four_places() -> None:
    faces = [side(1, True, math.radians(0.00054)) if f == side(1, True) else f for f in whole()]
    told = Words().text(found(faces)["step-bend-angle"][0].why)
    assert told.split("°")[0] in ("90.0005", "89.9995")


@pytest.mark.parametrize("angle", [0.0, 180.0])
def test_legs_that_are_parallel(angle: float) -> None:
    """Unit to the last digits of binary: no cosine over 1."""
    a, b = 1 + 1e-9, math.cos(math.radians(angle)) * (1 + 1e-9)
    faces = [FaceFigure("plane", (v, 0.0, 0.0), (4.0, 0.0, 0.0), 0.0, 900.0, 0) for v in (a, b)]
    other = Frame((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (math.copysign(1.0, b), 0.0, 0.0))
    regions = (SimpleNamespace(name="one", frame=LEGS[0]), SimpleNamespace(name="other", frame=other))
    bend = SimpleNamespace(inside_radius=0.0, angle_deg=angle)
    made = cast(Any, SimpleNamespace(thickness=4.0, regions=regions, bends=(bend,)))
    _, told = step._bends(faces, made)
    assert (told.measured, told.verdict) == (0.0, "pass")


def test_the_nearest_face_and_the_largest_near_plane() -> None:
    """Of the faces square to the nose; the leg's side is the largest within ten degrees."""
    more = [side(1, True, off=-3.0, area=50.0), side(1, True, off=7.0, area=50.0)]
    assert found([*whole(), *more])["step-tab-face"][0].measured == 0.0
    leaning = side(1, True, math.radians(10.5), area=5000.0)
    near = side(1, True, math.radians(9.9), area=5000.0)
    assert "step-bend-angle" not in bad([*whole(), leaning])
    assert "step-bend-angle" in bad([*whole(), near])
    just = FaceFigure("plane", (0.0, 0.0, math.cos(math.radians(10))), (0.0, 0.0, 54.0), 0.0, 5000.0, 0)
    assert step._upper([just], design(), 1) is None
    small = side(0, True, off=0.5, area=1.05)
    assert "step-thickness" in bad([*whole(), small])
