"""The indexing plan alone, for the chart in the terminal: no bracket, no gauge, nothing slow to load."""

from __future__ import annotations

from pathlib import Path

from wheelcad.errors import DesignError, Fault
from wheelcad.job.models import Job
from wheelcad.job.reader import load_job
from wheelcad.parts.balance.correction import planned_holes
from wheelcad.parts.indexing.design import design_indexing
from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.words import Words


def chart_of(job: Job) -> IndexPlan:
    """The plan for the job's wheel and balance holes. DesignError (placed) when the job cannot be, or has no table."""
    try:
        wheel = design_wheel(job)
        plan = design_indexing(job, wheel, planned_holes(job, wheel))
        if plan is None:
            raise DesignError(Fault("is missing: a chart needs to know your table", key=("shop", "rotary_table")))
    except DesignError as error:
        raise error.placed(job.source.located) from None
    return plan


def chart_output(path: str | Path, as_json: bool = False) -> str:
    """What `wheelcad chart` prints for the job file at `path`: the chart, or its numbers. Raises a JobError."""
    plan = chart_of(load_job(path))
    if as_json:
        from wheelcad.files.data import as_json as dump

        return dump(Words(plan.job.units).through(plan.report()))
    from wheelcad.parts.indexing.text import chart_text

    return chart_text(plan)
