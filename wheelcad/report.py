"""report.json: every number and finding, for programs. Angles in degrees, lengths in mm; keys carry their unit."""

from __future__ import annotations

from typing import Any

from wheelcad.checks.everything import MeasuredFiles
from wheelcad.findings import Finding
from wheelcad.job.elements import times_on_of
from wheelcad.job.invented import invented_keys
from wheelcad.parts.bracket.stiffness import CLOSED_FORM
from wheelcad.parts.design import Design
from wheelcad.parts.hand.design import design_hand
from wheelcad.stiffness import Stiffness
from wheelcad.words import Words


def report_of(
    design: Design, measured: MeasuredFiles, findings: list[Finding], signal: dict[str, Any] | None = None
) -> dict[str, Any]:
    """The whole report. mass, inertia and the balance after correction are those measured from the files; signal: as
    `wheelcad signal --json` has it."""
    left = design.balance.figures(measured.balance.after)
    wheel = {
        **design.wheel.report(),
        "mass_kg": _mass(measured),
        "polar_inertia_kg_mm2": measured.polar_inertia_kg_mm2,
        "unbalance_g_mm": left["unbalance_g_mm"],
        "unbalance_at_deg": left["at_deg"],
    }
    out: dict[str, Any] = {
        "job": {"name": design.job.job, "title": design.job.title, "form": design.wheel.form},
        "wheel": wheel,
        "balance": _balance(design, measured),
    }
    hand = design_hand(design.job, design.wheel)
    if hand is not None:
        out["by_hand"] = hand.report()
    if design.indexing is not None:
        out["indexing"] = design.indexing.report()
    out["ignition"] = ignition_report(design)
    out |= parts_report(design)
    if signal is not None:
        out["signal"] = signal
    out["invented"] = list(invented_keys(design.job.source))
    out["left_out"] = list(design.left_out)
    out["findings"] = [finding.as_json(Words(design.job.units)) for finding in findings]
    return out


def ignition_report(design: Design) -> dict[str, Any]:
    """The ignition numbers, and which edge of the tooth the one to use is of."""
    sensor = design.job.sensor
    return {**design.ignition.report(), "times_on": None if sensor is None else times_on_of(sensor)}


def _balance(design: Design, measured: MeasuredFiles) -> dict[str, Any]:
    """The planned balance, with before and after as the files have them."""
    planned, found = design.balance, measured.balance
    out = {**planned.report(), "before": planned.figures(found.before), "after": planned.figures(found.after)}
    out["after"] = {**planned.figures(found.after), "facets_g_mm": found.facets_g_mm}
    out["mass_kg"] = _mass(measured)
    for one, left in zip(planned.readings, found.readings, strict=False):
        name = one.key.split(".")[1]
        out[name] = {**one.report(), "after": planned.figures(left)}
    return out


def _mass(measured: MeasuredFiles) -> float:
    """The wheel's mass, kg: one value wherever it is said, to a tenth of a gram."""
    return round(measured.mass_kg, 4)


def parts_report(design: Design) -> dict[str, Any]:
    """The parts of the report that are the design's alone."""
    parts = {name: getattr(design, name) for name in ("bracket", "gauge", "adapter", "cam")}
    return {name: part.report() for name, part in parts.items() if part is not None}


def with_stiffness(
    findings: list[Finding], report: dict[str, Any], stiffness: Stiffness, units: str
) -> tuple[list[Finding], dict[str, Any]]:
    """Findings and report with what the finite elements said; their first frequency takes the closed form's place."""
    solved = {finding.check for finding in stiffness.findings if stiffness.report is not None}
    findings = [f for f in findings if not (f.subject == CLOSED_FORM and f.check in solved)] + [*stiffness.findings]
    out = {**report, "findings": [finding.as_json(Words(units)) for finding in findings]}
    if stiffness.report is not None:
        closed = report["bracket"]["first_frequency_hz"]
        first: dict[str, Any] = {
            "first_frequency_hz": stiffness.report["frequencies_hz"][0],
            "first_frequency_closed_form_hz": closed,
        }
        first["first_frequency_method"] = stiffness.report["method"]
        first["first_frequency_range_hz"] = stiffness.report["first_frequency_range_hz"]
        out["bracket"] = {**report["bracket"], **first, "stiffness": stiffness.report}
    return findings, out
