"""The indexing plan: settings, laps, checkpoints, set-up and what is reported."""

from __future__ import annotations

import json
import math
from fractions import Fraction
from itertools import pairwise

import pytest

from tests.conftest import plate_job
from wheelcad.errors import DesignError
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.indexing.design import design_indexing
from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.parts.indexing.program import rotary_program
from wheelcad.parts.indexing.text import chart_text
from wheelcad.parts.wheel.design import design_wheel

TABLE = "rotary_table: {ratio: 40, dial_step: 0.05 deg, backlash: 0.2 deg}"
PLATES = "plates: [[15,16,17,18,19,20],[21,23,27,29,31,33],[37,39,41,43,47,49]]"
THIN_SLOT = "{width: 0.6, depth: 1, sides: parallel, floor: round}"


def plan_of(job: Job, holes: tuple[CorrectionHole, ...] = ()) -> IndexPlan:
    plan = design_indexing(job, design_wheel(job), holes)
    assert plan is not None
    return plan


def job_with(shop: str, **wheel: object) -> Job:
    return plate_job(extra=f"shop: {{{shop}}}\n", **wheel)  # type: ignore[arg-type]


def drilled(*at_deg: float) -> tuple[CorrectionHole, ...]:
    return tuple(CorrectionHole(at, 66.0, 6.2, 1.6, -1.6, drill="6.2 mm") for at in at_deg)


def test_thirty_six_minus_one_on_a_forty_to_one_table() -> None:
    report = plan_of(job_with(f"rotary_table: {{ratio: 40, dial_step: 0.05, {PLATES}}}")).report()
    cuts = report["cuts"]
    assert report["degrees_per_turn"] == 9.0
    assert [cut["at_deg"] for cut in cuts] == [5.0 + 10 * k for k in range(36)]
    first, second, fifth = cuts[0], cuts[1], cuts[4]
    assert (first["cut"], first["turns"], first["dial_deg"]) == (1, 0, 5.0)
    assert (second["turns"], second["dial_deg"], second["advance_turns"], second["advance_dial_deg"]) == (
        1,
        6.0,
        1,
        1.0,
    )
    assert (fifth["turns"], fifth["dial_deg"]) == (5, 0.0)
    assert Fraction(second["holes"], second["circle"]) == Fraction(6, 9)
    assert {cut["circle"] for cut in cuts} == {18}  # the pin is set once
    closing = report["closing"]
    assert (closing["turns"], closing["dial_deg"], closing["advance_turns"], closing["advance_dial_deg"]) == (
        40,
        0,
        0,
        5,
    )
    assert json.loads(json.dumps(report)) == json.loads(json.dumps(report))


def test_gap_and_holes_stand_under_their_own_keys_and_slots_come_first() -> None:
    plan = plan_of(job_with(f"{TABLE}, cutter: {{diameter: 6}}"), drilled(171, 190))
    report = plan.report()
    assert [cut["cut"] for cut in report["cuts"]] == list(range(1, 37))
    gap = [cut["cut"] for cut in report["gap"]["passes"]]
    holes = [cut["cut"] for cut in report["balance_holes"]]
    assert [*gap, *holes] == list(range(37, 37 + len(gap) + 2))
    order = {lap["lap"]: lap["cuts"] for lap in report["order"]}
    assert order["scratch"] == list(range(1, 37))
    assert sorted(order["depth-1"] + order["depth-2"]) == list(range(1, 37))
    assert order["gap"] == gap
    assert order["holes"] == holes
    assert [lap["lap"] for lap in report["order"]] == ["scratch", "depth-1", "depth-2", "gap", "holes"]


def test_neighbouring_slots_are_never_cut_one_after_the_other_at_full_depth() -> None:
    for teeth, missing in ((36, 1), (36, 2), (24, 1), (60, 2), (12, 1)):
        plan = plan_of(job_with(f"{TABLE}, cutter: {{diameter: 0.6}}", teeth=teeth, missing=missing, slot=THIN_SLOT))
        order = [cut for lap in plan.laps if lap.key.startswith("depth") for cut in lap.cuts]
        assert sorted(order) == list(range(1, len(plan.of_kind("slot")) + 1))
        assert all(abs(a - b) > 1 for a, b in pairwise(order))


def test_gap_angle_moves_zero_but_not_the_settings() -> None:
    plain, turned = (plan_of(job_with(TABLE, gap_at=at)) for at in (0, 77.3))
    assert plain.report()["cuts"] == turned.report()["cuts"]
    assert any("77.3°" in line and "the way the crank turns" in line for line in turned.setup)
    holes = plan_of(job_with(TABLE, gap_at=77.3), drilled(80.3)).report()["balance_holes"]
    assert holes[0]["at_deg"] == pytest.approx(3.0)


@pytest.mark.parametrize("turns", ["clockwise", "anticlockwise"])
@pytest.mark.parametrize("scale", ["clockwise", "anticlockwise"])
def test_edge_scale_reads_what_comes_under_the_pointer(turns: str, scale: str) -> None:
    plan = plan_of(job_with(f"rotary_table: {{ratio: 40, scale: {scale}}}", turns=turns))
    # Marks on the table's edge are fixed to it: turn the table and see which mark comes to the pointer. Angles on
    # paper, anticlockwise from above; a mark with number n stands at -n when the numbers run clockwise.
    wheel_way = -1 if turns == "clockwise" else 1  # where angle a of the wheel lies on the table at zero
    mark_way = -1 if scale == "clockwise" else 1
    for cut in plan.of_kind("slot"):
        table_turned = -wheel_way * float(cut.at)  # brings the slot to the pointer
        assert cut.scale_deg is not None
        assert (mark_way * cut.scale_deg + table_turned) % 360 == pytest.approx(0, abs=1e-9) or (
            mark_way * cut.scale_deg + table_turned
        ) % 360 == pytest.approx(360, abs=1e-9)
    assert plan.report()["work_turns"] == ("anticlockwise" if turns == "clockwise" else "clockwise")


def test_checkpoints_on_bolt_lines_and_quarters() -> None:
    extra = f"pulley: {{bolts: {{count: 4, circle: 80, hole: 8.4, first_at: 45 deg}}}}\nshop: {{{TABLE}}}\n"
    plan = plan_of(plate_job(extra=extra))
    bolts = [point for point in plan.checkpoints if point.kind == "bolt"]
    quarters = [point for point in plan.checkpoints if point.kind == "quarter"]
    assert [(point.after, point.what) for point in bolts] == [(5, "slot"), (14, "slot"), (23, "slot"), (32, "slot")]
    assert [(point.setting.turns, point.setting.dial) for point in quarters] == [(10, 0), (20, 0), (30, 0)]
    assert {point.what for point in quarters} == {"tooth"}
    off_grid = plan_of(plate_job(extra=extra.replace("first_at: 45 deg", "first_at: 47 deg")))
    assert not [point for point in off_grid.checkpoints if point.kind == "bolt"]


def test_a_cutter_wider_than_the_slot_is_a_fault_at_its_key() -> None:
    with pytest.raises(DesignError) as caught:
        plan_of(job_with(f"{TABLE}, cutter: {{diameter: 6.1}}"))
    assert [fault.key for fault in caught.value.faults] == [("shop", "cutter", "diameter")]
    radial = "{width: 5, depth: 20, sides: radial, floor: flat}"
    with pytest.raises(DesignError, match="wider than the slot at its floor"):  # 5 wide at the rim, under 4 there
        plan_of(job_with(f"{TABLE}, cutter: {{diameter: 4}}", slot=radial))


def test_without_table_or_cutter_what_can_be_said_is_said() -> None:
    bare = plate_job()
    assert design_indexing(bare, design_wheel(bare)) is None
    no_cutter = plan_of(job_with(TABLE))
    assert no_cutter.slot_passes == ()
    assert not no_cutter.of_kind("gap")
    assert any("shop.cutter" in line for line in no_cutter.setup)
    assert "36" in chart_text(no_cutter)
    readout = plan_of(job_with("readout: yes, cutter: {diameter: 6}"))
    assert readout.table is None
    assert readout.report()["degrees_per_turn"] is None
    assert "closing" not in readout.report()
    assert all(cut.points_mm for cut in readout.of_kind("slot"))


def test_radial_sides_get_stops_of_their_own() -> None:
    radial = "{width: 5, depth: 6, sides: radial, floor: flat, corner_radius: 0.8}"
    plan = plan_of(job_with(f"{TABLE}, cutter: {{diameter: 4}}", slot=radial))
    assert plan.report()["lying"] == "upright"
    sides = plan.of_kind("side")
    assert len(sides) == 72
    half = design_wheel(job_with(TABLE, slot=radial)).slot.rim_half_deg
    slots = {cut.feature: cut.at for cut in plan.of_kind("slot")}
    turned = sorted(round(float((cut.at - slots[cut.feature] + 180) % 360 - 180), 9) for cut in sides)
    assert turned == [-round(half, 9)] * 36 + [round(half, 9)] * 36


def test_plates_that_cannot_reach_name_compound_and_differential() -> None:
    table = f"rotary_table: {{ratio: 40, dial_step: 1', {PLATES}}}"
    plan = plan_of(job_with(table, teeth=69, missing=1, slot=THIN_SLOT))
    assert plan.reach is not None
    assert not plan.reach.pitch
    assert "40/69" in plan.reach.compound
    assert "circle" in plan.reach.compound
    assert plan.reach.differential.startswith("index as for")
    assert any(cut["circle"] is None and cut["holes"] is None for cut in plan.report()["cuts"])
    finding = next(finding for finding in plan.findings if finding.check == "plates-reach")
    assert finding.verdict == "warn"
    exact = plan_of(job_with(table, teeth=36, missing=1, slot=THIN_SLOT))
    assert next(finding for finding in exact.findings if finding.check == "plates-reach").verdict == "pass"


def test_rotary_program_only_turns_one_axis_forwards_and_stops_at_each_cut() -> None:
    plan = plan_of(job_with(f"{TABLE}, rotary_axis: yes, cutter: {{diameter: 6}}"), drilled(180))
    lines = rotary_program(plan).splitlines()
    assert lines[0] == lines[-1] == "%"
    moves = [float(line.split("A")[1]) for line in lines if " G00 " in line]
    assert moves == sorted(moves)
    assert len(moves) == len(plan.stops) == sum(" M00 " in line for line in lines)
    for angle, stop in zip(moves, plan.stops, strict=True):
        assert angle % 360 == pytest.approx(float(stop.at), abs=1e-4)
    assert moves[36] == pytest.approx(365)  # the scratch lap closes a whole revolution on
    words = {word[0] for line in lines if line[:1] == "N" for word in line.split("(")[0].split()}
    assert words == {"N", "G", "A", "M"}
    assert rotary_program(plan) == rotary_program(plan)


def test_holder_and_shoulder_are_checked(six: Job) -> None:
    def verdicts(cutter: str) -> dict[str, str]:
        text = six.source.text.replace("cutter: {diameter: 6, flutes: 4, material: hss}", f"cutter: {cutter}")
        return {finding.check: finding.verdict for finding in plan_of(parse_job(text)).findings}

    assert "cutter-stick-out" not in verdicts("{diameter: 6}")
    assert verdicts("{diameter: 6, stick_out: 10, holder_diameter: 40}")["cutter-stick-out"] == "fail"
    assert verdicts("{diameter: 6, stick_out: 10, holder_diameter: 20}")["cutter-stick-out"] == "pass"
    assert verdicts("{diameter: 6, stick_out: 14, holder_diameter: 40}")["cutter-stick-out"] == "pass"


@pytest.mark.parametrize(("holder", "verdict"), [(33.2, "pass"), (33.4, "fail")])
def test_a_holder_keeps_a_millimetre_from_the_shoulder(six: Job, holder: float, verdict: str) -> None:
    """At the floor the 6 mm cutter's axis stands 80 - 6.35 + 3 from the crank's; the shoulder's radius is 59."""
    assert pytest.approx(33.3 / 2) == 80 - 6.35 + 3 - 59 - 1
    cutter = f"{{diameter: 6, stick_out: 10, holder_diameter: {holder}}}"
    text = six.source.text.replace("cutter: {diameter: 6, flutes: 4, material: hss}", f"cutter: {cutter}")
    found = {finding.check: finding.verdict for finding in plan_of(parse_job(text)).findings}
    assert found["cutter-stick-out"] == verdict


def test_set_up_says_packing_ring_direction_and_one_side_of_backlash(six: Job) -> None:
    said = " ".join(plan_of(six).setup)
    assert "packing ring" in said
    assert "anticlockwise" in said
    assert "same side" in said
    assert "TDC line" in said
    assert "40 divisions instead of 36" in said
    assert "rpm" in said


def test_text_holds_every_setting_and_keeps_its_width(demo: Job) -> None:
    plan = plan_of(demo)
    text = chart_text(plan)
    assert max(map(len, text.splitlines())) <= 100
    for cut in plan.of_kind("slot"):
        assert any(line.split()[:1] == [str(cut.cut)] for line in text.splitlines())
    assert text == chart_text(plan_of(demo))


def test_sector_arms_and_gauge_stand_with_the_lap(six: Job) -> None:
    laps = {lap.key: lap for lap in plan_of(six).laps}
    assert "Sector arms round 3 holes." in laps["scratch"].do  # 2 holes of 18; the arms span one more
    assert "Sector arms round 5 holes." in laps["depth-1"].do
    assert "gauge" in laps["scratch"].then
    assert "gauge" not in plan_of(job_with(TABLE)).laps[0].then


def test_a_ready_made_ring_is_only_checked() -> None:
    job = plate_job(extra=f"shop: {{{TABLE}, cutter: {{diameter: 12}}}}\n")
    text = job.source.text.replace("bore: 40.0", "bore: 40.0, as_found: {bore: 30}")
    plan = plan_of(parse_job(text))
    assert [lap.key for lap in plan.laps] == ["check"]
    assert plan.milling is None
    assert len(plan.of_kind("slot")) == 36
    assert not plan.of_kind("gap")


def test_several_gaps_and_none() -> None:
    text = plate_job(extra=f"shop: {{{TABLE}, cutter: {{diameter: 6}}}}\n").source.text
    two = plan_of(
        parse_job(text.replace("missing: 1, gap_at: 0.0", "gaps: [{at: 10, missing: 1}, {at: 130, missing: 1}]"))
    )
    assert two.pattern == "36-1-1"
    assert two.zero_name == "the centre of the first gap"
    gap = [float(cut.at) for cut in two.of_kind("gap")]
    assert any(115 < at < 125 for at in gap)
    assert any(at < 5 or at > 355 for at in gap)
    full = plan_of(parse_job(text.replace("missing: 1", "missing: 0")))
    assert full.zero_name == "the first slot"
    assert full.report()["cuts"][0]["at_deg"] == 0.0
    assert full.gap_ridge_mm is None
    assert "the first slot" in chart_text(full)


def test_without_a_table_points_reach_the_floor_at_the_slots_own_angles() -> None:
    slot = "{width: 8, depth: 7, sides: parallel, floor: flat, corner_radius: 0.5}"
    job = job_with("readout: yes, cutter: {diameter: 6}", slot=slot, turns="anticlockwise", gap_at=33)
    plan = plan_of(job)
    assert plan.report()["lying"] == "flat"
    assert next(finding for finding in plan.findings if finding.check == "floor-corners").verdict == "warn"
    assert any("+Y" in line for line in plan.setup)
    assert not any("handwheel" in line for line in plan.setup)
    for cut in plan.of_kind("slot"):
        at = math.radians(float(cut.at) + 33)
        out, across = (-math.sin(at), math.cos(at)), (-math.cos(at), -math.sin(at))  # anticlockwise: x is mirrored
        heights = [x * out[0] + y * out[1] for x, y in cut.points_mm]
        offsets = [x * across[0] + y * across[1] for x, y in cut.points_mm]
        assert min(heights) == pytest.approx(80 - 7 + 3)  # the cutter's nose then stands on the floor
        assert max(heights) >= 80 - 1e-9
        assert max(offsets) == pytest.approx(1)
        assert min(offsets) == pytest.approx(-1)


def test_without_a_table_gap_passes_lie_on_half_degrees_or_else_on_twentieths() -> None:
    """Of a readout every angle can be typed in; short numbers are. A cutter of 1 mm at a radius of 200 leaves ridges
    that want passes less than half a degree apart."""
    for outside, cutter, grid, coarser in ((160, 4, 2, 1), (400, 1, 20, 10)):
        job = parse_job(
            f"job: fine\nwheel: {{form: plate, teeth: 60, missing: 1, outside_diameter: {outside}, thickness: 4, "
            f"bore: 40, slot: {{width: {cutter}, depth: 6, sides: parallel, floor: flat}}}}\n"
            f"shop: {{readout: yes, cutter: {{diameter: {cutter}}}}}\n"
        )
        found = [stop.at for stop in plan_of(job).of_kind("gap")]
        assert len(found) > 4
        assert all((at * grid).denominator == 1 for at in found)
        assert any((at * coarser).denominator > 1 for at in found)
