"""The bolt a clearance hole is for."""

from __future__ import annotations

import pytest

from wheelcad.trade.fits import clearance_hole_mm, likely_bolt_mm


@pytest.mark.parametrize("bolt", [3, 4, 5, 6, 8, 10, 12, 14, 16, 20])
@pytest.mark.parametrize("series", ["fine", "medium", "coarse"])
def test_every_hole_of_iso_273_is_for_its_bolt(bolt: float, series: str) -> None:
    assert likely_bolt_mm(clearance_hole_mm(bolt, series)) == bolt


@pytest.mark.parametrize(
    ("hole", "bolt"),
    [(17 / 64, 1 / 4), (21 / 64, 5 / 16), (13 / 32, 3 / 8), (29 / 64, 7 / 16), (33 / 64, 1 / 2)],
)
def test_free_fit_holes_of_unified_bolts(hole: float, bolt: float) -> None:
    # common practice, no source: 1/64 over the bolt, 1/32 for some
    assert likely_bolt_mm(25.4 * hole) == pytest.approx(25.4 * bolt)


def test_a_hole_too_small_for_any_bolt() -> None:
    assert likely_bolt_mm(2.5) is None
