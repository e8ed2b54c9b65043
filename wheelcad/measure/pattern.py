"""Which pattern a ring of teeth or slots is: how many positions, and where teeth are missing.

The steps from one tooth (or slot) to the next, in degrees all the way round, are whole numbers of pitches but for their
errors. The number of positions is the one whose pitch makes all steps nearly whole and their sum exactly a turn.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats, Ints

FEWEST, MOST = 4, 720  # teeth that are told from chance; positions as in a job file
NEAR = 0.2  # of a pitch: the median step may be this far from a whole number
WIDEST_GAP = 0.4  # of the circle


@dataclass(frozen=True, eq=False)
class Pattern:
    """teeth: positions, missing ones counted. units: (n,) pitches in each step. miss: median departure in pitches."""

    teeth: int
    units: Ints
    miss: float

    @property
    def pitch_deg(self) -> float:
        """Degrees from position to position."""
        return 360.0 / self.teeth


def steps_round(centres_deg: Floats) -> Floats:
    """(n,) degrees from each of the rising centres to the next, the last one back to the first; they add up to 360."""
    return np.mod(np.roll(centres_deg, -1) - centres_deg, 360.0)


def find_pattern(steps_deg: Floats) -> Pattern | None:
    """The pattern of steps (n,) that add up to 360; None when they fit no even spacing.

    Candidates are the counts near 360 over the median step, since most steps are one pitch. Of those whose steps,
    rounded to whole pitches, add up to the count, the one with the least mean departure wins.
    """
    n = len(steps_deg)
    if n < FEWEST or steps_deg.max() > 360.0 * WIDEST_GAP:
        return None
    usual = float(np.median(steps_deg))
    if usual < 360.0 / (2 * MOST):
        return None
    guess = 360.0 / usual
    best: tuple[float, Pattern] | None = None
    for teeth in range(max(n, int(guess * 0.85)), min(MOST, int(guess * 1.15) + 2) + 1):
        share = steps_deg * teeth / 360.0
        units = np.maximum(np.round(share), 1).astype(np.int64)
        if int(units.sum()) != teeth:
            continue
        off = np.abs(share - units)
        score = float(off.mean())
        if best is None or score < best[0] - 1e-12:
            best = (score, Pattern(teeth, units, float(np.median(off))))
    if best is None or best[1].miss > NEAR:
        return None
    return best[1]
