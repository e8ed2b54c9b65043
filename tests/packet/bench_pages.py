"""Bench pages opened as a builder would, shared by their tests."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Browser, Page

from tests.packet.browser import PHONE, open_page
from wheelcad.job.models import Job
from wheelcad.packet.bench import write_bench
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.indexing.design import design_indexing
from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.parts.wheel.design import design_wheel

HOLES = (CorrectionHole(169.0, 40.0, 6.2, 1.6, -1.6, drill="6.2 mm"),)


def made(job: Job, folder: Path, key: str = "abc") -> tuple[Path, IndexPlan]:
    """The job's page in a file of its own, and its plan."""
    plan = design_indexing(job, design_wheel(job), HOLES)
    assert plan is not None
    path = folder / f"{job.job}-{key}.html"
    write_bench(path, plan)
    return path, plan


def started(browser: Browser, path: Path, size: tuple[int, int] = PHONE, **more: str) -> Page:
    page = open_page(browser, path, size, **more)
    page.click("#start")
    page.evaluate("plan.pause_ms = 0")
    return page
