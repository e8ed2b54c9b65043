import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelcad.trade import cutting
from wheelcad.trade.materials import MATERIALS


@pytest.mark.parametrize("tool", ["hss", "carbide"])
@pytest.mark.parametrize("work", MATERIALS)
def test_every_pair_of_cutter_and_work_has_a_speed(tool, work):
    for table in (cutting.MILLING_SPEEDS, cutting.TURNING_SPEEDS):
        speed = table[tool, work]
        assert 0 < speed.low < speed.start < speed.high
        assert speed.source


@given(depth=st.floats(0.1, 30), step=st.floats(0.1, 10))
def test_passes_reach_and_are_no_deeper(depth, step):
    n = cutting.passes(depth, step)
    assert depth / n <= step * (1 + 1e-6)
    assert n == 1 or depth / (n - 1) > step * (1 - 1e-6)


def test_plan_hangs_together():
    plan = cutting.milling_plan("hss", "grey-iron", 6, 4, 6.35)
    assert plan.speed_m_min == pytest.approx(25)
    assert math.pi * 6 * plan.rpm / 1000 == pytest.approx(plan.speed_m_min)
    assert plan.feed_mm_min == pytest.approx(plan.rpm * 4 * plan.chip_load_mm)
    assert plan.passes * plan.pass_depth_mm == pytest.approx(6.35)
    assert plan.pass_depth_mm <= cutting.slot_pass_depth_mm(6, "grey-iron")


def test_long_cutter_cuts_shallower():
    stiff = cutting.slot_pass_depth_mm(6, "mild-steel", 18)
    assert stiff == cutting.slot_pass_depth_mm(6, "mild-steel")
    assert cutting.slot_pass_depth_mm(6, "mild-steel", 36) == pytest.approx(stiff / 4)


def test_larger_work_turns_slower():
    assert cutting.turning_rpm("hss", "grey-iron", 168) < cutting.turning_rpm("hss", "grey-iron", 60)
    assert cutting.drilling_rpm("mild-steel", 8) < cutting.drilling_rpm("mild-steel", 4)


def test_refusals():
    for call in (lambda: cutting.spindle_rpm(0, 6), lambda: cutting.spindle_rpm(20, 0), lambda: cutting.passes(0, 1)):
        with pytest.raises(ValueError, match="greater than nothing"):
            call()
    with pytest.raises(KeyError):
        cutting.milling_plan("hss", "cheese", 6, 4, 6)
