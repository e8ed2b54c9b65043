"""One open page of a job: what its panels are given. It holds which field is in hand, and nothing of the job."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable
from concurrent.futures import Future

from nicegui import Client, ui

from wheelcad.errors import JobError, Key
from wheelcad.page.form import section_of_key
from wheelcad.page.session import Session, State
from wheelcad.words import Words

Heard = Callable[[State], None]
HandHeard = Callable[[Key], None]


class View:
    """session: the job. name: of this page, by which its own changes are known (State.by). in_hand: key of the field
    that a person is at, () for none. section: the section of the form that is open."""

    def __init__(self, session: Session, client: Client) -> None:
        self.session = session
        self.name = client.id
        self.in_hand: Key = ()
        self.section = "job"
        self.open_tab: Callable[[str], None] = lambda name: None  # shows a panel by its name
        self._client = client
        self._loop = asyncio.get_running_loop()
        self._heard: list[Heard] = []
        self._hand_heard: list[HandHeard] = []
        self._arriving = False
        self._end = session.subscribe(self._in_worker)
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
        """Call back with the state now, and with every new one until the page is closed, in the event loop."""
        self._heard.append(heard)
        heard(self.state)

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

    def set(self, key: Key, said: str) -> None:
        """Change a value as typed; "" leaves the key out."""
        self.follow(self.session.set(key, said, self.name))

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
        self._end()
        self._heard.clear()
        self._hand_heard.clear()

    def _refused(self, error: BaseException) -> None:
        if isinstance(error, JobError):
            self.say("; ".join(f"{fault.dotted} {fault.message}".strip() for fault in error.faults), "negative")
        else:
            logging.getLogger("wheelcad").error("a change failed", exc_info=error)
            self.say(f"that change cannot be made: {error}", "negative")

    def _in_worker(self, _: State) -> None:
        """Many states in a row are shown as the last of them."""
        self._loop.call_soon_threadsafe(self._soon)

    def _soon(self) -> None:
        if not self._arriving:
            self._arriving = True
            self._loop.call_soon(self._arrived)

    def _arrived(self) -> None:
        self._arriving = False
        with self._client:
            for heard in list(self._heard):
                heard(self.state)
