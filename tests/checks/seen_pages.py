"""What checks of drawings, paper and pages see on their way to a verdict: a part of `seen`."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any, cast

import ezdxf
import numpy as np

from tests.checks.forms import form
from tests.checks.still import sums
from wheelcad.checks import (
    bench,
    drawings,
    paper,
    printed,
)

Floats = np.ndarray[Any, np.dtype[np.float64]]

TEXTS = (
    "⌀6.35",
    "160",
    "4× ⌀8.4",
    "(12)",
    "1 3/4",
    "17/64",
    "0.300",
    "R5",
    "45°",
    "2.5 °",
    "⌀118 x",
    "none",
    "[40]",
    "12.345",
    "3× 1/4",
    "6.3 ±0.1",
)


def drawn_seen() -> Any:
    doc = ezdxf.new()
    space = doc.modelspace()
    space.add_line((1, 2), (9, 4))
    space.add_circle((30, 20), 7)
    space.add_arc((-5, 6), 4, 20, 100)
    space.add_arc((-5, 6), 3, 300, 45)
    space.add_lwpolyline([(0, 0, 0, 0, 0.3), (8, 0), (8, 6)])
    pieces, rounds, corners = drawings._lines(space)
    out: list[Any] = [
        sums(pieces),
        pieces[1],
        rounds,
        corners,
        [drawings.said_by(t, u) for t in TEXTS for u in ("mm", "in")],
    ]
    for name in ("turned", "cam", "along"):
        one = form(name)
        for path in sorted(one.folder.glob("*-drawing.dxf")):
            read = drawings._read(path)
            dims = [e for e in read.modelspace() if e.dxftype() == "DIMENSION"]
            drawn = drawings._lines(read.modelspace())
            out.append([path.name, [drawings._measured(e, read) for e in dims], [sums(a) for a in drawn]])
            out.append([drawings._level(e, np.array([True, False]), drawn[2]) for e in dims])
            for off in (0.0, 0.006, 0.009, 0.011, 0.3):
                moved = drawn[1] + np.array([off, 0.0, 0.0])
                out.append([drawings._round(e, moved) for e in dims])
                out.append(list(drawings._hanging(dims, drawn[0] + off, moved, drawn[2] + off)))
    from collections import Counter

    for whole, parts in (({"ab": 2, "xy": 1}, {"a": 2, "b": 1}), ({"abc": 1}, {"ab": 1, "c": 1}), ({"q": 1}, {"q": 0})):
        one_, two_ = Counter(whole), Counter(parts)
        drawings._joined(one_, two_)
        out.append([dict(one_), dict(two_)])
    return out


def shown_text_seen() -> Any:
    """A dimension's words found beside it: as far as twice its letters' height and one for each letter."""
    out = []
    for away in (0.0, 8.9, 9.1, 11.9, 12.1, 13.4, 15.1, 17.6):
        for turn in (0.0, 0.7, 1.57):
            words = SimpleNamespace(
                dxf=SimpleNamespace(text="160", height=3.0),
                get_placement=lambda away=away, turn=turn: (
                    None,
                    SimpleNamespace(x=5 + away * math.cos(turn), y=7 + away * math.sin(turn)),
                ),
            )
            entity = SimpleNamespace(dxf=SimpleNamespace(text_midpoint=(5.0, 7.0, 0.0)))
            out.append([away, drawings._is_shown(entity, "160", [words]), drawings._is_shown(entity, "161", [words])])
    return out


def page(lines: list[tuple[float, float, float, float]]) -> paper.Dots:
    """A page of 60 by 40 mm with dark bars: x, y of their middle, width and height, mm."""
    high, wide = round(40 * paper.DPI / 25.4), round(60 * paper.DPI / 25.4)
    v, u = np.mgrid[0:high, 0:wide]
    x, y = (u + 0.5) * 25.4 / paper.DPI, (high - v - 0.5) * 25.4 / paper.DPI
    grey = np.full((high, wide), 255.0)
    for cx, cy, w, h in lines:
        cover = np.clip((w / 2 - np.abs(x - cx)) * paper.DPI / 25.4 + 0.5, 0, 1) * np.clip(
            (h / 2 - np.abs(y - cy)) * paper.DPI / 25.4 + 0.5, 0, 1
        )
        grey -= 255 * cover * (grey / 255)
    return paper.Dots(grey.astype(np.uint8))


def paper_seen() -> Any:
    dots = page(
        [
            (20.3, 20.0, 0.25, 30.0),
            (21.2, 20.0, 0.25, 30.0),
            (40.0, 15.2, 25.0, 0.3),
            (45.0, 30.0, 0.58, 6.0),
            (50.0, 30.0, 0.64, 6.0),
            (10.0, 10.0, 0.25, 0.9),
            (10.0, 30.0, 0.25, 0.45),
            (55.0, 20.1, 0.06, 12.0),
        ]
    )
    out: list[Any] = [dots.size_mm]
    chance = np.random.default_rng(2)
    points = np.vstack(
        [chance.random((60, 2)) * np.array([66.0, 46.0]) - 3.0, [[0.04, 0.04], [0.0, 20.0], [59.97, 39.9]]]
    )
    out += [dots.darkness(points), dots.darkness(np.array([[20.25, 20.0], [20.3, 5.02], [40.0, 15.1], [55.03, 20.0]]))]
    for at in (
        (20.0, 20.0),
        (20.8, 20.0),
        (18.85, 20.0),
        (18.95, 20.0),
        (45.1, 30.0),
        (50.1, 30.0),
        (10.1, 10.0),
        (10.1, 30.0),
        (55.2, 20.0),
        (20.1, 34.7),
        (20.1, 35.2),
        (30.0, 30.0),
        (54.0, 14.4),
    ):
        out.append(
            [dots.line_across(at, (1.0, 0.0)), dots.line_across(at, (0.0, 1.0)), dots.line_across(at, (0.8, 0.6))]
        )
    along = np.array([[1.0, 0.0], [0.0, 1.0], [1.0, 0.0]])
    out.append(dots.nearest_lines(np.array([[20.7, 20.0], [40.0, 15.0], [2.0, 2.0]]), along))
    out.append([paper.cross_arms(dots, (40.0, 15.0), arm) for arm in (2.0, 6.0)])
    out.append(paper.cross_arms(dots, (20.3, 15.0), 5.0))
    for level in (True, False):
        bar = SimpleNamespace(level=level, a=(20.2, 20.0), b=(45.1, 30.0))
        out.append(list(paper.bar_ends(dots, cast(Any, bar))))
    return out


def printed_seen() -> Any:
    lengths = [
        printed.said(*pair) for pair in (("6.35", "mm"), ("5", "mm"), ("1 3/4", "in"), ("0.300", "in"), ("12.5", "in"))
    ]
    near = [
        [one.is_(one.mm + by) for by in (0.0, 4.9e-3, 5.004e-3, 5.01e-3, 0.0126, 0.0128, 1.26, 1.28, 0.9e-6, 1.1e-6)]
        for one in lengths
    ]
    return [lengths, near]


def bench_seen() -> Any:
    return [bench.degrees_of(t) for t in ("6.05°", "5°21′", "5°21′30″", "0°", "359°59′59″")] + [float(bench.SAME_DEG)]
