"""What the bracket's drawing must say in words: bending, welding, setting the gap, bolts."""

from __future__ import annotations

from collections.abc import Sequence

from wheelcad.job.models import Bracket
from wheelcad.parts.bracket.cutting import compensated_name
from wheelcad.parts.bracket.flat_pattern import FlatPattern
from wheelcad.parts.bracket.model import Asked, Bend, Hole
from wheelcad.parts.bracket.setting import axis_tolerance, fold_tolerance, set_by
from wheelcad.trade.bending import setback
from wheelcad.words import diameter, length


def notes(asked: Asked, drawn: FlatPattern, holes: Sequence[Hole]) -> tuple[str, ...]:
    """What the drawing says, one sentence or two each."""
    return (
        *_files(asked),
        *(_drilling(hole) for hole in holes if hole.drill),
        *_bending(asked.bracket, drawn),
        *_setting(asked, drawn),
        "Turn the crank by hand through two whole turns before the starter is used.",
    )


def _files(asked: Asked) -> list[str]:
    """Which file is for whom."""
    plasma = asked.job.shop.plasma
    out = ["The outline is cut from bracket-flat.dxf, whose sizes are net; the sizes here are for checking it."]
    if plasma is not None and plasma.compensate and plasma.kerf:
        other = compensated_name(plasma.kerf)
        out = [
            "The outline is cut from bracket-flat.dxf where the table's program offsets by the kerf (net sizes), or "
            f"from {other} where it follows lines as they are (a kerf of {length(plasma.kerf)} is in it): never both. "
            "The sizes here are for checking."
        ]
    return out


def _drilling(hole: Hole) -> str:
    size = diameter(hole.diameter)
    if hole.round:
        return f"Drill {hole.name} {size} on its centre mark: too small for the plasma table in this plate."
    return (
        f"Drill both ends of the slot of {hole.name} {size} on their marks and saw out between: "
        "too narrow for the plasma table in this plate."
    )


def _bending(bracket: Bracket, drawn: FlatPattern) -> list[str]:
    if not drawn.layout.bends:
        return []
    tolerance = length(fold_tolerance(bracket, len(drawn.layout.bends)))
    out = [f"Press the bend on its line; a pressed bend is good to about ±{tolerance}."]
    if bracket.bends == "hand":
        out = [former_words(bend, number) for number, bend in enumerate(drawn.layout.bends, 1)]
        out.append(
            "Bend along the slits, a little past the angle: it springs back. Weld the slits up from outside. Such a "
            f"bend is good to about ±{tolerance} and pulls in welding: tack, check, then weld."
        )
        if bracket.hand_bend is None:
            out.append(
                "Bend a slit test strip of the same plate over the same former first, square. Strip − leg a − leg b + "
                f"{length(strip_adds(bracket))}, legs measured outside, goes into the job as "
                "bracket: {hand_bend: {allowance: …}}; then build again, before anything is cut."
            )
    out.append("Bend across the rolling direction. Bends run from edge to edge: no relief cuts are needed.")
    if drawn.gussets:
        out.append("Weld the gussets in last, in short runs from alternate sides; check that the tab stays square.")
    return out


def former_words(bend: Bend, number: int) -> str:
    """Where the plate is gripped for a bend by hand, so that its metal lies where the flat has it.

    The line is the middle of the metal that bends. The first bend is made with the arm in the vice, a Z's second with
    the tab; the former lies on the side that the bend turns to.
    """
    held = "arm" if number == 1 else "tab"
    return (
        f"Bend {number}: {held} in the vice, on the side it bends to a former with its edge rounded to "
        f"R{length(bend.inside_radius)}. Its upper face stands {length(former_from_end(bend, held == 'arm'))} from the "
        f"tab's end, so that the bend line stands {length(bend.allowance / 2)} proud of where the round begins."
    )


def former_from_end(bend: Bend, arm_held: bool) -> float:
    """Distance, mm, from the tab's end along the flat to the former's upper face.

    The former's round begins its radius below that face, where the metal that bends begins.
    """
    return bend.x_arm - bend.inside_radius if arm_held else bend.x_tab + bend.inside_radius


def strip_adds(bracket: Bracket) -> float:
    """What is added to a square test strip's flat length less both outside legs to get its allowance, mm: 2(r + t)."""
    return 2 * setback(90.0, bracket.plate.inside_radius, bracket.plate.thickness)


def _setting(asked: Asked, drawn: FlatPattern) -> list[str]:
    gap, how = length(asked.sensor.air_gap), set_by(asked)
    out = [f"The air gap of {gap} is set {SET_WITH[how]}, engine stopped."]
    if how == "slots":
        out[0] += (
            f" From the drawn place the nose touches the wheel {gap} further in; the slots let the bracket out by "
            f"{length(drawn.layout.slide.high)}."
        )
    out += slots_are_for(asked)
    if asked.sensor.looks == "in":
        off = length(axis_tolerance(asked.bracket, len(drawn.layout.bends)))
        out.append(f"The sensor's axis meets the middle of the tooth ring within ±{off} along the crank.")
    return out


SET_WITH = {
    "slots": "with the slots in the arm",
    "nuts": "with the barrel's two nuts",
    "shims": "with shims between block and arm",
}


def slots_are_for(asked: Asked) -> list[str]:
    """What each slot of the bracket is for, one sentence each; none for holes that are round."""
    bracket, out = asked.bracket, []
    if bracket.adjust > 0:
        if asked.sensor.looks == "along":
            out.append("The slots in the arm set the radius at which the nose looks; they do not change the gap.")
        elif set_by(asked) == "nuts":
            out.append("The slots in the arm take the bracket out of the way; the gap is the nuts' work.")
        else:
            out.append("The slots in the arm set the gap.")
    if asked.sensor.looks == "in" and bracket.adjust_along > 0:
        out.append("The slots in the tab line the sensor up along the crank, with the middle of the teeth.")
    return out
