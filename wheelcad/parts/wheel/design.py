"""The toothed wheel as numbers: teeth, edges, outline, openings, and what keeps them apart.

Angles in degrees from the TDC line, positive the way the crank turns; lengths in mm; wheel frame.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.errors import Faults
from wheelcad.job.models import Job, Sensor, Wheel
from wheelcad.parts.common.openings import Opening
from wheelcad.parts.common.stack import Land, form_of, looking_radius, turned_lands
from wheelcad.parts.wheel.gaps import gaps_of
from wheelcad.parts.wheel.marks import WheelMark, marks_of
from wheelcad.parts.wheel.outline import SlotShape, wheel_outline
from wheelcad.parts.wheel.plate import plate_openings
from wheelcad.parts.wheel.teeth import Teeth, ToothGap, lay_out
from wheelcad.trade.frames import wrap_360
from wheelcad.trade.ignition import first_tooth_centre_deg
from wheelcad.trade.loop import Loop
from wheelcad.trade.nearness import EXACT_MM
from wheelcad.words import diameter, length

if TYPE_CHECKING:
    from wheelcad.parts.wheel.ring import RingWork

LEAST_STRAIGHT = 0.2  # mm of straight side, below which a slot has no edge that a sensor or a check could use
LEAST_TOOTH = 0.2  # mm of tooth top, below which no tooth is left


@dataclass(frozen=True)
class WheelDesign:
    """Everything about the wheel that follows from the job; see the module's note for signs and units.

    outline: the outer outline, anticlockwise. openings: loops through the whole thickness of the plate (bore and bolts;
    none in turned-down form, where they belong to the pulley around the ring). ring: the work on a ready-made ring.
    marks: for the timing light, the TDC mark first.
    """

    form: str
    sense: int
    teeth: Teeth
    slot: SlotShape
    thickness_mm: float
    material: str
    outline: Loop
    openings: tuple[Opening, ...]
    ring: RingWork | None = None
    marks: tuple[WheelMark, ...] = ()

    @property
    def pitch_deg(self) -> float:
        """Degrees from tooth to tooth."""
        return self.teeth.pitch_deg

    @property
    def gaps(self) -> tuple[ToothGap, ...]:
        """The gaps, the first of which fixes the tooth grid."""
        return self.teeth.gaps

    @property
    def gap_at_deg(self) -> float:
        """Centre of the (first) gap, 0 ≤ a < 360: the rotary table's zero."""
        return float(wrap_360(self.teeth.gaps[0].at_deg))

    @property
    def radius_mm(self) -> float:
        """Outside radius over the teeth."""
        return self.slot.rim_radius

    @property
    def floor_radius_mm(self) -> float:
        """From the axis to the deepest point of the slot floors."""
        return self.slot.floor_radius

    @property
    def slot_centres_deg(self) -> Floats:
        """(n,) slot centres in the order of cutting, 0 ≤ a < 360."""
        return self.teeth.slot_centres_deg

    @property
    def tooth_edges_deg(self) -> Floats:
        """(t, 2) edges of the teeth at the rim, [from, to] each taken mod 360, in the order of slot_centres_deg."""
        return self.tooth_edges_at(self.radius_mm)

    def tooth_deg(self, radius: float) -> float:
        """Width of a tooth at `radius` mm (on the sides), degrees."""
        return self.pitch_deg - 2 * self.slot.half_deg(radius)

    def tooth_edges_at(self, radius: float) -> Floats:
        """(t, 2) edges of the teeth at `radius` mm (on the sides), [from, to] each taken mod 360."""
        half = self.tooth_deg(radius) / 2
        centres = self.teeth.tooth_centres_deg[:, None]
        return wrap_360(centres + np.array([-half, half]))

    def read_at_mm(self, sensor: Sensor) -> float:
        """Radius at which the sensor reads the teeth."""
        return looking_radius(sensor, self.radius_mm, self.slot.depth)

    @property
    def tooth_top_mm(self) -> float:
        """Width of a tooth at the rim, along the chord."""
        half = np.radians(self.pitch_deg / 2 - self.slot.rim_half_deg)
        return float(2 * self.radius_mm * np.sin(half))

    @property
    def first_tooth_centre_deg(self) -> float:
        """Centre of the tooth that passes the sensor first after the (first) gap."""
        gap = self.teeth.gaps[0]
        return first_tooth_centre_deg(gap.at_deg, self.pitch_deg, gap.missing)

    def report(self) -> dict[str, object]:
        """report.json's `wheel`, but for what is measured."""
        return {
            "pitch_deg": self.pitch_deg,
            "slot_centres_deg": self.slot_centres_deg.tolist(),
            "tooth_edges_deg": self.tooth_edges_deg.tolist(),
            "gap_centre_deg": self.gap_at_deg,
            "gaps": [{"at_deg": float(wrap_360(gap.at_deg)), "missing": gap.missing} for gap in self.gaps],
            "tooth_top_mm": self.tooth_top_mm,
            "floor_radius_mm": self.floor_radius_mm,
            "marks": [mark.report() for mark in self.marks],
            **({} if self.ring is None else {"as_found": [step._asdict() for step in self.ring.steps]}),
        }


def design_wheel(job: Job) -> WheelDesign:
    """The wheel of a job whose sections agree (`job.agree`). DesignError names every key whose value cannot exist
    together with the others."""
    faults = Faults()
    gaps = gaps_of(job.wheel, faults)
    slot = slot_shape(job.wheel, faults)
    faults.raise_if_any()
    _check_slots(job.wheel, slot, faults)
    form = form_of(job)
    openings: tuple[Opening, ...] = ()
    ring = None
    if form == "plate":
        openings, ring = plate_openings(job, slot, faults)
    else:
        _check_shoulders(turned_lands(job), slot, faults)
    faults.raise_if_any()
    sense = job.sense
    marks = marks_of(job, slot.floor_radius, openings, sense, faults)
    faults.raise_if_any()
    teeth = lay_out(job.wheel.teeth, gaps)
    outline = wheel_outline(slot, teeth.slot_centres_deg, set(teeth.gap_after), sense)
    wheel = job.wheel
    return WheelDesign(form, sense, teeth, slot, wheel.thickness, wheel.material, outline, openings, ring, marks)


def slot_shape(wheel: Wheel, faults: Faults) -> SlotShape:
    """The slot's shape; faults for one that cannot exist on its own."""
    slot, radius = wheel.slot, wheel.outside_diameter / 2
    radial = slot.sides == "radial"
    round_floor = (slot.floor or ("flat" if radial else "round")) == "round"

    def add(name: str, said: str, allowed: str) -> None:
        faults.add(("wheel", "slot", name), said, found=length(getattr(slot, name)), allowed=allowed)

    if slot.depth >= radius:
        add("depth", "reaches the axis", f"less than {length(radius)}")
    if slot.width >= 2 * radius:
        add("width", "is wider than the wheel", f"less than {length(2 * radius)}")
    if round_floor and slot.width > 2 * slot.depth:
        allowed = f"at most twice the depth, {length(2 * slot.depth)}"
        add("width", "is too wide for a round floor of this depth", allowed)
    return SlotShape(radius, slot.width, slot.depth, radial, round_floor, slot.corner_radius)


def _check_slots(wheel: Wheel, slot: SlotShape, faults: Faults) -> None:
    """Slots against the pitch, against each other at their floors, and against their own corners."""
    key = ("wheel", "slot")
    pitch = 360.0 / wheel.teeth
    widest = 2 * slot.rim_radius * float(np.sin(np.radians(pitch / 2)))
    if widest - slot.width < LEAST_TOOTH:
        why = "leaves no tooth: the slot is as wide as the pitch"
        allowed = f"less than {length(widest - LEAST_TOOTH)} for {wheel.teeth} on {diameter(2 * slot.rim_radius)}"
        faults.add((*key, "width"), why, found=length(slot.width), allowed=allowed)
    elif 2 * slot.widest_half_deg >= pitch:
        why = "lets neighbouring slots run into each other at the floor"
        faults.add((*key, "depth"), why, found=length(slot.depth), allowed="a shallower or narrower slot")
    if slot.tangent > slot.floor_half_width + EXACT_MM:
        why = "is too large for the floor"
        allowed = f"at most {length(slot.floor_half_width)}"
        faults.add((*key, "corner_radius"), why, found=length(slot.corner_radius), allowed=allowed)
    elif slot.straight < LEAST_STRAIGHT:
        why = "leaves no straight side: the floor's rounding reaches the rim"
        faults.add((*key, "depth"), why, found=length(slot.depth), allowed="a deeper slot or a smaller rounding")


def _check_shoulders(lands: tuple[Land, ...], slot: SlotShape, faults: Faults) -> None:
    """The ring between its neighbours: a shoulder beside the slots must not close them."""
    at = [land.name for land in lands].index("ring")
    for i in (at - 1, at + 1):
        if 0 <= i < len(lands) and lands[i].radius > slot.floor_radius + EXACT_MM:
            why = "stands in the way of the slots beside it"
            allowed = f"at most {length(2 * slot.floor_radius)}, the diameter at the slot floors"
            faults.add(("pulley", "turned", i, "diameter"), why, found=length(2 * lands[i].radius), allowed=allowed)
