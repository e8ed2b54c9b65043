"""No number of a design changes unmeant: every one against figures.json (see `figures`, also for how to renew it)."""

from __future__ import annotations

from functools import cache

import pytest

from tests.parts import figures


@cache
def kept() -> dict[str, dict[str, figures.Row]]:
    return figures.kept()


@pytest.mark.slow
@pytest.mark.parametrize("name", figures.NAMES)
def test_no_number_of_a_design_has_changed(name: str) -> None:
    design = figures.design_of(name)
    if design is None:
        assert name not in kept()
        return
    now, then = figures.figures(design), kept()[name]
    assert sorted(now) == sorted(then)
    assert {
        path: row for path, row in now.items() if row != pytest.approx(then[path], rel=figures.SAME, abs=1e-6)
    } == {}
