"""What people get wrong in a job file, and that the answer helps them: see mistakes.py."""

from __future__ import annotations

import re

import pytest

from tests.conftest import demo_text, edited
from tests.job.mistakes import MISTAKES
from wheelcad.errors import JobError
from wheelcad.job.reader import parse_job
from wheelcad.parts.design import design_job
from wheelcad.words import unwritten


@pytest.mark.parametrize(("job", "old", "new", "key", "said"), MISTAKES)
def test_a_mistake_is_answered(job: str, old: str, new: str, key: str, said: str) -> None:
    text = edited(demo_text(job), (old, new))
    if not said:
        assert design_job(parse_job(text, "x.yaml")).wheel is not None
        return
    with pytest.raises(JobError) as caught:
        design_job(parse_job(text, "x.yaml"))
    faults = caught.value.faults
    first = str(faults[0])
    assert faults[0].dotted == key, caught.value
    assert [words for words in said.split("|") if words not in first] == [], first
    for fault in faults:
        told = str(fault)
        assert fault.line > 0
        assert not unwritten(told)
        assert not re.search(r"less than -|at most -|not allowed here in|e\+\d\d", told)  # no absurd bound, no jargon


def test_there_are_enough_of_them() -> None:
    assert len(MISTAKES) >= 110
    assert len({(job, old, new) for job, old, new, _, _ in MISTAKES}) == len(MISTAKES)


@pytest.mark.parametrize(("job", "old", "new", "key", "said"), [row for row in MISTAKES if row[0] == "fell-twin"])
def test_an_inch_job_is_answered_in_inches(job: str, old: str, new: str, key: str, said: str) -> None:
    """Millimetres appear only where they are what is likely meant."""
    try:
        design_job(parse_job(edited(demo_text(job), (old, new)), "x.yaml"))
    except JobError as error:
        for fault in error.faults:
            if fault.key != ("units",):
                assert "mm" not in f"{fault.message} {fault.found} {fault.allowed}"
