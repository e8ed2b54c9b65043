"""What the gauge's check takes for a hole, a skirt, a letter and a number in its place: made sections, no solid."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
import shapely

from wheelcad.checks import gauge
from wheelcad.findings import Finding
from wheelcad.words import Words

Floats = np.ndarray[Any, np.dtype[np.float64]]
NOTHING = np.zeros((0, 3, 3))


def ring(x: float, y: float, radius: float, pieces: int) -> Floats:
    """A round wall's section, (pieces, 2, 2)."""
    turn = 2 * np.pi * np.arange(pieces) / pieces
    points = np.column_stack([x + radius * np.cos(turn), y + radius * np.sin(turn)])
    return np.stack([points, np.roll(points, -1, axis=0)], axis=1)


def holes(segments: Floats, monkeypatch: pytest.MonkeyPatch) -> dict[str, Finding]:
    """A gauge with one hole of 8 mm at (30, 4)."""
    heights: list[float] = []
    monkeypatch.setattr(gauge, "section_segments", lambda t, z: heights.append(z) or (segments, None))
    hole = SimpleNamespace(x=30.0, y=4.0, radius=4.0)
    design = cast(Any, SimpleNamespace(holes=(hole,), seat=SimpleNamespace(z=2.0), thickness_mm=4.0))
    found = {str(f.check): f for f in gauge.check_holes(NOTHING, design)}
    assert heights == [3.0]
    return found


@pytest.mark.parametrize(("pieces", "there"), [(7, False), (8, True), (64, True)])
def test_a_hole_s_wall_has_so_many_pieces(pieces: int, there: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    found = holes(ring(30.0, 4.0, 4.0, pieces), monkeypatch)
    assert ("gauge-hole-size" in found) == there
    if there:
        assert found["gauge-hole-size"].measured == pytest.approx(0.0, abs=1e-9)
        flat = 8.0 * (1 - math.cos(math.pi / pieces))
        assert found["gauge-hole-flats"].measured == pytest.approx(flat)


@pytest.mark.parametrize(("other", "counted"), [(4.85, False), (4.75, True), (3.25, True), (3.15, False)])
def test_walls_near_a_hole_s_own_are_taken_as_its_wall(
    other: float, counted: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A fifth of the radius to either side."""
    walls = np.concatenate([ring(30.0, 4.0, 4.0, 64), ring(30.0, 4.0, other, 64)])
    found = holes(walls, monkeypatch)
    assert (found["gauge-hole-size"].measured == pytest.approx(0.0, abs=1e-9)) == (not counted)


@pytest.mark.parametrize(("dx", "more"), [(0.0, 0.0), (0.013, 0.0), (0.0, 0.004), (0.015, -0.004)])
def test_place_and_diameter_of_a_hole(dx: float, more: float, monkeypatch: pytest.MonkeyPatch) -> None:
    found = holes(ring(30.0 + 0.6 * dx, 4.0 - 0.8 * dx, 4.0 + more, 256), monkeypatch)
    assert found["gauge-hole-place"].measured == pytest.approx(dx, abs=1e-9)
    assert found["gauge-hole-size"].measured == pytest.approx(2 * abs(more), abs=1e-9)
    nearest = (4.0 + more) * math.cos(math.pi / 256) - dx
    assert found["gauge-hole-flats"].measured == pytest.approx(2 * (4.0 - nearest), abs=2e-4)


@pytest.mark.parametrize(
    ("radius", "pieces", "found"), [(50.09, 4, True), (49.91, 4, True), (50.11, 64, False), (50.0, 3, False)]
)
def test_a_round_wall_about_the_axis(radius: float, pieces: int, found: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Within a tenth of a millimetre of where it should be, by eight corners at least."""
    monkeypatch.setattr(gauge, "section_segments", lambda t, z: (ring(0.0, 0.0, radius, pieces), None))
    measured = gauge._circle_about_axis(NOTHING, 1.0, 50.0)
    assert measured == pytest.approx(radius) if found else math.isnan(measured)


# --- lettering ------------------------------------------------------------------------------------------------------
def written(letters: list[Any], monkeypatch: pytest.MonkeyPatch, numbered: tuple[int, ...] = (12,)) -> dict[str, Any]:
    """Engraved regions on a disc of 60 mm; cut 12 has its two figures at 50 mm, 30 degrees."""
    disc = shapely.Point(0, 0).buffer(60.0, 128)
    cut = disc.difference(shapely.union_all(letters))
    monkeypatch.setattr(gauge, "section_area", lambda t, z: cut if z > 8.6 else disc)
    size = SimpleNamespace(width=lambda text: 3.0 * len(text), height=4.0)
    engraving = SimpleNamespace(loops=[1], size=size, numbered=numbered)
    style = SimpleNamespace(clear_radius=58.0)
    body = SimpleNamespace(text_depth=0.5, z_front=9.0, engraving=engraving, style=style, number_radius=50.0)
    marks = [SimpleNamespace(number=n, at_deg=a) for n, a in ((1, 200.0), (12, 30.0))]
    design = SimpleNamespace(body=body, cover=SimpleNamespace(marks=marks), sense=1)
    return {str(f.check): f for f in gauge.check_writing(NOTHING, cast(Any, design))}


def figure(aside: float, out: float = 0.0, size: float = 1.0, at: float = 30.0) -> Any:
    """A square figure `aside` mm beside the line at `at` degrees, clockwise from the top, `out` mm beyond 50."""
    turn = math.radians(at)
    way, across = np.array([math.sin(turn), math.cos(turn)]), np.array([math.cos(turn), -math.sin(turn)])
    x, y = way * math.sqrt((50.0 + out) ** 2 - aside**2) + across * aside
    return shapely.Point(x, y).buffer(size / 2, cap_style="square")


@pytest.mark.parametrize(
    ("letters", "good"),
    [
        ([figure(-1.5), figure(1.5)], True),
        ([figure(-2.9), figure(2.9)], True),  # six wide: three to each side
        ([figure(-3.1), figure(1.5)], False),
        ([figure(-1.5, 3.9), figure(1.5, -3.9)], True),  # four high
        ([figure(-1.5, 4.1), figure(1.5)], False),
        ([figure(-1.5)], False),
        ([figure(-1.5), figure(0.0), figure(1.5)], False),
        ([figure(-1.5, at=210.0), figure(1.5, at=210.0)], False),  # on the other side of the axis
        ([figure(-1.5), figure(1.5), figure(0.0, size=0.2)], True),  # a crumb is no figure
        ([figure(-1.5), figure(1.5), figure(0.0, size=0.235)], False),
    ],
)
def test_a_number_stands_inside_its_slot(letters: list[Any], good: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    found = written(letters, monkeypatch)["gauge-numbers-in-place"]
    said = "1 of 1 in place" if good else "0 of 1 in place, not 12"
    assert (found.verdict, Words().text(str(found.measured))) == ("pass" if good else "fail", said)


@pytest.mark.parametrize(("out", "seen"), [(6.7, True), (7.3, False)])
def test_what_is_cut_beyond_the_lettering_is_no_letter(out: float, seen: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Letters lie half a millimetre inside the radius that nothing else is cut within."""
    found = written([figure(-1.5), figure(1.5), figure(0.0, out)], monkeypatch)["gauge-stroke"]
    assert f"{3 if seen else 2} letters" in found.why
    assert found.measured == pytest.approx(1.0, abs=0.03)
