"""Many designs that differ in one value, without a file: for a script that looks for the best one."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from wheelcad.errors import Fault, JobError
from wheelcad.job.models import Job
from wheelcad.job.vary import names_of, with_value

Made = TypeVar("Made")


@dataclass(frozen=True)
class Swept(Generic[Made]):
    """One value and what came of it. made: None where it cannot be, and then `faults` says why."""

    value: Any
    made: Made | None
    faults: tuple[Fault, ...] = ()


def sweep(job: Job, key: str, values: Iterable[Any], make: Callable[[Job], Made]) -> Iterator[Swept[Made]]:
    """What `make` makes of the job with each of the values at `key`, one after another, in their order.

    make: `design_wheel` (the teeth alone, about a millisecond) or `design_job` (every part, some 0.1 s), or any
    function of a job, such as one that takes the few numbers wanted out of a design: nothing is kept here, so ten
    thousand of them need no more memory than one. values: an array, or anything a job file may say.

    Numbers are mm, degrees, rpm, Hz and kg, whatever the job is written in. A value that cannot be is told in its
    `Swept`, and the others go on; a key that no job has raises JobValueError with the first value.
    """
    names_of(job, key)
    for value in values:
        plain = value.item() if hasattr(value, "item") else value  # numpy's numbers are none of Python's
        try:
            yield Swept(plain, make(with_value(job, key, plain)))
        except JobError as error:
            yield Swept(plain, None, error.faults)
