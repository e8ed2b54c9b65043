"""Where views, tables and notes stand on a sheet of paper, and at which standard scale.

Tried in this order at each scale: views over a strip of notes beside the title block; views at the left with notes over
the title block; both; and, where none of these takes the views, views anywhere with the notes in what room is left.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from wheelcad.drawing.blocks import SheetBlock, notes_block, pack, table_blocks
from wheelcad.drawing.frame import TITLE_HEIGHT
from wheelcad.drawing.ink import Box
from wheelcad.drawing.linear import FIRST_MM
from wheelcad.drawing.model import Linear, Sheet, Units, View
from wheelcad.drawing.paper import PAPERS, STANDARD_SCALES, TITLE_WIDTH, Paper
from wheelcad.drawing.room import boxes_meet, grown
from wheelcad.drawing.view import Draft, ink_pointers, ink_stacks, part_box

GAP = 8.0  # mm between views, blocks and frame
INSET = 6.5  # mm kept free inside the frame, clear of its centring marks
STEP = 4.0  # mm between places tried for a block
HALF = 0.6  # of a note's width, so that two stand side by side on a small sheet
NARROWER = (1.0, 0.75, 0.55)  # of a note's width, tried in turn

Placing = tuple[SheetBlock, float, float]


@dataclass(frozen=True)
class Arranged:
    """What stands where: the views' origins, and the blocks with their lower left corners (mm on paper)."""

    paper: Paper
    scale: float
    origins: tuple[tuple[float, float], ...]
    blocks: tuple[Placing, ...]


class _View:
    """A view at a scale, inked no further than it takes to reject it."""

    def __init__(self, view: View, scale: float, units: Units) -> None:
        self._draft = ink_stacks(view, scale, units)
        self.stacks = self._draft.box()

    @cached_property
    def done(self) -> tuple[Draft, Box]:
        """With everything, and its box."""
        draft = ink_pointers(self._draft)
        return draft, draft.box()


_view = lru_cache(maxsize=48)(_View)  # jobs that differ elsewhere show the same views


class Inked:
    """A sheet's views, each inked once for each scale that is tried."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet

    def _at(self, k: int, scale: float) -> _View:
        view = self.sheet.views[k]
        return _view(view, view.scale_on(scale), self.sheet.units)

    def stacks(self, k: int, scale: float) -> Box:
        """Box of view k with its linear dimensions only."""
        return self._at(k, scale).stacks

    def done(self, k: int, scale: float) -> tuple[Draft, Box]:
        """View k with everything, and its box."""
        return self._at(k, scale).done

    def clean(self, scale: float) -> bool:
        """True when everything in all views has a place of its own."""
        return all(self.done(k, scale)[0].clean for k in range(len(self.sheet.views)))


def _scales(sheet: Sheet) -> list[float]:
    if sheet.scale is not None:
        return [sheet.scale]
    smallest, largest = sheet.smallest_scale * (1 - 1e-9), sheet.largest_scale * (1 + 1e-9)
    return [float(s) for s in STANDARD_SCALES if smallest <= float(s) <= largest]


def arrange(inked: Inked, keep: int, least: float = 0.0) -> Arranged | None:
    """The best arrangement with the first `keep` tables and notes on the page; None when nothing fits.

    Full size or larger: the smallest paper that takes it. Smaller: the largest scale, on the smallest paper for it.
    least: no smaller scale is tried. A scale at which something in a view would run into something else is passed
    over, unless there is no other.
    """
    papers = [PAPERS[name] for name in inked.sheet.papers]
    scales = [s for s in _scales(inked.sheet) if s >= least * (1 - 1e-9)]
    full = min(1.0, scales[0]) if scales else 1.0
    tries = [(p, s) for p in papers for s in scales if s >= full]
    tries += [(p, s) for s in scales if s < full for p in papers]
    poor: Arranged | None = None
    for paper, scale in tries:
        found = _on_paper(inked, paper, scale, keep)
        if found is not None and inked.clean(scale):
            return found
        poor = poor or found
    return poor


def _on_paper(inked: Inked, paper: Paper, scale: float, keep: int) -> Arranged | None:
    x0, y0, x1, y1 = paper.frame
    inner = x0 + INSET, y0 + INSET, x1 - INSET, y1 - INSET
    views = inked.sheet.views
    fixed = _fixed(views)
    if not _could_fit(views, fixed, [_at_least(views[k], views[k].scale_on(scale)) for k in fixed], inner):
        return None  # not even without dimensions: no need to place any
    if not _could_fit(views, fixed, [inked.stacks(k, scale) for k in fixed], inner):
        return None
    boxes = [inked.done(k, scale)[1] for k in range(len(views))]
    for region, placed in _regions(inked.sheet, paper, keep, (inner[0], y0, x1, inner[3])):
        origins = _grid(views, boxes, region)
        if origins is not None:
            return Arranged(paper, scale, origins, placed)
    free = _free(inked.sheet, boxes, paper, keep, inner)
    return Arranged(paper, scale, *free) if free is not None else None


def _fixed(views: Sequence[View]) -> list[int]:
    """The views that stand in line with each other: those at the sheet's scale, or all where none is."""
    return [k for k, v in enumerate(views) if not v.own_scale] or list(range(len(views)))


def _could_fit(views: Sequence[View], fixed: Sequence[int], boxes: Sequence[Box], inner: Box) -> bool:
    return _grid([views[k] for k in fixed], boxes, inner) is not None


def _at_least(view: View, scale: float) -> Box:
    """The box round a view's part and the first dimension line on each side that has one: it never takes less."""
    box = part_box(view, scale)
    sides = {e.side for e in view.entities if isinstance(e, Linear) and e.at is None}
    out = {side: FIRST_MM if side in sides else 0.0 for side in ("left", "below", "right", "above")}
    return box[0] - out["left"], box[1] - out["below"], box[2] + out["right"], box[3] + out["above"]


def _regions(sheet: Sheet, paper: Paper, keep: int, inner: Box) -> Iterator[tuple[Box, tuple[Placing, ...]]]:
    """Ways to set blocks round the title block, each with the room that is left to the views."""
    x0, y0, x1, y1 = inner
    title_left, title_top = paper.frame[2] - TITLE_WIDTH, y0 + TITLE_HEIGHT
    narrow = title_left - x0 < 60.0
    column_width = min(TITLE_WIDTH, x1 - x0) - (INSET if not narrow else 0.0)
    column = _blocks(sheet, keep, column_width, y1 - title_top - 2 * GAP)
    column_left = x1 - column_width if not narrow else x0
    places, tall = pack(column, column_width, GAP)
    if narrow:  # the title block fills the width: blocks stand on it, views above them
        for share in (1.0, HALF):
            column = _blocks(sheet, keep, column_width, y1 - title_top - 2 * GAP, share)
            places, tall = pack(column, column_width, GAP)
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


def _blocks(sheet: Sheet, keep: int, width: float, tallest: float, share: float = 1.0) -> list[SheetBlock]:
    out: list[SheetBlock] = []
    for table in sheet.tables[:keep]:
        out.extend(table_blocks(table, max(tallest, 30.0)))
    for notes in sheet.notes[: max(0, keep - len(sheet.tables))]:
        out.append(notes_block(notes, min(notes.width, width) * share))
    return out


def _set(
    blocks: Sequence[SheetBlock], places: Sequence[tuple[float, float]], left: float, top: float
) -> tuple[Placing, ...]:
    return tuple((b, left + x, top + y) for b, (x, y) in zip(blocks, places, strict=True))


def _grid(
    views: Sequence[View], own: Sequence[Box], region: Box, push: float | None = None, lift: float = 0.0
) -> tuple[tuple[float, float], ...] | None:
    """Origins of the views in their grid; None when they do not fit.

    Spread evenly over the region; or with `push` kept together, 0 at its left and 1 at its right, and `lift` 0 at its
    top and 1 at its bottom.
    """
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
    start_x, start_y = share_x, share_y
    if push is not None:
        start_x, start_y, share_x, share_y = push * spare_x, lift * spare_y, 0.0, 0.0
    xs, x = {}, region[0] + start_x
    for c in columns:
        xs[c] = x - left[c]
        x += right[c] - left[c] + GAP + share_x
    ys, y = {}, region[3] - start_y
    for r in rows:
        ys[r] = y - up[r]
        y -= up[r] - down[r] + GAP + share_y
    return tuple((xs[v.cell[0]] + b[1], ys[v.cell[1]] + b[2]) for v, b in zip(views, boxes, strict=True))


def _about_origin(view: View, box: Box) -> tuple[Box, float, float]:
    """A view's box, and the shift of its origin: views with a scale of their own are centred, not aligned."""
    if not view.own_scale:
        return box, 0.0, 0.0
    cx, cy = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    return (box[0] - cx, box[1] - cy, box[2] - cx, box[3] - cy), -cx, -cy


def _free(
    sheet: Sheet, own: Sequence[Box], paper: Paper, keep: int, inner: Box
) -> tuple[tuple[tuple[float, float], ...], tuple[Placing, ...]] | None:
    """Views anywhere on the sheet that keeps them off the title block, and blocks in what is left.

    Views at a scale of their own need not stand in line with the others: they too go where there is room.
    """
    fixed = _fixed(sheet.views)
    title = (paper.frame[2] - TITLE_WIDTH, paper.frame[1], paper.frame[2], paper.frame[1] + TITLE_HEIGHT)
    for lift in (0.0, 0.5, 1.0):
        for push in (0.5, 0.0, 1.0):
            grid = _grid([sheet.views[k] for k in fixed], [own[k] for k in fixed], inner, push, lift)
            if grid is None:
                return None
            origins = dict(zip(fixed, grid, strict=True))
            taken = [_shifted(own[k], *origins[k]) for k in fixed]
            if any(boxes_meet(grown(box, GAP / 2), title) for box in taken):
                continue
            room = [grown(box, GAP / 2) for box in (*taken, title)]
            if not _loose(own, origins, inner, room):
                continue
            placed = _fill(sheet, keep, inner, room)
            if placed is not None:
                return tuple(origins[k] for k in range(len(own))), placed
    return None


def _shifted(box: Box, x: float, y: float) -> Box:
    return box[0] + x, box[1] + y, box[2] + x, box[3] + y


def _loose(own: Sequence[Box], origins: dict[int, tuple[float, float]], inner: Box, taken: list[Box]) -> bool:
    """Find room for the views that have no origin yet, from the top down; False when one finds none."""
    for k, box in enumerate(own):
        if k in origins:
            continue
        at = _free_place(box[2] - box[0], box[3] - box[1], inner, taken, from_top=True)
        if at is None:
            return False
        origins[k] = at[0] - box[0], at[1] - box[1]
        taken.append(grown(_shifted(box, *origins[k]), GAP / 2))
    return True


def _fill(sheet: Sheet, keep: int, inner: Box, taken: list[Box]) -> tuple[Placing, ...] | None:
    """Blocks one after another into the first free places, from the bottom up; None when one finds none."""
    out: list[Placing] = []
    widest, tallest = inner[2] - inner[0], inner[3] - inner[1]
    choices = [_blocks(sheet, keep, widest, tallest, share) for share in NARROWER]
    for k in range(len(choices[0])):
        for blocks in choices:
            at = _free_place(blocks[k].width, blocks[k].height, inner, taken)
            if at is not None:
                break
        else:
            return None
        block = blocks[k]
        out.append((block, *at))
        taken.append(grown((at[0], at[1], at[0] + block.width, at[1] + block.height), GAP / 2))
    return tuple(out)


def _free_place(
    width: float, height: float, inner: Box, taken: Sequence[Box], from_top: bool = False
) -> tuple[float, float] | None:
    """Lower left corner of the first free place, row by row; None when there is none."""
    xs = np.arange(inner[0], inner[2] - width + 1e-9, STEP)
    ys = np.arange(inner[1], inner[3] - height + 1e-9, STEP)
    if from_top:
        ys = inner[3] - height - np.arange(len(ys)) * STEP
    free = np.ones((len(ys), len(xs)), dtype=bool)
    half = GAP / 2
    for x0, y0, x1, y1 in taken:
        across = (xs - half < x1) & (xs + width + half > x0)
        up = (ys - half < y1) & (ys + height + half > y0)
        free &= ~(up[:, None] & across[None, :])
    if not free.any():
        return None
    row, column = np.unravel_index(int(free.argmax()), free.shape)
    return float(xs[column]), float(ys[row])
