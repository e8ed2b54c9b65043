"""YAML's traps: words taken for truth, numbers of other bases, tabs, marks and line ends. Nothing is guessed at."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.conftest import demo_text, edited
from tests.job.jobs import SMALL, faults_in, place_of
from wheelcad.errors import JobError, JobFileError, JobSyntaxError
from wheelcad.job.reader import load_job, parse_job


@pytest.mark.parametrize("word", ["yes", "Yes", "YES", "true", "True", "on", "On", "'yes'", '"true"'])
def test_yes(word: str) -> None:
    job = parse_job(SMALL + f"pulley: {{rubber_ring: {word}}}\n")
    assert job.pulley is not None
    assert job.pulley.rubber_ring is True


@pytest.mark.parametrize("word", ["no", "No", "false", "FALSE", "off", "'no'"])
def test_no(word: str) -> None:
    job = parse_job(SMALL + f"pulley: {{rubber_ring: {word}}}\n")
    assert job.pulley is not None
    assert job.pulley.rubber_ring is False


@pytest.mark.parametrize("version", ["%YAML 1.1\n---\n", "%YAML 1.2\n---\n"])
def test_the_words_mean_the_same_whatever_version_a_file_names(version: str) -> None:
    job = parse_job(version + SMALL + "pulley: {rubber_ring: yes}\n")
    assert job.pulley is not None
    assert job.pulley.rubber_ring is True


@pytest.mark.parametrize(
    "name", ["2026", "010", "no", "yes", "true", "1e3", "0x1F", "1_000", "off", "007-wheel", "2026-01-01"]
)
def test_a_name_is_text_exactly_as_written(name: str) -> None:
    assert parse_job(edited(SMALL, ("job: small", f"job: {name}"))).job == name
    assert parse_job(edited(SMALL, ("job: small", f"job: '{name}'"))).job == name


@pytest.mark.parametrize(
    "title", ["2026", "1:30", "off", "1.50", "0.10", "Räder für die Werkstatt", "３６", "日本", "½"]
)
def test_a_title_is_text_exactly_as_written(title: str) -> None:
    assert parse_job(SMALL + f"title: {title}\n").title == title


@pytest.mark.parametrize(("old", "key"), [("teeth: 36", "teeth"), ("thickness: 3", "thickness")])
@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("010", "begins with 0"),
        ("08", "begins with 0"),
        ("-012", "begins with 0"),
        ("0o12", "not a decimal"),
        ("0x0A", "not a decimal"),
        ("0b101", "not a decimal"),
        ("1:30", "colon"),
        ("1:30:00", "colon"),
        ("1_0", "should be a"),
        ("1_000", "grouped"),
        (".inf", "finite"),
        ("-.INF", "finite"),
        (".nan", "finite"),
        (".NaN", "finite"),
    ],
)
def test_numbers_that_readers_disagree_on_are_refused(old: str, key: str, written: str, said: str) -> None:
    text = edited(SMALL, (old, f"{key}: {written}"))
    (fault,) = faults_in(text)
    assert said in fault.message
    line, space = place_of(text, f" {written}\n")
    assert (fault.line, fault.column) == (line, space + 1)
    assert fault.found == written


def test_the_same_in_braces() -> None:
    (fault,) = faults_in(edited(SMALL, ("depth: 6}", "depth: 1:30}")))
    assert "colon" in fault.message


def test_quotation_marks_of_inches_and_minutes() -> None:
    job = parse_job(edited(SMALL, ("thickness: 3", 'thickness: 3/16"'), ("{width: 6,", "{width: 1/4 in,")))
    assert (job.wheel.thickness, job.wheel.slot.width) == (4.7625, 6.35)
    table = parse_job(SMALL + "shop: {rotary_table: {ratio: 90, dial_step: 1'}}\n").shop.rotary_table
    assert table is not None
    assert table.dial_step == 1 / 60


@pytest.mark.parametrize("end", ["\r\n", "\r"])
def test_line_ends(end: str) -> None:
    text = edited(demo_text("tarn-six"), ("teeth: 36", "teeth: 3600"))
    (fault,) = faults_in(text.replace("\n", end))
    assert (fault.line, fault.column) == place_of(text, "3600")
    assert fault.text == "  teeth: 3600"


@pytest.mark.parametrize(
    ("encoding", "mark"),
    [("utf-8", b""), ("utf-8", b"\xef\xbb\xbf"), ("utf-16-le", b"\xff\xfe"), ("utf-16-be", b"\xfe\xff")],
)
def test_marks_at_the_beginning(tmp_path: Path, encoding: str, mark: bytes) -> None:
    path = tmp_path / "a.yaml"
    path.write_bytes(mark + (SMALL + "title: Räder\n").encode(encoding))
    assert load_job(path).title == "Räder"


def test_text_in_another_encoding(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_bytes((SMALL + "title: gap at 45°\n").encode("latin-1"))
    with pytest.raises(JobSyntaxError) as caught:
        load_job(path)
    (fault,) = caught.value.faults
    assert (fault.line, fault.column, fault.found) == (8, 17, "the byte 0xb0")
    assert fault.text.startswith("title: gap at 45")


@pytest.mark.parametrize("character", ["\x00", "\x07", "\x1b", "\x7f", "\x85", "\u2028", "\ufeff", "\ud800", "\uffff"])
def test_characters_that_cannot_be_seen(character: str) -> None:
    (fault,) = faults_in(SMALL + f"title: a{character}b\n")
    assert (fault.line, fault.column) == (8, 9)
    assert fault.found == f"U+{ord(character):04X}"
    assert character not in str(fault)


@pytest.mark.parametrize("text", ['title: "\\e[31m"\n', 'units: "\\e[31m"\n', '"\\e[31m": 1\n'])
def test_no_file_can_steer_the_terminal(text: str) -> None:
    (fault,) = faults_in(SMALL + text)
    assert "\x1b" not in str(fault)


def test_tabs_that_do_not_indent_are_spaces() -> None:
    job = parse_job(edited(SMALL, ("teeth: 36", "teeth:\t36\t# positions"), ("missing: 1", "missing:  \t1")))
    assert job.wheel.teeth == 36


def test_spaces_of_word_processors_are_spaces() -> None:
    job = parse_job(edited(SMALL, ("teeth: 36", "teeth:\u00a036"), ("thickness: 3", "thickness: 3\u202fmm")))
    assert (job.wheel.teeth, job.wheel.thickness) == (36, 3.0)


def test_block_and_quoted_text() -> None:
    assert parse_job(SMALL + "title: |\n  A wheel\n").title == "A wheel"
    assert parse_job(SMALL + "title: >-\n  A\n  wheel\n").title == "A wheel"
    (fault,) = faults_in(SMALL + "title: |\n  A\n  wheel\n")
    assert "line break" in fault.message


@pytest.mark.parametrize("what", ["missing.yaml", ".", "a\0b"])
def test_a_file_that_cannot_be_read(tmp_path: Path, what: str) -> None:
    with pytest.raises(JobFileError) as caught:
        load_job(str(tmp_path / what))
    assert "cannot be read" in caught.value.faults[0].message


def test_an_escape_that_is_no_character_is_the_files_fault() -> None:
    with pytest.raises(JobError) as caught:
        parse_job('job: a\ntitle: "odd \\U00110000"\nwheel: {}\n', "odd.yaml")
    (fault,) = [fault for fault in caught.value.faults if "escape" in fault.message]
    assert (fault.line, fault.column) == (2, 13)
    assert "U0010FFFF" in fault.allowed


def test_a_dial_finer_than_any_is_the_files_fault() -> None:
    with pytest.raises(JobError, match=r"dial_step: is out of range"):
        parse_job("job: a\nshop: {rotary_table: {ratio: 40, dial_step: 1e-9}}\nwheel: {teeth: 12, missing: 1}\n")
