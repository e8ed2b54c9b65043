"""Lays gauge.stl over wheel.stl: the gauge's marks against the wheel's slots, each from its own file."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from wheelcad.arrays import Bools, Floats
from wheelcad.checks.gauge import measure_marks, nearest_angle
from wheelcad.checks.mesh import circle_crossings, section_segments
from wheelcad.codes import Check
from wheelcad.files.stl import read_stl
from wheelcad.findings import Finding, at_most
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.trade.frames import wrap_180

OVERLAY_LIMIT_DEG = 0.02  # a mark's middle against its slot's


def marks_over_slots(gauge: Floats, wheel: Floats, design: GaugeDesign) -> Floats:
    """(n,) degrees by which each mark lies further on than the slot it lies over, in the order of design.cover.marks.

    gauge, wheel: triangles (n, 3, 3) in the wheel frame. Middles of marks and slots, both at design.mark_radius; where
    the gap has taken one side of a slot, its other side and the width it was cut with tell.
    """
    radius = design.mark_radius
    metal_from, metal_to = circle_crossings(*section_segments(wheel, 0.0), radius, design.sense)
    marks = measure_marks(gauge, design)
    slots = np.column_stack([nearest_angle(metal_to, marks[:, 0]), nearest_angle(metal_from, marks[:, 1])])
    ours = _middles(marks, design.body.style.slot.half_deg(radius), design.mark_edges_cut())
    sides = np.array([[not mark.gap_before, not mark.gap_after] for mark in design.cover.marks])
    theirs = _middles(slots, design.wheel_slot.half_deg(radius), sides)
    off: Floats = wrap_180(ours - theirs)
    return off


def _middles(edges: Floats, half_deg: float, there: Bools) -> Floats:
    """Middles between edges (n, 2), degrees; from one edge and the half width where the other is not there."""
    start, end = edges[:, 0], edges[:, 1]
    both = start + np.mod(end - start, 360.0) / 2
    middles: Floats = np.where(there.all(axis=1), both, np.where(there[:, 0], start + half_deg, end - half_deg))
    return middles


def check_gauge_over_wheel(folder: Path, design: GaugeDesign) -> list[Finding]:
    """The finding of the gauge laid over the wheel."""
    off = marks_over_slots(read_stl(folder / "gauge.stl"), read_stl(folder / "wheel.stl"), design)
    worst = float(np.abs(off).max()) if np.isfinite(off).all() else float("nan")
    far = [str(mark.number) for mark, d in zip(design.cover.marks, off, strict=True) if not abs(d) <= OVERLAY_LIMIT_DEG]
    which = f"off at cut {', '.join(far)}" if far else f"{len(off)} marks over their slots"
    why = f"gauge.stl laid over wheel.stl: {which}"
    return [at_most(Check.GAUGE_OVER_WHEEL, "gauge.stl", worst, "deg", OVERLAY_LIMIT_DEG, why, "file against file")]
