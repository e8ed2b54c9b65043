"""Solids with crowded faces: what is wrong with them must be found without comparing every pair of edges."""

from __future__ import annotations

import cadquery as cq
import pytest
from OCP.BRep import BRep_Builder
from OCP.TopoDS import TopoDS_Shell, TopoDS_Solid

from wheelcad.files import soundness
from wheelcad.files.brep import compound, prism
from wheelcad.files.soundness import is_sound
from wheelcad.trade.loop import Loop


def square(x: float, y: float, size: float = 2.0) -> Loop:
    return Loop.polygon([(x, y), (x + size, y), (x + size, y + size), (x, y + size)])


def plate(holes: list[Loop]) -> cq.Solid:
    return prism(square(-100, -100, 200.0), holes, 0.0, 3.0)


GRID = [square(8.0 * i - 60, 8.0 * j - 60) for i in range(15) for j in range(10)]
ROUND = [Loop.circle(8.0 * i - 60, 8.0 * j - 60, 2.0) for i in range(15) for j in range(10)]


def rebuilt(solid: cq.Solid, faces: list[cq.Face]) -> cq.Solid:
    """A solid of other faces."""
    builder, shell, made = BRep_Builder(), TopoDS_Shell(), TopoDS_Solid()
    builder.MakeShell(shell)
    for face in faces:
        builder.Add(shell, face.wrapped)
    shell.Closed(True)
    builder.MakeSolid(made)
    builder.Add(made, shell)
    return cq.Solid(made)


@pytest.mark.parametrize("holes", [[], GRID[:3], GRID, ROUND], ids=["none", "few", "squares", "rounds"])
def test_good_plates_are_sound(holes: list[Loop]) -> None:
    solid = plate(holes)
    assert solid.isValid()
    assert is_sound(solid)
    assert is_sound(compound([solid, solid.moved(cq.Location(cq.Vector(0, 0, 50)))]))
    assert is_sound(solid.rotate(cq.Vector(0, 0, 0), cq.Vector(1, 1, 0), 40))


@pytest.mark.parametrize(
    "wrong",
    [
        square(-59.0, -59.0),  # overlaps its neighbour
        square(95.0, 0.0, 10.0),  # sticks out over the edge
        square(150.0, 0.0),  # lies outside
        Loop.polygon([(70, 70), (74, 74), (74, 70), (70, 74)]),  # crosses itself
        square(-59.5, -59.5, 1.0),  # lies within another
    ],
    ids=["overlaps", "sticks out", "outside", "crosses itself", "within"],
)
def test_bad_holes_are_seen(wrong: Loop) -> None:
    assert not is_sound(plate([*GRID, wrong]))


def test_an_open_and_a_turned_face_are_seen() -> None:
    solid = plate(GRID)
    faces = solid.Faces()
    assert is_sound(rebuilt(solid, faces))
    small = next(n for n, face in enumerate(faces) if face.Area() < 10)
    assert not is_sound(rebuilt(solid, faces[:small] + faces[small + 1 :]))
    large = next(n for n, face in enumerate(faces) if face.Area() > 1e4)
    assert not is_sound(rebuilt(solid, faces[:large] + faces[large + 1 :]))
    turned = [*faces]
    turned[large] = cq.Face(faces[large].wrapped.Reversed())
    assert not is_sound(rebuilt(solid, turned))


def test_few_edges_are_left_to_the_kernel(monkeypatch: pytest.MonkeyPatch) -> None:
    overlapping = plate([square(0, 0), square(1, 1)])
    assert not overlapping.isValid()
    assert not is_sound(overlapping)
    monkeypatch.setattr(soundness, "CROWDED", 5)  # the other way of looking agrees
    assert not is_sound(overlapping)
    assert is_sound(plate(GRID[:3]))
