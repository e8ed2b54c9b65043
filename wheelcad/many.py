"""Many jobs at once: handed out one by one to workers, each of which loads the kernel once.

Nothing that goes wrong with one job stops another: a wrong job, a crash and a killed worker are each told as that job's
outcome. `build_many` uses processes of its own, or any executor of `concurrent.futures` (a cluster's, say): then the
work is done wherever the executor has it done, and the files come back here.
"""

from __future__ import annotations

import io
import multiprocessing
import queue
import signal
import threading
import time
import zipfile
from collections.abc import Callable, Sequence
from concurrent.futures import Executor, as_completed
from dataclasses import dataclass, replace
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from wheelcad.build import build_job
from wheelcad.errors import JobError, JobFileError
from wheelcad.files.folder import read_manifest, scratch, staged
from wheelcad.job.found import find_job
from wheelcad.job.reader import load_job
from wheelcad.kernel import Kernel
from wheelcad.signalled import OUTPUTS
from wheelcad.surroundings import seldom_swept

ERROR, UNCHANGED = "error", "unchanged"
PATIENCE_S = 0.2  # how often the one who waits looks whether it was interrupted


@dataclass(frozen=True)
class BuildWanted:
    """What is made of every job. only_changed: a job built from this very text by this version is left as it is."""

    out: Path = OUTPUTS
    packet: bool = True
    fem: bool = True
    replace: bool = False
    only_changed: bool = False


@dataclass(frozen=True)
class JobOutcome:
    """How a job ended. verdict: the gravest finding's, `error` (nothing written) or `unchanged`. faults: why not."""

    job: str
    verdict: str
    seconds: float
    folder: str = ""
    faults: tuple[str, ...] = ()

    def report(self) -> dict[str, Any]:
        """As --json tells it."""
        return {
            "job": self.job,
            "verdict": self.verdict,
            "seconds": round(self.seconds, 2),
            "folder": self.folder or None,
            "faults": list(self.faults),
        }


Heard = Callable[[JobOutcome], None]


def build_many(
    paths: Sequence[str | Path],
    wanted: BuildWanted = BuildWanted(),
    workers: int = 2,
    executor: Executor | None = None,
    heard: Heard = lambda _: None,
) -> list[JobOutcome]:
    """Build every job; the outcomes in the order of `paths`. `heard` is told of each as it ends, in any order.

    ValueError for fewer than one worker. KeyboardInterrupt ends the workers and is raised again: what was built stays.
    """
    if workers < 1:
        raise ValueError("at least one worker is wanted")
    names = [str(path) for path in paths]
    if executor is not None:
        return _by_executor(names, wanted, executor, heard)
    waiting: queue.SimpleQueue[int] = queue.SimpleQueue()
    for number in range(len(names)):
        waiting.put(number)
    ended: dict[int, JobOutcome] = {}
    bench = [_Worker(names, wanted, waiting, ended, heard) for _ in range(min(workers, len(names)))]
    try:
        for worker in bench:
            worker.start()
        while any(worker.is_alive() for worker in bench):
            for worker in bench:
                worker.join(PATIENCE_S)
    finally:
        for worker in bench:
            worker.end()
    return [ended[number] for number in range(len(names))]


class _Worker(threading.Thread):
    """A thread that holds one process, hands it one job after another and starts another process when that one dies."""

    def __init__(
        self,
        names: Sequence[str],
        wanted: BuildWanted,
        waiting: queue.SimpleQueue[int],
        ended: dict[int, JobOutcome],
        heard: Heard,
    ) -> None:
        super().__init__(daemon=True)
        self._names, self._wanted, self._waiting, self._ended, self._heard = names, wanted, waiting, ended, heard
        self._process: multiprocessing.process.BaseProcess | None = None
        self._stopped = False

    def run(self) -> None:
        """Take jobs until there are none."""
        while not self._stopped:
            try:
                number = self._waiting.get_nowait()
            except queue.Empty:
                return
            self._ended[number] = outcome = self._built(self._names[number])
            self._heard(outcome)

    def end(self) -> None:
        """End the process, whatever it is doing."""
        self._stopped = True
        if self._process is not None and self._process.is_alive():
            self._process.terminate()
            self._process.join()

    def _built(self, name: str) -> JobOutcome:
        start = time.monotonic()
        if self._process is None or not self._process.is_alive():
            context = multiprocessing.get_context("spawn")
            self._here, there = context.Pipe()
            self._process = context.Process(target=_serve, args=(there, self._wanted), daemon=False)
            self._process.start()
            there.close()
        try:
            self._here.send(name)
            outcome: JobOutcome = self._here.recv()
        except (EOFError, OSError):
            self._process.join()
            return JobOutcome(name, ERROR, time.monotonic() - start, faults=(_end_of(self._process.exitcode),))
        return outcome


def _end_of(code: int | None) -> str:
    if code is not None and code < 0:
        return f"the worker that built it was ended by {signal.Signals(-code).name}; the others went on"
    return f"the worker that built it ended with code {code}; the others went on"


def _serve(link: Connection, wanted: BuildWanted) -> None:
    """A worker's life: one job after another, the kernel loaded once."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # who started it hears of that, and ends it
    seldom_swept()
    kernel: Kernel | None = None
    try:
        while True:
            name = link.recv()
            if kernel is not None and not kernel.lives:
                kernel.__exit__(None, None, None)
                kernel = None
            kernel = kernel or Kernel().__enter__()
            link.send(build_one(name, wanted, kernel))
    except EOFError:
        pass
    finally:
        if kernel is not None:
            kernel.__exit__(None, None, None)


def build_one(name: str | Path, wanted: BuildWanted, kernel: Kernel | None = None) -> JobOutcome:
    """Build one job and tell how it ended; raises nothing but what stops the whole program."""
    start = time.monotonic()
    try:
        path = find_job(Path(name))
        if wanted.only_changed:
            job = load_job(path)
            if _is_built(job.source.sha256, wanted.out / job.job):
                return JobOutcome(job.job, UNCHANGED, time.monotonic() - start, str(wanted.out / job.job))
        result = build_job(
            path, wanted.out, packet=wanted.packet, fem=wanted.fem, kernel=kernel, replace=wanted.replace
        )
    except JobError as error:
        return JobOutcome(
            str(name), ERROR, time.monotonic() - start, faults=tuple(str(fault) for fault in error.faults)
        )
    except Exception as error:  # a mistake of the program's own must not stop the other jobs
        said = f"the program made a mistake of its own: {type(error).__name__}: {error}"
        return JobOutcome(str(name), ERROR, time.monotonic() - start, faults=(said,))
    return JobOutcome(result.job.job, result.verdict, time.monotonic() - start, str(result.folder))


def _is_built(sha256: str, folder: Path) -> bool:
    """Whether a folder holds what this version made of a job of this hash, all files of the size they were."""
    from importlib.metadata import version

    kept = read_manifest(folder)
    job, versions, files = kept.get("job"), kept.get("versions"), kept.get("files")
    if not isinstance(job, dict) or not isinstance(versions, dict) or not isinstance(files, list):
        return False
    same = job.get("sha256") == sha256 and versions.get("wheelcad") == version("wheelcad")
    there = (folder / str(entry.get("name")) for entry in files if isinstance(entry, dict))
    return same and all(path.is_file() for path in there)


# --- somewhere else ------------------------------------------------------------------------------------------------
def build_elsewhere(name: str, text: str, wanted: BuildWanted) -> tuple[JobOutcome, str, bytes]:
    """Build a job from its text wherever this runs: the outcome, the job's name, and its folder as a zip's bytes."""
    with scratch() as place:
        path = place / Path(name).name
        path.write_text(text, encoding="utf-8")
        there = replace(wanted, out=place / "outputs", only_changed=False)
        outcome = build_one(path, there)
        if outcome.verdict == ERROR:
            return replace(outcome, job=name), "", b""
        packed = io.BytesIO()
        with zipfile.ZipFile(packed, "w") as archive:
            for made in sorted(Path(outcome.folder).iterdir()):
                archive.write(made, made.name)
        return outcome, outcome.job, packed.getvalue()


def _by_executor(names: Sequence[str], wanted: BuildWanted, executor: Executor, heard: Heard) -> list[JobOutcome]:
    ended: dict[int, JobOutcome] = {}
    futures = {}
    for number, name in enumerate(names):
        start = time.monotonic()
        try:
            path = find_job(Path(name))
            job = load_job(path)
            if wanted.only_changed and _is_built(job.source.sha256, wanted.out / job.job):
                ended[number] = JobOutcome(job.job, UNCHANGED, time.monotonic() - start, str(wanted.out / job.job))
            else:
                futures[executor.submit(build_elsewhere, name, path.read_text(encoding="utf-8"), wanted)] = number
        except JobError as error:
            faults = tuple(str(fault) for fault in error.faults)
            ended[number] = JobOutcome(name, ERROR, time.monotonic() - start, faults=faults)
        if number in ended:
            heard(ended[number])
    for future in as_completed(futures):
        number = futures[future]
        try:
            ended[number] = _brought(*future.result(), wanted.out)
        except Exception as error:  # a worker that was lost, a network that went: this job's end, not the others'
            said = f"it was lost where it was built: {type(error).__name__}: {error}"
            ended[number] = JobOutcome(names[number], ERROR, 0.0, faults=(said,))
        heard(ended[number])
    return [ended[number] for number in range(len(names))]


def _brought(outcome: JobOutcome, job: str, packed: bytes, out: Path) -> JobOutcome:
    """The outcome with its files unpacked here, whole or not at all."""
    if not packed:
        return outcome
    folder = out / job
    try:
        with staged(folder) as stage, zipfile.ZipFile(io.BytesIO(packed)) as archive:
            for entry in archive.namelist():
                (stage / Path(entry).name).write_bytes(archive.read(entry))
    except JobFileError as error:
        return replace(outcome, verdict=ERROR, folder="", faults=tuple(str(fault) for fault in error.faults))
    return replace(outcome, folder=str(folder))
