"""Text that is not YAML: said in words, at the place to mend, without hiding the other sections' faults."""

from __future__ import annotations

import pytest

from tests.conftest import demo_text, edited
from tests.job.jobs import SMALL, faults_in, place_of

# (what stands in the small job, what is put there, mark at the place to be named, in the message, in the hint)
BROKEN = [
    ("teeth: 36", "teeth 36", "teeth 36", "no colon", "`teeth: 36`"),
    ("teeth: 36", "teeth:36", ":36", "no colon and space", "`teeth: 36`"),
    ("  missing: 1", "   missing: 1", "missing", "indented differently", "same column"),
    ("  missing: 1", "\tmissing: 1", "\tmissing", "indented with a tab", "spaces"),
    ("  missing: 1", "  \tmissing: 1", "  \tmissing", "indented with a tab", "spaces"),
    ("depth: 6}", "depth: 6", "{width", "a bracket that is not closed", "} or ]"),
    ("depth: 6}", "depth: 6]", "]", "does not go on as the bracket", "} or ]"),
    ("job: small", "job: 'small", "'small", "a quotation that is not closed", ""),
    ("job: small", 'job: "small', '"small', "a quotation that is not closed", ""),
    ("job: small", "job: small\ntitle: Wheel: mine", ": mine", "two colons", "in quotes"),
    ("job: small", "job: small\ntitle: @home", "@home", "cannot be read", "in quotes"),
    ("job: small", "job: small\ntitle: %1", "%1", "cannot be read", "in quotes"),
    ("job: small", "%YAML 3.0\n---\njob: small", "%YAML", "not YAML", ""),
]


@pytest.mark.parametrize(("old", "new", "mark", "said", "hint"), BROKEN)
def test_broken_text(old: str, new: str, mark: str, said: str, hint: str) -> None:
    text = edited(SMALL, (old, new))
    faults = faults_in(text)
    assert len(faults) == 1, faults
    assert said in faults[0].message
    assert hint in faults[0].hint
    line, column = place_of(text, mark)
    assert faults[0].line == line
    assert faults[0].column == (1 if "tab" in said else column)


def test_a_broken_section_does_not_hide_the_others() -> None:
    text = edited(
        demo_text("tarn-six"),
        ("teeth: 36", "teeth 36"),
        ("kind: hall", "kind: hal"),
        ("bends: hand", "bents: hand"),
        ("drills: metric", "drills: metric\n  'x"),
    )
    faults = faults_in(text)
    assert [fault.dotted for fault in faults] == ["", "sensor.kind", "bracket.bents", ""]
    assert "no colon" in faults[0].message
    assert faults[0].line == place_of(text, "teeth 36")[0]


def test_a_section_given_twice_in_a_broken_file() -> None:
    text = edited(SMALL, ("teeth: 36", "teeth 36")) + "engine: {cylinders: 4}\nengine: {cylinders: 6}\n"
    faults = faults_in(text)
    assert [fault.dotted for fault in faults] == ["", "engine"]
    assert "line 8" in faults[1].hint


def test_two_documents() -> None:
    (fault,) = faults_in(SMALL + "---\n" + SMALL)
    assert "second document" in fault.message
    assert fault.line == 8


@pytest.mark.parametrize("key", ["? [a, b]\n: 1\n", "{a: 1}: 2\n", "? {a: 1}\n: 2\n"])
def test_keys_that_are_no_words(key: str) -> None:
    assert "else than a word for a key" in faults_in(SMALL + key)[0].message
