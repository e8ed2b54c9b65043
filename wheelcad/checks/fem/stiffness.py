"""The stiffness of one bracket: meshes of falling size until the first natural frequency stands still.

A mesh with its sensor (`Hanging`) may be clamped in several ways (`clamped`), each factorised once.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from wheelcad.arrays import Bools, Floats, Ints
from wheelcad.checks.fem.elastic import (
    Elastic,
    ElasticBody,
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
    ShakeAnswer,
    StiffnessResult,
    Vector,
)
from wheelcad.checks.fem.refining import COARSE, next_size, refined, rounded
from wheelcad.checks.fem.sensor import Hung, hang
from wheelcad.checks.fem.setup import BracketSetup
from wheelcad.checks.fem.solve import Modes, Solver
from wheelcad.checks.fem.surface import nodes_of, outer_facets
from wheelcad.words import length

GRAVITY = 9806.65  # mm/s²
SHAKE_G = 10.0
MODES = 3
SIZE = 2.0  # of the plate's thickness: the elements of the second mesh
PER_TURN = 8.0  # of them round a full circle, at least
AT_RING = 0.08  # of a washer's diameter: on its edge
SOFT = "held under the washers on the block's face alone"
STIFF = "held under them on both faces"
MOST_SQUARES = 150.0  # of the second mesh's size on one face of the plate
MOST_SMALL_SQUARES = 2500.0  # of its smallest size
FINEST = 20.0  # times as small as the size all over: the smallest elements, at bends, holes and rings
ON_FACE = 1e-3  # mm: a ring's nodes lie this close to its plane


@dataclass(frozen=True)
class Hanging:
    """One mesh of the bracket with its sensor hung on it, not clamped yet."""

    body: ElasticBody
    hung: Hung


@dataclass(frozen=True)
class Bolted(Hanging):
    """One mesh of the bracket, clamped and with its sensor hung on it. held: nodes under each ring."""

    solver: Solver
    held: tuple[Ints, ...]


@dataclass(frozen=True)
class _Solved:
    """One mesh's answers."""

    step: MeshStep
    bolted: Bolted
    modes: Modes
    answers: tuple[ShakeAnswer, ...]
    worst_at: Vector


def stiffness(
    step_path: Path, given: BracketSetup, start: float = COARSE, before: Sequence[MeshStep] = ()
) -> StiffnessResult:
    """First frequencies, change of air gap under each shake of 10 g, and highest stress, refined until settled.

    step_path: the folded bracket, gussets as further solids that touch it (taken as welded all round). start: size of
    the first mesh, see `fineness`, the others in proportion. before: meshes that were solved already. Raises FemError.
    """
    steps, result = tuple(before), None
    while (times := next_size(steps)) is not None:
        result = refined(one_mesh(step_path, given, times * start / COARSE, bool(steps)), steps)
        steps = result.meshes
    if result is None:
        raise FemError("no further mesh is to be solved")
    return result


def one_mesh(step_path: Path, given: BracketSetup, times: float = 1.0, by_mode: bool = True) -> StiffnessResult:
    """What one mesh finds, its error not known. times: as `fineness` has it; by_mode: with the higher modes and each
    one's share. Raises FemError."""
    fine = fineness(given, times)
    return _result(_solved(bolt(step_path, given, fine), fine, given, by_mode))


def fineness(given: BracketSetup, times: float) -> Fineness:
    """The mesh of a bracket, its elements `times` as large as the second mesh's."""
    size = max(SIZE * given.thickness, math.sqrt(given.area / MOST_SQUARES))
    least = max(size / FINEST, math.sqrt(given.area / MOST_SMALL_SQUARES))
    return Fineness(size * times, PER_TURN / times, AT_RING * times, least * times)


def hanging(step_path: Path, given: BracketSetup, rings: Sequence[HeadRing], fine: Fineness) -> Hanging:
    """One mesh with the sensor on its wall, the rings imprinted on its faces. FemError when the wall is not there."""
    body = elastic_body(mesh_step(step_path, list(dict.fromkeys(rings)), fine), Elastic.of(given.material))
    return Hanging(body, hang(body, given.wall, given.sensor))


def clamped(one: Hanging, rings: Sequence[HeadRing]) -> Bolted:
    """The mesh held by rings that were imprinted on it. FemError when one is not on the solid."""
    held = tuple(ring_nodes(one.body, ring) for ring in rings)
    still = np.zeros(one.body.size, dtype=bool)
    still[np.concatenate(held)] = True
    return Bolted(one.body, one.hung, Solver(one.body, np.repeat(still, 3), one.hung.attached), held)


def bolt(step_path: Path, given: BracketSetup, fine: Fineness) -> Bolted:
    """One mesh, clamped, with the sensor on its wall. FemError when a ring or the wall is not on the solid."""
    return clamped(hanging(step_path, given, given.clamps, fine), given.clamps)


def held_so(how: str, bolted: Bolted, given: BracketSetup) -> tuple[Held, MeshStep]:
    """What a coarse mesh answers, held one way, which `how` has in words."""
    solved = _solved(bolted, fineness(given, COARSE), given)
    return _as_held(how, solved), solved.step


def _as_held(how: str, solved: _Solved) -> Held:
    return Held(how, tuple(rounded(hz) for hz in solved.modes.frequencies), solved.answers)


def ring_nodes(body: ElasticBody, ring: HeadRing) -> Ints:
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


def _solved(bolted: Bolted, fine: Fineness, given: BracketSetup, by_mode: bool = True) -> _Solved:
    """by_mode: whether the higher modes, and each mode's share, are worked out as well."""
    modes = bolted.solver.modes(MODES if by_mode else 1)
    answers, at = _shaken(bolted, modes, given, by_mode)
    worst = max(answer.stress_mpa for answer in answers)
    step = MeshStep(rounded(fine.size), bolted.solver.unknowns, rounded(modes.frequencies[0]), worst)
    return _Solved(step, bolted, modes, answers, at)


def _shaken(bolted: Bolted, modes: Modes, given: BracketSetup, by_mode: bool) -> tuple[tuple[ShakeAnswer, ...], Vector]:
    """The answers, and where the highest stress of all lies."""
    body, hung, shakes = bolted.body, bolted.hung, given.shakes
    counts = _away(bolted, given.thickness)
    if not counts.any():
        raise FemError("the bracket is clamped all over")
    ways = [unit(shake.direction) for shake in shakes]
    forces = np.array(
        [inertia_force(body, way, SHAKE_G * GRAVITY) + hung.inertia_force(way, SHAKE_G * GRAVITY) for way in ways]
    )
    moved = bolted.solver.displacements(forces)
    shapes = modes.shapes if by_mode else modes.shapes[:0]
    stress = np.where(counts, von_mises(stresses(body, np.concatenate([moved, shapes]))), 0.0)
    peaks = stress.max(axis=1)
    own = [
        _Swing(shape, float(hz), *_moves(hung, shape), float(peak))
        for hz, shape, peak in zip(modes.frequencies, shapes, peaks[len(shakes) :], strict=False)
    ]
    weight = float(body.mass.sum()) + hung.mass
    out = []
    for shake, force, displacement, peak in zip(shakes, forces, moved, peaks, strict=False):
        towards, aside = _moves(hung, displacement)
        shares = tuple(swing.share(force, weight) for swing in own)
        found = ShakeAnswer(
            shake.name, shake.direction, rounded(-towards), _vector(aside), rounded(float(peak)), shares
        )
        out.append(found)
    worst = int(np.argmax(peaks[: len(shakes)]))
    return tuple(out), _vector(np.round(body.places[int(np.argmax(stress[worst]))], 3))


def _away(bolted: Bolted, keep_off: float) -> Bools:
    """(n,) which nodes lie farther than keep_off from every clamped one. Only those in the box round a ring are held
    against its few hundred nodes: that takes less than loading a library for it."""
    places, away = bolted.body.places, np.ones(bolted.body.size, dtype=bool)
    for nodes in bolted.held:
        ring = places[nodes]
        low, high = ring.min(axis=0) - keep_off, ring.max(axis=0) + keep_off
        near = np.flatnonzero(((places >= low) & (places <= high)).all(axis=1))
        square = (places[near] ** 2).sum(axis=1)[:, None] + (ring**2).sum(axis=1) - 2 * places[near] @ ring.T
        away[near[square.min(axis=1) <= keep_off**2]] = False
    return away


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


def _result(solved: _Solved) -> StiffnessResult:
    """One mesh's answer by itself: nothing is known of its error."""
    step = solved.step
    return StiffnessResult(
        modes=tuple(_mode(solved.bolted, hz, shape) for hz, shape in solved.modes.pairs()),
        error_hz=math.inf,
        converged=False,
        meshes=(step,),
        shakes=solved.answers,
        shake_g=SHAKE_G,
        stress_mpa=step.stress_mpa,
        stress_error_mpa=step.stress_mpa,
        stress_at=solved.worst_at,
        volume_mm3=rounded(solved.bolted.body.volume, 7),
        method=f"3-D finite elements, quadratic tetrahedra of {length(step.size_mm, 1)}, {step.unknowns} unknowns; "
        "clamped under the bolts' washers, sensor as a rigid rod on the wall of its hole, gussets as if welded all "
        "round",
        stiff=_as_held(STIFF, solved),
    )


def _mode(bolted: Bolted, hz: float, shape: Floats) -> Mode:
    tip = bolted.hung.tip_moves(shape)
    length = float(np.linalg.norm(tip))
    swing = tip / length
    lead = swing[int(np.argmax(np.abs(swing)))]
    swing = swing * np.sign(lead)  # a swing has no sign of its own
    moves = tuple(round(float(v), 3) + 0.0 for v in swing)
    return Mode(rounded(hz), (moves[0], moves[1], moves[2]), round(abs(float(swing @ bolted.hung.look)), 3))


def _vector(v: Floats) -> Vector:
    x, y, z = (rounded(float(c)) + 0.0 for c in v)
    return x, y, z
