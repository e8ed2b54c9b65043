"""The gap map: for each of 360 places at which the gap may pass the sensor, does the engine start, and how well?

gap_passes_deg: crank degrees after TDC of cylinder 1 at which the gap's middle is at the sensor. For the job's sensor
gap_at = sensor.at - gap_passes; for a wheel already cut sensor.at = gap_at + gap_passes. Whole arrays throughout.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.signal.decode import Compares, decode_margins, margins_of_lost
from wheelcad.signal.edges import Edges, Passing, first_gap, gaps_in, passing
from wheelcad.signal.inputs import Inputs
from wheelcad.signal.sparks import worst_error_by_place
from wheelcad.signal.speed import Speed, at_other_speed, gas_work, speed_at_dip
from wheelcad.signal.weak import Strength, lost_teeth
from wheelcad.trade.frames import wrap_360
from wheelcad.trade.ignition import CYCLE_DEG, coil_windows_deg, gap_clearance_deg, passes_sensor_deg

PLACES_DEG = np.arange(360.0)
SAME_MARGIN = 1e-4  # margins closer than this are equal, and clearance decides
LEAST_DIP = 0.01  # slower than this at the slowest moment is a crank that stops


@dataclass(frozen=True, eq=False)
class GapMap:
    """(360,) arrays over gap_passes_deg. margin: the job's own decoder's; NaN for a wheel without a findable gap.

    spark_error_deg: greatest |error| of any spark on the starter. clear_deg: least distance of any gap's passage from
    the coils' windows, negative where they overlap. here_deg: where the gap passes in this job.
    """

    gap_passes_deg: Floats
    margin: Floats
    spark_error_deg: Floats
    clear_deg: Floats
    here_deg: float
    best: int

    def rows(self) -> list[dict[str, float]]:
        """As the report holds it."""
        return [
            {"gap_passes_deg": float(g), "margin": float(m), "spark_error_deg": float(e), "clear_deg": float(c)}
            for g, m, e, c in zip(self.gap_passes_deg, self.margin, self.spark_error_deg, self.clear_deg, strict=True)
        ]


def gap_map(
    edges: Edges,
    inputs: Inputs,
    speed: Speed | None = None,
    strength: Strength | None = None,
    one: Passing | None = None,
) -> GapMap | None:
    """The map of a wheel; None for one without a gap.

    strength, one: what the field said of a pickup's peaks and crossings, where it was asked; else geometry alone.
    """
    gap = first_gap(edges, inputs.gap_deg)
    if gap is None:
        return None
    speed = cranking_speed(inputs) if speed is None else speed
    if one is None:
        one = passing(edges, inputs.sensor_deg, inputs.on, gap.at_deg)
    here = passes_sensor_deg(gap.at_deg, inputs.sensor_deg)
    later = PLACES_DEG - here
    margin = map_margins(one, inputs, speed, inputs.compares, later, strength)
    error = worst_error_by_place(inputs, one, speed, later)
    clear = clearances_deg(edges, inputs)
    ranked = np.round(np.nan_to_num(margin) / SAME_MARGIN) * SAME_MARGIN
    best = int(np.lexsort((PLACES_DEG, -np.round(clear, 6), -ranked))[0])
    return GapMap(PLACES_DEG, margin, error, clear, here, best)


def cranking_speed(inputs: Inputs, dip: float | None = None) -> Speed:
    """The cycle's speed on the starter, with the job's dip or another."""
    return speed_at_dip(gas_work(inputs.firing_deg, inputs.compression), inputs.dip if dip is None else dip)


def speeds_of(inputs: Inputs) -> dict[str, Speed]:
    """The cycle's speed at cranking, idle and top."""
    work = gas_work(inputs.firing_deg, inputs.compression)
    free = {
        name: at_other_speed(work, inputs.dip, inputs.cranking_rpm, rpm) for name, (rpm, _) in inputs.speeds.items()
    }
    return free | {"cranking": speed_at_dip(work, inputs.dip)}


def map_margins(
    one: Passing,
    inputs: Inputs,
    speed: Speed,
    compares: Compares,
    later_deg: Floats,
    strength: Strength | None = None,
) -> Floats:
    """(p,) margins with the wheel passing later by each of `later_deg`; teeth too weak for a pickup are lost."""
    margin = decode_margins(one.crank_deg, one.steps, speed, inputs.ratio, compares, later_deg)
    two = one.turns(2)
    at = two.crank_deg[None, :] + later_deg[:, None]
    lost = lost_teeth(inputs, two.steps, speed.share_at(at), strength)
    if lost is None or not lost.any():
        return margin
    rows = np.flatnonzero(lost.any(axis=1))
    margin[rows] = margins_of_lost(speed.when(at[rows]), CYCLE_DEG, two.steps, inputs.ratio, compares, lost[rows])
    return margin


def clearances_deg(edges: Edges, inputs: Inputs, places_deg: Floats = PLACES_DEG) -> Floats:
    """(p,) least distance between any gap's passage and the coils' windows, when the first gap passes at each place.

    A gap is as wide as from the tooth before it to the tooth after it. Windows reach from coil-on for the most advanced
    spark to the least advanced spark; coil-on with the dwell's degrees on the starter, where a wrong gap keeps an
    engine from starting.
    """
    dwell = inputs.dwell_ms * 6e-3 * inputs.cranking_rpm
    windows = coil_windows_deg(inputs.firing_deg, inputs.advance_least, inputs.advance_most, dwell)
    gap = first_gap(edges, inputs.gap_deg)
    if gap is None:
        return np.full(len(places_deg), np.inf)
    clear = np.full(len(places_deg), np.inf)
    for other in gaps_in(edges):
        behind = gap.at_deg - other.at_deg  # a gap at a lower wheel angle passes later
        width = (other.missing + 1) * edges.pitch_deg
        passes = wrap_360(places_deg + behind).tolist()
        here = [gap_clearance_deg(place, width, windows) for place in passes]
        clear = np.minimum(clear, here)
    return clear


def dip_limit(one: Passing, inputs: Inputs, later_deg: Floats, strength: Strength | None = None) -> float | None:
    """Slowest/mean speed down to which the job's decoder syncs at any of some places; by halving, to a thousandth.

    later_deg: (p,). None where it does not even sync at even speed.
    """
    work = gas_work(inputs.firing_deg, inputs.compression)

    def syncs(dip: float) -> bool:
        speed = speed_at_dip(work, dip)
        return bool((map_margins(one, inputs, speed, inputs.compares, later_deg, strength) > 1).any())

    if not syncs(1.0):
        return None
    low, high = LEAST_DIP, 1.0
    if syncs(low):
        return low
    while high - low > 1e-3:
        middle = (low + high) / 2
        if syncs(middle):
            high = middle
        else:
            low = middle
    return high
