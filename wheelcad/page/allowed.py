"""Where the sensor may be put: the places round the wheel that a bracket can be made for, belts and all."""

from __future__ import annotations

from collections.abc import Iterable

from wheelcad.errors import DesignError
from wheelcad.job.models import Job
from wheelcad.parts.bracket.design import design_bracket

EVERY_DEG = 3  # how close the places tried lie; a degree between two is taken for allowed where both are


def is_allowed(job: Job, at_deg: float) -> bool:
    """Whether a bracket can be made with the sensor there, by the rules that refuse one."""
    try:
        return design_bracket(job.with_sensor_at(at_deg)) is not None
    except DesignError:
        return False


def allowed_places(job: Job, tried: Iterable[int] = range(0, 360, EVERY_DEG)) -> tuple[bool, ...] | None:
    """By whole degrees, 0 to 359; None for a job without sensor or bracket, where any place will do. A few seconds."""
    if job.sensor is None or job.bracket is None:
        return None
    known = {deg % 360: is_allowed(job, float(deg)) for deg in tried}
    places = sorted(known)
    out = []
    for deg in range(360):
        below = max((p for p in places if p <= deg), default=places[-1])
        above = min((p for p in places if p >= deg), default=places[0])
        out.append(known[below] and known[above])
    return tuple(out)
