"""Marks for the timing light on the ring's front face: the TDC notch or line, and degree marks ahead of it.

Radial, from 1 mm inside the slot floors inwards. Angles in degrees from the TDC line, positive the way the crank turns;
lengths in mm; wheel frame.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from wheelcad.arrays import Floats
from wheelcad.errors import Faults
from wheelcad.job.models import Job
from wheelcad.parts.common.openings import Opening, bolt_openings, rounds
from wheelcad.parts.common.stack import turned_lands
from wheelcad.trade.frames import point_at, wrap_360
from wheelcad.units import INCH_MM
from wheelcad.words import angle, length

INSIDE_FLOORS = 1.0  # from the slot floors to a mark's outer end
TDC_LONG = 10.0
DEGREES_LONG = 6.0
SHORTEST = 2.0  # a shorter mark is not seen from beside an engine
NOTCH_DEG = 60.0  # the notch's V, all in
NOTCH_DEEP = 1.0
WALL = 0.6  # from a mark's end to a shoulder, bore or hole: half a notch's width, so that its cutter stays off it
FINEST = {"mm": 0.01, "in": INCH_MM / 1000}  # mm: to which a mark's ends are set
APART_MM = 1.0  # from mark to mark at their inner ends, below which they run into one


class WheelMark(NamedTuple):
    """One mark. degrees: what it stands for, 0 for the TDC mark. kind: notch or line. inner, outer: mm from axis."""

    degrees: float
    kind: str
    inner: float
    outer: float

    @property
    def at_deg(self) -> float:
        """Where it lies, 0 ≤ a < 360: ahead of the TDC mark the way the crank turns."""
        return float(wrap_360(self.degrees))

    @property
    def long(self) -> float:
        """Its length along the radius, mm."""
        return self.outer - self.inner

    @property
    def tdc(self) -> bool:
        """Whether it is the TDC mark."""
        return self.degrees == 0

    @property
    def deep(self) -> float | None:
        """Depth of a notch, mm; None for a line, which takes no metal."""
        return NOTCH_DEEP if self.kind == "notch" else None

    @property
    def name(self) -> str:
        """TDC notch, TDC line, or the degrees it stands for."""
        return f"TDC {self.kind}" if self.tdc else f"{self.degrees:g}° mark"

    @property
    def volume_mm3(self) -> float:
        """Metal that a notch takes away; 0 for a line."""
        return half_width() * NOTCH_DEEP * self.long if self.kind == "notch" else 0.0

    def first_moment(self, sense: int) -> Floats:
        """(2,) first moment of that metal about the axis, mm⁴, in x and y."""
        moment: Floats = self.volume_mm3 * point_at((self.inner + self.outer) / 2, self.at_deg, sense)
        return moment

    def report(self) -> dict[str, object]:
        """The mark as report.json holds it."""
        return {
            "degrees": self.degrees,
            "kind": self.kind,
            "at_deg": self.at_deg,
            "inner_mm": self.inner,
            "outer_mm": self.outer,
            "depth_mm": self.deep,
        }


def half_width(deep: float = NOTCH_DEEP) -> float:
    """Half the width of the notch `deep` mm above its bottom, mm."""
    return deep * math.tan(math.radians(NOTCH_DEG / 2))


def marks_of(
    job: Job, floor_radius: float, openings: tuple[Opening, ...], sense: int, faults: Faults
) -> tuple[WheelMark, ...]:
    """The marks a job asks for, TDC first, then rising; a fault where there is no room. floor_radius mm."""
    wanted = job.wheel.marks
    if wanted is None:
        return ()
    outer = floor_radius - INSIDE_FLOORS
    drafts = [(0.0, wanted.tdc, TDC_LONG)] if wanted.tdc is not None else []
    degrees = sorted({round(float(wrap_360(d)), 9) for d in wanted.degrees})
    if 0.0 in degrees and wanted.tdc is not None:
        faults.add(("wheel", "marks", "degrees"), "holds 0, which is the TDC mark itself", found="0°", allowed="others")
    drafts += [(d, "line", DEGREES_LONG) for d in degrees if d != 0.0 or wanted.tdc is None]
    out = []
    for at, kind, long in drafts:
        inner_limit = _taken(job, at, outer, openings, sense) + WALL
        room = outer - inner_limit
        if room < SHORTEST - 1e-9:
            faults.add(
                ("wheel", "marks"),
                f"the mark at {angle(at)} has no room on the ring's front face between the slot floors and what lies "
                "inside them",
                found=f"room for {length(max(room, 0.0))}",
                allowed=f"at least {length(SHORTEST)}",
            )
            continue
        out.append(_placed(job, at, kind, outer - min(long, room), outer))
    _apart(out, faults)
    return tuple(out)


def _placed(job: Job, at: float, kind: str, inner: float, outer: float) -> WheelMark:
    """A mark whose ends can be set and printed as they are: hundredths of a mm or thousandths of an inch, inwards."""
    step = FINEST[job.units]
    return WheelMark(at, kind, math.ceil(inner / step - 1e-9) * step, math.floor(outer / step + 1e-9) * step)


def cut_marks(job: Job, floor_radius: float, openings: tuple[Opening, ...], sense: int) -> tuple[WheelMark, ...]:
    """What a cutting table marks on the front face: the job's marks, and the TDC line where the job has none of its
    own; nothing where there is no room for it."""
    wanted = marks_of(job, floor_radius, openings, sense, Faults())
    outer = floor_radius - INSIDE_FLOORS
    room = outer - _taken(job, 0.0, outer, openings, sense) - WALL
    if room < SHORTEST or any(mark.tdc for mark in wanted):
        return wanted
    return (_placed(job, 0.0, "line", outer - min(TDC_LONG, room), outer), *wanted)


def _taken(job: Job, at: float, outer: float, openings: tuple[Opening, ...], sense: int) -> float:
    """How far from the axis the front face is taken along the radius at `at`: shoulder, recess, bore, bolt holes."""
    reach, x_y = 0.0, point_at(1.0, at, sense)
    lands, pulley = turned_lands(job), job.pulley
    if lands and pulley is not None:
        front = lands[: [land.name for land in lands].index("ring")]
        inside = [size / 2 for size in (pulley.bore, pulley.recess and pulley.recess.diameter) if size]
        reach = max([reach, *inside, *(land.radius for land in front)])
        openings = tuple(bolt_openings(job, Faults()))
    for x, y, radius in rounds(openings):  # one that ends behind the axis comes to no reach
        along, across = float(x_y @ (x, y)), abs(float(x_y[0] * y - x_y[1] * x))
        keep = radius + WALL
        if across < keep and along - keep < outer:
            reach = max(reach, along + math.sqrt(keep**2 - across**2) - WALL)
    return reach


def _apart(marks: list[WheelMark], faults: Faults) -> None:
    """Neighbouring marks must be told apart."""
    ring = sorted(marks, key=lambda mark: mark.at_deg)
    for one, two in zip(ring, [*ring[1:], *ring[:1]], strict=True):
        gap = math.radians((two.at_deg - one.at_deg) % 360.0) * max(one.inner, two.inner)
        if one is not two and gap < APART_MM:
            why = f"the marks at {angle(one.degrees)} and {angle(two.degrees)} run into one another"
            allowed = f"at least {length(APART_MM)}"
            faults.add(("wheel", "marks", "degrees"), why, found=f"{length(gap)} apart", allowed=allowed)
