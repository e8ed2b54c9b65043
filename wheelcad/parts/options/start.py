"""What the controller makes of a pattern on the starter, from the design's own edges: whether it syncs, and how early
or late it sparks. Inputs the job does not give are assumed as `wheelcad signal` assumes them, and said to be."""

from __future__ import annotations

from typing import NamedTuple

from wheelcad.codes import Check
from wheelcad.errors import DesignError
from wheelcad.findings import Finding, at_least
from wheelcad.job.models import Job
from wheelcad.parts.options.row import Option, with_pattern
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.signal.advice import MODEL
from wheelcad.signal.edges import Edges, ideal_edges
from wheelcad.signal.report import SURE, signal_of


class Start(NamedTuple):
    """margin: of the controller's decoder on the starter, above 1 it syncs. error_deg: the worst spark's, either way,
    at cranking speed. assumed: keys it rests on that the job does not give."""

    margin: float
    error_deg: float
    assumed: tuple[str, ...]


def start_of(job: Job, option: Option) -> Start | None:
    """None where the pattern has no wheel or no gap, or the job lacks the engine or sensor that would tell."""
    wheel = option.wheel
    if wheel is None or option.missing == 0 or job.sensor is None or job.engine is None:
        return None
    try:
        seen = signal_of(with_pattern(job, (option.teeth, option.missing)), edges_of(job, wheel), field=False)
    except DesignError:  # no firing order, say
        return None
    errors = [abs(value) for spark in seen.sparks if (value := spark.error_deg.get("cranking")) is not None]
    assumed = tuple(row.key for row in seen.inputs.rows if not row.given and row.key.startswith("controller."))
    return Start(seen.margin, max(errors, default=0.0), assumed)


def edges_of(job: Job, wheel: WheelDesign) -> Edges:
    """The design's teeth where the sensor reads them."""
    radius = wheel.read_at_mm(job.sensor) if job.sensor is not None else wheel.radius_mm
    return ideal_edges(
        wheel.teeth.count,
        tuple((gap.at_deg, gap.missing) for gap in wheel.gaps),
        wheel.tooth_deg(radius),
        radius,
        slot_depth_mm=wheel.slot.depth,
        slot_width_mm=wheel.slot.width,
        rim_radius_mm=wheel.radius_mm,
    )


def read_finding(start: Start) -> Finding:
    """Whether the controller reads the pattern on the starter, at the job's places of sensor and gap."""
    why = (
        "how surely the controller tells the gap from a slow tooth on the starter; other places of gap or sensor may do"
    )
    return at_least(Check.SYNC_MARGIN, "controller", start.margin, "", SURE, why, MODEL, "warn")
