"""Puts a sheet on paper: picks size and standard scale, places views, tables and notes, numbers the pages.

The rule for size and scale: the smallest of the sheet's papers on which the views fit full size or larger; where none
takes them full size, the one that allows the largest standard scale. What cannot stand beside the views goes on a
following page.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from wheelcad.drawing.blocks import Block, notes_block, pack, table_blocks
from wheelcad.drawing.frame import TITLE_HEIGHT, frame_group, title_group
from wheelcad.drawing.ink import Box, Group, box_of
from wheelcad.drawing.model import Sheet, View
from wheelcad.drawing.overlap import overlaps_on
from wheelcad.drawing.paper import PAPERS, STANDARD_SCALES, TITLE_WIDTH, Paper, standard_scale
from wheelcad.drawing.view import ink_view, part_box

GAP = 8.0  # mm between views, blocks and frame
INSET = 5.0  # mm kept free inside the frame

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


@dataclass(frozen=True)
class _Arranged:
    paper: Paper
    scale: float
    origins: tuple[tuple[float, float], ...]
    blocks: tuple[tuple[Block, float, float], ...]


class _Inked:
    """A sheet's views inked once for each scale that is tried."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self._views: dict[tuple[int, float], tuple[list[Group], Box]] = {}

    def view(self, k: int, scale: float) -> tuple[list[Group], Box]:
        """Groups and box of view k."""
        own = self.sheet.views[k].scale or scale
        if (k, own) not in self._views:
            groups = ink_view(self.sheet.views[k], own, self.sheet.units)
            box = box_of(i for g in groups for i in g.ink) if groups else (0.0, 0.0, 0.0, 0.0)
            self._views[k, own] = groups, box
        return self._views[k, own]


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


def _pages(sheet: Sheet) -> list[Page]:
    inked = _Inked(sheet)
    blocks = len(sheet.tables) + len(sheet.notes)
    bare = _arrange(inked, 0)
    if bare is None:
        raise ValueError(f"no standard scale puts the views of {sheet.name!r} on {', '.join(sheet.papers)}")
    # tables and notes may cost the views one step of scale, no more
    least = bare.scale / 2.001 if sheet.views else 0.0
    for keep in range(blocks, -1, -1):
        arranged = _arrange(inked, keep) if keep else bare
        if arranged is not None and arranged.scale >= least:
            break
    else:
        arranged, keep = bare, 0
    pages = [_page(inked, arranged or bare)]
    if keep < blocks:
        if not sheet.views and keep == 0:
            raise ValueError(f"a table or note of {sheet.name!r} is larger than {sheet.papers[-1]}")
        tables = sheet.tables[keep:]
        notes = sheet.notes[max(0, keep - len(sheet.tables)) :]
        rest = replace(sheet, views=(), tables=tables, notes=notes, scale=pages[0].scale, papers=(pages[0].paper.name,))
        pages += _pages(rest)
    return pages


def _scales(sheet: Sheet) -> list[float]:
    if sheet.scale is not None:
        return [sheet.scale]
    return [float(s) for s in STANDARD_SCALES if float(s) <= sheet.largest_scale * (1 + 1e-9)]


def _arrange(inked: _Inked, keep: int) -> _Arranged | None:
    """The best arrangement with the first `keep` tables and notes on the page; None when nothing fits."""
    best: _Arranged | None = None
    scales = _scales(inked.sheet)
    for name in inked.sheet.papers:
        for scale in scales:
            if best is not None and scale <= best.scale:
                break
            found = _on_paper(inked, PAPERS[name], scale, keep)
            if found is not None:
                best = found
                break
        if best is not None and best.scale >= min(1.0, scales[0]):
            return best
    return best


def _on_paper(inked: _Inked, paper: Paper, scale: float, keep: int) -> _Arranged | None:
    x0, y0, x1, y1 = paper.frame
    x0, y0, x1, y1 = x0 + INSET, y0, x1, y1 - INSET
    bare = [part_box(v, v.scale or scale) for v in inked.sheet.views]
    if _grid(inked.sheet.views, bare, (x0, y0, x1, y1)) is None:
        return None  # not even without dimensions: no need to place any
    for region, placed in _regions(inked.sheet, paper, keep, (x0, y0, x1, y1)):
        boxes = [inked.view(k, scale)[1] for k in range(len(inked.sheet.views))]
        origins = _grid(inked.sheet.views, boxes, region)
        if origins is not None:
            return _Arranged(paper, scale, origins, placed)
    return None


def _regions(
    sheet: Sheet, paper: Paper, keep: int, inner: Box
) -> Iterable[tuple[Box, tuple[tuple[Block, float, float], ...]]]:
    """Ways to set blocks round the title block, each with the room that is left to the views."""
    x0, y0, x1, y1 = inner
    title_left, title_top = paper.frame[2] - TITLE_WIDTH, y0 + TITLE_HEIGHT
    narrow = title_left - x0 < 60.0
    column_width = min(TITLE_WIDTH, x1 - x0) - (INSET if not narrow else 0.0)
    column = _blocks(sheet, keep, column_width, y1 - title_top - 2 * GAP)
    column_left = x1 - column_width if not narrow else x0
    places, tall = pack(column, column_width, GAP)
    if narrow:  # the title block fills the width: blocks stand on it, views above them
        top = title_top + GAP + tall if column else title_top
        if top + GAP < y1:
            yield (x0, top + GAP, x1 - INSET, y1), _set(column, places, column_left, top)
        return
    strip_width = title_left - GAP - x0
    strip = _blocks(sheet, keep, strip_width, y1 - y0 - GAP)
    if all(b.width <= strip_width for b in strip):
        strip_places, deep = pack(strip, strip_width, GAP)
        top = max(title_top, y0 + INSET + deep)
        yield (
            (x0, top + GAP, x1 - INSET, y1),
            _set(strip, strip_places, x0, top if top > title_top else y0 + INSET + deep),
        )
    if column and tall <= y1 - title_top - GAP:
        beside = (x0, y0 + INSET, title_left - GAP, y1)
        yield beside, _set(column, places, column_left, y1)
    if not column:
        yield (x0, y0 + INSET, title_left - GAP, y1), ()
    for split in range(len(column) - 1, 0, -1):  # some in the strip, the rest over the title block
        low, high = strip[:split], _blocks(sheet, keep, column_width, y1)[split:]
        if len(strip) != len(column) or any(b.width > strip_width for b in low):
            continue
        low_places, deep = pack(low, strip_width, GAP)
        high_places, tall = pack(high, column_width, GAP)
        if tall > y1 - title_top - GAP or deep > y1 - y0:
            continue
        top = y0 + INSET + deep
        placed = _set(low, low_places, x0, top) + _set(high, high_places, column_left, y1)
        yield (x0, top + GAP, title_left - GAP, y1), placed


def _blocks(sheet: Sheet, keep: int, width: float, tallest: float) -> list[Block]:
    out: list[Block] = []
    for table in sheet.tables[:keep]:
        out.extend(table_blocks(table, max(tallest, 30.0)))
    for notes in sheet.notes[: max(0, keep - len(sheet.tables))]:
        out.append(notes_block(notes, min(notes.width, width)))
    return out


def _set(
    blocks: Sequence[Block], places: Sequence[tuple[float, float]], left: float, top: float
) -> tuple[tuple[Block, float, float], ...]:
    return tuple((b, left + x, top + y) for b, (x, y) in zip(blocks, places, strict=True))


def _grid(views: Sequence[View], own: Sequence[Box], region: Box) -> tuple[tuple[float, float], ...] | None:
    """Origins of the views in their grid, spread evenly over the region; None when they do not fit."""
    boxes = [_about_origin(v, b) for v, b in zip(views, own, strict=True)]
    columns = sorted({v.cell[0] for v in views})
    rows = sorted({v.cell[1] for v in views})
    left = {c: min(b[0][0] for v, b in zip(views, boxes, strict=True) if v.cell[0] == c) for c in columns}
    right = {c: max(b[0][2] for v, b in zip(views, boxes, strict=True) if v.cell[0] == c) for c in columns}
    down = {r: min(b[0][1] for v, b in zip(views, boxes, strict=True) if v.cell[1] == r) for r in rows}
    up = {r: max(b[0][3] for v, b in zip(views, boxes, strict=True) if v.cell[1] == r) for r in rows}
    spare_x = region[2] - region[0] - sum(right[c] - left[c] for c in columns) - GAP * max(len(columns) - 1, 0)
    spare_y = region[3] - region[1] - sum(up[r] - down[r] for r in rows) - GAP * max(len(rows) - 1, 0)
    if spare_x < 0 or spare_y < 0:
        return None
    share_x, share_y = spare_x / (len(columns) + 1), spare_y / (len(rows) + 1)
    xs, x = {}, region[0] + share_x
    for c in columns:
        xs[c] = x - left[c]
        x += right[c] - left[c] + GAP + share_x
    ys, y = {}, region[3] - share_y
    for r in rows:
        ys[r] = y - up[r]
        y -= up[r] - down[r] + GAP + share_y
    return tuple((xs[v.cell[0]] + b[1], ys[v.cell[1]] + b[2]) for v, b in zip(views, boxes, strict=True))


def _about_origin(view: View, box: Box) -> tuple[Box, float, float]:
    """A view's box, and the shift of its origin: views with a scale of their own are centred, not aligned."""
    if view.scale is None:
        return box, 0.0, 0.0
    cx, cy = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    return (box[0] - cx, box[1] - cy, box[2] - cx, box[3] - cy), -cx, -cy


def _page(inked: _Inked, arranged: _Arranged) -> Page:
    sheet = inked.sheet
    groups = [frame_group(arranged.paper)]
    placed = []
    for k, (view, (x, y)) in enumerate(zip(sheet.views, arranged.origins, strict=True)):
        groups += [g.moved(x, y) for g in inked.view(k, arranged.scale)[0]]
        placed.append(Placed(view.name, x, y, view.scale or arranged.scale))
    groups += [block.group.moved(x, y) for block, x, y in arranged.blocks]
    groups.append(title_group(sheet, arranged.paper, arranged.scale, 1, 1))
    return Page(sheet, arranged.paper, arranged.scale, tuple(groups), tuple(placed), 1, 1)
