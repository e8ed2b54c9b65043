"""What the scene shows as touching is what the design refuses, and lies where the two parts meet."""

from __future__ import annotations

import math

import pytest

from tests.conftest import demo_text, edited
from wheelcad.errors import DesignError
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.page.collide import touches
from wheelcad.page.scene_parts import made_of
from wheelcad.parts.design import design_job
from wheelcad.words import Words, unwritten


def changed(*changes: tuple[str, str]) -> Job:
    return parse_job(edited(demo_text("tarn-six"), *changes), "trial.yaml")


def test_a_sound_job_touches_nothing(demo: Job) -> None:
    made = made_of(demo, design_job(demo))
    assert not [touch for touch in touches(made) if touch.hits]


TOO_SHORT, BEHIND = ("nose_length: 25", "nose_length: 4"), ("at: 310 deg", "at: 60 deg")


@pytest.mark.parametrize(
    ("change", "says", "reach"), [(TOO_SHORT, "the tab would hit the wheel", 80.0), (BEHIND, "the pulley", 75.0)]
)
def test_what_the_design_refuses_is_shown_where_it_touches(change: tuple[str, str], says: str, reach: float) -> None:
    job = changed(change)
    with pytest.raises(DesignError) as told:
        design_job(job)
    said = Words(job.units).text(" ".join(fault.message for fault in told.value.faults))
    assert says in said
    found = [touch for touch in touches(made_of(job, None)) if touch.hits]
    assert found
    words = [touch.words(job.units) for touch in found]
    assert any(says.split()[-1] in text and " hits " in text for text in words), words
    assert not any(unwritten(text) for text in words)
    worst = found[0]
    assert math.hypot(worst.at[0], worst.at[1]) < reach + 1.0  # where the metal that turns is, not out on the bracket
    assert "bracket" in worst.parts


def test_a_belt_in_the_way_is_named() -> None:
    job = changed(("from_deg: 65, to_deg: 215", "from_deg: 250, to_deg: 340"), ("at: 33, width", "at: 38, width"))
    found = [touch for touch in touches(made_of(job, None)) if touch.other == "belt 1"]
    assert found
    assert found[0].parts[1] == "belt-1"


def test_an_inch_job_is_told_in_inches() -> None:
    touch = touches(made_of(changed(TOO_SHORT), None))[0]
    assert " in " in touch.words("in")
    assert "mm" not in touch.words("in")
