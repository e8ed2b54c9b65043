"""Where the gauge sits, what it sits on and what keeps it in the middle. Wheel frame, mm.

The plate lies on a seat: the pulley's front face as turned, or the plate wheel's front face. Where the tooth ring lies
behind the seat, a skirt reaches down to the ring's front face round everything that stands in front of it. What centres
the gauge is, in this order: the turned shoulder inside the skirt, a boss in the bore or recess, the bolts.
"""

from __future__ import annotations

from dataclasses import dataclass

from wheelcad.errors import Faults
from wheelcad.job.models import Gauge, Job, Keyway, Pulley
from wheelcad.parts.common.openings import keyed_bore
from wheelcad.parts.common.stack import Land, form_of, pulley_front_z, turned_lands
from wheelcad.trade.loop import Loop
from wheelcad.words import diameter

LEAST_FIT = 0.2  # mm on the diameter between what is printed and what it slides over; source: print guides
CLEAR_STEP = 0.5  # mm of air, all round and along the crank, at shoulders that do not centre the gauge
CORNER = 0.8  # mm: relief for the fillet that a turning tool leaves between shoulder and ring
BOSS_LONGEST = 6.0  # mm a boss reaches into a bore: enough to centre, no more to pull out
BOSS_SHORTEST = 1.5  # mm below which a boss centres nothing
BOSS_WALL = 2.4  # mm: three lines of a usual nozzle on each side of nothing
BOSS_SMALLEST = 5.0  # mm on the diameter below which a boss snaps off
HALF_CIRCLE = 200.0  # degrees of shoulder a gauge must go round to be centred by it


@dataclass(frozen=True)
class Cavity:
    """Room for a shoulder: a cylinder of `radius` mm from z0 up to z1."""

    radius: float
    z0: float
    z1: float


@dataclass(frozen=True)
class Register:
    """What centres the gauge.

    by: shoulder, bore, recess or bolts; metal_diameter and printed_diameter: the two that meet (0 for bolts), mm;
    boss: its outline, boss_depth: how deep it reaches below the seat; keyed: the boss carries a key.
    """

    by: str
    metal_diameter: float = 0.0
    printed_diameter: float = 0.0
    boss: Loop | None = None
    boss_depth: float = 0.0
    keyed: bool = False

    @property
    def clearance(self) -> float:
        """On the diameter, mm."""
        return abs(self.printed_diameter - self.metal_diameter)


@dataclass(frozen=True)
class Seat:
    """Heights and what is met there.

    z: of the face the plate lies on; z_ring: of the ring's front face; cavities: the skirt's, from the seat down;
    sight_radius: how far out there is metal right under the plate; shoulder_radius: what the skirt goes round, or 0.
    """

    z: float
    z_ring: float
    cavities: tuple[Cavity, ...]
    register: Register
    sight_radius: float
    shoulder_radius: float = 0.0

    @property
    def inside_radius(self) -> float:
        """The widest radius inside the skirt, its ease at the ring counted; 0 without a skirt."""
        return self.cavities[-1].radius + self.ease if self.cavities else 0.0

    @property
    def ease(self) -> float:
        """How far the skirt's inside is eased at the ring, for the fillet a turning tool leaves."""
        last = self.cavities[-1] if self.cavities else None
        return min(CORNER, (last.z1 - last.z0) / 3) if last is not None else 0.0


def find_seat(job: Job, gauge: Gauge, pulley: Pulley, faults: Faults) -> Seat:
    """The seat of a job's gauge; faults where there is nothing it could sit on or be located by."""
    fit = max(gauge.hole_allowance, LEAST_FIT)
    half = job.wheel.thickness / 2
    if form_of(job) != "turned-down":
        return Seat(half, half, (), _in_bore(job, fit), job.wheel.outside_diameter / 2)
    front = pulley_front_z(job)
    before = [land for land in turned_lands(job) if land.z_back >= half - 1e-9]
    if not before:
        return Seat(front, half, (), _in_hub(pulley, job.sense, fit), job.wheel.outside_diameter / 2)
    cavities = _cavities(before, fit, half)
    widest = cavities[-1].radius
    if widest >= job.wheel.outside_diameter / 2:
        why = "cannot reach the ring: what stands in front of it is as large as the ring"
        found = f"{diameter(2 * max(a.radius for a in before))} in front of {diameter(job.wheel.outside_diameter)}"
        faults.add(("gauge",), why, found=found, allowed="a smaller shoulder in front of the ring, or no gauge section")
    largest = max(land.radius for land in before)
    shoulder = Register("shoulder", 2 * largest, 2 * widest)
    register = shoulder if gauge.covers >= HALF_CIRCLE else _in_hub(pulley, job.sense, fit)
    return Seat(front, half, cavities, register, before[0].radius, largest)


def _cavities(before: list[Land], fit: float, z_ring: float) -> tuple[Cavity, ...]:
    """From the front backwards; the gauge slides on from the front, so that it only ever grows wider.

    The widest, next to the ring, fits the metal; the others stand clear of it, but where they would then be as wide as
    it: there it goes on to the front.
    """
    steps: list[tuple[float, float]] = []  # radius, z where it begins (its front)
    for land in before:
        if not steps or land.radius > steps[-1][0]:
            steps.append((land.radius, land.z_front))
    out: list[Cavity] = []
    for i, (radius, z_front) in enumerate(steps):
        last = i == len(steps) - 1
        z1 = z_front if i == 0 else min(z_front + CLEAR_STEP, steps[0][1])
        z0 = z_ring if last else min(steps[i + 1][1] + CLEAR_STEP, steps[0][1])
        inside = radius + (fit / 2 if last else CLEAR_STEP)
        while out and out[-1].radius >= inside - 1e-6:
            z1 = out.pop().z1
        if z1 - z0 > 1e-9:
            out.append(Cavity(inside, z0, z1))
    return tuple(out)


def _in_bore(job: Job, fit: float) -> Register:
    """A boss in the plate wheel's bore, in front of the adapter's pilot."""
    if job.wheel.bore is None:
        return Register("bolts")
    pilot = job.pilot.length if job.pilot is not None else 0.0
    depth = min(BOSS_LONGEST, job.wheel.thickness - pilot - 0.5)
    return _boss("bore", job.wheel.bore, depth, fit)


def _in_hub(pulley: Pulley, sense: int, fit: float) -> Register:
    """A boss in the pulley's recess, else in its bore, there with a key where nothing else turns the gauge."""
    if pulley.recess is not None:
        bolts = pulley.bolts
        if bolts is not None and bolts.circle - bolts.hole < pulley.recess.diameter:
            return Register("bolts")  # bolts run through the recess: a boss would sit on their heads
        return _boss("recess", pulley.recess.diameter, min(BOSS_LONGEST, pulley.recess.depth - 0.5), fit)
    if pulley.bore is None:
        return Register("bolts")
    register = _boss("bore", pulley.bore, BOSS_LONGEST, fit)
    if (
        register.by == "bolts"
        or pulley.bolts is not None
        or pulley.keyway is None
        or pulley.keyway.width >= pulley.bore
    ):
        return register
    key = Keyway(width=pulley.keyway.width - fit, depth=max(pulley.keyway.depth - fit, 0.5), at=pulley.keyway.at)
    outline = keyed_bore(register.printed_diameter / 2, key, sense).loop
    return Register("bore", register.metal_diameter, register.printed_diameter, outline, register.boss_depth, True)


def _boss(by: str, diameter: float, depth: float, fit: float) -> Register:
    printed = diameter - fit
    if depth < BOSS_SHORTEST or printed < BOSS_SMALLEST:
        return Register("bolts")
    return Register(by, diameter, printed, Loop.circle(0, 0, printed / 2), depth)
