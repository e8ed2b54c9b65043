"""Verdicts on a bracket's stiffness. Numbers measured on bracket.step; limits stand in `limits`."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from wheelcad.checks.fem.campbell import Campbell, campbell
from wheelcad.checks.fem.limits import BracketLimits, limits_of, speeds_of, wanted_times
from wheelcad.checks.fem.mending_findings import mending_findings
from wheelcad.checks.fem.model import FemError, StiffnessResult
from wheelcad.checks.fem.refining import LEFT, left, rounded
from wheelcad.checks.fem.response import Peak, Speeds, WorstShake, worst, worst_by_order
from wheelcad.codes import Check
from wheelcad.findings import OWN, PRACTICE, Finding, Verdict, at_least, at_most, holds
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.common.excited import excited
from wheelcad.trade.excitation import BLOCK_G
from wheelcad.trade.resonance import DAMPING, DAMPING_RANGE
from wheelcad.words import fine, frequency, length, quantity, speed

SUBJECT = "bracket.step"
FEM = "3-D linear elasticity by finite elements"
VOLUME_AGREES = 0.5  # per cent between the meshed solid and the design


@dataclass(frozen=True)
class Judged:
    """An answer with all that it is judged by. speeds: None without an engine's, and found is then of slow shakes."""

    result: StiffnessResult
    design: BracketDesign
    limits: BracketLimits
    speeds: Speeds | None
    found: WorstShake

    @classmethod
    def of(cls, result: StiffnessResult, design: BracketDesign) -> Judged:
        """Shaken by its engine, or slowly by 10 g without one."""
        speeds = speeds_of(design)
        found = _slowly(result, design) if speeds is None else worst(result.held, speeds)
        return cls(result, design, limits_of(design), speeds, found)

    def at(self, peak: Peak) -> str:
        """When a peak is reached, and how much of it is resonance."""
        if peak.order is None or self.speeds is None:
            return f"{self.result.shake_g:g} g, no engine's speeds given, resonance left out"
        name = " + ".join(peak.order.names)
        share = peak.order.level(peak.rpm / self.speeds.max_rpm) * BLOCK_G
        return (
            f"at {speed(peak.rpm)}, where {name} shakes at {_hz(peak.order.hz(peak.rpm))} with {share:.3g} g and the "
            f"bracket ({_hz(peak.first_hz)}) answers with {peak.times:.3g} times what a slow shake does, damping "
            f"{100 * DAMPING:g} % of critical"
        )


def stiffness_findings(result: StiffnessResult, design: BracketDesign) -> list[Finding]:
    """Every verdict, in a fixed order."""
    judged = Judged.of(result, design)
    plot = campbell([mode.hz for mode in result.modes], design.asked.job.engine)
    out = [*_trust(result, design), *_resonance(judged, plot), _gap(judged), _timing(judged), _stress(judged)]
    return out + list(_slip(judged)) + list(mending_findings(result.proposals, design))


def not_solved(error: FemError) -> list[Finding]:
    """The one finding of a bracket whose stiffness could not be worked out."""
    why = "without it nothing is known of how far the bracket flexes; --no-fem builds without it"
    return [holds(Check.STIFFNESS, SUBJECT, False, str(error), why, FEM)]


def _slowly(result: StiffnessResult, design: BracketDesign) -> WorstShake:
    """The worst of steady shakes."""
    tangent = result.shakes[-1].direction
    every = [shake for held in result.held for shake in held.shakes]
    aside = max(abs(sum(a * b for a, b in zip(s.sideways_mm, tangent, strict=True))) for s in every)
    gap = max(every, key=lambda s: abs(s.gap_change_mm))
    return WorstShake(
        Peak(abs(gap.gap_change_mm), shake=gap.name),
        Peak(aside),
        Peak(max(s.stress_mpa for s in every)),
        Peak(result.shake_g),
    )


def _trust(result: StiffnessResult, design: BracketDesign) -> Iterator[Finding]:
    """Whether the answer can be trusted: the right solid, and a mesh fine enough."""
    expected = design.solid_volume
    yield at_most(
        Check.MESHED_VOLUME,
        SUBJECT,
        rounded(100 * abs(result.volume_mm3 / expected - 1), 3),
        "%",
        VOLUME_AGREES,
        f"the mesh holds {quantity(result.volume_mm3, 'volume')}, the design {quantity(expected, 'volume')}",
        OWN,
    )
    share = 100 * left(result.meshes) / result.first_hz
    why = (
        f"what still finer meshes would take off the first frequency, {frequency(result.first_hz)}, foretold by the "
        f"last two, {_meshes(result)}; error of the mesh about {frequency(result.error_hz)}; {result.method}"
    )
    yield at_most(Check.MESH_FINE_ENOUGH, SUBJECT, rounded(share, 3), "%", 100 * LEFT, why, FEM, "warn")


def _meshes(result: StiffnessResult) -> str:
    """The last two meshes and their answers."""
    return " and ".join(f"{length(m.size_mm, 1)} ({frequency(m.first_hz)})" for m in result.meshes[-2:])


def _resonance(judged: Judged, plot: Campbell | None) -> Iterator[Finding]:
    """The first frequency against the least that keeps all limits, and how far from it the engine's orders stay."""
    result, speeds = judged.result, judged.speeds
    if plot is None or speeds is None:
        return
    low, high = result.range_hz
    times = wanted_times(result.held, speeds, judged.limits)
    limit = low * times if math.isfinite(times) else math.inf
    assumed = excited(judged.design.asked.job.engine)
    why = (
        f"{_hz(low)} {result.held[0].how}, {_hz(high)} {result.held[-1].how}: a real joint lies "
        f"between them. {_separation(speeds, low, high)}. Judged by what it loses when shaken, not by how far off it is"
    )
    yield at_least(
        Check.FIRST_FREQUENCY,
        SUBJECT,
        low,
        "Hz",
        low if times <= 1.0 else rounded(limit, 4),  # rounded up, a frequency would fall short of itself
        "; ".join([why, *(assumed.assumed if assumed else ())]),
        f"{FEM}; free forces and couples by engine dynamics, from memory; shake and limits are {PRACTICE}",
        "warn",
    )
    yield _harmonics(judged, plot, speeds)


def _separation(speeds: Speeds, low: float, high: float) -> str:
    """How near the orders come between idle and the highest speed."""
    met = [o for o in speeds.orders if o.hz(speeds.idle_rpm) <= high and o.hz(speeds.max_rpm) >= low]
    if met:
        where = ", ".join(
            f"{' + '.join(o.names)} at {speed(max(o.rpm(low), speeds.idle_rpm))} to "
            f"{speed(min(o.rpm(high), speeds.max_rpm))}"
            for o in met
        )
        return f"It is met by {where}"
    top = max(speeds.orders, key=lambda o: o.order)
    apart = rounded(100 * (low / top.hz(speeds.max_rpm) - 1), 6)
    ends = _hz(top.hz(speeds.max_rpm))
    return f"Nothing meets it: it lies {apart:.0f} % above {' + '.join(top.names)}, which ends at {ends}"


def _harmonics(judged: Judged, plot: Campbell, speeds: Speeds) -> Finding:
    """Orders that take it beyond a limit, by themselves."""
    limits = judged.limits
    over = []
    for order, found in worst_by_order(judged.result.held, speeds):
        if found.gap.size > limits.gap:
            over.append(f"{speed(found.gap.rpm)} ({plot.label(order)}, gap {fine(found.gap.size)})")
        elif found.stress.size > limits.stress:
            over.append(f"{speed(found.stress.rpm)} ({plot.label(order)}, {quantity(found.stress.size, 'stress')})")
        elif found.aside.size > limits.aside or found.load.size > limits.load:
            over.append(f"{speed(found.aside.rpm)} ({plot.label(order)})")
    crossed = "; ".join(f"{speed(c.rpm)} ({plot.label_of(c.order)} meets {_hz(c.hz)})" for c in plot.crossings)
    why = (
        "orders that shake the bracket past a limit by themselves: do not hold the engine at these speeds, and look "
        f"for cracks at the bend: {'; '.join(over) or 'none does'}. Met from idle to the highest speed: "
        f"{crossed or 'none'}"
    )
    source = f"{FEM}; orders from the firing angles and the layout"
    return at_most(Check.FIRING_HARMONICS, SUBJECT, len(over), "speeds", 0, why, source, "warn")


def _spread(judged: Judged, name: str) -> str:
    """The same quantity over the range that damping may have, as a share of that at the damping assumed."""
    if judged.speeds is None:
        return ""
    here = getattr(judged.found, name).size
    if not here:
        return ""
    most, least = (getattr(worst(judged.result.held, judged.speeds, d), name).size / here for d in DAMPING_RANGE)
    low, high = (100 * d for d in DAMPING_RANGE)
    return f"; {most:.2g} times that with {low:g} %, {least:.2g} times with {high:g} %"


def _gap(judged: Judged) -> Finding:
    peak, result, gap = judged.found.gap, judged.result, judged.design.gap
    each = ", ".join(f"{fine(abs(s.gap_change_mm))} {s.name}" for s in result.held[0].shakes)
    otherwise: Verdict = "fail" if peak.size >= gap else "warn"
    return at_most(
        Check.GAP_LOST,
        SUBJECT,
        rounded(100 * peak.size / gap, 3),
        "%",
        rounded(100 * judged.limits.gap / gap, 3),
        f"share of the air gap of {length(gap)} that comes and goes, {fine(peak.size)}, shaken {peak.shake}, "
        f"{judged.at(peak)}{_spread(judged, 'gap')}. Slow shakes of {result.shake_g:g} g take {each}; signal and "
        "timing move with the gap",
        f"{FEM}; shake, damping and limit are {PRACTICE}",
        otherwise,
    )


def _timing(judged: Judged) -> Finding:
    peak, radius = judged.found.aside, judged.limits.radius
    return at_most(
        Check.TIMING_SHIFT,
        SUBJECT,
        rounded(math.degrees(math.atan2(peak.size, radius)), 3),
        "deg",
        rounded(math.degrees(math.atan2(judged.limits.aside, radius)), 4),
        f"the nose swings {fine(peak.size)} round the crank, and every edge with it, {judged.at(peak)}"
        f"{_spread(judged, 'aside')}",
        f"{FEM}; shake, damping and limit are {PRACTICE}",
        "warn",
    )


def _stress(judged: Judged) -> Finding:
    peak, result, limits = judged.found.stress, judged.result, judged.limits
    at = ", ".join(length(v, 0) for v in result.stress_at)
    otherwise: Verdict = "fail" if peak.size >= limits.strength else "warn"
    return at_most(
        Check.STRESS_SHAKEN,
        SUBJECT,
        rounded(peak.size, 4),
        "MPa",
        rounded(limits.stress, 4),
        f"highest equivalent stress {judged.at(peak)}{_spread(judged, 'stress')}; of a slow shake of "
        f"{result.shake_g:g} g it is {quantity(result.stress_mpa, 'stress')} at x, y, z = {at}, a plate's thickness or "
        f"more from the washers, which the last refinement moved by {quantity(result.stress_error_mpa, 'stress')}. A "
        f"third of the yield strength, {quantity(limits.strength, 'stress')}, leaves room for fatigue",
        f"{FEM}; shake, damping and share are {PRACTICE}",
        otherwise,
    )


def _slip(judged: Judged) -> Iterator[Finding]:
    """What pulls at the bolts when shaken, where they are known: named, or taken from their holes."""
    peak, limit = judged.found.load, judged.limits.load
    if not math.isfinite(limit):
        return
    yield at_most(
        Check.MOUNTS_HOLD_SHAKEN,
        SUBJECT,
        rounded(peak.size, 3),
        "g",
        rounded(limit, 4),
        f"the bracket's own swing pulls at its bolts as a slow shake of so many g would, {judged.at(peak)}"
        f"{_spread(judged, 'load')}; from the limit on the plate slips on the block and the gap is lost for good",
        f"{FEM}; Shigley (bolt preload); friction 0.15, shake and damping are {PRACTICE}",
        "warn",
    )


def _hz(value: float) -> str:
    """A frequency in whole hertz."""
    return quantity(value, "frequency", 0)
