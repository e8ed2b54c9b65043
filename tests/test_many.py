"""Many jobs: one wrong, one crashing, one killed worker; the others are built, and every end is told."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import psutil
import pytest

from tests.conftest import ROOT
from wheelcad.many import ERROR, UNCHANGED, BuildWanted, JobOutcome, build_many
from wheelcad.many_command import many_text

SMALL = (
    "job: {name}\nengine: {{turns: clockwise, cylinders: 4, firing_order: [1, 3, 4, 2], max_speed: 6000}}\n"
    "wheel: {{form: plate, teeth: {teeth}, missing: 1, outside_diameter: 120, thickness: 3.2, bore: 30,"
    " slot: {{width: 5, depth: 6, sides: parallel, floor: round}}}}\n"
)


def _jobs(folder: Path, *teeth: int) -> list[Path]:
    paths = []
    for number, count in enumerate(teeth):
        path = folder / f"job-{number}.yaml"
        path.write_text(SMALL.format(name=f"job-{number}", teeth=count))
        paths.append(path)
    return paths


def _plain(out: Path, **changes: bool) -> BuildWanted:
    return BuildWanted(out, packet=False, fem=False, **changes)


def test_a_wrong_job_stops_no_other_and_is_named(tmp_path: Path) -> None:
    paths = _jobs(tmp_path, 24, 24, 30)
    paths[1].write_text("job: job-1\nwheel: {teeth: many}\n")
    heard: list[JobOutcome] = []
    found = build_many(paths, _plain(tmp_path / "out"), 2, heard=heard.append)
    assert [outcome.job for outcome in found] == ["job-0", str(paths[1]), "job-2"]
    assert found[1].verdict == ERROR
    assert any("wheel.teeth" in fault for fault in found[1].faults)
    assert all(outcome.verdict not in (ERROR, "fail") for outcome in (found[0], found[2]))
    assert sorted(o.job for o in heard) == sorted(o.job for o in found)
    for name, teeth in (("job-0", 24), ("job-2", 30)):
        report = json.loads((tmp_path / "out" / name / "report.json").read_text())
        assert len(report["wheel"]["slot_centres_deg"]) == teeth
    assert not (tmp_path / "out" / "job-1").exists()
    text = many_text(found, 3.0)
    assert "1 error" in text
    assert "wheel.teeth" in text


def test_only_what_changed_is_built_again(tmp_path: Path) -> None:
    paths = _jobs(tmp_path, 24, 24)
    wanted = _plain(tmp_path / "out", only_changed=True)
    build_many(paths, wanted, 1)
    paths[1].write_text(SMALL.format(name="job-1", teeth=36))
    (tmp_path / "out" / "job-0" / "wheel.stl").touch()
    found = build_many(paths, wanted, 1)
    assert found[0].verdict == UNCHANGED
    assert found[1].verdict not in (UNCHANGED, ERROR)


@pytest.mark.skipif(sys.platform != "linux", reason="workers are found by the system's process list")
def test_a_killed_worker_costs_its_job_alone(tmp_path: Path) -> None:
    paths = _jobs(tmp_path, 24, 30, 36)
    killed = threading.Event()

    def kill_one() -> None:
        until = time.monotonic() + 60
        while time.monotonic() < until and not killed.is_set():
            for child in psutil.Process().children():
                if "spawn_main" in " ".join(child.cmdline()):
                    time.sleep(0.5)  # its first job is under way: the kernel alone takes longer to load
                    child.send_signal(signal.SIGKILL)
                    killed.set()
                    return
            time.sleep(0.02)

    killer = threading.Thread(target=kill_one)
    killer.start()
    found = build_many(paths, _plain(tmp_path / "out"), 1)
    killer.join()
    assert killed.is_set()
    assert [outcome.verdict == ERROR for outcome in found] == [True, False, False]
    assert "SIGKILL" in found[0].faults[0]
    assert {path.name for path in (tmp_path / "out").iterdir() if not path.name.startswith(".")} == {"job-1", "job-2"}


def test_any_executor_can_do_it_and_the_files_come_here(tmp_path: Path) -> None:
    paths = _jobs(tmp_path, 24)
    paths.append(tmp_path / "none.yaml")
    with ThreadPoolExecutor(1) as executor:
        found = build_many(paths, _plain(tmp_path / "out"), executor=executor)
    assert found[0].folder == str(tmp_path / "out" / "job-0")
    assert (tmp_path / "out" / "job-0" / "wheel.step").stat().st_size > 1000
    assert found[1].verdict == ERROR


def test_no_worker_is_no_way_to_build(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="at least one"):
        build_many([], _plain(tmp_path), 0)


# --- a real scheduler ----------------------------------------------------------------------------------------------
@pytest.fixture
def scheduler(tmp_path: Path) -> Iterator[tuple[str, list[subprocess.Popen[bytes]]]]:
    """A Dask scheduler on this machine and two workers, as their commands start them."""
    from distributed.utils import open_port

    port = open_port()
    address = f"tcp://127.0.0.1:{port}"
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "env": environment, "cwd": tmp_path}
    start = [sys.executable, "-m", "distributed.cli.dask_scheduler", "--host", "127.0.0.1", "--port", str(port)]
    running = [subprocess.Popen([*start, "--no-dashboard"], **quiet)]  # type: ignore[call-overload]
    for _ in range(2):
        worker = [sys.executable, "-m", "distributed.cli.dask_worker", address, "--nthreads", "1", "--no-nanny"]
        running.append(subprocess.Popen([*worker, "--no-dashboard"], **quiet))  # type: ignore[call-overload]
    yield address, running
    for process in running:
        process.kill()
        process.wait()


@pytest.mark.slow
def test_a_cluster_builds_them_and_a_worker_that_is_killed_stops_nothing(
    scheduler: tuple[str, list[subprocess.Popen[bytes]]], tmp_path: Path
) -> None:
    from distributed import Client

    address, running = scheduler
    paths = _jobs(tmp_path, 24, 30, 36, 40)
    with Client(address, timeout="60s", set_as_default=False) as client:
        client.wait_for_workers(2, timeout=60)
        killer = threading.Timer(4.0, running[1].kill)
        killer.start()
        found = build_many(paths, _plain(tmp_path / "out"), executor=client.get_executor(pure=False))
        killer.join()
    assert running[1].wait(10) != 0
    built = [outcome for outcome in found if outcome.verdict != ERROR]
    assert len(built) == len(paths), [outcome.faults for outcome in found]
    for outcome in built:
        assert (Path(outcome.folder) / "manifest.json").exists()
