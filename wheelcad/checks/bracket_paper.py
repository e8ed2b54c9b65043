"""Measures bracket-paper.pdf back: every line of flat and pattern, on every page, within a tenth of a millimetre.

Lines are looked for in the dots of the rendered page, across their own direction, wherever nothing else passes near.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
import shapely

from wheelcad.arrays import Floats
from wheelcad.checks.paper import SEEK, Dots, bar_ends, cross_arms, pages_of, within
from wheelcad.codes import Check
from wheelcad.findings import OWN, Finding, holds
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.bracket.paper import PAPER_FILE, PaperPart, plan_paper
from wheelcad.parts.common.paper import CROSS, Tile
from wheelcad.words import count

LINE_LIMIT_MM = 0.1  # a line's middle against its place
SPACING = 3.0  # mm between the places where a line is measured
OFF_END = 1.0  # mm from a line's end that is not measured
ALONE = 0.9  # mm to each side that must hold no other line
BESIDE = 0.4  # mm from the place, and from where it is looked for, that a line must keep others off
STRAIGHT = 0.3  # mm: length over which a line's direction is taken


def check_bracket_paper(folder: Path, design: BracketDesign) -> list[Finding]:
    """All findings of bracket-paper.pdf. ValueError when it cannot be read."""
    parts = plan_paper(design)
    wanted = [(part, tile) for part in parts for tile in part.tiling.tiles]
    checks = Check.BRACKET_PAPER_PAGES, Check.BRACKET_PAPER_SIZE
    why = "a page for every part of both drawings"
    pages, out = pages_of(folder / PAPER_FILE, len(wanted), parts[0].tiling.paper, checks, why)
    if not pages:
        return out
    held = list(zip(pages, wanted, strict=True))
    bars = [off for page, (part, _) in held for bar in part.tiling.bars for off in bar_ends(page, bar)]
    ends = "ends of the bars, level and standing, on every page"
    out.append(within(Check.BRACKET_PAPER_BARS, PAPER_FILE, bars, ends, LINE_LIMIT_MM))
    joins = [off for page, (part, tile) in held for off in _joins(page, part, tile)]
    if joins:
        out.append(within(Check.BRACKET_PAPER_JOINS, PAPER_FILE, joins, "crosses that join pages", LINE_LIMIT_MM))
    return out + [_lines(part, [(page, tile) for page, (of, tile) in held if of is part]) for part in parts]


def _joins(page: Dots, part: PaperPart, tile: Tile) -> Iterator[float]:
    dx, dy = part.tiling.shift(tile)
    for x, y in part.tiling.crosses:
        if part.tiling.shows(tile, (x, y), CROSS + SEEK):
            yield from cross_arms(page, (x + dx, y + dy), 0.7 * CROSS)


def _lines(part: PaperPart, pages: list[tuple[Dots, Tile]]) -> Finding:
    """Every line of a drawing, wherever it stands alone; and that every one was found."""
    title = part.title.split(",")[0]
    subject = f"{PAPER_FILE}, {title}"
    offs: list[float] = []
    lost: list[str] = []
    shapes = [line.shape for line in part.lines]
    drawn = shapely.STRtree([*shapes, *(label.room for label in part.labels)])
    for number, line in enumerate(part.lines):
        places = _places(shapes, number, drawn)
        seen = [off for page, tile in pages for off in _measured(page, part, tile, places)]
        found = [off for off in seen if not np.isnan(off)]
        # a dashed line shows paper between its dashes; any other line is there wherever it is looked for
        dashed = line.kind == "fold" or "TDC" in line.name
        if len(places[0]) and (not found or (not dashed and len(found) < len(seen))):
            lost.append(line.name)
        offs += found
    if lost:
        why = f"{count(len(lost), 'line')} not found where it is drawn: {', '.join(lost[:3])}"
        return holds(Check.BRACKET_PAPER_LINES, subject, False, "missing", why, OWN)
    return within(Check.BRACKET_PAPER_LINES, subject, offs, "places along its lines", LINE_LIMIT_MM)


def _places(lines: Sequence[shapely.Geometry], number: int, drawn: shapely.STRtree) -> tuple[Floats, Floats]:
    """Where one of the lines stands alone: points (n, 2), and unit vectors across the line there (n, 2).

    drawn: all lines, in their order, and after them the words.
    """
    line = lines[number]
    if line.length <= 2 * OFF_END:
        return np.zeros((0, 2)), np.zeros((0, 2))
    steps = max(1, round((line.length - 2 * OFF_END) / SPACING))
    along_it = np.linspace(OFF_END, line.length - OFF_END, steps + 1)
    at, before, after = (
        shapely.get_coordinates(shapely.line_interpolate_point(line, along_it + off))
        for off in (0.0, -STRAIGHT, STRAIGHT)
    )
    along = after - before
    long = np.hypot(along[:, 0], along[:, 1])
    straight = long >= 1.98 * STRAIGHT  # elsewhere is a corner
    at, along = at[straight], along[straight] / long[straight, None]
    across = np.column_stack([-along[:, 1], along[:, 0]])
    probes = shapely.linestrings(np.stack([at - ALONE * across, at + ALONE * across], axis=1))
    alone = shapely.contains(shapely.buffer(shapely.points(at), BESIDE), shapely.intersection(probes, line))
    probe, near = drawn.query(probes, "dwithin", BESIDE)
    alone[probe[near != number]] = False
    return at[alone], across[alone]


def _measured(page: Dots, part: PaperPart, tile: Tile, places: tuple[Floats, Floats]) -> list[float]:
    at, across = places
    shown = [part.tiling.shows(tile, (x, y), SEEK + 1.0) and _no_cross(part, (x, y)) for x, y in at.tolist()]
    if not any(shown):
        return []
    found: list[float] = page.nearest_lines(at[shown] + part.tiling.shift(tile), across[shown]).tolist()
    return found


def _no_cross(part: PaperPart, at: tuple[float, float]) -> bool:
    return all(math.hypot(at[0] - x, at[1] - y) > 1.5 * CROSS + SEEK for x, y in part.tiling.crosses)
