"""What the command line says of a text: its job and design, or every fault."""

from __future__ import annotations

from wheelcad.errors import Fault, JobError, Key
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.design import Design, design_job
from wheelcad.parts.kept import Memory


def read(text: str, file: str) -> tuple[Job | None, tuple[Fault, ...]]:
    """The job of a text, or every fault that `load_job` finds in it."""
    try:
        return parse_job(text, file), ()
    except JobError as error:
        return None, error.faults
    except Exception as error:  # a mistake of the program's own must not take what was typed with it
        return None, (own_mistake(error, file),)


def designed(job: Job, kept: Memory | None = None) -> tuple[Design | None, tuple[Fault, ...]]:
    """The design of a job, or every fault that `design_job` finds in it. kept: of the design before."""
    try:
        return design_job(job, kept), ()
    except JobError as error:
        return None, error.faults
    except Exception as error:
        return None, (own_mistake(error, job.source.file),)


def own_mistake(error: Exception, file: str) -> Fault:
    """What is said where the program stumbled over a job."""
    return Fault(f"the program made a mistake of its own with this: {type(error).__name__}: {error}", file=file)


def dotted_all(key: Key) -> str:
    """A key with all its places: shop.printer.bed[0]."""
    return Fault("", key).dotted
