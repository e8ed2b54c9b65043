"""Another rim on a turned body: the same solid as the boolean gives, at any height, with holes and shoulders beside."""

from __future__ import annotations

import math

import pytest

from wheelcad.files.brep import KernelError, cut, drill, figures, fused, prism, revolved
from wheelcad.files.rim import with_rim
from wheelcad.trade.loop import Loop

STAR = Loop.polygon(
    [(r * math.cos(math.pi * k / 9), r * math.sin(math.pi * k / 9)) for k in range(18) for r in [(50.0, 42.0)[k % 2]]]
)
SHAFT = [(5.0, -20.0), (20.0, -20.0), (20.0, -3.0), (50.0, -3.0), (50.0, 2.0), (30.0, 2.0), (30.0, 15.0), (5.0, 15.0)]


def turned(points: list[tuple[float, float]]) -> object:
    """A body turned from this half section."""
    return revolved(Loop.polygon(points).oriented())


def test_the_same_as_fusing_star_and_shaft() -> None:
    made = figures(with_rim(turned(SHAFT), 50, -3, 2, STAR))
    thin = [(r if r < 50 else 15.0, z) for r, z in SHAFT]
    star = prism(STAR, [Loop.circle(0, 0, 5)], -3, 2)
    other = figures(fused([turned(thin), star], "both"))
    assert made.valid
    assert made.solids == 1
    assert made.volume == pytest.approx(other.volume, rel=1e-12)
    assert made.polar == pytest.approx(other.polar, rel=1e-12)
    assert made.centre == pytest.approx(other.centre, abs=1e-9)


@pytest.mark.parametrize("ring_first", [True, False])
def test_a_ring_at_the_end_of_the_body(ring_first: bool) -> None:
    points = [(5.0, -3.0), (50.0, -3.0), (50.0, 2.0), (20.0, 2.0), (20.0, 15.0), (5.0, 15.0)]
    if not ring_first:
        points = [(r, -z) for r, z in points]
    low, high = (-3, 2) if ring_first else (-2, 3)
    made = figures(with_rim(turned(points), 50, low, high, STAR))
    assert made.valid
    assert made.volume == pytest.approx((STAR.area - 25 * math.pi) * 5 + math.pi * (400 - 25) * 13, rel=1e-12)


def test_holes_in_the_faces_beside_the_rim_stay() -> None:
    through, blind = drill(40, 0, 5, -5, 4, None), drill(0, 38, 5, 0, 4, 118)
    drilled = cut(turned(SHAFT), [through, blind], "it")
    made = figures(with_rim(drilled, 50, -3, 2, STAR))
    assert made.valid
    before, after = figures(turned(SHAFT)).volume, figures(drilled).volume
    assert after < before
    assert made.volume == pytest.approx(
        figures(with_rim(turned(SHAFT), 50, -3, 2, STAR)).volume - (before - after), rel=1e-12
    )


def test_a_rim_of_two_half_cylinders() -> None:
    disc = prism(Loop.circle(0, 0, 50), [Loop.circle(0, 0, 10), Loop.circle(30, 0, 3)], -2, 2)
    made = figures(with_rim(disc, 50, -2, 2, STAR))
    assert made.valid
    assert made.volume == pytest.approx((STAR.area - math.pi * 109) * 4, rel=1e-12)


@pytest.mark.parametrize(("radius", "z0", "z1"), [(49, -3, 2), (50, -3, 1), (50, 0, 2), (20, -20, -3)])
def test_no_such_rim(radius: float, z0: float, z1: float) -> None:
    with pytest.raises(KernelError, match=f"no rim of radius {radius} mm stands alone"):
        with_rim(turned(SHAFT), radius, z0, z1, STAR)
