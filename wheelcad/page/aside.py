"""What the scene and the variants need that takes seconds, in a process of its own: `python -m wheelcad.page.aside`.

It loads what designs are made of once and does every task in a fork (`wheelcad.processes`), so that no page waits and
no event loop stands still. One for the server, started at the first question, ended with the server.
"""

from __future__ import annotations

import atexit
import hashlib
import pickle
import sys
import threading
from collections import OrderedDict
from typing import Any

from wheelcad.errors import JobError
from wheelcad.processes import OwnProcess, TaskError, Tell, serve
from wheelcad.surroundings import ONE_THREAD

DONE = "done"
KEPT = 6  # answers
NICE = 10  # what people wait for goes first
PLACES, PATTERNS = "places", "patterns"


class Aside:
    """The page's end of a module's process. name: what a message calls it."""

    def __init__(self, module: str, name: str) -> None:
        self._module, self._name = module, name
        self._known: OrderedDict[str, Any] = OrderedDict()
        self._lock = threading.Lock()
        self._apart: OwnProcess | None = None

    def ask(self, *task: Any, key: str = "") -> Any:
        """What a task came to, at once for one of the last few. Blocks for seconds: for a thread. TaskError in words
        where it cannot be done. key: what the answer follows from, "" for all of the task."""
        key = key or key_of(*task)
        with self._lock:
            if key not in self._known:
                self._known[key] = self._asked(task)
            self._known.move_to_end(key)
            while len(self._known) > KEPT:
                self._known.popitem(last=False)
            return self._known[key]

    def _asked(self, task: tuple[Any, ...]) -> Any:
        apart = self._apart
        if apart is None or not apart.lives:
            self._apart = apart = OwnProcess(self._module, self._name, ONE_THREAD, NICE).__enter__()
            atexit.register(self.end)
        apart.give(*task)
        return apart.wait_for(DONE, lambda _: None)

    def end(self) -> None:
        """End the process."""
        apart, self._apart = self._apart, None
        if apart is not None:
            apart.__exit__()


def key_of(*of: Any) -> str:
    """What arguments are made of, as a word: designs hold arrays and have no hash of their own."""
    return hashlib.sha256(pickle.dumps(of)).hexdigest()


ASIDE = Aside("wheelcad.page.aside", "the process beside the page")
COLOURS = Aside("wheelcad.page.colours_process", "the finite elements' process")


def end_all() -> None:
    """End both processes."""
    for one in (ASIDE, COLOURS):
        one.end()


def _load() -> None:
    import wheelcad.page.allowed
    import wheelcad.page.compare  # noqa: F401


def _work(tell: Tell, what: str, *given: Any) -> None:
    from wheelcad.page.allowed import allowed_places
    from wheelcad.page.compare import compared

    tell(DONE, allowed_places(*given) if what == PLACES else compared(*given))


def words_of(error: Exception) -> tuple[str, str]:
    """What went wrong, for a user; about no part."""
    if isinstance(error, JobError):
        return "; ".join(fault.message for fault in error.faults), ""
    return str(error) or type(error).__name__, ""


__all__ = ["ASIDE", "COLOURS", "PATTERNS", "PLACES", "TaskError", "end_all", "key_of", "words_of"]

if __name__ == "__main__":
    sys.exit(serve(_work, words_of, _load))
