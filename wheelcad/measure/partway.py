"""A wheel part way through: some slots are cut, the rest of the rim is still whole.

Slots lie one pitch apart but over the stretch that is not cut yet, the widest. Where the pattern is not named, the
pitch is told from the slots' mean spacing, and only where no other count of positions would do as well.
"""

from __future__ import annotations

import math

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.measure.pattern import MOST, NEAR, WIDEST_GAP, steps_round
from wheelcad.trade.frames import wrap_360

WIDEST_PITCHES = 5.5  # between neighbouring slots of a wheel nobody has named: wider gaps are in no use
LEAST_METAL = 2.5  # pitches of metal without a slot that are no tooth
FEWEST = 6  # slots, below which nothing is told from chance
SURE_SHARE = 0.25  # of what one position more or less would change, how far the mean spacing may be off


def is_part_cut(slots_deg: Floats, missing: int | None = None) -> bool:
    """Whether slot centres leave so much of the circle open that no gap of teeth could be it.

    missing: teeth that are to be left out, where that is known: two pitches more are more than that gap.
    """
    if len(slots_deg) < FEWEST:
        return False
    steps = steps_round(np.sort(wrap_360(slots_deg)))
    gap = max(missing, 1) + 1.5 if missing is not None else WIDEST_PITCHES
    return float(steps.max()) > min(360.0 * WIDEST_GAP, gap * float(np.median(steps)))


def positions(slots_deg: Floats, teeth: int | None = None) -> int | None:
    """How many positions the wheel is to have, from slots that are cut in a row; None where they do not tell.

    teeth: what was wanted, where it is known, which the spacing must bear out.
    """
    steps = np.sort(steps_round(np.sort(wrap_360(slots_deg))))[:-1]
    if len(steps) < FEWEST - 1:
        return None
    usual = float(np.median(steps))
    if usual <= 0 or float(np.abs(steps / usual - 1.0).max()) > 2 * NEAR:
        return None
    guess = teeth if teeth is not None else round(360.0 / float(np.mean(steps)))
    if not 3 <= guess <= MOST:
        return None
    off = abs(usual - 360.0 / guess)
    if teeth is not None:
        return teeth if off < NEAR * usual else None
    # one step more or less over the whole row: what the mean could be off by, were the scatter all of one sign
    scatter = 1.4826 * float(np.median(np.abs(steps - usual)))
    apart = 360.0 / guess - 360.0 / (guess + 1)
    spread = max(abs(float(np.mean(steps)) - 360.0 / guess), 3 * scatter / math.sqrt(len(steps)))
    return guess if spread < SURE_SHARE * apart else None


def part_voids(edges_deg: Floats) -> Floats | None:
    """(n, 2) the slots, from and to, of a wheel part way through whose metal has edges (t, 2) round the circle; None
    where it is none. The metal that is not cut yet counts as one very wide tooth."""
    widths = np.mod(edges_deg[:, 1] - edges_deg[:, 0], 360.0)
    edges = edges_deg[np.argsort(wrap_360(edges_deg[:, 0]), kind="stable")]
    voids = np.column_stack([edges[:, 1], np.roll(edges[:, 0], -1)])
    across = np.mod(voids[:, 1] - voids[:, 0], 360.0)
    centres = wrap_360(voids[:, 0] + across / 2)
    # metal, where a gap would be a void: however wide, it is what is not cut yet
    pitch = float(np.median(steps_round(np.sort(centres))))
    if len(edges) < FEWEST or float(widths.max()) < LEAST_METAL * pitch:
        return None
    usual = float(np.median(across))
    if float(np.abs(across / usual - 1.0).max()) > 2 * NEAR or positions(centres) is None:
        return None
    return np.asarray(np.column_stack([voids[:, 0], voids[:, 0] + across]))
