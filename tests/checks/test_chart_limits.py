"""Charts, readout points, axis programs and the bench page by hand: a table of 40 to 1, its dial marked in tenths."""

from __future__ import annotations

from fractions import Fraction
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from wheelcad.checks import axis_program, bench, chart_columns, index_chart
from wheelcad.findings import Finding
from wheelcad.parts.indexing.settings import TurnTable

TABLE = TurnTable(40, Fraction(1, 10), (15, 18, 20), None)  # 9° a turn
Row = dict[str, str]
STEP = Fraction(1, 10**9)  # the last decimal of the file


def row(turns: int, dial: str, at: str = "0", **said: object) -> Row:
    given: dict[str, object] = {
        "turns": turns, "dial_deg": dial, "at_deg": at, "error_deg": "0", "circle": "", "holes": "", "work": "slot",
        "advance_turns": 0, "advance_dial_deg": "0", "advance_holes": "", "lap": "slots", "scale_deg": "",
    }  # fmt: skip
    return {key: str(value) for key, value in {**given, **said}.items()}


def decimal(value: Fraction) -> str:
    return f"{float(value):.12f}"


# --- the chart -----------------------------------------------------------------------------------------------------
def slots(at: list[str], centres: list[float], gap: float = 30.0, **said: list[str]) -> Finding:
    """The finding on slots numbered from 1, of a wheel with these centres."""
    count = range(1, len(at) + 1)
    cuts, stops = said.get("cuts", [str(n) for n in count]), said.get("stops", [str(n) for n in count])
    rows = [{"at_deg": a, "cut": c, "stop": s, "work": "slot"} for a, c, s in zip(at, cuts, stops, strict=True)]
    wheel = SimpleNamespace(gap_at_deg=gap, slot_centres_deg=np.array(centres))
    return index_chart._slots_match(rows, cast(Any, SimpleNamespace(wheel=wheel)))


@pytest.mark.parametrize("off", [0.96e-6, -0.96e-6, 1.04e-6, -1.04e-6])
def test_slots_to_a_millionth_of_a_degree(off: float) -> None:
    """Counted from the gap, round the turn: the wheel's 35, 150 and 20° are 5, 120 and 350° from a gap at 30°."""
    found = slots(["5", f"{120 + off:.10f}", "350"], [35.0, 150.0, 20.0])
    assert found.measured == pytest.approx(abs(off), abs=1e-9)
    assert (found.verdict == "pass") == (abs(off) < 1e-6)


def test_a_slot_at_the_gap_s_own_angle_is_at_nothing() -> None:
    """Rounding may leave it a hair before the whole turn; one that lies a twentieth of a degree before does not."""
    assert slots(["0", "120"], [30.0 - 5e-8, 150.0]).measured == pytest.approx(0.0, abs=1e-12)
    assert slots(["120", "359.95"], [150.0, 29.95]).verdict == "pass"


@pytest.mark.parametrize(
    "said",
    [{"cuts": ["1", "2", "4"]}, {"cuts": ["0", "1", "2"]}, {"stops": ["1", "2", "2"]}, {"stops": ["0", "1", "2"]}],
)
def test_slots_and_stops_are_numbered_from_one(said: dict[str, list[str]]) -> None:
    assert slots(["5", "120", "350"], [35.0, 150.0, 20.0], **said).verdict == "fail"
    assert slots(["5", "120"], [35.0, 150.0, 20.0]).verdict == "fail"


@pytest.mark.parametrize(
    ("beyond", "wrong", "good"),
    [(0, 0, True), (1, 0, True), (3, 0, False), (0, 4, True), (0, 5, False), (0, -3, True), (0, -5, False)],
)
@pytest.mark.parametrize("way", [1, -1])
def test_the_dial_within_half_a_mark_and_its_error_as_it_is_told(beyond: int, wrong: int, good: bool, way: int) -> None:
    """One turn and 1.0° is 10°; what nine decimals round is allowed for, in the error twice."""
    off = way * (Fraction(1, 20) + beyond * STEP)
    one = row(1, "1.0", decimal(10 - off), error_deg=decimal(off + wrong * STEP))
    found = index_chart._dial([row(0, "0"), one], TABLE)
    assert (found.verdict == "pass") == good
    if not wrong:
        assert found.measured == pytest.approx(float(abs(off)), abs=1e-12)


@pytest.mark.parametrize(
    ("circle", "holes", "at", "good"),
    [
        (18, 4, "11", True),  # 4/18 of 9° are 2°
        (18, 0, "9", True),
        (18, 17, "17.5", True),
        (18, 18, "18", False),
        (18, -1, "8.5", False),
        (16, 4, "11.25", False),  # no such circle
        (18, 4, "11.000000001", True),
        (18, 4, "11.000000003", False),
        (18, 4, "10.999999997", False),
    ],
)
def test_the_pin_s_hole_gives_the_angle_exactly(circle: int, holes: int, at: str, good: bool) -> None:
    found = index_chart._holes([row(0, "0"), row(1, "0", at, circle=circle, holes=holes)], TABLE)
    assert [f.verdict for f in found] == ["pass" if good else "fail"]
    assert index_chart._holes([row(0, "0")], TABLE) == []


def moves(*rows: Row) -> Finding:
    return index_chart._moves(list(rows), TABLE)


def by_dial(turns: int, dial: str, advance: int, part: str) -> Row:
    return row(turns, dial, advance_turns=advance, advance_dial_deg=part)


def test_each_move_leads_on_from_where_the_table_stood() -> None:
    """To 10°, on to 21.5°, and past the whole turn to 3°; 39 turns and 9° and a bit are one revolution."""
    good = [by_dial(1, "1.0", 1, "1.0"), by_dial(2, "3.5", 1, "2.5"), by_dial(0, "3.0", 37, "8.5")]
    assert moves(*good).measured == 0.0
    assert moves(good[0], by_dial(2, "3.5", 2, "3.5")).measured == pytest.approx(10.0)
    assert moves(by_dial(1, "1.0", 39, "8.0")).measured == pytest.approx(11.0)  # 359 for 10, the shorter way
    assert moves(by_dial(1, "1.0", 0, "8.0")).measured == pytest.approx(2.0)


@pytest.mark.parametrize(
    ("holes", "off"), [(4, 0.0), (5, 0.5), (2, 1.0), (-4, 4.0), (4 + 18 * 39, 9.0), (4 + 18 * 21, 171.0)]
)
def test_a_move_by_holes_from_hole_to_hole(holes: int, off: float) -> None:
    """From 3 holes of 18 in the first turn to 7 in the third: two turns and 4 holes, 20°. The shorter way round."""
    first = row(0, "1.5", circle=18, holes=3, advance_turns=0, advance_dial_deg="1.5")
    then = row(2, "3.5", circle=18, holes=7, advance_turns=2, advance_dial_deg="2.0", advance_holes=holes)
    if holes > 18:  # by the turns
        then |= {
            "advance_turns": str(2 + holes // 18),
            "advance_holes": "4",
            "advance_dial_deg": str(2 - holes // 18 * 9),
        }
    found = moves(first, then)
    assert found.measured == pytest.approx(off)
    other = row(2, "3.5", circle=20, holes=7, advance_turns=2, advance_dial_deg="2.0", advance_holes=4)
    assert moves(first, other).measured == pytest.approx(180.0)  # from another circle no holes lead


@pytest.mark.parametrize(("circle", "off"), [(18, 0.0), (20, 180.0), (None, 180.0)])
def test_the_first_move_by_holes_starts_in_the_one_circle(circle: int | None, off: float) -> None:
    """Where one circle serves all, the pin stands in its first hole when the work begins."""
    table = TurnTable(40, Fraction(1, 10), (15, 18, 20), circle)
    one = row(1, "2.0", circle=18, holes=4, advance_turns=1, advance_dial_deg="2.0", advance_holes=4)
    assert index_chart._moves([one], table).measured == pytest.approx(off)


@pytest.mark.parametrize(("more", "good"), [(0, True), (3, True), (5, False), (-3, True), (-5, False)])
def test_a_move_is_off_by_two_roundings_at_most(more: int, good: bool) -> None:
    assert (moves(by_dial(1, "1.0", 1, decimal(1 + more * STEP))).verdict == "pass") == good


def closing(more: int, stands: str = "1.0", laps: tuple[str, ...] = ("a", "a", "a")) -> Finding:
    """A lap from 10° by 120 and 230° to its closing by 10 more: its first move, which leads there, does not count."""
    rows = [
        row(1, "1.0", advance_turns=1, advance_dial_deg="1.0", lap=laps[0]),
        row(14, "4.0", advance_turns=13, advance_dial_deg="3.0", lap=laps[1]),
        row(1, stands, advance_turns=26, advance_dial_deg=decimal(6 + more * STEP), lap=laps[2], work="closing"),
    ]
    return index_chart._closing(rows, TABLE)


@pytest.mark.parametrize(("more", "good"), [(0, True), (5, True), (7, False), (-5, True), (-7, False)])
def test_a_lap_s_moves_make_one_revolution(more: int, good: bool) -> None:
    """Of three rows, each rounded by two in the ninth decimal."""
    assert (closing(more).verdict == "pass") == good
    assert closing(0, "1.5").measured == pytest.approx(0.5)
    assert closing(0, "0.5").measured == pytest.approx(0.5)
    assert closing(0, laps=("a", "b", "a")).measured == pytest.approx(120.0)
    assert index_chart._closing([row(1, "1.0")], TABLE).verdict == "fail"


def test_a_row_of_no_plan_or_of_another(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = cast(Any, SimpleNamespace(mark="abc123"))
    for marks, good in ((["plan abc123"] * 2, True), (["plan abc124"], False), (["plan abc123", "plan x"], False)):
        assert (index_chart._marks([{"marks": mark} for mark in marks], plan).verdict == "pass") == good


# --- its columns ---------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("text", "wanted", "near"),
    [
        ("5", 5.0, True),
        ("0.000000001", 0.0, True),
        ("0.000000003", 0.0, False),
        ("-0.000000003", 0.0, False),
        ("", 5.0, False),
        ("", None, True),
        ("0", None, False),
    ],
)
def test_a_field_holds_its_number_to_nine_decimals(text: str, wanted: float | None, near: bool) -> None:
    assert chart_columns._near(text, wanted) == near


@pytest.mark.parametrize(
    ("more", "off"), [(0.0, 0.0), (0.05, 0.0), (0.0500009, 9e-7), (0.05000105, 1.05e-6), (0.7, 0.65)]
)
@pytest.mark.parametrize("rises", [True, False])
@pytest.mark.parametrize("way", [1, -1])
def test_the_edge_reads_within_half_a_mark(more: float, off: float, rises: bool, way: int) -> None:
    """Two turns and 3.5° are 21.5°; where its numbers fall the edge reads 338.5°. A row without its reading is off."""
    scale = (21.5 if rises else 338.5) + way * more
    good = row(0, "0", scale_deg="0")
    found = chart_columns._edges([good, row(2, "3.5", scale_deg=f"{scale:.9f}")], TABLE, rises)
    assert found.measured == pytest.approx(off, abs=1e-9)
    assert (found.verdict == "pass") == (off < 1e-6)
    assert chart_columns._edges([good, row(2, "3.5")], TABLE, rises).verdict == "fail"


# --- the axis program ----------------------------------------------------------------------------------------------
def program(
    *angles: str, sense: int = 1, ends: tuple[Fraction, ...] = (Fraction(0), Fraction(10), Fraction(355))
) -> list[str]:
    """What is wrong in a program that stops at these angles, of a plan with stops at 0, 10 and 355°."""
    stops = [SimpleNamespace(at=at, cut=n, closing=False) for n, at in enumerate(ends, 1)]
    plan = cast(Any, SimpleNamespace(stops=stops, marks="plan 1", wheel=SimpleNamespace(sense=sense)))
    way = axis_program.way_round(sense).upper()
    body = [f"(A PLUS TURNS THE WORK {way})", "N10 G90"]
    for n, angle in enumerate(angles, 1):
        body += [f"N{20 * n} G00 A{angle}", f"N{20 * n + 10} M00 (CUT {n}: SLOT)"]
    return list(axis_program._wrong(["%", "(PLAN 1)", *body, f"N{20 * len(angles) + 20} M30", "%"], plan))


@pytest.mark.parametrize(
    ("angles", "good"),
    [
        (("0.0", "10.0", "355.0"), True),
        (("0.0", "10.00006", "355.0"), True),
        (("0.0", "9.99994", "355.0"), True),
        (("0.0", "10.000062", "355.0"), False),
        (("0.0", "9.999938", "355.0"), False),
        (("360.0", "370.0", "715.0"), True),  # a turn on at once, as the axis may
        (("360.0001", "370.0", "715.0"), False),
        (("0.0", "10.0", "715.0"), False),  # 705 degrees in one move
        (("0.0", "370.0", "355.0"), False),
        (("0.0", "10.0"), False),
    ],
)
def test_the_axis_stops_to_its_fourth_decimal_and_ever_rises(angles: tuple[str, ...], good: bool) -> None:
    assert (program(*angles) == []) == good
    assert (program(*angles, sense=-1) == []) == good
    half = Fraction(0), Fraction(1, 2)
    assert program("0.0", "0.5", ends=half) == []
    assert program("0.0", "360.5", ends=half) != []  # half a degree more than a turn in one move


# --- the bench page ------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("text", "degrees"),
    [("6.05°", "6.05"), ("5°21′", "5.35"), ("5°21′36″", "5.36"), ("0°", "0"), ("5.5°30′", "6")],
)
def test_degrees_minutes_and_seconds(text: str, degrees: str) -> None:
    assert bench.degrees_of(text) == Fraction(degrees)


def _stop(**said: object) -> Any:
    given = {"at": Fraction(20), "setting": SimpleNamespace(circle=18), "number": 3, "orders": lambda units: ""}
    return SimpleNamespace(**{**given, **said})


PLAN = cast(Any, SimpleNamespace(scale=None, scale_rises=True, job=SimpleNamespace(units="mm")))


def step(**said: object) -> dict[str, Any]:
    """Two turns and 2°, from 9°: by four holes of 18."""
    given = {
        "turns": 2, "dial": "2°", "exact": 20.0, "at": 20.0, "dial_falls": "7°", "move": "1 turn + 2°", "part": 2.0,
        "pin": "or 4 holes of 18", "edge": "20°", "do": "",
    }  # fmt: skip
    return {**given, **said}


def wrong(one: dict[str, Any], stop: Any = None, plan: Any = PLAN, before: int = 9) -> list[str]:
    return list(bench._step(one, stop or _stop(), Fraction(before), plan, TABLE))


@pytest.mark.parametrize(
    ("said", "stop", "good"),
    [
        ({}, {}, True),
        ({}, {"at": Fraction("20.05"), "setting": None}, False),  # exact is not what it should be, and a pin too much
        ({"exact": 20.05, "pin": ""}, {"at": Fraction("20.05"), "setting": None}, True),
        ({"exact": 20.051, "pin": ""}, {"at": Fraction("20.051"), "setting": None}, False),
        ({"exact": 19.949, "pin": ""}, {"at": Fraction("19.949"), "setting": None}, False),
        ({"exact": 20.000001}, {}, True),
        ({"exact": 20.00000104}, {}, False),
        ({"at": 20.000001}, {}, True),
        ({"at": 20.00000104}, {}, False),
        ({"at": 19.99999896}, {}, False),
        ({"dial_falls": "7.1°"}, {}, False),
        ({"dial_falls": "16°"}, {}, True),  # a whole turn more is the same mark
        ({"move": "1 turn + 2.1°", "part": 2.1}, {}, False),
        ({"move": "41 turns + 2°"}, {}, True),  # and a revolution the same place
        ({"part": 2.000001}, {}, True),
        ({"part": 2.00000104}, {}, False),
        ({"pin": "or 5 holes of 18"}, {}, False),
        ({"pin": ""}, {}, False),
        ({"pin": ""}, {"setting": SimpleNamespace(circle=None)}, True),
        ({}, {"setting": SimpleNamespace(circle=None)}, False),
    ],
)
def test_a_stop_s_numbers_on_the_page(said: dict[str, Any], stop: dict[str, Any], good: bool) -> None:
    assert (wrong(step(**said), _stop(**stop)) == []) == good


@pytest.mark.parametrize(
    ("edge", "rises", "good"),
    [
        ("20°", True, True),
        ("340°", False, True),
        ("20.1°", True, True),
        ("20.11°", True, False),
        ("19.9°", True, True),
        ("19.89°", True, False),
        ("", True, False),
    ],
)
def test_the_page_s_edge_to_a_twentieth_and_half_a_mark(edge: str, rises: bool, good: bool) -> None:
    plan = SimpleNamespace(**{**vars(PLAN), "scale": "clockwise", "scale_rises": rises})
    assert (wrong(step(edge=edge), plan=plan) == []) == good
    end = _stop(at=Fraction("359.99"), setting=None)
    last = step(turns=39, dial="9°", exact=359.99, at=360, dial_falls="0°", move="39 turns + 0°", part=0, pin="")
    assert wrong({**last, "edge": "0.05°"}, end, plan) == wrong({**last, "edge": "359.95°"}, end, plan) == []


def rows(*cells: dict[str, str], scale: bool = False) -> list[str]:
    """What is wrong in the tables on paper of these rows, at 9° and by four holes on to 20°."""
    heads = "".join(f'<th scope="col">{head}</th>' for head in cells[0])
    body = "".join("<tr>" + "".join(f"<td>{cell}</td>" for cell in one.values()) + "</tr>" for one in cells)
    stops = [SimpleNamespace(cut=n, at=Fraction(at), number=n) for n, at in ((1, 9), (2, 20))]
    plan = cast(Any, SimpleNamespace(stops=stops, scale="clockwise" if scale else None, scale_rises=False))
    return list(bench._tables(f"<table aria-label='x'><tr>{heads}</tr>{body}</table>", plan, TABLE))


FIRST = {"cut": "1 slot", "turns": "1", "dial": "0°", "turn on": "1 + 0°", "hole": "", "edge": "351°"}
SECOND = {"cut": "2", "turns": "2", "dial": "2°", "turn on": "1 + 2°", "hole": "4/18", "edge": "340°"}


@pytest.mark.parametrize(
    ("said", "good"),
    [
        ({}, True),
        ({"cut": "3"}, False),
        ({"dial": "2.05°", "turn on": "1 + 2.05°"}, True),
        ({"dial": "2.06°", "turn on": "1 + 2.06°"}, False),
        ({"dial": "1.94°", "turn on": "1 + 1.94°"}, False),
        ({"turn on": "2 + 2°"}, False),
        ({"turn on": "41 + 2°"}, True),
        ({"hole": "5/18"}, False),
        ({"hole": ""}, True),
        ({"edge": "340.1°"}, True),
        ({"edge": "340.11°"}, False),
        ({"edge": "339.89°"}, False),
    ],
)
def test_the_tables_on_paper_say_the_same(said: dict[str, str], good: bool) -> None:
    assert (rows(FIRST, {**SECOND, **said}, scale=True) == []) == good
    assert rows(FIRST) == ["1 rows for 2 stops"]


@pytest.mark.parametrize(
    ("key", "value", "good"),
    [
        ("tolerance", 0.1005, True),
        ("tolerance", 0.1, False),
        ("tolerance", 0.100995, True),
        ("tolerance", 0.101, False),
        ("per_turn_text", "9.05°", True),
        ("per_turn_text", "9.06°", False),
        ("per_turn_text", "8.94°", False),
        ("per_turn", 9.1, False),
        ("hole_step", 0.5, False),
        ("backlash", 0.3, False),
    ],
)
def test_what_the_whole_page_stands_on(key: str, value: Any, good: bool) -> None:
    """Forgiven is a mark of the dial and at most a hundredth of one; a turn is told to half a mark."""
    shop = SimpleNamespace(rotary_table=SimpleNamespace(backlash=0.2))
    plan = SimpleNamespace(
        job=SimpleNamespace(job="j", shop=shop), mark="m", marks="plan m", scale=None, scale_rises=True, laps=(),
        wheel=SimpleNamespace(sense=1, gap_at_deg=30.0),
    )  # fmt: skip
    data = {
        "job": "j", "mark": "m", "ratio": 40, "per_turn": 9.0, "backlash": 0.2, "hole_step": 0.0, "has_scale": False,
        "scale_rises": True, "picture_sense": 1, "gap_at": 30.0, "laps": [], "tolerance": 0.1005,
        "per_turn_text": "9°", key: value,
    }  # fmt: skip
    assert (list(bench._general(data, cast(Any, plan), TABLE, "Of plan m.")) == []) == good
