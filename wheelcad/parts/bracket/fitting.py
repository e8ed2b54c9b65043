"""Fitting the bracket to the engine, step by step, as the shape at hand wants it. Words and the moves they ask for.

A move is what the step has the hand do so that the gap OPENS: a unit vector of the engine frame, None where a step
moves nothing that the gap depends on. Tests hold the words' moves against the assembly.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wheelcad.parts.bracket.model import BracketDesign, Vector
from wheelcad.parts.bracket.setting import least_gap, set_by
from wheelcad.words import length

WOBBLE = 0.2  # mm: usual greatest run-out of the sensed surface on the indicator; common practice, no source


@dataclass(frozen=True)
class FitStep:
    """One thing to do. opens: the way the moved piece goes so that the gap opens; None: see the module's text."""

    does: str
    opens: Vector | None = None


def fitting_steps(design: BracketDesign) -> tuple[FitStep, ...]:
    """Every step from the fitted wheel to the painted bolts."""
    return (
        _indicator(design),
        *_bolt_on(design),
        *_place(design),
        *_gap(design),
        FitStep(
            f"Turn the crank by hand through two whole turns and try every tooth with the feeler: never under "
            f"{length(least_gap(design.asked))}, and nothing may touch."
        ),
        FitStep("Tighten everything, try the gap once more, then mark bolts, nuts and bracket with paint."),
    )


def _indicator(design: BracketDesign) -> FitStep:
    """What the gap follows as the wheel turns: tooth tops, or the wobble of its face."""
    limit = length(WOBBLE)
    if design.asked.sensor.looks == "in":
        return FitStep(
            f"Run an indicator on the tooth tops while you turn the crank by hand: no more than {limit}. Mark the "
            "highest tooth: the gap is least there."
        )
    return FitStep(
        f"Run an indicator on the ring's {design.asked.sensor.from_} face, square to it, at the radius of the teeth "
        f"while you turn the crank by hand: no more than {limit}. Mark where it stands out most: the gap is least "
        "there. This sensor follows the face's wobble, not the tooth tops."
    )


def _bolt_on(design: BracketDesign) -> Iterator[FitStep]:
    """Sensor into the plate, plate onto the block."""
    asked = design.asked
    where = "tab" if design.bends else "plate"
    if asked.body.barrel:
        yield FitStep(f"Barrel through the {where}, a nut on each side, drawn back as far as they let it; nuts loose.")
    else:
        yield FitStep(f"Sensor into the {where} from the side away from the wheel, flange flat on it, bolt tight.")
    washers = "thick washers under the heads, over the slots" if asked.bracket.adjust > 0 else "washers under the heads"
    yield FitStep(f"Bracket onto the block's clean face, {washers}, bolts just nipped: it must still slide.")


def _place(design: BracketDesign) -> Iterator[FitStep]:
    """What is set before the gap: radius or place along the crank."""
    asked = design.asked
    if asked.sensor.looks == "along":
        radius = length((asked.place.tip[0] ** 2 + asked.place.tip[1] ** 2) ** 0.5)
        if asked.bracket.adjust > 0:
            yield FitStep(
                f"Slide the bracket in its slots until the nose looks at {radius} from the crank axis, at the teeth. "
                f"The slots allow {length(design.slide.high)} outwards and {length(-design.slide.low)} inwards; they "
                "do not change the gap."
            )
        else:
            yield FitStep(f"The nose looks at {radius} from the crank axis; nothing is there to move it by.")
        if set_by(asked) == "nuts":
            yield FitStep("Tighten the bracket's bolts.")
        return
    if asked.bracket.adjust_along > 0:
        yield FitStep(
            "Slide the sensor in the tab's slots along the crank until its axis meets the middle of the teeth's "
            f"width (±{length(asked.bracket.adjust_along / 2)}), and nip it there."
        )
    else:
        yield FitStep("See that the sensor's axis meets the middle of the teeth's width; shims bring it forwards.")
    if set_by(asked) == "nuts":
        slots = "Bracket in the middle of what the slots allow, b" if asked.bracket.adjust > 0 else "B"
        yield FitStep(f"{slots}olts tight: the slots are for room, the nuts set the gap.")


def _gap(design: BracketDesign) -> Iterator[FitStep]:
    """The gap, by what sets it."""
    asked = design.asked
    gap = length(float(design.gap))  # in decimals even where the job says 1/32: feelers are marked so
    x, y, z = design.asked.place.look
    away: Vector = (-x, -y, -z)
    where = "at the highest tooth" if asked.sensor.looks == "in" else "where the face stands out most"
    how = set_by(asked)
    if how == "nuts":
        yield FitStep(
            f"Set the gap with a feeler of {gap} {where}: both nuts move the barrel, towards the wheel to close, "
            "away from it to open. Hold one nut, tighten the other against it, and try again.",
            away,
        )
    elif how == "slots" and asked.bracket.adjust <= 0:
        yield FitStep(f"Try the gap with a feeler of {gap} {where}: only the bolts' play can mend it.", away)
    elif how == "slots":
        drawn = f"{length(design.slide.high)} from the drawn place"
        yield FitStep(f"Slide the bracket right out, away from the crank axis, by the slots ({drawn}).", away)
        yield FitStep(f"Put a feeler of {gap} {where}, slide the bracket in onto it, and tighten the bracket's bolts.")
    else:
        front = asked.sensor.from_ == "front"
        more, less = ("open", "closes") if front else ("close", "opens")
        packing = asked.bracket.packing
        other = (
            f"thinner packing than the {length(packing)} planned {less} it"
            if packing
            else f"nothing {less} it, as no packing is planned (bracket.packing)"
        )
        yield FitStep(
            f"Try the gap with a feeler of {gap} {where}, bolts tight. Shims between block and arm move the bracket "
            f"forwards and so {more} it; {other}. Shims alike under every bolt.",
            (0.0, 0.0, 1.0 if front else -1.0),
        )
