"""What a wheel's errors do to the spark.

The spark is timed from the last tooth that passed before it. A tooth that stands ahead by 0.1 deg brings the spark
0.1 deg early. What all cylinders have in common goes away when cylinder 1 is trimmed by the timing light; what
differs stays. Degrees of crank.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.job.models import Job
from wheelcad.trade.ignition import firing_angles_even

ADVANCE_DEG = 10.0  # where a spark is taken to be due before TDC, to find the tooth that times it (common practice)


def timing_error(teeth_deg: Floats, errors_deg: Floats, job: Job | None) -> tuple[float, Mapping[int, float]]:
    """(largest error after trim, by cylinder). teeth_deg: (t,) nominal places on the wheel; errors_deg: (t,) of each.

    Without an engine and a sensor nobody knows which teeth time a spark: half the spread of all teeth's errors.
    """
    cylinders = _cylinders(job)
    if not cylinders or job is None or job.sensor is None:
        return float(np.ptp(errors_deg)) / 2, {}
    out = {}
    for cylinder, fires in cylinders.items():
        spark = (fires - ADVANCE_DEG) % 360.0
        ago = np.mod(spark - (job.sensor.at - teeth_deg), 360.0)
        out[cylinder] = float(errors_deg[int(np.argmin(ago))])
    first = out[min(out)]
    trimmed = {cylinder: value - first for cylinder, value in out.items()}
    return max(abs(value) for value in trimmed.values()), trimmed


def _cylinders(job: Job | None) -> dict[int, float]:
    """Crank angle at which each cylinder fires, cylinder 1 at 0."""
    if job is None or job.engine is None or not job.engine.firing_order:
        return {}
    order = job.engine.firing_order
    angles = job.engine.firing_angles or firing_angles_even(len(order))
    start = angles[order.index(1)] if 1 in order else angles[0]
    return {cylinder: (angle - start) % 720.0 for cylinder, angle in zip(order, angles, strict=False)}
