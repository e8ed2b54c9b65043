"""Cutting files: what a plasma or laser table follows, and a reader that sees them as the table does.

DXF R2000 with LINE, ARC and CIRCLE only (TEXT where bend marks are asked for), in mm ($INSUNITS 4), extents set, end to
end in the order of cutting and nothing twice; the same shapes give the same bytes. The marks of job and plan stand in
a 999 comment at the top and in a custom property. Layers and their pens: wheelcad.trade.layers.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from typing import Any

from wheelcad.dxfbase import CUTTING_VERSION, MILLIMETRES, document_bytes, new_document
from wheelcad.save import save
from wheelcad.trade.layers import LAYERS
from wheelcad.trade.loop import Edge, Loop

ROUND = 9  # decimal places of a mm kept in the file
MARKED_BY = "wheelcad"  # the property's name, and the comment's first word

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class CutCircle:
    """A hole: centre and radius, mm."""

    x: float
    y: float
    radius: float


@dataclass(frozen=True)
class CutPath:
    """An open cut: vertices x, y, bulge (mm) as in a Loop; the last bulge is not used."""

    vertices: tuple[tuple[float, float, float], ...]

    def edges(self) -> Iterator[Edge]:
        """Its pieces, in order."""
        for (x0, y0, bulge), (x1, y1, _) in pairwise(self.vertices):
            yield Edge(x0, y0, x1, y1, bulge)


@dataclass(frozen=True)
class CutText:
    """Words: lower left corner (mm), capital height (mm), degrees anticlockwise."""

    x: float
    y: float
    text: str
    height: float = 5.0
    rotation_deg: float = 0.0


CutEntity = Loop | CutCircle | CutPath | CutText


@dataclass(frozen=True)
class CutFile:
    """A cutting file as read back: entities by layer, its unit code ($INSUNITS) and what a cutting table cannot follow.

    strange: kinds of entity other than those written here, as "LAYER: KIND". version: $ACADVER. kinds: of its entities,
    sorted. extents: xmin, ymin, xmax, ymax as its head says, None where it says none. marks: what comment and property
    say, "" where there is none.
    """

    insunits: int
    loops: dict[str, list[Loop]] = field(default_factory=dict)
    circles: dict[str, list[CutCircle]] = field(default_factory=dict)
    paths: dict[str, list[CutPath]] = field(default_factory=dict)
    texts: dict[str, list[CutText]] = field(default_factory=dict)
    strange: tuple[str, ...] = ()
    version: str = ""
    kinds: tuple[str, ...] = ()
    extents: tuple[float, float, float, float] | None = None
    marks: tuple[str, str] = ("", "")

    @property
    def layers(self) -> tuple[str, ...]:
        """Layers that hold something, sorted."""
        return tuple(sorted({*self.loops, *self.circles, *self.paths, *self.texts}))


def write_cut_dxf(path: str | Path, shapes: Mapping[str, Iterable[CutEntity]], marks: str = "") -> None:
    """Write shapes by layer (names from wheelcad.trade.layers), in mm. A Loop that is a circle becomes a CIRCLE.

    marks: of job and plan. KeyError for a layer that there is none of; OSError when the file cannot be written.
    """
    save(path, cut_dxf_bytes(shapes, marks))


def cut_dxf_bytes(shapes: Mapping[str, Iterable[CutEntity]], marks: str = "") -> bytes:
    """The file's bytes; only layers that hold something are in it, in the usual order."""
    held = {layer: list(entities) for layer, entities in shapes.items()}
    for layer in held:
        if layer not in LAYERS:
            raise KeyError(f"there is no layer {layer!r}")
    used = tuple(name for name in LAYERS if held.get(name))
    doc = new_document(used, version=CUTTING_VERSION)
    space = doc.modelspace()
    for layer in used:
        for entity in held[layer]:
            _add(space, layer, entity)
    bounds = _bounds([entity for layer in used for entity in held[layer]])
    low, high = (*bounds[:2], 0.0), (*bounds[2:], 0.0)
    space.reset_extents(low, high)
    doc.header["$EXTMIN"], doc.header["$EXTMAX"] = low, high  # the library forgets corners at the origin
    return _marked(document_bytes(doc), marks)


def _marked(data: bytes, marks: str) -> bytes:
    """With the marks as a comment before everything, and as a custom property at the end of the head: the library
    writes neither in a file this old."""
    if not marks:
        return data
    comment = f"999\n{MARKED_BY} {marks}\n"
    properties = f"  9\n$CUSTOMPROPERTYTAG\n  1\n{MARKED_BY}\n  9\n$CUSTOMPROPERTY\n  1\n{marks}\n"
    head, end, rest = data.partition(b"  0\nENDSEC\n")
    return comment.encode("ascii") + head + properties.encode("ascii") + end + rest


def _add(space: Any, layer: str, entity: CutEntity) -> None:
    attribs = {"layer": layer}
    if isinstance(entity, Loop):
        circle = as_circle(entity)
        if circle is None:
            _add_edges(space, _from_a_line(list(entity.edges())), attribs)
            return
        entity = circle
    if isinstance(entity, CutCircle):
        space.add_circle(_point(entity.x, entity.y), _round(entity.radius), dxfattribs=attribs)
    elif isinstance(entity, CutText):
        text = space.add_text(entity.text, height=entity.height, rotation=entity.rotation_deg, dxfattribs=attribs)
        text.dxf.insert = _point(entity.x, entity.y)
    else:
        _add_edges(space, entity.edges(), attribs)


def _from_a_line(edges: list[Edge]) -> list[Edge]:
    """A closed run that begins with a line, or with an arc that runs anticlockwise: an ARC does not say which way it is
    cut, so the way round is told by the first piece that does."""
    lines = [k for k, edge in enumerate(edges) if edge.is_line]
    first = next(iter(lines or [k for k, edge in enumerate(edges) if edge.bulge > 0]), 0)
    return edges[first:] + edges[:first]


def _add_edges(space: Any, edges: Iterable[Edge], attribs: dict[str, Any]) -> None:
    for edge in edges:
        if edge.is_line:
            space.add_line(_point(edge.x0, edge.y0), _point(edge.x1, edge.y1), dxfattribs=attribs)
            continue
        cx, cy = edge.centre
        ends = [math.degrees(math.atan2(y - cy, x - cx)) % 360.0 for x, y in ((edge.x0, edge.y0), (edge.x1, edge.y1))]
        start, end = ends if edge.bulge > 0 else ends[::-1]
        space.add_arc(_point(cx, cy), _round(edge.radius), _round(start), _round(end), dxfattribs=attribs)


def _bounds(entities: Sequence[CutEntity]) -> Box:
    """xmin, ymin, xmax, ymax of all shapes, words left out; zeros where there is none."""
    boxes: list[Box] = []
    for entity in entities:
        if isinstance(entity, Loop):
            boxes += [edge.box for edge in entity.edges()]
        elif isinstance(entity, CutCircle):
            x, y, r = entity.x, entity.y, entity.radius
            boxes.append((x - r, y - r, x + r, y + r))
        elif isinstance(entity, CutPath):
            boxes += [edge.box for edge in entity.edges()]
    if not boxes:
        return 0.0, 0.0, 0.0, 0.0
    low_x, low_y, high_x, high_y = zip(*boxes, strict=True)
    return _round(min(low_x)), _round(min(low_y)), _round(max(high_x)), _round(max(high_y))


def as_circle(loop: Loop) -> CutCircle | None:
    """The circle that a loop of two half arcs is; None for any other loop."""
    v = loop.vertices
    if len(v) != 2 or abs(v[0, 2]) != 1.0 or v[0, 2] != v[1, 2]:
        return None
    (x0, y0), (x1, y1) = v[:, :2].tolist()
    return CutCircle((x0 + x1) / 2, (y0 + y1) / 2, math.hypot(x1 - x0, y1 - y0) / 2)


def _round(value: float) -> float:
    return round(value, ROUND) + 0.0


def _point(x: float, y: float) -> tuple[float, float]:
    return _round(x), _round(y)


__all__ = [
    "MARKED_BY",
    "MILLIMETRES",
    "CutCircle",
    "CutEntity",
    "CutFile",
    "CutPath",
    "CutText",
    "as_circle",
    "cut_dxf_bytes",
    "write_cut_dxf",
]
