"""Everything of `wheelcad signal` put together: one value that holds it, and the numbers as JSON.

Edges in, numbers out: whoever calls says where the edges come from (written files, or the design).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from wheelcad.job.models import Job
from wheelcad.signal.decode import COMPARES, Compares, margins
from wheelcad.signal.edges import Edges, Passing, passing
from wheelcad.signal.gapmap import GapMap, dip_limit, gap_map, map_margins, speeds_of
from wheelcad.signal.inputs import Inputs, inputs_of, pairs_of
from wheelcad.signal.instead import read_instead
from wheelcad.signal.sparks import Spark, each_turn_deg, rotor_window_deg, sparks_of
from wheelcad.signal.speed import Speed, even_speed
from wheelcad.signal.start import turns_to_sync
from wheelcad.signal.view import Sight, view_of
from wheelcad.signal.weak import least_rpm, peak_volts
from wheelcad.trade.frames import wrap_360
from wheelcad.trade.ignition import CYCLE_DEG

SURE = 1.02  # a margin that noise and the field's own error leave standing
WANTED = 1.2  # a fifth above the limit for what is not modelled; our judgement, no source
PLACES = 6  # decimals of what is reported: beyond them machines differ
Json = dict[str, Any]


@dataclass(frozen=True, eq=False)
class Signal:
    """What sensor and controller see. view is None where the field was not asked for; gaps None without a gap.

    margins: of each decoder at this place. slowest: speed at the slowest tooth over the mean, on the starter.
    swapped_syncs: None for a sensor whose wires cannot be swapped.
    """

    edges: Edges
    inputs: Inputs
    speeds: dict[str, Speed]
    passing: Passing
    view: Sight | None
    gaps: GapMap | None
    margins: dict[Compares, float]
    turns: float | None
    dip_here: float | None
    dip_best: float | None
    slowest: float
    least_rpm: float | None
    sparks: tuple[Spark, ...]
    swapped_syncs: bool | None

    def instead(self) -> Json | None:
        """A usual pattern that is read on the starter, where no place of this one's gap makes it so."""
        gaps = self.gaps
        if gaps is None or not math.isfinite(self.margin) or max(self.margin, float(gaps.margin[gaps.best])) > 1:
            return None
        found = read_instead(self.edges, self.inputs, WANTED)
        return None if found is None else {"pattern": found[0], "margin": found[1]}

    @property
    def margin(self) -> float:
        """The job's own decoder's margin at this place."""
        return self.margins[self.inputs.compares]

    def report(self) -> Json:
        """The command's JSON. Angles degrees of crank, gap places 0 … 359; null for what the job cannot have."""
        here, gaps = self.inputs, self.gaps
        best = None if gaps is None else float(gaps.gap_passes_deg[gaps.best])
        out: Json = {
            "sync": {**self.margins, "margin": self.margin, "turns_to_sync": self.turns},
            "gap_map": [] if gaps is None else gaps.rows(),
            "instead": self.instead(),
            "best_gap_at_deg": None if best is None else _turn(here.sensor_deg - best),
            "best_sensor_at_deg": None if best is None or here.gap_deg is None else _turn(here.gap_deg + best),
            "cranking_dip_limit": {"here": self.dip_here, "best": self.dip_best},
            "least_rpm_for_teeth": self.least_rpm,
            "edge": {
                "element": here.element,
                "level_over_iron": None if here.output is None else here.output.removeprefix("iron-"),
                "on": here.on,
                "use_deg": None if gaps is None else _turn(-float(self.passing.crank_deg[0])),
            },
            "sparks": [spark.as_json() for spark in self.sparks],
            "coils": coils_json(here),
            "wires_swapped": None,
            "seen": None if self.view is None else seen_json(self.view, here, self.slowest),
            "inputs": [row.as_json() for row in here.rows],
        }
        if self.view is not None and self.swapped_syncs is not None:
            out["wires_swapped"] = {"intervals": list(self.view.swapped_intervals), "syncs": self.swapped_syncs}
        rounded: Json = _rounded(out)
        return rounded


def signal_of(job: Job, edges: Edges, *, field: bool = True) -> Signal:
    """Everything, for text, pictures and JSON alike. field: False leaves out what needs the field solved (`seen`,
    swapped wires, weak teeth's own strengths). DesignError names what the job lacks."""
    inputs = inputs_of(job, edges)
    speeds = speeds_of(inputs)
    view = view_of(edges, inputs) if field else None
    strength = None if view is None else view.strength
    one = passing(edges, inputs.sensor_deg, inputs.on, inputs.gap_deg)
    timed = one if view is None or inputs.element != "pole" else crossings_of(one, view)
    gaps = gap_map(edges, inputs, speeds["cranking"], strength, timed)
    at = np.zeros(1)
    found = {c: float(map_margins(timed, inputs, speeds["cranking"], c, at, strength)[0]) for c in COMPARES}
    slowest = float(speeds["cranking"].share_at(timed.turns(2).crank_deg).min())
    swapped = None
    if view is not None and inputs.element == "pole" and gaps is not None:
        swapped = swapped_margin(one, view, inputs, speeds) > SURE
    return Signal(
        edges,
        inputs,
        speeds,
        one,
        view,
        gaps,
        found,
        turns_to_sync(timed, speeds["cranking"], inputs.ratio, inputs.compares, inputs.needs_teeth),
        None if gaps is None else dip_limit(timed, inputs, at, strength),
        None
        if gaps is None
        else dip_limit(timed, inputs, np.append(gaps.gap_passes_deg - gaps.here_deg, 0.0), strength),
        slowest,
        least_rpm(inputs, edges.teeth, slowest, strength),
        sparks_of(inputs, timed, speeds),
        swapped,
    )


def crossings_of(one: Passing, view: Sight) -> Passing:
    """A pickup's crossings: those beside a gap lie a little farther from it than the teeth's centres."""
    shift = view.beside_shift * one.pitch_deg
    after = (one.steps > 1).astype(float)
    return replace(one, crank_deg=one.crank_deg + shift * (after - np.roll(after, -1)))


def swapped_margin(one: Passing, view: Sight, inputs: Inputs, speeds: dict[str, Speed]) -> float:
    """Least margin, over all speeds, of a pickup whose two wires are swapped: it crosses over slots and in the gap.

    The decoder is taken to look for one gap a turn where the first long interval is.
    """
    pitch = one.pitch_deg
    before = np.concatenate([[one.crank_deg[-1] - 360.0], one.crank_deg[:-1]])
    middle = (one.crank_deg + before) / 2
    inside = [-at for at in view.swapped_at if abs(at) < view.gap_missing / 2 - 0.05] or [0.0]
    at: list[float] = []
    steps: list[int] = []
    for m, wide in zip(middle, one.steps, strict=True):
        crossings = sorted(inside) if wide > 1 else [0.0]
        at += [float(m) + pitch * c for c in crossings]
        steps += [int(wide)] + [1] * (len(crossings) - 1)
    turn, pattern = np.array(at), np.tile(np.array(steps), 2)
    twice = np.concatenate([turn, turn + 360.0])
    each = [
        margins(speed.when(twice), CYCLE_DEG, pattern, inputs.ratio, inputs.compares)
        for speed in (even_speed(), *speeds.values())
    ]
    return float(np.nan_to_num(np.array(each)).min())


def coils_json(inputs: Inputs) -> Json:
    """Who shares a coil; own coils that fire every turn, at degrees of a turn; a distributor's rotor in its degrees."""
    return {
        "pairs": [list(pair) for pair in pairs_of(inputs)],
        "each_turn": [{"cylinder": c, "at_deg": at} for c, at in sorted(each_turn_deg(inputs).items())],
        "rotor_meets_post_deg": rotor_window_deg(inputs) if inputs.spark == "distributor" else None,
    }


def seen_json(view: Sight, inputs: Inputs, slowest: float) -> Json:
    """What the field says, as shares, millimetres and degrees; volts only where the job holds a measured point.

    slowest: speed at the slowest tooth on the starter over the mean.
    """
    low, high = inputs.air_gap_range
    out: Json = {
        "air_gap_mm": [low, inputs.air_gap_mm, high],
        "swing_share": [view.swing_share[0], 1.0, view.swing_share[1]],
        "leading_edge_later_deg": [view.edge_shift_deg[0], 0.0, view.edge_shift_deg[1]],
    }
    if inputs.element in ("pole", "hall-differential"):
        out |= {"crossing_slope_share": view.slope_share, "flat_over_tooth_deg": view.flat_deg}
    if inputs.element == "pole":
        out["first_pulse_share"] = view.strength.beside_gap
    moments = {"slowest_tooth_on_the_starter": (inputs.cranking_rpm, slowest)}
    moments |= {name: (rpm, 1.0) for name, (rpm, _) in inputs.speeds.items()}
    volts = {name: peak_volts(inputs, rpm, share, view.strength) for name, (rpm, share) in moments.items()}
    if inputs.element == "pole" and inputs.level is not None:
        out["volts_peak_to_peak"] = {name: 2 * float(peak) for name, peak in volts.items() if peak is not None}
    return out


def _turn(angle_deg: float) -> float:
    return float(wrap_360(angle_deg))


def _rounded(value: Any) -> Any:
    """Numbers with PLACES decimals, none that is not a number; everything else as it is."""
    if isinstance(value, dict):
        return {key: _rounded(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(one) for one in value]
    if isinstance(value, float | np.floating):
        return None if not math.isfinite(value) else round(float(value), PLACES) + 0.0
    return value
