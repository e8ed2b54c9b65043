"""Plans with through holes: the equal pair at ±δ about the heavy line, the unequal pair, and several pairs.

Two equal holes at ±δ take out 2·u·cos δ: the angle trims the amount exactly, and a rotary table sets angles far better
than a drilling machine sets depths. A thick drill set wide errs less than a thin one on the line: what it cuts over
size is a smaller share. So proposals are ranked by the 95 % figure of what their errors leave.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Bools, Floats
from wheelcad.parts.balance.candidates import WIDEST_HALF_DEG, Cells, HoleSearch, Picked, Plan, made
from wheelcad.parts.balance.metal import blocked_angles, free_at, is_free
from wheelcad.parts.balance.spread import likely

TRIED = 600  # proposals looked at in one search, best first
MOVED_OUT = 150  # cells tried with their pairs moved outwards past bolts
MOST_PAIRS = 6
FEW_CELLS = 240  # cells an unequal pair is searched among


@dataclass(frozen=True)
class HoleProposals:
    """Holes that would do it, of one kind. figure: (n,) g·mm, about the 95 % figure of each; good: (n,) which of them
    can be; wanted: the holes of one, None when bolts leave no room for them after all; in_the_open: g·mm, the least
    figure were there no bolts, infinite without any."""

    kind: str
    figure: Floats
    good: Bools
    wanted: Callable[[int], list[Picked] | None]
    in_the_open: float = math.inf


def plans(sought: HoleSearch, proposed: Iterable[HoleProposals]) -> Iterator[Plan]:
    """The proposals that hold once they are put on the shop's marks, the best figure first (equal ones in order)."""
    kinds = list(proposed)
    places = [(n, int(i)) for n, kind in enumerate(kinds) for i in np.flatnonzero(kind.good)]
    figures = np.array([kinds[n].figure[i] for n, i in places])
    for place in np.argsort(np.round(figures, 6), kind="stable")[:TRIED].tolist():
        n, i = places[place]
        wanted = kinds[n].wanted(i)
        plan = made(sought, kinds[n].kind, wanted) if wanted is not None else None
        if plan is not None:
            yield plan


def in_plane(sought: HoleSearch, z: Floats, relaxed: bool) -> Bools:
    """Cells whose metal lies near enough to the unbalance's plane; all of them when that does not matter."""
    if relaxed or sought.couple_limit is None:
        return np.ones(z.shape, dtype=bool)
    return np.asarray(np.abs(z - sought.plane_mm) * sought.amount <= sought.couple_limit)


def paired(sought: HoleSearch, cells: Cells, one: Floats, half: Floats, depth: Floats) -> tuple[Floats, Bools]:
    """(n,) figures of equal pairs at ±half degrees, and where bolts leave them room."""
    at = cells.seats
    radius, size = (np.stack([value, value], axis=1) for value in (at.radius, at.diameter))
    off = np.stack([half, -half], axis=1)
    figure = likely(sought.doubtful, np.stack([one, one], axis=1), off, radius, size, np.stack([depth, depth], axis=1))
    return figure, np.asarray(free_at(sought.metal, radius, size, sought.at_deg + off).all(axis=1))


def equal_pairs(sought: HoleSearch, relaxed: bool) -> Iterator[HoleProposals]:
    """Through pairs at ±δ."""
    for cells in sought.grids:
        one = cells.taken_through
        share = sought.amount / (2 * one)
        half = np.degrees(np.arccos(np.minimum(share, 1.0)))
        good = cells.through & (half >= cells.least_half) & (half <= WIDEST_HALF_DEG)
        good &= in_plane(sought, cells.through_z(), relaxed)
        figure, free = paired(sought, cells, one, half, np.full(one.shape, math.inf))
        yield HoleProposals(
            "through-pair", figure, good & free, _pair(cells, half), float(figure[good].min(initial=math.inf))
        )


def _pair(cells: Cells, half: Floats) -> Callable[[int], list[Picked]]:
    return lambda i: _both(cells, i, float(half[i]))


def unequal_pairs(sought: HoleSearch, relaxed: bool) -> Iterator[HoleProposals]:
    """Two different through holes, one each side of the heavy line, where bolts leave no room for equal ones.

    The two and the unbalance make a triangle: its angles are theirs to the heavy line (law of cosines).
    """
    for cells in sought.grids:
        good = np.flatnonzero(cells.through & in_plane(sought, cells.through_z(), relaxed))
        some = (
            good[np.unique(np.linspace(0, len(good) - 1, min(FEW_CELLS, len(good))).astype(int))] if len(good) else good
        )
        first, second = (grid.ravel() for grid in np.meshgrid(some, some, indexing="ij"))
        u, v = cells.taken_through[first], cells.taken_through[second]
        whole = sought.amount
        with np.errstate(invalid="ignore"):
            a = np.degrees(np.arccos((whole**2 + u**2 - v**2) / (2 * whole * u)))
            b = np.degrees(np.arccos((whole**2 + v**2 - u**2) / (2 * whole * v)))
        widest = np.maximum(a, b)
        fits = np.isfinite(widest) & (widest <= WIDEST_HALF_DEG) & (first != second)
        first, second, u, v, a, b = (values[fits] for values in (first, second, u, v, a, b))
        at, off = cells.seats, np.stack([a, -b], axis=1)
        radius, size = (np.stack([of[first], of[second]], axis=1) for of in (at.radius, at.diameter))
        one = np.stack([u, v], axis=1)
        figure = likely(sought.doubtful, one, off, radius, size, np.full(off.shape, math.inf))
        free = np.asarray(free_at(sought.metal, radius, size, sought.at_deg + off).all(axis=1))
        yield HoleProposals("unequal-pair", figure, free, _unequal(cells, first, second, a, b))


def _unequal(cells: Cells, first: Floats, second: Floats, a: Floats, b: Floats) -> Callable[[int], list[Picked]]:
    return lambda i: [Picked(cells, int(first[i]), float(a[i])), Picked(cells, int(second[i]), -float(b[i]))]


def several_pairs(sought: HoleSearch, pairs: int, relaxed: bool) -> Iterator[HoleProposals]:
    """`pairs` equal through pairs side by side; the outermost is set wide enough to trim the amount."""
    for cells in sought.grids:
        one, step = cells.taken_through, _apart_deg(sought, cells)
        inner = sum((2 * one * np.cos(np.radians((k + 0.5) * step)) for k in range(pairs - 1)), np.zeros(one.shape))
        share = (sought.amount - inner) / (2 * one)
        usable = cells.through & in_plane(sought, cells.through_z(), relaxed)
        half = np.degrees(np.arccos(np.clip(share, 0.0, 1.0)))
        good = usable & (half >= (pairs - 0.5) * step) & (half <= WIDEST_HALF_DEG)
        # where bolts are in the way the pairs move outwards, so cells with a little to spare are worth trying as well
        near = usable & ~good & (share <= 1)
        halves = np.stack([*((k + 0.5) * step for k in range(pairs - 1)), half], axis=1)
        off = np.concatenate([halves, -halves], axis=1)
        each = [np.repeat(of[:, None], 2 * pairs, axis=1) for of in (one, cells.seats.radius, cells.seats.diameter)]
        figure = likely(sought.doubtful, each[0], off, each[1], each[2], np.full(off.shape, math.inf))
        kept = np.flatnonzero(near)[np.argsort(figure[near], kind="stable")][:MOVED_OUT]
        good[kept] = True
        figure = np.where(near, figure + float(figure[good].max(initial=0.0)), figure)  # after those that fit at once
        yield HoleProposals("through-pairs", figure, good, _side_by_side(sought, cells, pairs))


def _apart_deg(sought: HoleSearch, cells: Cells) -> Floats:
    """Angle between neighbours that keep their wall though either may be set to the next mark."""
    return 2 * (cells.least_half + sought.marks.dial_step_deg)


def _side_by_side(sought: HoleSearch, cells: Cells, pairs: int) -> Callable[[int], list[Picked] | None]:
    def wanted(i: int) -> list[Picked] | None:
        halves = _clear_of_bolts(sought, cells, i, pairs)
        return None if halves is None else [want for half in halves for want in _both(cells, i, half)]

    return wanted


def _clear_of_bolts(sought: HoleSearch, cells: Cells, i: int, pairs: int) -> list[float] | None:
    """Half angles of the pairs of cell i: the inner ones as near the heavy line as bolts allow, the last trims."""
    one, step = float(cells.taken_through[i]), float(_apart_deg(sought, cells)[i])
    blocked = list(blocked_angles(sought.metal, float(cells.seats.radius[i]), float(cells.seats.diameter[i])))

    def free(half: float) -> bool:
        return is_free(blocked, sought.at_deg + half) and is_free(blocked, sought.at_deg - half)

    halves: list[float] = []
    half, left = step / 2, sought.amount
    while len(halves) < pairs - 1:
        if half > WIDEST_HALF_DEG:
            return None
        if free(half):
            halves.append(half)
            left -= 2 * one * math.cos(math.radians(half))
            half += step
        else:
            half += 0.5
    share = left / (2 * one)
    if not 0 < share <= 1:
        return None
    last = math.degrees(math.acos(share))
    if last > WIDEST_HALF_DEG or (halves and last < halves[-1] + step - 1e-9) or not free(last):
        return None
    return [*halves, last]


def _both(cells: Cells, i: int, half: float) -> list[Picked]:
    return [Picked(cells, int(i), half), Picked(cells, int(i), -half)]
