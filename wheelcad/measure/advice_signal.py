"""Whether a controller would sync on a wheel, and where its sensor had best stand: where measuring asks the signal "
"model."""

from __future__ import annotations

import math

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.errors import JobError
from wheelcad.job.models import Job
from wheelcad.signal.decode import wheel_margin
from wheelcad.signal.edges import Edges
from wheelcad.signal.gapmap import cranking_speed, gap_map
from wheelcad.signal.inputs import Inputs, inputs_of
from wheelcad.signal.speed import even_speed
from wheelcad.trade.frames import wrap_360

SURE = 1.0  # margin from which a decoder finds the gap every turn
USUAL_RADIUS_MM = 75.0  # where nothing says how large the wheel is: the model's ratios do not depend on it


def edges_for(centres_deg: Floats, teeth: int, missing: int, job: Job | None) -> Edges | None:
    """The wheel as the signal model takes it, from its tooth centres (t,); None for a wheel without a gap.

    Teeth are taken half a pitch wide: a decoder that counts one kind of edge does not care.
    """
    if missing < 1 or len(centres_deg) < 3:
        return None
    rising = np.sort(wrap_360(centres_deg))
    steps = np.round(np.mod(np.roll(rising, -1) - rising, 360.0) * teeth / 360.0).astype(int)
    gaps = tuple(int(step) - 1 for step in sorted(steps, reverse=True) if step > 1) or (missing,)
    quarter = 90.0 / teeth
    radius = USUAL_RADIUS_MM if job is None else job.wheel.outside_diameter / 2
    depth, width = (6.0, 6.0) if job is None else (job.wheel.slot.depth, job.wheel.slot.width)
    return Edges(teeth, gaps, rising - quarter, rising + quarter, radius, depth, width, radius, "files")


def _inputs(job: Job | None, edges: Edges) -> Inputs | None:
    """What the job says of engine and sensor; None where it does not say enough."""
    if job is None:
        return None
    try:
        return inputs_of(job, edges)
    except JobError:
        return None


def syncs(centres_deg: Floats, teeth: int, missing: int, job: Job | None) -> bool:
    """Whether a controller finds the gap: on the starter where the job knows engine and sensor, else at even speed.

    centres_deg: (t,) of the teeth that are there, from the TDC line with a job. A wheel without a gap never does.
    """
    edges = edges_for(centres_deg, teeth, missing, job)
    if edges is None:
        return False
    inputs = _inputs(job, edges)
    if inputs is None:
        margin = wheel_margin(edges, 0.0, even_speed())
    else:
        margin = wheel_margin(edges, inputs.sensor_deg, cranking_speed(inputs), inputs.ratio, inputs.compares)
    return bool(math.isfinite(margin) and margin > SURE)


def best_sensor_deg(centres_deg: Floats, teeth: int, missing: int, job: Job) -> tuple[float, float] | None:
    """(engine angle, margin there) of the sensor at which this wheel decodes best; None where nothing can be said."""
    edges = edges_for(centres_deg, teeth, missing, job)
    inputs = None if edges is None else _inputs(job, edges)
    found = None if edges is None or inputs is None else gap_map(edges, inputs)
    if found is None or inputs is None or inputs.gap_deg is None:
        return None
    return float(wrap_360(inputs.gap_deg + found.gap_passes_deg[found.best])), float(found.margin[found.best])
