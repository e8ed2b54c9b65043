"""What the solver is given of a bracket, and what is made of its answer, by hand; and what would stiffen it."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
from scipy.sparse import csr_matrix

from wheelcad.checks.fem import proposals, sensor, setup, stiffness
from wheelcad.checks.fem.model import FemError, HeadRing, MeshStep, RigidSensor, TabWall
from wheelcad.job.models import Mount
from wheelcad.words import Words

Floats = np.ndarray[Any, np.dtype[np.float64]]


# --- what is made of an answer -------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("place", "away"),
    [
        ((5.0, 0.0, 0.0), False),
        ((5.01, 0.0, 0.0), True),
        ((-5.01, 0.0, 0.0), True),
        ((3.0, 4.0, 0.0), False),
        ((3.0, 4.1, 0.0), True),
        ((4.0, 4.0, 0.0), True),  # in the box round it, but not within its reach
        ((0.0, 0.0, -5.0), False),
        ((22.0, 3.0, 4.0), False),
        ((40.0, 0.0, 0.0), True),
    ],
)
def test_stress_counts_beyond_a_plate_s_thickness_from_every_clamp(
    place: tuple[float, float, float], away: bool
) -> None:
    """Of two rings, one node each at the axis, another at (22, 0, 0)."""
    places = np.array([[0.0, 0.0, 0.0], [22.0, 0.0, 0.0], [23.0, 0.0, 0.0], place])
    held = (np.array([0]), np.array([1, 2]))
    bolted = cast(Any, SimpleNamespace(body=SimpleNamespace(places=places, size=4), held=held))
    assert stiffness._away(bolted, 5.0).tolist() == [False, False, False, away]


def test_a_mode_s_part_in_a_slow_shake() -> None:
    """Driven by 6·2 - 3·1 = 9 N at 50 Hz it moves by 9/(100·pi)²; it is (9/98066.5)² of all the mass that swings."""
    swing = stiffness._Swing(np.array([2.0, -1.0]), 50.0, 3.0, np.array([0.5, -0.25, 0.0]), 7.0)
    share = swing.share(np.array([6.0, 3.0]), 1e-7)
    times = 9.0 / (100 * math.pi) ** 2
    assert share.gap_change_mm == pytest.approx(-3 * times, rel=1e-4)
    assert share.sideways_mm == pytest.approx((0.5 * times, -0.25 * times, 0.0), rel=1e-4)
    assert share.stress_mpa == pytest.approx(7 * times, rel=1e-4)
    assert share.load == pytest.approx((9 / 98066.5) ** 2 / 1e-7, rel=1e-4)
    back = stiffness._Swing(np.array([-2.0, 1.0]), 50.0, 3.0, np.zeros(3), 7.0).share(np.array([6.0, 3.0]), 1e-7)
    assert (back.stress_mpa, back.gap_change_mm) == (share.stress_mpa, -share.gap_change_mm)


@pytest.mark.parametrize(
    ("tip", "moves", "share"),
    [
        ((0.6, 0.0, 0.8), (0.6, 0.0, 0.8), 0.8),
        ((-3.0, 0.0, -4.0), (0.6, 0.0, 0.8), 0.8),  # a swing has no sign of its own
        ((0.0, -2.0, 0.0), (0.0, 1.0, 0.0), 0.0),
        ((1.0, -2.0, 2.0), (-0.333, 0.667, -0.667), 0.667),
    ],
)
def test_where_a_mode_swings_the_nose(
    tip: tuple[float, float, float], moves: tuple[float, float, float], share: float
) -> None:
    hung = SimpleNamespace(tip_moves=lambda shape: np.array(tip), look=np.array([0.0, 0.0, 1.0]))
    mode = stiffness._mode(cast(Any, SimpleNamespace(hung=hung)), 123.456, np.zeros(3))
    assert (mode.hz, mode.moves, mode.gap_share) == (123.46, moves, share)
    towards, aside = stiffness._moves(cast(Any, hung), np.zeros(3))
    assert (towards, aside.tolist()) == (tip[2], [tip[0], tip[1], 0.0])


def test_meshes_in_proportion_to_the_first(monkeypatch: pytest.MonkeyPatch) -> None:
    """Twice as coarse a start: all of them; the first without the higher modes, those after it with them."""
    asked: list[tuple[float, bool]] = []
    left = iter([2.0, 1.0, 0.75, None])
    monkeypatch.setattr(stiffness, "next_size", lambda steps: next(left))
    monkeypatch.setattr(
        stiffness, "one_mesh", lambda path, given, times, by_mode: asked.append((times, by_mode)) or times
    )
    monkeypatch.setattr(stiffness, "refined", lambda result, steps: SimpleNamespace(meshes=(*steps, result)))
    found = stiffness.stiffness(cast(Any, None), cast(Any, None), 4.0)
    assert (asked, found.meshes) == ([(4.0, False), (2.0, True), (1.5, True)], (4.0, 2.0, 1.5))


# --- a sensor on its wall ------------------------------------------------------------------------------------------
ROD = RigidSensor(0.08, (20.0, 3.0, 31.0), (0.0, 6.0, 8.0), 40.0, 12.0)


def hung(monkeypatch: pytest.MonkeyPatch, motion: Floats) -> sensor.Hung:
    """The rod on a wall about (14, -5, 7)."""
    monkeypatch.setattr(sensor, "wall_surface", lambda body, wall: None)
    monkeypatch.setattr(sensor, "mean_motion", lambda body, on: (np.array([14.0, -5.0, 7.0]), csr_matrix(motion)))
    return sensor.hang(cast(Any, None), cast(Any, None), ROD)


def test_a_rod_s_inertia_whichever_way_it_lies(monkeypatch: pytest.MonkeyPatch) -> None:
    """As six points of a sixth of its mass that have a round rod's second moments: half its length along it to either
    side of its middle, and the root of three sixteenths of its diameter across."""
    made = hung(monkeypatch, np.eye(6))
    look = np.array([0.0, 0.6, 0.8])
    middle = np.array([20.0, 3.0, 31.0]) - 20.0 * look - made.centre
    assert made.look == pytest.approx(look)
    assert made.tip == pytest.approx([6.0, 8.0, 24.0])
    assert made.to_mass == pytest.approx(middle)
    assert made.mass == pytest.approx(8e-5)
    ways = [20.0 * look, math.sqrt(3) * 3.0 * np.array([1.0, 0, 0]), math.sqrt(3) * 3.0 * np.array([0.0, 0.8, -0.6])]
    wanted = np.zeros((6, 6))
    for at in (middle + sign * way for way in ways for sign in (1, -1)):
        moves = np.hstack([np.eye(3), np.column_stack([np.cross(turn, at) for turn in np.eye(3)])])
        wanted += 8e-5 / 6 * moves.T @ moves
    assert made.attached.inertia == pytest.approx(wanted, rel=1e-9, abs=1e-15)


def test_a_tip_moves_and_a_mass_pulls_by_their_levers(monkeypatch: pytest.MonkeyPatch) -> None:
    """By cross products: the wall's shift and turn carry the tip; the mass' force turns the wall about its middle."""
    made = hung(monkeypatch, np.eye(6))
    moved = np.array([1.0, -2.0, 3.0, 0.2, -0.3, 0.5])
    x, y, z = made.tip
    turn = np.array([-0.3 * z - 0.5 * y, 0.5 * x - 0.2 * z, 0.2 * y + 0.3 * x])
    assert made.tip_moves(moved) == pytest.approx(moved[:3] + turn)
    force = made.inertia_force(np.array([0.0, 1.0, 0.0]), 1e4)
    x, y, z = made.to_mass
    assert force == pytest.approx(0.8 * np.array([0.0, 1.0, 0.0, -z, 0.0, x]))


# --- what the solver is given --------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("hole", "thread", "bolt"), [(9.0, None, 8.0), (10.5, "M8", 8.0), (10.5, None, 10.0), (2.2, None, 2.0)]
)
def test_a_mount_s_bolt(hole: float, thread: str | None, bolt: float) -> None:
    """By its thread, by ISO 273's table, or a tenth under its hole where the table has none so small."""
    mount = Mount(x=0, y=0, hole=hole, **({"thread": thread} if thread else {}))
    assert setup.bolt_of(mount) == pytest.approx(bolt)
    assert setup.wide_washer_mm(mount) == pytest.approx(3 * bolt)
    # a head's face of 1.5 bolts and a cone of 30 degrees. Source: Shigley, frusta of pressure, from memory
    assert setup.pressed_mm(mount, 6.0) == pytest.approx(1.5 * bolt + 12.0 / math.sqrt(3))


def frame(shift: tuple[float, float, float]) -> Any:
    """A plane part's frame: its x and y run along the engine's y and z."""

    def points(at: Any) -> Floats:
        return np.asarray(np.asarray(at, dtype=float) @ np.array([[0.0, 1, 0], [0, 0, 1], [1, 0, 0]]) + np.array(shift))

    return SimpleNamespace(points=points)


def test_a_sensor_s_hole_through_the_plate() -> None:
    """A slot from (10, 20) to (16, 20) of its plane part, 5 mm thick."""
    hole = SimpleNamespace(region="tab", middle=(13.0, 20.0), x0=10.0, y0=20.0, x1=16.0, y1=20.0, diameter=12.0)
    design = SimpleNamespace(
        hole=lambda use: hole if use == "body" else None,
        region=lambda name: SimpleNamespace(frame=frame((1.0, 2.0, 3.0)), name=name),
        thickness=5.0,
    )
    wall = setup._wall(cast(Any, design))
    assert (wall.start, wall.end) == ((1.0, 15.0, 23.0), (6.0, 15.0, 23.0))
    assert (wall.travel, wall.diameter) == ((0.0, 6.0, 0.0), 12.0)


def asked_of(module: Any, call: Any, monkeypatch: pytest.MonkeyPatch) -> Any:
    """What a function asks of the corners (3, 3) of an outer triangle."""
    kept: list[Any] = []
    monkeypatch.setattr(module, "outer_facets", lambda body, wanted: kept.append(wanted) or [])
    with pytest.raises(FemError):
        call()
    return lambda corners: kept[0](np.array(corners)[None]).tolist() == [True]


@pytest.mark.parametrize(("off", "on"), [(0.0192, True), (0.0208, False), (-0.0192, True), (-0.0208, False)])
def test_a_wall_s_nodes_lie_within_a_fiftieth(off: float, on: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    wall = TabWall((0.0, 0.0, 0.0), (0.0, 0.0, 4.0), 12.0)
    wanted = asked_of(sensor, lambda: sensor.wall_surface(cast(Any, None), wall), monkeypatch)
    assert wanted([[6.0, 0.0, 1.0], [0.0, 6.0, 2.0], [0.0, 6.0 + off, 1.0]]) == on
    beyond = 4.0 + abs(off)
    assert wanted([[6.0, 0.0, 1.0], [0.0, 6.0, 2.0], [0.0, 6.0, beyond]]) == on
    assert wanted([[6.0, 0.0, 1.0], [0.0, 6.0, 2.0], [0.0, 6.0, -abs(off)]]) == on


def test_a_slot_s_travel_counts_however_short(monkeypatch: pytest.MonkeyPatch) -> None:
    """Half a millimetre along x: its ends lie a quarter of one further out."""
    wall = TabWall((0.0, 0.0, 0.0), (0.0, 0.0, 4.0), 12.0, (0.5, 0.0, 0.0))
    wanted = asked_of(sensor, lambda: sensor.wall_surface(cast(Any, None), wall), monkeypatch)
    assert wanted([[6.25, 0.0, 1.0], [0.0, 6.0, 2.0], [-6.25, 0.0, 1.0]])
    assert not wanted([[6.0, 0.0, 1.0], [0.0, 6.0, 2.0], [-6.25, 0.0, 1.0]])


@pytest.mark.parametrize(("off", "on"), [(0.00096, True), (0.00104, False), (-0.00096, True), (-0.00104, False)])
def test_a_washer_s_nodes_lie_within_a_thousandth(off: float, on: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    ring = HeadRing((1.0, 2.0, 3.0), (0.0, 0.0, 1.0), 16.0)
    wanted = asked_of(stiffness, lambda: stiffness.ring_nodes(cast(Any, None), ring), monkeypatch)
    assert wanted([[1.0, 2.0, 3.0], [4.0, 2.0, 3.0], [1.0, 6.0, 3.0 + off]]) == on


@pytest.mark.parametrize(
    ("hole", "travel", "across"),
    [
        (8.9, 30.0, 10.9),  # a millimetre to either side of the hole
        (6.0, 3.71, 2 * math.hypot(4.01, 3.0)),  # would meet the slot's side 0.29 mm from its end
        (6.0, 3.69, 10.0),
        (6.0, 4.29, 2 * math.hypot(4.59, 3.0)),
        (6.0, 4.31, 10.0),
    ],
)
def test_a_washer_on_its_hole(hole: float, travel: float, across: float, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(setup, "bolt_of", lambda mount: None)
    monkeypatch.setattr(setup, "washer_across_mm", lambda bolt: 10.0)
    assert setup.washer_diameter(cast(Any, SimpleNamespace(hole=hole)), travel) == pytest.approx(across)


def place(look: tuple[float, float, float], face: tuple[float, float, float] = (30.0, 40.0, 5.0)) -> Any:
    made = SimpleNamespace(look=look, face=face, tip=(1.0, 2.0, 3.0), nose_length=30.0, body_diameter=12.0)
    return cast(Any, SimpleNamespace(asked=SimpleNamespace(place=made), sensor_mass_kg=0.08))


def test_a_sensor_is_a_rod_from_its_tip_to_its_tail() -> None:
    rod = setup._rod(place((0.0, 0.0, 1.0)))
    assert (rod.mass_kg, rod.tip, rod.look, rod.diameter) == (0.08, (1.0, 2.0, 3.0), (0.0, 0.0, 1.0), 12.0)
    assert rod.length == pytest.approx(30.0 + setup.TAIL_LENGTH)


@pytest.mark.parametrize(
    ("look", "names", "ways"),
    [
        ((0.6, 0.8, 0.0), "along the crank", [(0.0, 0.0, 1.0), (0.8, -0.6, 0.0)]),
        ((0.0, 0.0, 1.0), "along the radius", [(0.6, 0.8, 0.0), (-0.8, 0.6, 0.0)]),
        ((0.0, 0.0, -1.0), "along the radius", [(0.6, 0.8, 0.0), (0.8, -0.6, 0.0)]),
    ],
)
def test_three_square_shakes(
    look: tuple[float, float, float], names: str, ways: list[tuple[float, float, float]]
) -> None:
    """Along the sensor; along the crank, or along the radius where it looks that way; and round the crank."""
    first, second, third = setup.shakes(place(look))
    assert [s.name for s in (first, second, third)] == ["along the sensor", names, "round the crank"]
    assert first.direction == look
    assert second.direction == pytest.approx(ways[0])
    assert third.direction == pytest.approx(ways[1])


def test_the_softer_clamping_is_the_block_s_face(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every other ring of those that bolts press on; the plate's face is its folded volume over its thickness."""
    made = {p: tuple(HeadRing((float(n), p, 0.0), (0.0, 0.0, 1.0), 9.0) for n in range(4)) for p in (0.0, 1.0)}
    monkeypatch.setattr(setup, "_rings", lambda design, wide, pressed=False: made[float(pressed)])
    for name in ("_wall", "_rod", "shakes"):
        monkeypatch.setattr(setup, name, lambda design: ())
    design = SimpleNamespace(material="mild-steel", thickness=5.0, folded_volume=30_000.0)
    given = setup.setup(cast(Any, design))
    assert (given.clamps, given.softer) == (made[0.0], (made[1.0][0], made[1.0][2]))
    assert (given.area, given.thickness) == (6000.0, 5.0)


@pytest.mark.parametrize(("coarse", "more", "asked"), [(None, 0.75, 0), (1, None, 0), (1, 0.75, 1)])
def test_a_third_mesh_is_asked_for_where_one_follows(
    coarse: int | None, more: float | None, asked: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[Any] = []
    step = None if coarse is None else MeshStep(20.0, 9, 400.0, 1.0)
    monkeypatch.setattr(setup, "refined", lambda fine, before: SimpleNamespace(meshes=before))
    monkeypatch.setattr(setup, "next_size", lambda meshes: more)
    monkeypatch.setattr(setup, "bracket_stiffness", lambda *given: seen.append(given))
    setup.joined(cast(Any, None), cast(Any, None), cast(Any, None), step)
    assert len(seen) == asked


# --- changes -------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("now", "then"),
    [
        (1.9, 2.0), (2.0, 2.5), (2.01, 2.5), (1.99, 2.5), (2.5, 3.0), (3.0, 4.0), (6.0, 8.0), (10.0, 12.0),
        (12.0, 18.0), (1.5875, 3.175), (3.175, 4.7625), (9.525, 12.7), (12.7, 19.05), (3.19, 4.7625), (3.196, 4.0),
        (7.9375, 9.525),
    ],
)  # fmt: skip
def test_the_next_plate_up(now: float, then: float) -> None:
    """In millimetres, or in sixteenths of an inch where the present one is one of those to a fiftieth of a millimetre;
    beyond the last half as much again. Source of the sizes: common practice."""
    assert proposals.next_plate(now) == pytest.approx(then)


@pytest.mark.parametrize(
    ("units", "width", "wider"),
    [("mm", 40.0, 50.0), ("mm", 44.0, 55.0), ("mm", 44.1, 60.0), ("in", 50.8, 63.5), ("in", 53.0, 69.85)],
)
def test_a_plate_a_quarter_wider(units: str, width: float, wider: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Up to whole steps of 5 mm, or of a quarter of an inch."""
    monkeypatch.setattr(proposals, "_made", lambda job: job)
    monkeypatch.setattr(proposals, "_with", lambda asked, **changes: changes)
    asked = SimpleNamespace(bracket=SimpleNamespace(width=width), job=SimpleNamespace(units=units))
    found = proposals._wider(cast(Any, SimpleNamespace(asked=asked)))
    assert cast(Any, found.made)["width"] == pytest.approx(wider)


@pytest.mark.parametrize(("times", "thick"), [(1, 6.0), (2, 8.0), (3, 10.0)])
@pytest.mark.parametrize(("inside", "kept"), [(1.0, False), (30.0, True)])
def test_thicker_plate_by_so_many_sizes(
    times: int, thick: float, inside: float, kept: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """From 5 mm; its bends at least as round as so thick a plate needs, and told where that is more than before."""
    monkeypatch.setattr(proposals, "_made", lambda job: job)
    monkeypatch.setattr(proposals, "_with", lambda asked, **changes: changes)
    monkeypatch.setattr(proposals, "least_inside_radius_mm", lambda material, thickness: 1.5 * thickness)
    plate = SimpleNamespace(
        thickness=5.0, inside_radius=inside, material="mild-steel", model_copy=lambda update: update
    )
    found = proposals._thicker(
        cast(Any, SimpleNamespace(asked=SimpleNamespace(bracket=SimpleNamespace(plate=plate)))), times
    )
    assert found.name == proposals.THICKER[times - 1]
    assert found.made == {"plate": {"thickness": thick, "inside_radius": 30.0 if kept else 1.5 * thick}}
    assert ("inside_radius" in Words().text(found.what)) != kept


@pytest.mark.parametrize(
    ("edge", "bend", "good"), [(8.0, 9.0, True), (7.9, 9.0, False), (8.0, 7.5, True), (8.0, 7.4, False)]
)
def test_wide_washers_lie_on_plate_all_round(
    edge: float, bend: float, good: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of 24 mm on a hole of 9: 7.5 mm of plate from the hole's edge, which the outline and a bend are held to."""
    monkeypatch.setattr(proposals, "wide_washer_mm", lambda mount: 24.0)
    monkeypatch.setattr(proposals, "outline_distance", lambda design, hole: edge - 0.5)
    monkeypatch.setattr(proposals, "bend_distance", lambda hole, bend_: bend)
    hole = SimpleNamespace(diameter=9.0, name="mount 1")
    asked = SimpleNamespace(bracket=SimpleNamespace(mounts=[1]))
    design = cast(Any, SimpleNamespace(asked=asked, mounts=[hole], bends=[1]))
    found = proposals._washers(design)
    assert (found.made is design, found.wide) == (good, good)
    assert "washers of 24 mm" in Words().text(found.what)
    design.bends = []
    assert (proposals._washers(design).made is design) == (edge >= 8.0)


def test_what_changes_cost_together() -> None:
    """The order in which a home shop would try them: one by one, washers first and a sensor moved last."""
    costs = proposals.COSTS
    assert sorted(costs, key=lambda name: costs[name]) == [
        "washer", "shorter-tab", "thickness", "width", "gusset", "thickness-twice", "thickness-thrice", "shorter-arm",
    ]  # fmt: skip
    # and what is as much work as what, common practice, no source
    for names, one in (
        ("washer+shorter-tab", "thickness"),
        ("washer+thickness", "width"),
        ("shorter-tab+thickness", "gusset"),
        ("washer+gusset", "thickness-thrice"),
        ("shorter-tab+gusset", "shorter-arm"),
    ):
        assert proposals.Variant(names, "", "").cost == costs[one]
    assert costs["thickness-twice"] == (costs["gusset"] + costs["thickness-thrice"]) / 2
    assert costs["washer"] == 1.0


@pytest.mark.parametrize(("shorter", "found"), [(0.95, True), (0.951, False)])
def test_an_arm_is_moved_where_it_gets_a_twentieth_shorter(
    shorter: float, found: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ten and twenty degrees to either side; the shortest that can be made with its gusset."""

    def moved(at: float) -> Any:
        return SimpleNamespace(
            free_length=100.0 * (shorter if at == 70.0 else 1.0), asked=SimpleNamespace(sensor=SimpleNamespace(at=at))
        )

    seen: list[float] = []
    plain = SimpleNamespace(with_sensor_at=lambda at: seen.append(at) or moved(at))
    whole = SimpleNamespace(with_sensor_at=moved)
    monkeypatch.setattr(proposals, "_with", lambda asked, **changes: plain if changes == {"gusset": False} else None)
    monkeypatch.setattr(proposals, "_made", lambda job: job)
    asked = SimpleNamespace(sensor=SimpleNamespace(at=80.0), job=whole)
    made = proposals._nearer(cast(Any, SimpleNamespace(asked=asked, free_length=100.0)))
    assert sorted(seen) == [60.0, 70.0, 90.0, 100.0]
    assert isinstance(made.made, str) != found
    assert made.what.startswith("sensor.at: 70 deg") == found
