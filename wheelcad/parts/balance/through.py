"""Plans with through holes: the equal pair at ±δ about the heavy line, the unequal pair, and several pairs.

Two equal holes at ±δ take out 2·u·cos δ: the angle trims the amount exactly, and a rotary table sets angles far better
than a drilling machine sets depths. The smallest δ wastes least metal and forgives most.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from wheelcad.parts.balance.candidates import WIDEST_HALF_DEG, Cells, HoleSearch, Plan, Wanted, made
from wheelcad.parts.balance.metal import blocked_angles, is_free
from wheelcad.trade.loop import Floats

TRIED = 600  # proposals looked at in one search, best first
MOVED_OUT = 150  # cells tried with their pairs moved outwards past bolts
MOST_PAIRS = 6
FEW_CELLS = 240  # cells an unequal pair is searched among


def in_plane(sought: HoleSearch, z: Floats, relaxed: bool) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Cells whose metal lies near enough to the unbalance's plane; all of them when that does not matter."""
    if relaxed or sought.couple_limit is None:
        return np.ones(z.shape, dtype=bool)
    return np.asarray(np.abs(z - sought.plane_mm) * sought.amount <= sought.couple_limit)


def equal_pairs(sought: HoleSearch, relaxed: bool) -> Iterator[Plan]:
    """Through pairs at ±δ, smallest δ first."""
    for cells in sought.grids:
        one = cells.taken_through
        share = sought.amount / (2 * one)
        half = np.degrees(np.arccos(np.minimum(share, 1.0)))
        good = cells.through & (share <= 1) & (half >= cells.least_half) & (half <= WIDEST_HALF_DEG)
        good &= in_plane(sought, cells.through_z(), relaxed)
        for i in best_first(half, good):
            yield from if_made(sought, "through-pair", _both(cells, i, float(half[i])))


def unequal_pairs(sought: HoleSearch, relaxed: bool) -> Iterator[Plan]:
    """Two different through holes, one each side of the heavy line, where bolts leave no room for equal ones.

    The two and the unbalance make a triangle: its angles are theirs to the heavy line (law of cosines).
    """
    for cells in sought.grids:
        good = np.flatnonzero(cells.through & in_plane(sought, cells.through_z(), relaxed))
        some = (
            good[np.unique(np.linspace(0, len(good) - 1, min(FEW_CELLS, len(good))).astype(int))] if len(good) else good
        )
        one = cells.taken_through[some]
        u, v = np.meshgrid(one, one, indexing="ij")
        whole = sought.amount
        with np.errstate(invalid="ignore"):
            a = np.degrees(np.arccos((whole**2 + u**2 - v**2) / (2 * whole * u)))
            b = np.degrees(np.arccos((whole**2 + v**2 - u**2) / (2 * whole * v)))
        widest = np.maximum(a, b)
        fits = np.isfinite(widest) & (widest <= WIDEST_HALF_DEG) & ~np.eye(len(some), dtype=bool)
        for flat in best_first(widest.ravel(), fits.ravel()):
            i, j = divmod(int(flat), len(some))
            first = Wanted(cells, int(some[i]), float(a[i, j]))
            second = Wanted(cells, int(some[j]), -float(b[i, j]))
            yield from if_made(sought, "unequal-pair", [first, second])


def several_pairs(sought: HoleSearch, pairs: int, relaxed: bool) -> Iterator[Plan]:
    """`pairs` equal through pairs side by side; the outermost is set wide enough to trim the amount."""
    for cells in sought.grids:
        one, step = cells.taken_through, 2 * cells.least_half
        inner = sum((2 * one * np.cos(np.radians((k + 0.5) * step)) for k in range(pairs - 1)), np.zeros(one.shape))
        share = (sought.amount - inner) / (2 * one)
        good = cells.through & (share > 0) & (share <= 1) & in_plane(sought, cells.through_z(), relaxed)
        half = np.degrees(np.arccos(np.clip(share, 0.0, 1.0)))
        good &= (half >= (pairs - 0.5) * step) & (half <= WIDEST_HALF_DEG)
        # where bolts are in the way the pairs move outwards, so cells with a little to spare are worth trying as well
        near = cells.through & ~good & (share <= 1) & (pairs * 2 * one > sought.amount)
        near &= in_plane(sought, cells.through_z(), relaxed)
        for i in [*best_first(half, good), *best_first(cells.seats.diameter, near)[:MOVED_OUT]]:
            halves = _clear_of_bolts(sought, cells, int(i), pairs)
            if halves is not None:
                wanted = [want for half_deg in halves for want in _both(cells, int(i), half_deg)]
                yield from if_made(sought, "through-pairs", wanted)


def _clear_of_bolts(sought: HoleSearch, cells: Cells, i: int, pairs: int) -> list[float] | None:
    """Half angles of the pairs of cell i: the inner ones as near the heavy line as bolts allow, the last trims."""
    one, step = float(cells.taken_through[i]), 2 * float(cells.least_half[i])
    blocked = blocked_angles(sought.metal, float(cells.seats.radius[i]), float(cells.seats.diameter[i]))

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


def _both(cells: Cells, i: int, half: float) -> list[Wanted]:
    return [Wanted(cells, int(i), half), Wanted(cells, int(i), -half)]


def best_first(key: Floats, good: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]) -> list[int]:
    """Indexes of the good ones by rising key (equal ones in their own order), as many as are worth trying."""
    found = np.flatnonzero(good)
    order = np.argsort(np.round(key[found], 6), kind="stable")
    return [int(i) for i in found[order][:TRIED]]


def if_made(sought: HoleSearch, kind: str, wanted: list[Wanted]) -> Iterator[Plan]:
    """The plan, when bolts leave the place free (looked at before the dear rounding) and every wall holds."""
    for want in wanted:
        at = want.cells.seats
        blocked = blocked_angles(sought.metal, float(at.radius[want.cell]), float(at.diameter[want.cell]))
        if not is_free(blocked, sought.at_deg + want.off_deg):
            return
    plan = made(sought, kind, wanted)
    if plan is not None:
        yield plan
