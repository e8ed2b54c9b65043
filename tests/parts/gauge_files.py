"""Gauge files for tests, written as a build writes them but without the rest of the packet."""

from __future__ import annotations

from pathlib import Path

from wheelcad.drawing.pdf import write_pdf
from wheelcad.files.stl_writer import write_stl
from wheelcad.job.models import Job
from wheelcad.parts.blank.design import design_blank
from wheelcad.parts.gauge.design import design_gauge
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.parts.gauge.sheet import gauge_pages
from wheelcad.parts.gauge.solid import gauge_solid, write_gauge_meshes
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.solid import wheel_solid


def gauge_of(job: Job) -> GaugeDesign:
    """The job's gauge; the job must call for one."""
    design = design_gauge(job, design_wheel(job))
    assert design is not None
    return design


def write_gauge(job: Job, folder: Path) -> GaugeDesign:
    """gauge.stl, gauge.3mf and gauge-paper.pdf of the job."""
    folder.mkdir(parents=True, exist_ok=True)
    design = gauge_of(job)
    write_gauge_meshes(folder, gauge_solid(design), design, f"{job.job} gauge")
    write_pdf(gauge_pages(job, design_wheel(job), design), folder / "gauge-paper.pdf")
    return design


def write_wheel(job: Job, folder: Path) -> None:
    """wheel.stl of the job, without correction holes."""
    write_stl(folder / "wheel.stl", wheel_solid(design_wheel(job), design_blank(job)))
