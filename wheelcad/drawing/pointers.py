"""Leaders and what they carry: notes, diameters, radii, angles, tolerance frames, texture, datums, aligned dimensions.

Every one is tried in directions and lengths round the wanted one until it runs into nothing; outside the part first.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

import numpy as np

from wheelcad.drawing import dimension_text, symbols
from wheelcad.drawing.datums import datum_sign
from wheelcad.drawing.font import text_width
from wheelcad.drawing.ink import Group, Ink, InkMeasure, Letters, Stroke, box_of, letters_box, line
from wheelcad.drawing.linear import ABOVE, HEIGHT
from wheelcad.drawing.model import (
    Aligned,
    Angular,
    CuttingPlane,
    Datum,
    Diameter,
    Linear,
    Note,
    Radius,
    Texture,
    Tolerance,
)
from wheelcad.drawing.room import TEXT_GAP, Lines, Room, grown, kept_clear, segments_cross, segments_in_box
from wheelcad.drawing.slanted import PointerStyle, aligned_groups, angle_groups
from wheelcad.drawing.symbols import XY, arrow, polar

RAY_MM = 60.0  # how far beyond the part an angle's extension lines may come to reach
PATIENCE = 80  # further places looked at once one is found whose leader crosses lines
TIP_FREE = 0.6  # mm of a leader's end that may touch what it points at
ATTEMPTS = 6  # orders tried before something is left where it runs into something
TIP_TURN = 40  # places tried at one tip before the other is looked at
LINE_STEP = 1.7  # line spacing, in heights of a capital
LENGTHS = (9, 13, 17, 22, 28, 34, 41, 48, 56, 64, 73, 82, 92, 102, 115, 130)  # mm, of leaders tried
TURNS = (0, 15, -15, 30, -30, 45, -45, 60, -60, 75, -75, 90, -90, 110, -110, 130, -130, 150, -150, 180)


def place_pointers(items: Sequence[object], made: PointerStyle, room: Room) -> list[Group]:
    """Place leaders and their like one after another; `room` is told of each.

    What finds no place goes first in another attempt: it is the most hemmed in.
    """
    order = list(range(len(items)))
    for attempt in range(ATTEMPTS):
        trial = room.copy()
        groups: dict[int, Group] = {}
        stuck = []
        for k in order:
            group = _search(_candidates(items[k], made), trial, getattr(items[k], "on_part", False))
            if not trial.fits(group):
                stuck.append(k)
            trial.add(group)
            groups[k] = group
        if not stuck or attempt == ATTEMPTS - 1:
            break
        order = [*stuck, *(k for k in order if k not in stuck)]
    room.become(trial)
    return [groups[k] for k in range(len(items))]


def place_angles(
    dims: list[Angular], to_come: list[Linear], planes: list[CuttingPlane], made: PointerStyle, room: Room
) -> list[Group]:
    """Place angles, the smallest first and nearest; their text keeps off the extension lines that larger angles and
    the linear dimensions `to_come` will draw, and off the ends of cutting planes."""
    out: dict[int, Group] = {}
    order = sorted(range(len(dims)), key=lambda k: (round((dims[k].to_deg - dims[k].from_deg) % 360.0, 6), k))
    for at, k in enumerate(order):
        rays = _rays([dims[other] for other in order[at + 1 :]], to_come, planes, made.scale)
        clear = (
            group
            for group in angle_groups(dims[k], made)
            if not any(segments_in_box(rays, grown(box, 2 * TEXT_GAP)) for _, box in kept_clear(group))
        )
        group = next((g for g in clear if room.fits(g)), None) or _search(angle_groups(dims[k], made), room)
        room.add(group)
        out[k] = group
    return [out[k] for k in sorted(out)]


def _rays(dims: list[Angular], linear: list[Linear], planes: list[CuttingPlane], scale: float) -> Lines:
    """The lines along which the extension lines of these angles and linear dimensions, and these planes, will run."""
    ways = {"above": (0.0, RAY_MM), "below": (0.0, -RAY_MM), "left": (-RAY_MM, 0.0), "right": (RAY_MM, 0.0)}
    rows = []
    for dim in dims:
        centre = dim.x * scale, dim.y * scale
        for ray in (dim.from_deg, dim.to_deg):
            rows.append((*centre, *polar(centre, dim.radius * scale + RAY_MM, ray)))
    for other in linear:
        dx, dy = ways[other.side]
        rows += [(x * scale, y * scale, x * scale + dx, y * scale + dy) for x, y in (other.a, other.b)]
    for plane in planes:
        ends = [(x * scale, y * scale) for x, y in (plane.a, plane.b)]
        for end, far in (ends, ends[::-1]):
            out = math.degrees(math.atan2(end[1] - far[1], end[0] - far[0]))
            rows.append((*end, *polar(end, RAY_MM, out)))
    return Lines(np.array(rows).reshape(-1, 4))


def _search(candidates: Iterator[Group], room: Room, on_part: bool = False) -> Group:
    """The best that fits: words off the part and a leader that crosses nothing, or from inside the part its edge alone;
    then a leader that crosses lines, but no hole and no part; then one that does; then words inside; failing all, the
    first."""
    first: Group | None = None
    fair: Group | None = None
    poor: Group | None = None
    inside: Group | None = None
    patience = PATIENCE
    for group in candidates:
        first = first or group
        if fair is not None or poor is not None:
            patience -= 1
            if patience < 0:
                break
        out = on_part or not any(isinstance(i, Letters) and room.on_part(letters_box(i)) for i in group.ink)
        if (not out and (inside or fair or poor)) or not room.fits(group):
            continue
        if not out:
            inside = group
            continue
        within = on_part or _starts_inside(group, room)
        if _crosses_nothing(group, room) or (within and _crosses_nothing(group, room, "hole")):
            return group
        if fair is None and not within and _crosses_nothing(group, room, "solid"):
            fair = group
        poor = poor or group
    best = fair or poor or inside or first
    if best is None:
        raise ValueError("nothing to place")
    return best


def _starts_inside(group: Group, room: Room) -> bool:
    """True when the group's first leader starts well inside the part."""
    return next((room.over_part(x, y) for x, y, _, _ in _leaders(group)), False)


def _crosses_nothing(group: Group, room: Room, kind: str = "any") -> bool:
    """True when no leader of the group crosses a line of a kind, its own end on the edge it points at left out."""
    standing = room.segments(kind)
    return not any(segments_cross(standing, np.array(ends)) for ends in _leaders(group))


def _leaders(group: Group) -> Iterator[tuple[float, float, float, float]]:
    """Each of the group's leaders from where it is clear of the edge it points at: x, y, x, y."""
    for ink in group.ink:
        if isinstance(ink, Stroke) and ink.role == "leader":
            (x0, y0, _), (x1, y1, _) = ink.vertices
            long = math.hypot(x1 - x0, y1 - y0)
            t = min(1.0, TIP_FREE / long) if long else 0.0
            yield x0 + t * (x1 - x0), y0 + t * (y1 - y0), x1, y1


def _candidates(item: object, made: PointerStyle) -> Iterator[Group]:
    makers: dict[type, Callable[..., Iterator[Group]]] = {
        Note: _notes,
        Tolerance: _tolerances,
        Texture: _textures,
        Datum: _datums,
        Diameter: _rounds,
        Radius: _rounds,
        Angular: angle_groups,
        Aligned: aligned_groups,
    }
    return makers[type(item)](item, made)


def _ways(toward: float, shortest: tuple[float, ...] = ()) -> Iterator[tuple[float, float]]:
    """(direction, length) pairs, short and near the wanted direction first; `shortest` are tried before all others."""
    for length in shortest:
        for turn in TURNS:
            yield toward + turn, length
    for k, length in enumerate(LENGTHS):
        for turn in TURNS[: 7 + 4 * k]:
            yield toward + turn, float(length)


def _level(direction: float) -> bool:
    """True for directions in which a leader would run along its own shelf."""
    return abs(math.sin(math.radians(direction))) < 0.1


def _leads(tip: XY, toward: float, shortest: tuple[float, ...] = ()) -> Iterator[tuple[float, XY]]:
    """(direction, end) of leaders from a tip, those left out that would run along their own shelf."""
    for direction, length in _ways(toward, shortest):
        if not _level(direction):
            yield direction, polar(tip, length, direction)


def _shelf_side(direction: float) -> float:
    """Which way a shelf runs from a leader's end, away from its tip: 1 to the right, -1 to the left."""
    return 1.0 if math.cos(math.radians(direction)) >= -1e-9 else -1.0


def _shelf_text(end: XY, direction: float, lines: list[str], height: float) -> list[Ink]:
    """A shelf from the leader's end with words above it, on the side away from the tip."""
    side = _shelf_side(direction)
    width = max(text_width(t, height) for t in lines)
    ink: list[Ink] = [line(end, (end[0] + side * (width + 1.0), end[1]), role="leader")]
    left = end[0] + 0.5 if side > 0 else end[0] - width - 0.5
    for k, words in enumerate(reversed(lines)):
        ink.append(Letters(left, end[1] + ABOVE + k * LINE_STEP * height, words, height, layer="DIM"))
    return ink


def _notes(note: Note, made: PointerStyle) -> Iterator[Group]:
    tip = note.tip[0] * made.scale, note.tip[1] * made.scale
    for direction, end in _leads(tip, note.toward_deg, (3.0, 6.0) if note.end == "none" else ()):
        words = _shelf_text(end, direction, note.text.split("\n"), note.height)
        ink: list[Ink] = [line(tip, end, role="leader"), *words]
        if note.end == "arrow":
            ink.append(arrow(tip, direction))
        elif note.end == "dot":
            ink.append(symbols.dot(tip))
        yield Group(note.text.replace("\n", " "), "pointer", tuple(ink), view=made.view)


def _tolerances(tolerance: Tolerance, made: PointerStyle) -> Iterator[Group]:
    value = dimension_text.length(tolerance.value, "in" if made.units == "in" else "mm", fine=True)
    cells = symbols.tolerance_cells(tolerance.symbol, value, tolerance.datums, tolerance.diametral)
    width = symbols.tolerance_width(cells)
    for (x, y), direction, length in _either_tip(tolerance):
        if _level(direction):
            continue
        tip = x * made.scale, y * made.scale
        end = polar(tip, length, direction)
        side = _shelf_side(direction)
        near = end[0] + side * 3.0
        frame = symbols.tolerance_frame(near if side > 0 else near - width, end[1], cells)
        ink = (line(tip, end, role="leader"), line(end, (near, end[1]), role="leader"), arrow(tip, direction), *frame)
        yield Group(f"{tolerance.symbol} {value}", "pointer", ink, view=made.view, keep=(box_of(frame),))


def _either_tip(tolerance: Tolerance) -> Iterator[tuple[XY, float, float]]:
    """Tip, direction and length, at the wanted tip and, mirrored, at the other one, the short ones first."""
    ways = list(_ways(tolerance.toward_deg))
    for k in range(0, len(ways), TIP_TURN):
        for direction, length in ways[k : k + TIP_TURN]:
            yield tolerance.tip, direction, length
        if tolerance.or_tip is not None:
            for direction, length in ways[k : k + TIP_TURN]:
                yield tolerance.or_tip, -direction, length


def _textures(texture: Texture, made: PointerStyle) -> Iterator[Group]:
    tip = texture.tip[0] * made.scale, texture.tip[1] * made.scale
    ra = f"Ra {dimension_text.number(texture.ra_um, 1)}"
    width, _ = symbols.texture_size(ra)
    for direction, end in _leads(tip, texture.toward_deg):
        side = _shelf_side(direction)
        foot = end[0] + side * (3.0 if side > 0 else width)
        sign = symbols.texture_sign(foot, end[1], ra)
        shelf = line(end, (end[0] + side * (width + 1), end[1]), role="leader")
        ink = (line(tip, end, role="leader"), shelf, arrow(tip, direction), *sign)
        yield Group(ra, "pointer", ink, view=made.view, keep=(grown(box_of(sign), -0.3),))


def _datums(datum: Datum, made: PointerStyle) -> Iterator[Group]:
    tip = datum.tip[0] * made.scale, datum.tip[1] * made.scale
    for out in (datum.toward_deg, datum.toward_deg + 180):
        for stem in range(3, 90, 3):
            yield datum_sign(tip, out, datum.letter, stem, made.view)


def place_first(candidates: Iterator[Group], room: Room) -> Group:
    """Place one thing from its candidates; `room` is told of it."""
    group = _search(candidates, room)
    room.add(group)
    return group


def _rounds(dim: Diameter | Radius, made: PointerStyle) -> Iterator[Group]:
    centre = dim.x * made.scale, dim.y * made.scale
    r = dim.radius * made.scale
    whole = isinstance(dim, Diameter)
    value = dim.radius * (2 if whole else 1)
    text = dimension_text.dimension(dim, value, made.units, sign="⌀" if whole else "R")
    lines = [text, *dim.below.split("\n")] if dim.below else [text]
    for direction, length in _ways(dim.toward_deg):
        if _level(direction) or (not whole and abs(direction - dim.toward_deg) > 46):
            continue
        tip = polar(centre, r, direction)
        end = polar(tip, length, direction)
        words = _shelf_text(end, direction, lines, HEIGHT)
        ink: tuple[Ink, ...] = (line(tip, end, role="leader"), arrow(tip, direction), *words)
        # measured level, so that a program that writes the text along the measured line writes it level
        points = (polar(centre, r, 180), polar(centre, r, 0)) if whole else (centre, tip)
        first = next(i for i in words if isinstance(i, Letters) and i.text == text)
        at = (first.x + first.width / 2, first.y + HEIGHT / 2)
        measure = InkMeasure("diameter" if whole else "radius", points, value, text, at, scale=made.scale)
        yield Group(text, "dimension", ink, measure, made.view)
