"""The timing error of every spark, from how the wheel is made and fitted: many wheels at once, and in closed form.

Errors are degrees of crank, positive early. Three heaps, because the timing light treats them differently:
offset: the same for every cylinder and speed: gone once cylinder 1 is trimmed with the light at idle;
pattern: of the teeth that time a spark: of cylinder i what stays is its own less cylinder 1's;
speed: delay, flex, torsion: what changes from idle, where it was trimmed, to top speed.
What the light is read on and how well (TDC line, mark, reading) goes into the trim and stays in full.

A spark is timed by its last edge k, and by the interval before it, over the share q of an interval that is still to go:
early = (1 + q)·(edge k early) - q·(edge k - 1 early).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from wheelcad.arrays import Floats, Ints
from wheelcad.signal.edges import Edges, Passing
from wheelcad.signal.inputs import Inputs
from wheelcad.signal.report import Signal, crossings_of
from wheelcad.signal.sample import CHUNK, SEED, Sample, generator, within_95
from wheelcad.signal.sparks import extrapolation_early_deg, lag_deg, last_before
from wheelcad.signal.speed import Speed
from wheelcad.signal.tolerances import Skill
from wheelcad.signal.view import Sight

SPEEDS = ("cranking", "idle", "top")
MM_TO_DEG = 180.0 / np.pi
# the sources' numbers, for their random numbers; the order is part of the figures
SOURCES = (
    "dial", "table", "by_hand", "centring", "clearance", "tdc_mark", "stop_marks", "sensor_angle", "layout", "light",
    "torsion", "bracket",
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class Timed:
    """Which edges time which sparks. Cases: (speeds, cylinders) flattened, cylinders ascending; m edges, s slots.

    cylinders: (c,). edge_deg: (m,) wheel angles. slots: (m, s) how much of each slot's error an edge takes. slot_deg:
    (s,). weights: (3c, m) of the edges' earliness in each case. bias_deg: (3c,) what is known: sparks that come early
    as the crank slows, late by delay and filter. shift_deg_per_mm: (m,) how much earlier an edge comes for a smaller
    gap, to the job's gap. crossing_deg: earliness of the seen edge against the metal. pair: indexes of a neighbouring
    pair of edges, and what their distance lacks.
    """

    cylinders: tuple[int, ...]
    radius_mm: float
    edge_deg: Floats
    slots: Floats
    slot_deg: Floats
    weights: Floats
    bias_deg: Floats
    shift_deg_per_mm: Floats
    hot_deg_per_mm: float
    crossing_deg: float
    pair: tuple[int, int]
    pair_bias_deg: float

    def rows(self, speed: str) -> slice:
        """The cases at a speed."""
        at, c = SPEEDS.index(speed), len(self.cylinders)
        return slice(at * c, (at + 1) * c)


def timed_of(signal: Signal, closer: bool = False) -> Timed:
    """The edges of a signal's sparks. closer: with the air gap at the least that the sensor allows."""
    one = signal.passing
    if signal.view is not None and signal.inputs.element == "pole":
        one = crossings_of(one, signal.view)
    sparks = sorted(signal.sparks, key=lambda spark: spark.cylinder)
    bias = np.array([spark.error_deg[name] for name in SPEEDS for spark in sparks])
    return timed_by(signal.inputs, signal.edges, one, bias, signal.view, closer)


def known_early_deg(inputs: Inputs, one: Passing, speeds: Mapping[str, Speed]) -> Floats:
    """(3c,) what is known of the sparks' errors, of a Timed's cases: as the crank slows, less delay and filter."""
    firing = np.array(inputs.firing_deg)[np.argsort(inputs.order)]
    return np.concatenate(
        [
            extrapolation_early_deg(one, firing - advance, speeds[name])
            - lag_deg(rpm, inputs.delay_us + inputs.filter_us)
            for name, (rpm, advance) in inputs.speeds.items()
        ]
    )


def timed_by(
    inputs: Inputs, edges: Edges, one: Passing, bias_deg: Floats, view: Sight | None = None, closer: bool = False
) -> Timed:
    """As `timed_of`, from the edges as they pass and what is known of the errors, without a whole Signal."""
    order = np.argsort(inputs.order)
    firing = np.array(inputs.firing_deg)[order]
    asked = np.concatenate([firing - advance for _, advance in inputs.speeds.values()])
    k, turns = last_before(one.nominal_deg, asked)
    n, pitch = len(one.crank_deg), edges.pitch_deg
    go = (asked - one.nominal_deg[k] - 360.0 * turns) / (one.steps[k] * pitch)
    used, where = np.unique(np.concatenate([k, (k - 1) % n]), return_inverse=True)
    cases = np.arange(len(k))
    weights = np.zeros((len(k), len(used)))
    weights[cases, where[: len(k)]] += 1 + go  # no case names an edge twice
    weights[cases, where[len(k) :]] -= go
    slots, slot_deg = _slots(inputs, edges, one, used)
    slope = _gap_slope(inputs, view, closer)
    sign = {"leading": 1.0, "trailing": -1.0, "centre": 0.0}[inputs.on]
    ordinary = np.flatnonzero(one.steps[k] == 1)
    first = int(ordinary[0]) if len(ordinary) else 0
    pair = (int(where[first]), int(where[len(k) + first]))
    apart = float((one.crank_deg[k[first]] - one.crank_deg[(k[first] - 1) % n]) % 360.0)
    return Timed(
        tuple(np.array(inputs.order)[order].tolist()),
        edges.radius_mm,
        inputs.sensor_deg - one.crank_deg[used],
        slots,
        slot_deg,
        weights,
        bias_deg,
        np.full(len(used), sign * slope),
        -sign * slope,
        _crossing_deg(inputs, edges, view),
        pair,
        apart - float(one.steps[k[first]]) * pitch,
    )


def _slots(inputs: Inputs, edges: Edges, one: Passing, used: Ints) -> tuple[Floats, Floats]:
    """(m, s) shares of slots' errors in edges, (s,) slots' wheel angles, of those slots that bound a used edge."""
    n, on = len(one.steps), inputs.on
    above = np.arange(n)
    below = np.where(np.roll(one.steps, -1) == 1, (above + 1) % n, n + above)
    ids = np.stack([above[used], below[used]])
    share = {"leading": (1.0, 0.0), "trailing": (0.0, 1.0), "centre": (0.5, 0.5)}[on]
    half = edges.pitch_deg / 2
    # an edge is a slot's side; a slot's middle lies half a pitch from the middle of the tooth
    middle = inputs.sensor_deg - one.crank_deg[used]
    width = float(np.median(edges.widths_deg))
    middle = middle + {"leading": -width / 2, "trailing": width / 2, "centre": 0.0}[on]
    kept, where = np.unique(ids.ravel(), return_inverse=True)
    where = where.reshape(2, -1)
    shares, at = np.zeros((len(used), len(kept))), np.zeros(len(kept))
    for side, weight in enumerate(share):
        shares[np.arange(len(used)), where[side]] += weight
        at[where[side]] = middle + (half if side == 0 else -half)
    return shares, at


def _gap_slope(inputs: Inputs, view: Sight | None, closer: bool) -> float:
    """Degrees later of the leading edge for a millimetre more air gap; 0 where the field was not solved."""
    if view is None or inputs.element in ("pole", "hall-differential"):
        return 0.0
    here, (low, high) = inputs.air_gap_mm, inputs.air_gap_range
    points = [(low, view.edge_shift_deg[0]), (here, 0.0), (high, view.edge_shift_deg[1])]
    known = [(gap, shift) for gap, shift in points if shift is not None]
    known = known[:2] if closer else known
    gap = known[-1][0] - known[0][0]
    return (known[-1][1] - known[0][1]) / gap if gap > 1e-6 else 0.0


def _crossing_deg(inputs: Inputs, edges: Edges, view: Sight | None) -> float:
    """How much before (+) the metal's edge a Hall element switches, as the field has it; else 0."""
    from wheelcad.signal.detect import half_swing, level_crossings

    on = inputs.on
    if view is None or on == "centre":
        return 0.0
    far = np.abs(view.x) > view.pitch_mm * (view.gap_missing + 1) / 2
    flux = -view.flux if inputs.element == "vane" else view.flux  # iron up
    rising, falling = level_crossings(view.x, flux, half_swing(flux[far]))
    # the iron it sees against the iron there is, half of it at each edge
    tooth = float(np.median(edges.widths_deg))
    wide = [(f - rising[rising < f].max()) / edges.mm_per_deg for f in falling if (rising < f).any()]
    if not wide:
        return 0.0
    seen = float(np.median(wide))
    return (seen - tooth) / 2 * (1.0 if on == "leading" else -1.0)


def spreads_of(work: Skill, radius_mm: float) -> dict[str, Sample]:
    """Each source as a spread, by its name in SOURCES: degrees, but centring and clearance as eccentricities, mm."""
    return {
        "dial": Sample("rectangular", work.dial_deg),
        "table": Sample("sine", work.table_deg),
        "by_hand": Sample("normal", work.by_hand_deg),
        "centring": Sample("sine", work.centring_mm / 2),
        "clearance": Sample("sine", work.clearance_mm / 2),
        "tdc_mark": Sample("normal", work.tdc_mark_deg),
        "stop_marks": Sample("normal", work.stop_marks_deg / np.sqrt(2.0)),  # half-way between two marks
        "sensor_angle": Sample("normal", work.sensor_angle_mm / radius_mm * MM_TO_DEG),
        "layout": Sample("rectangular", work.layout_deg),
        "light": Sample("normal", work.light_deg),
        "torsion": Sample("normal", work.torsion_deg),
        "bracket": Sample("sine", work.bracket_mm / radius_mm * MM_TO_DEG),
    }


@dataclass(frozen=True, eq=False)
class Wheels:
    """Simulated errors, degrees early, what is known of them included. before: (c, w) on the starter. after: (2, c, w)
    at idle and at top speed. pair: (w,) of the distance of two neighbouring edges."""

    before: Floats
    after: Floats
    pair: Floats

    @cached_property
    def before_95(self) -> Floats:
        """(c,) bounds on the starter."""
        return within_95(self.before)

    @cached_property
    def after_95(self) -> Floats:
        """(2, c) bounds at idle and at top speed."""
        return within_95(self.after)


def simulate(timed: Timed, work: Skill, count: int, seed: int = SEED) -> Wheels:
    """`count` wheels, in chunks."""
    c = len(timed.cylinders)
    out = Wheels(np.empty((c, count)), np.empty((2, c, count)), np.empty(count))
    spreads = spreads_of(work, timed.radius_mm)
    for start in range(0, count, CHUNK):
        part = slice(start, min(start + CHUNK, count))
        _chunk(timed, work, spreads, start // CHUNK, seed, Wheels(out.before[:, part], out.after[:, :, part],
                                                                 out.pair[part]))  # fmt: skip
    return out


def _chunk(timed: Timed, work: Skill, spreads: dict[str, Sample], chunk: int, seed: int, into: Wheels) -> None:
    """One chunk's wheels, into the arrays given."""
    count = into.pair.shape[0]

    def draw(name: str, *rows: int) -> Floats:
        shape = (*rows, count) if rows else count
        return spreads[name].draw(generator(SOURCES.index(name), chunk, seed), shape)

    edges = _edges_early(timed, spreads, chunk, seed, count)
    pattern = timed.weights @ edges + timed.bias_deg[:, None]
    line = draw("stop_marks")
    offset = draw("sensor_angle") + draw("layout") + timed.crossing_deg
    into.before[:] = pattern[timed.rows("cranking")] + (offset + line)
    trim = line + draw("tdc_mark") + draw("light") + timed.hot_deg_per_mm * work.gap_hot_mm
    first = pattern[timed.rows("idle")][0]
    into.after[0] = pattern[timed.rows("idle")] - first + trim
    into.after[1] = pattern[timed.rows("top")] - first + (trim + draw("torsion") + draw("bracket"))
    late, earlier = timed.pair
    into.pair[:] = timed.pair_bias_deg + edges[earlier] - edges[late]


def _edges_early(timed: Timed, spreads: dict[str, Sample], chunk: int, seed: int, count: int) -> Floats:
    """(m, w) earliness of each edge: its slots' errors, the wheel off centre, and the gap that changes with it."""

    def rng(name: str) -> np.random.Generator:
        return generator(SOURCES.index(name), chunk, seed)

    slots = np.zeros((len(timed.slot_deg), count))
    for name in ("dial", "by_hand"):
        if spreads[name].half > 0:
            slots += spreads[name].draw(rng(name), slots.shape)
    phase = rng("table").uniform(0.0, 2 * np.pi, count)
    a = np.radians(timed.slot_deg)
    slots += spreads["table"].half * (np.outer(np.sin(a), np.cos(phase)) + np.outer(np.cos(a), np.sin(phase)))
    ex, ey = np.zeros(count), np.zeros(count)
    for name in ("centring", "clearance"):
        towards = rng(name).uniform(0.0, 2 * np.pi, count)
        ex += spreads[name].half * np.cos(towards)
        ey += spreads[name].half * np.sin(towards)
    sin, cos = np.sin(np.radians(timed.edge_deg)), np.cos(np.radians(timed.edge_deg))
    outwards = np.outer(cos, ex) + np.outer(sin, ey)
    across = np.outer(cos, ey) - np.outer(sin, ex)
    seen = np.degrees(np.arctan2(across, timed.radius_mm + outwards))
    return np.asarray(timed.slots @ slots + seen + timed.shift_deg_per_mm[:, None] * outwards)


def case_weights(timed: Timed, speed: str) -> Floats:
    """(c, m) weights of edges in what counts at a speed: on the starter as they are, later less cylinder 1's at
    idle."""
    own = timed.weights[timed.rows(speed)]
    return own if speed == "cranking" else np.asarray(own - timed.weights[timed.rows("idle")][0])


def variances(
    timed: Timed, work: Skill, speed: str, *, shifts: bool = True, spreads: Mapping[str, Sample] | None = None
) -> dict[str, Floats]:
    """(c,) variance by source of what counts at a speed, in closed form, to first order in the eccentricity.

    shifts: whether edges move with the gap. spreads: those of `spreads_of`, where they are known already.
    """
    spreads = spreads_of(work, timed.radius_mm) if spreads is None else spreads
    weights = case_weights(timed, speed)
    on_slots = weights @ timed.slots
    turning = np.exp(-1j * np.radians(timed.edge_deg))
    shift = timed.shift_deg_per_mm if shifts else np.zeros_like(timed.shift_deg_per_mm)
    off_centre = np.abs(weights @ (turning * (shift - 1j * MM_TO_DEG / timed.radius_mm))) ** 2
    once_a_turn = np.abs(on_slots @ np.exp(1j * np.radians(timed.slot_deg))) ** 2
    slots = (on_slots**2).sum(axis=1)
    how = {
        "dial": slots,
        "by_hand": slots,
        "table": once_a_turn,
        "centring": off_centre,
        "clearance": off_centre,
    }
    one = np.ones(len(timed.cylinders))
    plain = {
        "cranking": ("stop_marks", "sensor_angle", "layout"),
        "idle": ("stop_marks", "tdc_mark", "light"),
        "top": ("stop_marks", "tdc_mark", "light", "torsion", "bracket"),
    }[speed]
    how |= dict.fromkeys(plain, one)
    return {name: spreads[name].sd ** 2 * how[name] for name in SOURCES if name in how}
