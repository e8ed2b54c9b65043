"""Bend allowances, plasma tolerances and milling speeds held against standards and handbooks."""

import pytest

from wheelcad.trade import bending, cutting, plasma


@pytest.mark.parametrize(
    ("r", "s", "k", "allowance", "deduction", "table_book"),
    # k, allowance, deduction: DIN 6935 worked by hand; last column: table book for metal trades, from memory
    [
        (1, 1, 0.65, 2.0813, 1.9187, 1.9),
        (2.5, 2.5, 0.65, 5.2033, 4.7967, 4.8),
        (6, 2, 0.8886, 10.8205, 5.1795, 5.2),
        (6, 4, 0.7380, 11.7434, 8.2566, 8.3),
        (6, 5, 0.6896, 12.1328, 9.8672, 9.9),
        (10, 6, 0.7609, 19.2937, 12.7063, 12.7),
    ],
)
def test_din_6935(r, s, k, allowance, deduction, table_book):
    assert bending.din6935_k(r, s) == pytest.approx(k, abs=5e-5)
    assert bending.allowance(90, r, s) == pytest.approx(allowance, abs=5e-5)
    assert bending.deduction(90, r, s) == pytest.approx(deduction, abs=5e-5)
    assert round(bending.deduction(90, r, s), 1) == table_book


def test_k_never_passes_one():
    # Source: DIN 6935: k = 1 for r/s > 5
    assert bending.din6935_k(5.1, 1) == 1
    assert bending.din6935_k(4.9, 1) < 1


@pytest.mark.parametrize(("s", "radius"), [(3.0, 3.0), (6.35, 6.35), (8.0, 12.0), (12.7, 19.05)])
def test_least_radius_of_a36(s, radius):
    # Source: structural steel reference: A36 to 1/4 in 1 t, to 1/2 in 1.5 t
    assert bending.least_inside_radius_mm("mild-steel", s) == pytest.approx(radius)


@pytest.mark.parametrize(
    ("thickness_mm", "range_2", "range_3", "range_4", "range_5"),
    # Source: published chart of ISO 9013:2002 perpendicularity, printed in inches
    [
        (1.5, 0.0063, 0.0163, 0.0327, 0.0493),
        (3.4, 0.0068, 0.0171, 0.0342, 0.0519),
        (6.4, 0.0077, 0.0183, 0.0365, 0.0560),
        (9.5, 0.0085, 0.0195, 0.0390, 0.0604),
        (12.7, 0.0094, 0.0207, 0.0415, 0.0647),
        (25.4, 0.0129, 0.0257, 0.0515, 0.0822),
    ],
)
def test_perpendicularity(thickness_mm, range_2, range_3, range_4, range_5):
    for quality, inches in ((2, range_2), (3, range_3), (4, range_4), (5, range_5)):
        assert plasma.perpendicularity_mm(thickness_mm, quality) / 25.4 == pytest.approx(inches, abs=7e-5)


@pytest.mark.parametrize(
    ("thickness", "size", "deviation"),
    # Source: ISO 9013:2017, limit deviations class 2, as a metal-cutting firm prints it
    [
        (2, 5, 0.6), (2, 20, 0.7), (2, 100, 0.7), (2, 200, 0.8),
        (5, 5, 0.8), (5, 20, 0.9), (5, 100, 0.9), (5, 200, 1.1),
        (8, 5, 1.0), (8, 20, 1.1), (8, 100, 1.3), (8, 200, 1.4),
        (3.15, 20, 0.7), (3.16, 20, 0.9), (5, 10, 0.9), (5, 9.99, 0.8),
    ],
)  # fmt: skip
def test_plasma_sizes(thickness, size, deviation):
    assert plasma.size_tolerance_mm(size, thickness) == deviation


def test_small_sizes_in_thick_plate_have_no_deviation():
    # Source: ISO 9013:2017, class 1, as a metal-cutting firm prints it: no figure under 3 mm in plate over 6.3 mm
    assert [plasma.size_tolerance_mm(2.9, thick) for thick in (6.31, 8, 10.1, 15)] == [None] * 4
    assert plasma.size_tolerance_mm(3.0, 6.31) == 1.0
    assert plasma.size_tolerance_mm(2.9, 6.3) == 0.7


def test_milling_speeds():
    # Source: milling tables: 12 mm at 25 m/min; 125 mm at 200 m/min, 0.2 mm a tooth, 8 teeth
    assert cutting.spindle_rpm(25, 12) == pytest.approx(663, abs=0.5)
    rpm = cutting.spindle_rpm(200, 125)
    assert rpm == pytest.approx(509.3, abs=0.05)
    assert cutting.feed_mm_min(rpm, 8, 0.2) == pytest.approx(814.9, abs=0.05)


def test_speed_ranges():
    # Source: milling tables for HSS; carbide on a light machine: our judgement
    for work in ("grey-iron", "mild-steel"):
        assert cutting.MILLING_SPEEDS["hss", work][:2] == (20, 35)
        assert cutting.MILLING_SPEEDS["carbide", work][:2] == (45, 60)
    assert cutting.chip_load_mm(10)[:2] == pytest.approx((0.05, 0.10))
