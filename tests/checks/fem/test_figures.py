"""The finite elements' figures stay what they are (see `figures`, also for how to renew the table)."""

from __future__ import annotations

import pytest

from tests.checks.fem.figures import FIGURES, QUICK, TABLE
from tests.checks.still import differences


@pytest.mark.parametrize("name", QUICK)
def test_some_figures_stay(name: str) -> None:
    assert TABLE.changed(name) == []


@pytest.mark.slow
@pytest.mark.parametrize("name", sorted(FIGURES.keys() - set(QUICK)))
def test_the_other_figures_stay(name: str) -> None:
    assert TABLE.changed(name) == []


def test_every_figure_is_kept_and_no_other() -> None:
    assert TABLE.kept.keys() == FIGURES.keys()


def test_a_difference_is_told() -> None:
    assert differences({"a": [1.0, 2.0]}, {"a": [1.0, 2.001]}) == [".a[1]: 2.0 for 2.001"]
    assert differences([1.0], [1.0, 2.0]) != []
    assert differences(["swings 0.41551615366362926 at 60"], ["swings 0.4155161536636292 at 60"]) == []
    for other in ("swings 0.41552 at 61", "swings 0.4156 at 60", "turns 0.41552 at 60", "swings 0.41552 at 60 and 60"):
        assert len(differences([other], ["swings 0.41552 at 60"])) == 1, other
