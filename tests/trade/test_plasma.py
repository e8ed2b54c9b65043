import math

import pytest

from wheelcad.trade import plasma


def test_rules_grow_with_thickness():
    assert plasma.smallest_hole_mm(4) == 6
    assert plasma.least_bridge_mm(4) == 6
    assert plasma.narrowest_slot_mm(4) == 6
    assert plasma.narrowest_slot_mm(0.5, kerf_mm=1.4) == 1.4


def test_tolerance_table_never_shrinks():
    sizes = (1, 5, 20, 50, 200, 500, 1500)
    for s in (0.8, 2, 5, 8, 12):
        row = [t for t in (plasma.size_tolerance_mm(size, s) for size in sizes) if t is not None]
        assert row == sorted(row)
        assert len(row) >= 6
    assert plasma.size_tolerance_mm(2, 8) is None
    assert plasma.size_tolerance_mm(50, 16) is None
    assert plasma.size_tolerance_mm(2000, 5) is None


def test_degrees():
    assert plasma.tolerance_deg(1.0, 75) == pytest.approx(math.degrees(1 / 75))
    with pytest.raises(ValueError, match="radius"):
        plasma.tolerance_deg(1, 0)
    with pytest.raises(ValueError, match="ranges"):
        plasma.perpendicularity_mm(3, 6)
