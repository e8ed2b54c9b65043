"""Engines and wheels for the tests of this folder; invented ones."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.job.models import Job
from wheelcad.signal.edges import Edges, ideal_edges
from wheelcad.signal.inputs import Inputs, inputs_of

# a pickup whose field the tests share: solved once
POLE = {"kind": "reluctance", "air_gap": 0.75, "face_diameter": 4, "air_gap_range": [0.5, 1.0]}


def off_centre(edges: Edges, eccentricity_mm: float, towards_deg: float) -> Edges:
    """The wheel running off centre: its middle lies `eccentricity_mm` from the axis, towards the angle `towards_deg`.

    Exact: a point at radius r and angle a is seen at a + atan2(e·sin(b - a), r + e·cos(b - a)), at most asin(e/r) off.
    ValueError unless 0 ≤ e < r.
    """
    if not 0 <= eccentricity_mm < edges.radius_mm:
        raise ValueError("the eccentricity must not be negative and be less than the radius")

    def seen(a: Floats) -> Floats:
        b = np.radians(towards_deg - a)
        return a + np.degrees(np.arctan2(eccentricity_mm * np.sin(b), edges.radius_mm + eccentricity_mm * np.cos(b)))

    return replace(edges, from_deg=seen(edges.from_deg), to_deg=seen(edges.to_deg))


def job_of(
    cylinders: int = 4,
    teeth: int = 36,
    missing: int = 1,
    *,
    angles: list[float] | None = None,
    order: list[int] | None = None,
    gap_at: float = 0.0,
    sensor: dict[str, Any] | None = None,
    engine: dict[str, Any] | None = None,
    controller: dict[str, Any] | None = None,
    gaps: list[dict[str, Any]] | None = None,
) -> Job:
    """A job whose wheel has slots half a pitch wide at ⌀160."""
    order = list(range(1, cylinders + 1)) if order is None else order
    angles = [0.0, 360.0] if angles is None and cylinders == 2 else angles
    wheel: dict[str, Any] = {
        "teeth": teeth,
        "outside_diameter": 160,
        "thickness": 4,
        "slot": {"width": round(np.pi * 160 / teeth / 2, 2), "depth": 6, "sides": "radial", "floor": "flat"},
        "bore": 40,
        "form": "plate",
    }
    wheel |= {"gaps": gaps} if gaps else {"missing": missing, "gap_at": gap_at}
    data: dict[str, Any] = {
        "job": "test",
        "engine": {"cylinders": cylinders, "firing_order": order, "max_speed": 6000, **(engine or {})},
        "wheel": wheel,
        "sensor": {"kind": "hall", "at": 60, "air_gap": 0.8, "face_diameter": 4, **(sensor or {})},
    }
    if angles is not None:
        data["engine"]["firing_angles"] = angles
    if controller:
        data["controller"] = controller
    return Job.from_data(data)


def edges_of(job: Job, share: float = 0.5) -> Edges:
    """The ideal wheel of a job, its teeth `share` of a pitch wide."""
    wheel = job.wheel
    gaps = tuple((gap.at, gap.missing) for gap in wheel.gaps) or ((wheel.gap_at, wheel.missing),)
    pitch = 360.0 / wheel.teeth
    return ideal_edges(wheel.teeth, gaps, share * pitch, wheel.outside_diameter / 2, slot_depth_mm=wheel.slot.depth)


def inputs_for(**what: Any) -> tuple[Edges, Inputs]:
    """Edges and inputs of `job_of(**what)`."""
    job = job_of(**what)
    edges = edges_of(job)
    return edges, inputs_of(job, edges)
