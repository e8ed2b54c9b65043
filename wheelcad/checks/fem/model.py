"""What the solver is given and what it answers, as plain numbers. Lengths mm, masses kg, frequencies Hz."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass, replace

Vector = tuple[float, float, float]


class FemError(Exception):
    """The solid could not be meshed or solved; the text is a sentence for the user."""


@dataclass(frozen=True)
class HeadRing:
    """A disc on a plane face, clamped where there is metal. normal: unit vector; diameter: what the head bears on."""

    centre: Vector
    normal: Vector
    diameter: float


@dataclass(frozen=True)
class TabWall:
    """The inside of a hole between two plane faces. start, end: centres of its two mouths; diameter: its width.

    travel: from one end centre to the other where the hole is a slot (start and end are then in its middle), else 0s.
    """

    start: Vector
    end: Vector
    diameter: float
    travel: Vector = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class RigidSensor:
    """A sensor as one rigid body on the wall of its hole: a uniform round rod from its nose's tip to its tail.

    tip: centre of the sensing face; look: unit vector along the nose; length: tip to tail; diameter: of the body.
    """

    mass_kg: float
    tip: Vector
    look: Vector
    length: float
    diameter: float


@dataclass(frozen=True)
class Shake:
    """A steady acceleration. name: as a finding says it ("along the sensor"); direction: unit vector."""

    name: str
    direction: Vector


@dataclass(frozen=True)
class MeshStep:
    """One mesh of the refinement. size: of its elements; unknowns: displacements solved for."""

    size_mm: float
    unknowns: int
    first_hz: float
    stress_mpa: float


@dataclass(frozen=True)
class Mode:
    """One natural frequency. moves: unit vector in which the sensing face swings (all 0 when it hardly moves).

    gap_share: share of that movement, 0 to 1, that opens and closes the air gap.
    """

    hz: float
    moves: Vector
    gap_share: float


@dataclass(frozen=True)
class ModeShare:
    """One mode's part in the answer to one steady shake; the meanings are those of `ShakeAnswer`.

    load: share of the whole moving mass that swings so, 0 to 1: of what pulls at the bolts.
    """

    gap_change_mm: float
    sideways_mm: Vector
    stress_mpa: float
    load: float


@dataclass(frozen=True)
class ShakeAnswer:
    """What one shake does. gap_change_mm: by how much the gap grows (+) or shrinks (-); turned about, the other way.

    sideways_mm: how far the sensing face moves square to the gap, as a vector. stress_mpa: highest, away from clamps.
    modes: each mode's part in that, in the order of the frequencies: what grows at resonance.
    """

    name: str
    direction: Vector
    gap_change_mm: float
    sideways_mm: Vector
    stress_mpa: float
    modes: tuple[ModeShare, ...] = ()


@dataclass(frozen=True)
class Held:
    """The bracket with one clamping. how: in words; frequencies_hz: rising; shakes: steady answers of SHAKE_G."""

    how: str
    frequencies_hz: tuple[float, ...]
    shakes: tuple[ShakeAnswer, ...]

    @property
    def first_hz(self) -> float:
        """The first natural frequency."""
        return self.frequencies_hz[0]


def scaled(held: Held, times: float) -> Held:
    """The bracket with every frequency so many times as high, rounded to the digits that are reported: it gives way
    1/times² as much, its stress is 1/times as high (that of a thicker plate falls more slowly than its movement)."""
    soft = 1 / times**2
    shakes = tuple(
        replace(
            shake,
            gap_change_mm=shake.gap_change_mm * soft,
            sideways_mm=_times(shake.sideways_mm, soft),
            stress_mpa=shake.stress_mpa / times,
            modes=tuple(
                ModeShare(m.gap_change_mm * soft, _times(m.sideways_mm, soft), m.stress_mpa / times, m.load)
                for m in shake.modes
            ),
        )
        for shake in held.shakes
    )
    return Held(held.how, tuple(hz * times for hz in held.frequencies_hz), shakes)


def _times(v: Vector, by: float) -> Vector:
    x, y, z = v
    return x * by, y * by, z * by


@dataclass(frozen=True)
class BracketChange:
    """A change to the bracket, or several at once. what: as the job file says it; first_hz: on a coarse mesh; None when
    it cannot be made, and why_not. held: both clampings on that mesh; cost: what orders changes, the least work first.
    """

    name: str
    what: str
    first_hz: float | None
    why_not: str = ""
    held: tuple[Held, ...] = ()
    cost: float = 0.0


@dataclass(frozen=True)
class BracketProposals:
    """What would mend a bracket. base: as it is, on the mesh of the changes, and base_mesh that mesh; singles: one
    change each, best first;
    combined: those confirmed by finite elements that are enough, cheapest first; tried: how many combinations were
    reckoned; map: first frequency by sensor.at, estimated; wanted: times as stiff as it must be in frequency, inf where
    none would do, 1 where it is enough as it is; mount_within_mm: free length that would do, 0 where not worked out.
    """

    base: tuple[Held, ...] = ()
    singles: tuple[BracketChange, ...] = ()
    combined: tuple[BracketChange, ...] = ()
    tried: int = 0
    map: tuple[tuple[float, float], ...] = ()
    wanted: float = 1.0
    mount_within_mm: float = 0.0
    base_mesh: MeshStep | None = None

    def report(self) -> dict[str, object]:
        """As report.json holds it."""
        changes = [*self.singles, *(one for one in self.combined if one not in self.singles)]
        return {
            "base_hz": self.base[0].first_hz if self.base else None,
            "frequency_times": self.wanted if math.isfinite(self.wanted) else None,
            "changes": [
                {
                    "name": c.name,
                    "what": c.what,
                    "first_hz": c.first_hz,
                    "enough": c in self.combined,
                    "why_not": c.why_not,
                }
                for c in changes
            ],
            "combinations_reckoned": self.tried,
            "by_sensor_at": [{"at_deg": at, "first_hz": hz} for at, hz in self.map],
        }


@dataclass(frozen=True)
class StiffnessResult:
    """The finite elements' answer. modes: rising frequency. error_hz: estimate for the first; converged: refinement
    moved it by less than the limit. stress_mpa and stress_at: highest away from clamps, over all shakes;
    stress_error_mpa: its change at the last refinement. volume_mm3: of the last mesh, to hold against the file's.
    """

    modes: tuple[Mode, ...]
    error_hz: float
    converged: bool
    meshes: tuple[MeshStep, ...]
    shakes: tuple[ShakeAnswer, ...]
    shake_g: float
    stress_mpa: float
    stress_error_mpa: float
    stress_at: Vector
    volume_mm3: float
    method: str
    soft: Held | None = None
    stiff: Held | None = None
    proposals: BracketProposals = BracketProposals()

    @property
    def first_hz(self) -> float:
        """The first natural frequency."""
        return self.modes[0].hz

    def mended_by(self, found: BracketProposals) -> StiffnessResult:
        """With what would mend it, and with its softer clamping: what that takes away is found on the proposals' coarse
        mesh, beside this answer, and taken off it; a finer mesh moves both alike."""
        if len(found.base) < 2 or self.stiff is None:
            return replace(self, proposals=found)
        soft, stiff = found.base
        return replace(self, proposals=found, soft=scaled(soft, self.stiff.first_hz / stiff.first_hz))

    @property
    def held(self) -> tuple[Held, ...]:
        """Both clampings, the softer first; the one solved where only one was."""
        one = Held("", tuple(mode.hz for mode in self.modes), self.shakes)
        return tuple(held for held in (self.soft, self.stiff) if held is not None) or (one,)

    @property
    def range_hz(self) -> tuple[float, float]:
        """First frequency with the softer and with the stiffer clamping."""
        first = [held.first_hz for held in self.held]
        return min(first), max(first)

    def report(self) -> dict[str, object]:
        """The stiffness part of report.json; keys carry their unit."""
        return {
            "frequencies_hz": [mode.hz for mode in self.modes],
            "first_frequency_error_hz": self.error_hz,
            "converged": self.converged,
            "meshes": [asdict(mesh) for mesh in self.meshes],
            "modes": [asdict(mode) for mode in self.modes],
            "shake_g": self.shake_g,
            "shakes": [{k: v for k, v in asdict(shake).items() if k != "modes"} for shake in self.shakes],
            "first_frequency_range_hz": list(self.range_hz),
            "clampings": [{"held": h.how, "frequencies_hz": list(h.frequencies_hz)} for h in self.held],
            "highest_stress_mpa": self.stress_mpa,
            "highest_stress_change_mpa": self.stress_error_mpa,
            "highest_stress_at_mm": list(self.stress_at),
            "proposals": self.proposals.report(),
            "method": self.method,
        }
