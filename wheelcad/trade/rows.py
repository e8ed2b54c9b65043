"""Rows of numbers without repeats: the corners of meshes."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

MOST_KEYS = 2**62  # of the whole numbers that stand for rows


def distinct_rows(values: NDArray[Any]) -> tuple[NDArray[Any], NDArray[np.intp]]:
    """Rows (m, k) of an array (n, k) in rising order without repeats, and for each of the n which one it is.

    As `np.unique(values, axis=0, return_inverse=True)`, but by sorting numbers column by column instead of whole rows,
    which takes a quarter of the time on a mesh's corners. ValueError for so many distinct rows that no number holds
    them.
    """
    key, count = np.zeros(len(values), dtype=np.int64), 1
    for column in values.T:
        there, which = np.unique(column, return_inverse=True)
        count *= max(len(there), 1)
        if count > MOST_KEYS:
            raise ValueError(f"{len(values)} rows have too many distinct values to be told apart")
        key = key * len(there) + which
    _, first, rows = np.unique(key, return_index=True, return_inverse=True)
    return values[first], rows
