"""Starter jobs: read without a question, designed without a failed check, whatever was answered."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

import wheelcad
from wheelcad.errors import JobValueError
from wheelcad.job.invented import invented_keys
from wheelcad.job.measuring import MEASURES
from wheelcad.job.plausibility import likely_slips
from wheelcad.job.reader import load_job, parse_job
from wheelcad.job.starter import FIRING_ORDERS, schema_text, starter_text
from wheelcad.words import Words

WHEELS = [
    ("36-1", 160),
    ("12-1", 80),
    ("24-1", 120),
    ("60-2", 190),
    ("36-2", 250),
    ("18-1", 60),
    ("120-2", 300),
]
ALL = list(itertools.product(WHEELS, ("mm", "in"), ("turned-down", "plate"), ("clockwise", "anticlockwise")))


def _designed(text: str) -> None:
    job = parse_job(text, "starter.yaml")
    assert likely_slips(job) == []
    design = wheelcad.design_job(job)
    assert [finding for finding in design.findings if finding.verdict == "fail"] == []
    assert design.bracket is not None
    assert design.gauge is not None
    assert design.indexing is not None
    assert (design.blank is None) == (job.wheel.form == "plate") == (design.adapter is not None)


def _starter(wheel: tuple[str, int], units: str, form: str, direction: str) -> str:
    pattern, diameter = wheel
    size = f"{diameter} mm" if units == "mm" else round(diameter / 25.4 * 4) / 4
    return starter_text(4, pattern, size, units, form, direction=direction)


@pytest.mark.parametrize(("wheel", "units", "form", "direction"), ALL[::6])
def test_it_designs_as_it_is(wheel: tuple[str, int], units: str, form: str, direction: str) -> None:
    _designed(_starter(wheel, units, form, direction))


@pytest.mark.slow
@pytest.mark.parametrize(("wheel", "units", "form", "direction"), ALL)
def test_every_combination_designs_as_it_is(wheel: tuple[str, int], units: str, form: str, direction: str) -> None:
    _designed(_starter(wheel, units, form, direction))


@pytest.mark.parametrize("sensor", ["hall", "reluctance"])
def test_either_sensor(sensor: str) -> None:
    _designed(starter_text(sensor=sensor))


def test_two_cylinders_are_told_of_the_usual_ways_to_fire() -> None:
    text = starter_text(2)
    assert "firing_angles: [0, 360]" in text
    assert "[0, 180]" in text
    assert "[0, 270]" in text
    _designed(text)
    assert "firing_angles" not in starter_text(4)


@pytest.mark.parametrize("cylinders", range(1, 25))
def test_every_number_of_cylinders_is_read(cylinders: int) -> None:
    job = parse_job(starter_text(cylinders), "starter.yaml")
    assert job.engine is not None
    assert job.engine.firing_order is not None
    assert sorted(job.engine.firing_order) == list(range(1, cylinders + 1))


def test_the_firing_orders_are_orders() -> None:
    for count, order in FIRING_ORDERS.items():
        assert sorted(order) == list(range(1, count + 1))


def test_what_was_answered_is_in_it() -> None:
    job = parse_job(starter_text(6, "60-2", "7 1/2", "in", "plate", name="shed-6", direction="anticlockwise"), "a")
    assert (job.job, job.units, job.wheel.form, job.wheel.teeth, job.wheel.missing) == ("shed-6", "in", "plate", 60, 2)
    assert job.wheel.outside_diameter == 190.5
    assert job.engine is not None
    assert (job.engine.cylinders, job.engine.turns) == (6, "anticlockwise")


def test_it_points_editors_at_the_schema_beside_it(tmp_path: Path) -> None:
    first, *_ = starter_text().split("\n")
    name = first.removeprefix("# yaml-language-server: $schema=")
    assert name != first
    (tmp_path / name).write_text(schema_text(), encoding="utf-8")
    (tmp_path / "a.yaml").write_text(starter_text(), encoding="utf-8")
    assert load_job(tmp_path / "a.yaml").job == "my-wheel"


def test_it_explains_itself_in_lines_that_fit_a_screen() -> None:
    for form in ("turned-down", "plate"):
        lines = starter_text(5, form=form, diameter="300 mm").split("\n")
        assert max(map(len, lines)) <= 120
        assert sum("#" in line for line in lines) > len(lines) / 2
    assert "licensed" in starter_text()


@pytest.mark.parametrize(
    ("answers", "key", "said"),
    [
        ({"cylinders": 0}, "cylinders", "out of range"),
        ({"cylinders": "few"}, "cylinders", "whole number"),
        ({"cylinders": 25}, "cylinders", "out of range"),
        ({"pattern": "36"}, "pattern", "teeth and missing"),
        ({"pattern": "36-35"}, "pattern", "fewer than two"),
        ({"pattern": "36-0"}, "pattern", "leave one or two out: 36-1"),
        ({"pattern": "700-1"}, "pattern", "too fine for a cutter"),
        ({"diameter": "large"}, "diameter", "should be a length"),
        ({"diameter": "6 mm"}, "diameter", "was 6 in or 6 cm meant?"),
        ({"diameter": 6, "units": "mm"}, "diameter", "was 6 in or 6 cm meant?"),
        ({"diameter": "45 mm"}, "diameter", "beyond a starter's"),
        ({"units": "cubits"}, "units", "is none of mm, in"),
        ({"form": "bolted"}, "form", "is none of turned-down, plate"),
        ({"direction": "left"}, "direction", "is none of clockwise"),
        ({"sensor": "eye"}, "sensor", "is none of hall"),
        ({"name": "../x"}, "name", "letters, digits"),
        ({"name": "NUL"}, "name", "letters, digits"),
    ],
)
def test_answers_that_make_no_job(answers: dict[str, str], key: str, said: str) -> None:
    with pytest.raises(JobValueError) as caught:
        starter_text(**answers)  # type: ignore[arg-type]
    (fault,) = caught.value.faults
    assert fault.dotted == key
    assert said in Words(fault.units).text(fault.message)


def test_all_wrong_answers_are_told_at_once() -> None:
    with pytest.raises(JobValueError) as caught:
        starter_text("x", "y", "z", "w", "b", name="u v", direction="l", sensor="s")
    assert len(caught.value.faults) == 8


def test_what_people_say_is_understood() -> None:
    text = starter_text(
        "six", "36-1", "6 1/4", "inch", "turned", direction="cw", sensor="vr", given={"pulley.bore": "1 1/8"}
    )
    job = parse_job(text, "a")
    assert job.engine is not None
    assert job.pulley is not None
    assert job.sensor is not None
    assert (job.engine.cylinders, job.engine.turns, job.sensor.kind) == (6, "clockwise", "reluctance")
    assert (job.units, job.wheel.form, job.pulley.bore) == ("in", "turned-down", 28.575)


@pytest.mark.parametrize("form", ["turned-down", "plate"])
def test_what_nobody_gave_is_marked_and_nothing_else(form: str) -> None:
    given = {"pulley.bore": "31", "pulley.keyway.width": "8", "bracket.mounts[0].x": "-130"}
    job = parse_job(starter_text(4, form=form, given=given), "a")
    invented = set(invented_keys(job.source))
    assert not invented & {
        *given,
        "engine.cylinders",
        "wheel.form",
        "units",
        "shop.rotary_table.ratio",
        "bracket.width",
    }
    assert {"pulley.keyway.depth", "engine.firing_order", "bracket.mounts[0].y", "bracket.mounts[1].x"} <= invented
    measured = {measure.key for measure in MEASURES}
    renamed = {key.replace("as_found[0]", "as_found[1]") if form == "plate" else key for key in invented}
    assert renamed <= measured, renamed - measured
