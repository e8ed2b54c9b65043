"""Orders of firing, and bolt heads."""

from __future__ import annotations

import math

import pytest

from wheelcad.trade.excitation import firing_orders, mean_firing_order
from wheelcad.trade.heads import across_flats_mm, nut_radius_mm


@pytest.mark.parametrize("cylinders", [1, 2, 3, 4, 5, 6, 8, 12])
def test_even_fire_shakes_at_firing_and_its_multiples_only(cylinders: int) -> None:
    """Common practice, no source: half the cylinders in a turn of a four-stroke."""
    orders = firing_orders(cylinders)
    assert [o.order for o in orders] == [cylinders / 2, cylinders, 3 * cylinders / 2]
    assert [o.strength for o in orders] == pytest.approx([1.0, 1.0, 1.0])
    assert mean_firing_order(cylinders) == cylinders / 2


def test_uneven_fire_brings_half_orders() -> None:
    """Two pulses 315° apart: order k/2 is |1 + e^{ik·315/2°}|/2 = |cos(k·78.75°)|. Source: Fourier series."""
    found = {o.order: o.strength for o in firing_orders(2, (0.0, 315.0))}
    for k in range(1, 7):
        strength = abs(math.cos(math.radians(k * 78.75)))
        assert found.get(k / 2, 0.0) == pytest.approx(strength if strength >= 0.1 else 0.0, abs=1e-6)
    assert 0.5 in found


def test_where_an_order_meets_a_frequency() -> None:
    """Six cylinders at 5200 rpm: 260 Hz."""
    firing = firing_orders(6)[0]
    assert firing.hz(5200) == pytest.approx(260.0)
    assert firing.rpm(260.0) == pytest.approx(5200.0)


def test_what_is_no_engine_is_refused() -> None:
    with pytest.raises(ValueError, match="cylinder"):
        firing_orders(3, (0.0, 240.0))
    with pytest.raises(ValueError, match="cylinder"):
        mean_firing_order(0)


def test_bolt_heads() -> None:
    """ISO 4017, from memory."""
    assert [across_flats_mm(d) for d in (6, 8, 10, 12)] == [10, 13, 16, 18]
    assert across_flats_mm(18) == 27.0
    with pytest.raises(ValueError, match="diameter"):
        across_flats_mm(0)


@pytest.mark.parametrize(("second", "named"), [(382.0, False), (384.0, True)])
def test_orders_under_a_tenth_are_left_out(second: float, named: bool) -> None:
    """Two pulses: order 1/2 is |cos(θ/4)|, 0.096 at 382 and 0.105 at 384 degrees. Source: Fourier series."""
    assert (0.5 in {order.order for order in firing_orders(2, (0.0, second))}) is named


def test_room_that_a_nut_takes() -> None:
    """To the corners of 10 and 13 mm across flats (ISO 4032, from memory), or 0.95 of a barrel's thread."""
    assert nut_radius_mm(6) == pytest.approx(10 / math.sqrt(3))
    assert nut_radius_mm(8) == pytest.approx(7.6)
    assert nut_radius_mm(12) == pytest.approx(11.4)
