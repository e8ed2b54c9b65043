"""An outline moved outwards by a fixed distance, as a cutting program does for half the kerf. Lengths in mm."""

from __future__ import annotations

import math

from wheelcad.trade.loop import Edge, Loop

SMOOTH = 1e-6  # radians of turn at a corner below which two edges count as running into each other
SLIGHT = 0.15  # radians: a corner that points inwards by no more than this needs no radius


def grown(loop: Loop, by: float) -> Loop:
    """The anticlockwise outline moved outwards by `by` mm (0 or more); corners that point outwards become round.

    ValueError when a hollow is tighter than `by`, when a corner points inwards without a radius, or for by < 0.
    """
    if by < 0:
        raise ValueError("an outline is grown, not shrunk")
    sources = list(loop.oriented().edges())
    edges = [_moved(edge, by) for edge in sources]
    turn = [_turn(edge, sources[(k + 1) % len(sources)]) for k, edge in enumerate(sources)]
    rows: list[tuple[float, float, float]] = []
    for k, edge in enumerate(edges):
        if turn[k] < -SLIGHT:
            raise ValueError("a corner that points inwards has no radius a torch could follow")
        if (
            turn[k - 1] < -SMOOTH
        ):  # a slight corner that points inwards: its two sides now cross a hair before their ends
            before = edges[k - 1]
            rows.append(((before.x1 + edge.x0) / 2, (before.y1 + edge.y0) / 2, edge.bulge))
        else:
            rows.append((edge.x0, edge.y0, edge.bulge))
        if turn[k] > SMOOTH:
            rows.append((edge.x1, edge.y1, math.tan(turn[k] / 4)))
    return Loop(rows)


def _moved(edge: Edge, by: float) -> Edge:
    """The edge moved to its right by `by`; an arc keeps its centre and sweep."""
    if edge.bulge < 0 and not edge.is_line and edge.radius <= by:
        raise ValueError(f"a hollow of radius {edge.radius:.2f} mm is tighter than {by:.2f} mm")
    start, end = _heading(edge, 0.0), _heading(edge, 1.0)
    return Edge(
        edge.x0 + by * math.sin(start),
        edge.y0 - by * math.cos(start),
        edge.x1 + by * math.sin(end),
        edge.y1 - by * math.cos(end),
        edge.bulge,
    )


def _heading(edge: Edge, share: float) -> float:
    """Direction of travel, radians, at the edge's start (share 0) or end (share 1)."""
    chord = math.atan2(edge.y1 - edge.y0, edge.x1 - edge.x0)
    return chord + (share - 0.5) * edge.sweep


def _turn(a: Edge, b: Edge) -> float:
    """Turn, radians, from the end of one edge to the start of the next, -π to π."""
    return (_heading(b, 0.0) - _heading(a, 1.0) + math.pi) % (2 * math.pi) - math.pi
