"""What the bracket's drawing must say in words: bending, welding, setting the gap, bolts."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from wheelcad.job.models import Job
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.sensor.design import SensorBody, nominal_of
from wheelcad.trade.fits import iso2768_m
from wheelcad.trade.threads import CAST_IRON_ENGAGEMENT_D, CHASED_THREAD_NOTE
from wheelcad.units import length_text

HAND_BEND = 1.0  # mm: how true a bend made by hand comes out; common practice, no source
BRAKE_BEND = 0.5  # mm: how true a pressed bend comes out; common practice, no source


def fold_tolerance(design: BracketDesign) -> float:
    """How far the tab may stand from where it should, ± mm; 0 without bends."""
    if not design.bends:
        return 0.0
    return HAND_BEND if design.hand_bent else BRAKE_BEND


def axis_tolerance(design: BracketDesign, mount_face_mm: float) -> float:
    """How far the sensor's axis may miss its place along the crank, ± mm: by folding, or by ISO 2768-m."""
    return max(fold_tolerance(design), iso2768_m(max(abs(mount_face_mm), 0.5)))


def with_notes(design: BracketDesign, job: Job, body: SensorBody) -> BracketDesign:
    """The design with its notes, lengths in the job's unit."""
    notes = ["The outline is cut from bracket-flat.dxf; the sizes here are for checking it."]
    notes += _bending(design, job)
    notes += _setting(design, job, body)
    notes += _bolts(job)
    notes.append("Turn the crank by hand through two whole turns before the starter is used.")
    return replace(design, notes=tuple(notes))


def _bending(design: BracketDesign, job: Job) -> list[str]:
    say = partial(length_text, units=job.units)
    notes = [
        f"Drill {hole.name} ⌀{say(hole.diameter)} on its centre mark: too small for the plasma table in this plate."
        if hole.round
        else f"Drill both ends of the slot of {hole.name} ⌀{say(hole.diameter)} on their marks and saw out between: "
        "too narrow for the plasma table in this plate."
        for hole in design.holes
        if hole.drill
    ]
    tolerance = say(fold_tolerance(design))
    if design.hand_bent and design.bends:
        notes.append(
            "Grip the arm in the vice up to the bend line, bend by hand along the slits, then weld them up from "
            f"outside. Such a bend is good to about ±{tolerance} and pulls in welding: tack, check, then weld."
        )
        if job.bracket is not None and job.bracket.hand_bend is None:
            notes.append(
                "Bend a slit test strip of the same plate first; its allowance goes into the job as hand_bend."
            )
    elif design.bends:
        notes.append(f"Press the bend on its line; a pressed bend is good to about ±{tolerance}.")
    if design.bends:
        notes.append("Bend across the rolling direction. Bends run from edge to edge: no relief cuts are needed.")
    if design.gussets:
        notes.append("Weld the gussets in last, in short runs from alternate sides; check that the tab stays square.")
    return notes


def _setting(design: BracketDesign, job: Job, body: SensorBody) -> list[str]:
    say = partial(length_text, units=job.units)
    gap = say(design.gap)
    if abs(design.look[2]) > 0.5:
        by = "the barrel's nuts" if body.barrel else "shims between block and arm"
        return [f"The air gap of {gap} is set with {by}; the slots set the radius the sensor looks at."]
    notes = [
        f"The air gap of {gap} is set with the slots, engine stopped. From the drawn place the nose touches the wheel "
        f"{gap} further in; the slots let the bracket out by {say(design.travel_to)}."
    ]
    if job.bracket is not None:
        off = say(axis_tolerance(design, job.bracket.mount_face))
        means = "; the slots in the tab line it up" if job.bracket.adjust_along else ""
        notes.append(f"The sensor's axis meets the middle of the tooth ring within ±{off} along the crank{means}.")
    return notes


def _bolts(job: Job) -> list[str]:
    threads = sorted({m.thread for m in (job.bracket.mounts if job.bracket is not None else ()) if m.thread})
    if not threads:
        return []
    depths = ", ".join(
        f"{name} {length_text(CAST_IRON_ENGAGEMENT_D * nominal_of(name), job.units)}" for name in threads
    )
    return [f"Thread the bolts should engage in a cast iron block, at least: {depths}. {CHASED_THREAD_NOTE}"]
