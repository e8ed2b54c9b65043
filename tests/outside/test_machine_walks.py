"""The written walks of three jobs at the machines: every setting, move, chord and row in them is worked out again from
the job that stands in the text, by arithmetic alone (360/ratio a turn; chord = 2 r sin(a/2))."""

from __future__ import annotations

import math
import re
from fractions import Fraction
from importlib.resources import files

import pytest

from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.chart import chart_of
from wheelcad.parts.indexing.words import dial

WALKS = ("machines-turned-36-1.md", "machines-plate-60-2.md")
ROW = re.compile(
    r"^\| (\d+) \| (\d+)( again)? \| (\d+) \| (\S+) \|(?: (?:(\d+) of (\d+)|-) \|)? "
    r"(\d+) \+ (\S+)(?: \((\d+) and (\d+) holes\))? \|"
)


def text_of(name: str) -> str:
    return (files("wheelcad") / "docs" / name).read_text(encoding="utf-8")


def job_in(text: str) -> Job:
    found = re.search(r"```yaml\n(.*?)```", text, re.S)
    assert found is not None
    return parse_job(found[1], "walk.yaml")


def degrees_of(text: str) -> Fraction:
    parts = [Fraction(part) for part in re.split(r"[°′″]", text) if part]
    return sum((part / 60**k for k, part in enumerate(parts)), Fraction(0))


@pytest.mark.parametrize("name", WALKS)
def test_every_stop_stands_in_the_walk_and_its_moves_add_up(name: str) -> None:
    text = text_of(name)
    job = job_in(text)
    plan = chart_of(job)
    rows = [found for found in map(ROW.match, text.splitlines()) if found is not None]
    assert len(rows) == len(plan.stops)
    assert plan.table is not None
    ratio = plan.table.ratio
    per, stands = Fraction(360, ratio), Fraction(0)
    for row, stop in zip(rows, plan.stops, strict=True):
        assert (int(row[1]), int(row[2]), bool(row[3])) == (stop.number, stop.cut, stop.closing)
        assert stop.setting is not None
        assert (int(row[4]), row[5]) == (stop.setting.turns, dial(stop.setting.dial, plan.table.dial_step))
        stands = (stands + int(row[8]) * per + degrees_of(row[9])) % 360
        assert stands == int(row[4]) * per + degrees_of(row[5])
        if row[6]:
            assert (int(row[4]) + Fraction(int(row[6]), int(row[7]))) * per == stop.at
        # the gap's teeth, slot by slot, from the pattern alone
        if stop.work == "slot":
            pitch = Fraction(360, job.wheel.teeth)
            assert stands == (Fraction(job.wheel.missing) / 2 + stop.feature - 1) * pitch


@pytest.mark.parametrize("name", WALKS)
def test_what_is_drilled_and_marked_is_said_as_the_program_says_it(name: str) -> None:
    from wheelcad.words import Words

    text, plan = text_of(name), chart_of(job_in(text_of(name)))
    said = [Words("mm").text(stop.orders("mm")) for stop in plan.cuts if stop.orders("mm")]
    assert said
    assert all(line in text for line in said)
    # balance holes no plate reaches exactly: what the nearest hole costs
    assert all(Words("mm").text(stop.lap.then) in text for stop in plan.cuts if stop.work == "hole")


def test_the_chords_of_the_walk_by_hand() -> None:
    text = text_of("machines-hand-24-1.md")
    job = job_in(text)
    circle = job.wheel.outside_diameter / 2 - job.wheel.slot.depth + job.wheel.slot.width / 2
    rows = re.findall(r"^\| (\d+) \| ([\d.]+)° \| (\S+) \| ([\d.]+) \|", text, re.M)
    assert len(rows) == job.wheel.teeth - job.wheel.missing + 1
    for number, at, chord, check in rows:
        assert float(at) == pytest.approx(7.5 + 15 * (int(number) - 1))
        if number != "1":
            assert float(chord) == pytest.approx(2 * circle * math.sin(math.radians(7.5)), abs=0.006)
        away = math.radians(15 * (int(number) - 1) / 2)
        assert float(check) == pytest.approx(2 * circle * math.sin(away), abs=0.006)
