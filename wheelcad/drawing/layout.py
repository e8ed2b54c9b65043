"""Puts a sheet on paper: picks size and standard scale, places views, tables and notes, numbers the pages.

The rule for size and scale: the smallest of the sheet's papers on which the views fit full size or larger; where none
takes them full size, the one that allows the largest standard scale. What cannot stand beside the views goes on a
following page.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from wheelcad.drawing.arrange import Arranged, Inked, arrange
from wheelcad.drawing.blocks import ROW
from wheelcad.drawing.frame import frame_group, title_group
from wheelcad.drawing.ink import Group
from wheelcad.drawing.model import Sheet, Table
from wheelcad.drawing.overlap import overlaps_on
from wheelcad.drawing.paper import PAPERS, Paper, standard_scale, step_scale
from wheelcad.words import Words

SMALLEST_SCALE = 0.5  # smaller, holes and bend lines of a hand-sized part run together on paper
TALLEST_TABLE_MM = 180.0  # of rows in one piece of a table: fits every paper over the title block

__all__ = ["Page", "Placed", "compose", "overlaps", "standard_scale"]


@dataclass(frozen=True)
class Placed:
    """A view on paper: its origin (mm) and scale."""

    name: str
    x: float
    y: float
    scale: float


@dataclass(frozen=True)
class Page:
    """A sheet as it stands on paper: every group of ink in its place."""

    sheet: Sheet
    paper: Paper
    scale: float
    groups: tuple[Group, ...]
    views: tuple[Placed, ...]
    number: int
    of: int


def compose(sheets: Sheet | Page | Iterable[Sheet | Page]) -> tuple[Page, ...]:
    """The pages of one or more sheets, numbered through. Pages already composed are taken as they are."""
    given = (sheets,) if isinstance(sheets, Sheet | Page) else tuple(sheets)
    if all(isinstance(g, Page) for g in given):
        return tuple(g for g in given if isinstance(g, Page))
    drafts = [d for g in given for d in ([g] if isinstance(g, Page) else _pages(g))]
    return tuple(_finish(d, k, len(drafts)) for k, d in enumerate(drafts, start=1))


def overlaps(sheet: Sheet | Page | Iterable[Sheet | Page]) -> list[str]:
    """Everything on the pages that runs into something else, in words; empty for a clean drawing."""
    return [
        f"page {page.number}: {fault}"
        for page in compose(sheet)
        for fault in overlaps_on(page.groups, page.paper.frame)
    ]


def _finish(page: Page, number: int, of: int) -> Page:
    sheet = page.sheet
    number, of = sheet.number or number, sheet.of or of
    kept = tuple(g for g in page.groups if g.kind != "title")
    title = title_group(sheet, page.paper, page.scale, number, of)
    return replace(page, groups=(*kept, title), number=number, of=of)


def _in_pieces(table: Table) -> tuple[Table, ...]:
    """The table, or pieces of it that fit a page of their own."""
    most = int(TALLEST_TABLE_MM / (ROW * table.height))
    return tuple(
        replace(table, title=_continued(table.title, k), rows=table.rows[k : k + most])
        for k in range(0, max(len(table.rows), 1), most)
    )


def _continued(title: str, first_row: int) -> str:
    return f"{title} (cont.)" if first_row and title else title


def _pages(sheet: Sheet) -> list[Page]:
    sheet = Words("in" if sheet.units == "in" else "mm").through(sheet)
    sheet = replace(sheet, tables=tuple(piece for table in sheet.tables for piece in _in_pieces(table)))
    inked = Inked(sheet)
    blocks = len(sheet.tables) + len(sheet.notes)
    best, keep = _best(inked, blocks)
    pages = [_page(inked, best)]
    if keep < blocks:
        if not sheet.views and keep == 0:
            raise ValueError(f"a table or note of {sheet.name!r} is larger than {sheet.papers[-1]}")
        tables = sheet.tables[keep:]
        notes = sheet.notes[max(0, keep - len(sheet.tables)) :]
        rest = replace(
            sheet, views=(), tables=tables, notes=notes, scale=pages[0].scale, papers=(_key(pages[0].paper),)
        )
        pages += _pages(rest)
    return pages


def _key(paper: Paper) -> str:
    """The paper's key: its name, and which way it lies where that is not the usual one."""
    return next(key for key, other in PAPERS.items() if other == paper)


def _best(inked: Inked, blocks: int) -> tuple[Arranged, int]:
    """The arrangement to take, and how many tables and notes stay on the page: where all together make the views
    smaller than full size they may cost them one standard step of scale, no more, and none below SMALLEST_SCALE; the
    last ones go first. ValueError when the views do not fit.

    No smaller scale is tried than may be taken: to place what points at a view takes longest where there is least room.
    """
    sheet = inked.sheet
    large = arrange(inked, blocks, 1.0)
    if large is not None and inked.clean(large.scale):
        return large, blocks
    bare = arrange(inked, 0)
    if bare is None:
        whole = arrange(inked, blocks)
        if whole is not None and whole.scale >= 1.0:
            return whole, blocks
        raise ValueError(f"no standard scale puts the views of {sheet.name!r} on {', '.join(sheet.papers)}")
    least = step_scale(bare.scale, -1) if sheet.views else 0.0
    least = bare.scale if least < SMALLEST_SCALE <= bare.scale else least
    whole = arrange(inked, blocks, min(least, 1.0))
    if whole is not None and not inked.clean(whole.scale):
        whole = arrange(inked, blocks)  # a clean one is taken, however small
    if whole is not None and whole.scale >= min(least * (1 - 1e-9), 1.0):
        return whole, blocks
    for keep in range(blocks - 1, 0, -1):
        found = arrange(inked, keep, least)
        if found is not None:
            return found, keep
    return bare, 0


def _page(inked: Inked, arranged: Arranged) -> Page:
    sheet = inked.sheet
    groups = [frame_group(arranged.paper)]
    placed = []
    for k, (view, (x, y)) in enumerate(zip(sheet.views, arranged.origins, strict=True)):
        groups += [g.moved(x, y) for g in inked.done(k, arranged.scale)[0].groups]
        placed.append(Placed(view.name, x, y, view.scale_on(arranged.scale)))
    groups += [block.group.moved(x, y) for block, x, y in arranged.blocks]
    groups.append(title_group(sheet, arranged.paper, arranged.scale, 1, 1))
    return Page(sheet, arranged.paper, arranged.scale, tuple(groups), tuple(placed), 1, 1)
