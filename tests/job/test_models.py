"""The models are the reference: every key is described, has an example that is allowed, and is of a kind of ours."""

from __future__ import annotations

from typing import Any

import pytest

from tests.conftest import demo_text, edited
from tests.job.jobs import SMALL
from wheelcad.job import describe
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.words import Words

FIELDS = [
    pytest.param(path, name, field, id=".".join((*path, name)))
    for path, section in describe.sections()
    for name, field in describe.keys_of(section).items()
]
DATA: dict[str, Any] = {
    "job": "a",
    "wheel": {"teeth": 36, "missing": 1, "outside_diameter": 160, "thickness": 3, "slot": {"width": 6, "depth": 6}},
}


@pytest.mark.parametrize(("path", "name", "field"), FIELDS)
def test_every_key_is_described(path: tuple[str, ...], name: str, field: Any) -> None:
    text = field.description
    assert text
    assert not text.endswith(".")
    assert text[:1] == text[:1].lower() or text[:2].isupper()
    if path or describe.section_of(field.annotation) is None:
        assert describe.example_of(field) is not None


@pytest.mark.parametrize(("path", "name", "field"), FIELDS)
def test_every_value_is_of_a_kind_that_reads_what_a_file_holds(path: tuple[str, ...], name: str, field: Any) -> None:
    """pydantic's own int, float and str know nothing of 010, of units or of what to say."""
    inner = describe.section_of(field.annotation)
    assert inner is not None or describe.kind_of(field) is not None or describe.words_of(field)


@pytest.mark.parametrize(("path", "name", "field"), FIELDS)
def test_every_example_is_allowed(path: tuple[str, ...], name: str, field: Any) -> None:
    """The example, written into a whole section of examples, is read: as text, as a job file holds it."""
    section = describe.section_at(path)
    assert section is not None
    for example in field.examples or []:
        written = _as_written({**_needed(section), name: example})
        assert section.model_validate(written, context={"units": "mm"})


def _needed(section: describe.Model) -> dict[str, Any]:
    return {
        name: DATA["wheel"] if name == "wheel" else describe.example_of(field)
        for name, field in describe.keys_of(section).items()
        if field.is_required()
    }


def _as_written(value: Any) -> Any:
    """Numbers as the reader hands them on."""
    from wheelcad.job.kinds import Plain

    if isinstance(value, dict):
        return {key: _as_written(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_as_written(item) for item in value]
    return Plain(value)


def test_a_script_s_values_make_the_same_job_as_a_file_s() -> None:
    assert Job.from_data(DATA).model_dump() == parse_job(SMALL.replace("small", "a")).model_dump()


def test_a_script_s_bare_lengths_are_in_its_units() -> None:
    job = Job.from_data({**DATA, "units": "in", "wheel": {**DATA["wheel"], "outside_diameter": 6.25}})
    assert job.wheel.outside_diameter == 158.75


def test_a_job_cannot_be_changed(six: Job) -> None:
    with pytest.raises(ValueError, match="frozen"):
        six.wheel.teeth = 24


def test_the_job_knows_the_lines_it_came_from(six: Job) -> None:
    lines = demo_text("tarn-six").split("\n")
    line, column = six.source.place(("wheel", "slot", "depth"))
    assert lines[line - 1][column - 1 :].startswith("depth: 6.35")
    line, column = six.source.value_place(("pulley", "turned", 2, "length"))
    assert lines[line - 1][column - 1 :].startswith("14.8")
    # what is not in the file is placed at the section it would stand in
    assert six.source.place(("wheel", "bore")) == six.source.place(("wheel",))
    assert six.source.place(("adapter", "pilot")) == six.source.place(())


def test_minus_zero_is_zero() -> None:
    job = parse_job(SMALL + "bracket: {plate: {thickness: 5, inside_radius: -0.0}, mounts: [{x: -0, y: 9, hole: 9}],"
                    " mount_face: 0, width: 40}\n")  # fmt: skip
    assert job.bracket is not None
    assert str(job.bracket.mounts[0].x) == "0.0"
    assert str(job.bracket.plate.inside_radius) == "0.0"


def test_an_inch_document_says_a_fraction_as_it_was_written() -> None:
    job = parse_job(edited(demo_text("fell-twin"), ("thickness: 1/8\n", "thickness: 4/32\n")))
    assert job.wheel.thickness == 3.175
    assert Words("in").length(job.wheel.thickness) == "1/8 in"
    assert Words("mm").length(job.wheel.thickness) == "3.17 mm"
    assert Words("in").length(job.wheel.thickness * 2) == "0.250 in"  # what is worked out was written by nobody
