"""Where pistons stand and what they leave, by hand."""

from __future__ import annotations

import math

import pytest

from wheelcad.trade import inertia
from wheelcad.trade.ignition import firing_angles_even
from wheelcad.trade.inertia import Piston, free_couple, free_force, pistons, shares


def test_in_line_they_stand_by_number() -> None:
    made = pistons("inline", 77.0, (1, 3, 2), (0.0, 240.0, 480.0))
    assert made == (Piston(0.0, 0.0, 0.0), Piston(0.0, 1.0, 480.0), Piston(0.0, 2.0, 240.0))
    assert pistons("single", 90.0, (1,), (0.0,)) == (Piston(0.0, 0.0, 0.0),)
    for bad in (((1, 2, 4), (0, 240, 480)), ((1, 2), (0, 240, 480)), ((0, 1), (0, 360))):
        with pytest.raises(ValueError, match="one firing angle"):
            pistons("inline", 0.0, *bad)


@pytest.mark.parametrize(
    ("vee", "order", "angles"),
    # Source: cross-plane eight and 45, 60 and 90 degree twins share crankpins between facing cylinders; common practice
    [
        (90.0, (1, 8, 4, 3, 6, 5, 7, 2), firing_angles_even(8)),
        (45.0, (1, 2), (0.0, 315.0)),
        (45.0, (1, 2), (0.0, 405.0)),
        (60.0, (1, 2), (0.0, 300.0)),
        (60.0, (1, 7, 5, 11, 3, 9, 6, 12, 2, 8, 4, 10), firing_angles_even(12)),
    ],
)
def test_facing_cylinders_of_a_vee_share_a_pin(vee: float, order: tuple[int, ...], angles: tuple[float, ...]) -> None:
    made = pistons("vee", vee, order, angles)
    rows: dict[float, list[float]] = {}
    for piston in made:
        rows.setdefault(piston.along, []).append((piston.bank_deg - piston.top_deg) % 360)
        assert abs(piston.bank_deg) in (0.0, vee)
    assert len(rows) == len(order) / 2
    for pins in rows.values():
        assert pins[0] == pytest.approx(pins[1])


@pytest.mark.parametrize(("order", "angles"), [((1, 3, 2, 4), None), ((1, 6, 2, 4, 3, 5), None)])
def test_facing_cylinders_of_a_flat_engine_have_opposite_pins(order: tuple[int, ...], angles: None) -> None:
    made = pistons("flat", 0.0, order, angles or firing_angles_even(len(order)))
    rows: dict[int, list[Piston]] = {}
    for piston in made:
        rows.setdefault(math.floor(piston.along), []).append(piston)
    for one, other in rows.values():
        assert abs(one.bank_deg - other.bank_deg) == 180
        apart = (one.bank_deg - one.top_deg) - (other.bank_deg - other.top_deg)
        assert apart % 360 == pytest.approx(180)
        assert abs(one.along - other.along) == 0.5


def test_uneven_pins_are_told_by_how_far_they_miss() -> None:
    """A 90° vee of six with pins 30° apart: three pairs miss by 30° each, whichever bank leads."""
    order, angles = (1, 2, 3, 4, 5, 6), firing_angles_even(6)
    made = pistons("vee", 90.0, order, angles)
    missed = inertia._splay(made, 0.0)
    assert missed == pytest.approx(90.0)
    assert inertia._splay(made, 30.0) + inertia._splay(made, -30.0) == pytest.approx(180.0)


def test_what_is_left_by_hand() -> None:
    """A single: all of it each way, half with the best counterweight; a twin of 180° leaves a couple of its spacing."""
    single = pistons("single", 0.0, (1,), (0.0,))
    assert free_force(single, 1) == inertia.Free(1, 1.0, 1.0)
    assert free_force(single, 2) == inertia.Free(2, 1.0, 1.0)
    assert shares(single) == {(1, "force"): 1.0, (1, "couple"): 0.0, (2, "force"): 1.0, (2, "couple"): 0.0}
    twin = pistons("inline", 0.0, (1, 2), (0.0, 180.0))
    assert free_couple(twin, 1).greatest == pytest.approx(1.0)  # two half spacings
    assert shares(twin) == pytest.approx({(1, "force"): 0, (1, "couple"): 1, (2, "force"): 1, (2, "couple"): 0})
    three = shares(pistons("inline", 0.0, (1, 3, 2), firing_angles_even(3)))
    assert three[1, "couple"] == pytest.approx(math.sqrt(3) / 2, abs=1e-6)  # √3 of two spacings
    # far apart and close together alike: a couple is told as a share
    wide = tuple(Piston(p.bank_deg, p.along * 0.05, p.top_deg) for p in twin)
    assert shares(wide)[1, "couple"] == pytest.approx(1.0)
