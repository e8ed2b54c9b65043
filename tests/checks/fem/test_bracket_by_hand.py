"""What the solver is given of a bracket, and what is made of its answer, by hand."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
from scipy.sparse import csr_matrix

from wheelcad.checks.fem import sensor, setup, stiffness
from wheelcad.checks.fem.model import FemError, HeadRing, MeshStep, RigidSensor, TabWall
from wheelcad.job.models import Mount

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
        ((26.0, 4.0, 0.0), True),
        ((18.0, 0.0, 0.0), False),
        ((44.0, 0.0, 0.0), False),
        ((60.0, 0.0, 0.0), True),
    ],
)
def test_stress_counts_beyond_a_plate_s_thickness_from_every_clamp(
    place: tuple[float, float, float], away: bool
) -> None:
    """Of two rings, one of a node at the axis, the other of two at 22 and 40 mm along x."""
    places = np.array([[0.0, 0.0, 0.0], [22.0, 0.0, 0.0], [40.0, 0.0, 0.0], place])
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
    assert [math.copysign(1, v) for v in mode.moves if not v] == [1.0] * mode.moves.count(0.0)  # no -0.0 in a file
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


def test_a_mesh_by_itself_is_the_second_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """With its higher modes; where only the first is wanted no other is looked for."""
    asked: list[Any] = []
    monkeypatch.setattr(stiffness, "fineness", lambda given, times: asked.append(times) or SimpleNamespace(size=10.0))
    modes = SimpleNamespace(frequencies=np.array([123.456, 400.0]))
    solver = SimpleNamespace(modes=lambda count: asked.append(count) or modes, unknowns=77)
    monkeypatch.setattr(stiffness, "bolt", lambda path, given, fine: SimpleNamespace(solver=solver))
    answers = tuple(SimpleNamespace(stress_mpa=mpa) for mpa in (3.0, 9.0, 4.0))
    monkeypatch.setattr(stiffness, "_shaken", lambda bolted, modes, given, by_mode: (answers, (1.0, 2.0, 3.0)))
    monkeypatch.setattr(stiffness, "_result", lambda solved: solved)
    found = cast(Any, stiffness.one_mesh(cast(Any, None), cast(Any, None)))
    assert asked == [1.0, 3]
    assert vars(found.step) == {"size_mm": 10.0, "unknowns": 77, "first_hz": 123.46, "stress_mpa": 9.0}
    stiffness.one_mesh(cast(Any, None), cast(Any, None), 2.0, by_mode=False)
    assert asked == [1.0, 3, 2.0, 1]


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


@pytest.mark.parametrize(("thick", "across"), [(2.0, 20.0), (5.0, 15 + 10 / math.sqrt(3)), (20.0, 30.0)])
def test_a_wide_washer_holds_what_the_bolt_s_cone_meets(thick: float, across: float) -> None:
    """Of an M10 through a washer so thick: never less than a plain one of 20 mm, never more than there is, 30 mm."""
    mount = Mount(x=0, y=0, hole=10.5)
    assert setup.washer_diameter(mount, 50.0, thick, True) == pytest.approx(across)
    assert setup.washer_diameter(mount, 50.0, thick) == 30.0
    assert setup.washer_diameter(mount, 50.0, 0.0, True) == 20.0


def test_a_bracket_s_file_is_solved_where_it_lies(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(setup, "setup", lambda design: "given")
    monkeypatch.setattr(stiffness, "stiffness", lambda path, given, before: (path, given, before))
    monkeypatch.setattr(stiffness, "one_mesh", lambda path, given: (path, given))
    made = cast(Any, None)
    assert setup.bracket_stiffness(tmp_path, made) == (tmp_path / "bracket.step", "given", ())
    assert setup.bracket_fine(tmp_path, made) == (tmp_path / "bracket.step", "given")


def test_a_coarse_bracket_s_first_frequency() -> None:
    """Of the softer clamping; no more modes are asked for than that one."""
    bracket = object.__new__(setup.CoarseBracket)
    solver = SimpleNamespace(
        modes=lambda count: SimpleNamespace(frequencies=np.array([123.456789] * (count == 1) + [7.0]))
    )
    bracket._soft = cast(Any, SimpleNamespace(solver=solver))
    assert bracket.first_hz() == 123.46


def test_washers_lie_flat_on_both_faces(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(setup, "washer_diameter", lambda mount, travel, wide, pressed: 16.0)
    bracket = SimpleNamespace(
        mounts=[SimpleNamespace(x=1.0, y=2.0)], plate_back=7.0, plate=SimpleNamespace(thickness=5.0)
    )
    design = SimpleNamespace(asked=SimpleNamespace(bracket=bracket), slide=SimpleNamespace(high=3.0, low=-2.0))
    rings = setup._rings(cast(Any, design), False)
    assert rings == tuple(HeadRing((1.0, 2.0, z), (0.0, 0.0, 1.0), 16.0) for z in (7.0, 12.0))


def test_no_nought_below_zero_is_written() -> None:
    assert str(stiffness._vector(np.array([-0.0, 1.23456789, -2.0]))) == "(0.0, 1.2346, -2.0)"
