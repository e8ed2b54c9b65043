"""Numbers as the packet writes them: in the job's unit, no more places than a shop can use."""

from __future__ import annotations

from wheelcad.job.models import Job


def size(job: Job, mm: float, places: int = 2) -> str:
    """A length in the job's unit, and in the other where it is inches."""
    if job.units == "in":
        return f"{mm / 25.4:.{places + 1}f} in ({_bare(mm, places)} mm)"
    return f"{_bare(mm, places)} mm"


def diameter(job: Job, mm: float) -> str:
    """A diameter with its sign."""
    return f"⌀{size(job, mm)}"


def degrees(value: float | None, places: int = 2) -> str:
    """An angle; a dash when there is none."""
    return "-" if value is None else f"{_bare(value, places)}°"


def number(value: float, places: int = 1) -> str:
    """A number without needless noughts."""
    return _bare(value, places)


def _bare(value: float, places: int) -> str:
    text = f"{value:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text
