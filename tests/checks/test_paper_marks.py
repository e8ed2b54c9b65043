"""What is looked for on full-size paper, and where: ticks, crosses and lines of a drawing on a made page."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
import shapely

from wheelcad.checks import bracket_paper, gauge_paper
from wheelcad.checks.paper import SEEK
from wheelcad.codes import Check
from wheelcad.parts.common.paper import Tile, Tiling
from wheelcad.words import Words

TILE = Tile(0, 0, -50.0, -30.0)  # of which the page shows 100 by 60 mm from its own 24, 48 on
WINDOW = 24.0, 48.0, 124.0, 108.0


class Page:
    """A page that keeps where it was asked for a line, and the way it was looked; it finds what `off` says."""

    def __init__(self, off: Any = lambda place: 0.0) -> None:
        self.off, self.asked = off, []  # type: ignore[var-annotated]

    def line_across(self, place: Any, along: Any) -> float:
        self.asked.append((*place, *along))
        return float(self.off(place))

    def nearest_lines(self, places: Any, across: Any) -> Any:
        self.asked += np.column_stack([places, across]).tolist()
        return np.array([self.off(place) for place in places])


def tiling(**more: Any) -> Any:
    made = Tiling("A4", WINDOW, (TILE,), (), more.pop("crosses", ()))
    shift, shows = made.shift, made.shows
    return SimpleNamespace(
        **(
            {"crosses": made.crosses, "tiles": made.tiles, "bars": (), "paper": "A4", "shift": shift, "shows": shows}
            | more
        )
    )


# --- the paper gauge --------------------------------------------------------------------------------------------------
def gauge(ticks: Any = (), bolts: Any = (), crosses: Any = ()) -> Any:
    return tiling(ticks=ticks, bolts=bolts, hole_radius=4.2, crosses=crosses)


def test_a_tick_is_read_at_its_middle_square_to_itself() -> None:
    """From 3, 4 on the drawing to 11, 10: its middle on the page is 24 + 57, 48 + 37."""
    page = Page(lambda place: 0.07)
    found, bolts, joins, which = gauge_paper.marks_of(
        cast(Any, page), gauge([((90.0, 0.0), (91.0, 0.0)), ((3.0, 4.0), (11.0, 10.0))]), TILE
    )
    assert (found, joins, which) == ([0.07], [], [1])
    assert page.asked[0] == pytest.approx((81.0, 85.0, -0.6, 0.8))
    assert bolts == [0.07, 0.07]  # the centre's cross


@pytest.mark.parametrize(("x", "seen"), [(50.0 - SEEK - 1.0, True), (50.0 - SEEK - 0.95, False)])
@pytest.mark.parametrize("side", [1, -1])
def test_a_tick_within_reach_of_the_page_s_edge(x: float, seen: bool, side: int) -> None:
    """It is looked for to both sides, and a millimetre is left."""
    tick = (side * (x - 1e-9), 4.0), (side * (x - 1e-9), -6.0)
    assert gauge_paper.marks_of(cast(Any, Page()), gauge([tick]), TILE)[3] == ([0] if seen else [])


@pytest.mark.parametrize(("x", "seen"), [(50.0 - 5.8 - SEEK - 1.0, True), (50.0 - 5.8 - SEEK - 0.95, False)])
def test_a_bolt_s_cross_is_read_outside_its_hole(x: float, seen: bool) -> None:
    """1.6 mm beyond the hole's edge, to both sides and up and down; the centre's 6 mm out."""
    page = Page()
    found = gauge_paper.marks_of(cast(Any, page), gauge(bolts=[(x - 1e-9, 7.0)]), TILE)[1]
    assert len(found) == (4 if seen else 2)
    if seen:
        at = x + 74.0, 85.0
        assert np.array(page.asked[:4])[:, :2] == pytest.approx(
            np.array([(at[0] - 5.8, at[1]), (at[0] + 5.8, at[1]), (at[0], at[1] - 5.8), (at[0], at[1] + 5.8)])
        )
    centre = np.array([(68.0, 78.0), (80.0, 78.0), (74.0, 72.0), (74.0, 84.0)])
    assert np.array(page.asked[-4:])[:, :2] == pytest.approx(centre)


@pytest.mark.parametrize(("y", "seen"), [(30.0 - 4.0 - SEEK, True), (30.0 - 4.0 - SEEK + 0.05, False)])
def test_a_joining_cross_is_read_on_its_arms(y: float, seen: bool) -> None:
    """Of 4 mm, whose ends and as far as is looked must be on the page; 2.8 mm out, on both kinds of paper."""
    page = Page()
    joins = gauge_paper.marks_of(cast(Any, page), gauge(crosses=((10.0, y - 1e-9),)), TILE)[2]
    part = cast(Any, SimpleNamespace(tiling=tiling(crosses=((10.0, y - 1e-9),))))
    other = Page()
    assert len(list(bracket_paper._joins(cast(Any, other), part, TILE))) == len(joins) == (2 if seen else 0)
    at = 84.0, y + 78.0
    wanted = [(at[0] - 2.8, at[1]), (at[0] + 2.8, at[1]), (at[0], at[1] - 2.8), (at[0], at[1] + 2.8)]
    for asked in (page.asked[4:], other.asked):
        assert [row[:2] for row in asked] == ([pytest.approx(place) for place in wanted] if seen else [])


@pytest.mark.parametrize("shown", [1, 2])
def test_every_tick_must_be_on_some_page(shown: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two pages that both show the first; worst of each kind of mark by its own name."""
    plan = gauge(ticks=[((0.0, 0.0), (1.0, 0.0))] * 2)
    plan.tiles = (TILE, TILE)
    marks = iter([([0.01], [0.02], [0.03], [0]), ([0.04, 0.14], [0.05, 0.16], [0.06, 0.17], [0, 1][:shown])])
    asked: list[Any] = []
    monkeypatch.setattr(gauge_paper, "pages_of", lambda *given: asked.append(given[:3]) or ([1, 2], []))
    monkeypatch.setattr(gauge_paper, "marks_of", lambda *given: next(marks))
    found = gauge_paper.check_gauge_paper(Path("made"), cast(Any, SimpleNamespace(paper=plan)))
    assert asked == [(Path("made") / gauge_paper.PAPER, 2, "A4")]
    assert {str(f.check): f.measured for f in found if f.unit == "mm"} == pytest.approx(
        {"paper-bars": math.nan, "paper-ticks": 0.14, "paper-bolts": 0.16, "paper-joins": 0.17}, nan_ok=True
    )
    last = found[-1]
    assert (last.check, last.measured) == (Check.PAPER_MARKS, f"{shown} of 2")
    assert last.verdict == ("pass" if shown == 2 else "fail")
    assert [f.verdict for f in found[1:4]] == ["pass", "fail", "fail"]


# --- the bracket's lines ----------------------------------------------------------------------------------------------
def places(*lines: list[tuple[float, float]], number: int = 0, words: Any = ()) -> tuple[list[Any], list[Any]]:
    shapes = [shapely.LineString(line) for line in lines]
    at, across = bracket_paper._places(shapes, number, shapely.STRtree([*shapes, *words]))
    return at.tolist(), across.tolist()


@pytest.mark.parametrize(("length", "count"), [(1.9, 0), (2.0, 0), (2.1, 2), (6.4, 2), (6.6, 3), (11.0, 4), (14.0, 5)])
def test_places_three_millimetres_apart_along_a_line(length: float, count: int) -> None:
    """From a millimetre after its beginning to one before its end, as evenly as they go."""
    at, across = places([(0.0, 0.0), (0.6 * length, 0.8 * length)])
    along = np.linspace(1.0, length - 1.0, count)
    assert at == [pytest.approx([0.6 * s, 0.8 * s]) for s in along]
    assert across == [pytest.approx([-0.8, 0.6])] * count
    assert np.shape(bracket_paper._places([shapely.LineString([(0, 0), (1, 0)])], 0, shapely.STRtree([]))) == (2, 0, 2)


@pytest.mark.parametrize(("length", "at"), [(3.9, []), (13.0, [2.0, 5.0, 8.0, 11.0])])
def test_places_begin_as_far_from_both_ends(length: float, at: list[float], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bracket_paper, "OFF_END", 2.0)
    assert [x for x, _ in places([(0.0, 0.0), (length, 0.0)])[0]] == pytest.approx(at)


def test_no_place_where_a_line_turns() -> None:
    """Within three tenths of a corner; and on a bow its own direction counts."""
    at, _ = places([(0.0, 0.0), (6.75, 0.0), (6.75, 7.75)])
    assert [tuple(p) for p in at] == [(1.0, 0.0), (pytest.approx(4.125), 0.0), (6.75, pytest.approx(0.5)),
                                      (6.75, pytest.approx(3.625)), (6.75, pytest.approx(6.75))]  # fmt: skip
    near, _ = places([(0.0, 0.0), (4.2, 0.0), (4.2, 3.8)])  # its middle place lies a fifth short of the corner
    assert [tuple(p) for p in near] == [(1.0, 0.0), (4.2, pytest.approx(2.8))]
    clear, _ = places([(0.0, 0.0), (4.31, 0.0), (4.31, 3.69)])  # and here a third of one
    assert [tuple(p) for p in clear] == [(1.0, 0.0), (pytest.approx(4.0), 0.0), (4.31, pytest.approx(2.69))]
    turn = np.radians(np.linspace(0.0, 90.0, 200))
    bow = [(20 * math.cos(a), 20 * math.sin(a)) for a in turn]
    at, across = places(bow)
    assert len(at) == 11
    for p, way in zip(at, across, strict=True):
        assert np.hypot(*p) == pytest.approx(20.0, abs=0.01)
        assert way == pytest.approx([-p[0] / 20, -p[1] / 20], abs=0.01)


EVEN = np.linspace(1.0, 11.0, 4).tolist()  # places along 12 mm


@pytest.mark.parametrize(
    ("other", "left"),
    [
        ([(0.0, 1.25), (30.0, 1.25)], []),  # nine tenths and the four tenths that keep others off
        ([(0.0, 1.35), (30.0, 1.35)], EVEN),
        ([(0.0, -1.25), (30.0, -1.25)], []),
        ([(0.0, -1.35), (30.0, -1.35)], EVEN),
        ([(EVEN[1] + 0.37, 2.0), (EVEN[1] + 0.37, -2.0)], [EVEN[0], *EVEN[2:]]),
        ([(EVEN[1] + 0.43, 2.0), (EVEN[1] + 0.43, -2.0)], EVEN),
    ],
)
def test_a_place_where_another_line_passes_is_none(other: list[tuple[float, float]], left: list[float]) -> None:
    line = [(0.0, 0.0), (12.0, 0.0)]
    assert [x for x, _ in places(line, other)[0]] == pytest.approx(left)
    assert [x for x, _ in places(other, line, number=1)[0]] == pytest.approx(left)
    assert [x for x, _ in places(line, words=[shapely.LineString(other)])[0]] == pytest.approx(left)


@pytest.mark.parametrize(("apart", "count"), [(0.8, 0), (1.0, 8)])
def test_a_line_that_comes_back_beside_itself(apart: float, count: int) -> None:
    there_and_back = [(0.0, 0.0), (12.0, 0.0), (12.0, apart), (0.0, apart)]
    assert len([at for at in places(there_and_back)[0] if at[0] < 11.5]) == count


def drawing(*lines: Any, **more: Any) -> Any:
    """A part on one page: lines as name, kind and corners."""
    made = [SimpleNamespace(name=name, kind=kind, shape=shapely.LineString(at)) for name, kind, at in lines]
    return SimpleNamespace(title="flat, folded up", lines=made, labels=[], tiling=tiling(**more))


def lines_found(part: Any, off: Any, pages: int = 1) -> Any:
    return bracket_paper._lines(part, [(cast(Any, Page(off)), TILE)] * pages)


ACROSS = "side", "cut", [(-20.0, 0.0), (20.0, 0.0)]
NAN = math.nan


@pytest.mark.parametrize(
    ("kind", "name", "off", "measured", "verdict"),
    [
        ("cut", "side", lambda at: 0.09 if at[0] > 80 else -0.02, 0.09, "pass"),
        ("cut", "side", lambda at: -0.105 if at[0] > 80 else 0.02, 0.105, "fail"),
        ("cut", "side", lambda at: NAN if at[0] > 90 else 0.02, "missing", "fail"),
        ("fold", "bend 1", lambda at: NAN if at[0] > 60 else 0.02, 0.02, "pass"),  # paper between its dashes
        ("mark", "TDC line", lambda at: NAN if at[0] > 60 else 0.02, 0.02, "pass"),
        ("fold", "bend 1", lambda at: NAN, "missing", "fail"),
    ],
)
def test_a_line_is_there_wherever_it_is_looked_for(kind: str, name: str, off: Any, measured: Any, verdict: str) -> None:
    found = lines_found(drawing((name, kind, ACROSS[2])), off)
    assert (found.measured, found.verdict) == (
        measured if isinstance(measured, str) else pytest.approx(measured), verdict
    )  # fmt: skip
    assert found.subject == "bracket-paper.pdf, flat"


def test_the_first_three_lines_that_are_lost_are_named() -> None:
    """A tick too short to be read is not one of them."""
    rows = [(f"line {n}", "cut", [(-20.0, 5.0 * n), (20.0, 5.0 * n)]) for n in range(4)]
    found = lines_found(drawing(*rows, ("tick", "cut", [(0.0, 22.0), (1.5, 22.0)])), lambda at: NAN)
    assert Words().text(found.why) == "4 lines not found where it is drawn: line 0, line 1, line 2"
    sound = lines_found(drawing(*rows, ("tick", "cut", [(0.0, 22.0), (1.5, 22.0)])), lambda at: 0.0)
    assert sound.verdict == "pass"


def test_places_near_a_page_s_edge_and_beside_a_joining_cross_are_left_out() -> None:
    """Two millimetres and four tenths from the edge; six and what is looked from a cross's middle."""
    part = drawing(ACROSS, crosses=((20.0, 10.0), (-40.0, -20.0)))
    at = np.array([(50.0 - SEEK - 1.0, 0.0), (50.0 - SEEK - 0.95, 0.0), (0.0, 3.0), (20.0, 2.7), (20.0, 2.5),
                   (12.7, 10.0), (12.5, 10.0), (-40.0, -12.7), (-40.0, -12.5), (15.0, 4.3)])  # fmt: skip
    across = np.column_stack([np.arange(10.0), np.zeros(10)])
    page = Page(lambda place: place[0])
    found = bracket_paper._measured(cast(Any, page), part, TILE, (at - [1e-9, 0.0], across))
    kept = [0, 2, 4, 6, 8, 9]
    assert found == pytest.approx([at[k, 0] + 74.0 for k in kept if k != 9] + [89.0])
    assert [row[2] for row in page.asked] == kept
    assert [row[1] for row in page.asked] == pytest.approx([at[k, 1] + 78.0 for k in kept])
    assert bracket_paper._measured(cast(Any, page), part, TILE, (at[1:2], across[1:2])) == []


@pytest.mark.parametrize(("x", "free"), [(7.4, False), (7.41, True), (-7.4, False), (-7.41, True)])
def test_just_as_far_from_a_cross_as_it_reaches(x: float, free: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bracket_paper, "CROSS", 4.0)
    reach = 1.5 * 4.0 + SEEK
    part = cast(Any, drawing(crosses=((0.0, 0.0),)))
    assert bracket_paper._no_cross(part, (x if free else math.copysign(reach, x), 0.0)) == free


def test_a_bracket_s_paper(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two drawings on three pages; each line is looked for on its own drawing's pages."""
    one, two = drawing(ACROSS), drawing(ACROSS)
    one.tiling.tiles, two.tiling.tiles = (TILE, TILE), (TILE,)
    asked: list[Any] = []
    monkeypatch.setattr(bracket_paper, "plan_paper", lambda design: [one, two])
    monkeypatch.setattr(bracket_paper, "pages_of", lambda *given: asked.append(given[:3]) or ([1, 2, 3], ["pages"]))
    monkeypatch.setattr(bracket_paper, "_lines", lambda part, pages: [page for page, _ in pages])
    found = bracket_paper.check_bracket_paper(Path("made"), cast(Any, None))
    assert asked == [(Path("made") / bracket_paper.PAPER_FILE, 3, "A4")]
    assert (found[0], found[2:]) == ("pages", [[1, 2], [3]])
    monkeypatch.setattr(bracket_paper, "plan_paper", lambda design: [one])
    monkeypatch.setattr(bracket_paper, "pages_of", lambda *given: asked.append(given[:3]) or ([], ["none"]))
    assert bracket_paper.check_bracket_paper(Path("made"), cast(Any, None)) == ["none"]
    assert asked[1] == (Path("made") / bracket_paper.PAPER_FILE, 2, "A4")
