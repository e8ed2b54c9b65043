"""A check that cannot read its file, and one that breaks, are failed findings of different kinds; neither is silent."""

from __future__ import annotations

import pytest

from wheelcad.checks.everything import _Check, _guarded
from wheelcad.errors import UnreadableError
from wheelcad.findings import Finding


def _run(error: Exception) -> Finding:
    def broken() -> list[Finding]:
        raise error

    (finding,) = _guarded(_Check("", "wheel.stl", broken))
    return finding


@pytest.mark.parametrize("error", [OSError(5, "Input/output error"), UnreadableError("wheel.stl is too short")])
def test_a_file_that_cannot_be_read_says_so(error: Exception) -> None:
    finding = _run(error)
    assert (finding.check, finding.verdict) == ("readable", "fail")


@pytest.mark.parametrize("error", [ValueError("zero-size array"), IndexError("list index"), KeyError("a")])
def test_a_mistake_of_our_own_is_not_told_as_an_unreadable_file(error: Exception) -> None:
    finding = _run(error)
    assert (finding.check, finding.verdict) == ("check-broke", "fail")
    assert type(error).__name__ in str(finding.measured)
