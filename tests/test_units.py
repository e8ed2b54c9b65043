"""Lengths, angles, speeds, rates and masses as a shop writes them: exact, and refused where they could be misread."""

from __future__ import annotations

import math
import re
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from wheelcad import units
from wheelcad.units import UnitError, exact, number_trap, parse

LENGTHS = [
    ("6.35", Fraction("6.35")),
    ("1/4 in", Fraction("6.35")),
    ("1 1/2 in", Fraction("38.1")),
    ("1-1/2 in", Fraction("38.1")),
    ('3/16"', Fraction("4.7625")),
    ("3/16”", Fraction("4.7625")),
    ("0.250 in", Fraction("6.35")),
    (".250in", Fraction("6.35")),
    ("0.5 in.", Fraction("12.7")),
    ("10 thou", Fraction("0.254")),
    ("8 mm", Fraction(8)),
    ("8MM", Fraction(8)),
    ("1.5 cm", Fraction(15)),
    ("0.1 m", Fraction(100)),
    ("1 ft", Fraction("304.8")),
    ("250 um", Fraction("0.25")),
    ("1½ in", Fraction("38.1")),
    ("½ in", Fraction("12.7")),
    ("-150", Fraction(-150)),
    ("−150", Fraction(-150)),
    ("- 1 1/2 in", Fraction("-38.1")),
    ("+5", Fraction(5)),
    ("1e1", Fraction(10)),
    ("1 125/1000 in", Fraction("28.575")),
    ("  8  mm  ", Fraction(8)),
    ("8\u00a0mm", Fraction(8)),
]
OTHERS = [
    ("angle", "45 deg", Fraction(45)),
    ("angle", "45°", Fraction(45)),
    ("angle", "30'", Fraction(1, 2)),
    ("angle", "12 deg 30'", Fraction(25, 2)),
    ("angle", "12° 30' 36\"", Fraction("12.51")),
    ("angle", "-0.5", Fraction(-1, 2)),
    ("speed", "5200 rpm", Fraction(5200)),
    ("speed", "5200", Fraction(5200)),
    ("speed", "87 rps", Fraction(5220)),
    ("frequency", "15 kHz", Fraction(15000)),
    ("frequency", "15 khz", Fraction(15000)),
    ("mass", "60 g", Fraction(60, 1000)),
    ("mass", "2 oz", Fraction("0.05669904625")),
    ("mass", "1 lb", Fraction("0.45359237")),
    ("time", "4 ms", Fraction(4)),
    ("time", "4", Fraction(4)),
    ("time", "10 us", Fraction(1, 100)),
    ("time", "10 µs", Fraction(1, 100)),
    ("time", "0.004 s", Fraction(4)),
]
BARE = {"length": "mm", "angle": "deg", "speed": "rpm", "frequency": "Hz", "mass": "kg", "time": "ms"}


@pytest.mark.parametrize(("text", "value"), LENGTHS)
def test_lengths_are_exact(text: str, value: Fraction) -> None:
    assert exact(text, "length", "mm") == value
    assert parse(text, "length", "mm") == float(value)


@pytest.mark.parametrize(("kind", "text", "value"), OTHERS)
def test_other_kinds_are_exact(kind: str, text: str, value: Fraction) -> None:
    assert exact(text, kind, BARE[kind]) == value


@pytest.mark.parametrize(("number", "value"), [(0.1, Fraction(1, 10)), (6.35, Fraction("6.35")), (3, Fraction(3))])
def test_a_number_means_what_was_typed(number: float, value: Fraction) -> None:
    assert exact(number, "length", "mm") == value
    assert exact(number, "length", "in") == value * Fraction("25.4")


def test_numpys_numbers_are_numbers_as_well() -> None:
    """As a script that works its sizes out hands them over."""
    assert exact(np.float64(0.1), "length", "mm") == Fraction(1, 10)


def test_bare_values_take_the_job_s_unit() -> None:
    assert units.length_mm("1 1/2", "in") == 38.1
    assert units.length_mm("1 1/2 mm", "in") == 1.5


REFUSED = [
    ("length", "6,35", "decimal comma", "6.35"),
    ("length", "1,000", "grouped", "1000"),
    ("length", "1_000", "grouped", "1000"),
    ("length", "1 000", "grouped", "1000"),
    ("length", "010", "begins with 0", "8 or 10"),
    ("length", "09", "begins with 0", "9"),
    ("length", "0x10", "not a decimal number", "0 to 9"),
    ("length", "0o17", "not a decimal number", "0 to 9"),
    ("length", "1:30", "colon", "one decimal number"),
    ("length", ".nan", "finite", ""),
    ("length", "-.inf", "finite", ""),
    ("length", "Infinity", "finite", ""),
    ("length", "1e999", "within reason", ""),
    ("length", "1/0", "nothing below the line", ""),
    ("length", "5 kg", "a unit of mass", "mm"),
    ("length", "5 mil", "thousandth of an inch and others as 1 mm", "thou or mm"),
    ("length", "5 foo", "no unit", "mm"),
    ("length", "", "such as", ""),
    ("length", "six", "such as", ""),
    ("length", "1 2 3", "such as", ""),
    ("length", "1 mm 2 mm", "such as", ""),
    ("length", "--5", "such as", ""),
    ("length", "5 mm; rm", "no unit", "mm"),
    ("length", "9" * 65, "such as", ""),
    ("angle", '3/16"', "seconds of arc or in inches", "deg"),
    ("angle", "30' 12 deg", "such as", ""),
    ("angle", "12 30'", "such as", ""),
    ("angle", "5 mm", "a unit of length", "deg"),
    ("speed", "5,200 rpm", "grouped", "5200 rpm"),
    ("mass", "60 grams of lead", "no unit", "kg"),
]


@pytest.mark.parametrize(("kind", "text", "why", "hint"), REFUSED)
def test_what_could_be_misread_is_refused(kind: str, text: str, why: str, hint: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse(text, kind, BARE[kind])
    assert why in str(caught.value)
    assert hint in caught.value.hint


@pytest.mark.parametrize("value", [None, True, False, [1], {"a": 1}, math.nan, math.inf, b"6"])
def test_what_is_no_number_is_refused(value: object) -> None:
    with pytest.raises(UnitError, match=r"should be a (length such as|finite length)"):
        parse(value, "length", "mm")


NUMBERS = st.one_of(
    st.integers(0, 9999).map(str),
    st.decimals(0, 9999, places=4).map(lambda d: f"{d:f}"),
    st.tuples(st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64])).map(lambda f: f"{f[0]}/{f[1]}"),
    st.tuples(st.integers(1, 20), st.integers(1, 63), st.sampled_from([32, 64])).map(lambda f: f"{f[0]} {f[1]}/{f[2]}"),
    st.sampled_from(["½", "1¾", "2 ⅜"]),
)


@given(st.sampled_from(sorted(units.KINDS)), NUMBERS, st.data())
def test_the_pattern_for_editors_takes_what_is_read(kind: str, number: str, data: st.DataObject) -> None:
    name = data.draw(st.sampled_from([*units.KINDS[kind], ""]))
    text = f"{number} {name}".strip()
    assert number_trap(text) is None
    try:
        value = exact(text, kind, BARE[kind])
    except UnitError:
        assert kind == "angle"
        assert units.ANGLES[name] == units.SECOND  # inches for degrees: neither takes it
        assert not re.match(units.pattern(kind), text)
    else:
        assert value >= 0
        assert re.match(units.pattern(kind), text)


@given(st.text(alphabet="0123456789 ./'\"-+mindegrpkHzoltf°", max_size=12), st.sampled_from(sorted(units.KINDS)))
@example("0'000", "angle")
@example("1'000\"", "angle")
@example("0/00.", "length")
@example("-+5", "length")
@example("0'0'", "angle")
def test_any_text_is_read_or_refused_and_the_pattern_agrees(text: str, kind: str) -> None:
    matches = re.match(units.pattern(kind), text) is not None
    try:
        exact(text, kind, BARE[kind])
        why = ""
    except UnitError as error:
        why = str(error)
    # what only the reader refuses is a spelling that YAML readers disagree on, or a division by nothing; some of these
    # the pattern refuses as well
    only_the_reader = any(trap in why for trap in ("begins with 0", "grouped", "nothing below"))
    assert (not matches and bool(why)) or (matches and (not why or only_the_reader)), (text, why)


def test_a_long_value_is_refused_at_once() -> None:
    with pytest.raises(UnitError, match="should be a length such as"):
        parse("1" * 1_000_000, "length", "mm")
    with pytest.raises(UnitError, match="should be an angle such as"):
        parse("1 " * 500_000, "angle", "deg")


@pytest.mark.parametrize(
    ("value", "bare", "text"),
    [
        ("3/16", "in", "3/16 in"),
        ("3/16 in", "mm", "3/16 in"),
        ('1 1/2"', "mm", "1 1/2 in"),
        ("6/32 in", "mm", "3/16 in"),
        ("1½ in", "mm", "1 1/2 in"),
        ("2 4/2 in", "mm", "4 in"),
        ("3/16", "mm", ""),  # of a millimetre
        ("0.1875 in", "in", ""),
        (6.35, "in", ""),
        ("-3/16 in", "mm", ""),
        ("3/4 ft", "mm", ""),
    ],
)
def test_a_fraction_of_an_inch_is_remembered(value: object, bare: str, text: str) -> None:
    assert units.written_inches(value, bare) == text
