"""Drawings as SVG, one page a file, in mm, with real text."""

from __future__ import annotations

import math
from pathlib import Path
from xml.sax.saxutils import escape

from wheelcad.drawing import font
from wheelcad.drawing.ink import Fill, HatchArea, Ink, Letters, Pen, Ring, Stroke
from wheelcad.drawing.layout import Page, compose
from wheelcad.drawing.model import Sheet
from wheelcad.save import save
from wheelcad.trade.layers import dashes_mm

FAMILY = "DejaVu Sans Condensed, DejaVu Sans, sans-serif"


def write_svg(sheet: Sheet | Page, path: str | Path) -> None:
    """Write one sheet as SVG; where it runs over several pages each gets its own file, path-2.svg and so on."""
    target = Path(path)
    for k, page in enumerate(compose(sheet), start=1):
        save(
            target if k == 1 else target.with_name(f"{target.stem}-{k}{target.suffix}"), svg_text(page).encode("utf-8")
        )


def svg_text(page: Page) -> str:
    """One page as SVG source."""
    w, h = page.paper.width, page.paper.height
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(w)}mm" height="{_n(h)}mm" viewBox="0 0 {_n(w)} {_n(h)}">',
        f"<title>{escape(page.sheet.title.title)}</title>",
        f'<rect width="{_n(w)}" height="{_n(h)}" fill="white"/>',
        f'<g fill="none" stroke="black" stroke-linejoin="round" font-family="{FAMILY}" font-stretch="condensed">',
    ]
    for group in page.groups:
        out.extend(_draw(ink, h) for ink in group.ink)
    return "\n".join([*out, "</g>", "</svg>", ""])


def _n(value: float) -> str:
    """A number to 1e-4 mm, without needless noughts."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _pen(own: Pen) -> str:
    dashes = dashes_mm(own.line, own.width)
    dash = f' stroke-dasharray="{" ".join(_n(d) for d in dashes)}"' if dashes else ""
    return f'stroke-width="{_n(own.width)}"{dash}'


def _draw(ink: Ink, h: float) -> str:
    if isinstance(ink, Letters):
        return _letters(ink, h)
    if isinstance(ink, HatchArea):
        d = " ".join(f"M{_n(x0)} {_n(h - y0)}L{_n(x1)} {_n(h - y1)}" for x0, y0, x1, y1 in ink.segments())
        return f'<path d="{d}" {_pen(ink.pen)}/>'
    if isinstance(ink, Fill):
        points = " ".join(f"{_n(x)},{_n(h - y)}" for x, y in ink.corners)
        return f'<polygon points="{points}" fill="black" stroke="none"/>'
    if isinstance(ink, Ring):
        return _ring(ink, h)
    return _stroke(ink, h)


def _ring(ring: Ring, h: float) -> str:
    if ring.start is None or ring.end is None:
        return f'<circle cx="{_n(ring.x)}" cy="{_n(h - ring.y)}" r="{_n(ring.radius)}" {_pen(ring.pen)}/>'
    a, b = math.radians(ring.start), math.radians(ring.start + ring.sweep)
    p = ring.x + ring.radius * math.cos(a), h - ring.y - ring.radius * math.sin(a)
    q = ring.x + ring.radius * math.cos(b), h - ring.y - ring.radius * math.sin(b)
    large = int(ring.sweep > 180.0)
    r = _n(ring.radius)
    return f'<path d="M{_n(p[0])} {_n(p[1])}A{r} {r} 0 {large} 0 {_n(q[0])} {_n(q[1])}" {_pen(ring.pen)}/>'


def _stroke(stroke: Stroke, h: float) -> str:
    d = [f"M{_n(stroke.vertices[0][0])} {_n(h - stroke.vertices[0][1])}"]
    for edge in stroke.edges():
        end = f"{_n(edge.x1)} {_n(h - edge.y1)}"
        if edge.is_line:
            d.append(f"L{end}")
        else:
            r = _n(edge.radius)
            large, clockwise = int(abs(edge.sweep) > math.pi), int(edge.bulge < 0)
            d.append(f"A{r} {r} 0 {large} {clockwise} {end}")
    if stroke.closed:
        d.append("Z")
    return f'<path d="{"".join(d)}" {_pen(stroke.pen)}/>'


def _letters(letters: Letters, h: float) -> str:
    anchor = {"left": "start", "centre": "middle", "right": "end"}[letters.align]
    x, y = _n(letters.x), _n(h - letters.y)
    turn = f' transform="rotate({_n(-letters.rotation)} {x} {y})"' if letters.rotation else ""
    weight = ' font-weight="bold"' if letters.bold else ""
    size = _n(font.size_for(letters.height))
    return (
        f'<text x="{x}" y="{y}" font-size="{size}" text-anchor="{anchor}" textLength="{_n(letters.width)}" '
        f'lengthAdjust="spacingAndGlyphs" fill="black" stroke="none"{weight}{turn}>{escape(letters.text)}</text>'
    )
