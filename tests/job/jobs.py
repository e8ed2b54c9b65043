"""Job files for the tests of this folder, and how to ask what is wrong with one."""

from __future__ import annotations

import pytest

from wheelcad.errors import Fault, JobError
from wheelcad.job.reader import parse_job
from wheelcad.words import Words

SMALL = """\
job: small
wheel:
  teeth: 36
  missing: 1
  outside_diameter: 160
  thickness: 3
  slot: {width: 6, depth: 6}
"""


def faults_in(text: str) -> tuple[Fault, ...]:
    """The faults of a job file that must have some, written out; each has a line, and the text of that line."""
    with pytest.raises(JobError) as caught:
        parse_job(text, "x.yaml")
    faults = caught.value.faults
    assert faults
    for fault in faults:
        assert fault.file == "x.yaml"
        assert fault.line > 0
        assert fault.column > 0
    return tuple(Words(fault.units).through(fault) for fault in faults)


def place_of(text: str, mark: str) -> tuple[int, int]:
    """Line and column of the first character of `mark`, which must be in the text once."""
    assert text.count(mark) == 1, mark
    at = text.index(mark)
    return text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)
