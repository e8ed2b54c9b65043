"""From the gauge's mesh in the wheel frame to what a printer gets: holes not undersize, and the part laid down."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.files.stl import read_stl
from wheelcad.parts.gauge.cover import PrintHole
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.trade.printing import shrinkage_scale, usable_bed
from wheelcad.trade.rows import distinct_rows

ON_CIRCLE = 1e-3  # mm: a corner this near a hole's circle belongs to it
APART = 10.0  # mm between pieces laid side by side
TURNS_DEG = np.arange(0.0, 180.0, 3.0)  # in which a piece is tried on the bed


def opened_holes(triangles: Floats, holes: Sequence[PrintHole]) -> Floats:
    """The mesh (n, 3, 3) with the corners of its bolt holes moved outwards until their flats touch the true circle.

    A mesh's hole is a polygon with its corners on the circle, so that its flats cut into the hole; what has to pass
    through it needs them outside.
    """
    out = triangles.copy()
    for hole in holes:
        d = out[:, :, :2] - np.array([hole.x, hole.y])
        away = np.hypot(d[:, :, 0], d[:, :, 1])
        own = np.abs(away - hole.radius) < ON_CIRCLE
        angles = np.unique(np.round(np.arctan2(d[own][:, 1], d[own][:, 0]), 9))
        if len(angles) < 3:
            raise ValueError("a bolt hole is missing from the mesh")
        steps = np.diff(angles, append=angles[0] + 2 * np.pi)
        out[own, :2] = np.array([hole.x, hole.y]) + d[own] / np.cos(steps.max() / 2)
    return out


def write_gauge_3mf(folder: Path, design: GaugeDesign, title: str) -> None:
    """gauge.3mf as it prints, from the gauge.stl in the folder."""
    from wheelcad.files.threemf import Body3mf, write_3mf

    pieces = as_printed(design, read_stl(folder / "gauge.stl"))
    bodies = [Body3mf(name, piece) for name, piece in zip(piece_names(len(pieces)), pieces, strict=True)]
    write_3mf(folder / "gauge.3mf", bodies, title)


def piece_names(count: int) -> list[str]:
    """What a slicer lists a gauge of so many pieces under."""
    return ["gauge"] if count == 1 else [f"gauge {i} of {count}" for i in range(1, count + 1)]


def as_printed(design: GaugeDesign, triangles: Floats) -> list[Floats]:
    """The whole gauge's triangles as its pieces stand on the printer's bed: front face down, skirt or fingers up.

    Turned over about X, larger in x and y by what the print shrinks (heights stay whole layers). The first piece lies
    in the middle of the bed (at the origin where no printer is named), turned where only that fits; others beside it.
    """
    flipped = triangles * np.array([1.0, -1.0, -1.0]) + np.array([0.0, 0.0, design.body.z_front])
    flipped[:, :, :2] *= shrinkage_scale(design.shrinkage)
    out: list[Floats] = []
    for piece in pieces_of(flipped) if design.pieces > 1 else [flipped]:
        laid = _laid(piece, design.bed)
        if out:
            laid = laid + np.array([out[-1][:, :, 0].max() + APART - laid[:, :, 0].min(), 0.0, 0.0])
        out.append(laid)
    return out


def pieces_of(triangles: Floats) -> list[Floats]:
    """The connected bodies of a mesh, in the order of the angle at which they lie."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    _, rows = distinct_rows(triangles.reshape(-1, 3).astype(np.float32))
    rows = rows.reshape(-1, 3)
    links = np.concatenate([rows[:, :2], rows[:, 1:]])
    size = int(rows.max()) + 1
    graph = coo_matrix((np.ones(len(links)), (links[:, 0], links[:, 1])), shape=(size, size))
    count, label = connected_components(graph, directed=False)
    parts = [triangles[label[rows[:, 0]] == k] for k in range(count)]
    middles = [part.reshape(-1, 3).mean(axis=0) for part in parts]
    order = sorted(range(count), key=lambda k: round(float(np.arctan2(middles[k][1], middles[k][0])), 6))
    return [parts[k] for k in order]


def _laid(piece: Floats, bed: tuple[float, float] | None) -> Floats:
    """Moved to the middle of the bed, turned by the least that lets it fit (not at all where nothing does)."""
    turned = piece
    room = None if bed is None else usable_bed(bed)
    for angle in np.radians(TURNS_DEG):
        c, s = np.cos(angle), np.sin(angle)
        x, y = piece[:, :, 0] * c - piece[:, :, 1] * s, piece[:, :, 0] * s + piece[:, :, 1] * c
        if room is None or (np.ptp(x) <= room[0] and np.ptp(y) <= room[1]):
            turned = np.stack([x, y, piece[:, :, 2]], axis=-1)
            break
    low, high = turned.reshape(-1, 3).min(axis=0), turned.reshape(-1, 3).max(axis=0)
    middle = np.array([bed[0] / 2, bed[1] / 2, 0.0]) if bed is not None else np.zeros(3)
    moved: Floats = turned + middle - np.array([*((low + high)[:2] / 2), 0.0])
    return moved
