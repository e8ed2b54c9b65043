"""What every check finds of sound and of wrong files stays what it is (see `measured`, also for how to renew it)."""

from __future__ import annotations

import pytest

from tests.checks import measured

KEPT = measured.kept()
CASES = [(name, fault, at) for name in sorted(KEPT) for fault in KEPT[name] for at in sorted(KEPT[name][fault])]
NAMES = [measured.case_name(*case) for case in CASES]


@pytest.mark.slow
@pytest.mark.parametrize(("name", "fault", "subject"), CASES, ids=NAMES)
def test_a_check_finds_what_it_found(name: str, fault: str, subject: str) -> None:
    now, then = measured.rows(name, fault, subject), KEPT[name][fault][subject]
    assert [row[:2] for row in now] == [row[:2] for row in then]
    exact = measured.exact(subject)
    assert [pair for pair in zip(now, then, strict=True) if not measured.same(*pair, exact)] == []


def test_every_kind_of_written_file_is_among_them_sound_and_wrong() -> None:
    for wrong in (False, True):
        words = " ".join(at for name, fault, at in CASES if bool(fault) == wrong)
        for file in ("wheel.stl", "bracket-flat.dxf", "gauge.stl", "index-chart.csv", "bench.html", "wheel-drawing.dxf",
                     "wheel-flat.dxf", "cam.stl", "gauge-paper.pdf", "assembly.glb", "gauge.3mf"):  # fmt: skip
            assert file in words, file


def test_no_two_cases_are_called_the_same() -> None:
    assert len(set(NAMES)) == len(NAMES) >= 300


def test_what_counts_as_the_same() -> None:
    row = ("slit-place", "a.dxf", 1.0, 0.5, "fail", "12 slits, the worst by 1.23 mm")
    assert measured.same(row, (*row[:2], 1.0005, *row[3:]), False)
    assert not measured.same(row, (*row[:2], 1.0005, *row[3:]), True)
    assert not measured.same(row, (*row[:2], 1.002, *row[3:]), False)
    assert measured.same(row, (*row[:5], "12 slits, the worst by 1.24 mm"), True)
    assert not measured.same(row, (*row[:5], "13 slits, the worst by 1.23 mm"), True)
    assert not measured.same(row, (*row[:4], "warn", row[5]), True)
