"""One job on the server: its text, what is read and designed from it, and what is wrong; shared by all pages of it.

Every change goes through one worker thread of the session's own, in the order it was asked for, so that no page waits
for another and none can see half a change. What is known is one frozen `State`, replaced whole. The job file is written
at every change that leaves a job which can be read; a text that cannot be read stays here and in the history beside
the file, until it can.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from wheelcad.errors import Fault, JobError, JobFileError, Key
from wheelcad.findings import Finding
from wheelcad.job.edit import data_of, put_text, with_entry, without
from wheelcad.job.invented import dotted, invented_keys, settled_text, value_text
from wheelcad.job.models import Job
from wheelcad.job.reader import source_of
from wheelcad.job.source import JobSource
from wheelcad.job.text import read_text
from wheelcad.page.board import Board
from wheelcad.page.brought import starter_section
from wheelcad.page.figures import Figure, compared, design_figures, quick_figures, slow_figures, with_first_frequency
from wheelcad.page.history import History, digest
from wheelcad.page.typed import Typed, as_typed
from wheelcad.page.verdict import designed, dotted_all, read
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.design import Design
from wheelcad.parts.kept import Memory
from wheelcad.save import save

OUTSIDE = "changed outside this page"


@dataclass(frozen=True)
class State:
    """All that is known of the job now.

    number: rises with every state. job: what the text says, None where it cannot be read. design: of the last text that
    could be designed; is_current: whether that is this one; is_working: whether this one is being designed, faults and
    findings of it to come. faults: what is wrong with the text. figures: the large numbers, with what they were before
    the last change. invented: dotted keys nobody measured. data: the text's mappings, lists and words as written, None
    where it is not YAML. by: who made the last change (a page's name, "" for the file or nobody), said: what it was,
    key: where. saved: whether the job file says all this; trouble: why it cannot be written. outside: the file's text,
    where it was changed and so was this one. slow: what the slow work found of this very text, None while it is under
    way or cannot be. first_hz: of the bracket by finite elements, None while there is the estimate alone.
    """

    number: int = 0
    text: str = ""
    source: JobSource = field(default_factory=JobSource)
    job: Job | None = None
    design: Design | None = None
    is_current: bool = False
    is_working: bool = False
    faults: tuple[Fault, ...] = ()
    findings: tuple[Finding, ...] = ()
    figures: tuple[Figure, ...] = ()
    invented: tuple[str, ...] = ()
    data: Any = None
    by: str = ""
    said: str = ""
    key: str = ""
    saved: bool = True
    trouble: str = ""
    outside: str | None = None
    slow: Mapping[str, Any] | None = None
    first_hz: float | None = None

    @property
    def units(self) -> str:
        """What bare lengths are in."""
        return self.source.units


class Session(Board[State]):
    """The job at `path`. `subscribe` hears of every new state, in the worker's thread; changes return Futures of it."""

    def __init__(self, path: Path) -> None:
        """JobFileError when the file cannot be read at all."""
        super().__init__(State())
        self.path = path
        self.history = History(path)
        self._worker = ThreadPoolExecutor(1, thread_name_prefix=f"job {path.stem}")
        self._before: dict[str, str] = {}  # the figures that the next are held against
        self._typed: dict[tuple[Key, str], str] = {}
        self._kept = Memory()
        self._disk = read_text(path)
        self._open()

    # --- for pages ---------------------------------------------------------------------------------------------------
    @property
    def state(self) -> State:
        """What is known of the job now."""
        return self.value

    def set(self, key: Key, said: str, by: str = "") -> Future[State]:
        """A value as a person typed it; "" takes the key out. What is typed while another change is at work is taken
        together with it, the last of each key."""
        with self._lock:
            self._typed[(key, by)] = said
        return self._worker.submit(self._take_typed)

    def remove(self, key: Key) -> Future[State]:
        """Take a key, a section or a list's entry out."""
        return self.change(lambda text: without(text, key, self.path.name), f"{dotted_all(key)} taken out", key)

    def append(self, key: Key, value: str) -> Future[State]:
        """One more entry, in YAML, at the end of a list."""
        return self.change(lambda text: with_entry(text, key, value, self.path.name), f"{dotted(key)}: one more", key)

    def bring(self, key: Key, example: str) -> Future[State]:
        """A section that is not there: as its example has it, or a section of the job as a starter has it."""

        def change(text: str) -> str:
            put = example or starter_section(self._good_job(), self.state.units, str(key[0]))
            return put_text(text, key, put, self.path.name)

        return self.change(change, f"{dotted_all(key)} brought in", key)

    def settle(self, key: str) -> Future[State]:
        """Say that an invented value was measured and found as it stands."""

        def change(text: str) -> str:
            source = source_of(text, self.path.name)
            return _with_ends_of(text, settled_text(source, key, value_text(source, key)))

        return self.change(change, f"{key} measured, as it stood")

    def set_text(self, text: str, by: str = "") -> Future[State]:
        """The whole file as somebody wrote it."""
        return self.change(lambda _: text, "the file's text", by=by)

    def change(self, change: Callable[[str], str], said: str, key: Key = (), by: str = "") -> Future[State]:
        """Any change of the text; one that cannot be made (JobError, ValueError) changes nothing and is raised."""

        def work() -> State:
            after = change(self.state.text)
            return self._changed(after, said, by, dotted_all(key)) if after != self.state.text else self.state

        return self._worker.submit(work)

    def undo(self) -> Future[State]:
        """Take the last change back."""
        return self._worker.submit(lambda: self._went(self.history.undo(), "taken back"))

    def redo(self) -> Future[State]:
        """Make it again."""
        return self._worker.submit(lambda: self._went(self.history.redo(), "made again"))

    def back_to(self, number: int) -> Future[State]:
        """Take back every change from the `number`th on (counted from 0)."""

        def work() -> State:
            while self.history.position > max(number, 0):
                self.history.undo()
            return self._went(self.history.text, "taken back")

        return self._worker.submit(work)

    def look_outside(self) -> Future[State]:
        """Whether the file was changed by another program: taken in where nothing is unsaved here, else asked about."""
        return self._worker.submit(self._look)

    def take_outside(self, theirs: bool) -> Future[State]:
        """The answer to that question: take the file's text, or keep this one and write it over the file's."""
        return self._worker.submit(lambda: self._answered(theirs))

    def tell_slow(self, of_text: str, slow: Mapping[str, Any]) -> Future[State]:
        """What the slow work found of a text; dropped where the text is another by now."""

        def work() -> State:
            if of_text == self.state.text:
                self.show(
                    replace(self.state, slow=slow, figures=self._figures(self.state.design, slow, self.state.first_hz))
                )
            return self.state

        return self._worker.submit(work)

    def tell_stiffness(self, bracket: BracketDesign, first_hz: float) -> Future[State]:
        """The first natural frequency of a bracket by finite elements; dropped where the design has another by now."""

        def work() -> State:
            design = self.state.design
            if design is not None and design.bracket is bracket and self.state.first_hz is None:
                state = replace(self.state, first_hz=first_hz)
                figures = with_first_frequency(state.figures, first_hz, design.job.units)
                self.show(replace(state, figures=figures))
            return self.state

        return self._worker.submit(work)

    def close(self) -> None:
        """Wait for what is under way, and take no more."""
        self._worker.shutdown()

    # --- in the worker -----------------------------------------------------------------------------------------------
    def _open(self) -> None:
        kept = self.history.load()
        if not kept:
            self.history.begin(self._disk)
        elif self.history.saved != digest(self._disk):
            self.history.add(self._disk, OUTSIDE)
            self.history.note_saved()
        text = self.history.text
        if text != self._disk:  # what is unsaved may not be readable: the numbers are the file's until it is
            self.value = self._read(self._disk, State())
        self.value = self._read(text, self.state)
        if text != self._disk:  # typed before a crash
            self._keep(text)

    def _take_typed(self) -> State:
        with self._lock:
            typed, self._typed = self._typed, {}
        text, said, last, by = self.state.text, [], "", ""
        try:
            for (key, who), value in typed.items():
                for change in as_typed(text, key, value, self.path.name):
                    text = self._with(text, change)
                    said.append(f"{dotted_all(change.key)}: {change.value or 'left out'}")
                    last, by = dotted_all(change.key), who
        finally:
            job, unchanged = self.state.job, not said or text == self.state.text
            if self.state.is_working and unchanged and job is not None:  # left for this change, which is none
                self.show(self._with_design(self.state, job))
        if text == self.state.text:
            return self.state
        return self._changed(text, "; ".join(said), by, last, join=True)

    def _with(self, text: str, change: Typed) -> str:
        """The text with one value changed, and no longer marked as invented."""
        file = self.path.name
        if not change.value:
            return without(text, change.key, file)
        marked = dotted(change.key)
        if marked in self.state.invented:
            source = source_of(text, file)
            with contextlib.suppress(JobError, ValueError):  # it went with another change of these
                settled = _with_ends_of(text, settled_text(source, marked, value_text(source, marked)))
                return put_text(settled, change.key, change.value, file)
        return put_text(text, change.key, change.value, file)

    def _changed(self, text: str, said: str, by: str, key: str, join: bool = False) -> State:
        joined = len(self.history.entries)
        self.history.add(text, said, key, join)
        last = self.history.entries[-1]
        if not (last.joins and len(self.history.entries) > joined):
            self._before = {figure.name: figure.text for figure in self.state.figures}
        return self._went(text, said, by, key)

    def _went(self, text: str, said: str, by: str = "", key: str = "") -> State:
        if not key:
            self._before = {figure.name: figure.text for figure in self.state.figures}
        state = self._read(text, replace(self.state, by=by, said=said, key=key))
        self.value = state
        self._keep(text)
        self.show(self.state)
        return self.state

    def _read(self, text: str, old: State) -> State:
        """The state of a text: read and designed as the command line does it."""
        job, faults = read(text, str(self.path))
        source = job.source if job is not None else source_of(text, str(self.path))
        state = replace(
            old,
            number=old.number + 1,
            text=text,
            source=source,
            job=job,
            is_current=False,
            is_working=job is not None,
            faults=faults,
            findings=(),
            invented=invented_keys(source),
            data=data_of(text),
            saved=text == self._disk,  # until it is written the page must not say that it is
            slow=None,
        )
        if job is None:
            return state
        with contextlib.suppress(Exception):  # what is wrong with it is told with all else, below
            state = replace(state, figures=compared(quick_figures(job, old.figures, self._kept), self._before))
        self.show(state)
        return state if self._typed else self._with_design(state, job)  # typed already: designed with the rest

    def _with_design(self, state: State, job: Job) -> State:
        design, faults = designed(job, self._kept)
        return replace(
            state,
            number=state.number + 1,
            design=design or state.design,
            is_current=design is not None,
            is_working=False,
            faults=faults,
            findings=design.findings if design is not None else (),
            figures=self._figures(design or state.design, None),
            first_hz=None,
        )

    def _good_job(self) -> Job | None:
        """The last job that could be designed."""
        return self.state.design.job if self.state.design is not None else None

    def _figures(
        self, design: Design | None, slow: Mapping[str, Any] | None, first_hz: float | None = None
    ) -> tuple[Figure, ...]:
        if design is None:
            return ()
        figures = compared((*design_figures(design), *slow_figures(slow, design.job.units)), self._before)
        return figures if first_hz is None else with_first_frequency(figures, first_hz, design.job.units)

    def _keep(self, text: str) -> None:
        """Write the job file, where what is written can be read again."""
        trouble = self.history.trouble
        if self.state.outside is None and self.state.job is not None and text != self._disk:
            try:
                if read_text(self.path) != self._disk:
                    return self._look_at(read_text(self.path))
                save(self.path.resolve(), text.encode("utf-8"))
                self._disk = text
                self.history.note_saved()
            except (OSError, UnicodeEncodeError) as error:
                trouble = f"{self.path.name} cannot be written: {getattr(error, 'strerror', None) or error}"
            except JobError as error:
                trouble = f"{self.path.name}: {error.faults[0].message}"
        self.value = replace(self.state, saved=text == self._disk, trouble=trouble)
        return None

    def _look(self) -> State:
        try:
            there = read_text(self.path)
        except JobError as error:
            trouble = f"{self.path.name}: {error.faults[0].message}"
            if trouble != self.state.trouble:
                self.show(replace(self.state, number=self.state.number + 1, trouble=trouble))
            return self.state
        if there != self._disk and there != self.state.outside:
            self._look_at(there)
            self.show(self.state)
        return self.state

    def _look_at(self, there: str) -> None:
        """The file's text is another than was last read or written here."""
        if self.state.text == self._disk or there == self.state.text:
            self._take(there)
        else:
            self.value = replace(self.state, number=self.state.number + 1, outside=there, saved=False)

    def _take(self, there: str) -> None:
        self._disk = there
        if there != self.state.text:
            self.history.add(there, OUTSIDE)
            self._before = {figure.name: figure.text for figure in self.state.figures}
        self.history.note_saved()
        self.value = self._read(there, replace(self.state, by="", said=OUTSIDE, key="", outside=None, saved=True))

    def _answered(self, theirs: bool) -> State:
        there = self.state.outside
        if there is not None and theirs:
            self._take(there)
        elif there is not None:
            self._disk = there
            self.value = replace(self.state, number=self.state.number + 1, outside=None)
            self._keep(self.state.text)
        self.show(self.state)
        return self.state


def _with_ends_of(text: str, settled: str) -> str:
    """A text made from lines, with the line ends and the mark of the one it was made from."""
    settled = settled.replace("\n", "\r\n") if "\r\n" in text else settled
    return "\ufeff" + settled if text.startswith("\ufeff") else settled


__all__ = ["JobFileError", "Session", "State"]
