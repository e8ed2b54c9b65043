"""The few numbers that the design page shows large: each a name, its value in words, and what it was before."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from wheelcad.job.elements import times_on_of
from wheelcad.job.models import Job
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.design import Design, kept_bracket
from wheelcad.parts.ignition import IgnitionDesign, design_ignition
from wheelcad.parts.kept import Memory
from wheelcad.parts.places import settled
from wheelcad.parts.wheel.design import WheelDesign, design_wheel
from wheelcad.words import Words

BY_ELEMENTS = "finite elements, one mesh: good to a few per cent; a build refines it"
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
    words = Words(design.job.units)
    of_wheel = _wheel(design.job, design.wheel, design.ignition, words)
    return (*of_wheel, _unbalance(design, words), *_bracket(design.bracket, words))


def quick_figures(job: Job, of_last: tuple[Figure, ...], kept: Memory | None = None) -> tuple[Figure, ...]:
    """Those that wheel and bracket alone tell, in a few milliseconds; the others as they were, not known yet.

    kept: of the design before; the bracket is kept there for the design that follows.

    DesignError where the wheel or the bracket cannot be.
    """
    job = settled(job)
    words, wheel = Words(job.units), design_wheel(job)
    of_wheel = _wheel(job, wheel, design_ignition(job.engine, job.sensor, wheel), words)
    fresh = [*of_wheel, *_bracket(kept_bracket(job, kept or Memory()), words)]
    quick = {figure.name: figure for figure in fresh}
    return tuple(quick.get(old.name, replace(old, text="")) for old in of_last) if of_last else tuple(fresh)


def _wheel(job: Job, wheel: WheelDesign, ignition: IgnitionDesign, words: Words) -> Iterator[Figure]:
    sensor = job.sensor
    if sensor is not None:
        face = f"sensor's face {words.length(sensor.face_diameter)}" if sensor.face_diameter else ""
        yield Figure("tooth_top", "Tooth top", words.length(wheel.tooth_top_mm), note=face)
        yield Figure("air_gap", "Air gap", words.length(sensor.air_gap), note="set with a feeler gauge, engine cold")
        report = ignition.report()
        use = report.get("use_deg")
        if isinstance(use, float | int):
            edge = {"leading": "leading edge", "trailing": "trailing edge", "centre": "tooth's centre"}
            note = f"first {edge[times_on_of(sensor)]} after the gap: what the controller is told"
            yield Figure("edge_to_tdc", "Edge to TDC", words.quantity(float(use), "angle"), note=note)
    else:
        yield Figure("tooth_top", "Tooth top", words.length(wheel.tooth_top_mm))


def _unbalance(design: Design, words: Words) -> Figure:
    balance: dict[str, Any] = design.balance.report()
    left, limit = balance["after"]["unbalance_g_mm"], balance.get("permissible_g_mm")
    note = f"allowed {words.quantity(float(limit), 'unbalance')}" if limit else "no limit: no engine's speed, no grade"
    return Figure("unbalance", "Unbalance left", words.quantity(float(left), "unbalance"), note=note)


def _bracket(bracket: BracketDesign | None, words: Words) -> Iterator[Figure]:
    if bracket is not None:
        hz = words.quantity(bracket.first_frequency_hz, "frequency", 0)
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


def with_first_frequency(figures: tuple[Figure, ...], hz: float, units: str) -> tuple[Figure, ...]:
    """The figures with the first natural frequency by finite elements in place of the estimate."""
    text = Words(units).quantity(hz, "frequency", 0)
    return tuple(replace(f, text=text, note=BY_ELEMENTS) if f.name == "first_frequency" else f for f in figures)


def compared(now: tuple[Figure, ...], before: Mapping[str, str]) -> tuple[Figure, ...]:
    """The figures, each with what it was where it was something else. before: name -> text."""
    return tuple(
        replace(figure, was=old)
        if (old := before.get(figure.name, "")) and figure.text and old != figure.text
        else figure
        for figure in now
    )
