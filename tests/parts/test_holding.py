"""Workholding: holder and table, rim and the mill's table, clamps and the cut, slack, the arbour."""

from __future__ import annotations

import math
import re
from importlib.resources import files

import numpy as np
import pytest

from tests.conftest import demo_text, plate_job
from wheelcad.codes import Check
from wheelcad.findings import Finding
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.arbour.design import design_arbour
from wheelcad.parts.chart import chart_of
from wheelcad.parts.indexing.holding import BEARS
from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.parts.indexing.text import chart_text
from wheelcad.words import Words

EDGE = "{width: 3, depth: 4, sides: parallel, floor: flat}"


def small(shop: str, diameter: float = 60.0) -> Job:
    return plate_job(12, 1, diameter, slot=EDGE, extra=f"shop: {shop}\n")


def finding(job: Job, check: Check) -> Finding | None:
    return next((f for f in chart_of(job).findings if f.check == check), None)


def test_on_edge_a_holder_that_comes_down_beside_the_table_is_told() -> None:
    """Stick-out 5 on a wheel of 60: the holder's nose is 26 + 5 = 31 from the axis, inside any table over 60."""
    shop = "{{rotary_table: {{ratio: 40{}}}, cutter: {{diameter: 3, stick_out: {}, holder_diameter: 30}}}}"
    job = parse_job(
        "job: small\nwheel: {form: plate, teeth: 12, missing: 1, outside_diameter: 60, thickness: 4, bore: 45, "
        f"slot: {EDGE}}}\nshop: {shop.format(', diameter: 100', 5)}\n",
        "small.yaml",
    )
    told = finding(job, Check.HOLDER_TABLE)
    assert told is not None
    assert told.verdict == "warn"
    assert told.measured == pytest.approx(31 - 50)
    enough = job.model_copy(update={"shop": parse_job(
        "job: a\nwheel: {teeth: 12, missing: 1, outside_diameter: 60, thickness: 4, bore: 45, "
        f"slot: {EDGE}}}\nshop: {shop.format(', diameter: 100', 26)}\n", "a.yaml").shop})  # fmt: skip
    told = finding(enough, Check.HOLDER_TABLE)
    assert told is not None
    assert told.verdict == "pass"


def test_on_edge_the_rim_must_clear_the_mills_table() -> None:
    shop = "{{rotary_table: {{ratio: 40, centre_height: {}}}, cutter: {{diameter: 3}}}}"
    low, high = (finding(small(shop.format(h), 300.0), Check.SWING) for h in (80, 160))
    assert low is not None
    assert high is not None
    assert (low.verdict, high.verdict) == ("warn", "pass")
    assert "parallels at least 71 mm high" in Words("mm").text(low.why)


def test_half_a_turn_of_90_to_1_is_less_than_three_degrees_of_slack() -> None:
    shop = "{{rotary_table: {{ratio: 90, backlash: {} deg}}, cutter: {{diameter: 3}}}}"
    told, fine = (finding(small(shop.format(slack)), Check.BACKLASH) for slack in (3, 0.2))
    assert told is not None
    assert fine is not None
    assert (told.verdict, fine.verdict) == ("warn", "pass")
    said = " ".join(chart_of(small(shop.format(3))).setup)
    # 3 degrees are three quarters of a turn of 4 degrees: with a quarter to spare, one whole turn
    assert "go back 1 turn past it" in said


def test_a_small_wheel_without_bolts_gets_an_arbour() -> None:
    text = (
        "job: small\nwheel: {form: plate, teeth: 24, missing: 1, outside_diameter: 58, thickness: 4, bore: 12, "
        "slot: {width: 3, depth: 4}}\n"
    )
    arbour = design_arbour(parse_job(text, "small.yaml"))
    assert arbour is not None
    assert arbour.seat_mm == 12
    assert arbour.seat_limits == (-0.011, 0.0)  # h6 of 12 mm: ISO 286-2
    assert arbour.thread == "M10"
    assert arbour.seat_long < 4
    assert arbour.shoulder_mm < 58 - 2 * 4
    bolted = text + "pulley: {bore: 12, bolts: {count: 3, circle: 30, hole: 5.5}}\n"
    assert design_arbour(parse_job(bolted, "small.yaml")) is None
    assert design_arbour(parse_job(demo_text("tarn-six"), "six.yaml")) is None


def test_the_clamp_stays_inside_what_is_cut(six: Job) -> None:
    """Balance holes of 8 on radius 66: a washer ends 2 inside them, 2·(66 - 4 - 2) = 120."""
    held = Words("mm").text(chart_of(six).setup_of("mill").sheet.holds)
    assert "nothing of washer or nut beyond ⌀120 mm" in held


def test_the_washer_leaves_zeros_bolt_hole_open() -> None:
    """Bolt holes of 8.4 on ⌀90, into one of which zero's pin drops: 2·(45 - 4.2 - 2) = 77.6. While they are drilled
    and the bore is made, straps hold the rim, no nearer to the centre than 45 + 4.2 + 2 = 51.2."""
    text = (files("wheelcad") / "docs" / "machines-plate-60-2.md").read_text(encoding="utf-8")
    plan = chart_of(parse_job(text.split("```yaml\n")[1].split("```")[0], "walk.yaml"))
    held = Words("mm").text(plan.setup_of("mill").sheet.holds)
    assert "nothing of washer or nut beyond ⌀77.6 mm, where the pin goes in" in held
    strapped = Words("mm").text(plan.setup_of("plate").sheet.holds)
    assert "their ends no nearer to the centre than 51.2 mm" in strapped
    assert "stud" not in strapped


def test_every_set_up_says_everything() -> None:
    for name in ("tarn-six", "beck-four", "fell-twin"):
        plan = chart_of(parse_job(demo_text(name), name))
        assert {stop.setup for stop in plan.stops} == {setup.key for setup in plan.setups}
        for setup in plan.setups:
            heads = dict(setup.heads)
            assert list(heads) == ["Held by", "Spindle", "Locked", "Zero", "Made here", "Then", "If it went wrong"]
            assert all(heads.values())
            made = [stop.cut for stop in plan.stops if stop.setup == setup.key and stop.work != "side"]
            assert str(min(made)) in heads["Made here"]
            assert str(max(made)) in heads["Made here"]


def of_shop(shop: str) -> IndexPlan:
    text = re.sub(r"  rotary_table: .*", f"  {shop}", demo_text("beck-four"))
    return chart_of(parse_job(text, "shop.yaml"))


def test_a_readouts_sheet_is_whole_without_a_table() -> None:
    """No handwheel, no turns, no bench page; zero again from a pin in bolt hole 1, its X and Y by geometry."""
    plan = of_shop("readout: yes")
    said = chart_text(plan)
    for word in ("handwheel", "turns and dial", "bench page", "moves from the stop before", "table locked"):
        assert word not in said, word
    again = Words("mm").text(" ".join(plan.setup_of("mill").lines))
    x, y = 45 * math.sin(math.radians(135)), 45 * math.cos(math.radians(135))  # 15 + 120° from TDC, clockwise
    assert f"X {x:.2f} Y {y:.2f}, with a close pin of ⌀6.6 mm" in again
    assert "both slides locked" in said


def test_a_driven_axis_says_its_zero_in_every_set_up() -> None:
    """The gap is centred 90° from TDC: with the TDC line under the cutter the axis stands at 360 - 90."""
    plan = of_shop("rotary_axis: yes")
    for key in ("plate", "mill"):
        lines = " ".join(plan.setup_of(key).lines)
        assert "set the axis to A 270. Send it to A 0: that brings the centre of the gap under the cutter" in lines
    said = chart_text(plan)
    for word in ("handwheel", "turns and dial", "bench page", "moves from the stop before"):
        assert word not in said, word


@pytest.mark.parametrize(("floor", "verdict"), [(0.04, "pass"), (-0.04, "warn")])
def test_straps_on_a_plate_without_a_bore_want_their_bearing_alone(floor: float, verdict: str) -> None:
    """Free to the centre is what lies within the slots less what straps keep from the cut; no bore takes any of it."""
    depth = 4.0
    for slot_floor in np.arange(6.0, 40.0, 0.5):
        job = _without_bore(float(slot_floor) + depth, depth)
        told = finding(job, Check.CLAMP_ROOM)
        if told is not None and told.verdict == "pass":
            break
    else:
        raise AssertionError("none is large enough")
    free = float(re.findall(r"[\d.]+", Words("mm").text(str(told.measured)))[0])
    job = _without_bore(float(slot_floor) + depth - (free - BEARS) + floor, depth)
    told = finding(job, Check.CLAMP_ROOM)
    assert told is not None
    assert told.verdict == verdict


def _without_bore(radius: float, depth: float) -> Job:
    return parse_job(
        f"job: blind\nwheel: {{form: plate, teeth: 12, missing: 1, outside_diameter: {2 * radius:.4f}, thickness: 4, "
        f"slot: {{width: 2, depth: {depth}, sides: parallel, floor: flat}}}}\n"
        "shop: {rotary_table: {ratio: 40}, cutter: {diameter: 2}}\n"
    )


@pytest.mark.parametrize(
    ("table", "over", "verdict"),
    [(200, 0, "pass"), (160, 0, "pass"), (150, 5, "pass"), (112, 24, "pass"), (108, 26, "warn")],
)
def test_a_wheel_may_hang_over_its_table_by_a_third_of_the_tables_radius(
    table: float, over: float, verdict: str
) -> None:
    """A plate of ⌀160 with floors at 74: what carries is the ring inside them. 74 - 56 = 18 < 56/3; 74 - 54 = 20."""
    job = plate_job(
        36, 1, 160, slot="{width: 6, depth: 6}", extra=f"shop: {{rotary_table: {{ratio: 40, diameter: {table}}}}}\n"
    )
    told = finding(job, Check.TABLE_SIZE)
    assert told is not None
    assert told.verdict == verdict
    assert f"hangs over by {over} mm all round" in Words("mm").text(told.why)
