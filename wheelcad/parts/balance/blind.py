"""Plans with blind holes, for where through pairs cannot be drilled or err more: one on the heavy line, a pair, or two
planes.

Depths are full-diameter depths on the quill's marks; the 118° point goes deeper and is counted. With a pair the angle
trims what the rounding of the depth leaves.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from wheelcad.arrays import Bools, Floats, Ints
from wheelcad.parts.balance.candidates import WIDEST_HALF_DEG, Cells, HoleSearch, Picked, Plan, made
from wheelcad.parts.balance.metal import free_at
from wheelcad.parts.balance.spread import likely
from wheelcad.parts.balance.through import TRIED, HoleProposals, in_plane, paired

SHALLOWEST = 0.5  # diameters of full depth, below which it is a dimple and its depth a guess
DEEP = 4.0  # diameters of full depth, above which a blind hole is deeper than it need be
ROUNDS = 30  # of the fixed-point iteration between depth and plane
HALVES_DEG = (0.0, 15.0, 25.0, 35.0, 45.0, 55.0, 65.0, 72.0)  # least half angles that depths of a pair are reckoned for


def single_blind(sought: HoleSearch, relaxed: bool) -> Iterator[HoleProposals]:
    """One blind hole on the heavy line; the rounding of its depth leaves something."""
    for cells in sought.grids:
        depth = sought.marks.depth_near(_depth_for(cells, np.full(cells.one.shape, sought.amount)))
        good = _drillable(cells, depth) & in_plane(sought, cells.blind_z(depth), relaxed)
        taken = cells.taken_blind(depth)
        good &= np.abs(taken - sought.amount) <= sought.at_worst
        at = cells.seats
        good &= free_at(sought.metal, at.radius, at.diameter, np.full(at.radius.shape, sought.at_deg))
        deep = np.maximum(depth + at.point / 3, 1e-3)
        arrays = (value[:, None] for value in (taken, taken * 0, at.radius, at.diameter, deep))
        figure = likely(sought.doubtful, *arrays) + np.abs(taken - sought.amount)
        yield HoleProposals("blind-hole", figure, good, _alone(cells, depth))


def _alone(cells: Cells, depth: Floats) -> Callable[[int], list[Picked]]:
    return lambda i: [Picked(cells, i, 0.0, float(depth[i]))]


def blind_pairs(sought: HoleSearch, relaxed: bool) -> Iterator[HoleProposals]:
    """Two equal blind holes at ±δ, shallow ones near the line and deeper ones farther apart; the angle trims."""
    for cells in sought.grids:
        for least in HALVES_DEG:
            depth, half, good = _paired(sought, cells, np.full(cells.one.shape, sought.amount), least)
            good &= in_plane(sought, cells.blind_z(depth), relaxed)
            deep = np.maximum(depth + cells.seats.point / 3, 1e-3)
            figure, free = paired(sought, cells, cells.taken_blind(depth), half, deep)
            yield HoleProposals("blind-pair", figure, good & free, _pair(cells, half, depth))


def _pair(cells: Cells, half: Floats, depth: Floats) -> Callable[[int], list[Picked]]:
    return lambda i: [Picked(cells, i, sign * float(half[i]), float(depth[i])) for sign in (1.0, -1.0)]


def two_planes(sought: HoleSearch) -> Iterator[Plan]:
    """Blind pairs in both faces, shared out by the lever rule so that neither sum nor couple is left."""
    if len(sought.grids) < 2:
        return
    front, back = sorted(sought.grids, key=lambda cells: cells.seats.from_back)
    a, b = _same_places(front, back)
    if len(a) == 0:
        return
    front, back = _subset(front, a), _subset(back, b)
    deep, shallow = np.full(len(a), 5.0), np.full(len(a), 5.0)
    for _ in range(ROUNDS):
        z1, z2 = front.blind_z(deep), back.blind_z(shallow)
        # holes that can be drilled lie farther apart: a floor is left below each of them
        second = (z1 - sought.plane_mm) / np.maximum(z1 - z2, 1.0)
        deep, half1, good1 = _paired(sought, front, sought.amount * (1 - second))
        shallow, half2, good2 = _paired(sought, back, sought.amount * second)
    found = np.flatnonzero(good1 & good2)
    widest = np.round(np.maximum(half1, half2)[found], 6)
    for i in found[np.argsort(widest, kind="stable")][:TRIED].tolist():
        wants = [Picked(front, i, sign * float(half1[i]), float(deep[i])) for sign in (1.0, -1.0)]
        wants += [Picked(back, i, sign * float(half2[i]), float(shallow[i])) for sign in (1.0, -1.0)]
        plan = made(sought, "two-planes", wants)
        if plan is not None and (sought.couple_limit is None or plan.couple <= sought.couple_limit):
            yield plan


def _depth_for(cells: Cells, amount: Floats) -> Floats:
    return amount / cells.one - cells.seats.point / 3


def _drillable(cells: Cells, depth: Floats) -> Bools:
    deepest = np.minimum(cells.deepest, DEEP * cells.seats.diameter)
    return np.asarray((depth >= SHALLOWEST * cells.seats.diameter) & (depth <= deepest + 1e-9))


def _paired(sought: HoleSearch, cells: Cells, amount: Floats, least_deg: float = 0.0) -> tuple[Floats, Floats, Bools]:
    """Depth and half angle of two equal holes that take out `amount`, and which cells can have them.

    least_deg: half angle that they are set at or beyond, by the rounding of the depth.
    """
    least = np.radians(np.maximum(cells.least_half + sought.marks.dial_step_deg, least_deg))
    depth = sought.marks.depth_up(_depth_for(cells, amount / (2 * np.cos(least))))
    depth = np.maximum(depth, sought.marks.depth_up(SHALLOWEST * cells.seats.diameter))
    share = amount / (2 * cells.taken_blind(depth))
    half = np.degrees(np.arccos(np.clip(share, 0.0, 1.0)))
    return depth, half, _drillable(cells, depth) & (half >= cells.least_half) & (half <= WIDEST_HALF_DEG)


def _same_places(front: Cells, back: Cells) -> tuple[Ints, Ints]:
    """Indexes of cells of the two faces with the same drill and radius."""

    def names(cells: Cells) -> list[tuple[int, float]]:
        return list(zip(cells.drill.tolist(), cells.seats.radius.tolist(), strict=True))

    here = {name: i for i, name in enumerate(names(back))}
    shared = [(i, here[name]) for i, name in enumerate(names(front)) if name in here]
    return np.array([i for i, _ in shared], dtype=int), np.array([j for _, j in shared], dtype=int)


def _subset(cells: Cells, which: Ints) -> Cells:
    arrays = {name: value[which] for name, value in vars(cells).items() if name != "seats"}
    return replace(cells, seats=cells.seats.only(which), **arrays)
