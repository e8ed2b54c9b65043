"""Paper read in its dots: darkness between them, lines at known places and the least that counts as one, bars."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from wheelcad.checks import paper
from wheelcad.checks.paper import Dots, bar_ends, cross_arms, pages_of, render, within
from wheelcad.codes import Check
from wheelcad.parts.common.paper import Bar

Floats = np.ndarray[Any, np.dtype[np.float64]]
DOT = 25.4 / 300  # mm
UP, RIGHT = (0.0, 1.0), (1.0, 0.0)


def page(dots: Floats) -> Dots:
    """Of darkness 0 to 1 (rows, columns), the upper row first."""
    return Dots(np.round(255 * (1 - np.asarray(dots))).astype(np.uint8))


def test_a_page_s_size() -> None:
    assert page(np.zeros((150, 300))).size_mm == pytest.approx((25.4, 12.7))


def test_darkness_between_dots() -> None:
    """By straight lines along the rows, then across them; from the first dots' middles to the last ones'."""
    grey = np.array([[255, 10, 90, 200, 31], [0, 250, 40, 70, 133], [120, 60, 220, 5, 18], [77, 180, 2, 99, 240]])
    read = Dots(grey.astype(np.uint8))
    for v in (0.25, 0.8, 1.3, 2.7):  # rows down from the first's middle
        for u in (0.25, 0.9, 1.5, 3.6):
            rows = [np.interp(u, range(5), row) for row in grey]
            found = read.darkness(np.array([(u + 0.5) * DOT, (4 - 0.5 - v) * DOT]))
            assert float(found) == pytest.approx(1 - np.interp(v, range(4), rows) / 255, abs=1e-9)


@pytest.mark.parametrize("size", [2, 3])
def test_off_the_page_nothing_is_dark(size: int) -> None:
    """Beyond the outermost dots' middles, on any side; also on a page of four dots."""
    read = page(np.ones((size, size)))
    inside, last = 0.02, size - 1.02
    for u, v, dark in (
        (inside, inside, 1.0), (last, last, 1.0), (-0.02, inside, 0.0), (inside, -0.02, 0.0),
        (last + 0.04, inside, 0.0), (inside, last + 0.04, 0.0), (last + 5, last + 5, 0.0), (-7.0, -7.0, 0.0),
    ):  # fmt: skip
        found = read.darkness(np.array([[(u + 0.5) * DOT, (size - 0.5 - v) * DOT]]))
        assert found.tolist() == pytest.approx([dark])


# --- a line, looked for -----------------------------------------------------------------------------------------------
def level(row: int, first: int = 0, past: int = 100, dark: float = 1.0) -> Floats:
    """A page of 100 by 100 dots with a line three dots wide about a row (from below), between two columns."""
    out = np.zeros((100, 100))
    out[100 - row - 2 : 100 - row + 1, first:past] = dark
    return out


@pytest.mark.parametrize("off", [0.0, 0.7, -1.2])
def test_where_a_line_is(off: float) -> None:
    """Of a level line and of an upright one; positive the way that is looked."""
    middle = 50.5 * DOT
    assert page(level(50)).line_across((4.0, middle - off), UP) == pytest.approx(off, abs=0.004)
    assert page(level(50)).line_across((4.0, middle - off), (0.0, -1.0)) == pytest.approx(-off, abs=0.004)
    upright = np.flipud(level(50).T)  # whose three columns are 48 to 50 from the left
    assert page(upright).line_across((middle - DOT - off, 4.0), RIGHT) == pytest.approx(off, abs=0.004)
    assert page(upright).line_across((middle - DOT - off, 4.0), (-1.0, 0.0)) == pytest.approx(-off, abs=0.004)


def test_a_sloping_line_is_read_square_to_itself() -> None:
    """Through the middle of the page, three to four, three dots wide: as dark as a dot lies within it."""
    y, x = (100 - np.mgrid[0:100, 0:100][0] - 0.5), np.mgrid[0:100, 0:100][1] + 0.5
    dots = np.clip(2.0 - np.abs((x - 50.0) * 0.8 - (y - 50.0) * 0.6), 0.0, 1.0)
    place = 50.0 * DOT - 0.7 * 0.8, 50.0 * DOT + 0.7 * 0.6
    assert page(dots).line_across(place, (0.8, -0.6)) == pytest.approx(0.7, abs=0.01)


@pytest.mark.parametrize(("off", "seen"), [(1.25, True), (1.6, False)])
def test_a_line_is_looked_for_within_what_is_sought(off: float, seen: bool) -> None:
    for way in (1, -1):
        found = page(level(50)).line_across((4.0, 50.5 * DOT - way * off), UP)
        assert found == pytest.approx(way * off, abs=0.004) if seen else np.isnan(found)


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize("far", [0.9, 0.6, 0.3])
@pytest.mark.parametrize(("beyond", "seen"), [(0.6, True), (0.95, False)])
def test_three_stations_make_a_line_and_two_do_not(far: float, side: int, beyond: float, seen: bool) -> None:
    """A piece of a line under one station and the next two, its last dot's middle six tenths of a dot short of the
    first, where four tenths of its darkness are left; and a third of a dot shorter still, which leaves none."""
    last = 50
    first = last - side * 8
    dots = np.zeros((100, 100))
    dots[48:51, min(first, last) : max(first, last) + 1] = 1.0
    station = (last + 0.5 + side * beyond) * DOT
    found = page(dots).line_across((station - side * far, 50.5 * DOT), UP)
    assert np.isfinite(found) == seen
    assert not seen or found == pytest.approx(0.0, abs=0.004)


@pytest.mark.parametrize(("dark", "seen"), [(0.31, True), (0.28, False)])
def test_how_dark_a_line_is_somewhere(dark: float, seen: bool) -> None:
    assert np.isfinite(page(level(50, dark=dark)).line_across((4.0, 50.5 * DOT), UP)) == seen


STEP = 0.025  # mm: 56 of them to each side


def read(*rows: dict[tuple[int, int], float]) -> list[float]:
    """The nearest lines in rows that are dark between two steps (both counted) from the row's place."""
    dark = np.zeros((len(rows), 113))
    for row, stretches in zip(dark, rows, strict=True):
        for (first, last), level in stretches.items():
            row[first + 56 : last + 57] = level
    dots = page(np.zeros((2, 2)))
    dots.darkness = lambda points: dark  # type: ignore[method-assign]
    return dots.nearest_lines(np.zeros((len(rows), 2)), np.array(UP)).tolist()


def test_the_nearest_dark_stretch_of_each_row() -> None:
    """Each row by itself, up to its very ends; its middle is that of its darkness."""
    found = read(
        {(-10, -6): 1.0, (4, 8): 1.0},
        {},
        {(-56, -50): 1.0},
        {(50, 56): 1.0},
        {(-12, -8): 1.0, (20, 24): 1.0, (40, 44): 0.5},
        {(2, 3): 1.0, (4, 5): 0.5},
        {(56, 56): 1.0},
    )
    steps = [6.0, np.nan, -53.0, 53.0, -10.0, (2 + 3 + 2 + 2.5) / 3, 56.0]
    assert found == pytest.approx([STEP * step for step in steps], nan_ok=True)
    assert read({}, {}) == pytest.approx([np.nan] * 2, nan_ok=True)
    assert read({(-56, -56): 1.0}, {(-56, -52): 1.0}) == pytest.approx([-56 * STEP, -54 * STEP])


@pytest.mark.parametrize(
    ("steps", "seen"),
    [
        ({(0, 4): 0.4}, True),
        ({(0, 4): 0.39}, False),  # nowhere as dark as a line is
        ({(0, 2): 0.4, (3, 4): 0.39}, True),
        ({(-3, -1): 0.1, (0, 4): 1.0, (5, 7): 0.1}, True),  # no ink yet
        ({(-16, 20): 0.1, (-16, 8): 1.0}, True),  # just as wide as a line may be
        ({(-16, 9): 1.0}, False),
    ],
)
def test_what_is_a_line(steps: dict[tuple[int, int], float], seen: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(paper, "LINE", 0.4)
    (found,) = read(steps)
    assert np.isfinite(found) == seen
    if seen:
        assert found == pytest.approx(-4 * STEP if (-16, 8) in steps else 2 * STEP, abs=0.2 * STEP)


# --- pages, bars and crosses ------------------------------------------------------------------------------------------
def test_pages_are_rendered_at_300_dots_to_the_inch(tmp_path: Path) -> None:
    import pypdfium2

    made = pypdfium2.PdfDocument.new()
    for size in ((144, 72), (72, 216)):
        made.new_page(*size)
    made.save(tmp_path / "two.pdf")
    wanted = [pytest.approx(size, abs=1.01 * DOT) for size in ((50.8, 25.4), (25.4, 76.2))]
    assert [one.size_mm for one in render(tmp_path / "two.pdf")] == wanted


@pytest.mark.parametrize(
    ("sizes", "off"),
    [
        ([(210.0, 297.0)] * 2, 0.0),
        ([(210.0, 297.0), (210.0, 296.895)], 0.105),
        ([(210.2, 297.1), (210.0, 297.0)], 0.2),
        ([(210.0, 297.0), (209.91, 297.0)], 0.09),
    ],
)
def test_how_large_pages_are(sizes: list[Any], off: float, monkeypatch: pytest.MonkeyPatch) -> None:
    pages = [SimpleNamespace(size_mm=size) for size in sizes]
    monkeypatch.setattr(paper, "render", lambda path: pages)
    checks = Check.PAPER_PAGES, Check.PAPER_SIZE
    shown, (number, size) = pages_of(Path("any.pdf"), 2, "A4", checks, "why")
    assert (shown, number.check, number.verdict, size.check) == (pages, checks[0], "pass", checks[1])
    assert (size.measured, size.verdict) == (pytest.approx(off, abs=1e-9), "pass" if off <= 0.1 else "fail")
    for wanted in (1, 3):
        shown, (number,) = pages_of(Path("any.pdf"), wanted, "A4", checks, "why")
        assert (shown, number.check, number.verdict) == ([], checks[0], "fail")


def test_the_largest_distance_counts_and_none_is_no_number() -> None:
    assert within(Check.PAPER_BARS, "any.pdf", [0.02, -0.3, 0.1], "bars", 0.25).measured == pytest.approx(0.3)
    assert within(Check.PAPER_BARS, "any.pdf", [], "bars", 0.25).verdict == "fail"


class Asked:
    """A page that gives an answer for each place, and keeps what it was asked."""

    def __init__(self, *answers: float) -> None:
        self.answers = list(answers)
        self.asked: list[tuple[Any, Any]] = []

    def line_across(self, place: Any, along: Any) -> float:
        self.asked.append((pytest.approx(place), along))
        return self.answers[(len(self.asked) - 1) % len(self.answers)]


def test_a_bar_s_end_strokes_are_read_to_both_sides_of_its_line() -> None:
    """Half-way from the line to the end of a stroke of 4 mm and a little more, so that the line itself is not met."""
    at = Asked(0.1, -0.2)
    assert list(bar_ends(cast(Any, at), Bar((30.0, 20.0), (130.0, 20.0), 100.0))) == [0.1, -0.2, 0.1, -0.2]
    assert at.asked == [((x, y), RIGHT) for x in (30.0, 130.0) for y in (18.8, 21.2)]
    at = Asked(0.0)
    assert list(bar_ends(cast(Any, at), Bar((12.0, 50.0), (12.0, 151.6), 101.6))) == [0.0] * 4
    assert at.asked == [((x, y), UP) for y in (50.0, 151.6) for x in (10.8, 13.2)]


def test_a_cross_s_strokes_are_each_read_at_both_ends() -> None:
    """The better reading of each counts, whatever its sign; a stroke that is covered at both has none."""
    nan = float("nan")
    at = Asked(0.3, -0.1, -0.2, 0.5)
    assert cross_arms(cast(Any, at), (40.0, 70.0), 2.5) == [-0.1, -0.2]
    assert at.asked == [((37.5, 70.0), UP), ((42.5, 70.0), UP), ((40.0, 67.5), RIGHT), ((40.0, 72.5), RIGHT)]
    assert cross_arms(cast(Any, Asked(nan, 0.4, nan, nan)), (0.0, 0.0), 2.5) == pytest.approx([0.4, nan], nan_ok=True)
