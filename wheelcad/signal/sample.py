"""Draws of what is not known, and what their sum comes to: one sampler for every figure of the budget.

Each source has random numbers of its own (a seed made of the budget's, the source's number and the chunk's), so that
what one source is told never changes what another draws.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from wheelcad.arrays import Floats

NORMAL_95 = 1.959963984540054  # half-width of a normal's middle 95 per cent, in standard deviations
SEED = 18
CHUNK = 20_000

Shape = Literal["normal", "rectangular", "sine"]


@dataclass(frozen=True)
class Sample:
    """A value about 0. half: a normal's 95 per cent limit; a rectangle's half-width; a sine's amplitude, its phase
    unknown. ValueError for a negative one."""

    shape: Shape
    half: float

    def __post_init__(self) -> None:
        if not self.half >= 0:
            raise ValueError("a spread is not negative")

    @property
    def sd(self) -> float:
        """Standard deviation."""
        return self.half / {"normal": NORMAL_95, "rectangular": math.sqrt(3.0), "sine": math.sqrt(2.0)}[self.shape]

    def draw(self, rng: np.random.Generator, size: int | tuple[int, ...]) -> Floats:
        """Values of any shape."""
        if self.shape == "normal":
            return np.asarray(rng.standard_normal(size) * self.sd)
        if self.shape == "rectangular":
            return np.asarray(rng.uniform(-self.half, self.half, size))
        return np.asarray(self.half * np.cos(rng.uniform(0.0, 2 * np.pi, size)))


def generator(source: int, chunk: int, seed: int = SEED) -> np.random.Generator:
    """The random numbers of one source in one chunk."""
    return np.random.Generator(np.random.SFC64(np.random.SeedSequence([seed, source, chunk])))


def within_95(values: Floats) -> Floats:
    """Bound that holds |value| in 95 of 100, along the last axis."""
    return np.asarray(np.quantile(np.abs(values), 0.95, axis=-1, overwrite_input=True))
