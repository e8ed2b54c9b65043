"""The jobs that pages have open, each once, with all that is at work for them; and which jobs may be opened."""

from __future__ import annotations

import tempfile
import threading
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from wheelcad.catalogue import MANIFEST, REPORT
from wheelcad.errors import Fault, JobFileError
from wheelcad.files.folder import changed, read_manifest
from wheelcad.job.found import ENDINGS, FOLDERS
from wheelcad.page.board import Board
from wheelcad.page.builder import Builder
from wheelcad.page.doors import Keys
from wheelcad.page.pinned import Pin
from wheelcad.page.session import Session
from wheelcad.page.slow import SlowWork
from wheelcad.page.stiff import StiffWork


@dataclass(frozen=True)
class Measuring:
    """A wheel that was given to be measured. at_work: its file's name while it is. said: what came out, for programs;
    faults: why nothing did. chart: the polar chart, SVG. files: what was given. asked: with which options."""

    at_work: str = ""
    said: dict[str, Any] | None = None
    faults: tuple[str, ...] = ()
    chart: str = ""
    files: tuple[Path, ...] = ()
    asked: tuple[str, ...] = ()


@dataclass(frozen=True)
class Surveying:
    """Photographs given for the survey so far, and what came of them, in words."""

    photos: tuple[Path, ...] = ()
    at_work: bool = False
    text: str = ""
    faults: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()


@dataclass(eq=False)
class JobWork:
    """One job: its session, what works for it, and what its pages show beside it. folder: where commands are run."""

    session: Session
    slow: SlowWork
    stiff: StiffWork
    builder: Builder
    out: Path
    folder: Path
    given: Path
    measuring: Board[Measuring] = field(default_factory=lambda: Board(Measuring()))
    surveying: Board[Surveying] = field(default_factory=lambda: Board(Surveying()))
    options: Board[Any] = field(default_factory=lambda: Board(None))
    pins: Board[tuple[Pin, ...]] = field(default_factory=lambda: Board(()))

    @property
    def name(self) -> str:
        """The job's name in addresses: its file's."""
        return self.session.path.stem

    @property
    def built_in(self) -> Path:
        """The folder that a build of the job as it is goes to."""
        job = self.session.state.job or (design.job if (design := self.session.state.design) is not None else None)
        return self.out / (job.job if job is not None else self.name)


class Desk:
    """keys: to come in with. job: the job file that was named, None for none. out: where builds go. shared: whether
    other devices may come in, and address: this machine's for them."""

    def __init__(self, keys: Keys, job: Path | None, out: Path, shared: bool = False, address: str = "") -> None:
        self.keys, self.out, self.shared, self.address = keys, out.absolute(), shared, address
        self.folder = Path.cwd()
        self.start = job.stem if job is not None else ""
        self._known = {job.stem: job.absolute()} if job is not None else {}
        self._works: dict[str, JobWork] = {}
        self._lock = threading.Lock()
        self._given = tempfile.TemporaryDirectory(prefix="wheelcad-given-")

    def jobs(self) -> dict[str, Path]:
        """The job files that may be opened, by name: the one that was named, and those here and in configs."""
        found = dict(self._known)
        for folder in FOLDERS:
            for ending in ENDINGS:
                for path in sorted((self.folder / folder).glob(f"*{ending}")):
                    found.setdefault(path.stem, path)
        return found

    def work(self, name: str) -> JobWork:
        """A job by its name, opened at the first call. JobFileError for one that there is none of."""
        with self._lock:
            if name not in self._works:
                path = self.jobs().get(name)
                if path is None:
                    raise JobFileError(Fault("there is no such job file here", file=name[:64]))
                session = Session(path)
                slow = SlowWork(session)
                slow.start()
                stiff = StiffWork(session)
                stiff.start()
                given = Path(self._given.name) / str(len(self._works))
                builder = Builder(path, self.out)
                self._works[name] = JobWork(session, slow, stiff, builder, self.out, self.folder, given)
            return self._works[name]

    def look(self) -> None:
        """Look whether any job file was changed by another program."""
        for work in list(self._works.values()):
            work.session.look_outside()

    def close(self) -> None:
        """End all that is at work."""
        for work in self._works.values():
            work.slow.stop()
            work.stiff.stop()
            work.builder.stop()
            work.session.close()
        self._given.cleanup()

    def knows(self, path: Path) -> None:
        """A job file that was made here may be opened too."""
        self._known[path.stem] = path.absolute()

    def one_time(self, page: str = "/") -> str:
        """An address that lets one more device in, once; "" where the page is not shared."""
        return f"http://{self.address}:{self.keys.port}{page}?key={self.keys.one_time()}" if self.address else ""


def built_file(work: JobWork, name: str) -> Path | None:
    """A file of the job's build that may be shown: named by its manifest, and as the build wrote it. None for any
    other name, whatever it is made of."""
    folder = work.built_in
    if name in (MANIFEST, REPORT):
        entry: dict[str, Any] | None = {}
    else:
        entries = read_manifest(folder).get("files")
        entry = next((e for e in entries if isinstance(e, dict) and e.get("name") == name), None) if entries else None
    path = folder / name
    if entry is None or Path(name).name != name or path.is_symlink() or not path.is_file():
        return None
    return None if entry and changed(path, entry) else path


def shared_words(address: str) -> str:
    """What sharing the page means."""
    if not address:
        return "This machine is in no network: there is nobody to share the page with."
    return (
        "Whoever is in can change and build this job. What goes over the network can be read in it: share it only in a "
        "network you trust, such as your own at home."
    )
