"""Every column of the chart and of the readout's points, with one field of them wrong at a time."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from wheelcad.checks import axis_program, bench, chart_columns
from wheelcad.files.csvs import write_csv
from wheelcad.findings import Finding
from wheelcad.parts.indexing.chart import CHART_FILE, HEADER, POINTS_FILE, POINTS_HEADER

DRILL = SimpleNamespace(radius_mm=40.0, diameter_mm=8.0, depth_mm=6.5)
SCRIBE = SimpleNamespace(outer_mm=70.0, inner_mm=60.0, depth_mm=0.3)


def stop(number: int, **said: object) -> Any:
    given: dict[str, object] = {
        "number": number, "lap": SimpleNamespace(key="slots"), "setup": "a", "cut": number, "work": "slot",
        "feature": 3, "closing": False, "check": None, "at": Fraction(5 * number), "scale_deg": 355.0,
        "setting": 1, "drill": None, "points_mm": ((1.5, -2.5), (3.5, 4.5)), "scribe": None,
    }  # fmt: skip
    return SimpleNamespace(**{**given, **said})


STOPS = [
    stop(1),
    stop(2, work="balance", drill=DRILL, points_mm=(), check=SimpleNamespace(says="meets a bolt")),
    stop(3, work="mark", scribe=SCRIBE, points_mm=()),
    stop(4, closing=True, setting=None, points_mm=()),
]
TURNED = {"turns": "1", "dial_deg": "2", "advance_turns": "3", "error_deg": "0"}


def rows() -> list[dict[str, str]]:
    """The chart of these stops."""
    said: list[dict[str, str]] = [
        {"x_mm": "1.5", "y_mm": "-2.5"},
        {"radius_mm": "40", "diameter_mm": "8", "depth_mm": "6.5", "note": "meets a bolt"},
        {"radius_mm": "70", "inner_mm": "60", "depth_mm": "0.3"},
        {"work": "closing", "scale_deg": "", "note": "the first line again"},
    ]
    out = []
    for one, more in zip(STOPS, said, strict=True):
        row = {
            "stop": str(one.number),
            "lap": "slots",
            "setup": "a",
            "cut": str(one.cut),
            "work": one.work,
            "feature": "3",
        }
        row |= {"at_deg": str(5 * one.number), "scale_deg": "355", **(TURNED if one.setting else {}), **more}
        out.append({column: row.get(column, "") for column in HEADER})
    return out


def points() -> list[dict[str, str]]:
    made = [("1", "1.5", "-2.5"), ("2", "3.5", "4.5")]
    of = {"cut": "1", "work": "slot", "at_deg": "5"}
    return [
        {column: {**of, "point": n, "x_mm": x, "y_mm": y}.get(column, "") for column in POINTS_HEADER}
        for n, x, y in made
    ]


def checked(folder: Path, chart: list[dict[str, str]], readout: list[dict[str, str]] | None = None) -> list[Finding]:
    """The findings on head and rows of the chart, and of the points where there are any."""
    write_csv(folder / CHART_FILE, HEADER, chart)
    shop = SimpleNamespace(readout=readout is not None)
    if readout is not None:
        write_csv(folder / POINTS_FILE, POINTS_HEADER, readout)
    plan = SimpleNamespace(stops=STOPS, cuts=STOPS, table=None, scale=None, job=SimpleNamespace(shop=shop))
    return list(chart_columns.check_chart_columns(folder, cast(Any, plan)))


def test_a_sound_chart_and_its_points_pass(tmp_path: Path) -> None:
    found = checked(tmp_path, rows(), points())
    assert [f.verdict for f in found] == ["pass"] * 4
    assert [f.measured for f in found[1::2]] == ["4 rows", "2 rows"]


@pytest.mark.parametrize(
    ("which", "column", "value"),
    [
        *(
            (0, column, "9")
            for column in ("stop", "lap", "setup", "cut", "work", "feature", "note", "at_deg", "scale_deg")
        ),
        *((0, column, "9") for column in ("radius_mm", "inner_mm", "diameter_mm", "depth_mm", "x_mm", "y_mm")),
        (0, "x_mm", "3.5"),
        *((0, column, "") for column in ("turns", "dial_deg", "advance_turns", "error_deg", "x_mm", "scale_deg")),
        *((1, column, "9") for column in ("radius_mm", "diameter_mm", "depth_mm", "note", "inner_mm")),
        *((2, column, "9") for column in ("radius_mm", "inner_mm", "depth_mm", "diameter_mm")),
        (3, "note", ""),
        (3, "work", "slot"),
        (3, "scale_deg", "355"),
    ],
)
def test_a_field_that_is_wrong_is_told(which: int, column: str, value: str, tmp_path: Path) -> None:
    chart = rows()
    chart[which][column] = value
    head, found = checked(tmp_path, chart)
    assert (head.verdict, found.verdict) == ("pass", "fail")
    assert str(found.measured).startswith(f"stop {which + 1}")


def test_rows_lost_and_heads_changed(tmp_path: Path) -> None:
    """The first three faults are told."""
    assert checked(tmp_path, rows()[:3])[1].verdict == "fail"
    chart = [{**row, "feature": "7"} for row in rows()]
    assert str(checked(tmp_path, chart)[1].measured).count("feature") == 3
    path = tmp_path / "x.csv"
    path.write_text("a,b\n", encoding="utf-8")
    for heads, verdict in ((("a", "b"), "pass"), (("b", "a"), "fail")):
        assert chart_columns._head(path, heads, "x.csv").verdict == verdict


@pytest.mark.parametrize(
    ("column", "value"), [("cut", "2"), ("work", "side"), ("point", "2"), ("x_mm", "9"), ("y_mm", "9"), ("at_deg", "9")]
)
def test_a_point_that_is_wrong_is_told(column: str, value: str, tmp_path: Path) -> None:
    readout = points()
    readout[0][column] = value
    assert [f.verdict for f in checked(tmp_path, rows(), readout)] == ["pass", "pass", "pass", "fail"]
    assert checked(tmp_path, rows(), points()[:1])[3].verdict == "fail"


def test_an_axis_program_s_first_three_faults_are_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / axis_program.PROGRAM_FILE).write_text("%\nM30\n", encoding="ascii")
    for wrong, said in ((["a", "b", "c", "d"], "a; b; c"), ([], "4 stops")):
        monkeypatch.setattr(
            axis_program, "_wrong", lambda lines, plan, wrong=wrong: wrong if lines == ["%", "M30"] else ""
        )
        (found,) = axis_program.check_axis_program(tmp_path, cast(Any, SimpleNamespace(stops=STOPS)))
        assert (found.measured, found.verdict) == (said, "fail" if wrong else "pass")


def test_the_bench_page_s_first_three_faults_are_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    page = '<script type="application/json" id="plan">{"steps": [1, 2]}</script>'
    (tmp_path / bench.BENCH).write_text(page, encoding="utf-8")
    monkeypatch.setattr(bench, "_steps", lambda steps, plan, table: [])
    for wrong, said in ((["a", "b", "c", "d"], ["a; b; c"] * 2), ([], ["2 stops", "the same"])):
        monkeypatch.setattr(bench, "_general", lambda *given, wrong=wrong: wrong)
        monkeypatch.setattr(bench, "_tables", lambda *given, wrong=wrong: wrong)
        found = bench.check_bench(tmp_path, cast(Any, SimpleNamespace(stops=STOPS)), cast(Any, None))
        assert [f.measured for f in found] == said
        assert {f.verdict for f in found} == {"fail" if wrong else "pass"}
