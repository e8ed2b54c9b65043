"""Figures of the trade that nothing outside can hold: customs, judgements and sizes from memory.

This is no proof of them. It is the other half of a ledger: a figure that changes must be changed here too, on purpose,
so that none slips. What has a source stands in tests/outside instead.
"""

from __future__ import annotations

import pytest

from wheelcad.trade import (
    assumed,
    bending,
    cutting,
    excitation,
    fits,
    heads,
    inertia,
    plasma,
    printing,
    resonance,
    sensing,
    threads,
)
from wheelcad.trade import unbalance as ub
from wheelcad.trade.hall import HALL_RULES
from wheelcad.trade.materials import MATERIALS, grey_iron_tensile_mpa

# As the job file's own description names them, in its units
TAKEN = {
    "engine.idle_speed": 800.0, "engine.cranking_dip": 0.55, "engine.compression": 8.5,
    "engine.advance.cranking": 5.0, "engine.advance.least": 5.0, "engine.advance.most": 40.0, "engine.dwell": 4.0,
    "balance.turns_with": 14.0, "shop.cutter.corner": 0.2, "sensor.element_spacing": 2.5, "sensor.output": "iron-low",
    "sensor.delay": 0.01, "sensor.least_tooth_rate": 0.0, "sensor.needs_teeth": 0.0, "controller.least_volts": 0.3,
    "controller.arming": 0.35, "controller.compares": "last", "controller.filter": 0.02,
    "tolerances.table_accuracy": 1 / 60, "tolerances.centring": 0.05, "tolerances.bore_clearance": 0.03,
    "tolerances.tdc_mark": 0.25, "tolerances.stop_marks": 0.3, "tolerances.sensor_angle": 1.0,
    "tolerances.light_reading": 1.0, "tolerances.gap_hot": 0.1,
}  # fmt: skip


def test_what_is_taken_where_a_job_does_not_say() -> None:
    assert {key: one.value for key, one in assumed.ASSUMED.items()} == TAKEN


def test_how_cylinders_stand() -> None:
    layouts = [assumed.assumed_layout(n) for n in (1, 2, 6, 7, 8, 12)]
    assert layouts == ["single", "inline", "inline", "vee", "vee", "vee"]
    assert [assumed.assumed_vee_deg(n) for n in (6, 8, 10, 11, 12)] == [90, 90, 72, 90, 60]
    assert [assumed.assumed_crank_kg(n) for n in (None, 1, 2, 4, 6)] == [5, 5, 8, 14, 20]


MILLING = {
    "hss": {"grey-iron": (20, 35), "ductile-iron": (18, 30), "mild-steel": (20, 35), "stainless-430": (15, 22),
            "aluminium-6061": (60, 120)},
    "carbide": {"grey-iron": (45, 60), "ductile-iron": (45, 60), "mild-steel": (45, 60), "stainless-430": (40, 55),
                "aluminium-6061": (120, 250)},
}  # fmt: skip
TURNING = {
    "hss": {"grey-iron": (15, 25), "ductile-iron": (15, 25), "mild-steel": (20, 30), "stainless-430": (12, 20),
            "aluminium-6061": (60, 120)},
    "carbide": {"grey-iron": (50, 80), "ductile-iron": (50, 80), "mild-steel": (70, 120), "stainless-430": (50, 90),
                "aluminium-6061": (150, 300)},
}  # fmt: skip
SLOT_DEPTH = {"grey-iron": 3.0, "ductile-iron": 2.5, "mild-steel": 2.5, "stainless-430": 2.0, "aluminium-6061": 5.0}


def test_cutting() -> None:
    for table, kept in ((MILLING, cutting.MILLING_SPEEDS), (TURNING, cutting.TURNING_SPEEDS)):
        flat = {(tool, work): speeds for tool, row in table.items() for work, speeds in row.items()}
        assert {key: (one.low, one.high) for key, one in kept.items()} == flat
    assert {work: cutting.slot_pass_depth_mm(10, work) for work in SLOT_DEPTH} == pytest.approx(SLOT_DEPTH)
    assert cutting.slot_pass_depth_mm(10, "mild-steel", 30.0) == 2.5  # three diameters out: still stiff
    assert cutting.slot_pass_depth_mm(10, "mild-steel", 31.0) == pytest.approx(2.5 * (30 / 31) ** 2)
    assert cutting.Range(10, 40, "").start == 20  # a third of the way up
    assert cutting.chip_load_mm(12)[:2] == pytest.approx((0.06, 0.12))


def test_bolts_and_heads() -> None:
    assert heads.across_flats_mm(18) == 27  # 1.5 d where the table has none
    assert heads.washer_across_mm(18) == 36
    assert (heads.NUT_HEIGHT, heads.BARREL_NUT_HEIGHT, heads.HEAD_HEIGHT) == (0.9, 0.4, 0.65)
    assert heads.nut_radius_mm(12) == pytest.approx(11.4)  # a nut's washer reaches 0.95 d
    assert heads.nut_radius_mm(6) == pytest.approx(10 / 3**0.5)  # its corners further
    assert [heads.washer_thickness_mm(d) for d in (7, 18)] == pytest.approx([1.4, 3.6])
    assert [heads.washer_thickness_mm(d, over_slot=True) for d in (5, 6, 8, 10, 12, 14, 16, 20, 18)] == pytest.approx(
        [1.2, 1.6, 2.0, 2.5, 3.0, 3.0, 3.0, 4.0, 4.5]
    )
    assert heads.socket_radius_mm(8) == pytest.approx(13 / 3**0.5 + 2.5)
    lengths = [8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80, 90, 100]
    assert [heads.screw_length_mm(n) for n in lengths] == lengths
    assert [heads.screw_length_mm(n + 0.01) for n in lengths] == [*lengths[1:], None]
    for call in (heads.across_flats_mm, heads.washer_across_mm, heads.nut_radius_mm, heads.socket_radius_mm):
        with pytest.raises(ValueError, match="diameter"):
            call(0)
        assert call(1) > 0
    assert (threads.PRELOAD_SHARE, threads.NUT_FACTOR, threads.FRICTION) == (0.75, 0.2, 0.15)
    assert dict(threads.ENGAGEMENT_D) == {
        "grey-iron": 1.5, "ductile-iron": 1.25, "mild-steel": 1.0, "aluminium-6061": 2.0,
    }  # fmt: skip
    assert threads.BOLT_STRENGTH_MPA["4.6"] == (400, 225)
    tensile = {"4.6": 400, "5.6": 500, "8.8": 800, "10.9": 1040, "12.9": 1220}
    assert {grade: mpa for grade, (mpa, _) in threads.BOLT_STRENGTH_MPA.items()} == tensile
    assert (fits.SAME_HOLE_MM, fits.CLOSE_MM, fits.ISO_2768_LEAST_MM) == (0.02, 0.15, 0.5)
    assert fits.iso2768_m(2000) == 1.2


def test_plasma_and_print() -> None:
    assert [plasma.smallest_hole_mm(4), plasma.least_bridge_mm(4), plasma.narrowest_slot_mm(4)] == [6, 6, 6]
    assert plasma.perpendicularity_mm(10, 1) == pytest.approx(0.08)
    assert printing.HOLE_ALLOWANCE_MM == 0.2
    assert printing.printed_hole_mm(8.0) == pytest.approx(8.2)
    assert (printing.LEAST_TEXT_HEIGHT_MM, printing.LEAST_TEXT_STROKE_MM, printing.TEXT_DEPTH_MM) == (3.0, 0.6, 1.0)
    assert printing.PLA_SHRINKAGE == 0.002
    assert printing.usable_bed((200, 180)) == (184, 164)
    assert printing.usable_bed((16, 15)) == (0, 0)


def test_sensors_and_shakes() -> None:
    assert sensing.RELUCTANCE_GAP_MM == (0.4, 0.8)
    assert sensing.RELUCTANCE_SLOT_PER_POLE == 3.0
    assert sensing.GREATEST_RUNOUT_MM == 0.2
    assert resonance.DAMPING == 0.02
    assert resonance.DAMPING_RANGE == (0.01, 0.05)
    assert (excitation.HARMONICS, excitation.WEAK, excitation.BLOCK_G) == (3, 0.1, 10.0)
    assert (inertia.ROD_RATIO, inertia.STAGGER) == (0.3, 0.5)
    assert (ub.POINT_DEG, ub.ROLLING_ARM_MM) == (118.0, 0.01)
    assert bending.ALONG_GRAIN == 1.5
    for (layout, count), order in inertia.USUAL_ORDERS.items():
        assert sorted(order) == list(range(1, count + 1)), layout


def test_usual_orders() -> None:
    assert dict(inertia.USUAL_ORDERS) == {
        ("single", 1): (1,), ("inline", 2): (1, 2), ("inline", 3): (1, 3, 2), ("inline", 4): (1, 3, 4, 2),
        ("inline", 5): (1, 2, 4, 5, 3), ("inline", 6): (1, 5, 3, 6, 2, 4), ("vee", 2): (1, 2),
        ("vee", 6): (1, 2, 3, 4, 5, 6), ("vee", 8): (1, 8, 4, 3, 6, 5, 7, 2),
        ("vee", 12): (1, 7, 5, 11, 3, 9, 6, 12, 2, 8, 4, 10), ("flat", 2): (1, 2), ("flat", 4): (1, 3, 2, 4),
        ("flat", 6): (1, 6, 2, 4, 3, 5),
    }  # fmt: skip


def test_what_a_vane_wants_and_how_small_a_hole_is_good() -> None:
    for kind in ("hall-fixed", "hall-selfsetting"):  # one element wants what two want: the data sheets of those
        one = HALL_RULES[kind]
        assert [one.tooth[0], one.slot[0], one.depth[0], one.face[0]] == [2, 2, 2, 3]
    vane = HALL_RULES["vane"]
    assert [vane.tooth[0], vane.slot[0], vane.depth[0], vane.face[0]] == [5, 5, 5, 1]
    assert (plasma.SMALLEST_HOLE_PER_THICKNESS, plasma.GOOD_HOLE_PER_THICKNESS) == (1.5, 2)


def test_materials_from_memory() -> None:
    """Densities, moduli and what has no standard here, beside the strengths that tests/outside holds."""
    kept = {name: (m.density_kg_m3, m.youngs_gpa, m.poisson) for name, m in MATERIALS.items()}
    assert kept == {
        "grey-iron": (7200, 110, 0.26), "ductile-iron": (7100, 169, 0.275), "mild-steel": (7850, 200, 0.30),
        "stainless-430": (7700, 200, 0.28), "aluminium-6061": (2700, 68.9, 0.33),
    }  # fmt: skip
    strengths = {name: (m.tensile_mpa, m.yield_mpa) for name, m in MATERIALS.items()}
    assert strengths == {
        "grey-iron": (250, None), "ductile-iron": (400, 250), "mild-steel": (360, 235), "stainless-430": (450, 205),
        "aluminium-6061": (310, 276),
    }  # fmt: skip
    assert [grey_iron_tensile_mpa(wall) for wall in (0.5, 3, 5, 7.5, 30, 80, 200)] == [
        250,
        250,
        250,
        237.5,
        182.5,
        155,
        155,
    ]


def test_plasma_sizes_whole() -> None:
    """ISO 9013, class 2: the columns that tests/outside does not hold, and where the table has no row."""
    sizes = (1, 5, 20, 100, 200, 500, 1500)
    rows = {
        0.8: (0.5, 0.6, 0.6, 0.7, 0.7, 0.8, 0.9), 2: (0.6, 0.6, 0.7, 0.7, 0.8, 0.9, 1.0),
        5: (0.7, 0.8, 0.9, 0.9, 1.1, 1.2, 1.3), 8: (None, 1.0, 1.1, 1.3, 1.4, 1.5, 1.6),
        12: (None, 1.8, 1.8, 1.8, 1.9, 2.3, 3.0),
    }  # fmt: skip
    for thick, row in rows.items():
        assert tuple(plasma.size_tolerance_mm(size, thick) for size in sizes) == row
    steps = {
        2.99: 0.7,
        3: 0.8,
        9.99: 0.8,
        10: 0.9,
        35: 0.9,
        124.9: 0.9,
        125: 1.1,
        314.9: 1.1,
        315: 1.2,
        999: 1.2,
        1000: 1.3,
    }
    assert {size: plasma.size_tolerance_mm(size, 6.3) for size in steps} == steps
    assert [plasma.size_tolerance_mm(20, thick) for thick in (1.0, 1.01, 3.15, 6.31, 10, 10.1, 15, 15.1)] == [
        0.6, 0.7, 0.7, 1.1, 1.1, 1.8, 1.8, None,
    ]  # fmt: skip
    for size, thick in ((0, 5), (-1, 5), (2000, 5), (20, 0), (20, -1)):
        assert plasma.size_tolerance_mm(size, thick) is None
    assert plasma.size_tolerance_mm(0.5, 0.5) == 0.5
    assert plasma.tolerance_deg(1, 0.5) == pytest.approx(114.591559)


def test_bolts_of_the_inch_and_the_largest_metric_one() -> None:
    """Holes a little over the inch sizes from 3/16 to 3/4; ISO 273's M20, from memory."""
    inches = {5.2: 3 / 16, 6.52: 1 / 4, 8.2: 5 / 16, 9.8: 3 / 8, 11.4: 7 / 16, 12.9: 1 / 2, 14.7: 9 / 16, 16.2: 5 / 8,
              19.4: 3 / 4}  # fmt: skip
    assert {hole: fits.likely_bolt_mm(hole) for hole in inches} == pytest.approx(
        {h: 25.4 * n for h, n in inches.items()}
    )
    assert [fits.likely_bolt_mm(hole) for hole in (4.9, 6.49, 8.08, 2.0)] == [4, 6, 6.35, None]
    assert [fits.clearance_hole_mm(20, series) for series in ("fine", "medium", "coarse")] == [21, 22, 24]
    assert (fits.LEAST_MM, fits.GREATEST_MM) == (3, 250)
    for size in (3, 250.1, 260):
        with pytest.raises(ValueError, match="250"):
            fits.limits_mm(size, "H7")
