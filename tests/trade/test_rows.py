"""Rows without repeats against numpy's own, slower way."""

from __future__ import annotations

import numpy as np
import pytest

from wheelcad.trade.rows import distinct_rows


@pytest.mark.parametrize("kind", [np.float32, np.float64, np.int64])
@pytest.mark.parametrize("columns", [1, 2, 3])
def test_as_numpy_finds_them(kind: type, columns: int) -> None:
    rng = np.random.default_rng(columns)
    values = rng.integers(-4, 5, (500, columns)).astype(kind)
    rows, which = distinct_rows(values)
    wanted, wanted_which = np.unique(values, axis=0, return_inverse=True)
    assert np.array_equal(rows, wanted)
    assert np.array_equal(which, wanted_which.ravel())
    assert np.array_equal(rows[which], values)


def test_nothing_and_too_much() -> None:
    rows, which = distinct_rows(np.zeros((0, 3)))
    assert rows.shape == (0, 3)
    assert which.shape == (0,)
    with pytest.raises(ValueError, match="too many"):
        distinct_rows(np.tile(np.arange(5000.0)[:, None], 6))
