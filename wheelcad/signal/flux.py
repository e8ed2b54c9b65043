"""A row of teeth, and the flux a pole takes up over it: what goes between processes, without the solver's libraries."""

from __future__ import annotations

from dataclasses import dataclass

from wheelcad.arrays import Floats


@dataclass(frozen=True)
class Rack:
    """A row of teeth, unrolled. teeth: (from, to) of each, mm, inside 0 ± length/2; depth: of the slots.

    positions: how many pitches the row is long.
    """

    teeth: tuple[tuple[float, float], ...]
    length: float
    positions: int
    depth: float


@dataclass(frozen=True, eq=False)
class Flux:
    """What a pole at x (p,) takes up: permeance of all of it and of its tip, per mm of thickness, in units of µ0.

    lost: (p,) share of the pole's flux that arrives neither at teeth nor at the top: the solution's own error.
    """

    x: Floats
    pole: Floats
    tip: Floats
    lost: Floats
