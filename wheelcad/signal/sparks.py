"""Where sparks come: the last tooth before each, how long after it, and how far from the asked angle.

The controller knows the crank's place at a tooth and goes on from there by the last interval: a crank that slows gets
its spark too early, for less of the way is done than was reckoned. Errors are degrees of crank, positive early.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats, Ints
from wheelcad.signal.edges import Passing
from wheelcad.signal.inputs import Inputs, pairs_of
from wheelcad.signal.speed import Speed
from wheelcad.trade.ignition import CYCLE_DEG, us_per_degree


@dataclass(frozen=True)
class Spark:
    """One cylinder's spark. tooth, coil_on_tooth: the last before spark and coil-on, 1 the first after the gap.

    Each dict has cranking, idle, top. us: from that tooth's edge to the spark, at even speed. charge_ms: what the coil
    gets of its dwell. error_deg: positive early.
    """

    cylinder: int
    tooth: dict[str, int]
    us: dict[str, float]
    coil_on_tooth: dict[str, int]
    charge_ms: dict[str, float]
    error_deg: dict[str, float]

    def as_json(self) -> dict[str, object]:
        """As the report holds it: tooth and coil_on_tooth are those on the starter, *_at those at each speed."""
        return {
            "cylinder": self.cylinder,
            "tooth": self.tooth["cranking"],
            "us": self.us,
            "coil_on_tooth": self.coil_on_tooth["cranking"],
            "charge_ms": self.charge_ms,
            "error_deg": self.error_deg,
            "tooth_at": self.tooth,
            "coil_on_tooth_at": self.coil_on_tooth,
        }


def lag_deg(rpm: float, delay_us: float) -> float:
    """Degrees by which edges come late for a delay: 6·n·τ."""
    return 6e-6 * rpm * delay_us


def last_before(crank_deg: Floats, asked_deg: Floats) -> tuple[Ints, Floats]:
    """(index into one turn, whole turns) of the last of a turn's edges at or before any angles.

    crank_deg: (n,) ascending over one turn. asked_deg: any shape, not wrapped.
    """
    turns = np.floor((asked_deg - crank_deg[0]) / 360.0)
    within = asked_deg - 360.0 * turns
    index = np.searchsorted(crank_deg, within + 1e-9, side="right") - 1
    return index.astype(np.int64), turns


def extrapolation_early_deg(
    passing: Passing, spark_deg: Floats, speed: Speed, later_deg: Floats | float = 0.0
) -> Floats:
    """Degrees early at which sparks come that are asked at crank angles `spark_deg`.

    passing: one turn of edges where they really are, with where the controller believes them (`nominal_deg`, its first
    being true). later_deg: broadcast against spark_deg, by which the whole wheel passes later. The controller waits
    from the last edge for (asked - where it believes the edge) · last interval / (pitches in it).
    """
    moved = np.asarray(spark_deg, dtype=float) - later_deg
    n = len(passing.crank_deg)
    k, turns = last_before(passing.nominal_deg, moved)
    before = k - 1
    at = passing.crank_deg[k] + 360.0 * turns
    ahead = passing.crank_deg[before % n] + 360.0 * (turns - (before < 0))
    believed = passing.nominal_deg[k] + 360.0 * turns
    width = passing.steps[k] * passing.pitch_deg
    now, earlier = speed.when(at + later_deg), speed.when(ahead + later_deg)
    fires = now + (moved - believed) * (now - earlier) / width
    return np.asarray(spark_deg - speed.angle(fires))


def worst_error_by_place(inputs: Inputs, passing: Passing, speed: Speed, later_deg: Floats) -> Floats:
    """(p,) greatest |error| of any cylinder's spark on the starter, for places by which the wheel passes later."""
    asked = np.array(inputs.firing_deg)[None, :] - inputs.advance_cranking
    early = extrapolation_early_deg(passing, asked, speed, later_deg[:, None])
    late = lag_deg(inputs.cranking_rpm, inputs.delay_us + inputs.filter_us)
    return np.asarray(np.abs(early - late).max(axis=1))


def sparks_of(inputs: Inputs, passing: Passing, speeds: dict[str, Speed]) -> tuple[Spark, ...]:
    """Every cylinder's spark, by cylinder number. speeds: the cycle's Speed at cranking, idle and top.

    The edges' delay and the controller's filter make sparks late by 6·n·τ; that is in error_deg.
    """
    out = []
    errors = {
        name: extrapolation_early_deg(passing, np.array(inputs.firing_deg) - advance, speeds[name])
        - lag_deg(rpm, inputs.delay_us + inputs.filter_us)
        for name, (rpm, advance) in inputs.speeds.items()
    }
    for i, (cylinder, firing, every) in enumerate(
        zip(inputs.order, inputs.firing_deg, inputs.coil_every_deg, strict=True)
    ):
        tooth, us, coil, charge = {}, {}, {}, {}
        for name, (rpm, advance) in inputs.speeds.items():
            spark = firing - advance
            k, turns = last_before(passing.nominal_deg, np.array([spark]))
            tooth[name] = int(k[0]) + 1
            us[name] = float((spark - passing.nominal_deg[k[0]] - 360.0 * turns[0]) * us_per_degree(rpm))
            charge[name] = min(inputs.dwell_ms, every * us_per_degree(rpm) / 1e3)
            on = spark - charge[name] * 6e-3 * rpm
            coil[name] = int(last_before(passing.nominal_deg, np.array([on]))[0][0]) + 1
        error = {name: float(values[i]) for name, values in errors.items()}
        out.append(Spark(cylinder, tooth, us, coil, charge, error))
    return tuple(sorted(out, key=lambda spark: spark.cylinder))


def rotor_window_deg(inputs: Inputs) -> float:
    """Degrees of distributor over which the rotor must meet its post: half the advance's range, at half speed."""
    return (inputs.advance_most - inputs.advance_least) / 2


def each_turn_deg(inputs: Inputs) -> dict[int, float]:
    """Cylinders whose own coil fires every turn, and where in a turn: `wasted` where nobody fires 360 degrees away."""
    if inputs.spark != "wasted":
        return {}
    paired = {cylinder for pair in pairs_of(inputs) for cylinder in pair}
    return {
        cylinder: float(angle % (CYCLE_DEG / 2))
        for cylinder, angle in zip(inputs.order, inputs.firing_deg, strict=True)
        if cylinder not in paired
    }
