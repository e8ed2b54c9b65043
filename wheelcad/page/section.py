"""The lathe piece cut in half, as SVG: turned metal hatched, the piece as found dashed round it, the tooth ring marked.

As it stands in the lathe and on its drawing: the crank axis level, the front face at the right; x is z, y the radius.
"""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from itertools import count

from wheelcad.page.scene_arrow import Arrow
from wheelcad.page.scene_parts import SceneMade
from wheelcad.parts.common.profile import outer_points
from wheelcad.parts.common.stack import Land
from wheelcad.trade.loop import Loop
from wheelcad.words import Words

MARGIN = 0.16  # of the piece's size, round the picture
INK, HAND = "#14171a", "#b34700"


def section_svg(made: SceneMade, units: str, arrow: Arrow | None = None) -> str:
    """The picture, "" where there is no turned piece. arrow: of the field in hand, shown where it lies in the cut."""
    if made.blank is not None:
        lands, found, section = made.blank.lands, made.blank.found, made.blank.section
    elif made.adapter is not None:
        lands, found, section = made.adapter.lands, (), made.adapter.section
    else:
        return ""
    every = [*lands, *found]
    z0, z1 = min(land.z_back for land in every), max(land.z_front for land in every)
    radius = max(land.radius for land in every)
    size = max(z1 - z0, 2 * radius)
    edge, thin, letter = MARGIN * size, size / 400, size / 28
    words = Words(units)
    parts = [_hatch(size), *_metal(section, thin), *_lower(lands, thin)]
    if found:
        outline = [(found[0].z_front, 0.0), *((z, r) for r, z in outer_points(found)), (found[-1].z_back, 0.0)]
        for sign in (1, -1):
            parts.append(_path([(z, sign * r) for z, r in outline], thin, dash=f"{size / 60:g} {size / 90:g}"))
    ring = next((land for land in lands if land.name == "ring"), None)
    if ring is not None and made.wheel is not None:
        floor = made.wheel.floor_radius_mm
        for sign in (1, -1):
            box = [(ring.z_back, sign * floor), (ring.z_front, sign * floor)]
            parts.append(_path(box, thin, dash=f"{size / 90:g}"))
    parts.append(
        _path(
            [(z0 - edge / 3, 0.0), (z1 + edge / 3, 0.0)],
            thin / 1.5,
            dash=f"{size / 30:g} {size / 120:g} {size / 120:g} {size / 120:g}",
        )
    )
    parts += _sizes(lands, words, letter, thin, z1 + edge * 0.5)
    parts.append(_text("front face →", (z1, -radius - letter * 1.6), letter, "end"))
    if arrow is not None and not arrow.is_angle:
        parts += _arrow(arrow, words, thin * 3, letter)
    wide = z1 - z0 + 2 * edge + 6 * letter
    view = f"{z0 - edge:.3f} {-radius - 1.3 * edge:.3f} {wide:.3f} {2 * radius + 2.3 * edge:.3f}"
    name = "The lathe piece cut in half: turned metal hatched, as found dashed"
    return (
        f"<svg xmlns='http://www.w3.org/2000/svg' viewBox='{view}' role='img' aria-label='{name}' "
        f"font-family='sans-serif' style='max-height:70vh'>{''.join(parts)}</svg>"
    )


def _hatch(size: float) -> str:
    step = size / 60
    return (
        f"<defs><pattern id='wc-hatch' width='{step:g}' height='{step:g}' patternUnits='userSpaceOnUse' "
        f"patternTransform='rotate(45)'><line x1='0' y1='0' x2='0' y2='{step:g}' stroke='{INK}' "
        f"stroke-width='{size / 700:g}'/></pattern></defs>"
    )


def _path(points: list[tuple[float, float]], width: float, fill: str = "none", dash: str = "", ink: str = INK) -> str:
    """A line through z, r; closed where it is filled."""
    words = "".join(f"{'L' if k else 'M'}{z:.3f} {-r:.3f}" for k, (z, r) in zip(count(), points, strict=False))
    close = "Z" if fill != "none" else ""
    dashes = f" stroke-dasharray='{dash}'" if dash else ""
    return f"<path d='{words}{close}' fill='{fill}' stroke='{ink}' stroke-width='{width:.4g}'{dashes}/>"


def _text(said: str, at: tuple[float, float], tall: float, anchor: str = "middle", ink: str = INK) -> str:
    return (
        f"<text x='{at[0]:.3f}' y='{-at[1]:.3f}' font-size='{tall:.3f}' text-anchor='{anchor}' fill='{ink}' "
        f"stroke='#fff' stroke-width='{tall / 5:.3f}' paint-order='stroke'>{escape(said)}</text>"
    )


def _metal(section: Loop, thin: float) -> list[str]:
    points = [(z, r) for r, z, _ in section.vertices.tolist()]
    return [_path(points, thin * 2, "url(#wc-hatch)")]


def _lower(lands: tuple[Land, ...], thin: float) -> list[str]:
    """The lower half from outside: profile and a line at every edge."""
    points = outer_points(lands)
    profile = [(lands[0].z_front, 0.0), *((z, -r) for r, z in points), (lands[-1].z_back, 0.0)]
    edges = [_path([(z, 0.0), (z, -r)], thin) for r, z in points[1:-1]]
    return [_path(profile, thin * 2), *edges]


def _sizes(lands: tuple[Land, ...], words: Words, letter: float, thin: float, right: float) -> Iterator[str]:
    """Each length above the piece, each diameter once at its right, with a line to where it is."""
    top = max(land.radius for land in lands)
    for number, land in enumerate(lands):
        middle = (land.z_front + land.z_back) / 2
        tall = top + letter * (1.6 + 1.3 * (number % 3))
        yield _text(words.length(land.length), (middle, tall), letter)
        yield _path([(middle, land.radius), (middle, tall - letter * 0.2)], thin / 2)
    at = float("inf")
    for radius in sorted({round(land.radius, 6) for land in lands}):
        land = next(one for one in lands if abs(one.radius - radius) < 1e-5)
        at = min(at - letter * 1.3, -radius + letter * 0.3)
        yield _path([(land.z_front, -radius), (right, at + letter * 0.3)], thin / 2)
        yield _text(f"⌀{words.length(2 * radius)}", (right + letter * 0.2, at), letter, "start")


def _arrow(arrow: Arrow, words: Words, thick: float, letter: float) -> list[str]:
    """The field in hand: a length along the crank or in radius lies in the cut, a diameter across it."""
    (ax, ay, az), (bx, by, bz) = arrow.points[0], arrow.points[-1]
    if abs(az - bz) < 1e-9 and abs(ax + bx) < 1e-9 and ay == by == 0.0:  # a diameter, shown upright
        ends = [(az, ax), (bz, bx)]
    else:
        ends = [(az, abs(ax) + abs(ay)), (bz, abs(bx) + abs(by))]
    middle = (ends[0][0] + ends[1][0]) / 2, (ends[0][1] + ends[1][1]) / 2
    return [
        _path(ends, thick, ink=HAND),
        *(f"<circle cx='{z:.3f}' cy='{-r:.3f}' r='{thick * 1.2:.3f}' fill='{HAND}'/>" for z, r in ends),
        _text(arrow.label(words.units), (middle[0], middle[1] + letter * 0.6), letter * 1.1, ink=HAND),
    ]
