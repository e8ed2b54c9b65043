"""The timing budget of a real wheel: its own errors, as measured, in place of those assumed before it was cut."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.errors import JobError
from wheelcad.job.models import Job
from wheelcad.measure.advice_signal import edges_for
from wheelcad.measure.wheel import MeasuredWheel
from wheelcad.signal.edges import Edges
from wheelcad.signal.report import signal_of
from wheelcad.trade.frames import wrap_360
from wheelcad.words import angle


def real_edges(wheel: MeasuredWheel, centres_deg: Floats, job: Job) -> Edges | None:
    """The wheel's teeth as signal and budget take them: with their own edges where those were measured, else half a
    pitch wide about `centres_deg` (t,). None for a wheel without a gap."""
    edges = edges_for(centres_deg, wheel.teeth, wheel.missing, job)
    seen = wheel.tooth_edges_deg
    if edges is None or seen is None or len(seen) != edges.count:
        return edges
    width = np.mod(seen[:, 1] - seen[:, 0], 360.0)
    middle = wrap_360(seen[:, 0] + width / 2)
    order = np.argsort(middle)
    start, end = (middle - width / 2)[order], (middle + width / 2)[order]
    return replace(edges, from_deg=start, to_deg=end, source="files")


def real_budget(wheel: MeasuredWheel, centres_deg: Floats, job: Job | None) -> dict[str, Any] | None:
    """The budget's report; None without a job that says enough of engine and sensor, or for a wheel without a gap."""
    from wheelcad.signal.budget import budget_of

    edges = None if job is None or job.sensor is None else real_edges(wheel, centres_deg, job)
    if job is None or edges is None:
        return None
    try:
        return budget_of(job, signal_of(job, edges, field=False), real=True).report()
    except JobError:
        return None


def budget_lines(budget: dict[str, Any]) -> list[str]:
    """What it comes to, in two sentences."""
    from wheelcad.signal.budget_text import advice

    return [
        f"With this wheel's own errors a spark is within ±{angle(budget['after_trim_95_deg'])} once trimmed with the "
        "light, 95 of 100 times (`wheelcad budget` says the same of a wheel still to be cut).",
        advice(budget),
    ]
