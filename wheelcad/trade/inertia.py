"""Inertia forces and couples that the pistons leave free, by layout, firing order and angles.

Each piston shakes along its own bore once (order 1) and twice (order 2) a turn: m·r·ω²·(cos θ + λ·cos 2θ). What the
cylinders leave of it together follows from where each stands and when it is at its top. Sizes here are in units of one
piston's own shake of that order; couples in that unit times the spacing of the bores.

Source: engine dynamics as in any text of it (free forces and moments of in-line and vee engines; from memory).
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from wheelcad.trade.frames import apart_deg

FLAT_DEG = 180.0
ROD_RATIO = 0.3  # λ, crank throw over rod: the second order over the first; common practice, no source
STAGGER = 0.5  # of the bores' spacing: how far a flat engine's opposite cylinders stand behind each other
# Firing orders taken where a job gives none; numbered along the crank. Common practice, no source.
USUAL_ORDERS: Mapping[tuple[str, int], tuple[int, ...]] = MappingProxyType(
    {
        ("single", 1): (1,),
        ("inline", 2): (1, 2),
        ("inline", 3): (1, 3, 2),
        ("inline", 4): (1, 3, 4, 2),
        ("inline", 5): (1, 2, 4, 5, 3),
        ("inline", 6): (1, 5, 3, 6, 2, 4),
        ("vee", 2): (1, 2),
        ("vee", 6): (1, 2, 3, 4, 5, 6),
        ("vee", 8): (1, 8, 4, 3, 6, 5, 7, 2),
        ("vee", 12): (1, 7, 5, 11, 3, 9, 6, 12, 2, 8, 4, 10),
        ("flat", 2): (1, 2),
        ("flat", 4): (1, 3, 2, 4),
        ("flat", 6): (1, 6, 2, 4, 3, 5),
    }
)


@dataclass(frozen=True)
class Piston:
    """One cylinder. bank_deg: of its bore's axis, the way the crank turns; along: place on the crank, in spacings;
    top_deg: crank angle, of 720, at which it fires."""

    bank_deg: float
    along: float
    top_deg: float


@dataclass(frozen=True)
class Free:
    """What is left of one order. greatest: in the worst direction, no counterweights; left: the same of what
    counterweights on the crank cannot take (all of order 2, and what turns against the crank of order 1)."""

    order: int
    greatest: float
    left: float


def pistons(
    layout: str, vee_deg: float, firing_order: Sequence[int], firing_angles_deg: Sequence[float]
) -> tuple[Piston, ...]:
    """Where the cylinders stand, by number. vee_deg: between the banks; in line it is not looked at.

    How banks are numbered is not known: of bank about (1, 3, 5 | 2, 4, 6), bank after bank (1, 2, 3 | 4, 5, 6) and
    either bank leading, the one is taken whose facing pistons share a crankpin best (stand opposite, in flat engines).
    ValueError unless there is one angle for each cylinder of the order, which are numbered from 1.
    """
    count = len(firing_order)
    if sorted(firing_order) != list(range(1, count + 1)) or len(firing_angles_deg) != count:
        raise ValueError("there must be one firing angle for each cylinder of the firing order")
    tops = [angle for _, angle in sorted(zip(firing_order, firing_angles_deg, strict=True))]
    if layout in ("single", "inline") or count == 1:
        return tuple(Piston(0.0, float(n), top) for n, top in enumerate(tops))
    angle = FLAT_DEG if layout == "flat" else vee_deg
    wanted = FLAT_DEG if layout == "flat" else 0.0
    return min(_numberings(tops, angle, layout), key=lambda made: _splay(made, wanted))


def _numberings(tops: Sequence[float], angle: float, layout: str) -> Iterator[tuple[Piston, ...]]:
    count, half = len(tops), (len(tops) + 1) // 2
    step = STAGGER if layout == "flat" else 0.0
    for lead in (angle, -angle):
        for places in ([(n % 2, n // 2) for n in range(count)], [(n // half, n % half) for n in range(count)]):
            yield tuple(
                Piston(bank * lead, row + bank * step, top) for (bank, row), top in zip(places, tops, strict=True)
            )


def _splay(made: Sequence[Piston], wanted_deg: float) -> float:
    """Degrees by which the pins of facing pistons miss the angle wanted between them, added up."""
    total = 0.0
    rows: dict[int, list[Piston]] = {}
    for piston in made:
        rows.setdefault(math.floor(piston.along), []).append(piston)
    for facing in rows.values():
        for other in facing[1:]:
            apart = (facing[0].bank_deg - facing[0].top_deg) - (other.bank_deg - other.top_deg) - wanted_deg
            total += apart_deg(apart, 0.0)
    return round(total, 6)


def free_force(made: Sequence[Piston], order: int) -> Free:
    """What is left of the pistons' forces of an order (1 or 2)."""
    return _free(made, order, [1.0] * len(made))


def free_couple(made: Sequence[Piston], order: int) -> Free:
    """The same of their couples about the middle of the crank."""
    return _free(made, order, _arms(made))


def shares(made: Sequence[Piston]) -> dict[tuple[int, str], float]:
    """Share, 0 to 1, of all pistons pulling at once that is left by order and "force" or "couple", counterweights at
    their best. A first order in line counts whole: how much of it the crank takes up is not known."""
    whole, arms = float(len(made)), sum(abs(arm) for arm in _arms(made))
    out = {}
    for order in (1, 2):
        out[order, "force"] = free_force(made, order).left / whole
        out[order, "couple"] = free_couple(made, order).left / arms if arms > 1e-9 else 0.0
    return {key: round(value, 6) for key, value in out.items()}


def _arms(made: Sequence[Piston]) -> list[float]:
    middle = sum(piston.along for piston in made) / len(made)
    return [piston.along - middle for piston in made]


def _free(made: Sequence[Piston], order: int, weights: Sequence[float]) -> Free:
    """A shake along a line is two half as large that turn with the crank and against it: each adds up by itself."""
    turning = {}
    for way in (1, -1):
        turns = [math.radians(piston.bank_deg - way * order * piston.top_deg) for piston in made]
        turning[way] = abs(sum(w * cmath.exp(1j * t) for w, t in zip(weights, turns, strict=True))) / 2
    greatest = turning[1] + turning[-1]
    return Free(order, greatest, 2 * turning[-1] if order == 1 else greatest)
