"""No figure of a job changes unmeant: every one against figures.json (see `figures`, also for how to renew it)."""

from __future__ import annotations

import pytest

from tests.parts import figures
from tests.parts.figure_jobs import names


@pytest.mark.slow
@pytest.mark.parametrize("name", names())
def test_nothing_that_comes_of_a_job_has_changed(name: str) -> None:
    assert figures.changed(figures.found(name), figures.kept()[name]) == {}
