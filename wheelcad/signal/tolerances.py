"""How well the shop works and what the engine adds: everything the timing budget rests on, given or assumed.

Degrees of crank and mm; 95 per cent limits where nothing else is said. Assumptions are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from wheelcad.job.consistency import form_of
from wheelcad.job.models import Job
from wheelcad.signal.edges import Edges
from wheelcad.signal.inputs import Input
from wheelcad.trade.assumed import assumed
from wheelcad.trade.fits import likely_bolt_mm

DIAL_STEP_DEG = 0.1  # of a table of which nothing is said; common practice, no source
LAYOUT_DEG = 0.25  # of the gap against the TDC line, from line to table or pointer; common practice, no source
TORSION_DEG = 0.2  # of the crank (and a rubber ring) at top speed, a 95 per cent limit; common practice, no source
BY_HAND_MM = 0.3  # of a slot marked, sawn and filed, a 95 per cent limit; common practice, no source


@dataclass(frozen=True)
class Skill:
    """Everything about the shop's work. dial_deg: a rectangle's half-width, each slot its own. table_deg: amplitude of
    one sine a turn. centring_mm: a full indicator reading. clearance_mm: diametral, 0 for a wheel that stays on its
    seat. by_hand_deg: of a slot filed by hand. layout_deg: of the gap against the TDC line. bracket_mm: how far the
    sensor sways round the crank at top speed. gap_hot_mm: greater gap on a hot engine. rows: all of it, printed.
    """

    dial_deg: float
    table_deg: float
    by_hand_deg: float
    centring_mm: float
    clearance_mm: float
    tdc_mark_deg: float
    stop_marks_deg: float
    sensor_angle_mm: float
    layout_deg: float
    light_deg: float
    gap_hot_mm: float
    torsion_deg: float
    bracket_mm: float
    rows: tuple[Input, ...] = ()

    def but(self, **changes: float) -> Skill:
        """The same with other values."""
        return replace(self, **changes)  # type: ignore[arg-type]


def work_of(job: Job, edges: Edges, report: Mapping[str, Any], *, real: bool = False) -> Skill:
    """What the job says, or is assumed. report: report.json's dict, {} before a build (bracket's sway, gauge's play).

    real: edges are a finished wheel's, as measured: nothing is added for how it was made.
    """
    rows: list[Input] = []

    def note(key: str, value: Any, given: bool) -> Any:
        rows.append(Input(key, value, given))
        return value

    def take(name: str, usual: float | None = None) -> float:
        said, key = getattr(job.tolerances, name, None), f"tolerances.{name}"
        usual = assumed(key) if usual is None else usual
        return float(note(key, usual if said is None else said, said is not None))

    found = job.wheel.as_found
    made = not real and not (found is not None and found.toothed)
    by_hand = made and job.shop.slots_by == "hand"
    hand_deg = float(np.degrees(BY_HAND_MM / edges.radius_mm)) if by_hand else 0.0
    if by_hand:
        note("a slot marked and filed by hand", BY_HAND_MM, False)
    elif not made:
        note("slots", "cut already: nothing is added for the rotary table", True)
    table = take("table_accuracy") if made and not by_hand else 0.0
    dial = take("dial_reading", _half_step(job)) if made and not by_hand else 0.0
    return Skill(
        dial_deg=dial,
        table_deg=table,
        by_hand_deg=hand_deg,
        centring_mm=0.0 if real else take("centring"),
        clearance_mm=_clearance(job, take, note),
        tdc_mark_deg=take("tdc_mark"),
        stop_marks_deg=take("stop_marks"),
        sensor_angle_mm=_sensor_place(job, report, take, note),
        layout_deg=_layout(report, note),
        light_deg=take("light_reading"),
        gap_hot_mm=take("gap_hot"),
        torsion_deg=note("crank torsion and rubber ring at top speed", TORSION_DEG, False),
        bracket_mm=_sway(report, note),
        rows=tuple(rows),
    )


def _sensor_place(job: Job, report: Mapping[str, Any], take: Callable[[str], float], note: Any) -> float:
    """How far the sensor may stand from its place round the crank: as the job says, or as well as the survey knows the
    worst of its mounts, or assumed."""
    said = getattr(job.tolerances, "sensor_angle", None)
    held = report.get("survey")
    points = held.get("points") if isinstance(held, dict) else None
    if said is not None or not points:
        return take("sensor_angle")
    worst = max(float(point["within_95_mm"]) for point in points)
    note("survey's ± of the mounts", round(worst, 6), True)
    return worst


def _half_step(job: Job) -> float:
    """Half a division of the table's dial."""
    table = job.shop.rotary_table
    return (DIAL_STEP_DEG if table is None else table.dial_step) / 2


def _clearance(job: Job, take: Callable[..., float], note: Any) -> float:
    """Diametral play of what centres the wheel on the crank; a pulley that was turned goes back on its own seat."""
    if getattr(job.tolerances, "bore_clearance", None) is not None or form_of(job) != "plate":
        return take("bore_clearance", 0.0)
    pilot, bolts = job.pilot, job.bolts
    if pilot is not None and job.wheel.bore is not None:
        value, key = job.wheel.bore - pilot.diameter, "play of the bore on its pilot"
    elif bolts is not None and (bolt := likely_bolt_mm(bolts.hole)) is not None:
        value, key = bolts.hole - bolt, "play of the wheel on its bolts"
    else:
        return take("bore_clearance")
    note(key, round(max(value, 0.0), 6), True)
    return max(value, 0.0)


def _layout(report: Mapping[str, Any], note: Any) -> float:
    loose = report.get("gauge", {}).get("loose_on_bolts_deg") if isinstance(report.get("gauge"), dict) else None
    if isinstance(loose, int | float):
        return float(note("gauge's play on its bolts", loose, True))
    return float(note("layout of the gap against the TDC line", LAYOUT_DEG, False))


def _sway(report: Mapping[str, Any], note: Any) -> float:
    """Greatest sideways shift of the sensor when the bracket is shaken, as the finite elements have it."""
    held = report.get("bracket")
    stiffness = held.get("stiffness") if isinstance(held, dict) else None
    if not isinstance(stiffness, dict):
        note("bracket's sway", "not known before a build with its finite elements: none taken", False)
        return 0.0
    sway = max((float(np.linalg.norm(shake["sideways_mm"])) for shake in stiffness["shakes"]), default=0.0)
    note("bracket's sway when shaken", round(sway, 6), True)
    return sway
