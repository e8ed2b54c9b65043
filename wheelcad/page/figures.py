"""The few numbers that the design page shows large: each a name, its value in words, and what it was before."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from wheelcad.job.elements import times_on_of
from wheelcad.parts.design import Design
from wheelcad.words import Words

ESTIMATE = "estimate: one mass on a spring"


@dataclass(frozen=True)
class Figure:
    """name: for programs. label: for people. text: the value in the job's unit, "" while it is worked out. was: what it
    was before the last change, "" where that did not change it. note: how sure it is, or what it is held against."""

    name: str
    label: str
    text: str
    was: str = ""
    note: str = ""


def design_figures(design: Design) -> tuple[Figure, ...]:
    """What follows from the design alone."""
    return tuple(_of(design, Words(design.job.units)))


def _of(design: Design, words: Words) -> Iterator[Figure]:
    wheel, sensor = design.wheel, design.job.sensor
    if sensor is not None:
        face = f"sensor's face {words.length(sensor.face_diameter)}" if sensor.face_diameter else ""
        yield Figure("tooth_top", "Tooth top", words.length(wheel.tooth_top_mm), note=face)
        yield Figure("air_gap", "Air gap", words.length(sensor.air_gap), note="set with a feeler gauge, engine cold")
        report = design.ignition.report()
        use = report.get("use_deg")
        if isinstance(use, float | int):
            edge = {"leading": "leading edge", "trailing": "trailing edge", "centre": "tooth's centre"}
            note = f"first {edge[times_on_of(sensor)]} after the gap: what the controller is told"
            yield Figure("edge_to_tdc", "Edge to TDC", words.quantity(float(use), "angle"), note=note)
    else:
        yield Figure("tooth_top", "Tooth top", words.length(wheel.tooth_top_mm))
    balance: dict[str, Any] = design.balance.report()
    left, limit = balance["after"]["unbalance_g_mm"], balance.get("permissible_g_mm")
    note = f"allowed {words.quantity(float(limit), 'unbalance')}" if limit else "no limit: no engine's speed, no grade"
    yield Figure("unbalance", "Unbalance left", words.quantity(float(left), "unbalance"), note=note)
    if design.bracket is not None:
        hz = words.quantity(design.bracket.first_frequency_hz, "frequency", 0)
        yield Figure("first_frequency", "First frequency", hz, note=ESTIMATE)


def slow_figures(slow: Mapping[str, Any] | None, units: str) -> tuple[Figure, ...]:
    """Timing error and sync margin from what the slow work found; without values while it is under way."""
    words = Words(units)
    timing = sync = ""
    notes = ["being worked out", "being worked out"]
    if slow is not None:
        notes = [str(slow.get("why", "")), str(slow.get("why", ""))]
        if isinstance(slow.get("after_trim_95_deg"), float):
            timing, notes[0] = f"± {words.quantity(slow['after_trim_95_deg'], 'angle')}", "95 % of wheels, after trim"
        if isinstance(slow.get("margin"), float):
            sync, notes[1] = f"{slow['margin']:.2f}", str(slow.get("margin_note", ""))
    return (
        Figure("timing_error", "Timing error after trim", timing, note=notes[0]),
        Figure("sync_margin", "Sync margin", sync, note=notes[1]),
    )


def compared(now: tuple[Figure, ...], before: Mapping[str, str]) -> tuple[Figure, ...]:
    """The figures, each with what it was where it was something else. before: name -> text."""
    return tuple(
        replace(figure, was=old)
        if (old := before.get(figure.name, "")) and figure.text and old != figure.text
        else figure
        for figure in now
    )
