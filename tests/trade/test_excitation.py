"""Orders of firing."""

from __future__ import annotations

import math

import pytest

from wheelcad.trade.excitation import all_orders, firing_orders, inertia_orders, mean_firing_order


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


@pytest.mark.parametrize(("second", "named"), [(382.0, False), (384.0, True)])
def test_orders_under_a_tenth_are_left_out(second: float, named: bool) -> None:
    """Two pulses: order 1/2 is |cos(θ/4)|, 0.096 at 382 and 0.105 at 384 degrees. Source: Fourier series."""
    assert (0.5 in {order.order for order in firing_orders(2, (0.0, second))}) is named


def test_orders_weaker_than_a_tenth_of_inertia_are_left_out() -> None:
    """Two pistons' second orders are |cos θ| of both for tops θ apart: 0.087 at 85 degrees, 0.122 at 83."""
    for apart, named in ((85.0, False), (83.0, True)):
        found = inertia_orders("inline", 0.0, 2, (1, 2), (0.0, apart))
        second = [o for o in found if o.order == 2.0 and "second-order force" in o.names]
        assert bool(second) is named


def test_firing_and_inertia_of_one_order_are_one() -> None:
    """A four fires twice a turn and its pistons shake twice a turn; inertia falls with the square of speed."""
    orders = all_orders(firing_orders(4), inertia_orders("inline", 0.0, 4))
    assert [o.order for o in orders] == [2.0, 4.0, 6.0]
    assert orders[0].names == ("firing", "second-order force")
    assert (orders[0].strength, orders[0].inertia) == (1.0, 1.0)
    assert orders[0].level(1.0) == 1.0  # never more than the whole
    assert [o.level(1.0) for o in orders[1:]] == pytest.approx([1 / 2, 1 / 3])
    (single,) = [o for o in inertia_orders("single", 0.0, 1) if o.order == 2.0]
    assert single.level(0.5) == pytest.approx(0.25)
