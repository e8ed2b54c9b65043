"""The arbour as numbers: a shaft turned between centres, with a shoulder, a seat for the wheel's bore and a thread.

Lengths mm; x along the arbour from its headstock end. Rules of thumb are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from wheelcad.job.models import Job
from wheelcad.parts.common.stack import form_of
from wheelcad.trade.fits import limits_mm
from wheelcad.trade.nearness import EXACT_MM

SMALLEST_BORE, LARGEST_BORE = 6.0, 40.0  # below it bends, above it a spigot turned in the chuck is stiffer
THREADS = tuple((size, f"M{size:g}") for size in (30.0, 24.0, 20.0, 16.0, 12.0, 10.0, 8.0, 6.0, 5.0))  # ISO 261, coarse
SHORTER = 0.3  # the seat is this much shorter than the wheel is thick, so that the nut bears on the wheel
SHANK_LONG = 60.0  # for the driver or the chuck, and to hold the wheel off the table's face
TAIL_LONG = 8.0  # plain end beyond the thread, with the tailstock's centre in it
FROM_FLOOR = 3.0  # the shoulder stays inside the slot floors: the cutter runs past it
SHOULDER = 8.0  # it stands at least half of this out all round the bore


@dataclass(frozen=True)
class ArbourDesign:
    """seat: diameter and (lower, upper) deviation. shoulder: diameter and length behind the wheel. thread: its name
    and diameter; washer: least outside diameter. The lengths add up from headstock to tailstock."""

    seat_mm: float
    seat_limits: tuple[float, float]
    seat_long: float
    shank_mm: float
    shank_long: float
    shoulder_mm: float
    shoulder_long: float
    thread: str
    thread_mm: float
    thread_long: float
    washer_mm: float

    @property
    def tail_mm(self) -> float:
        """Diameter of the plain end: clear of the thread's root."""
        return max(4.0, self.thread_mm * 0.75)

    @property
    def long(self) -> float:
        """Over all."""
        return self.shank_long + self.shoulder_long + self.seat_long + self.thread_long + TAIL_LONG

    @property
    def stand_off(self) -> float:
        """From the end of the shank to the wheel's rear face."""
        return self.shank_long + self.shoulder_long


def design_arbour(job: Job) -> ArbourDesign | None:
    """The arbour of a job: of a plate wheel with a small bore and no bolts; None for any other."""
    bolted = job.bolts is not None
    bore = job.wheel.bore
    if form_of(job) != "plate" or bolted or bore is None or not SMALLEST_BORE <= bore <= LARGEST_BORE:
        return None
    floors = job.wheel.outside_diameter - 2 * job.wheel.slot.depth
    shoulder = min(max(2 * bore, bore + SHOULDER), floors - 2 * FROM_FLOOR)
    if shoulder <= bore + 2:
        return None  # nothing is left for a shoulder: the wheel is glued or screwed to a spigot
    size, name = next(row for row in THREADS if row[0] <= bore - 0.2 + EXACT_MM)
    return ArbourDesign(
        seat_mm=bore,
        seat_limits=limits_mm(bore, "h6"),
        seat_long=job.wheel.thickness - min(SHORTER, job.wheel.thickness / 4),
        shank_mm=max(10.0, min(bore, 20.0)),
        shank_long=SHANK_LONG,
        shoulder_mm=round(shoulder, 1),
        shoulder_long=max(10.0, bore / 2),
        thread=name,
        thread_mm=size,
        thread_long=round(size * 0.8 + 6.0, 1),  # an ISO 4032 nut and a stiff washer
        washer_mm=round(min(shoulder, bore + SHOULDER), 1),
    )
