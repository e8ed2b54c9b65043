"""Follows a job and has its bracket's finite elements solved when it is left alone, scene or no scene.

The answer takes the estimate's place among the numbers (`Session.tell_stiffness`), and is there at once when the scene
asks for its colours: both ask the one process (`aside.COLOURS`), which keeps its last answers.
"""

from __future__ import annotations

import contextlib

from wheelcad.page.aside import COLOURS, TaskError
from wheelcad.page.colours import Coloured, bracket_key
from wheelcad.page.session import Session, State
from wheelcad.page.when_quiet import WhenQuiet
from wheelcad.parts.bracket.model import BracketDesign

QUIET_S = 2.0  # without a change: after the slow work, which people wait for


def solved(bracket: BracketDesign) -> Coloured:
    """The bracket's finite elements, at once where they were solved of late. TaskError where they cannot be."""
    found: Coloured = COLOURS.ask(bracket, key=bracket_key(bracket))
    return found


class StiffWork(WhenQuiet):
    """One job's."""

    def __init__(self, session: Session, quiet_s: float = QUIET_S) -> None:
        super().__init__(session, quiet_s, "stiffness")

    def work(self, state: State) -> None:
        """Solve the bracket of a state that is whole, and tell the session."""
        bracket = state.design.bracket if state.design is not None and state.is_current else None
        if bracket is None or state.is_working or state.first_hz is not None:
            return
        try:
            found = solved(bracket)
        except TaskError:  # then the estimate stays
            return
        with contextlib.suppress(RuntimeError):  # the session was closed meanwhile
            self._session.tell_stiffness(bracket, found.hz)
