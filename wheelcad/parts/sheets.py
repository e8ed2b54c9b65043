"""What all drawings of a job share: paper and title block."""

from __future__ import annotations

from wheelcad.drawing.model import TitleBlock
from wheelcad.drawing.paper import ISO_PAPERS, US_PAPERS
from wheelcad.job.models import Job


def papers_for(job: Job) -> tuple[str, ...]:
    """Sizes a job's drawings may use, smallest first: A4 and A3, or Letter and Tabloid."""
    paper = getattr(job, "paper", None)
    return US_PAPERS if paper in ("Letter", "Tabloid", "letter") else ISO_PAPERS


def title_block(
    job: Job, title: str, part: str, material: str = "", mass: str = "", document_type: str = "Part drawing"
) -> TitleBlock:
    """The title block of one part: its number is the job's name and the part's."""
    return TitleBlock(
        title, f"{job.job}-{part}", subtitle=job.title, document_type=document_type, material=material, mass=mass
    )
