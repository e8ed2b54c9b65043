"""The clamped bar with a mass at its tip."""

from __future__ import annotations

import math

import pytest

from wheelcad.trade.beam import cantilever_frequency_hz, first_root


@pytest.mark.parametrize(("tip_kg", "hz"), [(0.0, 339.742), (0.05, 259.296), (0.1, 217.458)])
def test_first_frequency(tip_kg: float, hz: float) -> None:
    # 120 x 50 x 6 mm steel, E 200 GPa, 7850 kg/m³; Euler-Bernoulli beam theory, worked by hand
    assert cantilever_frequency_hz(120, 50, 6, 200, 7850, tip_kg) == pytest.approx(hz, abs=0.002)


def test_bare_bar_has_the_textbook_root() -> None:
    # Source: textbook value 1.8751 (its square is the 3.516 of the usual formula)
    assert first_root(0.0) == pytest.approx(1.875104, abs=1e-6)
    assert first_root(0.0) ** 2 == pytest.approx(3.516, abs=5e-4)


def test_heavy_tip_tends_to_a_mass_on_a_spring() -> None:
    # f = sqrt(k/(M + 0.2357·m))/2π, Rayleigh's mass of a clamped bar: the limit for a heavy tip
    k = 3 * 200e9 * (0.05 * 0.006**3 / 12) / 0.12**3
    bar = 7850 * 0.12 * 0.05 * 0.006
    for tip in (5.0, 20.0):
        expected = math.sqrt(k / (tip + 33 / 140 * bar)) / (2 * math.pi)
        assert cantilever_frequency_hz(120, 50, 6, 200, 7850, tip) == pytest.approx(expected, rel=1e-4)


def test_impossible_bars_are_refused() -> None:
    with pytest.raises(ValueError, match="length"):
        cantilever_frequency_hz(0, 50, 6, 200, 7850)
    with pytest.raises(ValueError, match="negative"):
        first_root(-0.1)
