"""Measuring held against what stands outside the project.

Pitch terms: ISO 1328-1 as its wording is given in the gear glossary pages "Single Pitch Deviation" and "Gear Precision
Class - Pitch Deviation" (seen; the standard itself was not). Circle closure: W. T. Estler, "Uncertainty Analysis for
Angle Calibrations Using Circle Closure", J. Res. NIST 103 (1998) 141 (abstract and introduction seen). Eccentricity:
a sine of e/r, an indicator reads 2e (ISO 1101, any handbook; from memory).
"""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
import pytest

from tests.measure.wheels import extruded, nominal_slots, wheel_polygon, write_stl
from wheelcad.measure.mesh import mesh_reading
from wheelcad.measure.reading import WheelReading
from wheelcad.measure.scan_bed import close_circle
from wheelcad.measure.wheel import measured_wheel


def test_cumulative_deviation_over_k_pitches_is_the_sum_of_single_ones() -> None:
    # "the algebraic sum of each individual pitch deviation of these K pitches"
    rng = np.random.default_rng(1)
    slots = nominal_slots(60, 2) + rng.normal(0, 0.1, 59)
    wheel = measured_wheel(WheelReading("angles", None, 0.0, slots_deg=slots))
    for k in range(1, 59):
        assert wheel.cumulative_deg[k] == pytest.approx(wheel.single_deg[1 : k + 1].sum(), abs=1e-9)


def test_total_cumulative_deviation_is_the_largest_over_any_arc() -> None:
    # "maximum cumulative deviation in any arc (k = 1 to z)": the total amplitude of the cumulative curve
    rng = np.random.default_rng(2)
    slots = nominal_slots(24, 2) + rng.normal(0, 0.1, 23)
    wheel = measured_wheel(WheelReading("angles", None, 0.0, slots_deg=slots))
    arcs = [abs(wheel.single_deg[i + 1 : j + 1].sum()) for i in range(23) for j in range(i, 23)]
    assert wheel.total_cumulative_deg == pytest.approx(max(arcs), abs=1e-9)


def test_the_circle_closes() -> None:
    # "the sum of the angles around any point in a plane equals 360°" (Estler)
    rng = np.random.default_rng(3)
    slots = nominal_slots(36, 1) + rng.normal(0, 0.5, 36)
    wheel = measured_wheel(WheelReading("angles", None, 0.0, slots_deg=slots), (36, 1))
    assert wheel.single_deg.sum() == pytest.approx(0.0, abs=1e-9)


def test_dual_closure_parts_two_divided_circles() -> None:
    # Estler's dual closure: two circles calibrated by intercomparison in every position, without any reference. Here
    # the wheel against the bed: turned through even positions, both come out, but for what repeats with the positions.
    rng = np.random.default_rng(4)
    wheel = nominal_slots(24, 1) + rng.normal(0, 0.05, 24)
    positions = 5

    def bed(at: np.ndarray) -> np.ndarray:
        t = np.radians(at)
        return 0.08 * np.sin(t + 1.0) + 0.05 * np.cos(2 * t) + 0.03 * np.sin(3 * t + 2.0) + 0.02 * np.cos(4 * t)

    seen = []
    for k in range(positions):
        stands = wheel + 360.0 * k / positions
        seen.append(stands + bed(stands))
    closed = close_circle(np.array(seen), 1e-4, 1.0)
    off = closed.angles - wheel
    assert np.abs(off - off.mean()).max() < 0.004  # each picture's angle, not the wheel's own, goes into the waves
    alone = seen[0] - wheel
    assert np.abs(alone - alone.mean()).max() > 0.1
    assert np.abs(np.diff(closed.turned) - 72.0).max() < 0.02


@pytest.mark.parametrize("e", [0.05, 0.3])
def test_eccentricity_reads_twice_and_errs_by_e_over_r(tmp_path: Path, e: float) -> None:
    slots = nominal_slots(36, 1)
    file = write_stl(
        tmp_path / "w.stl", extruded(wheel_polygon(list(slots), 1, points=720, rim_offset=(e, 0.0)), 0, 3.2)
    )
    about_bore = mesh_reading(file, "front", "bore", "clockwise")
    assert about_bore.runout_mm == pytest.approx(2 * e, abs=0.002)
    rim = measured_wheel(mesh_reading(file, "front", "rim", "clockwise"))
    assert rim.total_cumulative_deg == pytest.approx(2 * np.degrees(e / rim.reading.radius_mm), rel=0.02)


def test_binary_stl_is_84_bytes_and_50_a_triangle(tmp_path: Path) -> None:
    # the file layout that every reader of the format agrees on (common practice, no source)
    triangles = extruded(wheel_polygon(list(nominal_slots(24, 1)), 1, radius=60.0, points=360), 0, 3.2)
    data = write_stl(tmp_path / "w.stl", triangles).read_bytes()
    assert len(data) == 84 + 50 * len(triangles)
    assert struct.unpack("<I", data[80:84])[0] == len(triangles)
    assert len(mesh_reading(tmp_path / "w.stl", "front", None, "clockwise").edges_deg) == 23  # type: ignore[arg-type]
