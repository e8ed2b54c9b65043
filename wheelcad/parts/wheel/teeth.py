"""Where teeth, slots and gaps lie round the wheel.

Pitch = 360 / teeth. With m missing teeth the gap is centred on its angle and tooth centres lie at
gap_at + pitch·(k - (m-1)/2), k = 0 … teeth-1, the first m of them missing. Slots lie half a pitch from tooth
centres; those between two missing teeth are swallowed by the gap. Degrees from the TDC line, positive the way the
crank turns.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.trade.frames import wrap_360

ON_GRID = 1e-6  # degrees: how far a further gap may be from the tooth grid and still be on it


@dataclass(frozen=True)
class ToothGap:
    """Teeth left out: at_deg is the middle of the gap, missing how many."""

    at_deg: float
    missing: int


@dataclass(frozen=True)
class Teeth:
    """The pattern. slot_centres_deg: (n,) rising from the first gap on; tooth_centres_deg: (t,) in the same order.

    gap_after: indexes of the slots a gap follows. Arrays are in degrees; slot_centres_deg are wrapped into 0…360.
    slot_places and tooth_places: the same from the first gap's middle in half pitches: whole, so that angles are exact.
    """

    count: int
    gaps: tuple[ToothGap, ...]
    slot_centres_deg: Floats
    tooth_centres_deg: Floats
    gap_after: frozenset[int]
    slot_places: tuple[int, ...]
    tooth_places: tuple[int, ...]

    @property
    def slots_exact(self) -> tuple[Fraction, ...]:
        """Slot centres from the first gap's middle, exactly: degrees, 0 ≤ a < 360, in the order of slot_centres_deg."""
        return tuple(self._exact(place) for place in self.slot_places)

    @property
    def teeth_exact(self) -> tuple[Fraction, ...]:
        """Tooth centres likewise, in the order of tooth_centres_deg."""
        return tuple(self._exact(place) for place in self.tooth_places)

    def _exact(self, place: int) -> Fraction:
        return Fraction(180 * (place % (2 * self.count)), self.count)

    @property
    def pitch_deg(self) -> float:
        """Degrees from tooth to tooth."""
        return 360.0 / self.count

    @property
    def missing(self) -> int:
        """Teeth left out in all gaps together."""
        return sum(gap.missing for gap in self.gaps)


def grid_step(gap: ToothGap, first: ToothGap, pitch_deg: float) -> float:
    """How many pitches the gap's first missing tooth lies after the first gap's; whole when it is on the tooth grid."""
    start = gap.at_deg - pitch_deg * (gap.missing - 1) / 2
    origin = first.at_deg - pitch_deg * (first.missing - 1) / 2
    return (start - origin) / pitch_deg


def lay_out(count: int, gaps: tuple[ToothGap, ...]) -> Teeth:
    """The pattern of `count` positions with these gaps, the first of which fixes the grid.

    A single gap of 0 missing teeth gives a full wheel with its first slot at the gap's angle. ValueError when a gap
    is off the grid, overlaps another, or no tooth is left.
    """
    pitch = 360.0 / count
    first = gaps[0]
    present = np.ones(count, dtype=bool)
    for gap in gaps:
        step = grid_step(gap, first, pitch)
        if gap.missing and abs(step - round(step)) * pitch > ON_GRID:
            raise ValueError("a gap is off the tooth grid")
        where = (round(step) + np.arange(gap.missing)) % count
        if not present[where].all() or gap.missing > count:
            raise ValueError("gaps overlap")
        present[where] = False
    if not present.any():
        raise ValueError("no tooth is left")
    # Slot k lies between tooth k - 1 and tooth k; counted from the slot that ends the first gap.
    order = (first.missing + np.arange(count)) % count
    kept = [int(k) for k in order if present[k] or present[(k - 1) % count]]
    origin = first.at_deg - pitch * (first.missing - 1) / 2
    teeth = [k for k in kept if present[k]]
    return Teeth(
        count,
        gaps,
        wrap_360(origin + pitch * (np.array(kept) - 0.5)),
        wrap_360(np.array([origin + pitch * k for k in teeth])),
        frozenset(i for i, k in enumerate(kept) if not present[k]),
        tuple(2 * k - first.missing for k in kept),
        tuple(2 * k + 1 - first.missing for k in teeth),
    )
