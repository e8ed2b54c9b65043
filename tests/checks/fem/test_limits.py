"""A bracket that is just at its limits keeps them, and one that is beyond any single one does not."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import pytest

from wheelcad.checks.fem.limits import keeps

LIMITS = {"gap": 0.16, "aside": 0.13, "stress": 150.0, "load": 8.0}


def _kept(**sizes: float) -> bool:
    found = {name: SimpleNamespace(size=size) for name, size in {**LIMITS, **sizes}.items()}
    return keeps(cast(Any, SimpleNamespace(**found)), cast(Any, SimpleNamespace(**LIMITS)))


def test_at_its_limits_it_keeps_them() -> None:
    assert _kept()


@pytest.mark.parametrize("name", sorted(LIMITS))
def test_beyond_one_of_them_it_does_not(name: str) -> None:
    assert not _kept(**{name: LIMITS[name] * 1.001})
    assert _kept(**{name: LIMITS[name] * 0.999})
