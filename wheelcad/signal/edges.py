"""The teeth as arrays of edges: the one thing everything in this folder reads, whether measured or designed.

Wheel angles are degrees from the TDC line, positive the way the crank turns; lengths mm. Teeth pass the sensor in the
order of FALLING wheel angle: a point at wheel angle p passes a sensor at s when the crank has turned (s - p) mod 360
past TDC of cylinder 1. So the edge a sensor meets first (leading) is a tooth's `to`, the one it meets last its `from`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np

from wheelcad.arrays import Floats, Ints
from wheelcad.trade.frames import wrap_180, wrap_360

On = Literal["leading", "trailing", "centre"]


@dataclass(frozen=True, eq=False)
class Edges:
    """The metal teeth of one wheel, where the sensor looks.

    teeth: positions round the wheel, missing ones counted. missing: how many are left out in each gap. from_deg,
    to_deg: (n,) edges of the teeth that are there, ascending by centre; to = from + width, not wrapped. radius_mm:
    where they were measured. slot_depth_mm, slot_width_mm: of the slots. rim_radius_mm: over the teeth. source:
    "files" for edges measured in written files, "design" for the job's own numbers. ValueError for lengths that
    differ, no tooth, or a tooth of no width.
    """

    teeth: int
    missing: tuple[int, ...]
    from_deg: Floats
    to_deg: Floats
    radius_mm: float
    slot_depth_mm: float
    slot_width_mm: float
    rim_radius_mm: float
    source: Literal["files", "design"] = "design"

    def __post_init__(self) -> None:
        if len(self.from_deg) != len(self.to_deg) or len(self.from_deg) < 2:
            raise ValueError("a wheel has at least two teeth, each with two edges")
        if not (np.asarray(self.to_deg) > np.asarray(self.from_deg)).all():
            raise ValueError("a tooth's second edge lies beyond its first: to = from + width")

    @property
    def count(self) -> int:
        """How many teeth are there."""
        return len(self.from_deg)

    @property
    def centres_deg(self) -> Floats:
        """(n,) middles of the teeth, ascending."""
        return (self.from_deg + self.to_deg) / 2

    @property
    def widths_deg(self) -> Floats:
        """(n,) widths of the teeth."""
        return self.to_deg - self.from_deg

    @property
    def pitch_deg(self) -> float:
        """Degrees from position to position."""
        return 360.0 / self.teeth

    @property
    def mm_per_deg(self) -> float:
        """Length along the row of teeth of one degree, where the sensor looks."""
        return float(np.radians(self.radius_mm))


class GapSeen(NamedTuple):
    """A gap: its middle (wheel angle, 0 ≤ a < 360) and how many teeth are left out in it."""

    at_deg: float
    missing: int


@dataclass(frozen=True, eq=False)
class Passing:
    """One turn of a wheel past a sensor, beginning with tooth 1, the first after the (first) gap.

    crank_deg: (n,) ascending, degrees of crank past TDC of cylinder 1 at which each tooth's edge (or centre) passes;
    the first in 0 ≤ a < 360, the rest not wrapped. steps: (n,) whole pitches from the edge before, so steps[0] is the
    gap's missing + 1. nominal_deg: (n,) the same edges where the controller believes them: on the grid, from the first.
    """

    crank_deg: Floats
    steps: Ints
    nominal_deg: Floats

    @property
    def pitch_deg(self) -> float:
        """Degrees of crank to a whole pitch."""
        return 360.0 / float(self.steps.sum())

    def turns(self, count: int = 2) -> Passing:
        """The same passing, `count` turns long."""
        on = 360.0 * np.repeat(np.arange(count), len(self.crank_deg))
        return Passing(
            np.tile(self.crank_deg, count) + on, np.tile(self.steps, count), np.tile(self.nominal_deg, count) + on
        )


def steps_between(centres_deg: Floats, teeth: int, missing: tuple[int, ...]) -> Ints:
    """(…, n) whole pitches from each tooth to the next above it (the last to the first), as the pattern means them.

    centres_deg: (…, n) ascending. Where as many teeth are there as the pattern has, the widest steps are its gaps, the
    widest the one with most missing; where not, each step is rounded to whole pitches.
    """
    gap = np.mod(np.roll(centres_deg, -1, axis=-1) - centres_deg, 360.0)
    if centres_deg.shape[-1] != teeth - sum(missing):
        return np.maximum(np.rint(gap * teeth / 360.0), 1).astype(np.int64)
    steps = np.ones(gap.shape, dtype=np.int64)
    most = sorted((m for m in missing if m), reverse=True)
    if most:
        widest = np.argsort(-gap, axis=-1, kind="stable")[..., : len(most)]
        np.put_along_axis(steps, widest, np.broadcast_to(np.array(most) + 1, widest.shape), axis=-1)
    return steps


def gaps_in(edges: Edges) -> tuple[GapSeen, ...]:
    """The gaps by rising angle of their middles; () for a wheel without one."""
    centres = edges.centres_deg
    steps = steps_between(centres, edges.teeth, edges.missing)
    width = np.mod(np.roll(centres, -1) - centres, 360.0)
    at = wrap_360(centres + width / 2)
    found = [GapSeen(float(at[k]), int(steps[k]) - 1) for k in np.flatnonzero(steps > 1)]
    return tuple(sorted(found))


def first_gap(edges: Edges, near_deg: float | None = None) -> GapSeen | None:
    """The gap that counting starts from: the one nearest `near_deg`, or the widest (of equals the lowest angle)."""
    gaps = gaps_in(edges)
    if not gaps:
        return None
    if near_deg is not None:
        return min(gaps, key=lambda gap: abs(float(wrap_180(gap.at_deg - near_deg))))
    return min(gaps, key=lambda gap: (-gap.missing, gap.at_deg))


def passing(edges: Edges, sensor_deg: float, on: On, near_deg: float | None = None) -> Passing:
    """How the wheel's edges (`on`: leading, trailing or centre of each tooth) pass a sensor at `sensor_deg`.

    near_deg: about where the gap lies that counting starts from, for a wheel with several (see `first_gap`). A wheel
    without a gap starts with the first tooth to pass after TDC.
    """
    feature = {"leading": edges.to_deg, "trailing": edges.from_deg, "centre": edges.centres_deg}[on]
    steps = steps_between(edges.centres_deg, edges.teeth, edges.missing)
    gap = first_gap(edges, near_deg)
    if gap is None:
        first = int(np.argmin(wrap_360(sensor_deg - edges.centres_deg)))
    else:
        # the first tooth after the gap is the nearest one below the gap's middle
        first = int(np.argmin(wrap_360(gap.at_deg - edges.centres_deg)))
    order = (first - np.arange(edges.count)) % edges.count
    start = float(wrap_360(sensor_deg - feature[first]))
    crank = start + np.mod(feature[first] - feature[order], 360.0)
    before = steps[order]  # a tooth's step upwards is the one that passed just before it
    nominal = start + edges.pitch_deg * np.concatenate([[0], np.cumsum(before[1:])])
    return Passing(crank, before, nominal)


def ideal_edges(
    teeth: int,
    gaps: tuple[tuple[float, int], ...],
    tooth_deg: float,
    radius_mm: float,
    *,
    slot_depth_mm: float = 6.0,
    slot_width_mm: float | None = None,
    rim_radius_mm: float | None = None,
) -> Edges:
    """Edges of a perfect wheel. gaps: (middle, missing) each, on the tooth grid of the first; tooth_deg: tooth width.

    ValueError when no two teeth are left or a tooth is wider than the pitch.
    """
    pitch = 360.0 / teeth
    if not 0 < tooth_deg < pitch:
        raise ValueError("a tooth is narrower than the pitch and wider than nothing")
    at, missing = gaps[0]
    origin = at - pitch * (missing - 1) / 2
    there = np.ones(teeth, dtype=bool)
    for middle, m in gaps:
        first = round((middle - pitch * (m - 1) / 2 - origin) / pitch)
        there[(first + np.arange(m)) % teeth] = False
    centres = np.sort(wrap_360(origin + pitch * np.flatnonzero(there)))
    slot = (pitch - tooth_deg) * float(np.radians(radius_mm)) if slot_width_mm is None else slot_width_mm
    return Edges(
        teeth,
        tuple(m for _, m in gaps),
        centres - tooth_deg / 2,
        centres + tooth_deg / 2,
        radius_mm,
        slot_depth_mm,
        slot,
        radius_mm if rim_radius_mm is None else rim_radius_mm,
    )
