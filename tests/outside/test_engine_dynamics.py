"""What pistons leave free, and what grows at resonance, against figures of textbooks.

Forces in units of one piston's own shake of the order, couples in that times the bores' spacing. Source: free forces
and moments of multi-cylinder engines, as tabled in any text of engine dynamics; from memory.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from wheelcad.trade.excitation import inertia_orders
from wheelcad.trade.ignition import firing_angles_even
from wheelcad.trade.inertia import Piston, free_couple, free_force, pistons
from wheelcad.trade.resonance import DAMPING, response, static_swing_mm


def amplification(ratio: float, damping: float = DAMPING) -> float:
    return float(abs(response(ratio, damping)))


# layout, angle between banks, firing order, crank angles of firing, then left: force 1, force 2, couple 1, couple 2
ROOT3 = math.sqrt(3)
TABLE = [
    ("single", 0, (1,), (0,), (1, 1, 0, 0)),
    ("inline", 0, (1, 2), (0, 360), (2, 2, 0, 0)),
    ("inline", 0, (1, 2), (0, 180), (0, 2, 1, 0)),
    ("inline", 0, (1, 3, 2), None, (0, 0, ROOT3, ROOT3)),
    ("inline", 0, (1, 3, 4, 2), None, (0, 4, 0, 0)),
    ("inline", 0, (1, 2, 4, 5, 3), None, (0, 0, 0.449, 4.98)),
    ("inline", 0, (1, 5, 3, 6, 2, 4), None, (0, 0, 0, 0)),
    ("vee", 90, (1, 2), (0, 270), (0, math.sqrt(2), 0, 0)),  # shared pin: counterweights take the first order
    ("vee", 60, (1, 2, 3, 4, 5, 6), None, (0, 0, 0, 1.5)),  # pins 60° apart
    ("vee", 90, (1, 8, 4, 3, 6, 5, 7, 2), None, (0, 0, 0, 0)),  # cross-plane, counterweighted
    ("vee", 60, (1, 7, 5, 11, 3, 9, 6, 12, 2, 8, 4, 10), None, (0, 0, 0, 0)),
    ("flat", 180, (1, 3, 2, 4), None, (0, 0, 0, 1)),
    ("flat", 180, (1, 6, 2, 4, 3, 5), None, (0, 0, 0, 0)),
]


@pytest.mark.parametrize(("layout", "vee", "order", "angles", "left"), TABLE)
def test_free_forces_and_couples(
    layout: str, vee: float, order: tuple[int, ...], angles: tuple[float, ...] | None, left: tuple[float, ...]
) -> None:
    made = pistons(layout, vee, order, angles or firing_angles_even(len(order)))
    found = [free(made, n).left for free in (free_force, free_couple) for n in (1, 2)]
    assert found == pytest.approx(left, abs=2e-3)


def test_a_single_is_halved_by_counterweights_that_turn() -> None:
    """The first order of a line is two halves that turn against each other: of a 90° vee's only one is there."""
    vee = pistons("vee", 90.0, (1, 2), (0.0, 270.0))
    assert free_force(vee, 1).greatest == pytest.approx(1.0)
    assert free_force(vee, 1).left == pytest.approx(0.0, abs=1e-12)


def shake_over_a_turn(made: tuple[Piston, ...], order: int) -> float:
    """Greatest size of the summed force over a turn, piston by piston: no complex numbers."""
    worst = 0.0
    for crank in range(360):
        x = y = 0.0
        for piston in made:
            push = math.cos(math.radians(order * (crank - piston.top_deg)))
            x += push * math.cos(math.radians(piston.bank_deg))
            y += push * math.sin(math.radians(piston.bank_deg))
        worst = max(worst, math.hypot(x, y))
    return worst


@pytest.mark.parametrize("seed", range(12))
def test_any_vee_by_adding_pistons_up(seed: int) -> None:
    rng = np.random.default_rng(seed)
    made = tuple(
        Piston(float(b), 0.0, float(t)) for b, t in zip(rng.uniform(0, 180, 4), rng.uniform(0, 720, 4), strict=True)
    )
    for order in (1, 2):
        assert free_force(made, order).greatest == pytest.approx(shake_over_a_turn(made, order), rel=1e-3)


def test_orders_of_engines() -> None:
    """First order of a single, second of a four, first-order couples of three and five; a six leaves nothing."""
    found = {n: {o.order: o.names for o in inertia_orders("inline", 0.0, n)} for n in (2, 3, 4, 5, 6)}
    assert found[3][1.0] == found[5][1.0] == ("first-order couple",)
    assert found[4] == {2.0: ("second-order force",)}
    assert found[6] == {}
    assert inertia_orders("single", 0.0, 1)[0].names == ("first-order force",)
    # the five's first couple: 0.449 of 6 spacings, 1/0.3 times the second order's size
    five = inertia_orders("inline", 0.0, 5)[0]
    assert five.inertia == pytest.approx(0.449 / 6 / 0.3, rel=1e-3)
    assert inertia_orders("vee", 90.0, 7) == ()  # no firing order is known


def test_one_mass_on_a_spring_by_hand() -> None:
    """1/(2ζ) at resonance; 1/(1 - (3/4)²) = 2.286 a third above the shake; -1/3 beyond it. Source: one degree of
    freedom, any text on vibration."""
    assert amplification(1.0) == pytest.approx(25.0)
    assert amplification(1.0, 0.01) == pytest.approx(50.0)
    assert amplification(1.0, 0.05) == pytest.approx(10.0)
    assert amplification(0.75) == pytest.approx(16 / 7, rel=3e-3)
    assert amplification(2.0) == pytest.approx(1 / 3, rel=1e-3)
    assert amplification(0.0) == 1.0
    assert np.angle(response(1.0)) == pytest.approx(-math.pi / 2)
    with pytest.raises(ValueError, match="damping"):
        response(1.0, 0.0)


def test_a_mass_shaken_at_its_foot_stepped_through_time() -> None:
    """x'' + 2ζω x' + ω² x = a·sin(Ωt) run out to its steady swing, against static swing times amplification."""
    hz, ratio, damping, a = 100.0, 0.9, 0.02, 98066.5
    own, shaken = 2 * math.pi * hz, 2 * math.pi * hz * ratio
    x = v = 0.0
    step, most = 2e-6, 0.0
    for n in range(400_000):
        v += step * (a * math.sin(shaken * n * step) - 2 * damping * own * v - own**2 * x)
        x += step * v
        if n > 350_000:
            most = max(most, abs(x))
    assert most == pytest.approx(static_swing_mm(hz, a) * amplification(ratio, damping), rel=5e-3)
