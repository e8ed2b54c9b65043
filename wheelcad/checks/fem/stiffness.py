"""The stiffness of one bracket: meshes of falling size until the first natural frequency stands still."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from scipy.spatial import cKDTree

from wheelcad.arrays import Bools, Floats, Ints
from wheelcad.checks.fem.elastic import (
    Body,
    Elastic,
    elastic_body,
    inertia_force,
    stresses,
    von_mises,
)
from wheelcad.checks.fem.mesh import Fineness, mesh_step, unit
from wheelcad.checks.fem.model import (
    FemError,
    HeadRing,
    Held,
    MeshStep,
    Mode,
    ModeShare,
    RigidSensor,
    Shake,
    ShakeAnswer,
    StiffnessResult,
    TabWall,
    Vector,
)
from wheelcad.checks.fem.sensor import Hung, hang
from wheelcad.checks.fem.solve import Modes, Solver
from wheelcad.checks.fem.surface import nodes_of, outer_facets
from wheelcad.trade.materials import Material
from wheelcad.words import length

GRAVITY = 9806.65  # mm/s²
SHAKE_G = 10.0
MODES = 3
STANDS_STILL = 0.01  # refinement is over when it moves the first frequency by less than this share
SIZE = 2.0  # of the plate's thickness: the elements of the second mesh
PER_TURN = 8.0  # of them round a full circle, at least
AT_RING = 0.08  # of a washer's diameter: on its edge
LEAST_ERROR = 0.02  # of the frequency, see `mesh_error`
REFINE = 0.75  # each mesh's size over the one before
START = 1 / REFINE  # of the first mesh over the sizes above: coarse, good to one or two per cent
COARSE = 2.0  # of a mesh that only compares shapes
SOFT = "held under the washers on the block's face alone"
STIFF = "held under them on both faces"
MOST_MESHES = 5
MOST_UNKNOWNS = 70_000  # the next mesh is not tried when it would have more
MOST_SQUARES = 150.0  # of the second mesh's size on one face of the plate
MOST_SMALL_SQUARES = 2500.0  # of its smallest size
FINEST = 20.0  # times as small as the size all over: the smallest elements, at bends, holes and rings
ON_FACE = 1e-3  # mm: a ring's nodes lie this close to its plane
DIGITS = 5  # significant digits reported: the solver's own are good to more


@dataclass(frozen=True)
class Bolted:
    """One mesh of the bracket, clamped and with its sensor hung on it."""

    body: Body
    solver: Solver
    hung: Hung
    held: Bools


@dataclass(frozen=True)
class _Solved:
    """One mesh's answers."""

    step: MeshStep
    bolted: Bolted
    modes: Modes
    answers: tuple[ShakeAnswer, ...]
    worst_at: Vector


def stiffness(
    step_path: Path,
    clamps: Sequence[HeadRing],
    wall: TabWall,
    sensor: RigidSensor,
    material: Material,
    thickness: float,
    shakes: Sequence[Shake],
    area: float = 0.0,
    start: float = START,
) -> StiffnessResult:
    """First frequencies, change of air gap under each shake of 10 g, and highest stress, refined until settled.

    step_path: the folded bracket, gussets as further solids that touch it (taken as welded all round). clamps: the
    rings of bolt heads or washers, on every face they press on. thickness: of the plate, mm: sets the mesh's size and
    how far from clamps stress counts (a clamp's edge is a mathematical corner where it has no limit). area: of one face
    of the plate, mm²: keeps the mesh of a very large one from growing without end. start: size of the first mesh, see
    `fineness`. Raises FemError.
    """
    solved: list[_Solved] = []
    times = start
    while True:
        fine = fineness(thickness, times, area)
        solved.append(
            _solved(bolt(step_path, clamps, wall, sensor, material, fine), fine, shakes, thickness, bool(solved))
        )
        last = solved[-1]
        if len(solved) > 1 and _moved(solved[-2].modes, last.modes) < STANDS_STILL:
            break
        if len(solved) >= MOST_MESHES or last.step.unknowns / REFINE**2 > MOST_UNKNOWNS:
            break
        times *= REFINE
    return _result(solved)


def fineness(thickness: float, times: float, area: float = 0.0) -> Fineness:
    """The mesh of a bracket of this plate (see `stiffness`), its elements `times` as large as the second mesh's."""
    size = max(SIZE * thickness, math.sqrt(area / MOST_SQUARES))
    least = max(size / FINEST, math.sqrt(area / MOST_SMALL_SQUARES))
    return Fineness(size * times, PER_TURN / times, AT_RING * times, least * times)


def bolt(
    step_path: Path,
    clamps: Sequence[HeadRing],
    wall: TabWall,
    sensor: RigidSensor,
    material: Material,
    fine: Fineness,
    imprinted: Sequence[HeadRing] = (),
) -> Bolted:
    """One mesh, clamped, with the sensor on its wall. FemError when a ring or the wall is not on the solid.

    imprinted: further rings on its faces, by which it may be clamped afterwards.
    """
    rings = list(dict.fromkeys([*clamps, *imprinted]))
    body = elastic_body(mesh_step(step_path, rings, fine), Elastic.of(material))
    hung = hang(body, wall, sensor)
    held = _held(body, clamps)
    return Bolted(body, Solver(body, np.repeat(held, 3), hung.attached), hung, held)


def _held(body: Body, rings: Sequence[HeadRing]) -> Bools:
    held = np.zeros(body.size, dtype=bool)
    for ring in rings:
        held[ring_nodes(body, ring)] = True
    return held


def clamped_by(bolted: Bolted, rings: Sequence[HeadRing]) -> Bolted:
    """The same mesh held by other rings, which must have been imprinted on it."""
    held = _held(bolted.body, rings)
    return replace(bolted, solver=Solver(bolted.body, np.repeat(held, 3), bolted.hung.attached), held=held)


def coarse(
    step_path: Path,
    clamps: Sequence[HeadRing],
    wall: TabWall,
    sensor: RigidSensor,
    material: Material,
    thickness: float,
    shakes: Sequence[Shake],
    area: float = 0.0,
    softer: Sequence[HeadRing] = (),
) -> tuple[Held, ...]:
    """The clampings (the softer first) on one mesh coarser than the first of `stiffness`, for comparing shapes."""
    fine = fineness(thickness, COARSE, area)
    bolted = bolt(step_path, clamps, wall, sensor, material, fine, softer)
    out = []
    for how, rings in ((SOFT, softer), (STIFF, clamps)):
        if rings:
            one = bolted if rings is clamps else clamped_by(bolted, rings)
            out.append(_as_held(how, _solved(one, fine, shakes, thickness)))
    return tuple(out)


def _as_held(how: str, solved: _Solved) -> Held:
    return Held(how, tuple(rounded(hz) for hz in solved.modes.frequencies), solved.answers)


def ring_nodes(body: Body, ring: HeadRing) -> Ints:
    """Nodes of the outer triangles within the ring. FemError when there are none."""
    centre, normal = np.array(ring.centre), unit(ring.normal)

    def wanted(corners: Floats) -> Bools:
        away = corners - centre
        flat = (np.abs(away @ normal) < ON_FACE).all(axis=-1)
        middle = away.mean(axis=1)
        across = np.linalg.norm(middle - np.outer(middle @ normal, normal), axis=-1)
        return np.asarray(flat & (across < ring.diameter / 2))

    found = outer_facets(body, wanted)
    if not len(found):
        at = ", ".join(length(value, 1) for value in ring.centre)
        raise FemError(f"no face of the solid lies under the bolt head at {at}")
    return nodes_of(body, found)


def _solved(
    bolted: Bolted, fine: Fineness | None, shakes: Sequence[Shake], keep_off: float, by_mode: bool = True
) -> _Solved:
    """by_mode: whether the higher modes, and each mode's share, are worked out as well."""
    modes = bolted.solver.modes(MODES if by_mode else 1)
    answers, at = _shaken(bolted, modes, shakes, keep_off, by_mode)
    worst = max(answer.stress_mpa for answer in answers)
    size = 0.0 if fine is None else rounded(fine.size)
    return _Solved(
        MeshStep(size, bolted.solver.unknowns, rounded(modes.frequencies[0]), worst), bolted, modes, answers, at
    )


def _shaken(
    bolted: Bolted, modes: Modes, shakes: Sequence[Shake], keep_off: float, by_mode: bool
) -> tuple[tuple[ShakeAnswer, ...], Vector]:
    """The answers, and where the highest stress of all lies."""
    body, hung = bolted.body, bolted.hung
    clamped = cKDTree(body.places[bolted.held])
    counts = clamped.query(body.places)[0] > keep_off
    if not counts.any():
        raise FemError("the bracket is clamped all over")
    own = [
        _Swing(shape, hz, *_moves(hung, shape), _highest(body, shape, counts)[0])
        for hz, shape in (modes.pairs() if by_mode else ())
    ]
    weight = float(body.mass.sum()) + hung.mass
    out, worst, at = [], -1.0, np.zeros(3)
    for shake in shakes:
        direction = unit(shake.direction)
        force = inertia_force(body, direction, SHAKE_G * GRAVITY) + hung.inertia_force(direction, SHAKE_G * GRAVITY)
        displacement = bolted.solver.displacement(force)
        towards, aside = _moves(hung, displacement)
        peak, where = _highest(body, displacement, counts)
        if peak > worst:
            worst, at = peak, body.places[where]
        shares = tuple(swing.share(force, weight) for swing in own)
        answer = ShakeAnswer(shake.name, shake.direction, rounded(-towards), _vector(aside), rounded(peak), shares)
        out.append(answer)
    return tuple(out), _vector(np.round(at, 3))


@dataclass(frozen=True)
class _Swing:
    """A mode, mass-normalised: what moves, and its highest stress."""

    shape: Floats
    hz: float
    towards: float
    aside: Floats
    stress: float

    def share(self, force: Floats, weight: float) -> ModeShare:
        """Its part in the answer to steady forces (3n,) of SHAKE_G. weight: of all that moves, tonnes."""
        driven = float(self.shape @ force)
        times = driven / (2 * math.pi * self.hz) ** 2
        load = (driven / (SHAKE_G * GRAVITY)) ** 2 / weight
        stress = rounded(abs(times) * self.stress)
        return ModeShare(rounded(-times * self.towards), _vector(times * self.aside), stress, rounded(load))


def _moves(hung: Hung, displacement: Floats) -> tuple[float, Floats]:
    """How far the sensing face goes towards the wheel, and square to that as a vector."""
    tip = hung.tip_moves(displacement)
    towards = float(tip @ hung.look)
    return towards, tip - towards * hung.look


def _highest(body: Body, displacement: Floats, counts: Bools) -> tuple[float, int]:
    """Highest equivalent stress where it counts, MPa, and its node."""
    stress = np.where(counts, von_mises(stresses(body, displacement)), 0.0)
    peak = int(np.argmax(stress))
    return float(stress[peak]), peak


def _moved(before: Modes, after: Modes) -> float:
    """By what share the first frequency moved."""
    return float(abs(after.frequencies[0] / before.frequencies[0] - 1))


def _result(solved: list[_Solved]) -> StiffnessResult:
    last, steps = solved[-1], [one.step for one in solved]
    final = last.modes
    converged = len(solved) > 1 and _moved(solved[-2].modes, final) < STANDS_STILL
    error = mesh_error([float(one.modes.frequencies[0]) for one in solved])
    previous = steps[-2].stress_mpa if len(steps) > 1 else 0.0
    return StiffnessResult(
        modes=tuple(_mode(last.bolted, hz, shape) for hz, shape in final.pairs()),
        error_hz=rounded(error, 2),
        converged=converged,
        meshes=tuple(steps),
        shakes=last.answers,
        shake_g=SHAKE_G,
        stress_mpa=steps[-1].stress_mpa,
        stress_error_mpa=rounded(abs(steps[-1].stress_mpa - previous), 2),
        stress_at=last.worst_at,
        volume_mm3=rounded(last.bolted.body.volume, 7),
        method=_method(steps[-1]),
        stiff=_as_held(STIFF, last),
    )


def mesh_error(first: Sequence[float]) -> float:
    """By how much the last of the first frequencies, Hz, of meshes REFINE times as fine each may be too high, Hz; inf
    for one mesh alone.

    The error of a clamp's sharp edge falls in proportion to the size: what is left is a geometric series. Never under
    LEAST_ERROR of the frequency, which is not computed: the meshes differ in more than their size (elements round
    holes, bends and rings come in whole numbers), so that two may agree by chance, and the rate seen over two
    refinements foretells nothing either. Seen on random brackets at 2, 4/3, 1 and 0.6 of the size:
    296.39, 295.14, 294.76, then 292.20 Hz; 395.61, 390.84, 390.28, then 387.48 Hz. The last step is seven and five
    times the one before it. A factor on the sum of both steps before that covers the first bracket (1.6, or 4 with what
    a still finer mesh would take off) claims 2.2 or 5.5 per cent for the second, which is off by 0.7 or 1.8.
    """
    if len(first) < 2:
        return math.inf
    series = abs(first[-1] - first[-2]) * REFINE / (1 - REFINE)
    return max(series, LEAST_ERROR * first[-1])


def _method(step: MeshStep) -> str:
    return (
        f"3-D finite elements, quadratic tetrahedra of {length(step.size_mm, 1)}, {step.unknowns} unknowns; clamped "
        "under the bolts' washers, sensor as a rigid rod on the wall of its hole, gussets as if welded all round"
    )


def _mode(bolted: Bolted, hz: float, shape: Floats) -> Mode:
    tip = bolted.hung.tip_moves(shape)
    length = float(np.linalg.norm(tip))
    swing = tip / length
    lead = swing[int(np.argmax(np.abs(swing)))]
    swing = swing * np.sign(lead)  # a swing has no sign of its own
    moves = tuple(round(float(v), 3) + 0.0 for v in swing)
    return Mode(rounded(hz), (moves[0], moves[1], moves[2]), round(abs(float(swing @ bolted.hung.look)), 3))


def rounded(value: float, digits: int = DIGITS) -> float:
    """To significant digits, so that the last bits of a sum do not reach a file."""
    return float(f"{value:.{digits}g}")


def _vector(v: Floats) -> Vector:
    x, y, z = (rounded(float(c)) + 0.0 for c in v)
    return x, y, z
