"""A check that cannot read its file, and one that breaks, are failed findings of different kinds; neither is silent."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from wheelcad.build import BuildResult
from wheelcad.checks import everything
from wheelcad.checks.everything import _Check, _checks, _guarded
from wheelcad.checks.mesh import MeshMoments
from wheelcad.errors import UnreadableError
from wheelcad.findings import Finding
from wheelcad.kept import for_solids

_OPENED: list[str] | None = None  # while somebody listens


def _heard(event: str, arguments: tuple[object, ...]) -> None:
    if event == "open" and _OPENED is not None and isinstance(arguments[0], str | bytes):
        _OPENED.append(os.fsdecode(arguments[0]))


sys.addaudithook(_heard)


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


def _opened_by(check: _Check, folder: Path) -> set[str]:
    """Names of the files in the folder that a check opens."""
    global _OPENED
    _OPENED = []
    try:
        assert _guarded(check)
        return {Path(path).name for path in _OPENED if Path(path).parent == folder}
    finally:
        _OPENED = None


def test_a_check_that_may_be_kept_opens_the_files_it_names_and_rests_on_the_bare_design(built: BuildResult) -> None:
    folder, design = built.folder, built.design
    whole = [check for check in _checks(folder, design, design) if check.opens]
    bare = [check for check in _checks(folder, design, for_solids(design)) if check.opens]
    assert len({(check.subject, check.opens) for check in bare}) == len(bare) >= 3
    for one, two in zip(whole, bare, strict=True):
        assert _opened_by(two, folder) == set(two.opens)
        assert _guarded(one) == _guarded(two)


def test_what_the_wheel_weighs_is_its_volume_times_its_density(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A cube of steel of a centimetre is 7.85 g; a mesh's second moment, mm⁵, likewise kg·mm²."""
    design = SimpleNamespace(wheel=SimpleNamespace(material="mild-steel"), balance=None)
    for name in ("residual", "three_ways", "check_steps"):
        monkeypatch.setattr(everything, name, lambda *given, **more: [])
    monkeypatch.setattr(everything, "measure_balance", lambda *given: None)
    monkeypatch.setattr(everything, "wheel_moments", lambda folder, name: MeshMoments(1000.0, np.zeros(3), 2000.0))
    result = SimpleNamespace(figures={"wheel": SimpleNamespace(volume=1000.0)})
    given: Any = design, design, result
    found, measured = everything._with_kernel(tmp_path, *given, everything.anew)
    assert found == []
    assert (measured.mass_kg, measured.polar_inertia_kg_mm2) == (pytest.approx(0.00785), pytest.approx(0.0157))
