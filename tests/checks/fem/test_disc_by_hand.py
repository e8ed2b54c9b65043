"""A spinning piece by closed forms: strains and stresses of a plane, a keyed bore's area, what is said of a wheel."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
import skfem

from wheelcad.checks.fem import disc, plane
from wheelcad.checks.fem.model import FemError
from wheelcad.checks.fem.plane import Stressed
from wheelcad.findings import Finding
from wheelcad.job.models import Keyway
from wheelcad.trade.frames import angle_of, point_at
from wheelcad.trade.loop import Loop

Floats = np.ndarray[Any, np.dtype[np.float64]]


def uneven() -> Any:
    """A plate from (2, -3) to (12, 4) in unequal pieces."""
    return skfem.MeshTri.init_tensor(np.array([2.0, 3.0, 7.0, 12.0]), np.array([-3.0, 1.0, 2.0, 4.0]))


@pytest.mark.parametrize("strain", [(1e-3, 2e-4, 6e-4, -5e-4), (-4e-4, 9e-4, -1e-4, 7e-4)])
def test_principal_stress_of_an_even_strain(strain: tuple[float, float, float, float]) -> None:
    """By Mohr's circle: half the sum, and the root of half the difference and the shear in square."""
    a, b, c, d = strain  # u = a·x + b·y, v = c·x + d·y
    flat = uneven()
    basis = skfem.Basis(flat, skfem.ElementVector(skfem.ElementTriP2()))
    u = basis.project(lambda x: np.array([a * x[0] + b * x[1], c * x[0] + d * x[1]]))
    lam, mu = 70e3, 80e3
    found = plane._principal(flat, basis, u, lam, mu)
    sx, sy, shear = lam * (a + d) + 2 * mu * a, lam * (a + d) + 2 * mu * d, mu * (b + c)
    greatest = (sx + sy) / 2 + math.sqrt(((sx - sy) / 2) ** 2 + shear**2)
    assert found.greatest == pytest.approx(np.full(len(flat.p.T), greatest), rel=1e-6)
    assert np.array_equal(found.points, flat.p.T)


def test_a_piece_turns_about_its_centre_of_mass() -> None:
    """However its elements are crowded, and slanted."""
    flat = uneven()
    assert plane._centre(flat) == pytest.approx([7.0, 0.5])
    slanted = skfem.MeshTri(flat.p + np.array([[0.3], [0.1]]) * flat.p[::-1], flat.t)
    assert plane._centre(slanted) == pytest.approx([7.15, 1.2])


def test_stress_that_grows_along_a_plate() -> None:
    """Stretched along x in proportion to x: at every corner by its own place."""
    flat = uneven()
    basis = skfem.Basis(flat, skfem.ElementVector(skfem.ElementTriP2()))
    u = basis.project(lambda x: np.array([1e-3 * x[0] ** 2 / 2, 2e-3 * x[1] ** 2 / 2]))
    found = plane._principal(flat, basis, u, 0.0, 50e3)
    x, y = flat.p
    assert found.greatest == pytest.approx(np.maximum(100.0 * x, 200.0 * y), abs=1e-6)


def test_the_load_of_spinning() -> None:
    """By hand: steel at 6000 rpm, 628.3185 rad/s: 7850e-12 t/mm³ times 394784.176 at 10 mm."""
    load = plane.spin(7850.0, 6000.0)
    assert load(np.array([[10.0], [-5.0]])).ravel() == pytest.approx([0.0309905578, -0.0154952789], rel=1e-8)


@pytest.mark.parametrize("poisson", [0.0, 0.25, 0.5])
def test_the_middle_of_a_solid_disc(poisson: float) -> None:
    """(3 + nu)/8 rho w² b². Source: Timoshenko's rotating disc. The mesh is a polygon of 64 sides, so that its mean
    radius is a little less."""
    flat = skfem.MeshTri.init_circle(4).scaled((50.0, 50.0)).translated((30.0, -12.0))
    found = plane.solved(flat, poisson, plane.spin(7850.0, 6000.0))
    middle = found.greatest[np.hypot(*(found.points - (30.0, -12.0)).T) < 1e-6]
    closed = (3 + poisson) / 8 * 7850e-12 * (200 * math.pi) ** 2 * 50.0**2
    assert middle[0] / closed == pytest.approx(MEAN, abs=1e-3)


MEAN = 1 - (2 * math.pi / 64) ** 2 / 6  # of a polygon's radius in square, about


# --- a keyed bore --------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("wide", "deep", "corner", "made"),
    [
        (10.0, 3.3, 0.25, 0.25),
        (10.0, 3.3, 0.5, 0.5),
        (0.8, 3.3, 0.25, 0.2),  # a quarter of so narrow a keyway
        (4.0, 0.1, 0.25, (0.1 + 16 - math.sqrt(256 - 4)) / 2),  # half of so shallow a one's side
    ],
)
def test_a_keyed_bore_s_area(wide: float, deep: float, corner: float, made: float) -> None:
    """A circle of 16 less the piece beyond the chord, and a box on that chord less what its two corners round off."""
    half, bore = wide / 2, 16.0
    side = math.sqrt(bore**2 - half**2)
    beyond = bore**2 * math.asin(half / bore) - half * side
    area = math.pi * bore**2 - beyond + wide * (bore + deep - side) - 2 * (1 - math.pi / 4) * made**2
    loop = disc.keyed_bore(bore, Keyway(width=wide, depth=deep, at=0.0), 1, corner)
    assert abs(loop.area) == pytest.approx(area, rel=1e-9)
    assert loop.bounds() == pytest.approx((-16.0, -16.0, 16.0, 16.0 + deep))


@pytest.mark.parametrize("sense", [1, -1])
def test_a_keyway_lies_at_its_angle(sense: int) -> None:
    loop = disc.keyed_bore(16.0, Keyway(width=6.0, depth=3.0, at=50.0), sense)
    points = loop.flatten(0.01)
    floor = points[np.hypot(*points.T) > 18.9]
    x, y = floor.mean(axis=0).tolist()
    assert float(angle_of(x, y, sense)) == pytest.approx(50.0, abs=0.1)


def test_a_ring_without_a_bore_has_a_centre_drill_s() -> None:
    for pulley in (None, SimpleNamespace(bore=None), SimpleNamespace(bore=0.0)):
        loop = disc._ring_bore(cast(Any, SimpleNamespace(pulley=pulley)), cast(Any, SimpleNamespace(sense=1)))
        assert loop.bounds() == pytest.approx((-disc.CENTRE_MM, -disc.CENTRE_MM, disc.CENTRE_MM, disc.CENTRE_MM))
    plain = SimpleNamespace(pulley=SimpleNamespace(bore=32.0, keyway=None))
    assert disc._ring_bore(cast(Any, plain), cast(Any, None)).bounds() == pytest.approx((-16, -16, 16, 16))


@pytest.mark.parametrize("sense", [1, -1])
def test_a_keyed_ring_s_bore_and_where_its_peak_is_eased(sense: int) -> None:
    """A keyway at 50°, 10 wide and 3.3 deep, in a bore of 32: three quarters of that aside of its middle counts as in
    it, as far on the other side of the TDC line does not."""
    key = Keyway(width=10.0, depth=3.3, at=50.0)
    pulley = SimpleNamespace(bore=32.0, keyway=key)
    job = cast(Any, SimpleNamespace(pulley=pulley, wheel=SimpleNamespace(material="grey-iron")))
    wheel = cast(Any, SimpleNamespace(openings=[], sense=sense))
    low_x, low_y, high_x, _ = disc._ring_bore(job, wheel).bounds()
    assert (low_y, low_x if sense > 0 else -high_x) == (pytest.approx(-16.0), pytest.approx(-16.0))
    spots = point_at(16.5, [50.0 + 25.0, 50.0 - 25.0, -50.0, 230.0], sense)
    spots[3] *= 16.0 / 16.5
    felt = disc._felt(job, wheel, Stressed(spots, np.array([50.0, 50.0, 50.0, 10.0])))
    eased = 10.0 + disc.FLAKES * 40.0
    assert felt == pytest.approx([eased, eased, 50.0, 10.0])


@pytest.mark.parametrize("sense", [1, -1])
def test_the_greatest_stress_is_told_with_its_place(sense: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """To four digits, from the axis and from the TDC line the way the crank turns."""
    at = np.array([[0.0, 10.0], [30.0, 40.0], [-5.0, 0.0]])
    seen: list[Any] = []
    monkeypatch.setattr(disc, "meshed", lambda *given: seen.append(given))
    monkeypatch.setattr(disc, "solved", lambda *given: Stressed(at, np.array([99.0, 123.456789, 7.0])))
    monkeypatch.setattr(disc, "with_corners", lambda job, wheel: wheel)
    monkeypatch.setattr(disc, "_felt", lambda job, wheel, found: found.greatest)
    bore = Loop.circle(0.0, 0.0, 20.0)
    wheel = cast(Any, SimpleNamespace(openings=[SimpleNamespace(loop=bore)], sense=sense, outline="outline"))
    wheel.floor_radius_mm = 74.0
    job = cast(Any, SimpleNamespace(wheel=SimpleNamespace(material="mild-steel")))
    found = disc.disc_opinion(job, wheel, 6000.0)
    assert (found.mpa, found.radius_mm) == (123.5, 50.0)
    assert found.at_deg == pytest.approx(math.degrees(math.atan2(30, 40)) if sense > 0 else 360 - 36.8698976)
    assert seen[0][:2] == ("outline", [bore])
    drilled = cast(Any, SimpleNamespace(radius_mm=60.0, at_deg=90.0, diameter_mm=8.0))
    disc.disc_opinion(job, wheel, 6000.0, (drilled,))
    assert seen[1][1][1].bounds() == pytest.approx((60.0 * sense - 4.0, -4.0, 60.0 * sense + 4.0, 4.0), abs=1e-9)


def told(mpa: float, monkeypatch: pytest.MonkeyPatch, rpm: float | None = 6000.0) -> list[Finding]:
    """What is said of a wheel of 235 MPa over a factor of 2."""

    def opinion(*given: object) -> disc.Opinion:
        if mpa < 0:
            raise FemError("no mesh")
        return disc.Opinion(mpa, 40.0, 120.0)

    monkeypatch.setattr(disc, "disc_opinion", opinion)
    monkeypatch.setattr(disc, "strength_of", lambda job, wheel: (235.0, 2.0))
    places = [SimpleNamespace(mpa=m, name=n) for m, n in ((60.0, "bore"), (80.0, "slot floors, flat"), (70.0, "bolt"))]
    monkeypatch.setattr(disc, "stressed", lambda job, wheel, rpm, allowed: places if allowed == 117.5 else [])
    monkeypatch.setattr(disc, "floor_corner", lambda job, wheel: (0.2, "corners of 0.2"))
    made = SimpleNamespace(job=SimpleNamespace(max_speed=rpm), wheel=None, balance=SimpleNamespace(holes=()))
    return disc.disc_findings(cast(Any, made))


@pytest.mark.parametrize(("mpa", "verdict"), [(117.5, "pass"), (117.6, "fail"), (-1.0, "warn")])
def test_what_the_whole_wheel_bears(mpa: float, verdict: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Beside the worst place of the closed forms; without a mesh those stand alone."""
    (found,) = told(mpa, monkeypatch)
    assert found.verdict == verdict
    if mpa > 0:
        assert (found.limit, found.measured) == (117.5, mpa)
        assert " at the slot floors. " in found.why
    assert told(mpa, monkeypatch, None) == []


@pytest.mark.parametrize(
    ("round_floor", "stated", "changed"), [(True, 0.0, False), (False, 0.5, False), (False, 0.0, True)]
)
def test_only_sharp_corners_become_the_cutter_s(
    round_floor: bool, stated: float, changed: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    slot = SimpleNamespace(round_floor=round_floor, corner_radius=stated)
    monkeypatch.setattr(disc, "floor_corner", lambda job, wheel: (0.2, ""))
    monkeypatch.setattr(disc, "design_wheel", lambda job: job)

    def changing(update: dict[str, Any]) -> Any:
        return update

    job = SimpleNamespace(wheel=SimpleNamespace(slot=SimpleNamespace(model_copy=changing), model_copy=changing))
    job.model_copy = changing  # type: ignore[attr-defined]
    wheel = cast(Any, SimpleNamespace(slot=slot))
    made = disc.with_corners(cast(Any, job), wheel)
    assert made == ({"wheel": {"slot": {"corner_radius": 0.2}}} if changed else wheel)
