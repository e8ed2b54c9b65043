"""The whole chart held against arithmetic done here and against what dividing-head books print."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.conftest import plate_job
from wheelcad.parts.indexing.design import design_indexing
from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.parts.wheel.design import design_wheel

SET_A = "[[15,16,17,18,19,20],[21,23,27,29,31,33],[37,39,41,43,47,49]]"
CIRCLES_A = [15, 16, 17, 18, 19, 20, 21, 23, 27, 29, 31, 33, 37, 39, 41, 43, 47, 49]


def plan(teeth: int, missing: int, ratio: int, step: str, plates: str = "[]") -> IndexPlan:
    slot = f"{{width: {200 / teeth:.4f}, depth: 5, sides: parallel, floor: flat}}"
    shop = f"shop: {{rotary_table: {{ratio: {ratio}, dial_step: {step}, plates: {plates}}}}}\n"
    job = plate_job(teeth, missing, 300, slot=slot, extra=shop)
    made = design_indexing(job, design_wheel(job))
    assert made is not None
    return made


@pytest.mark.parametrize("ratio", [40, 60, 72, 80, 90])
@pytest.mark.parametrize("step", ["0.05", "1'", pytest.param("0.25", marks=pytest.mark.slow)])
def test_every_pattern_to_120_is_within_half_a_mark_and_never_drifts(ratio: int, step: str) -> None:
    # Source: arithmetic; slot k of N positions with m missing lies at (m/2 + k)·360/N from the gap's centre
    mark = {"0.05": Fraction(1, 20), "1'": Fraction(1, 60), "0.25": Fraction(1, 4)}[step]
    turn = Fraction(360, ratio)
    for teeth in range(4, 121):
        missing = teeth % 4 if teeth > 7 else 1
        report = plan(teeth, missing, ratio, step).report()
        cuts = report["cuts"]
        assert len(cuts) == (teeth - missing + 1 if missing else teeth)
        added = Fraction(0)
        for k, cut in enumerate(cuts):
            exact = Fraction(360, teeth) * (Fraction(missing, 2) + k)
            reached = cut["turns"] * turn + Fraction(cut["dial_deg"]).limit_denominator(10**6)
            assert abs(reached - exact) <= mark / 2
            assert float(reached - exact) == pytest.approx(cut["error_deg"], abs=1e-9)
            added += cut["advance_turns"] * turn + Fraction(cut["advance_dial_deg"]).limit_denominator(10**6)
            assert added == reached
        closing = report["closing"]
        added += closing["advance_turns"] * turn + Fraction(closing["advance_dial_deg"]).limit_denominator(10**6)
        assert added == 360
        assert (closing["turns"], closing["dial_deg"]) == (ratio, 0)


@pytest.mark.parametrize("ratio", [40, 60, 72, 80, 90])
def test_holes_are_exact_wherever_a_circle_exists(ratio: int) -> None:
    # Source: arithmetic: a circle of c holes reaches an angle when angle·ratio·c/360 is whole
    for teeth in range(4, 121):
        for cut in plan(teeth, 1, ratio, "1'", SET_A).report()["cuts"]:
            exact = Fraction(360, teeth) * (Fraction(1, 2) + cut["cut"] - 1)
            could = [c for c in CIRCLES_A if (exact * ratio * c / 360).denominator == 1]
            if cut["circle"] is None:
                assert not could
            else:
                assert (cut["turns"] + Fraction(cut["holes"], cut["circle"])) * 360 / ratio == exact


@pytest.mark.parametrize(
    ("teeth", "turns", "part", "source"),
    [
        (36, 1, Fraction(1, 9), "40/36 = 1 1/9, by hand"),
        (24, 1, Fraction(2, 3), "40/24 = 1 2/3, by hand"),
        (60, 0, Fraction(2, 3), "40/60 = 2/3, by hand"),
        (15, 2, Fraction(18, 27), "dividing-head practice sheet: 2 turns and 18 holes of 27"),
        (6, 6, Fraction(26, 39), "Army subcourse OD1644, milling: 6 turns and 26 holes of 39"),
    ],
)
def test_from_cut_to_cut_as_the_books_print_it(teeth: int, turns: int, part: Fraction, source: str) -> None:
    cuts = plan(teeth, 1, 40, "0.05", SET_A).report()["cuts"]
    for cut in cuts[1:]:
        assert cut["advance_turns"] == turns, source
        assert Fraction(cut["advance_holes"], cut["circle"]) == part, source
        assert cut["advance_dial_deg"] == pytest.approx(float(part) * 9), source


def test_first_slot_of_thirty_six_minus_one_lies_five_degrees_from_the_gap() -> None:
    # Source: common practice, no source
    assert plan(36, 1, 40, "0.05").report()["cuts"][0]["at_deg"] == 5.0


def test_chart_needs_only_light_imports() -> None:
    import subprocess
    import sys

    code = (
        "import sys; import wheelcad.parts.indexing.text, wheelcad.parts.indexing.design;"
        "import wheelcad.parts.indexing.chart;"
        "heavy = {'cadquery', 'OCP', 'trimesh', 'scipy', 'shapely', 'ezdxf', 'reportlab', 'gmsh'} & set(sys.modules);"
        "print(sorted(heavy))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
