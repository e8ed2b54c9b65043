"""The spacer between pulley and plate wheel, as numbers. Wheel frame, mm."""

from __future__ import annotations

from dataclasses import dataclass

from wheelcad.errors import Faults
from wheelcad.findings import Finding
from wheelcad.job.models import Adapter, Bolts, Job
from wheelcad.parts.adapter.judge import adapter_findings
from wheelcad.parts.common.openings import Opening, bolt_openings
from wheelcad.parts.common.profile import half_section
from wheelcad.parts.common.stack import Land, adapter_lands, form_of
from wheelcad.trade.fits import likely_bolt_mm
from wheelcad.trade.loop import Loop
from wheelcad.words import length

ENGAGED = 1.5  # diameters of thread a bolt should find in the pulley, in cast iron (from memory)


@dataclass(frozen=True)
class AdapterDesign:
    """A turned spacer: lands front (pilot) to back, half section (x is r, y is z), bolt holes right through.

    ring_at_mm: middle of the ring in front of the pulley's front face. grip_mm: plate and spacer, what the bolts reach
    through. bolt_mm: nominal diameter they are likely to have, None without bolts or when none goes through.
    """

    lands: tuple[Land, ...]
    section: Loop
    bore_radius_mm: float
    bolts: tuple[Opening, ...]
    material: str
    findings: tuple[Finding, ...]
    ring_at_mm: float
    grip_mm: float
    bolt_mm: float | None

    @property
    def least_bolt_length_mm(self) -> float | None:
        """Shortest bolt, under its head, that goes through plate and spacer and still holds in the pulley."""
        return None if self.bolt_mm is None else self.grip_mm + ENGAGED * self.bolt_mm

    def report(self) -> dict[str, object]:
        """report.json's `adapter`."""
        return {
            "ring_at_mm": self.ring_at_mm,
            "bore_mm": 2 * self.bore_radius_mm,
            "bolt_count": len(self.bolts),
            "bolt_mm": self.bolt_mm,
            "grip_mm": self.grip_mm,
            "least_bolt_length_mm": self.least_bolt_length_mm,
        }


def design_adapter(job: Job) -> AdapterDesign | None:
    """The adapter of a job in plate form, else None. DesignError for what collides.

    Its bore is the pulley's, so that the crank's bolt stays within reach; without a pulley's bore it is solid.
    """
    if job.adapter is None or form_of(job) != "plate":
        return None
    faults = Faults()
    bore = job.pulley.bore / 2 if job.pulley is not None and job.pulley.bore is not None else 0.0
    circle = job.bolts
    _check_pilot(job.adapter, bore, faults)
    if circle is not None:
        _check_bolts(job.adapter, circle, bore, faults)
    bolts = tuple(bolt_openings(job, Faults()))
    faults.raise_if_any()
    lands = adapter_lands(job)
    return AdapterDesign(
        lands=lands,
        section=half_section(lands, bore, None),
        bore_radius_mm=bore,
        bolts=bolts,
        material=job.adapter.material,
        findings=tuple(adapter_findings(job, job.adapter, bore)),
        ring_at_mm=job.adapter.length + job.wheel.thickness / 2,
        grip_mm=job.adapter.length + job.wheel.thickness,
        bolt_mm=likely_bolt_mm(circle.hole) if circle is not None else None,
    )


def _check_pilot(adapter: Adapter, bore: float, faults: Faults) -> None:
    if adapter.pilot is not None and adapter.pilot.diameter >= adapter.outside_diameter:
        why = "leaves no shoulder for the wheel to sit on"
        allowed = f"less than the adapter's {length(adapter.outside_diameter)}"
        faults.add(("adapter", "pilot", "diameter"), why, found=length(adapter.pilot.diameter), allowed=allowed)
    slimmest = min(adapter.outside_diameter, adapter.pilot.diameter if adapter.pilot is not None else float("inf"))
    if slimmest / 2 <= bore:
        thin_pilot = adapter.pilot is not None and adapter.pilot.diameter <= adapter.outside_diameter
        key = ("adapter", "pilot", "diameter") if thin_pilot else ("adapter", "outside_diameter")
        faults.add(
            key, "is no larger than the pulley's bore", found=length(slimmest), allowed=f"more than {length(2 * bore)}"
        )


def _check_bolts(adapter: Adapter, bolts: Bolts, bore: float, faults: Faults) -> None:
    """The bolts go through plate and spacer: there must be spacer all round them, and no pilot in their way."""
    if adapter.outside_diameter <= bolts.circle + bolts.hole:
        why = "is too small for the pulley's bolt circle"
        allowed = f"more than {length(bolts.circle + bolts.hole)}"
        faults.add(("adapter", "outside_diameter"), why, found=length(adapter.outside_diameter), allowed=allowed)
    inner = adapter.pilot.diameter / 2 if adapter.pilot is not None else bore
    if bolts.circle / 2 - bolts.hole / 2 <= inner:
        key = ("adapter", "pilot", "diameter") if adapter.pilot is not None else ("pulley", "bolts", "circle")
        allowed = f"pilot less than {length(bolts.circle - bolts.hole)}"
        faults.add(
            key,
            "runs into the bolt holes",
            found=length(2 * inner) if adapter.pilot is not None else length(bolts.circle),
            allowed=allowed if adapter.pilot is not None else f"more than {length(2 * inner + bolts.hole)}",
        )
