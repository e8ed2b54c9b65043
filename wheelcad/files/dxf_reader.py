"""A cutting file read back as a table's program sees it: pieces that meet end to end are one cut."""

from __future__ import annotations

import io
import math
from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from wheelcad.errors import Fault, JobFileError
from wheelcad.files.dxf import MARKED_BY, CutCircle, CutEntity, CutFile, CutPath, CutText
from wheelcad.trade.loop import Edge, Loop

JOIN = 1e-4  # mm: ends nearer than this are one point


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
    space = doc.modelspace()
    entities = list(space)
    read = [(entity.dxf.layer, _read(entity)) for entity in entities]
    strange = tuple(f"{e.dxf.layer}: {e.dxftype()}" for e, (_, got) in zip(entities, read, strict=True) if got is None)
    loops: dict[str, list[Loop]] = {}
    circles: dict[str, list[CutCircle]] = {}
    paths: dict[str, list[CutPath]] = {}
    texts: dict[str, list[CutText]] = {}
    for layer, got in read:
        if isinstance(got, Loop):
            loops.setdefault(layer, []).append(got)
        elif isinstance(got, CutCircle):
            circles.setdefault(layer, []).append(got)
        elif isinstance(got, CutText):
            texts.setdefault(layer, []).append(got)
    for layer in dict.fromkeys(layer for layer, got in read if isinstance(got, CutPath)):
        pieces = [got for of, got in read if of == layer and isinstance(got, CutPath)]
        closed, open_ones = chained(pieces)
        if closed:
            loops.setdefault(layer, []).extend(closed)
        if open_ones:
            paths.setdefault(layer, []).extend(open_ones)
    low, high = doc.header.get("$EXTMIN", (1e20, 1e20)), doc.header.get("$EXTMAX", (-1e20, -1e20))
    box = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    return CutFile(
        int(doc.header.get("$INSUNITS", 0)), loops, circles, paths, texts, strange,
        version=str(doc.dxfversion),
        kinds=tuple(sorted({entity.dxftype() for entity in entities})),
        extents=box if box[0] <= box[2] and box[1] <= box[3] else None,
        marks=(_comment(data), str(doc.header.custom_vars.get(MARKED_BY, ""))),
    )  # fmt: skip


def _comment(data: bytes) -> str:
    """What the 999 comment at the file's top says after our name; "" without one."""
    lines = [line.strip() for line in data[:500].decode("utf-8", errors="replace").splitlines()[:2]]
    if len(lines) < 2 or lines[0] != "999" or not lines[1].startswith(f"{MARKED_BY} "):
        return ""
    return lines[1].removeprefix(f"{MARKED_BY} ")


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
        from ezdxf.lldxf.encoding import decode_dxf_unicode

        return CutText(
            at.x,
            at.y,
            decode_dxf_unicode(entity.dxf.text),
            float(entity.dxf.height),
            float(entity.dxf.get("rotation", 0.0)),
        )
    return None


def chained(pieces: Sequence[CutPath]) -> tuple[list[Loop], list[CutPath]]:
    """The closed loops and the open cuts that pieces make which meet end to end, in the order of the first piece of
    each.

    A run goes the way its first piece goes, an arc anticlockwise. Where more than two ends meet, runs end: no table
    knows which way to turn there.
    """
    edges = [edge for piece in pieces for edge in piece.edges()]
    at: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
    for k, edge in enumerate(edges):
        for end, point in enumerate(((edge.x0, edge.y0), (edge.x1, edge.y1))):
            at[_cell(*point)].append((k, end))
    used = [False] * len(edges)
    loops: list[Loop] = []
    paths: list[CutPath] = []
    for first in range(len(edges)):
        if used[first]:
            continue
        used[first] = True
        run = _grown([edges[first]], edges, used, at)
        if not _closed(run):  # it may go on before its first piece as well
            backwards = _grown([_turned(edge) for edge in reversed(run)], edges, used, at)
            run = [_turned(edge) for edge in reversed(backwards)]
        vertices = [(edge.x0, edge.y0, edge.bulge) for edge in run]
        if _closed(run) and len(run) > 1:
            loops.append(Loop(vertices))
        else:
            paths.append(CutPath((*vertices, (run[-1].x1, run[-1].y1, 0.0))))
    return loops, paths


def _cell(x: float, y: float) -> tuple[int, int]:
    return math.floor(x / JOIN), math.floor(y / JOIN)


def _grown(
    run: list[Edge], edges: list[Edge], used: list[bool], at: dict[tuple[int, int], list[tuple[int, int]]]
) -> list[Edge]:
    """The run with every piece added that goes on from its end alone."""
    while not _closed(run):
        x, y = run[-1].x1, run[-1].y1
        i, j = _cell(x, y)
        near = [item for a in (i - 1, i, i + 1) for b in (j - 1, j, j + 1) for item in at.get((a, b), ())]
        near = [(k, end) for k, end in near if math.dist(_end(edges[k], end), (x, y)) < JOIN]
        free = [(k, end) for k, end in near if not used[k]]
        if len(free) != 1 or len(near) != 2:
            break
        k, end = free[0]
        used[k] = True
        run.append(edges[k] if end == 0 else _turned(edges[k]))
    return run


def _end(edge: Edge, end: int) -> tuple[float, float]:
    return (edge.x1, edge.y1) if end else (edge.x0, edge.y0)


def _turned(edge: Edge) -> Edge:
    return Edge(edge.x1, edge.y1, edge.x0, edge.y0, -edge.bulge)


def _closed(run: list[Edge]) -> bool:
    return len(run) > 1 and math.dist((run[0].x0, run[0].y0), (run[-1].x1, run[-1].y1)) < JOIN


__all__ = ["chained", "read_cut_dxf"]
