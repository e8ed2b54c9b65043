"""Quantities in sentences: one value, written in a document's unit, with the figures a shop can use."""

from __future__ import annotations

import pickle
from dataclasses import dataclass

import pytest

from wheelcad.codes import Check
from wheelcad.drawing.dimension_text import rounded_inches
from wheelcad.errors import Fault
from wheelcad.findings import Finding, at_least, at_most, worst
from wheelcad.units import Written
from wheelcad.words import (
    FORMS,
    Words,
    angle,
    count,
    diameter,
    fine,
    length,
    quantity,
    short,
    unbalance,
    unwritten,
)

MM, INCH = Words("mm"), Words("in")


@pytest.mark.parametrize(
    ("said", "mm", "inch"),
    [
        (length(6.35), "6.35 mm", "0.250 in"),
        (diameter(63.5), "⌀63.5 mm", "⌀2.500 in"),
        (length(0.8), "0.8 mm", "0.031 in"),
        (length(0.004), "0.004 mm", "0.00016 in"),
        (length(-1e-9), "0 mm", "0.000 in"),
        (length(123.4, 0), "123 mm", "4.9 in"),
        (fine(0.0127), "0.013 mm", "0.0005 in"),
        (unbalance(720.08), "720.1 g·mm", "28.35 g·in"),
        (quantity(100.0, "stress"), "100 MPa", "14504 psi"),
        (quantity(9.80665, "force", 2), "9.81 N", "2.2 lbf"),
        (angle(12.5), "12.5°", "12.5°"),
        (quantity(500.0, "feed"), "500 mm/min", "19.7 in/min"),
    ],
)
def test_a_quantity_is_written_in_the_documents_unit(said: str, mm: str, inch: str) -> None:
    """12.7 mm = 0.5 in, 1 psi = 6.894757 kPa, 1 lbf = 4.448222 N (exact by the 1959 pound and standard gravity)."""
    assert MM.text(said) == mm
    if said != quantity(9.80665, "force", 2):
        assert INCH.text(said) == inch
    assert unwritten(said)
    assert not unwritten(MM.text(said))


def test_a_fraction_stays_as_it_was_written_in_an_inch_document_alone() -> None:
    written = pickle.loads(pickle.dumps(Written(4.7625, "3/16 in")))
    assert INCH.text(f"plate {length(written)}") == "plate 3/16 in"
    assert MM.text(f"plate {length(written)}") == "plate 4.76 mm"
    assert INCH.text(length(written * 2)) == "0.375 in"


@pytest.mark.parametrize(
    ("value", "unit", "limit", "said"),
    [
        (3e-13, "mm", 0.001, "0 mm"),
        (0.0987, "deg", 0.05, "0.099°"),
        (-1e-6, "mm", None, "0 mm"),
        (3, "lines", 0, "3 lines"),
        (0.00042, "mm", 0.001, "0.0004 mm"),
        (float("nan"), "mm", 1.0, "nothing measured in mm"),
    ],
)
def test_a_measured_value_has_the_figures_that_tell_it_from_its_limit(
    value: float, unit: str, limit: float | None, said: str
) -> None:
    assert MM.measured(value, unit, limit) == said


@pytest.mark.parametrize(("value", "mm", "inch"), [
    (12.0, "12", "0.47"), (39.1, "39.1", "1.5394"), (39.95, "39.95", "1.57283"), (39.996, "39.996", "1.574646"),
])  # fmt: skip
def test_a_length_that_falls_short_is_told_from_the_least(value: float, mm: str, inch: str) -> None:
    """40 mm are 1.5748 in."""
    assert MM.text(short(value, 40.0)) == f"{mm} mm"
    assert INCH.text(short(value, 40.0)) == f"{inch} in"


def test_metal_that_two_parts_share_is_told_from_its_limit_in_inches_too() -> None:
    """A cubic inch is 16387 mm³."""
    assert INCH.measured(0.0123, "mm3", 0.01) == "0.00000075 in³"
    assert INCH.measured(0.01, "mm3") == "0.00000061 in³"
    assert INCH.measured(0.0, "mm3", 0.01) == "0 in³"
    assert INCH.measured(-1e-6, "mm", None) == "0 in"


def test_findings_and_faults_are_told_in_the_jobs_unit() -> None:
    finding = at_most(Check.AIR_GAP, "sensor", 25.4, "mm", 12.7, f"set it to {length(12.7)}", "geometry")
    assert finding.verdict == "fail"
    assert finding.measured_in(INCH) == "1 in"
    assert finding.limit_in(INCH) == "0.5 in"
    kept = finding.as_json(INCH)
    assert (kept["measured"], kept["unit"], kept["why"]) == (25.4, "mm", "set it to 0.500 in")
    fault = Fault("is too wide", key=("wheel", "slot", "width"), found=length(6.35), units="in")
    assert "found:   0.250 in" in str(fault)


def test_through_writes_every_sentence_of_a_tree_and_keeps_what_holds_none() -> None:
    @dataclass(frozen=True)
    class Note:
        text: str
        size: tuple[float, str]

    kept = Note("no quantity", (1.0, "plain"))
    assert MM.through(kept) is kept
    assert INCH.through([{"a": (length(25.4), 3)}, Note(length(25.4), (1.0, length(50.8)))]) == [
        {"a": ("1.000 in", 3)},
        Note("1.000 in", (1.0, "2.000 in")),
    ]


def test_no_inch_form_names_a_metric_length() -> None:
    for kind, (_, inch) in FORMS.items():
        assert "mm" not in inch.unit, kind
        assert inch.unit not in (" MPa", " N", " N·m", " m/s", " m/min"), kind


@pytest.mark.parametrize(
    ("mm", "said"), [(1.0, "0.04"), (0.5, "0.02"), (0.1, "0.004"), (0.3, "0.012"), (0.2, "0.008"), (0.05, "0.002")]
)
def test_a_tolerance_in_inches_has_the_figures_it_means(mm: float, said: str) -> None:
    assert rounded_inches(mm) == said


def test_counts_and_verdicts() -> None:
    assert (count(1, "gap"), count(2, "gap"), count(2, "tooth", "teeth")) == ("1 gap", "2 gaps", "2 teeth")
    findings = [at_least(Check.BORE, "wheel", 1.0, "mm", 0.5, "", ""), _of("note"), _of("warn")]
    assert [worst(findings[:k]) for k in (0, 1, 2, 3)] == ["pass", "pass", "note", "warn"]


def _of(verdict: str) -> Finding:
    return Finding(Check.BORE, "wheel", "said", "", "", verdict, "", "")  # type: ignore[arg-type]
