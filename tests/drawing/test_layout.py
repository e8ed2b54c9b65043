"""Where things stand: stacks of dimensions, scales and papers, pages; and the checker sees what is wrong."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.drawing.random_jobs import random_sheets
from tests.drawing.trial import RING, trial_sheet
from wheelcad.drawing.arrange import _view
from wheelcad.drawing.ink import Fill, Group, HatchArea, Letters, Stroke, line, pen
from wheelcad.drawing.layout import Page, compose, overlaps
from wheelcad.drawing.linear import FIRST_MM, NEXT_MM
from wheelcad.drawing.model import Circle, Hatch, Linear, Note, Notes, Outline, Sheet, Table, TitleBlock, View
from wheelcad.trade.loop import Loop

TITLE = TitleBlock("Plate", "plate-1")


def plate(width: float, height: float, *more: object) -> View:
    """A rectangle with further entities."""
    edge = Loop.polygon([(0, 0), (width, 0), (width, height), (0, height)])
    return View("plate", (Outline(edge), *more))  # type: ignore[arg-type]


def dimension_lines(page: Page) -> dict[str, Stroke]:
    """The dimension line of every linear dimension, by its text."""
    return {
        g.measure.text: next(i for i in g.ink if isinstance(i, Stroke) and i.role == "dimension-line")
        for g in page.groups
        if g.measure is not None and g.measure.kind == "linear"
    }


@pytest.mark.parametrize("units", ["mm", "in", "dual"])
@pytest.mark.parametrize("papers", [("A4", "A3"), ("Letter", "Tabloid")])
def test_one_of_everything_overlaps_nowhere(units: str, papers: tuple[str, ...]) -> None:
    sheet = trial_sheet(units, papers)  # type: ignore[arg-type]
    assert overlaps(sheet) == []


def test_dimensions_stand_8_and_7_mm_apart_shortest_inside() -> None:
    dims = [Linear((0, 40), (x, 40), "above") for x in (100, 30, 60)]
    page = compose(Sheet("s", TITLE, (plate(100, 40, *dims),), papers=("A3",), scale=1.0))[0]
    lines = dimension_lines(page)
    top = page.views[0].y + 40
    heights = [lines[text].vertices[0][1] - top for text in ("30", "60", "100")]
    assert heights == pytest.approx([FIRST_MM, FIRST_MM + NEXT_MM, FIRST_MM + 2 * NEXT_MM])
    assert (FIRST_MM, NEXT_MM) == (8.0, 7.0)


def test_dimensions_side_by_side_share_a_line() -> None:
    dims = [Linear((0, 40), (40, 40), "above"), Linear((40, 40), (100, 40), "above")]
    page = compose(Sheet("s", TITLE, (plate(100, 40, *dims),), papers=("A3",), scale=1.0))[0]
    lines = dimension_lines(page)
    assert lines["40"].vertices[0][1] == pytest.approx(lines["60"].vertices[0][1])
    assert overlaps(page) == []


def test_a_text_too_wide_for_its_dimension_goes_outside() -> None:
    dims = [Linear((0, 40), (2, 40), "above", upper=0.025, lower=0.0)]
    page = compose(Sheet("s", TITLE, (plate(100, 40, *dims),), papers=("A3",), scale=1.0))[0]
    words = next(i for g in page.groups if g.measure for i in g.ink if isinstance(i, Letters))
    x0 = page.views[0].x
    assert words.x - words.width / 2 > x0 + 2 or words.x + words.width / 2 < x0
    assert overlaps(page) == []


@pytest.mark.parametrize(
    ("width", "height", "paper", "scale"),
    [(60, 60, "A4", 2.0), (120, 90, "A4", 1.0), (300, 150, "A3", 1.0), (700, 300, "A3", 0.5), (4000, 900, "A3", 0.05)],
)
def test_paper_and_scale(width: float, height: float, paper: str, scale: float) -> None:
    """The smallest paper full size or larger; else the largest standard scale."""
    page = compose(Sheet("s", TITLE, (plate(width, height),)))[0]
    assert (page.paper.name, page.scale) == (paper, scale)


def test_what_fits_nowhere_is_said() -> None:
    with pytest.raises(ValueError, match="no standard scale"):
        compose(Sheet("s", TITLE, (plate(900_000, 40),)))


def test_long_tables_run_over_to_further_pages() -> None:
    rows = tuple((str(k), f"{k * 3}°", "⌀6") for k in range(300))
    table = Table("Slots", ("Slot", "Angle", "Size"), rows)
    notes = tuple(Notes(f"Notes {k}", ("word " * 300,)) for k in range(4))
    pages = compose(Sheet("s", TITLE, (plate(150, 120),), (table,), notes))
    assert len(pages) > 1
    assert [(p.number, p.of) for p in pages] == [(k + 1, len(pages)) for k in range(len(pages))]
    assert overlaps(pages) == []
    said = [i.text for p in pages for g in p.groups if g.kind == "block" for i in g.ink if isinstance(i, Letters)]
    assert {row[0] for row in rows} <= set(said)
    assert pages[0].scale >= 0.5


def test_pages_of_several_sheets_are_numbered_through() -> None:
    pages = compose([trial_sheet(), trial_sheet()])
    assert [(p.number, p.of) for p in pages] == [(1, 2), (2, 2)]
    said = [i.text for g in pages[1].groups if g.kind == "title" for i in g.ink if isinstance(i, Letters)]
    assert "2 of 2" in said


def test_hatching_covers_the_area_and_spares_the_holes() -> None:
    """Lines p apart have a total length of area / p, whatever their angle."""
    edge, hole = Loop.polygon([(0, 0), (200, 0), (200, 100), (0, 100)]), Loop.circle(60, 50, 30)
    for angle in (45.0, 135.0, 0.0):
        segments = HatchArea((edge, hole), angle, 0.5, pen("HATCH")).segments()
        length = np.hypot(*(segments[:, 2:] - segments[:, :2]).T).sum()
        assert length == pytest.approx((20_000 - np.pi * 900) / 0.5, rel=2e-3)
        middles = (segments[:, :2] + segments[:, 2:]) / 2
        assert (np.hypot(*(middles - [60, 50]).T) > 30).all()


def _with(page: Page, *groups: Group) -> Page:
    return replace(page, groups=(*page.groups, *groups))


def test_the_checker_sees_seeded_faults() -> None:
    page = compose(trial_sheet())[0]
    assert overlaps(page) == []
    words = next(i for g in page.groups if g.measure for i in g.ink if isinstance(i, Letters))
    view = next(g.view for g in page.groups if g.measure)
    slash = line((words.x - 9, words.y - 9), (words.x + 9, words.y + 9))
    faults = {
        "text on text": Group("x", "text", (Letters(words.x, words.y, "oops", 3.5),), view=view),
        "line through text": Group("x", "pointer", (slash,), view=view),
        "outside the frame": Group("x", "text", (Letters(2, 2, "oops", 3.5),), view=view),
        "on the title block": Group("x", "text", (Letters(page.paper.width - 60, 20, "oops", 3.5),), view=view),
    }
    for name, group in faults.items():
        assert overlaps(_with(page, group)), name


def test_the_checker_sees_a_dimension_line_over_the_part() -> None:
    view = View("v", (Circle(0, 0, 30), Hatch((RING,)), Outline(RING)))
    page = compose(Sheet("s", TITLE, (view,), papers=("A3",), scale=1.0))[0]
    origin = page.views[0]
    across = line((origin.x - 50, origin.y), (origin.x + 50, origin.y), role="dimension-line")
    found = overlaps(_with(page, Group("x", "dimension", (across,), view="v")))
    assert any("over the part" in fault for fault in found)


def test_leaders_keep_off_each_other() -> None:
    notes = [Note((10 + 5 * k, 20), f"hole {k}", 90) for k in range(12)]
    assert overlaps(Sheet("s", TITLE, (plate(100, 40, *notes),), papers=("A3",), scale=1.0)) == []


def check_seeds(seeds: range) -> int:
    """Number of random drawings looked at; fails on the first that is not clean."""
    looked = 0
    for seed in seeds:
        for sheet in random_sheets(seed):
            found = overlaps(sheet)
            assert found == [], f"seed {seed}, {sheet.name}: {found[:3]}"
            looked += 1
    return looked


def test_a_datum_without_room_beside_its_dimension_goes_out_together_with_it() -> None:
    """The bore's lines are the innermost, the next diameters' run out on both sides of them and an angle stands below:
    a dimension put first where it fits alone leaves its triangle no place in line with it."""
    sheet = next(s for s in random_sheets(107) if s.name == "blank")
    (page,) = compose(sheet)
    assert overlaps(page) == []
    bore = next(g for g in page.groups if g.measure is not None and g.measure.text == "(⌀28.4)")
    run = next(i for i in bore.ink if isinstance(i, Stroke) and i.role == "dimension-line").points()
    (sign,) = [g for g in page.groups if g.name == "A" and g.view == bore.view]
    stem = next(i for i in sign.ink if isinstance(i, Stroke) and i.role == "leader").points()
    assert stem[:, 0] == pytest.approx(run[0, 0])
    assert stem[:, 1].max() < run[:, 1].min() or stem[:, 1].min() > run[:, 1].max()


def test_a_datum_takes_the_place_of_an_arrow_that_has_no_room_inside() -> None:
    """Where arrows stand outside, their line would run along the stem of the triangle at either end."""
    sheet = next(s for s in random_sheets(200) if s.name == "blank")
    (page,) = compose(sheet)
    assert overlaps(page) == []
    bore = next(g for g in page.groups if g.measure is not None and g.measure.text == "(⌀0.5315)")
    (sign,) = [g for g in page.groups if g.name == "A" and g.view == bore.view]
    assert sum(isinstance(i, Fill) for i in bore.ink) == 1
    assert sum(isinstance(i, Fill) for i in sign.ink) == 1


def test_random_jobs_overlap_nowhere() -> None:
    assert check_seeds(range(12)) >= 10


@pytest.mark.slow
def test_a_hundred_random_jobs_overlap_nowhere() -> None:
    assert check_seeds(range(100, 210)) >= 100


def test_a_view_drawn_for_one_job_is_not_drawn_again_for_another_that_shows_the_same() -> None:
    compose(Sheet("one", TITLE, (plate(103, 41, Linear((0, 41), (103, 41), "above")),)))
    drawn = _view.cache_info().misses
    compose(Sheet("two", replace(TITLE, title="Another"), (plate(103, 41, Linear((0, 41), (103, 41), "above")),)))
    assert _view.cache_info().misses == drawn
