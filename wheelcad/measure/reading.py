"""What one source saw of a wheel, before anything is concluded from it; and how a source is refused.

Angles in degrees the way the crank turns, in the source's own zero; lengths in mm; standard deviations are for one
slot's centre.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

from wheelcad.arrays import Floats
from wheelcad.errors import Fault, JobFileError

Source = Literal["mesh", "scan", "angles", "recording"]
Face = Literal["front", "back"]
About = Literal["bore", "rim"]


@dataclass(frozen=True)
class Unbalance:
    """What pulls a wheel to one side. amount: g·mm, or g·mm per mm of thickness where `per_mm`; at_deg: where it is
    heavy, in the source's zero; within_95: radius about this vector's tip that holds the true one in 95 %, the density
    (kg/m³) taken to be right. openings: bore and holes that a scan shows."""

    amount: float
    at_deg: float
    within_95: float
    density: float
    per_mm: bool = False
    openings: int = 0


@dataclass(frozen=True, eq=False)
class WheelReading:
    """One wheel as a source saw it.

    edges_deg: (t, 2) tooth edges [from, to] half-way down the sides, or None where only slots or tooth centres are
    known. rim_edges_deg: (t, 2) the same sides carried on to the rim. slots_deg: (n,) slot centres in the order of
    cutting where that is all there is. tooth_centres_deg: (t,) where only they are known. sd_deg: of one slot's
    centre. lengths: None where the source cannot tell; lengths_95_mm: half-widths that hold the true offset, run-out
    and roundness in 95 % at least, by their names. radius_mm: where edges_deg were taken. notes: what a person should
    know. extra: a recording's own numbers.
    """

    source: Source
    about: About | None
    sd_deg: float
    edges_deg: Floats | None = None
    rim_edges_deg: Floats | None = None
    slots_deg: Floats | None = None
    tooth_centres_deg: Floats | None = None
    radius_mm: float | None = None
    rim_radius_mm: float | None = None
    floor_radius_mm: float | None = None
    centre_offset_mm: float | None = None
    runout_mm: float | None = None
    roundness_mm: float | None = None
    lengths_95_mm: Mapping[str, float] = field(default_factory=dict)
    unbalance: Unbalance | None = None
    notes: tuple[str, ...] = ()
    extra: Mapping[str, Any] = field(default_factory=dict)


def refused(path: Path | str, message: str, hint: str = "", found: str = "", allowed: str = "") -> JobFileError:
    """The one clear sentence with which a file is refused (exit code 2)."""
    return JobFileError(Fault(message, file=str(path), hint=hint, found=found, allowed=allowed))
