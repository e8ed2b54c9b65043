"""How a bracket's meshes follow each other, and what the last of them leaves to be found. Numbers alone, no solver.

Two meshes as a rule: a coarse one, on which both clampings and every change are solved too, and one half its size.
Their frequencies are far enough apart to foretell what is left; meshes that differ by a quarter may agree by chance.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from wheelcad.checks.fem.model import MeshStep, StiffnessResult

COARSE = 2.0  # the first mesh's size over the second's; of every mesh that only compares shapes
SIZES = (COARSE, 1.0, 0.75, 0.75**2, 0.75**3)  # over the second's
LEFT = 0.03  # refinement is over when no more than this share of the first frequency is left to be found
LEAST_ERROR = 0.02  # of the frequency, see `mesh_error`
MOST_UNKNOWNS = 70_000  # a third mesh is not tried when it would have more
DIGITS = 5  # significant digits reported: the solver's own are good to more


def rounded(value: float, digits: int = DIGITS) -> float:
    """To significant digits, so that the last bits of a sum do not reach a file."""
    return float(f"{value:.{digits}g}")


def left(steps: Sequence[MeshStep]) -> float:
    """What still finer meshes would take off the last first frequency, Hz; inf for one mesh alone.

    The error of a clamp's sharp edge falls in proportion to the size: what is left is a geometric series.
    """
    if len(steps) < 2:
        return math.inf
    before, last = steps[-2:]
    finer = last.size_mm / before.size_mm
    return abs(last.first_hz - before.first_hz) * finer / (1 - finer)


def mesh_error(steps: Sequence[MeshStep]) -> float:
    """By how much the last of the first frequencies may be too high, Hz; inf for one mesh alone.

    What is left by the series, and never under LEAST_ERROR of the frequency, which is not computed: the meshes differ
    in more than their size (elements round holes, bends and rings come in whole numbers), so that two may agree by
    chance, and the rate seen over two refinements foretells nothing either. Seen on random brackets at 2, 4/3, 1 and
    0.6 of the size: 296.39, 295.14, 294.76, then 292.20 Hz; 395.61, 390.84, 390.28, then 387.48 Hz.
    """
    if len(steps) < 2:
        return math.inf
    return max(left(steps), LEAST_ERROR * steps[-1].first_hz)


def settled(steps: Sequence[MeshStep]) -> bool:
    """Whether the frequency stands still."""
    return left(steps) < LEFT * steps[-1].first_hz


def next_size(steps: Sequence[MeshStep]) -> float | None:
    """The size of the mesh to follow, over the second's; None when it is over."""
    if len(steps) < 2:
        return SIZES[len(steps)]
    if settled(steps) or len(steps) >= len(SIZES):
        return None
    finer = SIZES[len(steps)] / SIZES[len(steps) - 1]
    return None if steps[-1].unknowns / finer**2 > MOST_UNKNOWNS else SIZES[len(steps)]


def refined(result: StiffnessResult, before: Sequence[MeshStep]) -> StiffnessResult:
    """The answer of a mesh with what the coarser ones before it say of its error."""
    if not before:
        return result
    steps = (*before, *result.meshes)
    return replace(
        result,
        meshes=steps,
        converged=settled(steps),
        error_hz=rounded(mesh_error(steps), 2),
        stress_error_mpa=rounded(abs(steps[-1].stress_mpa - steps[-2].stress_mpa), 2),
    )
