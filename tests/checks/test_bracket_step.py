"""bracket.step's faces as plain numbers: what a sound L has, and one face more, moved or turned."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from tests.parts.bracket_jobs import in_job, made
from wheelcad.checks.bracket_step import check_step
from wheelcad.files.figures import FaceFigure
from wheelcad.parts.bracket.model import BracketDesign

Faces = tuple[FaceFigure, ...]


@cache
def design() -> BracketDesign:
    return made(in_job())


def _row(values: object) -> tuple[float, float, float]:
    x, y, z = np.asarray(values, dtype=float).tolist()
    return x, y, z


def side(region: int, upper: bool, off: float = 0.0, area: float = 900.0, turned: float = 0.0) -> FaceFigure:
    """A side of a plane part, `off` mm out of its place and turned about the bend's line by so many degrees."""
    frame, w = design().regions[region].frame, design().thickness
    out = np.array(frame.ez) * (1.0 if upper else -1.0)
    turn = math.radians(turned)
    way = math.cos(turn) * out + math.sin(turn) * np.array(frame.ex)
    return FaceFigure("plane", _row(way), _row(frame.points((0.0, 0.0, w if upper else 0.0)) + off * out), 0.0, area, 0)


def round_(radius: float, off: float = 0.0) -> FaceFigure:
    """A cylinder about the bend."""
    bend, arm = design().bends[0], design().regions[0].frame
    x, w = arm.centre_of(bend, design().thickness)
    return FaceFigure("cylinder", _row(arm.ey), _row(arm.points((x + off, 0.0, w))), radius, 400.0, 0)


def sound() -> list[FaceFigure]:
    inside, t = design().bends[0].inside_radius, design().thickness
    return [*(side(k, upper) for k in (0, 1) for upper in (True, False)), round_(inside), round_(inside + t)]


def wrong(faces: list[FaceFigure]) -> set[str]:
    return {str(found.check) for found in check_step(tuple(faces), design()) if found.verdict == "fail"}


def test_a_sound_one_passes() -> None:
    assert wrong(sound()) == set()
    assert len(list(check_step(tuple(sound()), design()))) == 6


HALF = 2.5  # of the plate's thickness, mm


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        (side(0, False, HALF), set()),  # stands as far off as some other part's edge may
        (side(0, True, HALF), set()),
        (side(0, False, HALF - 0.01), {"step-thickness"}),
        (side(0, True, 0.0011), {"step-thickness"}),
        (side(0, True, 0.0009), set()),
        (side(0, True, 0.5, area=1.0), set()),  # a sliver of a face is no side
        (side(0, True, 0.5, area=1.05), {"step-thickness"}),
        (side(0, True, area=30.0, turned=5.0), set()),  # the largest face near there is the side
        (side(1, True, area=1000.0, turned=0.5), {"step-bend-angle"}),
        (side(1, True, area=1000.0, turned=9.9), {"step-bend-angle"}),
        (side(1, True, area=1000.0, turned=10.1), set()),
        (round_(7.0), set()),  # of no thickness with another
    ],
)
def test_one_face_more(more: FaceFigure, expected: set[str]) -> None:
    assert design().thickness == 2 * HALF
    assert wrong([*sound(), more]) == expected


def _with(changed: dict[int, FaceFigure]) -> list[FaceFigure]:
    return [changed.get(k, face) for k, face in enumerate(sound())]


@pytest.mark.parametrize(
    ("changed", "expected"),
    [
        ({5: round_(10.0, off=0.0009)}, set()),  # a bend's two sides share their axis
        ({5: round_(10.0, off=0.0012)}, {"step-bends", "step-thickness"}),
        ({4: round_(5.0009), 5: round_(10.0009)}, set()),
        ({4: round_(5.0011), 5: round_(10.0011)}, {"step-bend-radius"}),
        ({5: round_(10.0011)}, {"step-thickness"}),
        ({5: round_(11.24)}, {"step-thickness"}),  # a quarter of the thickness off it is still taken for the other side
        ({5: round_(11.26)}, {"step-bends", "step-thickness"}),
        ({2: side(1, True, 0.0009), 3: side(1, False, 0.0009)}, {"step-thickness"}),
        ({2: side(1, True, 0.0009), 3: side(1, False, -0.0009)}, set()),
        ({2: side(1, True, 0.0011), 3: side(1, False, -0.0011)}, {"step-tab-face"}),
    ],
)
def test_one_face_moved(changed: dict[int, FaceFigure], expected: set[str]) -> None:
    assert (design().bends[0].inside_radius, design().thickness) == (5.0, 5.0)
    assert wrong(_with(changed)) == expected


@pytest.mark.parametrize("lost", range(6))
def test_one_face_less(lost: int) -> None:
    found = wrong([face for k, face in enumerate(sound()) if k != lost])
    legs = {0: {"step-bend-angle"}, 2: {"step-bend-angle"}, 4: {"step-bends"}, 5: {"step-bends"}}
    assert found >= {"step-thickness", *legs.get(lost, set())}


def test_the_largest_solid_is_the_plate_and_every_piece_is_counted() -> None:
    gusset = replace(side(0, True, 1.0, area=500.0), solid=1)
    assert wrong([*sound(), gusset]) == {"bodies"}
    assert wrong([replace(face, solid=face.solid + 1) for face in sound()]) == set()
