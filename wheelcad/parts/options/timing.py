"""How far off the timing of each pattern may be, in closed form, from the design's own edges: no wheel is simulated, no
field solved, so that a thousand patterns take about as long as their table."""

from __future__ import annotations

from collections.abc import Sequence

from wheelcad.errors import DesignError
from wheelcad.job.models import Job
from wheelcad.parts.options.row import Option
from wheelcad.parts.options.start import edges_of
from wheelcad.signal.quick import Reckoner


def timing_of(job: Job, options: Sequence[Option]) -> tuple[float | None, ...]:
    """After the trim, 95 of 100 wheels, degrees: one a pattern; None where it has no wheel or no gap, or the job lacks
    the engine or sensor that would tell."""
    reckoner: Reckoner | None = None
    out: list[float | None] = []
    for option in options:
        if option.wheel is None or option.missing == 0 or job.sensor is None or job.engine is None:
            out.append(None)
            continue
        edges = edges_of(job, option.wheel)
        try:
            reckoner = Reckoner.of(job, edges) if reckoner is None else reckoner
        except DesignError:  # no firing order, say
            return (None,) * len(options)
        out.append(float(reckoner.figures(edges).after.max()))
    return tuple(out)
