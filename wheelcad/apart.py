"""One task in a process of its own, and the words that go between: both ends, knowing nothing of the work.

The process is started with `python -m MODULE`, may get ready while its task is still being worked out, and answers
with pickles on its standard output: ("done", words), ("result", answer) or ("error", words).
"""

from __future__ import annotations

import contextlib
import os
import pickle
import subprocess
import sys
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

Say = Callable[[str], None]
NO_CHANGE: Mapping[str, str] = MappingProxyType({})


class TaskError(Exception):
    """The process could not do its task; the words say why."""


class Apart:
    """The caller's end. module: what to run; name: what a message calls it; environment: variables it gets besides."""

    def __init__(self, module: str, name: str, environment: Mapping[str, str] = NO_CHANGE) -> None:
        self._name = name
        self._command = [sys.executable, "-m", module]
        self._environment = {**os.environ, **environment}

    def __enter__(self) -> Apart:
        self._process = subprocess.Popen(
            self._command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=self._environment
        )
        return self

    def __exit__(self, *_: object) -> None:
        if self._process.poll() is None:
            self._process.kill()
        for pipe in (self._process.stdin, self._process.stdout):
            if pipe is not None:
                with contextlib.suppress(BrokenPipeError):
                    pipe.close()
        self._process.wait()

    def give(self, *task: Any) -> None:
        """Hand over the one task."""
        assert self._process.stdin is not None
        with contextlib.suppress(BrokenPipeError):  # its answer says why it went
            pickle.dump(task, self._process.stdin)
            self._process.stdin.close()

    def answer(self, say: Say) -> Any:
        """Wait for the result; `say` hears of progress. TaskError in the process's words."""
        assert self._process.stdout is not None
        while True:
            try:
                kind, what = pickle.load(self._process.stdout)
            except (EOFError, pickle.UnpicklingError):
                raise TaskError(f"{self._name} ended without an answer") from None
            if kind == "result":
                return what
            if kind == "error":
                raise TaskError(str(what))
            say(str(what))


def serve(work: Callable[..., Any], words: Callable[[Exception], str], ready: Callable[[], None] = lambda: None) -> int:
    """The process's end: `ready` while waiting, then `work(say, *task)`; the exit code.

    words: how an exception is told to a user. Nothing is done when no task comes.
    """
    channel = os.fdopen(os.dup(1), "wb")
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)  # kernel and mesher like to talk on standard output

    def tell(kind: str, what: object) -> None:
        pickle.dump((kind, what), channel)
        channel.flush()

    try:
        ready()
        try:
            task = pickle.load(sys.stdin.buffer)
        except EOFError:  # the job was wrong: nothing to do
            return 0
        tell("result", work(lambda done: tell("done", done), *task))
    except Exception as error:  # whatever libraries throw must reach the user as words
        tell("error", words(error))
        if os.environ.get("WHEELCAD_DEBUG"):
            raise
        return 2
    return 0
