"""What stands where along the crank, in the engine frame (z = 0 is the middle of the tooth ring, positive towards you).

A land is a cylindrical length of something that turns. In turned-down form the pulley's lands contain the ring; in
plate form the pulley's front face, the adapter and the plate's thickness stack up to the ring.
"""

from __future__ import annotations

from dataclasses import dataclass

from wheelcad.job.consistency import form_of as form_of
from wheelcad.job.models import Groove, Job, Sensor, Step


@dataclass(frozen=True)
class Land:
    """A cylindrical length from z_back to z_front (mm, z_front > z_back). name: ring, pulley, adapter or pilot."""

    name: str
    z_back: float
    z_front: float
    radius: float
    groove: Groove | None = None

    @property
    def length(self) -> float:
        """Along the crank, mm."""
        return self.z_front - self.z_back

    @property
    def least_radius(self) -> float:
        """Radius at the bottom of the groove, or of the land itself, mm."""
        return self.radius - (self.groove.depth if self.groove else 0.0)


def _lands(steps: tuple[Step, ...], z_front: float) -> tuple[Land, ...]:
    out = []
    for step in steps:
        out.append(Land("pulley", z_front - step.length, z_front, step.diameter / 2, step.groove))
        z_front -= step.length
    return tuple(out)


def pulley_front_z(job: Job) -> float:
    """z of the pulley's front face (as turned in turned-down form), mm.

    Without a pulley it is the back of the adapter, or of the plate: the face the wheel is bolted to.
    """
    half = job.wheel.thickness / 2
    if form_of(job) == "turned-down" and job.pulley is not None and "wheel" in job.pulley.turned:
        before = job.pulley.turned[: job.pulley.turned.index("wheel")]
        return half + sum(step.length for step in before if isinstance(step, Step))
    return -half - (job.adapter.length if job.adapter is not None else 0.0)


def looking_radius(sensor: Sensor, rim_mm: float, slot_depth_mm: float) -> float:
    """Radius (mm) at which a sensor reads the teeth: the rim's, or where one that looks along the crank is set, which
    is half-way down the slots where the job does not say."""
    if sensor.looks == "in":
        return rim_mm
    return sensor.radius if sensor.radius is not None else rim_mm - slot_depth_mm / 2


def ring_land(job: Job) -> Land:
    """The tooth ring itself."""
    return Land("ring", -job.wheel.thickness / 2, job.wheel.thickness / 2, job.wheel.outside_diameter / 2)


def turned_lands(job: Job) -> tuple[Land, ...]:
    """The pulley as it leaves the lathe, front to back, ring among them; empty in plate form."""
    if form_of(job) != "turned-down" or job.pulley is None:
        return ()
    out: list[Land] = []
    z = pulley_front_z(job)
    for step in job.pulley.turned:
        if isinstance(step, Step):
            land = Land("pulley", z - step.length, z, step.diameter / 2, step.groove)
        else:
            land = ring_land(job)
        out.append(land)
        z = land.z_back
    return tuple(out)


def as_found_lands(job: Job) -> tuple[Land, ...]:
    """The pulley as found, front to back. Turned-down: its rear face is where the turned piece's is."""
    if job.pulley is None or not job.pulley.as_found:
        return ()
    turned = turned_lands(job)
    if turned:
        z_front = turned[-1].z_back + sum(step.length for step in job.pulley.as_found)
    else:
        z_front = pulley_front_z(job)
    return _lands(job.pulley.as_found, z_front)


def adapter_lands(job: Job) -> tuple[Land, ...]:
    """The adapter's spacer and its pilot; empty without one."""
    if job.adapter is None or form_of(job) != "plate":
        return ()
    back = pulley_front_z(job)
    front = back + job.adapter.length
    lands = [Land("adapter", back, front, job.adapter.outside_diameter / 2)]
    if job.adapter.pilot is not None:
        lands.insert(0, Land("pilot", front, front + job.adapter.pilot.length, job.adapter.pilot.diameter / 2))
    return tuple(lands)


def rotating_lands(job: Job) -> tuple[Land, ...]:
    """Everything that turns with the crank and that a bracket must keep clear of, front to back."""
    turned = turned_lands(job)
    if turned:
        return turned
    return (ring_land(job), *adapter_lands(job), *as_found_lands(job))
