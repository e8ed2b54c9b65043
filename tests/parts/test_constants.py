"""No constant and no default of parts/ changes unmeant (see `constants`, also for how to renew the ledger)."""

from __future__ import annotations

import pytest

from tests.parts import constants


@pytest.mark.parametrize("name", constants.NAMES)
def test_every_figure_that_a_module_sets_down_is_in_the_ledger(name: str) -> None:
    now, then = constants.figures_of(name), constants.kept().get(name, {})
    assert now == {key: pytest.approx(numbers, rel=1e-9) for key, numbers in then.items()}


def test_the_ledger_has_no_module_that_is_gone() -> None:
    kept = constants.kept()
    assert len(kept) > 60
    assert kept.keys() <= set(constants.NAMES)
