"""The budget's sampler against the Guide's own examples of adding independent values.

Source: JCGM 101:2008, 9.2 (additive model Y = X1 + X2 + X3 + X4): 9.2.2 four standard normals, 95 per cent interval
±3.92; 9.2.3 four rectangles of standard deviation 1, ±3.88; 9.2.4 the same with one of standard deviation 10, ±17.0
(where the law of propagation says ±19.9). Values from memory of the Guide's tables 2 to 4.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from wheelcad.arrays import Floats
from wheelcad.signal.sample import CHUNK, NORMAL_95, SEED, Sample, generator, within_95

DRAWS = 1_000_000
NORMAL = Sample("normal", NORMAL_95)


def sums(spreads: Sequence[Sample], count: int, seed: int = SEED) -> Floats:
    """(count,) draws of the sum of independent values, in chunks."""
    out = np.zeros(count)
    for start in range(0, count, CHUNK):
        part = out[start : start + CHUNK]
        for source, spread in enumerate(spreads):
            part += spread.draw(generator(source, start // CHUNK, seed), len(part))
    return out


def rectangle(sd: float) -> Sample:
    """A rectangle of this standard deviation."""
    return Sample("rectangular", sd * np.sqrt(3.0))


@pytest.mark.parametrize(
    ("spreads", "interval", "within"),
    [
        ([NORMAL] * 4, 3.92, 0.01),
        ([rectangle(1.0)] * 4, 3.88, 0.01),
        ([rectangle(1.0)] * 3 + [rectangle(10.0)], 17.0, 0.05),
    ],
    ids=["normals", "rectangles", "one-large-rectangle"],
)
def test_the_guides_additive_model(spreads: list[Sample], interval: float, within: float) -> None:
    drawn = sums(spreads, DRAWS)
    assert float(within_95(drawn)) == pytest.approx(interval, abs=within)
    assert drawn.std() == pytest.approx(np.sqrt(sum(spread.sd**2 for spread in spreads)), rel=5e-3)


def test_root_sum_square_is_not_what_the_large_rectangle_gives() -> None:
    """9.2.4.4: NORMAL_95 · √103 = 19.9, three too wide."""
    spreads = [rectangle(1.0)] * 3 + [rectangle(10.0)]
    by_squares = NORMAL_95 * np.sqrt(sum(spread.sd**2 for spread in spreads))
    assert by_squares == pytest.approx(19.9, abs=0.05)
    assert by_squares - float(within_95(sums(spreads, DRAWS))) > 2.5


def test_a_sine_of_unknown_phase_is_an_arcsine() -> None:
    """JCGM 101:2008, 6.4.6: the arcsine (U-shaped) distribution. P(|x| ≤ a·sin(πp/2)) = p: 95 per cent within 0.9969·a,
    where root-sum-square says 1.386·a."""
    drawn = sums([Sample("sine", 1.0)], DRAWS)
    assert float(within_95(drawn)) == pytest.approx(np.sin(np.pi * 0.95 / 2), abs=1e-3)
    assert NORMAL_95 * drawn.std() == pytest.approx(NORMAL_95 / np.sqrt(2), rel=3e-3)


def test_the_same_seed_gives_the_same_and_another_does_not() -> None:
    one = sums([NORMAL], 50_000)
    assert np.array_equal(one, sums([NORMAL], 50_000))
    assert not np.array_equal(one, sums([NORMAL], 50_000, seed=19))


def test_a_spread_is_not_negative() -> None:
    with pytest.raises(ValueError, match="not negative"):
        Sample("normal", -0.1)
