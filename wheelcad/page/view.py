"""One open page of a job: what its panels are given. It holds which field is in hand, and nothing of the job."""

from __future__ import annotations

import asyncio
import contextlib
import logging
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass
from typing import TypeVar

from nicegui import Client, ui

from wheelcad.errors import Fault, JobError, Key
from wheelcad.findings import Finding
from wheelcad.page.board import Board
from wheelcad.page.desk import Desk, JobWork
from wheelcad.page.form import section_of_key
from wheelcad.page.mend import Mend, problem_of
from wheelcad.page.session import State
from wheelcad.words import Words

T = TypeVar("T")
Heard = Callable[[State], None]
HandHeard = Callable[[Key], None]
AFTER_NUMBERS_S = 0.02  # in which the numbers are sent


def heading(text: str, level: int = 2) -> ui.label:
    """A head of the page or of a part of it, told as one to who cannot see it."""
    return ui.label(text).classes("wc-head").props(f"role=heading aria-level={level}")


def attribute(text: str) -> str:
    """Text that may stand between the quotes of a property: none of it can end them."""
    return "".join(c if c.isprintable() and c not in '"\\' else "'" for c in text)


@dataclass
class Watch:
    """Who hears of states. panel: while it is open; "" always. behind: a state came that was not told."""

    panel: str
    heard: Heard
    behind: bool = False


class PageView:
    """session: the job; work: what else is at work for it; desk: all jobs. name: of this page, by which what is typed
    in it is known (State.by). in_hand: key of the field that a person is at, () for none. section: the form's open one.
    """

    def __init__(self, desk: Desk, work: JobWork, client: Client) -> None:
        self.desk, self.work, self.session = desk, work, work.session
        session = work.session
        self.name = client.id
        self.in_hand: Key = ()
        self.section = "job"
        self.open_tab: Callable[[str], None] = lambda name: None  # shows a panel by its name
        self._client = client
        self._loop = asyncio.get_running_loop()
        self.drawing = ""  # the panel that is being drawn, "" for what stands beside all of them
        self.shown = "form"  # the panel that is open
        self._watches: list[Watch] = []
        self._hand_heard: list[HandHeard] = []
        self._arriving = False
        self._ends = [session.subscribe(self._in_worker)]
        client.on_delete(self.close)

    @property
    def state(self) -> State:
        """What is known of the job now."""
        return self.session.state

    @property
    def words(self) -> Words:
        """The writer of quantities in the job's unit."""
        return Words(self.state.units)

    def watch(self, heard: Heard) -> None:
        """Call back with the state now, and with every new one until the page is closed, in the event loop; for what a
        panel shows while it is open, and again when it is opened."""
        self._watches.append(Watch(self.drawing, heard))
        heard(self.state)

    def open(self, panel: str) -> None:
        """A panel is looked at: what it missed meanwhile, it hears now."""
        self.shown = panel
        self._tell([watch for watch in self._watches if watch.panel == panel and watch.behind])

    def watch_board(self, board: Board[T], heard: Callable[[T], None]) -> None:
        """Call back with a board's value now and whenever it is another, in the event loop."""

        def arrived(value: T) -> None:
            with self._client:
                heard(value)

        self._ends.append(board.subscribe(lambda value: self._call(arrived, value)))
        heard(board.value)

    def _call(self, heard: Callable[[T], None], value: T) -> None:
        with contextlib.suppress(RuntimeError):  # the loop has ended
            self._loop.call_soon_threadsafe(heard, value)

    def mend_of(self, what: Fault | Finding) -> Mend | None:
        """The change that was found to take a fault or finding away; None while it is looked for, or there is none."""
        slow = self.state.slow
        found: Mend | None = slow.get("mends", {}).get(problem_of(what)) if slow is not None else None
        return found

    def mend(self, mend: Mend) -> None:
        """Make that change."""
        file = self.session.path.name
        self.follow(self.session.change(lambda text: mend.applied(text, file), mend.said, mend.key))

    def watch_hand(self, heard: HandHeard) -> None:
        """Call back with the key of the field in hand whenever that is another."""
        self._hand_heard.append(heard)

    def hold(self, key: Key) -> None:
        """A person is at the field of this key."""
        if key != self.in_hand:
            self.in_hand = key
            for heard in list(self._hand_heard):
                heard(key)

    def take(self, key: Key) -> None:
        """Bring the field of a key to the person: its section opens, and it is focused."""
        self.section = section_of_key(key)
        self.open_tab("form")
        self.in_hand = ()
        self.hold(key)

    def set(self, key: Key, said: str) -> Future[State]:
        """Change a value as typed; "" leaves the key out."""
        future = self.session.set(key, said, self.name)
        self.follow(future)
        return future

    def follow(self, future: Future[State]) -> None:
        """Let a change run; what it refuses is shown on this page."""

        def done(ended: Future[State]) -> None:
            error = ended.exception()
            if error is not None:
                self._loop.call_soon_threadsafe(self._refused, error)

        future.add_done_callback(done)

    def say(self, text: str, kind: str = "info") -> None:
        """Tell this page's person something in passing."""
        with self._client:
            ui.notify(self.words.text(text), type=kind, position="top", multi_line=True, close_button="Close")  # type: ignore[arg-type]

    def close(self) -> None:
        """Hear nothing more."""
        for end in self._ends:
            end()
        self._watches.clear()
        self._hand_heard.clear()

    def _refused(self, error: BaseException) -> None:
        if isinstance(error, JobError):
            self.say("; ".join(f"{fault.dotted} {fault.message}".strip() for fault in error.faults), "negative")
        else:
            logging.getLogger("wheelcad").error("a change failed", exc_info=error)
            self.say(f"that change cannot be made: {error}", "negative")

    def _in_worker(self, _: State) -> None:
        """Many states in a row are shown as the last of them."""
        with contextlib.suppress(RuntimeError):  # the loop has ended
            self._loop.call_soon_threadsafe(self._soon)

    def _soon(self) -> None:
        if not self._arriving:
            self._arriving = True
            self._loop.call_soon(self._arrived)

    def _arrived(self) -> None:
        """The numbers first, and on their way before any panel is worked at."""
        self._arriving = False
        for watch in self._watches:
            watch.behind = True
        self._tell([watch for watch in self._watches if not watch.panel])
        self._loop.call_later(AFTER_NUMBERS_S, self.open, self.shown)

    def _tell(self, watches: list[Watch]) -> None:
        with self._client:
            for watch in watches:
                watch.behind = False
                try:
                    watch.heard(self.state)
                except Exception:  # one panel's mistake must not leave the others behind the job
                    logging.getLogger("wheelcad").exception("a panel could not follow the job")
