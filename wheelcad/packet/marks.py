"""The two marks that tell one printing of a job from another: of the job file, and of the list of the table's stops."""

from __future__ import annotations

from wheelcad.parts.design import Design

JOB_MARK = 8  # characters of the job's hash


def marks_of(design: Design) -> str:
    """Both marks as every sheet shows them; no plan mark where there is nothing to index."""
    plan = design.indexing
    return plan.marks if plan is not None else f"job {design.job.source.sha256[:JOB_MARK]}"
