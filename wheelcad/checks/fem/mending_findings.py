"""What is said of a bracket that must be mended: what is enough, what each change brings, or that none will do."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wheelcad.checks.fem.model import BracketChange, BracketProposals
from wheelcad.codes import Check
from wheelcad.findings import Finding, Verdict
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.words import angle, length, quantity

SUBJECT = "bracket.step"
SOURCE = "3-D linear elasticity by finite elements on a coarse mesh, the softer clamping"
BEST_SHOWN = 3
FIRST: tuple[str, Verdict] = ("the cheapest change that is enough", "warn")
NEXT: tuple[str, Verdict] = ("enough as well", "note")


def mending_findings(found: BracketProposals, design: BracketDesign) -> Iterator[Finding]:
    """Nothing where nothing needs mending."""
    if not found.base or found.wanted <= 1.0:
        return
    base = found.base[0].first_hz
    for number, one in enumerate(found.combined):
        rank, verdict = FIRST if number == 0 else NEXT
        yield _enough(one, base, rank, verdict)
    if not found.combined:
        yield _none(found, design, base)
    for one in found.singles:
        if one.first_hz is not None and one.first_hz > base and one not in found.combined:
            why = (
                f"{one.what} alone brings the first frequency from {_hz(base)} to {_hz(one.first_hz)}: not enough alone"
            )
            yield Finding(Check(f"stiffer-{one.name}"), SUBJECT, one.first_hz, "Hz", base, "note", why, SOURCE)


def _enough(one: BracketChange, base: float, rank: str, verdict: Verdict) -> Finding:
    assert one.first_hz is not None
    why = (
        f"{rank}: {one.what}. It brings the first frequency from {_hz(base)} to {_hz(one.first_hz)}, and the bracket "
        "then keeps every limit when shaken"
    )
    return Finding(Check.STIFFER_ENOUGH, SUBJECT, one.first_hz, "Hz", base, verdict, why, SOURCE)


def _none(found: BracketProposals, design: BracketDesign, base: float) -> Finding:
    """No bracket of this kind will do: what would."""
    tried = (
        f"{found.tried} combinations of thickness, width, gusset, packing, washers and place" if found.tried else "all"
    )
    parts = [f"no bracket of this kind will do: {tried} were tried"]
    if found.mount_within_mm:
        parts.append(
            f"a further bolt in the block within {length(found.mount_within_mm, 0)} of plate from the sensor would "
            f"(now {length(design.free_length, 0)})"
        )
    else:
        parts.append("what would is a bolt on the sensor's other side, so that the plate is held at both ends")
    best = sorted(found.map, key=lambda entry: -entry[1])[:BEST_SHOWN]
    if best:
        places = ", ".join(f"{angle(at, 0)}: {_hz(hz)}" for at, hz in best)
        parts.append(f"the stiffest places for the sensor (sensor.at, estimated; now {_hz(base)}) are {places}")
    wanted = base * found.wanted
    if math.isfinite(wanted):
        parts.append(f"about {_hz(wanted)} is wanted")
    return Finding(Check.STIFFER_NONE, SUBJECT, base, "Hz", "", "warn", "; ".join(parts), SOURCE)


def _hz(value: float) -> str:
    return quantity(value, "frequency", 0)
