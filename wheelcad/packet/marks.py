"""The two marks that tell one printing of a job from another: of the job file, and of the list of the table's stops."""

from __future__ import annotations

from wheelcad.parts.design import Design

JOB_MARK = 8  # characters of the job's hash


def marks_of(design: Design) -> str:
    """Both marks as every sheet shows them; no plan mark where there is nothing to index."""
    job = f"job mark {design.job.source.sha256[:JOB_MARK]}"
    plan = getattr(design.indexing, "plan_mark", "")
    return f"{job} · plan mark {plan}" if plan else job
