"""Every kind of seeded fault is caught: a few in the usual run, all of them in the slow one."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.checks.runs import RESULT
from tests.checks.seeded.kinds import Kind, kinds
from tests.checks.seeded.run import build, caught, narrow
from tests.conftest import _built

KINDS = kinds()
# quick ones of every format, on the turned job that is built for other tests as well
QUICK = (
    "bracket-flat.dxf: a slit moved 0.01",
    "index-chart.csv: error_deg changed",
    "bench.html: a table's move",
    "blank-drawing.dxf: a dimension says 0.1 more",
)


def test_there_are_many_kinds_of_faults_on_every_kind_of_job() -> None:
    assert len({kind.name for kind in KINDS}) == len(KINDS) >= 200
    jobs = [kind.job for kind in KINDS]
    assert all(jobs.count(job) >= 40 for job in ("turned", "plate", "along", "cam"))


def test_the_last_whole_run_missed_none() -> None:
    told = json.loads(RESULT.read_text(encoding="utf-8"))["seeded"]
    assert told["missed"] == []
    assert told["caught"] == told["tried"] >= 0.95 * len(KINDS)
    assert set(told["caught of each job"]) == {"turned", "plate", "along", "cam"}


@pytest.mark.parametrize("what", QUICK)
def test_some_faults_are_caught(what: str, tmp_path: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    import shutil

    built = _built("tarn-six", tmp_path_factory)
    kind = next(kind for kind in KINDS if kind.name == f"turned: {what}")
    folder = tmp_path / "spoilt"
    shutil.copytree(built.folder, folder)
    kind.spoil(folder / kind.file)
    assert [f for f in narrow(folder, built.design, kind.file, built) if f.verdict == "fail"]


@pytest.fixture(scope="module")
def builds(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("seeded")


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_every_fault_is_caught(kind: Kind, builds: Path) -> None:
    assert caught(kind, build(kind.job, builds)), kind.name


@pytest.mark.slow
@pytest.mark.parametrize(
    "name", ["wheel.step: bore 0.06 larger", "packet.pdf: degrees to TDC", "report.json: a verdict"]
)
def test_the_command_itself_fails_on_it(name: str, builds: Path, tmp_path: Path) -> None:
    """The whole of `wheelcad check`, the manifest made to agree with the spoilt file."""
    import shutil

    from tests.checks.seeded.run import _BUILT, _agree
    from wheelcad.build import check_folder

    kind = next(kind for kind in KINDS if kind.name == f"turned: {name}")
    built = build("turned", builds)
    _BUILT["turned"] = built
    folder = tmp_path / built.name
    shutil.copytree(built, folder)
    assert check_folder(folder).verdict != "fail"
    kind.spoil(folder / kind.file)
    shutil.rmtree(folder / "aside", ignore_errors=True)
    _agree(folder, kind.file)
    assert check_folder(folder).verdict == "fail"
