"""Whether triangles close round a body, and round how many: counted on their edges. Plain numpy.

The second opinion is the library trimesh, in the tests: it takes longer to load than all files of a job to measure.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats, Ints
from wheelcad.trade.rows import distinct_rows


@dataclass(frozen=True)
class Topology:
    """watertight: every edge belongs to exactly two triangles; consistent: which run along it in opposite ways; bodies:
    how many sets of triangles hang together by such edges."""

    watertight: bool
    consistent: bool
    bodies: int

    @property
    def closed(self) -> bool:
        """Whether the triangles are the skin of bodies, with one side out."""
        return self.watertight and self.consistent


def topology(triangles: Floats) -> Topology:
    """What triangles (n, 3, 3) close round; corners that are equal to the last bit are one."""
    _, corner = distinct_rows(triangles.reshape(-1, 3))
    corner = corner.reshape(-1, 3)
    start, end = corner.ravel(), np.roll(corner, -1, axis=1).ravel()
    edge = np.minimum(start, end) * (int(corner.max(initial=0)) + 1) + np.maximum(start, end)
    order = np.argsort(edge, kind="stable")
    runs = np.flatnonzero(np.diff(edge[order], prepend=-1))
    sizes = np.diff(runs, append=len(order))
    pairs = runs[sizes == 2]
    one, other = order[pairs], order[pairs + 1]
    bodies = hanging_together(len(corner), one // 3, other // 3)
    opposite = bool((start[one] == end[other]).all() and (start[one] != end[one]).all())
    return Topology(bool((sizes == 2).all()), opposite, len(np.unique(bodies)))


def hanging_together(count: int, one: Ints, other: Ints) -> Ints:
    """For each of so many things the least number of all that hang together with it; one, other: pairs that do."""
    least = np.arange(count)
    while True:
        first, second = least[one], least[other]
        low = np.minimum(first, second)
        spread = least.copy()
        np.minimum.at(spread, first, low)
        np.minimum.at(spread, second, low)
        while not np.array_equal(further := spread[spread], spread):
            spread = further
        if np.array_equal(spread, least):
            return least
        least = spread
