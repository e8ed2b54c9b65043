"""The questions of `wheelcad new`: answers as people give them, stopping anywhere, going on another day."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from wheelcad.errors import JobFileError
from wheelcad.job.answers import AnswerError, read_answer
from wheelcad.job.invented import invented_keys, settled_text
from wheelcad.job.models import BehindFront
from wheelcad.job.new import ask_for_job
from wheelcad.job.reader import load_job, source_of
from wheelcad.job.starter import starter_text
from wheelcad.parts.places import front_as_found_z, settled
from wheelcad.words import Words, unwritten


class Person:
    """Gives answers in turn, then goes away; hears what is said."""

    def __init__(self, *answers: str) -> None:
        self._answers: Iterator[str] = iter(answers)
        self.heard: list[str] = []

    def ask(self, prompt: str) -> str:
        self.heard.append(prompt)
        try:
            return next(self._answers)
        except StopIteration:
            raise EOFError from None


def talk(folder: Path, *answers: str, **given: str) -> Person:
    """A session of `new` in the folder."""
    person = Person(*answers)
    ask_for_job(str(folder / "shed"), given, False, person.ask, person.heard.append)
    return person


def test_a_session_left_half_way_loses_nothing_and_goes_on(tmp_path: Path) -> None:
    first = talk(tmp_path, "in", "six", "1-5-3-6-2-4", "cw", "5,200", "5200", "w", "turned", "36-1", "158.75", "6 1/4")
    assert not any(unwritten(line) for line in first.heard)
    job = load_job(tmp_path / "shed.yaml")
    assert job.engine is not None
    assert (job.units, job.engine.firing_order, job.engine.max_speed) == ("in", (1, 5, 3, 6, 2, 4), 5200)
    assert job.wheel.outside_diameter == 158.75
    assert "engine.max_speed" not in invented_keys(job.source)
    assert "wheel.thickness" in invented_keys(job.source)
    talk(tmp_path, "3/16", "", "17/64", "q")
    again = load_job(tmp_path / "shed.yaml")
    assert again.wheel.thickness == 4.7625
    left = invented_keys(again.source)
    assert "wheel.thickness" not in left
    assert "wheel.slot.width" in left  # an empty answer leaves it
    assert "wheel.slot.depth" not in left


def test_a_unit_slip_is_asked_about_at_once(tmp_path: Path) -> None:
    person = talk(tmp_path, "in", "4", "", "", "", "", "", "", "158.75", "6 1/4")
    said = "\n".join(person.heard)
    assert "was 158.75 mm" in said
    assert said.count("Outside diameter") == 2
    assert load_job(tmp_path / "shed.yaml").wheel.outside_diameter == 158.75


def test_the_recess_is_asked_and_few_have_one(tmp_path: Path) -> None:
    before = ["mm", *[""] * 20]
    person = talk(tmp_path, *before)
    assert any("Depth of the counterbore in the front face (none)" in line for line in person.heard)
    asked = next(i for i, line in enumerate(p for p in person.heard if p.endswith(": ")) if "counterbore" in line)
    (tmp_path / "shed.yaml").unlink()
    with_one = talk(tmp_path, "mm", *[""] * (asked - 1), "8", *[""] * 8, "50", "q")
    assert any("Diameter of the counterbore" in line for line in with_one.heard)
    job = load_job(tmp_path / "shed.yaml")
    assert job.pulley is not None
    assert job.pulley.recess is not None
    assert (job.pulley.recess.depth, job.pulley.recess.diameter) == (8, 50)
    assert not any("recess" in key for key in invented_keys(job.source))


def test_things_in_the_way_are_asked_one_after_another(tmp_path: Path) -> None:
    person = talk(tmp_path, "mm", *[""] * 100)
    asked = [line for line in person.heard if line.endswith(": ")]
    assert asked[-1].startswith("[H1] What is in the way of the bracket")
    assert "(none)" in asked[-1]
    assert load_job(tmp_path / "shed.yaml").bracket.obstacles == ()  # type: ignore[union-attr]
    (tmp_path / "shed.yaml").unlink()
    things = ["pump", "120", "-40", "25", "30", "hose", "", "60", "q"]
    second = talk(tmp_path, "mm", *[""] * (len(asked) - 2), *things)
    assert any(line.startswith("[H1] What else is in the way") for line in second.heard)
    job = load_job(tmp_path / "shed.yaml")
    assert job.bracket is not None
    pump, hose = job.bracket.obstacles
    assert (pump.name, pump.x, pump.y, pump.radius) == ("pump", 120, -40, 25)
    assert isinstance(pump.front, BehindFront)
    assert pump.front.behind_front == 30
    assert (hose.name, hose.y) == ("hose", 60)
    left = {key for key in invented_keys(job.source) if "obstacles" in key}
    ends = ("x", "radius", "z.behind_front")
    assert left == {f"bracket.obstacles[1].{end}" for end in ends}
    placed = settled(job).bracket
    assert placed is not None
    assert placed.obstacles[0].z == pytest.approx(front_as_found_z(job) - 30)
    again = talk(tmp_path, *["q"])
    assert "values nobody measured yet" in again.heard[0]
    talk(tmp_path, *[""] * (len(invented_keys(job.source)) - 3), "-150", "10", "28")
    assert not [key for key in invented_keys(load_job(tmp_path / "shed.yaml").source) if "obstacles" in key]


def test_a_pattern_that_will_not_start_is_remarked_and_another_proposed(tmp_path: Path) -> None:
    person = talk(tmp_path, "mm", "12", *[""] * 4, "", "36-0", "36-1", "60-2", "q")
    said = "\n".join(person.heard)
    assert "36-0 has no gap" in said or "has no gap" in said
    assert "60-2 is read more surely" in said
    job = load_job(tmp_path / "shed.yaml")
    assert (job.wheel.teeth, job.wheel.missing) == (60, 2)


def test_defaults_are_in_the_unit_chosen(tmp_path: Path) -> None:
    person = talk(tmp_path, "in", *[""] * 60)
    assert not [line for line in person.heard[2:] if " mm" in line]  # the first asks for the unit


def test_a_question_mark_says_how(tmp_path: Path) -> None:
    person = talk(tmp_path, *["?"] * 3)
    assert any("any one value may carry its own" in line for line in person.heard)


def test_a_job_that_marks_nothing_is_not_written_over(tmp_path: Path) -> None:
    (tmp_path / "shed.yaml").write_text("job: shed\n", encoding="utf-8")
    with pytest.raises(JobFileError, match="is there already; give --replace"):
        talk(tmp_path)
    assert (tmp_path / "shed.yaml").read_text("utf-8") == "job: shed\n"


@pytest.mark.parametrize(
    ("key", "said", "units", "text"),
    [
        ("engine.turns", "cw", "mm", "clockwise"),
        ("engine.turns", "a", "mm", "anticlockwise"),
        ("wheel.outside_diameter", "6 1/4 in", "mm", "6 1/4 in"),
        ("wheel.outside_diameter", "6 1/4", "in", "6 1/4"),
        ("wheel.teeth", "60/2", "mm", "60-2"),
        ("engine.firing_order", "1-3-4-2", "mm", "[1, 3, 4, 2]"),
        ("engine.firing_order", "1, 3, 4, 2", "mm", "[1, 3, 4, 2]"),
        ("engine.firing_order", "1342", "mm", "[1, 3, 4, 2]"),
        ("pulley.rubber_ring", "No", "mm", "no"),
        ("bracket.mounts[0].thread", "M10 x 1.5", "mm", "M10x1.5"),
        ("sensor.max_tooth_rate", "15 kHz", "mm", "15 kHz"),
        ("pulley.bolts.count", "four", "mm", "4"),
    ],
)
def test_an_answer_is_read_as_it_is_said(key: str, said: str, units: str, text: str) -> None:
    assert read_answer(key, said, units).text == text


@pytest.mark.parametrize(
    ("key", "said", "why"),
    [
        ("engine.turns", "up", "none of clockwise"),
        ("wheel.teeth", "36", "such as 36-1"),
        ("pulley.bore", "wide", "should be a length"),
        ("pulley.bore", "32 deg", "a unit of angle"),
        ("pulley.bore", "3200", "was 320 mm meant?|usually 8 mm to 120 mm"),
        ("engine.firing_order", "1-3-3-2", "the same one twice"),
        ("pulley.keyway.at", "10 o'clock", "300 deg"),
        ("pulley.bore", "{32}", "keeps for itself"),
    ],
)
def test_an_answer_that_is_none_says_what_would_be(key: str, said: str, why: str) -> None:
    with pytest.raises(AnswerError) as caught:
        read_answer(key, said, "mm", 4)
    told = Words("mm").text(str(caught.value))
    assert any(part in told for part in why.split("|")), told


@pytest.mark.parametrize("key", ["pulley.bore", "pulley.keyway.depth", "bracket.mounts[1].y", "engine.firing_order"])
def test_a_value_is_put_in_its_place_and_nothing_else_changes(key: str) -> None:
    text = starter_text()
    value = "[1, 2, 4, 3]" if key.endswith("order") else "77"
    after = settled_text(source_of(text, "a"), key, value)
    old, new = text.split("\n"), after.split("\n")
    assert len(old) == len(new)
    (changed,) = [i for i, (a, b) in enumerate(zip(old, new, strict=True)) if a != b]
    assert value in new[changed]
    assert set(invented_keys(source_of(text, "a"))) - set(invented_keys(source_of(after, "a"))) == {key}
    assert source_of(after, "a").values.keys() == source_of(text, "a").values.keys()
