"""What the bracket's drawing must say in words: bending, welding, setting the gap, bolts."""

from __future__ import annotations

from collections.abc import Sequence

from wheelcad.job.models import Bracket
from wheelcad.parts.bracket.drawn import Drawn
from wheelcad.parts.bracket.model import Asked, Hole
from wheelcad.trade.bending import setback
from wheelcad.trade.fits import iso2768_m
from wheelcad.trade.threads import CAST_IRON_ENGAGEMENT_D, CHASED_THREAD_NOTE, nominal_mm
from wheelcad.words import diameter, length

HAND_BEND = 1.0  # mm: how true a bend made by hand comes out; common practice, no source
BRAKE_BEND = 0.5  # mm: how true a pressed bend comes out; common practice, no source


def fold_tolerance(bracket: Bracket, bends: int) -> float:
    """How far the tab may stand from where it should, ± mm; 0 without bends."""
    if not bends:
        return 0.0
    return HAND_BEND if bracket.bends == "hand" else BRAKE_BEND


def axis_tolerance(bracket: Bracket, bends: int) -> float:
    """How far the sensor's axis may miss its place along the crank, ± mm: by folding, or by ISO 2768-m."""
    return max(fold_tolerance(bracket, bends), iso2768_m(max(abs(bracket.mount_face), 0.5)))


def notes(asked: Asked, drawn: Drawn, holes: Sequence[Hole]) -> tuple[str, ...]:
    """What the drawing says, one sentence or two each."""
    return (
        "The outline is cut from bracket-flat.dxf; the sizes here are for checking it.",
        *(_drilling(hole) for hole in holes if hole.drill),
        *_bending(asked.bracket, drawn),
        *_setting(asked, drawn),
        *_bolts(asked.bracket),
        "Turn the crank by hand through two whole turns before the starter is used.",
    )


def _drilling(hole: Hole) -> str:
    size = diameter(hole.diameter)
    if hole.round:
        return f"Drill {hole.name} {size} on its centre mark: too small for the plasma table in this plate."
    return (
        f"Drill both ends of the slot of {hole.name} {size} on their marks and saw out between: "
        "too narrow for the plasma table in this plate."
    )


def _bending(bracket: Bracket, drawn: Drawn) -> list[str]:
    if not drawn.layout.bends:
        return []
    tolerance = length(fold_tolerance(bracket, len(drawn.layout.bends)))
    out = [f"Press the bend on its line; a pressed bend is good to about ±{tolerance}."]
    if bracket.bends == "hand":
        out = [
            "Grip the arm in the vice up to the bend line, bend by hand along the slits, then weld them up from "
            f"outside. Such a bend is good to about ±{tolerance} and pulls in welding: tack, check, then weld."
        ]
        if bracket.hand_bend is None:
            more = length(2 * setback(90.0, bracket.plate.inside_radius, bracket.plate.thickness))
            out.append(
                "Bend a slit test strip of the same plate square first and measure both legs outside: the strip's flat "
                f"length, less both legs, plus {more}, goes into the job as hand_bend.allowance."
            )
    out.append("Bend across the rolling direction. Bends run from edge to edge: no relief cuts are needed.")
    if drawn.gussets:
        out.append("Weld the gussets in last, in short runs from alternate sides; check that the tab stays square.")
    return out


def _setting(asked: Asked, drawn: Drawn) -> list[str]:
    gap = length(asked.sensor.air_gap)
    if asked.sensor.looks == "along":
        by = "the barrel's nuts" if asked.body.barrel else "shims between block and arm"
        return [f"The air gap of {gap} is set with {by}; the slots set the radius the sensor looks at."]
    off = length(axis_tolerance(asked.bracket, len(drawn.layout.bends)))
    means = "; the slots in the tab line it up" if asked.bracket.adjust_along else ""
    return [
        f"The air gap of {gap} is set with the slots, engine stopped. From the drawn place the nose touches the wheel "
        f"{gap} further in; the slots let the bracket out by {length(drawn.layout.slide.high)}.",
        f"The sensor's axis meets the middle of the tooth ring within ±{off} along the crank{means}.",
    ]


def _bolts(bracket: Bracket) -> list[str]:
    threads = sorted({mount.thread for mount in bracket.mounts if mount.thread})
    if not threads:
        return []
    depths = ", ".join(f"{name} {length(CAST_IRON_ENGAGEMENT_D * nominal_mm(name))}" for name in threads)
    return [f"Thread the bolts should engage in a cast iron block, at least: {depths}. {CHASED_THREAD_NOTE}"]
