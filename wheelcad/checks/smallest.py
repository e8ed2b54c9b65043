"""How fine each check is: its tolerance, and the smallest fault that it was seen to catch. The documentation prints it.

`tests/checks/test_smallest.py` puts every fault of this table into a written file, sees the check fail, and sees half
of the tolerance pass. A check that says yes or no has a tolerance of nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

from wheelcad.checks import (
    bracket,
    bracket_folded,
    bracket_step,
    chart_columns,
    cut_files,
    drawings,
    flats,
    gauge,
    gauge_print,
    sections,
    shown,
    solids_truth,
    wheel,
)
from wheelcad.codes import Check

MM, DEG, RELATIVE, STEPS = "mm", "°", "of it", "of the last figure"


@dataclass(frozen=True)
class Smallest:
    """One check's fineness. file: where the fault was put; fault: what it is, `caught` large; both in `unit`."""

    check: Check
    file: str
    fault: str
    tolerance: float
    caught: float
    unit: str


SMALLEST: tuple[Smallest, ...] = (
    Smallest(Check.SECTIONS, "wheel.stl", "all moved sideways", sections.MESH_LIMIT, 0.011, MM),
    Smallest(Check.SECTIONS, "blank.stl", "all moved sideways", sections.MESH_LIMIT, 0.011, MM),
    Smallest(Check.SECTIONS, "bracket.stl", "all moved upwards", sections.MESH_LIMIT, 0.011, MM),
    Smallest(Check.HEIGHTS, "wheel.stl", "all moved along the crank", sections.FACE_LIMIT, 0.0022, MM),
    Smallest(Check.HEIGHTS, "blank.stl", "all moved along the crank", sections.FACE_LIMIT, 0.0022, MM),
    Smallest(Check.EXTENT, "bracket.stl", "all moved along the crank", 2 * sections.MESH_LIMIT, 0.022, MM),
    Smallest(Check.EDGE_ANGLES, "wheel.stl", "all turned", wheel.EDGE_LIMIT_DEG, 0.0011, DEG),
    Smallest(Check.GAP_PLACE, "wheel.stl", "all turned", wheel.EDGE_LIMIT_DEG, 0.0011, DEG),
    Smallest(Check.RIM_RUN_OUT, "wheel.stl", "all moved sideways, which an indicator reads twice",
             wheel.RUN_OUT_LIMIT_MM / 2, 0.0055, MM),
    Smallest(Check.VOLUME, "wheel.stl", "all larger, volume by three times that", wheel.VOLUME_LIMIT / 3, 0.0004,
             RELATIVE),
    Smallest(Check.AIR_GAP, "bracket.stl", "all moved along the nose", bracket_folded.PLACE_LIMIT, 0.011, MM),
    Smallest(Check.TAB_FACE, "bracket.stl", "all moved along the nose", bracket_folded.PLACE_LIMIT, 0.011, MM),
    Smallest(Check.FOLDED_HOLE, "bracket.stl", "all moved sideways", bracket_folded.PLACE_LIMIT, 0.015, MM),
    Smallest(Check.STEP_TAB_FACE, "bracket.step", "all moved along the nose", bracket_step.PLACE_LIMIT, 0.0011, MM),
    Smallest(Check.GAUGE_MARKS, "gauge.stl", "all turned", gauge.MARK_LIMIT_DEG, 0.0025, DEG),
    Smallest(Check.GAUGE_HOLE_PLACE, "gauge.stl", "all moved sideways", gauge.HOLE_LIMIT_MM, 0.022, MM),
    Smallest(Check.GAUGE_REACH, "gauge.stl", "all moved along the crank", gauge.SIZE_LIMIT_MM, 0.022, MM),
    Smallest(Check.GAUGE_PRINT_SAME, "gauge.3mf", "all moved sideways", gauge_print.SAME_MM, 0.0011, MM),
    Smallest(Check.GAUGE_PRINT_STANDS, "gauge.3mf", "all moved upwards", gauge_print.SAME_MM, 0.0011, MM),
    Smallest(Check.SAME_BODY, "gauge.stl", "all moved sideways, against gauge.step", solids_truth.GAUGE_LIMIT, 0.035,
             MM),
    Smallest(Check.FLAT_OUTLINE, "bracket-flat.dxf", "all moved", flats.FLAT_LIMIT, 0.0011, MM),
    Smallest(Check.FLAT_OUTLINE, "wheel-finished.dxf", "all moved", flats.FLAT_LIMIT, 0.0011, MM),
    Smallest(Check.FLAT_HOLES, "wheel-finished.dxf", "a hole's radius larger", flats.FLAT_LIMIT, 0.0011, MM),
    Smallest(Check.FLAT_HOLES, "bracket-flat.dxf", "a hole's radius larger", flats.FLAT_LIMIT, 0.0011, MM),
    Smallest(Check.FLAT_MARKS, "wheel-flat.dxf", "a mark moved", flats.FLAT_LIMIT, 0.0011, MM),
    Smallest(Check.HOLE_PLACE, "bracket-flat.dxf", "all moved", bracket.SIZE_LIMIT, 0.0011, MM),
    Smallest(Check.HOLE_SIZE, "bracket-flat.dxf", "a hole's radius larger, its diameter by twice that",
             bracket.SIZE_LIMIT / 2, 0.00055, MM),
    Smallest(Check.SLIT_PLACE, "bracket-flat.dxf", "a slit moved", bracket.SIZE_LIMIT, 0.0011, MM),
    Smallest(Check.EXTENTS, "bracket-flat.dxf", "all moved, its head not", cut_files.EXTENTS_LIMIT, 0.011, MM),
    Smallest(Check.CHART_SLOTS, "index-chart.csv", "at_deg of a slot larger", 1e-6, 1.1e-6, DEG),
    Smallest(Check.CHART_COLUMNS, "index-chart.csv", "diameter_mm of a hole larger", chart_columns.COLUMN_LIMIT, 3e-9,
             MM),
    Smallest(Check.CHART_MOVES, "index-chart.csv", "advance_dial_deg larger", 4e-9, 5e-9, DEG),
    Smallest(Check.SHOWN_SAME, "assembly.glb", "the sensor moved along its nose, against assembly.step",
             shown.SINGLE, 0.008, MM),
    Smallest(Check.DRAWN_LINES, "wheel-drawing.dxf", "a dimension's end moved", drawings.ON_LINE, 0.011, MM),
    Smallest(Check.DIMENSION_TEXT, "wheel-drawing.dxf", "a dimension's length other than its text", drawings.ROUNDED,
             0.55, STEPS),
)  # fmt: skip


def smallest_markdown() -> str:
    """The table, for the documentation."""
    rows = ["| check | file | fault put in | passes up to | caught at |", "| --- | --- | --- | --- | --- |"]
    for one in SMALLEST:
        limits = " | ".join(f"{value:.2g} {one.unit}" for value in (one.tolerance, one.caught))
        rows.append(f"| `{one.check}` | `{one.file}` | {one.fault} | {limits} |")
    return "\n".join(rows)
