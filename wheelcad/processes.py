"""Work in processes of its own, and the words that go between: both ends, knowing nothing of the work.

`OwnProcess` starts `python -m MODULE`, which may get ready while its task is still being worked out, and answers with
pickles on its standard output: ("fork", its process id), ("done", (name, answer)) for every part of the task, then
("end", None), or ("error", (words, part)). It may be given one task after another: each is done in a fork of what was
loaded once, so that no task leaves anything behind for the next. `beside` does a part of a task in a fork of its own.
"""

from __future__ import annotations

import contextlib
import ctypes
import os
import pickle
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import IO, Any, NoReturn, Self, TypeVar

Say = Callable[[str], None]
Tell = Callable[..., None]  # of a part's name, and what it came to
Answer = TypeVar("Answer")
NO_CHANGE: Mapping[str, str] = MappingProxyType({})
PARENT_DEATH_SIGNAL = 1  # PR_SET_PDEATHSIG of Linux's <sys/prctl.h>
ONCE = "once"  # told a process that will be given one task and no more
FRAME = 8  # bytes that say how long a task is
FORKS = sys.platform == "linux"  # elsewhere libraries do not all bear a fork


class TaskError(Exception):
    """The process could not do its task; the words say why. about: the part of the task it was at, "" for none."""

    def __init__(self, words: str, about: str = "") -> None:
        super().__init__(words)
        self.about = about


_AHEAD: dict[str, subprocess.Popen[bytes]] = {}  # started before anybody asked, by module


def start_ahead(module: str, environment: Mapping[str, str] = NO_CHANGE) -> None:
    """Start a module's process now, for the `OwnProcess` with one task that will ask for it; it ends by itself when
    none does."""
    _AHEAD[module] = _started(module, environment, ONCE)


def _started(module: str, environment: Mapping[str, str], *words: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", module, *words],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env={**os.environ, **environment},
        start_new_session=os.name == "posix",  # a group of its own: its forks are ended with it
    )


class OwnProcess:
    """The caller's end. module: what to run; name: what a message calls it; environment: variables it gets besides;
    nice: by how much it stands back behind this process, 0 to 19; lasts: whether more than one task may come."""

    def __init__(
        self, module: str, name: str, environment: Mapping[str, str] = NO_CHANGE, nice: int = 0, lasts: bool = True
    ) -> None:
        self._name, self._nice, self._lasts = name, nice, lasts
        self._fork, self._broken_off = 0, False
        self._module = module
        self._environment = environment
        self._done: dict[str, Any] = {}
        self._giving: threading.Thread | None = None
        self._asked, self._ended = False, True

    def __enter__(self) -> Self:
        ahead = None if self._lasts else _AHEAD.pop(self._module, None)
        words = () if self._lasts else (ONCE,)
        self._process = ahead or _started(self._module, self._environment, *words)
        if self._nice and os.name == "posix":
            with contextlib.suppress(OSError):  # from its first instruction: loading takes longer than many a task
                least = os.getpriority(os.PRIO_PROCESS, 0)
                os.setpriority(os.PRIO_PROCESS, self._process.pid, min(least + self._nice, 19))
        return self

    def __exit__(self, *_: object) -> None:
        if self._process.poll() is None:
            if os.name == "posix":
                with contextlib.suppress(ProcessLookupError):
                    os.killpg(self._process.pid, signal.SIGKILL)
            self._process.kill()
            assert self._process.stdout is not None
            self._process.stdout.read()  # its end comes when the last fork is gone and writes no more
        if self._giving is not None:
            self._giving.join()
        for pipe in (self._process.stdin, self._process.stdout):
            if pipe is not None:
                with contextlib.suppress(BrokenPipeError):
                    pipe.close()
        self._process.wait()

    @property
    def lives(self) -> bool:
        """Whether it can be given another task."""
        return self._process.poll() is None

    def give(self, *task: Any) -> None:
        """Hand over a task; the one before must have been answered to its end."""
        assert self._process.stdin is not None
        while self._asked and not self._ended:  # what nobody waited for
            self._take()
        self._done, self._asked, self._ended = {}, True, False
        self._fork, self._broken_off = 0, False
        said = pickle.dumps(task)
        self._giving = threading.Thread(target=self._give, args=(len(said).to_bytes(FRAME, "big") + said,), daemon=True)
        self._giving.start()  # a process that loads its libraries hears nothing for half a second

    def _give(self, said: bytes) -> None:
        assert self._process.stdin is not None
        with contextlib.suppress(BrokenPipeError, ValueError):  # its answer says why it went; or nobody waits any more
            self._process.stdin.write(said)
            self._process.stdin.flush()

    def wait_for(self, name: str, say: Say) -> Any:
        """Wait until a part of the task is done; its answer. `say` hears the names of parts on the way.

        TaskError in the process's words, also when it ended without that part.
        """
        while name not in self._done:
            self._listen(name, say)
        return self._done[name]

    def break_off(self) -> None:
        """Give up the task under way, from any thread; who waits for it gets a TaskError. What is loaded stays.

        For tasks whose answers fit into a pipe, 64 KiB: no such word can be torn by the kill.
        """
        self._broken_off = True
        self._kill_fork()

    def _kill_fork(self) -> None:
        if self._fork and not self._ended and self._broken_off:
            with contextlib.suppress(ProcessLookupError):
                os.kill(self._fork, signal.SIGKILL)

    def _take(self) -> tuple[str, Any]:
        """The next word of its answer."""
        assert self._process.stdout is not None
        try:
            kind, what = pickle.load(self._process.stdout)
        except (EOFError, pickle.UnpicklingError):
            self._ended = True
            raise TaskError(f"{self._name} ended without an answer") from None
        if kind == "fork":
            self._fork = what
            self._kill_fork()
            return self._take()
        self._ended = kind in ("error", "end")
        return kind, what

    def _listen(self, name: str, say: Say) -> None:
        kind, what = self._take()
        if kind == "error":
            raise TaskError(*what)
        if kind == "end":
            raise TaskError(f"{self._name} made no {name}")
        done, self._done[done] = what[0], what[1]
        say(done)


class _Channel:
    """The way of a process's words, and those of its forks, to its caller: one at a time.

    A pipe takes more than 4096 bytes in pieces, and another process's word could come between them.
    """

    def __init__(self) -> None:
        self._out = os.fdopen(os.dup(1), "wb")
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)  # kernel and mesher like to talk on standard output
        self._turn = -1
        if FORKS:
            with contextlib.suppress(AttributeError, OSError):  # a sandbox without it: short words are whole even so
                self._turn = os.memfd_create("turn")

    def tell(self, kind: str, what: object) -> None:
        """Say one word, when no other process is saying one."""
        said = pickle.dumps((kind, what))
        if self._turn >= 0:
            import fcntl

            fcntl.lockf(self._turn, fcntl.LOCK_EX)  # a process's own, also on a file that it shares; gone with it
        try:
            self._out.write(said)
            self._out.flush()
        finally:
            if self._turn >= 0:
                fcntl.lockf(self._turn, fcntl.LOCK_UN)


def serve(
    work: Callable[..., Any],
    words: Callable[[Exception], tuple[str, str]],
    ready: Callable[[], None] = lambda: None,
    settled: Callable[[], None] = lambda: None,
) -> int:
    """The process's end: `ready` while waiting, then `work(tell, *task)` for every task that comes; the exit code.

    settled: done once, after the first task, where more may come: what the forks of all further ones would each have to
    load for themselves.

    work tells each part's name when it is done, and what it came to. Its forks may tell as well: one word at a time
    goes into the pipe, however long it is. words: how an exception is told to a user, and which part it is
    about. Nothing is done when no task comes. Where processes cannot be forked, one task is done and no more.
    """
    tell = _Channel().tell
    first: list[bytes] = []
    reader = threading.Thread(target=lambda: first.append(_task()))
    reader.start()  # the giver must not wait until this process is ready

    def do(task: bytes) -> int:
        try:
            if FORKS:
                tell("fork", os.getpid())
            work(lambda name, answer=None: tell("done", (name, answer)), *pickle.loads(task))
            tell("end", None)
        except BrokenPipeError:  # nobody listens any more
            return 2
        except Exception as error:  # whatever libraries throw must reach the user as words
            with contextlib.suppress(BrokenPipeError):
                tell("error", words(error))
            if os.environ.get("WHEELCAD_DEBUG"):
                raise
            return 2
        return 0

    _end_with_parent()
    try:
        ready()
    except Exception as error:
        with contextlib.suppress(BrokenPipeError):
            tell("error", words(error))
        return 2
    reader.join()
    task, code = first[0], 0
    while task:
        if not FORKS:
            return do(task)
        code = _in_a_fork(lambda task=task: do(task))  # type: ignore[misc]
        if code not in (0, 2):  # it was killed, or crashed in a library: it could not say so itself
            with contextlib.suppress(BrokenPipeError):
                tell("error", ("the process ended without an answer", ""))
        if ONCE not in sys.argv[1:]:
            settled()
        settled = _nothing
        task = _task()
    return code


def _nothing() -> None:
    """Do nothing."""


def _task() -> bytes:
    """The next task from standard input; b"" when there is none any more, or it is cut short."""
    size = int.from_bytes(sys.stdin.buffer.read(FRAME), "big")
    said = sys.stdin.buffer.read(size)
    return said if len(said) == size else b""


def _in_a_fork(work: Callable[[], int]) -> int:
    """What `work` returns when it is done in a fork; -1 when the fork was killed."""
    parent, child = os.getpid(), os.fork()
    if child == 0:
        _end_with_parent()
        code = 70
        try:
            if os.getppid() == parent:
                code = work()
        finally:
            os._exit(code)
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status) if os.WIFEXITED(status) else -1


def _end_with_parent() -> None:
    """See to it that a parent that is killed does not leave this process at work on its files (Linux only)."""
    if sys.platform == "linux":
        with contextlib.suppress(AttributeError, OSError):  # a C library without it
            ctypes.CDLL(None).prctl(PARENT_DEATH_SIGNAL, signal.SIGKILL)


def beside(work: Callable[[], Answer]) -> Callable[[], Answer]:
    """Start `work` in a fork of this process; the value waits for its answer, or raises what it raised.

    The answer lies in a file without a name: a fork that is done is gone, with all it holds, whoever asks for it when.
    Where processes cannot be forked the work is done when its answer is asked for. TaskError when the fork died.
    """
    if not FORKS:
        return work
    held = tempfile.TemporaryFile()  # noqa: SIM115  closed by whoever reads it
    parent, child = os.getpid(), os.fork()
    if child == 0:
        _end_with_parent()
        if os.getppid() != parent:  # it went before it could be heard of
            os._exit(0)
        _work_and_end(work, held)

    def answer() -> Answer:
        _, status = os.waitpid(child, 0)
        with held:
            held.seek(0)
            data = held.read()
        if status or not data:
            raise TaskError("a part of the work ended without an answer")
        error, what = pickle.loads(data)
        if error is not None:
            raise error
        done: Answer = what
        return done

    return answer


def _work_and_end(work: Callable[[], Any], held: IO[bytes]) -> NoReturn:
    """A fork's whole life. It must not run what its parent would run at its own end, whatever happens."""
    code = 1
    try:
        try:
            said = pickle.dumps((None, work()))
        except Exception as error:  # told to whoever asks for the answer
            said = pickle.dumps((error, None))
        held.write(said)
        held.flush()
        code = 0
    finally:
        os._exit(code)


__all__ = ["OwnProcess", "Say", "TaskError", "Tell", "beside", "serve", "start_ahead"]
