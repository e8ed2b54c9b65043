"""Builds the job in a process of its own that keeps the CAD kernel loaded, so that only the first build waits for it.

The process is started at the first build. It builds what is saved in the job file, tells each part as it is done, and
is ended with the server. One that dies is told as the build's end, and another takes its place at the next build.
"""

from __future__ import annotations

import multiprocessing
import signal
import threading
import time
from dataclasses import dataclass, replace
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from wheelcad.page.board import Board


@dataclass(frozen=True)
class Building:
    """A build. done: parts and files made so far, in order, with the second each was made in. ended: whether it is
    over; verdict: the gravest finding's, or `error`. faults: why nothing was written. findings: those that failed or
    warned, told in words. changes: since the build before. mark: first figures of the hash of the job that was built.
    """

    at_work: bool = False
    ended: bool = False
    done: tuple[tuple[str, float], ...] = ()
    seconds: float = 0.0
    verdict: str = ""
    faults: tuple[str, ...] = ()
    findings: tuple[tuple[str, str], ...] = ()
    changes: tuple[str, ...] = ()
    folder: str = ""
    files: tuple[str, ...] = ()
    sha256: str = ""


class Builder:
    """Builds one job file into `out`. board: how the build stands."""

    def __init__(self, path: Path, out: Path) -> None:
        self._path, self._out = path, out
        self.board: Board[Building] = Board(Building())
        self._lock = threading.Lock()
        self._process: multiprocessing.process.BaseProcess | None = None

    def start(self) -> bool:
        """Begin a build; False where one is under way."""
        with self._lock:
            if self.board.value.at_work:
                return False
            self.board.show(Building(at_work=True))
        threading.Thread(target=self._run, daemon=True, name=f"build {self._path.stem}").start()
        return True

    def stop(self) -> None:
        """End the process, whatever it is doing."""
        if self._process is not None and self._process.is_alive():
            self._process.terminate()
            self._process.join(5)

    def _run(self) -> None:
        start = time.monotonic()
        try:
            if self._process is None or not self._process.is_alive():
                context = multiprocessing.get_context("spawn")
                self._here, there = context.Pipe()
                self._process = context.Process(target=_serve, args=(there,), daemon=False)
                self._process.start()
                there.close()
            self._here.send((str(self._path), str(self._out)))
            while not self.board.value.ended:
                kind, what = self._here.recv()
                now = self.board.value
                seconds = round(time.monotonic() - start, 2)
                if kind == "done":
                    self.board.show(replace(now, done=(*now.done, (what, seconds)), seconds=seconds))
                else:
                    self.board.show(replace(now, at_work=False, ended=True, seconds=seconds, **what))
        except (EOFError, OSError) as error:
            said = f"the build's process ended without an answer ({type(error).__name__}); build again"
            ended = replace(self.board.value, at_work=False, ended=True, verdict="error", faults=(said,))
            self.board.show(ended)


def _serve(link: Connection) -> None:
    """The process's life: one build after another, the kernel loaded once."""
    from wheelcad.kernel import Kernel

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # who started it hears of that, and ends it
    kernel = Kernel().__enter__()  # its long import runs beside ours
    try:
        while True:
            path, out = link.recv()
            if not kernel.lives:
                kernel.__exit__(None, None, None)
                kernel = Kernel().__enter__()
            link.send(("ended", _built(Path(path), Path(out), kernel, link)))
    except EOFError:
        pass
    finally:
        kernel.__exit__(None, None, None)


def _built(path: Path, out: Path, kernel: Any, link: Connection) -> dict[str, Any]:
    from wheelcad.build import build_job
    from wheelcad.errors import JobError
    from wheelcad.findings import poor
    from wheelcad.words import Words

    try:
        result = build_job(path, out, lambda name: link.send(("done", name)), kernel=kernel)
    except JobError as error:
        return {"verdict": "error", "faults": tuple(str(fault) for fault in error.faults)}
    except Exception as error:  # a mistake of the program's own must not end the page
        return {"verdict": "error", "faults": (f"the program made a mistake of its own: {error!r}",)}
    words = Words(result.job.units)
    told = tuple((finding.verdict, finding.told(words)) for finding in poor(result.findings))
    changes = tuple(words.text(line) for line in result.changes.lines()) if result.changes is not None else ()
    return {
        "verdict": result.verdict,
        "findings": told,
        "changes": (*changes, *result.kept),
        "folder": str(result.folder),
        "files": result.files,
        "sha256": result.job.source.sha256,
    }
