"""What this sensor sees of these teeth, from the field over the row round the gap.

Solved once for each air gap that matters; what is drawn from it is shares, millimetres and degrees, never volts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.signal.detect import (
    differential,
    half_swing,
    refined,
    seen_edge_mm,
    slope_of,
    zero_crossings,
)
from wheelcad.signal.edges import Edges, first_gap
from wheelcad.signal.flux import Flux, Rack
from wheelcad.signal.inputs import Inputs
from wheelcad.signal.weak import Strength

Solved = tuple[Rack, float, float]  # row, width of the pole, air gap: all that a flux follows from

MOST_FLUXES = 32  # kept in a process, a few kilobytes each
LEAST_POSITIONS = 8  # of the row that is solved, the gap in its middle
FLAT_SHARE = 0.10  # of the peak: below it a zero crossing is at noise's mercy
# At the crossing, of that of a tooth as wide as the pole: about where the weak stretch is as wide as the pole itself.
# It lies between two solutions: 0.10 for a 36-1 of 8 mm teeth under a 4 mm pole, of which many run, and 0.007 for a
# 12-1 of 36 mm teeth, which has nothing to time on. Our judgement, no source.
LEAST_SLOPE = 0.05
FLUXES: dict[Solved, Flux] = {}


@dataclass(frozen=True, eq=False)
class View:
    """What the sensor sees. x, flux: (p,) along the row at the job's air gap, mm from the gap's middle (0), no unit.

    swing_share: (least, greatest gap of the sensor's range) swing over that at the job's gap, the magnet taken as the
    weakest kind. edge_shift_deg: at those gaps, how much later (+) the leading edge comes than at the job's; None where
    the sensor does not switch. strength: for pickups. slope_share: of the crossing, to a tooth as wide as the pole
    (or as a differential's elements are apart). flat_deg: crank degrees over a tooth in which a pickup, or a
    differential, gives under a tenth of its peak. swapped_at: where a pickup
    with its wires swapped crosses, in pitches about the gap's middle; swapped_slope: of the middle one over others'.
    """

    x: Floats
    flux: Floats
    pitch_mm: float
    gap_missing: int
    swing_share: tuple[float, float]
    edge_shift_deg: tuple[float | None, float | None]
    strength: Strength
    slope_share: float
    flat_deg: float
    right_at: tuple[float, ...]
    swapped_at: tuple[float, ...]
    swapped_slope: float

    @property
    def beside_shift(self) -> float:
        """Pitches by which a pickup's crossing over a tooth beside the gap lies farther from the gap than its centre.

        The neighbour on the far side adds flux there. 0 where there is nothing to time on.
        """
        there = (self.gap_missing + 1) / 2
        if not self.gap_missing or self.slope_share < LEAST_SLOPE:
            return 0.0
        near = [min(self.right_at, key=lambda at: abs(at - side * there)) for side in (-1, 1)]
        shift = (near[1] - near[0]) / 2 - there
        return float(shift) if abs(shift) < 0.25 else 0.0

    @property
    def swapped_intervals(self) -> tuple[float, ...]:
        """Pitches between a swapped pickup's crossings, in passing order: one ordinary, the gap's, one ordinary."""
        at = np.array(sorted(self.swapped_at, reverse=True))
        between = -np.diff(at)
        wide = np.flatnonzero(between > 1.2)
        if len(wide) == 0:
            return tuple(float(round(b, 3)) for b in between)
        return tuple(float(round(b, 3)) for b in between[max(wide[0] - 1, 0) : wide[-1] + 2])


def rack_of(edges: Edges, near_deg: float | None = None) -> Rack:
    """The row of teeth round the (first) gap, unrolled at the sensor's radius; at least 8 positions where there are."""
    gap = first_gap(edges, near_deg)
    middle, missing = (float(edges.centres_deg[0]) + edges.pitch_deg / 2, 0) if gap is None else gap
    positions = min(edges.teeth, LEAST_POSITIONS + missing - 1 + (missing + 1) % 2)
    half = positions * edges.pitch_deg / 2
    teeth = []
    for turn in (-360.0, 0.0, 360.0):
        for start, end in zip(edges.from_deg - middle + turn, edges.to_deg - middle + turn, strict=True):
            a, b = max(float(start), -half), min(float(end), half)
            if b - a > 1e-6:
                teeth.append((a * edges.mm_per_deg, b * edges.mm_per_deg))
    pitch_mm = edges.pitch_deg * edges.mm_per_deg
    return Rack(tuple(sorted(teeth)), positions * pitch_mm, positions, edges.slot_depth_mm)


def solved(rack: Rack, pole_mm: float, gap_mm: float) -> Flux:
    """The field's fluxes; kept, for several questions ask the same."""
    from wheelcad.signal.field import flux_over

    key = rack, pole_mm, gap_mm
    if key not in FLUXES:
        keep_fluxes({key: flux_over(rack, pole_mm, gap_mm)})
    return FLUXES[key]


def keep_fluxes(known: Mapping[Solved, Flux]) -> None:
    """Take over fluxes that were solved elsewhere. Of too many the oldest go."""
    FLUXES.update(known)
    while len(FLUXES) > MOST_FLUXES:
        del FLUXES[next(iter(FLUXES))]


def view_of(edges: Edges, inputs: Inputs) -> View:
    """Everything the report takes from the field, a second or so of work."""
    rack = rack_of(edges, inputs.gap_deg)
    gap = first_gap(edges, inputs.gap_deg)
    pitch = rack.length / rack.positions
    pole = min(inputs.face_mm, 0.45 * rack.length)
    here = _seen(rack, pole, inputs.air_gap_mm, inputs)
    ends = [_seen(rack, pole, g, inputs) for g in inputs.air_gap_range]
    ordinary = _ordinary(rack, here[0])
    swing = float(np.ptp(here[1][ordinary]))
    shares = tuple(float(np.ptp(curve[ordinary])) / swing for _, curve in ends)
    shifts = tuple(_shift_deg(edges, inputs, rack, here, end) for end in ends)
    x, flux = here
    slope = slope_of(x, flux)
    right = zero_crossings(-x[::-1], -slope[::-1], inputs.arming)
    swapped = zero_crossings(-x[::-1], slope[::-1], inputs.arming)
    peak = float(np.abs(slope[ordinary]).max())
    missing = 0 if gap is None else gap.missing
    middle = [c for c in swapped if abs(c.at) < 0.45 * pitch] if missing else []
    others = [c.at for c in swapped if c not in middle]
    slope_share, flat = _crossing_quality(edges, inputs, here, rack, pole)
    return View(
        x,
        flux,
        pitch,
        missing,
        (shares[0], shares[1]),
        (shifts[0], shifts[1]),
        Strength(_beside_gap(x, slope, pitch, missing, peak), _level_share(rack, pole, inputs)),
        slope_share,
        flat,
        tuple(-c.at / pitch for c in right),
        tuple(-c.at / pitch for c in swapped),
        _slope_ratio(x, slope, -middle[0].at, [-at for at in others], 0.1 * pitch) if middle and others else 1.0,
    )


def _seen(rack: Rack, pole: float, gap: float, inputs: Inputs) -> tuple[Floats, Floats]:
    """(x, what the element sees) on a fine row; a vane's element sees field where there is no iron.

    A pickup's coil links all of its pole's flux. A Hall element lies in the tip: one that sets its own level, or two
    that are compared, take the tip's. A level that was set once is taken with all the pole's: its edges move most so.
    """
    found = solved(rack, pole, gap)
    in_tip = inputs.element in ("hall-selfsetting", "hall-differential")
    x, curve = refined(found.x, found.tip if in_tip else found.pole)
    if inputs.element == "hall-differential":
        curve = differential(x, curve, inputs.spacing_mm)
    return x, -curve if inputs.element == "vane" else curve


def _ordinary(rack: Rack, x: Floats) -> Floats:
    """Where the row is least disturbed by the gap: one pitch as far from it as the row goes."""
    pitch = rack.length / rack.positions
    return np.asarray(np.abs(x) > rack.length / 2 - pitch / 2 - 1e-9)


def _shift_deg(
    edges: Edges,
    inputs: Inputs,
    rack: Rack,
    here: tuple[Floats, Floats],
    there: tuple[Floats, Floats],
) -> float | None:
    """How much later the leading edge comes at another air gap; None where that element does not switch there."""
    if inputs.element in ("pole", "hall-differential"):
        return 0.0  # times on the middle, which the gap does not move
    sign = -1.0 if inputs.element == "vane" else 1.0
    centre, half = _far_tooth(rack)
    ordinary = _ordinary(rack, here[0])
    levels = [half_swing(sign * curve[ordinary]) for _, curve in (here, there)]
    if inputs.element in ("hall-fixed", "vane"):
        levels[1] = levels[0]  # the level was set at the job's gap and stays
    found = [
        seen_edge_mm(x, sign * curve, level, centre, half)
        for (x, curve), level in zip((here, there), levels, strict=True)
    ]
    if found[0] is None or found[1] is None:
        return None
    return (found[0][1] - found[1][1]) / edges.mm_per_deg


def _far_tooth(rack: Rack) -> tuple[float, float]:
    """(centre, half width) of the whole tooth farthest from the gap with a whole slot on both sides, x > 0."""
    whole = [(a, b) for a, b in rack.teeth if b < rack.length / 2 - 1e-6 and a > 0]
    a, b = whole[-1] if whole else max(rack.teeth)
    return (a + b) / 2, (b - a) / 2


def _beside_gap(x: Floats, slope: Floats, pitch: float, missing: int, peak: float) -> float:
    """Peak of the first pulse after a gap over an ordinary one's: the flank that faces the gap."""
    if not missing or peak <= 0:
        return 1.0
    facing = (x < 0) & (x > -(missing + 1) / 2 * pitch)
    return float(np.abs(slope[facing]).max() / peak)


def _level_share(rack: Rack, pole: float, inputs: Inputs) -> float:
    """Peak slope at the job's gap over that at `sensor.level`'s, the less hopeful of two kinds of magnet.

    A magnet of no reluctance holds its potential (flux as solved); one of much reluctance holds its flux, and what
    changes is 1/permeance.
    """
    if inputs.level is None or abs(inputs.level.gap_mm - inputs.air_gap_mm) < 1e-9:
        return 1.0
    peaks = []
    for gap in (inputs.air_gap_mm, inputs.level.gap_mm):
        found = solved(rack, pole, gap)
        ordinary = np.abs(found.x) > rack.length / 2 - rack.length / rack.positions
        peaks.append([float(np.abs(slope_of(found.x, c)[ordinary]).max()) for c in (found.pole, 1 / found.pole)])
    return min(peaks[0][0] / peaks[1][0], peaks[0][1] / peaks[1][1])


def _crossing_quality(
    edges: Edges, inputs: Inputs, here: tuple[Floats, Floats], rack: Rack, pole: float
) -> tuple[float, float]:
    """(slope at a tooth's crossing over that of a tooth as wide as what senses, degrees under a tenth of the peak).

    Of a pickup's volts, and of what a differential's two elements see less each other; others time on edges.
    """
    if inputs.element not in ("pole", "hall-differential"):
        return 1.0, 0.0
    wide = pole if inputs.element == "pole" else max(pole, inputs.spacing_mm)
    centre, half = _far_tooth(rack)
    steepness, flat = _steepness(here[0], _crossing_curve(inputs, *here), centre, half, wide)
    slot = rack.length / rack.positions - 2 * half
    narrow = wide + slot  # the same slots between teeth as wide as what senses
    row = tuple((max(k * narrow - wide / 2, -2 * narrow), min(k * narrow + wide / 2, 2 * narrow)) for k in range(-2, 3))
    narrow_row = Rack(row, 4 * narrow, 4, rack.depth)
    seen = _seen(narrow_row, min(pole, 0.45 * narrow_row.length), inputs.air_gap_mm, inputs)
    best, _ = _steepness(seen[0], _crossing_curve(inputs, *seen), 0.0, wide / 2, wide)
    return steepness / best, flat / edges.mm_per_deg


def _crossing_curve(inputs: Inputs, x: Floats, seen: Floats) -> Floats:
    """What crosses zero over a tooth: a pickup's volts are its flux's slope, a differential's curve is so already."""
    return slope_of(x, seen) if inputs.element == "pole" else seen


def _steepness(x: Floats, slope: Floats, centre: float, half: float, pole: float) -> tuple[float, float]:
    """(share of the peak by mm at a crossing, mm under a tenth of the peak round it): a chord, not a tangent, for what
    decides is how far a little noise moves the crossing."""
    near = np.abs(x - centre) < half + pole / 2
    share = np.abs(slope[near]) / float(np.abs(slope[near]).max())
    away = x[near] - centre
    ends = []
    for side in (-1, 1):
        out = side * away >= 0
        order = np.argsort(side * away[out])
        far, there = side * away[out][order], share[out][order]
        k = int(np.argmax(there > FLAT_SHARE))  # the first point beyond; 0 where the peak is never reached
        ends.append(float(np.interp(FLAT_SHARE, there[max(k - 1, 0) : k + 1], far[max(k - 1, 0) : k + 1])))
    flat = sum(ends)
    return 2 * FLAT_SHARE / flat, flat


def _slope_ratio(x: Floats, curve: Floats, middle: float, others: list[float], reach: float) -> float:
    """Steepness of a curve about `middle` over the median of that about `others`, by chords of ± reach."""

    def chord(at: float) -> float:
        low, high = np.interp([at - reach, at + reach], x, curve)
        return float(high - low)

    inside = [at for at in others if abs(at) < x[-1] - 2 * reach]
    return chord(middle) / float(np.median([chord(at) for at in inside])) if inside else 1.0
