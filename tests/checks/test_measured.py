"""What every check measures of two sound builds stays what it is (see `measured`, also for how to renew the table)."""

from __future__ import annotations

import pytest

from tests.checks import measured
from tests.conftest import _built

KEPT = measured.kept()
CASES = [(name, subject) for name in sorted(KEPT) for subject in sorted(KEPT[name])]


@pytest.mark.slow
@pytest.mark.parametrize(("name", "subject"), CASES, ids=[f"{name} {subject}" for name, subject in CASES])
def test_a_check_measures_what_it_measured(name: str, subject: str, tmp_path_factory: pytest.TempPathFactory) -> None:
    built = _built(name, tmp_path_factory)
    now = measured.rows(built.folder, built.design, subject)
    assert len(now) == len(KEPT[name][subject])
    assert [pair for pair in zip(now, KEPT[name][subject], strict=True) if not measured.same(*pair)] == []


def test_every_kind_of_written_file_is_among_them() -> None:
    words = " ".join(subject for of in KEPT.values() for subject in of)
    for file in ("wheel.stl", "bracket-flat.dxf", "gauge.stl", "index-chart.csv", "bench.html", "wheel-drawing.dxf"):
        assert file in words, file
