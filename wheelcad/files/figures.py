"""What is known of a body, as plain numbers that travel between processes without the kernel."""

from __future__ import annotations

from dataclasses import dataclass, field

from wheelcad.arrays import Floats
from wheelcad.findings import Finding


@dataclass(frozen=True)
class BodyFigures:
    """volume mm³; centre x, y, z mm; polar: ∫(x²+y²) dV about the crank axis, mm⁵; valid: the kernel's own verdict;
    solids: how many there are."""

    volume: float
    centre: tuple[float, float, float]
    polar: float
    valid: bool
    solids: int

    @property
    def first(self) -> tuple[float, float, float]:
        """∫x, ∫y, ∫z dV, mm⁴."""
        x, y, z = self.centre
        return x * self.volume, y * self.volume, z * self.volume


@dataclass(frozen=True)
class FaceFigure:
    """A plane or round face of a solid. kind: plane, cylinder or other. direction: outward normal, or the axis (unit,
    its first large component positive). point: on the plane or axis, mm. radius: of a cylinder, mm. area mm².
    solid: number of the solid it belongs to, from 0."""

    kind: str
    direction: tuple[float, float, float]
    point: tuple[float, float, float]
    radius: float
    area: float
    solid: int


@dataclass(frozen=True)
class Meetings:
    """What the kernel finds in assembly.step. names: of its parts; shared: pairs of parts with their common volume,
    mm³, where there is any; gap: distance from the sensor to a tooth turned to face it, mm (NaN without a sensor).
    meshes: of every part, coarse, triangles (n, 3, 3) mm."""

    names: tuple[str, ...]
    shared: tuple[tuple[str, str, float], ...]
    gap: float
    meshes: dict[str, Floats] = field(default_factory=dict)


@dataclass(frozen=True)
class KernelResult:
    """figures: of each NAME.step as re-read; undrilled: of the wheel before correction holes; bracket_faces: of
    bracket.step as re-read, empty without one; meetings: in assembly.step, None without one; before_readings: of the
    wheel as it was when each reading on level edges was taken. meshes: of each NAME.step as re-read, triangles
    (n, 3, 3) mm. judged: what was found in the STEP files where that was done already beside the kernel, else None."""

    figures: dict[str, BodyFigures]
    undrilled: BodyFigures
    bracket_faces: tuple[FaceFigure, ...] = ()
    meetings: Meetings | None = None
    before_readings: tuple[BodyFigures, ...] = ()
    meshes: dict[str, Floats] = field(default_factory=dict)
    judged: tuple[Finding, ...] | None = None


@dataclass(frozen=True)
class PartFound:
    """What was found in the re-read files of one part. figures: None where its STEP file cannot be read; volume: its
    mesh against its solid; solid: its solid against the design; faces_judged: a bracket's plane and round faces.
    undrilled, before: of the wheel alone, as in KernelResult."""

    figures: BodyFigures | None
    volume: tuple[Finding, ...]
    solid: tuple[Finding, ...]
    faces_judged: tuple[Finding, ...] = ()
    undrilled: BodyFigures | None = None
    before: tuple[BodyFigures, ...] = ()


@dataclass(frozen=True)
class AssemblyFound:
    """What was found in assembly.step, and how it was judged."""

    meetings: Meetings
    judged: tuple[Finding, ...]
