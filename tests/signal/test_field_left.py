"""What is left of a matrix when unknowns are eliminated, against plain linear algebra."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.sparse import csc_matrix

from wheelcad.signal.field import _factored, _last_left


def springs(rng: np.random.Generator, n: int) -> np.ndarray:
    """(n, n) of `n` masses in a row, each held to some others and to the ground: symmetric and definite."""
    links = np.triu(rng.random((n, n)) < 0.2, 1) * rng.uniform(0.5, 2.0, (n, n))
    links += np.diag(np.ones(n - 1), 1)
    return np.diag(links.sum(axis=0) + links.sum(axis=1) + 0.1) - links - links.T


@pytest.mark.parametrize("seed", range(5))
def test_it_is_the_schur_complement(seed: int) -> None:
    rng = np.random.default_rng(seed)
    k, order = springs(rng, 40), rng.permutation(40)
    first, last = order[:31], order[31:]
    ff, fl, ll = (k[np.ix_(a, b)] for a, b in ((first, first), (first, last), (last, last)))
    inside = _factored(csc_matrix(ff), "MMD_AT_PLUS_A")
    best = first[np.argsort(inside.perm_c)]
    assert _last_left(csc_matrix(k), best, last) == pytest.approx(ll - fl.T @ np.linalg.solve(ff, fl), rel=1e-12)
    assert inside.solve(np.ones(31)) == pytest.approx(np.linalg.solve(ff, np.ones(31)), rel=1e-12)
