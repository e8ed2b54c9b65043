"""Measures gauge-paper.pdf as a printer would put it down: rendered at 300 dots to the inch, lines found in the dots.

Every bar's ends, every slot's tick, every bolt's and every joining cross must lie where the plan says, within what the
eye can tell on paper.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from wheelcad.checks.paper import SEEK, Dots, bar_ends, cross_arms, pages_of, within
from wheelcad.codes import Check
from wheelcad.findings import OWN, Finding, holds
from wheelcad.parts.common.paper import CROSS, Tile
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.parts.gauge.paper import PaperPlan

PAPER = "gauge-paper.pdf"
PLACE_LIMIT_MM = 0.15  # a line's middle against its place


def check_gauge_paper(folder: Path, design: GaugeDesign) -> list[Finding]:
    """All findings of gauge-paper.pdf. ValueError when it cannot be read."""
    plan = design.paper
    checks = Check.PAPER_PAGES, Check.PAPER_SIZE
    pages, out = pages_of(folder / PAPER, len(plan.tiles), plan.paper, checks, "a page for every part of it")
    if not pages:
        return out
    bars = [off for page in pages for bar in plan.bars for off in bar_ends(page, bar)]
    found = [marks_of(page, plan, tile) for page, tile in zip(pages, plan.tiles, strict=True)]
    for name, offs, what in (
        (Check.PAPER_BARS, bars, "ends of the bars, level and standing, on every page"),
        (Check.PAPER_TICKS, [o for f in found for o in f[0]], "ticks at the slots' middles"),
        (Check.PAPER_BOLTS, [o for f in found for o in f[1]], "crosses at the bolts and at the centre"),
        (Check.PAPER_JOINS, [o for f in found for o in f[2]], "crosses that join pages"),
    ):
        if offs or name in (Check.PAPER_BARS, Check.PAPER_TICKS):
            out.append(within(name, PAPER, offs, what, PLACE_LIMIT_MM))
    shown = len({k for page in found for k in page[3]})
    total = len(plan.ticks)
    out.append(
        holds(Check.PAPER_MARKS, PAPER, shown == total, f"{shown} of {total}", "every slot's tick is on a page", OWN)
    )
    return out


def marks_of(page: Dots, plan: PaperPlan, tile: Tile) -> tuple[list[float], list[float], list[float], list[int]]:
    """Offsets (mm) of the ticks, bolt (and centre) crosses and joining crosses on a page, and which ticks those are."""
    dx, dy = plan.shift(tile)
    ticks, which = [], []
    for k, (inner, outer) in enumerate(plan.ticks):
        middle = (inner[0] + outer[0]) / 2, (inner[1] + outer[1]) / 2
        if plan.shows(tile, middle, SEEK + 1.0):
            out = np.array(outer) - np.array(inner)
            out /= np.hypot(*out)
            ticks.append(page.line_across((middle[0] + dx, middle[1] + dy), (-float(out[1]), float(out[0]))))
            which.append(k)
    bolts: list[float] = []
    for at, arm in [*((bolt, plan.hole_radius + 1.6) for bolt in plan.bolts), ((0.0, 0.0), 6.0)]:
        if plan.shows(tile, at, arm + SEEK + 1.0):
            bolts += cross_arms(page, (at[0] + dx, at[1] + dy), arm)
    joins: list[float] = []
    for x, y in plan.crosses:
        if plan.shows(tile, (x, y), CROSS + SEEK):
            joins += cross_arms(page, (x + dx, y + dy), 0.7 * CROSS)
    return ticks, bolts, joins, which
