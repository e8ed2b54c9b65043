"""What the chart, its set-ups, laps and program say at the turn from one case to the next."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from tests.conftest import plate_job
from tests.parts.test_indexing_plan import job_with, plan_of
from wheelcad.codes import Check
from wheelcad.job.models import RotaryTable
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.indexing import reach, stops
from wheelcad.parts.indexing.basis import IndexBasis, basis_of
from wheelcad.parts.indexing.chart import write_readout_points
from wheelcad.parts.indexing.holding import Holding
from wheelcad.parts.indexing.judge import setting_findings
from wheelcad.parts.indexing.laps import _across, steady
from wheelcad.parts.indexing.model import Cut, IndexPlan, _plain
from wheelcad.parts.indexing.program import _comment, rotary_program
from wheelcad.parts.indexing.settings import Move, TableSetting, TurnTable
from wheelcad.parts.indexing.setup import (
    back_half_turns,
    counting_lines,
    cutting_lines,
    readout_lines,
    turning_lines,
    zero_lines,
)
from wheelcad.parts.indexing.setups import _laid, _mill, _zero
from wheelcad.parts.indexing.words import way_round
from wheelcad.parts.indexing.work import Drilling
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.passes import SlotPass
from wheelcad.trade.cutting import MillingPlan
from wheelcad.words import Words

FORTY = "rotary_table: {ratio: 40}"
BOLTS = "pulley: {bolts: {count: 3, circle: 100, hole: 8.4, first_at: 20}}\n"


def _basis(shop: str = FORTY, more: str = "", **wheel: Any) -> IndexBasis:
    job = plate_job(extra=f"shop: {{{shop}}}\n{more}", **wheel)
    return basis_of(job, design_wheel(job))


def _text(said: str) -> str:
    return Words("mm").text(said)


def _table(ratio: int = 40) -> TurnTable:
    return TurnTable(ratio=ratio, dial_step=Fraction(1, 20), circles=(), one_circle=None)


# settings and laps


def test_counting_begins_where_a_setting_of_nothing_stands() -> None:
    for table in (_table(), TurnTable(40, Fraction(1, 20), (400,), 400)):
        assert table.zero == table.setting(Fraction(0))


@pytest.mark.parametrize(("teeth", "laps"), [(7, ["scratch", "depth"]), (8, ["scratch", "depth-1", "depth-2"])])
def test_from_eight_slots_on_every_other_one_is_cut_first(teeth: int, laps: list[str]) -> None:
    """With fewer the teeth are stout enough; our judgement."""
    plan = plan_of(job_with(FORTY, teeth=teeth, missing=0))
    assert [lap.key for lap in plan.laps] == laps
    assert all(", cutter on the centre line" in lap.do for lap in plan.laps[1:])


def test_holes_of_a_reading_have_a_lap_of_their_own_and_bolts_have_none() -> None:
    holes = [CorrectionHole(at, 60.0, 6.2, 1.6, -1.6, drill="6.2 mm", reading=n) for n, at in enumerate((10, 50, 90))]
    job = plate_job(extra=f"shop: {{{FORTY}, cutter: {{diameter: 6}}}}\n{BOLTS}")
    plan = plan_of(job, tuple(holes))
    by_key = {lap.key: lap for lap in plan.laps}
    assert [key for key in by_key if key.startswith("holes")] == ["holes", "holes-read", "holes-recheck"]
    assert [len(by_key[key].cuts) for key in ("bolts", "holes", "holes-read", "holes-recheck")] == [3, 1, 1, 1]
    bolt = plan.of_kind("bolt")[0].drill
    assert bolt is not None
    assert (bolt.moment_g_mm, bolt.reading) == (0.0, 0)
    assert by_key["gap"].offset_mm == 0.0


@pytest.mark.parametrize(
    ("offset", "said"),
    [
        (0.0, "cutter on the centre line"),
        (0.05, "0.05 mm off the centre line towards the next slot"),
        (-0.05, "0.05 mm off the centre line towards the slot before"),
    ],
)
def test_where_a_pass_runs(offset: float, said: str) -> None:
    assert said in _text(_across(SlotPass(offset, 0.0, 6.0, "higher")))


@pytest.mark.parametrize(
    ("pitch", "said"), [(9.5, " (a pitch)."), (4.75, " (2 pitches)."), (9.05, "."), (10.0, "."), (19.0, ".")]
)
def test_a_steady_move_is_called_a_pitch_where_it_is_one(pitch: float, said: str) -> None:
    """A turn of 40:1 and half a degree on the dial: 9.5 degrees."""
    told = steady([Move(1, Fraction(1, 2))] * 2, _table(), pitch)
    assert told.endswith(said)
    assert ("pitch" in told) == ("pitch" in said)


@pytest.mark.parametrize(("off", "verdict"), [(Fraction(1, 10), "pass"), (Fraction(21, 200), "warn")])
def test_a_setting_may_be_a_tenth_of_a_degree_off(off: Fraction, verdict: str) -> None:
    """Our judgement of what timing bears."""
    settings = [TableSetting(0, Fraction(0), Fraction(0)), TableSetting(1, Fraction(0), -off)]
    (told,) = setting_findings(_basis(), settings, None)
    assert (told.check, told.verdict, told.measured) == (Check.SETTING_ERROR, verdict, float(off))


# what is printed


def test_marks_are_eight_and_six_characters_and_sizes_six_decimals() -> None:
    plan = plan_of(job_with(FORTY))
    assert re.fullmatch(r"\w{6}", plan.mark)
    assert re.search(rf"\b{plan.job.source.sha256[:8]}\b", plan.marks)
    assert [_plain(value) for value in (0.1234564, 1.0, -1e-9, 0.0)] == ["0.123456", "1.000000", "0.000000", "0.000000"]


@pytest.mark.parametrize(
    ("scale", "sense", "rises"),
    [("clockwise", 1, True), ("clockwise", -1, False), ("anticlockwise", 1, False), ("anticlockwise", -1, True),
     (None, 1, True), (None, -1, True)],
)  # fmt: skip
def test_the_edges_numbers_rise_where_they_run_as_the_crank_does(scale: str | None, sense: int, rises: bool) -> None:
    plan = cast(IndexPlan, SimpleNamespace(scale=scale, wheel=SimpleNamespace(sense=sense)))
    assert IndexPlan.scale_rises.fget(plan) is rises  # type: ignore[attr-defined]


def test_points_of_a_cut_are_counted_from_one(tmp_path: Path) -> None:
    cut = SimpleNamespace(cut=3, work="slot", at=Fraction(5), points_mm=((1.0, 2.0), (3.0, 4.0)))
    write_readout_points(cast(IndexPlan, SimpleNamespace(cuts=[cut])), tmp_path / "points.csv")
    rows = (tmp_path / "points.csv").read_text().splitlines()[-2:]
    assert [row.split(",")[3] for row in rows] == ["1", "2"]


def test_quarters_of_a_turn_are_called_by_name_and_by_the_slot_they_meet() -> None:
    """36 slots from 0 on, every 10 degrees: the tenth lies at 90."""
    plan = plan_of(job_with(FORTY, missing=0))
    said = [point.says for point in plan.checkpoints if point.kind == "quarter"]
    for text, slot, name in zip(said, (10, 19, 28), ("one quarter", "half", "three quarters"), strict=True):
        assert text.startswith(f"slot {slot} stands at {name} of a revolution")


def test_a_controls_comment_is_sixty_characters() -> None:
    assert _comment("a" * 70) == f"({'A' * 60})"


def test_a_driven_axis_only_ever_goes_on_and_stays_where_two_laps_meet() -> None:
    """Seven slots from 0 on, the last move of the scratch lap to the first again, where the next lap begins."""
    text = rotary_program(plan_of(job_with("rotary_axis: yes", teeth=7, missing=0)))
    angles = [float(found) for found in re.findall(r"G00 A([\d.]+)", text)]
    assert angles == pytest.approx([k * 360 / 7 for k in (*range(8), *range(7, 14))], abs=1e-4)


def test_the_nearest_of_two_compound_settings_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Fewest holes to count in all: 4 and 2 on the second plate before 5 and 3 back on the first."""
    found = {1: (5, -3), 2: (4, 2), 3: (1, 1)}

    def compound(_teeth: int, _ratio: int, plate: list[int]) -> Any:
        first, second = found[plate[0]]
        return SimpleNamespace(holes_1=first, holes_2=second, circle_1=20, circle_2=19, arithmetic="x")

    monkeypatch.setattr(reach, "compound_indexing", compound)
    for plates, said in (
        ([[1], [2]], "plate 2"),
        ([[1]], "together 3 holes back"),
        ([[2]], "together 2 holes on"),
        ([[3]], "together 1 holes on"),
    ):
        table = cast(RotaryTable, SimpleNamespace(plates=plates, ratio=40))
        assert said in reach._compound(table, 51)


# set-ups


def test_the_cutter_is_brought_over_the_axis_within_five_hundredths() -> None:
    """Common practice, no source."""
    assert "within 0.05 mm," in _text(turning_lines(_basis().job, 1)[0])


@pytest.mark.parametrize(("gap_at", "short", "same_way"), [(180.0, 180, True), (181.0, 179, False), (20.0, 20, True)])
def test_zero_is_reached_the_shorter_way_and_half_a_turn_the_way_the_work_turns(
    gap_at: float, short: int, same_way: bool
) -> None:
    basis = _basis(gap_at=gap_at)
    assert basis.table is not None
    lines = _text(" ".join(zero_lines(basis.wheel, basis.table, basis.scale, 0.0)))
    assert f"turn the work {short}° {way_round(1 if same_way else -1)}:" in lines
    assert ("go a turn too far" not in lines) is same_way


@pytest.mark.parametrize(("slack", "half_turns"), [(0.0, 1), (2.25, 1), (2.3, 2), (6.75, 2), (6.8, 3)])
def test_an_overshoot_goes_back_twice_the_slack_and_a_quarter_turn(slack: float, half_turns: int) -> None:
    """Half a turn of 40:1 is 4.5 degrees, a quarter 2.25: half turns that come to 2·slack + 4.5 of 9."""
    assert back_half_turns(_table(), slack) == half_turns


@pytest.mark.parametrize(("ratio", "teeth", "wrong"), [(40, 36, "40"), (45, 20, "22.5"), (40, 15, "20")])
def test_what_whole_turns_alone_would_end_in(ratio: int, teeth: int, wrong: str) -> None:
    """45:1 for 20 is two turns and a quarter: of two alone 45/2 go round."""
    assert f"in {wrong} divisions instead of {teeth}." in list(counting_lines(_table(ratio), teeth, None, 1))[-1]


@pytest.mark.parametrize(("passes", "said"), [(1, "one pass, right"), (2, "2 passes, 3 mm deeper each, right")])
def test_one_pass_or_several_on_edge(passes: int, said: str) -> None:
    job = job_with(f"{FORTY}, cutter: {{diameter: 6}}")
    plan = MillingPlan(500.0, 100.0, 0.05, 20.0, passes, 3.0, "source")
    assert said in _text(cutting_lines(job, design_wheel(job).slot, False, plan)[1])


def test_a_bolt_hole_by_readout_to_thousandths() -> None:
    drill = Drilling(50.0, 8.4, "", None, False, "plate", 500.0)
    bolt = Cut(1, "bolt", 1, Fraction(0), points_mm=((10.12345, -20.54321),), drill=drill)
    assert "X 10.123 Y -20.543," in _text(readout_lines(bolt)[0])


@pytest.mark.parametrize(("lines", "order"), [((), ["H"]), (("a",), ["H", "a"]), (("a", "b"), ["a", "H", "b"])])
def test_what_holds_the_work_comes_after_its_first_line_where_there_are_more(
    lines: tuple[str, ...], order: list[str]
) -> None:
    basis = _basis("readout: yes, cutter: {diameter: 6}")
    built = _mill(basis, (), Holding(("H",), 72.0, ()), frozenset({"slot"}), lines, False)
    assert list(built.lines) == order


def test_a_pin_of_six_touches_the_rim() -> None:
    """A dowel after ISO 2338; the slide then reads 80 and 3."""
    (_, touch) = _laid(_basis(), (), Holding(("H",), 72.0, ())).lines
    assert "pin of ⌀6 mm" in _text(touch)
    assert "that slide to 83 mm" in _text(touch)


def test_zero_on_a_driven_axis() -> None:
    assert _zero(_basis("rotary_axis: yes, cutter: {diameter: 6}")) == "The centre of the gap under the cutter."


@pytest.mark.parametrize(
    ("apart", "grid"),
    [(3.7, Fraction(1, 2)), (0.97, Fraction(1, 2)), (0.3, Fraction(1, 20))],
)
def test_gap_passes_by_readout_lie_on_halves_or_twentieths_of_a_degree(
    apart: float, grid: Fraction, monkeypatch: pytest.MonkeyPatch
) -> None:
    """36-2: 20 degrees from slot to slot, passes `apart` at most."""
    monkeypatch.setattr(stops, "widest_step_deg", lambda *_: apart)
    cuts, _ = stops._gap_cuts(_basis("readout: yes, cutter: {diameter: 6}", missing=2))
    assert cuts
    assert all((cut.at / grid).denominator == 1 for cut in cuts)
    assert any((cut.at / grid / 2).denominator == 2 for cut in cuts)
