"""Verdicts on a bracket's stiffness. Numbers measured on bracket.step; limits stated once, here."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from wheelcad.checks.fem.campbell import Campbell, campbell
from wheelcad.checks.fem.model import Change, FemError, StiffnessResult
from wheelcad.checks.fem.stiffness import STANDS_STILL, rounded
from wheelcad.codes import Check
from wheelcad.findings import Finding, Verdict, at_least, at_most, holds
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.common.stack import looking_radius
from wheelcad.trade.excitation import MARGIN
from wheelcad.trade.materials import material
from wheelcad.words import fine, frequency, length, quantity, speed

SUBJECT = "bracket.step"
FEM = "3-D linear elasticity by finite elements"
PRACTICE = "common practice, no source"
GAP_LOST = 20.0  # per cent of the air gap at 10 g; common practice, no source
TIMING_LOST = 0.1  # degrees of crank at 10 g; common practice, no source
YIELD_SHARE = 1 / 3  # of the yield strength at 10 g: room for fatigue at welds and bends; common practice, no source
VOLUME_AGREES = 0.5  # per cent between the meshed solid and the design


def stiffness_findings(result: StiffnessResult, design: BracketDesign) -> list[Finding]:
    """Every verdict, in a fixed order."""
    plot = campbell([mode.hz for mode in result.modes], design.asked.job.engine)
    out = list(_trust(result, design))
    out += _resonance(result, plot)
    out += _gap(result, design)
    out.append(_stress(result, design))
    return out + list(_proposals(result, plot))


def not_solved(error: FemError) -> list[Finding]:
    """The one finding of a bracket whose stiffness could not be worked out."""
    why = "without it nothing is known of how far the bracket flexes; --no-fem builds without it"
    return [holds(Check.STIFFNESS, SUBJECT, False, str(error), why, FEM)]


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
        "computed from the job's own numbers",
    )
    first = [step.first_hz for step in result.meshes]
    moved = 100 * abs(first[-1] / first[-2] - 1) if len(first) > 1 else math.inf
    yield at_most(
        Check.MESH_FINE_ENOUGH,
        SUBJECT,
        rounded(moved, 3),
        "%",
        100 * STANDS_STILL,
        f"the last refinement moved the first frequency by this much, to {frequency(result.first_hz)}, error about "
        f"{frequency(result.error_hz)}; {result.method}",
        FEM,
        "warn",
    )


def _resonance(result: StiffnessResult, plot: Campbell | None) -> Iterator[Finding]:
    if plot is None:
        return
    firing = plot.firing_order * plot.max_speed_rpm / 60
    crossed = 60 * result.first_hz / plot.firing_order
    swing = result.modes[0]
    share = f"{100 * swing.gap_share:.0f} % of its swing is in the air gap"
    why = (
        f"firing shakes the engine at {_hz(firing)} at {speed(plot.max_speed_rpm)}; a third above it the bracket "
        f"does not answer. This one answers at {speed(crossed)}; {share}"
    )
    yield at_least(
        Check.FIRST_FREQUENCY,
        SUBJECT,
        result.first_hz,
        "Hz",
        rounded(MARGIN * firing, 4),
        why,
        f"{FEM}; the margin is {PRACTICE}",
        "warn",
    )
    others = [c for c in plot.crossings if abs(c.order - plot.firing_order) > 1e-9]
    names = {order.order: plot.label(order) for order in plot.orders}
    met = "; ".join(f"{speed(c.rpm)} ({names[c.order]} meets {_hz(c.hz)})" for c in others) or "none is met"
    yield at_most(
        Check.FIRING_HARMONICS,
        SUBJECT,
        len(others),
        "speeds",
        0,
        "weaker orders of firing that meet a natural frequency up to the highest speed, where the bracket may buzz: do "
        f"not hold the engine there for long, and look for cracks at the bend: {met}",
        f"{FEM}; orders from the firing angles",
        "note",
    )


def _gap(result: StiffnessResult, design: BracketDesign) -> Iterator[Finding]:
    worst = max(result.shakes, key=lambda s: abs(s.gap_change_mm))
    lost = rounded(100 * abs(worst.gap_change_mm) / design.gap, 3)
    each = ", ".join(f"{fine(abs(s.gap_change_mm))} {s.name}" for s in result.shakes)
    otherwise: Verdict = "fail" if lost >= 100 else "warn"
    yield at_most(
        Check.GAP_LOST,
        SUBJECT,
        lost,
        "%",
        GAP_LOST,
        f"share of the air gap of {length(design.gap)} that {result.shake_g:g} g takes up and gives back, worst "
        f"{worst.name} ({each}); signal and timing move with the gap",
        f"{FEM}; the limit is {PRACTICE}",
        otherwise,
    )
    tangent = np.array(next(s.direction for s in result.shakes if s.name == "round the crank"))
    aside = max(abs(float(np.dot(s.sideways_mm, tangent))) for s in result.shakes)
    job, sensor = design.asked.job, design.asked.sensor
    radius = looking_radius(sensor, job.wheel.outside_diameter / 2, job.wheel.slot.depth)
    degrees = math.degrees(math.atan2(aside, radius))
    yield at_most(
        Check.TIMING_SHIFT,
        SUBJECT,
        rounded(degrees, 3),
        "deg",
        TIMING_LOST,
        f"{result.shake_g:g} g moves the nose {fine(aside)} round the crank, and every edge with it",
        f"{FEM}; the limit is {PRACTICE}",
        "warn",
    )


def _stress(result: StiffnessResult, design: BracketDesign) -> Finding:
    metal = material(design.material)
    at = ", ".join(length(v, 0) for v in result.stress_at)
    otherwise: Verdict = "fail" if result.stress_mpa >= metal.strength_mpa else "warn"
    return at_most(
        Check.STRESS_SHAKEN,
        SUBJECT,
        result.stress_mpa,
        "MPa",
        rounded(YIELD_SHARE * metal.strength_mpa, 4),
        f"highest equivalent stress at {result.shake_g:g} g, at x, y, z = {at}, a plate's thickness or more from "
        f"the bolt heads; a third of the yield strength, {quantity(metal.strength_mpa, 'stress')}, leaves room for "
        f"fatigue. The last refinement moved it by {quantity(result.stress_error_mpa, 'stress')}; near "
        "firing resonance it is many times higher",
        f"{FEM}; the share is {PRACTICE}",
        otherwise,
    )


def _proposals(result: StiffnessResult, plot: Campbell | None) -> Iterator[Finding]:
    """What would stiffen it, scaled from the coarse mesh to the fine answer; warned where the bracket needs it."""
    needed = 0.0 if plot is None else MARGIN * plot.firing_order * plot.max_speed_rpm / 60
    verdict: Verdict = "pass" if result.first_hz >= needed else "warn"
    number = 0
    for proposal in result.proposals:
        hz = would_give(proposal, result)
        if hz is None or hz <= result.first_hz:
            continue
        number += 1
        most = "helps most of the single changes tried; " if number == 1 else ""
        enough = "" if not needed else (", enough" if hz >= needed else f", short of the {_hz(needed)} wanted")
        yield Finding(
            Check(f"stiffer-{proposal.name}"),
            SUBJECT,
            hz,
            "Hz",
            result.first_hz,
            verdict,
            f"{most}{proposal.what} would bring the first frequency from {_hz(result.first_hz)} to {_hz(hz)}{enough}",
            f"{FEM}, compared on a coarse mesh",
        )


def would_give(proposal: Change, result: StiffnessResult) -> float | None:
    """First frequency, Hz, that a proposal would give: the fine answer times the coarse meshes' ratio; None without."""
    return None if proposal.first_hz is None else rounded(result.first_hz * proposal.first_hz / result.base_hz, 4)


def _hz(value: float) -> str:
    """A frequency in whole hertz."""
    return quantity(value, "frequency", 0)
