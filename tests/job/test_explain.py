"""`wheelcad explain`: every key has its words, and those that are measured their letter."""

from __future__ import annotations

import pytest

from wheelcad import units
from wheelcad.errors import JobError
from wheelcad.job import describe
from wheelcad.job.describe import every_key
from wheelcad.job.explain import SEEN_IN, WITHOUT, explain_text, explained, find_key, letters
from wheelcad.job.kinds import Quantity
from wheelcad.job.measuring import MEASURES, PICTURES, plain


@pytest.mark.parametrize("key", every_key())
def test_every_key_is_explained(key: str) -> None:
    said = dict(explained(key))
    assert said["what"]
    assert said["left out"]
    assert ("allowed" in said or "keys" in said) or key in ("title", "allow", "survey.clock") or said["example"]
    assert "of the measuring sheet" in said["picture"] or "not measured" in said["picture"]
    assert max(map(len, explain_text(key).split("\n"))) <= 80


def test_what_is_measured_has_its_letter() -> None:
    for measure in MEASURES:
        if measure.label:
            said = dict(explained(plain(measure.key)))
            assert said["picture"].startswith(measure.label[0])
            assert said["measure"]
    assert "B, B1 of the measuring sheet" in dict(explained("pulley.bore"))["picture"]


def test_letters_are_given_once_and_to_keys_there_are() -> None:
    labels = [measure.label for measure in MEASURES if measure.label]
    assert len(labels) == len(set(labels)) == len(letters())
    keys = set(every_key())
    assert {plain(measure.key) for measure in MEASURES} <= keys
    assert {label[0] for label in labels} == set(PICTURES) == set(SEEN_IN.values())
    assert set(SEEN_IN) | set(WITHOUT) <= keys


def test_a_word_alone_finds_its_keys_and_a_misspelt_one_the_nearest() -> None:
    assert find_key("bore") == ["wheel.bore", "wheel.as_found.bore", "pulley.bore", "cam.bore"]
    assert find_key("bracket.mounts[1].x") == ["bracket.mounts.x"]
    with pytest.raises(JobError) as caught:
        find_key("pulley.boar")
    assert "`pulley.bore`" in str(caught.value)


def test_ranges_are_told_in_the_unit_asked_for() -> None:
    assert "0.01 to 5000 mm" in explain_text("wheel.thickness")
    assert "in" in dict(explained("wheel.thickness", "in"))["allowed"]


def lengths_of(value, field):
    """Every bare length inside an example, with the field that it belongs to."""
    if isinstance(value, list):
        return [pair for entry in value for pair in lengths_of(entry, field)]
    if isinstance(value, dict):
        section = describe.section_of(field.annotation)
        fields = describe.keys_of(section) if section is not None else {}
        return [pair for key, held in value.items() if key in fields for pair in lengths_of(held, fields[key])]
    kind = describe.kind_of(field)
    return [(value, kind)] if isinstance(kind, Quantity) and kind.kind == "length" else []


def test_an_example_can_be_typed_as_it_stands_in_both_units() -> None:
    """A job in inches was once told to write `mount_face: -30`, which is -30 in there."""
    tried = 0
    for path, section in describe.sections():
        for name, field in describe.keys_of(section).items():
            metric = lengths_of(describe.example_of(field), field)
            inches = lengths_of(describe.example_of(field, "in"), field)
            for (mm, kind), (inch, _) in zip(metric, inches, strict=True):
                if isinstance(mm, str):
                    continue  # it carries its own unit
                read = units.parse(str(inch), "length", "in")
                assert abs(read - mm) <= 25.4 / 32, (path, name)
                assert kind._holds(read), (path, name)
                tried += 1
    assert tried > 60


def test_what_is_taken_is_told_in_the_units_of_the_job() -> None:
    metric, inches = (dict(explained("gauge.thickness", unit))["left out"] for unit in ("mm", "in"))
    assert metric == "4 is taken"
    assert inches == "0.1575 is taken"
