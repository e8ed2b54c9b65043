"""Cutting files: what a plasma or laser table follows, and a reader that sees them as the table does.

Only closed LWPOLYLINEs with bulges, whole circles and open cut paths, no splines, in mm ($INSUNITS 4), one entity an
outline and none twice; the same shapes give the same bytes. Layers and their pens: wheelcad.trade.layers.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from wheelcad.dxfbase import MILLIMETRES, document_bytes, new_document
from wheelcad.errors import Fault, JobFileError
from wheelcad.save import save
from wheelcad.trade.layers import LAYERS
from wheelcad.trade.loop import Loop

ROUND = 9  # decimal places of a mm kept in the file


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

    @property
    def length(self) -> float:
        """Length of the cut, mm."""
        total = 0.0
        for (x0, y0, bulge), (x1, y1, _) in zip(self.vertices, self.vertices[1:], strict=False):
            chord = math.hypot(x1 - x0, y1 - y0)
            sweep = 4 * math.atan(abs(bulge))
            total += chord if sweep < 1e-12 else chord / 2 / math.sin(sweep / 2) * sweep
        return total


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

    strange: kinds of entity other than those written here, as "LAYER: KIND".
    """

    insunits: int
    loops: dict[str, list[Loop]] = field(default_factory=dict)
    circles: dict[str, list[CutCircle]] = field(default_factory=dict)
    paths: dict[str, list[CutPath]] = field(default_factory=dict)
    texts: dict[str, list[CutText]] = field(default_factory=dict)
    strange: tuple[str, ...] = ()

    @property
    def layers(self) -> tuple[str, ...]:
        """Layers that hold something, sorted."""
        return tuple(sorted({*self.loops, *self.circles, *self.paths, *self.texts}))


def write_cut_dxf(path: str | Path, shapes: Mapping[str, Iterable[CutEntity]]) -> None:
    """Write shapes by layer (names from wheelcad.trade.layers), in mm. A Loop that is a circle becomes a CIRCLE.

    KeyError for a layer that there is none of; OSError when the file cannot be written.
    """
    save(path, cut_dxf_bytes(shapes))


def cut_dxf_bytes(shapes: Mapping[str, Iterable[CutEntity]]) -> bytes:
    """The file's bytes; only layers that hold something are in it, in the usual order."""
    held = {layer: list(entities) for layer, entities in shapes.items()}
    for layer in held:
        if layer not in LAYERS:
            raise KeyError(f"there is no layer {layer!r}")
    used = tuple(name for name in LAYERS if held.get(name))
    doc = new_document(used)
    space = doc.modelspace()
    for layer in used:
        for entity in held[layer]:
            _add(space, layer, entity)
    return document_bytes(doc)


def _add(space: Any, layer: str, entity: CutEntity) -> None:
    attribs = {"layer": layer}
    if isinstance(entity, Loop):
        circle = as_circle(entity)
        if circle is None:
            space.add_lwpolyline(_rounded(entity.vertices.tolist()), format="xyb", close=True, dxfattribs=attribs)
            return
        entity = circle
    if isinstance(entity, CutCircle):
        space.add_circle(_point(entity.x, entity.y), _round(entity.radius), dxfattribs=attribs)
    elif isinstance(entity, CutText):
        text = space.add_text(entity.text, height=entity.height, rotation=entity.rotation_deg, dxfattribs=attribs)
        text.dxf.insert = _point(entity.x, entity.y)
    elif len(entity.vertices) == 2 and entity.vertices[0][2] == 0.0:
        (x0, y0, _), (x1, y1, _) = entity.vertices
        space.add_line(_point(x0, y0), _point(x1, y1), dxfattribs=attribs)
    else:
        space.add_lwpolyline(_rounded(entity.vertices), format="xyb", close=False, dxfattribs=attribs)


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


def _rounded(vertices: Iterable[Iterable[float]]) -> list[tuple[float, float, float]]:
    return [(_round(x), _round(y), bulge) for x, y, bulge in vertices]


def read_cut_dxf(path: str | Path) -> CutFile:
    """Read a DXF's model space as a cutting table sees it. JobFileError when it cannot be read as DXF."""
    import ezdxf

    try:
        data = Path(path).read_bytes()
        doc = ezdxf.read(io.StringIO(data.decode("utf-8")))
    except OSError as error:
        raise JobFileError(Fault(f"cannot be read: {error.strerror}", file=str(path))) from None
    except (UnicodeDecodeError, ezdxf.DXFError, ValueError) as error:
        raise JobFileError(Fault(f"cannot be read as DXF: {error}", file=str(path))) from None
    found = CutFile(int(doc.header.get("$INSUNITS", 0)))
    strange = []
    for entity in doc.modelspace():
        read = _read(entity)
        if read is None:
            strange.append(f"{entity.dxf.layer}: {entity.dxftype()}")
            continue
        homes: dict[type, dict[str, Any]] = {
            Loop: found.loops,
            CutCircle: found.circles,
            CutPath: found.paths,
            CutText: found.texts,
        }
        homes[type(read)].setdefault(entity.dxf.layer, []).append(read)
    return CutFile(found.insunits, found.loops, found.circles, found.paths, found.texts, tuple(strange))


def _read(entity: Any) -> CutEntity | None:
    kind = entity.dxftype()
    if kind == "LWPOLYLINE":
        vertices = tuple((float(x), float(y), float(b)) for x, y, b in entity.get_points("xyb"))
        return Loop(vertices) if entity.closed and len(vertices) > 1 else CutPath(vertices)
    if kind == "CIRCLE":
        return CutCircle(float(entity.dxf.center.x), float(entity.dxf.center.y), float(entity.dxf.radius))
    if kind == "LINE":
        a, b = entity.dxf.start, entity.dxf.end
        return CutPath(((a.x, a.y, 0.0), (b.x, b.y, 0.0)))
    if kind == "ARC":
        sweep = math.radians((entity.dxf.end_angle - entity.dxf.start_angle) % 360.0)
        a, b = entity.start_point, entity.end_point
        return CutPath(((a.x, a.y, math.tan(sweep / 4)), (b.x, b.y, 0.0)))
    if kind == "TEXT":
        at = entity.dxf.insert
        return CutText(at.x, at.y, entity.dxf.text, float(entity.dxf.height), float(entity.dxf.get("rotation", 0.0)))
    return None


__all__ = [
    "MILLIMETRES",
    "CutCircle",
    "CutFile",
    "CutPath",
    "CutText",
    "as_circle",
    "cut_dxf_bytes",
    "read_cut_dxf",
    "write_cut_dxf",
]
