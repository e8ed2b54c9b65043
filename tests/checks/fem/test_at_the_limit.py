"""What the parts of the finite elements make of values that lie at their very limits, and a little to each side.

A limit is put to a number that two can divide, where its own cannot be met exactly by what is reckoned.
"""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
import skfem

from tests.checks.fem import test_response as shaken
from tests.checks.fem.blocks import block
from tests.checks.fem.test_proposals import Fake, designed, fake_changes
from tests.conftest import demo_text
from tests.parts.bracket_jobs import along_job, in_job
from wheelcad.checks.fem import disc, mending, mesh, plane, refining, sensor, setup, stiffness
from wheelcad.checks.fem.elastic import Elastic, elastic_body
from wheelcad.checks.fem.model import FemError, HeadRing, Held, MeshStep, TabWall
from wheelcad.checks.fem.plane import Stressed
from wheelcad.checks.fem.response import worst
from wheelcad.checks.fem.solve import Solver
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.trade.loop import Loop
from wheelcad.trade.materials import material

Floats = np.ndarray[Any, np.dtype[np.float64]]
SIX = parse_job(demo_text("tarn-six"), "six.yaml")  # grey iron, keyed: 10 wide, 3.3 deep


@pytest.mark.parametrize(("change", "settled"), [(100.0, False), (99.9, True), (-99.9, True), (-100.1, False)])
def test_a_mesh_settles_below_its_limit(change: float, settled: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Half the size: as much is left as the last step took off."""
    monkeypatch.setattr(refining, "LEFT", 0.25)
    assert refining.settled([MeshStep(20.0, 9, 400 + change, 1.0), MeshStep(10.0, 9, 400.0, 1.0)]) == settled


def test_the_worst_of_an_order_that_grows_with_speed_is_at_the_highest() -> None:
    """Without a mode the bracket gives way the same at every speed: only the order's strength differs."""
    shake = shaken.one_mass().shakes[0]
    stiff = Held("", (), (replace(shake, modes=()),))
    inertia = replace(shaken.FIRING, strength=0.0, inertia=1.0)
    found = worst([replace(stiff, frequencies_hz=(5000.0,))], replace(shaken.SPEEDS, orders=(inertia,)))
    assert (found.gap.rpm, found.gap.size) == (6000.0, pytest.approx(0.01))


# --- which faces belong to a wall or lie under a bolt ---------------------------------------------------------------
def _asked(module: Any, call: Any, monkeypatch: pytest.MonkeyPatch) -> Any:
    """The question that a function asks of outer triangles' corners (n, 3, 3)."""
    kept: list[Any] = []
    monkeypatch.setattr(module, "outer_facets", lambda body, wanted: kept.append(wanted) or [])
    with pytest.raises(FemError):
        call()
    return lambda corners: kept[0](np.array(corners, dtype=float)[None]).tolist()[0]


@pytest.mark.parametrize(
    ("radius", "high", "on"),
    [
        (6.2, 2.0, True), (6.25, 2.0, False), (5.8, 2.0, True), (5.75, 2.0, False),
        (6.0, -0.2, True), (6.0, -0.25, False), (6.0, 4.2, True), (6.0, 4.25, False),
    ],
)  # fmt: skip
def test_a_wall_s_faces_lie_near_its_cylinder(
    radius: float, high: float, on: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sensor, "ON_WALL", 0.25)
    wall = TabWall((1.0, 2.0, 3.0), (1.0, 2.0, 7.0), 12.0)
    wanted = _asked(sensor, lambda: sensor.wall_surface(cast(Any, None), wall), monkeypatch)
    good = [[1.0, 8.0, 4.0], [1.0, 8.0, 6.0]]
    assert wanted([*good, [1.0 + radius, 2.0, 3.0 + high]]) == on


@pytest.mark.parametrize(("x", "on"), [(10.0, True), (10.2, True), (10.25, False), (-10.2, True), (-10.25, False)])
def test_a_slot_s_wall_goes_on_round_its_ends(x: float, on: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """12 wide, 8 of travel along x: its ends are 10 mm from its middle."""
    monkeypatch.setattr(sensor, "ON_WALL", 0.25)
    wall = TabWall((0.0, 0.0, 0.0), (0.0, 0.0, 4.0), 12.0, (8.0, 0.0, 0.0))
    wanted = _asked(sensor, lambda: sensor.wall_surface(cast(Any, None), wall), monkeypatch)
    assert wanted([[0.0, 6.0, 1.0], [3.0, -6.0, 2.0], [x, 0.0, 3.0]]) == on


@pytest.mark.parametrize(
    ("high", "away", "under"),
    [(0.0, 7.9, True), (0.0, 8.0, False), (0.2, 7.9, True), (0.25, 7.9, False), (-0.25, 7.9, False)],
)
def test_faces_under_a_bolt_s_head(high: float, away: float, under: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(stiffness, "ON_FACE", 0.25)
    ring = HeadRing((1.0, 2.0, 3.0), (0.0, 0.0, 1.0), 16.0)
    wanted = _asked(stiffness, lambda: stiffness.ring_nodes(cast(Any, None), ring), monkeypatch)
    corners = [[away - 3.0, 0.0, 0.0], [away + 3.0, 1.0, 0.0], [away, -1.0, high]]
    assert wanted(np.array(corners) + np.array([1.0, 2.0, 3.0])) == under


@pytest.mark.parametrize(
    ("travel", "across"),
    [(4.5, 10.0), (4.4, 2 * math.hypot(4.9, 3.0)), (3.6, 2 * math.hypot(4.1, 3.0)), (3.5, 10.0), (0.0, 10.0)],
)
def test_a_washer_that_meets_a_slot_near_its_end(travel: float, across: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 10 mm on a slot 6 wide it meets the sides 4 mm from the end's centre."""
    monkeypatch.setattr(setup, "SLOT_END", 0.5)
    monkeypatch.setattr(setup, "bolt_of", lambda mount: None)
    monkeypatch.setattr(setup, "washer_across_mm", lambda bolt: 10.0)
    mount = cast(Any, SimpleNamespace(hole=6.0))
    assert setup.washer_diameter(mount, travel) == pytest.approx(across)


def test_an_element_at_the_limit_of_bending_is_left_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    points = np.vstack([np.zeros(3), np.eye(3), [[0.5, 0.1, 0], [0.5, 0.5, 0.1], [0, 0.5, 0], [0.1, 0, 0.5]]])
    points = np.vstack([points, [[0.5, 0, 0.5], [0, 0.5, 0.5]]])
    cells = np.arange(10)[None]
    monkeypatch.setattr(mesh, "distortion", lambda points, cells: np.array([mesh.SLIVER]))
    assert np.array_equal(mesh._sound(points, cells), points)
    monkeypatch.setattr(mesh, "distortion", lambda points, cells: np.array([0.99 * mesh.SLIVER]))
    with pytest.raises(FemError, match="inside out"):
        mesh._sound(points, cells)


@pytest.mark.parametrize("turned", [1, -1])
def test_a_plate_pulled_lengthwise_is_pulled_alike_all_over(turned: int) -> None:
    """However its nodes are numbered: the corner that is held comes first or last of those at the top."""
    flat = skfem.MeshTri.init_tensor(turned * np.linspace(-40.0, 40.0, 5)[::turned], np.linspace(-15.0, 15.0, 3))
    found = plane.solved(flat, 0.3, 10.0)
    assert found.greatest == pytest.approx(10.0, rel=1e-6)


@pytest.mark.parametrize("job", [in_job(bracket={"adjust": 5}), along_job(bracket={"adjust": 5})], ids=["L", "Z"])
@pytest.mark.parametrize(("wide", "thick"), [(False, 0.0), (True, 5.0)])
def test_rings_are_made_for_the_slots_travel(
    job: Job, wide: bool, thick: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What the job has as adjust, to one side of nominal or to both, for every mount on both faces of its plate."""
    asked: list[tuple[float, float]] = []
    monkeypatch.setattr(
        setup, "washer_diameter", lambda mount, travel, wide, pressed: asked.append((travel, wide)) or 17.0
    )
    design = designed(job)
    rings, back = setup._rings(design, wide), design.asked.bracket.plate_back
    assert design.thickness == 5.0
    assert asked == [(pytest.approx(5.0), thick)] * 4
    assert [ring.centre[2] for ring in rings] == pytest.approx([back, back + 5.0] * 2)


# --- the spinning disc ---------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("radius", "drilled"), [(40.0, True), (69.9, True), (70.0, False), (76.0, False)])
def test_correction_holes_inside_the_slots_are_in_the_disc(
    radius: float, drilled: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A hole of 8 mm that ends below the slots' floor; one that meets them is a matter of the closed form's."""
    seen: list[list[Loop]] = []

    def meshed(outline: Loop, holes: list[Loop], *size: float) -> None:
        seen.append(holes)
        raise FemError("seen enough")

    monkeypatch.setattr(disc, "meshed", meshed)
    monkeypatch.setattr(disc, "with_corners", lambda job, wheel: wheel)
    wheel = cast(Any, SimpleNamespace(openings=[1], floor_radius_mm=74.0, sense=1, outline=None))
    wheel.openings = [SimpleNamespace(loop=Loop.circle(0.0, 0.0, 20.0))]
    hole = cast(Any, SimpleNamespace(radius_mm=radius, at_deg=90.0, diameter_mm=8.0))
    with pytest.raises(FemError, match="seen enough"):
        disc.disc_opinion(SIX, wheel, 5000.0, (hole,))
    assert len(seen[0]) == (2 if drilled else 1)
    if drilled:
        x, y = seen[0][1].vertices[:, :2].mean(axis=0).tolist()
        assert (x, y) == (pytest.approx(radius), pytest.approx(0.0, abs=1e-9))


@pytest.mark.parametrize(
    ("x", "y", "eased"),
    [
        (0.0, 20.0, True),
        (9.9, 16.5, True),
        (10.0, 16.5, False),  # aside as far as the key is wide
        (-9.9, 16.5, True),
        (0.0, 20.2, True),
        (0.0, 20.25, False),  # a millimetre above the keyway's floor
        (0.0, 20.4, False),
        (9.0, 0.0, False),
        (9.0, -14.0, False),  # the bore's other side
    ],
)
def test_where_grey_iron_eases_a_keyway_s_peak(x: float, y: float, eased: bool) -> None:
    """Only near the keyway; elsewhere the stress counts whole. The bore's own stress is that of its far side."""
    pulley = SIX.pulley
    assert pulley is not None
    assert pulley.keyway is not None
    assert pulley.bore is not None
    key = pulley.keyway.model_copy(update={"width": 10.0, "depth": 3.25, "at": 0.0})
    job = SIX.model_copy(update={"pulley": pulley.model_copy(update={"bore": 32.0, "keyway": key})})
    points = np.array([[x, y], [0.0, -16.0], [3.0, -math.sqrt(16.0**2 - 9.0)], [0.0, -16.0105], [16.0, 0.0]])
    found = Stressed(points, np.array([50.0, 10.0, 14.0, 90.0, 90.0]))
    wheel = cast(Any, SimpleNamespace(openings=[], sense=1))
    felt = disc._felt(job, wheel, found)
    assert felt[0] == pytest.approx(12.0 + disc.FLAKES * 38.0 if eased else 50.0)
    assert felt[1:].tolist() == [10.0, 14.0, 90.0, 90.0]


@pytest.mark.parametrize("change", ["steel", "no pulley", "no key", "plate"])
def test_no_other_wheel_is_eased(change: str) -> None:
    assert SIX.pulley is not None
    job, openings = SIX, []
    if change == "steel":
        job = SIX.model_copy(update={"wheel": SIX.wheel.model_copy(update={"material": "mild-steel"})})
    elif change == "no pulley":
        job = SIX.model_copy(update={"pulley": None})
    elif change == "no key":
        job = SIX.model_copy(update={"pulley": SIX.pulley.model_copy(update={"keyway": None})})
    else:
        openings = [1]
    found = Stressed(np.array([[0.0, 16.5], [0.0, -16.0], [0.0, 0.05]]), np.array([50.0, 10.0, 14.0]))
    felt = disc._felt(job, cast(Any, SimpleNamespace(openings=openings, sense=1)), found)
    assert felt.tolist() == [50.0, 10.0, 14.0]


@pytest.mark.parametrize("radius", [1.0, 4.0])
def test_a_small_hole_has_as_many_elements_round_it_as_a_large_one(radius: float) -> None:
    made = plane.meshed(Loop.circle(0.0, 0.0, 50.0), [Loop.circle(5.0, 0.0, radius)], 30.0)
    away = np.hypot(made.p[0] - 5.0, made.p[1])
    assert np.count_nonzero(np.abs(away - radius) < 1e-6) == plane.A_TURN == 40


# --- the search for what mends a bracket ---------------------------------------------------------------------------
def test_so_many_combinations_are_solved_at_most(monkeypatch: pytest.MonkeyPatch) -> None:
    """All are enough as reckoned, and none when it is solved: the search ends by itself."""
    design: BracketDesign = designed(in_job())
    share = shaken.one_mass(400.0)
    base = (replace(share, how="soft"), share)
    changed, tried = fake_changes(base, dict.fromkeys(("gusset", "thickness", "width", "shorter-tab", "washer"), 1.1))
    singles = changed(design, lambda hz: False)
    looked: list[str] = []

    def solved(variant: Any) -> Any:
        looked.append(variant.name)
        return replace(tried(variant), held=())

    monkeypatch.setattr(mending, "tried", solved)
    found, reckoned = mending._combinations(design, 400.0, singles, lambda times: True, shaken.SPEEDS)
    assert found == ()
    assert reckoned > len(looked) == 6


def test_without_a_speed_nothing_is_to_be_mended(monkeypatch: pytest.MonkeyPatch) -> None:
    job = in_job()
    design: BracketDesign = designed(job.model_copy(update={"engine": None}))
    base = (shaken.one_mass(300.0), shaken.one_mass(400.0))
    monkeypatch.setattr(mending, "meshed", lambda design: Fake(base))
    found = mending.proposals(design)
    assert (found.base, found.wanted, found.tried, found.singles) == (base, 1.0, 0, ())


def test_the_tooth_ring_has_the_pulley_s_bore() -> None:
    wheel = design_wheel(SIX)
    keyed = disc._ring_bore(SIX, wheel)
    assert keyed.bounds()[3] > keyed.bounds()[2] + 1.0  # the keyway stands out at the top
    plain = SIX.model_copy(update={"pulley": SIX.pulley.model_copy(update={"keyway": None}) if SIX.pulley else None})
    assert disc._ring_bore(plain, wheel).bounds()[2] == pytest.approx((SIX.pulley.bore if SIX.pulley else 0) / 2)


def test_a_body_that_floats_has_its_lowest_modes_found_wherever_the_shift_is() -> None:
    body = elastic_body(block((5, 1, 1), (60.0, 9.0, 5.0)), Elastic.of(material("mild-steel")))
    free = np.zeros(3 * body.size, dtype=bool)
    lowest = Solver(body, free, shift_hz=3000.0).modes(9).frequencies
    bends = lowest[lowest > 1.0][0]
    assert 3000.0 < bends < 20000.0
    assert Solver(body, free, shift_hz=3 * bends).modes(3).frequencies.min() < 1.0


def test_a_direction_has_no_nought_below_zero() -> None:
    """Which a report would print as -0.0, and differently from run to run."""
    assert str(setup._vector(np.array([-0.0, -1e-13, 1.0]))) == "(0.0, 0.0, 1.0)"
    assert setup._vector(np.array([0.1234567890123, -0.5, 0.0])) == (0.123456789012, -0.5, 0.0)


@pytest.mark.parametrize(
    ("thick", "area", "size", "least"),
    [
        (5.0, 6000.0, 10.0, math.sqrt(6000 / 2500)),  # twice the thickness
        (1.0, 15_000.0, 10.0, math.sqrt(6.0)),  # a hundred and fifty squares on a face
        (5.0, 400.0, 10.0, 0.5),  # a twentieth of it at the smallest
    ],
)
@pytest.mark.parametrize("times", [1.0, 2.0])
def test_how_fine_a_bracket_s_mesh_is(thick: float, area: float, size: float, least: float, times: float) -> None:
    fine = stiffness.fineness(cast(Any, SimpleNamespace(thickness=thick, area=area)), times)
    assert fine.size == pytest.approx(size * times)
    assert tuple(vars(fine).values()) == pytest.approx((size * times, 8 / times, 0.08 * times, least * times))


@pytest.mark.parametrize(("share", "there"), [(1.0, True), (0.95, True), (0.905, True), (0.895, False)])
@pytest.mark.parametrize("travel", [0.0, 8.0])
def test_nine_tenths_of_a_wall_must_be_there(
    share: float, there: bool, travel: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of a hole's round wall, 12 by 4 mm, and of a slot's two sides."""
    area = 4.0 * (math.pi * 12.0 + 2 * travel)
    found = SimpleNamespace(dx=np.array([0.25, 0.75]) * share * area)
    monkeypatch.setattr(sensor, "outer_facets", lambda body, wanted: [1, 2])
    monkeypatch.setattr(sensor, "surface", lambda body, facets: found)
    wall = TabWall((0.0, 0.0, 0.0), (0.0, 0.0, 4.0), 12.0, (travel, 0.0, 0.0))
    if there:
        assert sensor.wall_surface(cast(Any, None), wall) is found
    else:
        with pytest.raises(FemError, match="not where it should be"):
            sensor.wall_surface(cast(Any, None), wall)


@pytest.mark.parametrize(("hole", "across"), [(6.0, 10.0), (7.0, 10.0), (8.0, 11.0)])
def test_a_washer_bears_all_round_its_hole(hole: float, across: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """By a millimetre and a half to each side, here: one of 10 mm on a hole of 8 is taken as larger."""
    monkeypatch.setattr(setup, "LEAST_BEARING", 1.5)
    monkeypatch.setattr(setup, "bolt_of", lambda mount: None)
    monkeypatch.setattr(setup, "washer_across_mm", lambda bolt: 10.0)
    assert setup.washer_diameter(cast(Any, SimpleNamespace(hole=hole)), 0.0) == pytest.approx(across)
