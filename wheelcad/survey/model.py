"""What a survey by distances starts from and what it ends in. Lengths in mm, engine frame (see trade/frames.py).

Reading: a distance between two points. Known point: its place is known (the crank axis, the pulley's bolts at TDC).
Sought point: its x and y are to be found; its z is known. Suspect: a reading that the others do not allow.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from wheelcad.arrays import Floats
from wheelcad.survey.spread import LIMIT_SDS


@dataclass(frozen=True)
class DistanceReading:
    """A distance as read. slant: straight between the points; otherwise as seen along the crank."""

    start: str
    end: str
    is_mm: float
    slant: bool = False

    @property
    def name(self) -> str:
        """The two points, as messages name the reading."""
        return f"{self.start} to {self.end}"


@dataclass(frozen=True)
class Distances:
    """known: name -> x, y, z; sought: name -> z; read_to_mm: the 95 % limit of every reading.

    clock: name -> hours as on a clock's face seen facing the wheel (12 is +Y), where two answers are possible.
    """

    known: Mapping[str, tuple[float, float, float]]
    sought: Mapping[str, float]
    readings: tuple[DistanceReading, ...]
    read_to_mm: float
    clock: Mapping[str, float] = field(default_factory=dict)

    @property
    def names(self) -> tuple[str, ...]:
        """The sought points, in order."""
        return tuple(self.sought)

    @property
    def sd_mm(self) -> float:
        """Standard deviation of a reading."""
        return self.read_to_mm / LIMIT_SDS

    def without(self, dropped: frozenset[int]) -> Distances:
        """The same without these readings."""
        kept = tuple(reading for k, reading in enumerate(self.readings) if k not in dropped)
        return Distances(self.known, self.sought, kept, self.read_to_mm, self.clock)


@dataclass(frozen=True)
class Point:
    """A point that was found: mm in the engine frame; within_95_mm: the radius about it that holds the true place in
    95 % of cases, of a circle where z was given and of a sphere where it was measured. covariance: (2, 2) or (3, 3)."""

    name: str
    x_mm: float
    y_mm: float
    z_mm: float
    within_95_mm: float
    covariance: Floats

    def as_json(self) -> dict[str, object]:
        """As `survey --json` gives it."""
        return {name: getattr(self, name) for name in ("name", "x_mm", "y_mm", "z_mm", "within_95_mm")}


@dataclass(frozen=True)
class Residual:
    """A reading beside what fits: fits_mm is its length between the places found (by the other readings, where it is
    left out as wrong). checked: 0 where nothing else checks the reading, 1 where it adds nothing new."""

    reading: DistanceReading
    fits_mm: float
    checked: float

    def as_json(self) -> dict[str, object]:
        """As `survey --json` gives it."""
        return {
            "from": self.reading.start,
            "to": self.reading.end,
            "is_mm": self.reading.is_mm,
            "fits_mm": self.fits_mm,
        }


@dataclass(frozen=True)
class Suspect:
    """A reading that cannot be true if the others are: `off_mm` longer (shorter: negative) than they allow."""

    reading: DistanceReading
    off_mm: float


@dataclass(frozen=True)
class Better:
    """One more reading that would help: from, to, and what within_95_mm of the worst point would then be."""

    start: str
    end: str
    point: str
    now_mm: float
    then_mm: float


@dataclass(frozen=True)
class DistanceSurvey:
    """What the distances say.

    suspects: readings of which one is wrong (a single one is named; several cannot be told apart), for each wrong
    reading a group. They are left out of `points` where a group has one reading, and make the survey unfit for use
    in any case. spare: readings more than there are unknowns. disagree: by how much more than read_to says the
    readings disagree, 1 where they do not; the ± hold it.
    """

    points: tuple[Point, ...]
    residuals: tuple[Residual, ...]
    suspects: tuple[tuple[Suspect, ...], ...]
    spare: int
    read_to_mm: float
    disagree: float = 1.0
    better: Better | None = None

    @property
    def sound(self) -> bool:
        """Whether the places can be used."""
        return not self.suspects

    def as_json(self) -> dict[str, object]:
        """points and residuals as `survey --json` gives them."""
        return {
            "points": [point.as_json() for point in self.points],
            "residuals": [residual.as_json() for residual in self.residuals],
            "wrong": [
                [{"from": s.reading.start, "to": s.reading.end, "off_mm": s.off_mm} for s in group]
                for group in self.suspects
            ],
        }
