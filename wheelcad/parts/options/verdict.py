"""The one rule that decides each pattern: the first that is broken, or for a pattern that keeps all, the closest.

Rules stand in the order of their weight: what cannot be made, what the sensor cannot follow, what its maker advises
against, what the controller lacks. A failed rule outweighs every warning.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from wheelcad.findings import Verdict
from wheelcad.parts.options.ground import Ground
from wheelcad.parts.options.least import LEAST_ROOT
from wheelcad.parts.options.reach import Bools, Ints, TableReach
from wheelcad.parts.wheel.design import LEAST_TOOTH
from wheelcad.trade.loop import Floats
from wheelcad.trade.sensing import surface_speed_m_s
from wheelcad.units import length_text

FEWEST = 12  # positions: the practical least (common practice, no source)
POOR_SETTING_DEG = 0.1  # a setting error from which a controller's timing suffers (our judgement)
WHOLE = 1e-6
Words = Callable[[int], str]


@dataclass(frozen=True)
class Decision:
    """A verdict and its reason a pattern. hopeless: no diameter would cure it."""

    verdicts: list[Verdict]
    reasons: list[str]
    hopeless: Bools


@dataclass(frozen=True)
class Rule:
    """broken: by pattern. words: why, of one pattern by its index. share: how much more there is than wanted, at least
    1 where the rule is kept; None for a rule without a measure."""

    verdict: Verdict
    broken: Bools
    words: Words
    share: Floats | None = None


def decide(
    ground: Ground,
    teeth: Ints,
    missing: Ints,
    tooth_rim: Floats,
    tooth_root: Floats,
    tooth_seen: Floats,
    slot_seen: float,
    rate: Floats,
    pitches: Floats,
    reach: TableReach | None,
) -> Decision:
    """Hold every pattern against every rule. Arrays (n,), pitches (n, k); lengths mm, rate Hz, NaN where unknown."""
    few = teeth - missing < 2
    made = _can_be_made(ground, few, tooth_rim, teeth)
    rated, too_fast = _rate(ground, rate)
    rules = [*made, *rated, *_sensor(ground, tooth_root, tooth_seen, slot_seen), *_controller(ground, teeth, missing)]
    if reach is not None:
        rules.append(_setting(reach))
    if pitches.shape[1]:
        rules.append(_firing(pitches))
    rules += _full_signal(ground, slot_seen, len(teeth))
    return _first_of(rules, len(teeth), few | too_fast)


def _first_of(rules: list[Rule], count: int, hopeless: Bools) -> Decision:
    order = sorted(rules, key=lambda rule: rule.verdict != "fail")  # failures first, else as they stand
    broken = np.array([rule.broken for rule in order])
    first = np.where(broken.any(axis=0), broken.argmax(axis=0), -1).tolist()
    measured = [rule for rule in order if rule.share is not None]
    shares = np.array([rule.share for rule in measured]).reshape(len(measured), count)
    closest = np.where(np.isnan(shares), np.inf, shares).argmin(axis=0).tolist() if measured else [0] * count
    verdicts: list[Verdict] = [order[k].verdict if k >= 0 else "pass" for k in first]
    reasons = [
        order[k].words(i)
        if k >= 0
        else f"closest: {measured[closest[i]].words(i)}"
        if measured
        else "nothing against it"
        for i, k in enumerate(first)
    ]
    return Decision(verdicts, reasons, hopeless)


def _at_least(ground: Ground, what: str, value: Floats | float, least: float, count: int, whose: str = "") -> Rule:
    """A warning where `value` (mm) is below `least`."""
    values = np.broadcast_to(np.asarray(value, dtype=float), (count,))
    limit = length_text(least, ground.units)
    for_whom = f" for {whose}" if whose else ""

    def words(i: int) -> str:
        return f"{what} {_rounded(float(values[i]), ground.units)}, at least {limit} wanted{for_whom}"

    share = values / least if least > 0 else None
    return Rule("warn", values < least - 1e-9, words, share)


def _rounded(value: float, units: str) -> str:
    return f"{value / 25.4:.3f} in" if units == "in" else f"{value:.2f} mm"


def _can_be_made(ground: Ground, few: Bools, tooth_rim: Floats, teeth: Ints) -> list[Rule]:
    slot, units = ground.slot, ground.units
    width = length_text(slot.width, units)
    none = tooth_rim < LEAST_TOOTH
    meet = 2 * slot.widest_half_deg >= 360.0 / teeth
    no_cutter = np.full(len(teeth), not ground.cutter_fits)
    cutter = length_text(ground.cutter_mm or 0.0, units)
    return [
        Rule("fail", few, lambda i: "fewer than two teeth are left"),
        Rule("fail", none, lambda i: f"a slot of {width} is as wide as the pitch: no tooth is left"),
        Rule("fail", meet, lambda i: "the slots run into each other at their floors"),
        Rule("fail", no_cutter, lambda i: f"the cutter, {cutter}, does not go down the slot"),
    ]


def _rate(ground: Ground, rate: Floats) -> tuple[list[Rule], Bools]:
    """Teeth a second at max_speed against the sensor."""
    most = ground.wants.max_rate_hz
    if most is None or ground.max_rpm is None:
        return [], np.zeros(len(rate), dtype=bool)
    over = rate > most

    def words(i: int) -> str:
        return f"{rate[i] / 1000:.2f} kHz at {ground.max_rpm:g} rpm, the sensor follows {most / 1000:g} kHz"

    return [Rule("fail", over, words, most / rate)], over


def _sensor(ground: Ground, tooth_root: Floats, tooth_seen: Floats, slot_seen: float) -> list[Rule]:
    wants, slot, count = ground.wants, ground.slot, len(tooth_seen)
    # looking along, the ring's radial depth is the face the sensor sees and its thickness the depth of a slot
    face, depth = (slot.depth, ground.thickness) if wants.along else (ground.thickness, slot.depth)
    rules = [
        _at_least(ground, "tooth top", tooth_seen, wants.tooth, count, wants.whose),
        _at_least(ground, "slot", slot_seen, wants.slot, count, wants.whose),
        _at_least(ground, "slot depth", depth, max(wants.depth, wants.depth_per_slot * slot_seen), count, wants.whose),
        _at_least(ground, "ring", face, wants.face, count, wants.whose),
        _at_least(ground, "tooth root", tooth_root, LEAST_ROOT, count),
    ]
    speed = surface_speed_m_s(2 * ground.looks_at, wants.cranking_rpm)
    if wants.speed_m_s > 0:
        slow = np.full(count, speed < wants.speed_m_s)
        said = f"rim speed {speed:.2f} m/s at cranking, {wants.speed_m_s:.2f} m/s wanted for {wants.whose}"
        rules.append(Rule("warn", slow, lambda i: said, np.full(count, speed / wants.speed_m_s)))
    return rules


def _controller(ground: Ground, teeth: Ints, missing: Ints) -> list[Rule]:
    few = f"fewer than {FEWEST} positions leave the controller guessing between teeth"
    gapless = (missing == 0) & (not ground.cam)
    return [
        Rule("warn", gapless, lambda i: "no gap: needs a controller with a cam signal"),
        Rule("warn", teeth < FEWEST, lambda i: few),
    ]


def _setting(reach: TableReach) -> Rule:
    poor = ~reach.exact & (reach.error_deg > POOR_SETTING_DEG)
    return Rule("warn", poor, lambda i: f"table settings up to {reach.error_deg[i]:.3g} deg off by the dial")


def _firing(pitches: Floats) -> Rule:
    off = np.abs(pitches - np.round(pitches))
    worst = pitches[np.arange(len(pitches)), off.argmax(axis=1)]
    words: Words = lambda i: f"firings are {worst[i]:.4g} pitches apart, not a whole number"  # noqa: E731
    return Rule("warn", off.max(axis=1) > WHOLE, words)


def _full_signal(ground: Ground, slot_seen: float, count: int) -> list[Rule]:
    """A pickup's slot of three poles, which many good wheels do without: after everything else."""
    full = ground.wants.full_slot
    return [_at_least(ground, "slot", slot_seen, full, count, "a pickup's full signal")] if full > 0 else []
