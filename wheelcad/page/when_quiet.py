"""A thread that follows a session and works when nobody has changed anything for a moment."""

from __future__ import annotations

import threading

from wheelcad.page.session import Session, State


class WhenQuiet(threading.Thread):
    """`work` is called with the session's state once it has been left alone for `quiet_s`; it ends with `stop`."""

    def __init__(self, session: Session, quiet_s: float, name: str) -> None:
        super().__init__(daemon=True, name=f"{name} {session.path.stem}")
        self._session, self._quiet_s = session, quiet_s
        self._changed = threading.Event()
        self._stopped = False
        self._end = session.subscribe(self._heard)

    def run(self) -> None:
        """Until `stop`."""
        self._changed.set()
        while not self._stopped:
            self._changed.wait()
            self._changed.clear()
            while not self._stopped and self._changed.wait(self._quiet_s):
                self._changed.clear()
            if not self._stopped:
                self.work(self._session.state)

    def work(self, state: State) -> None:
        """What there is to do about a state."""
        raise NotImplementedError

    def stop(self) -> None:
        """End it."""
        self._stopped = True
        self._end()
        self._changed.set()

    def _heard(self, state: State) -> None:
        """Another state; in the session's thread."""
        self._changed.set()
