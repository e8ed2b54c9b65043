"""A second solution of the field over a row of teeth, by nothing but five-point differences on a square grid.

Only what it takes to see which of two figures is right: a pole over teeth without a gap, iron at 0 and the pole at 1,
the open top at 0. Coarse, as a rough script is.
"""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_matrix, diags
from scipy.sparse.linalg import splu

SIDE_MM, TOP_MM, DEPTH_MM = 5.0, 10.0, 6.35
POSITIONS = 4


def permeances(
    pitch: float, slot: float, pole: float, gap: float, step: float, places: int
) -> tuple[np.ndarray, np.ndarray]:
    """(places,) permeance of a pole with its sides, and of its tip alone, at places round one pitch from a slot's
    middle on. step: of the grid, mm, across a little more or less: a whole number of steps from place to place, or the
    pole would be a step wider at some places than at others."""
    length = POSITIONS * pitch
    nx = POSITIONS * places * round(pitch / (places * step))
    hx = length / nx
    depth, rows = round(DEPTH_MM / step), max(1, round(gap / step))
    y = np.concatenate(
        [np.arange(-depth, 0) * step, np.arange(rows) * gap / rows, gap + np.arange(round((SIDE_MM + TOP_MM) / step))
         * step]
    )  # fmt: skip
    x = (np.arange(nx) + 0.5) * hx
    ny, dy = len(y), np.diff(y)
    tall = np.zeros(ny)
    tall[:-1] += dy / 2
    tall[1:] += dy / 2
    number = np.arange(nx * ny).reshape(ny, nx)
    a = np.concatenate([number.ravel(), number[:-1].ravel()])
    b = np.concatenate([np.roll(number, -1, axis=1).ravel(), number[1:].ravel()])
    c = np.concatenate([np.repeat(tall / hx, nx), np.repeat(hx / dy, nx)])
    half = coo_matrix((c, (a, b)), shape=(nx * ny,) * 2).tocsr()
    flow = half + half.T
    laplace = (diags(np.asarray(flow.sum(axis=1)).ravel()) - flow).tocsr()
    across, up = np.tile(x, ny), np.repeat(y, nx)
    over_tooth = np.abs(np.mod(across, pitch) - pitch / 2) < (pitch - slot) / 2
    iron = (up < -depth * step + 1e-9) | ((up < 1e-9) & over_tooth) | (up > y[-1] - 1e-9)
    out = []
    for at in np.arange(places) * pitch / places:
        away = np.mod(across - at + length / 2, length) - length / 2
        held = (np.abs(away) < pole / 2 + 1e-9) & (up > gap - 1e-9) & (up < gap + SIDE_MM + 1e-9)
        free = ~(held | iron)
        u = held.astype(float)
        u[free] = splu(laplace[free][:, free].tocsc(), permc_spec="MMD_AT_PLUS_A").solve(-(laplace[free] @ u))
        flux = laplace @ u
        out.append((flux[held].sum(), flux[held & (up < gap + 1e-9)].sum()))
    whole, tip = np.array(out).T
    return whole, tip
