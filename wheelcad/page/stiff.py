"""Follows a job and has its bracket's finite elements solved when it is left alone, scene or no scene.

The answer takes the estimate's place among the numbers (`Session.tell_stiffness`), and is there at once when the scene
asks for its colours: both ask the one process (`aside.COLOURS`), which keeps its last answers.
"""

from __future__ import annotations

import contextlib
import threading

from wheelcad.page.aside import COLOURS, TaskError
from wheelcad.page.colours import Coloured, bracket_key
from wheelcad.page.session import Session, State
from wheelcad.parts.bracket.model import BracketDesign

QUIET_S = 2.0  # without a change: after the slow work, which people wait for


def solved(bracket: BracketDesign) -> Coloured:
    """The bracket's finite elements, at once where they were solved of late. TaskError where they cannot be."""
    found: Coloured = COLOURS.ask(bracket, key=bracket_key(bracket))
    return found


class StiffWork(threading.Thread):
    """One job's. It ends with `stop`, or with the server."""

    def __init__(self, session: Session, quiet_s: float = QUIET_S) -> None:
        super().__init__(daemon=True, name=f"stiffness {session.path.stem}")
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
                self._solve(self._session.state)

    def stop(self) -> None:
        """End it."""
        self._stopped = True
        self._end()
        self._changed.set()

    def _heard(self, _: State) -> None:
        self._changed.set()

    def _solve(self, state: State) -> None:
        bracket = state.design.bracket if state.design is not None and state.is_current else None
        if bracket is None or state.is_working or state.first_hz is not None:
            return
        try:
            found = solved(bracket)
        except TaskError:  # then the estimate stays
            return
        with contextlib.suppress(RuntimeError):  # the session was closed meanwhile
            self._session.tell_stiffness(bracket, found.hz)
