"""What the solver is given and what it answers, as plain numbers. Lengths mm, masses kg, frequencies Hz."""

from __future__ import annotations

from dataclasses import dataclass

Vector = tuple[float, float, float]


class FemError(Exception):
    """The solid could not be meshed or solved; the text is a sentence for the user."""


@dataclass(frozen=True)
class Ring:
    """A disc on a plane face, clamped where there is metal. normal: unit vector; diameter: what the head bears on."""

    centre: Vector
    normal: Vector
    diameter: float


@dataclass(frozen=True)
class Wall:
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
class ShakeAnswer:
    """What one shake does. gap_change_mm: by how much the gap grows (+) or shrinks (-); turned about, the other way.

    sideways_mm: how far the sensing face moves square to the gap, as a vector. stress_mpa: highest, away from clamps.
    """

    name: str
    direction: Vector
    gap_change_mm: float
    sideways_mm: Vector
    stress_mpa: float


@dataclass(frozen=True)
class Change:
    """A change to the bracket. what: as the job file says it; first_hz: on a mesh as coarse as the first; None when it
    cannot be made, and why_not."""

    name: str
    what: str
    first_hz: float | None
    why_not: str = ""


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
    proposals: tuple[Change, ...] = ()

    @property
    def first_hz(self) -> float:
        """The first natural frequency."""
        return self.modes[0].hz

    @property
    def base_hz(self) -> float:
        """What changes are held against: the first frequency on the first mesh, as coarse as theirs."""
        return self.meshes[0].first_hz

    def report(self) -> dict[str, object]:
        """The stiffness part of report.json; keys carry their unit."""
        return {
            "frequencies_hz": [mode.hz for mode in self.modes],
            "first_frequency_error_hz": self.error_hz,
            "converged": self.converged,
            "meshes": [
                {"size_mm": m.size_mm, "unknowns": m.unknowns, "first_hz": m.first_hz, "stress_mpa": m.stress_mpa}
                for m in self.meshes
            ],
            "modes": [{"hz": m.hz, "moves": list(m.moves), "gap_share": m.gap_share} for m in self.modes],
            "shake_g": self.shake_g,
            "shakes": [
                {
                    "name": s.name,
                    "direction": list(s.direction),
                    "gap_change_mm": s.gap_change_mm,
                    "sideways_mm": list(s.sideways_mm),
                    "stress_mpa": s.stress_mpa,
                }
                for s in self.shakes
            ],
            "highest_stress_mpa": self.stress_mpa,
            "highest_stress_change_mpa": self.stress_error_mpa,
            "highest_stress_at_mm": list(self.stress_at),
            "proposals": [
                {"name": p.name, "what": p.what, "first_hz": p.first_hz, "base_hz": self.base_hz, "why_not": p.why_not}
                for p in self.proposals
            ],
            "method": self.method,
        }
