"""`wheelcad explain`: every key has its words, and those that are measured their letter."""

from __future__ import annotations

import pytest

from wheelcad.errors import JobError
from wheelcad.job.explain import SEEN_IN, WITHOUT, every_key, explain_text, explained, find_key, letters
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
