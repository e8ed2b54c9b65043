"""The metal that must stay beside a correction hole: each limit once, with its reason. mm.

All are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Clearance:
    """A limit: mm of metal (or of air beside a shoulder) between the edge of a hole and `what`."""

    what: str
    mm: float
    why: str


SLOTS = Clearance(
    "the slot floors", 2.0, "a thinner web may crack under the teeth, and the sensor must not see the hole"
)
SENSED = Clearance("what the sensor sees", 2.0, "a hole under a sensor that looks along the crank counts as a slot")
RIM = Clearance("the outside of the piece", 2.0, "a thinner wall bulges as the drill breaks through")
GROOVE = Clearance("the belt groove", 2.0, "a hole that opens into a groove eats the belt")
SHOULDER = Clearance("the shoulder beside it", 1.0, "the drill runs down beside it and must not rub or be led astray")
BORE = Clearance("the bore and its keyway", 3.0, "the bore carries the fit and the key")
RECESS = Clearance("the edge of the recess", 1.0, "a drill must start on one level")
BOLTS = Clearance(
    "the bolt holes", 2.0, "the pull of the bolt needs metal round its hole; never less than the washer covers"
)
HOLES = Clearance(
    "the next correction hole", 3.0, "the second hole must not wander into the first; at least half a drill"
)
FLOOR = Clearance("the far face, below a blind hole's point", 2.0, "a thinner floor bulges or breaks through")
MARKS = Clearance("the timing marks", 1.0, "a mark with a hole in it is not read by the timing light")
RUBBER = Clearance(
    "everything but the tooth ring", 0.0, "heat and oil loosen a bonded rubber ring; only the ring is drilled"
)

BREAK_THROUGH = 1.0  # mm the drill's lips go past the far face, its point before them
CHUCK_RADIUS = 20.0  # mm round the drill that must stay clear of what stands in front
DEEPEST = 8.0  # diameters an ordinary drill goes down without wandering, chips cleared often
LEAST_DRILL = 3.0  # mm: thinner drills break and wander; used only when the largest allowed is thinner still


def bolt_wall(hole_mm: float) -> float:
    """Wall to a bolt hole of this diameter: `BOLTS`, or out from under an ordinary washer (twice the bolt's hole)."""
    return max(BOLTS.mm, hole_mm / 2)


def bore_wall(bore_mm: float, keyed: bool) -> float:
    """Wall to a bore of this diameter: `BORE`; round a shaft's seat (`keyed`) an eighth of it, so that a large hub
    keeps the metal that holds its fit. Common practice, no source."""
    return max(BORE.mm, bore_mm / 8) if keyed else BORE.mm


def hole_wall(diameter_mm: float) -> float:
    """Wall between correction holes of this (larger) diameter: `HOLES`, or half the drill."""
    return max(HOLES.mm, diameter_mm / 2)
