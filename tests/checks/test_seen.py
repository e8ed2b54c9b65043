"""What checks see of chosen shapes and written files stays what it is (see `seen`, also for how to renew the table)."""

from __future__ import annotations

import pytest

from tests.checks.seen import SEEN, TABLE

QUICK = ("bench", "one way", "paper", "printed", "section", "shown text")  # of these no files are written


@pytest.mark.parametrize("name", QUICK)
def test_some_of_it_stays(name: str) -> None:
    assert TABLE.changed(name) == []


@pytest.mark.slow
@pytest.mark.parametrize("name", sorted(SEEN.keys() - set(QUICK)))
def test_the_rest_stays(name: str) -> None:
    assert TABLE.changed(name) == []


def test_all_that_is_kept_is_looked_at() -> None:
    assert TABLE.kept.keys() == SEEN.keys()
