"""Bend marks of the bracket's cutting file: a line along every bend, none elsewhere, and the words at them."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from tests.parts.bracket_jobs import along_job, made
from wheelcad.checks.cut_shapes import check_bracket_flats
from wheelcad.files.dxf import CutEntity, CutPath, write_cut_dxf
from wheelcad.findings import Finding
from wheelcad.parts.bracket.cutting import cut_layers
from wheelcad.parts.bracket.model import BracketDesign

Shapes = dict[str, list[CutEntity]]


@cache
def design() -> BracketDesign:
    """A Z with its two bends marked."""
    return made(along_job(bracket={"bends": "hand"}, shop={"plasma": {"kerf": 1.4, "bend_marks": True}}))


def bends(change: Callable[[Shapes], None], folder: Path) -> Finding:
    shapes = cut_layers(design())
    change(shapes)
    write_cut_dxf(folder / "bracket-flat.dxf", shapes)
    (found,) = [f for f in check_bracket_flats(folder, design()) if f.subject.endswith("bends")]
    return found


def _of(path: CutEntity) -> int:
    """Which bend a line is drawn for."""
    assert isinstance(path, CutPath)
    x = path.vertices[0][0] - design().sheet_place[0]
    return min(range(2), key=lambda k: abs(design().bends[k].line_x - x))


def without(number: int) -> Callable[[Shapes], None]:
    return lambda shapes: shapes.__setitem__("BEND", [path for path in shapes["BEND"] if _of(path) != number - 1])


def moved(dx: float, dy: float) -> Callable[[Shapes], None]:
    def change(shapes: Shapes) -> None:
        path = shapes["BEND"][0]
        assert isinstance(path, CutPath)
        shapes["BEND"][0] = CutPath(tuple((x + dx, y + dy, b) for x, y, b in path.vertices))

    return change


def test_a_line_along_every_bend_passes(tmp_path: Path) -> None:
    found = bends(lambda shapes: None, tmp_path)
    assert found.verdict == "pass"
    assert "0 astray; BEND 1 " in str(found.measured)


@pytest.mark.parametrize("number", [1, 2])
def test_a_bend_without_a_line_is_named(number: int, tmp_path: Path) -> None:
    found = bends(without(number), tmp_path)
    assert found.verdict == "fail"
    assert str(found.measured).endswith(f"; no line for bend {number}")


@pytest.mark.parametrize(
    ("dx", "dy", "good"), [(0.0009, 0.0, True), (0.0011, 0.0, False), (-0.0011, 0.0, False), (0.0, 500.0, False)]
)
def test_a_line_beside_its_bend_is_astray(dx: float, dy: float, good: bool, tmp_path: Path) -> None:
    found = bends(moved(dx, dy), tmp_path)
    assert found.verdict == ("pass" if good else "fail")
    assert ("1 astray" in str(found.measured)) == (not good)


def test_words_of_another_bend_fail(tmp_path: Path) -> None:
    assert bends(lambda shapes: shapes["TEXT"].pop(), tmp_path).verdict == "fail"
