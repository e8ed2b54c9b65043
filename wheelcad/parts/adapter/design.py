"""The spacer between pulley and plate wheel, as numbers. Wheel frame, mm."""

from __future__ import annotations

from dataclasses import dataclass

from wheelcad.errors import Faults
from wheelcad.findings import Finding, at_least
from wheelcad.job.models import Job
from wheelcad.parts.blank.profile import half_section
from wheelcad.parts.openings import Opening, bolt_openings
from wheelcad.parts.stack import Land, adapter_lands, form_of
from wheelcad.trade.loop import Loop

LEAST_WALL = 2.0  # mm around bolt holes and between bore and pilot (common practice, no source)


@dataclass(frozen=True)
class AdapterDesign:
    """A turned spacer: lands front (pilot) to back, half section (x is r, y is z), bolt holes right through."""

    lands: tuple[Land, ...]
    section: Loop
    bore_radius_mm: float
    bolts: tuple[Opening, ...]
    material: str
    findings: tuple[Finding, ...]


def design_adapter(job: Job) -> AdapterDesign | None:
    """The adapter of a job in plate form, else None. DesignError for what collides.

    Its bore is the pulley's, so that the crank's bolt stays within reach; without a pulley's bore it is solid.
    """
    if job.adapter is None or form_of(job) != "plate":
        return None
    faults = Faults()
    adapter = job.adapter
    lands = adapter_lands(job)
    bore = job.pulley.bore / 2 if job.pulley is not None and job.pulley.bore is not None else 0.0
    inner = adapter.pilot.diameter / 2 if adapter.pilot is not None else bore
    if adapter.pilot is not None and adapter.pilot.diameter >= adapter.outside_diameter:
        faults.add(
            ("adapter", "pilot", "diameter"),
            "leaves no shoulder for the wheel to sit on",
            found=f"{adapter.pilot.diameter:g} mm",
            allowed=f"less than the adapter's {adapter.outside_diameter:g} mm",
        )
    if inner <= bore and bore > 0:
        key = ("adapter", "pilot", "diameter") if adapter.pilot is not None else ("adapter", "outside_diameter")
        if adapter.pilot is not None or adapter.outside_diameter / 2 <= bore:
            faults.add(key, "is no larger than the pulley's bore", allowed=f"more than {2 * bore:g} mm")
    findings: list[Finding] = []
    if job.pulley is not None and job.pulley.bolts is not None:
        bolts = job.pulley.bolts
        outside = adapter.outside_diameter / 2 - bolts.circle / 2 - bolts.hole / 2
        inside = bolts.circle / 2 - bolts.hole / 2 - inner
        if outside <= 0:
            faults.add(
                ("adapter", "outside_diameter"),
                "is too small for the pulley's bolt circle",
                found=f"{adapter.outside_diameter:g} mm",
                allowed=f"more than {bolts.circle + bolts.hole:g} mm",
            )
        if inside <= 0:
            key = ("adapter", "pilot", "diameter") if adapter.pilot is not None else ("pulley", "bolts", "circle")
            faults.add(key, "runs into the bolt holes", allowed=f"pilot less than {bolts.circle - bolts.hole:g} mm")
        why = "metal left around the adapter's bolt holes"
        findings.append(
            at_least(
                "bolt-wall",
                "adapter",
                min(outside, inside),
                "mm",
                LEAST_WALL,
                why,
                "common practice, no source",
                "warn",
            )
        )
    bolts_through = tuple(bolt_openings(job, Faults()))
    faults.raise_if_any()
    return AdapterDesign(lands, half_section(lands, bore, None), bore, bolts_through, adapter.material, tuple(findings))
