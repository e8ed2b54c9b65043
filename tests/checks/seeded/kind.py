"""One kind of fault, and the fault of a file that another job wrote."""

from __future__ import annotations

from dataclasses import dataclass

from tests.checks.seeded.spoil import Spoil
from tests.checks.seeded.twins import edited_design, write_twin


@dataclass(frozen=True)
class Kind:
    """One kind of fault: in this file of this job, what it is (with its size), and what puts it in."""

    job: str
    file: str
    what: str
    spoil: Spoil

    @property
    def name(self) -> str:
        """For people and for pytest."""
        return f"{self.job}: {self.file}: {self.what}"


def twin(job: str, old: str, new: str) -> Spoil:
    """The file as the edited job writes it."""
    return lambda path: write_twin(edited_design(job, old, new), path)
