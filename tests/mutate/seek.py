"""Jobs that show faults: random ones, each worked out once with every fault of the functions that it calls beside it.

    python -m tests.mutate seek wheelcad/parts/gauge --sample 200 --seed 5    # so many jobs

A function that has faults is called through a doorman. It calls the function itself and then, with the same arguments,
every faulty version that no job has shown yet, and notes which come to something else. Only with those the job is
worked out again as a whole; where any row of its figures is another (see `tests.parts.figures`), the job shows the
fault. Jobs that are the first to show one are printed, for figure_jobs.txt, and hints.jsonl says which test to try
first.

Each job runs in a fork of its own: what a fault leaves behind ends with it.
"""

from __future__ import annotations

import builtins
import contextlib
import gc
import importlib
import json
import os
import random
import signal
import types
from collections.abc import Callable, Iterator
from types import CodeType, FunctionType
from typing import Any

import numpy as np

from tests.checks.sound_jobs import random_text
from tests.mutate import kept
from tests.mutate.faults import Fault, faults_of, modules
from tests.mutate.graft import forget
from tests.mutate.warm import _outermost
from tests.parts import figures
from tests.parts.figure_jobs import TEXTS, names, numbers_of
from wheelcad.errors import Faults

FACTORS = (0.2, 0.5, 0.7, 0.8, 0.9, 0.95, 0.98, 1.02, 1.05, 1.1, 1.25, 1.5, 2, 3, 5, 0, -1)
CALLS = 12  # of a function in a job that are all looked at; of later ones fewer and fewer
CALL_S, JOB_S = 1.0, 6.0  # processor time after which a faulty call, or a faulty job, is taken to come to nothing
TRIES = 5  # jobs in which a fault that changed a call is followed to the end
COLLECTED = (Faults, list, dict, set)  # arguments that functions add to
TEST = "tests/parts/test_figures.py::test_nothing_that_comes_of_a_job_has_changed"


class Late(BaseException):
    """A faulty version that does not end."""


class Candidate:
    """A fault of a function, and the function with it."""

    def __init__(self, fault: Fault, run: FunctionType) -> None:
        self.fault, self.run, self.tried = fault, run, 0


class Doorman:
    """Stands before the functions that have faults. alive: by function, those that no job has shown yet."""

    def __init__(self) -> None:
        self.plain: dict[int, FunctionType] = {}
        self.alive: dict[int, list[Candidate]] = {}
        self.calls: dict[int, int] = {}
        self.changed: dict[Candidate, None] = {}
        self.closed = False  # whether calls go straight through, but for the one function that is replaced
        self.replaced: tuple[int, FunctionType] | None = None
        self.chance = random.Random(1)

    def guard(self, functions: list[FunctionType], faulty: list[tuple[Fault, CodeType]]) -> None:
        """Puts itself before a function (all objects that share its code)."""
        number, one = len(self.plain), functions[0]
        self.plain[number] = _like(one, one.__code__)
        self.alive[number] = [Candidate(fault, _like(one, code)) for fault, code in faulty]
        space: dict[str, Any] = {}
        exec(f"def door(*args, **kwargs):\n return __doorman__({number}, args, kwargs)", space)
        for function in functions:
            function.__code__ = space["door"].__code__

    def __call__(self, number: int, args: tuple[Any, ...], kwargs: dict[str, Any]) -> Any:
        """A call of a guarded function."""
        if self.closed:
            replaced = self.replaced is not None and self.replaced[0] == number
            return (self.replaced[1] if replaced else self.plain[number])(*args, **kwargs)  # type: ignore[index]
        seen = self.calls[number] = self.calls.get(number, 0) + 1
        if not self.alive[number] or (seen > CALLS and self.chance.random() > CALLS / seen):
            return self.plain[number](*args, **kwargs)
        if any(hasattr(one, "__next__") for one in args):  # may be read but once
            return self.plain[number](*args, **kwargs)
        fresh = [_copied(args) for _ in self.alive[number]]
        got, error = _called(self.plain[number], args, kwargs)
        self.closed, self.replaced = True, None
        for candidate, own in zip(self.alive[number], fresh, strict=True):
            if candidate not in self.changed:
                with _within(CALL_S):
                    other = _called(candidate.run, own, kwargs)
                    if not (_same(other, (got, error)) and _same(_collected(own), _collected(args))):
                        self.changed[candidate] = None
        self.closed = False
        if error is not None:
            raise error
        return iter(got) if isinstance(got, _Yielded) else got


class _Yielded(list[Any]):
    """What a generator came to."""


def _called(function: FunctionType, args: tuple[Any, ...], kwargs: dict[str, Any]) -> tuple[Any, Exception | None]:
    try:
        got = function(*args, **kwargs)
        return (_Yielded(got) if isinstance(got, types.GeneratorType) else got), None
    except Late:
        return None, TimeoutError()
    except Exception as error:
        return None, error


def _like(function: FunctionType, code: CodeType) -> FunctionType:
    made = FunctionType(code, function.__globals__, function.__name__, function.__defaults__, function.__closure__)
    made.__kwdefaults__ = function.__kwdefaults__
    return made


def _copied(args: tuple[Any, ...]) -> tuple[Any, ...]:
    out = []
    for one in args:
        if isinstance(one, Faults):
            again = Faults()
            again.extend(list(one))
            out.append(again)
        else:
            out.append(one.copy() if isinstance(one, list | dict | set) else one)
    return tuple(out)


def _collected(args: tuple[Any, ...]) -> list[Any]:
    return [list(map(str, one)) if isinstance(one, Faults) else one for one in args if isinstance(one, COLLECTED)]


def _same(a: Any, b: Any, deep: int = 0) -> bool:
    """Whether two values come to the same, rounding apart."""
    if a is b or deep > 16 or (callable(a) and callable(b)):
        return True
    if isinstance(a, float | np.floating) and isinstance(b, float | np.floating | int):
        return bool(np.isclose(a, b, rtol=1e-6, atol=1e-9, equal_nan=True))
    if type(a) is not type(b):
        return False
    if isinstance(a, np.ndarray):
        close = a.dtype.kind in "fc" and a.shape == b.shape
        return bool(np.allclose(a, b, rtol=1e-6, atol=1e-9, equal_nan=True) if close else np.array_equal(a, b))
    if isinstance(a, Exception):
        return str(a) == str(b)
    if isinstance(a, tuple | list):
        return len(a) == len(b) and all(_same(x, y, deep + 1) for x, y in zip(a, b, strict=True))
    if isinstance(a, dict):
        return a.keys() == b.keys() and all(_same(value, b[key], deep + 1) for key, value in a.items())
    if hasattr(a, "__dataclass_fields__"):
        return all(_same(getattr(a, name), getattr(b, name), deep + 1) for name in a.__dataclass_fields__)
    return bool(a.equals_exact(b, 1e-7)) if hasattr(a, "equals_exact") else bool(a == b)


@contextlib.contextmanager
def _within(seconds: float) -> Iterator[None]:
    """Ends what takes longer, with Late; nothing of it passes on."""
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    except Late:
        pass
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)


def _late(*_: object) -> None:
    raise Late


def guarded(folders: list[str]) -> Doorman:
    """A doorman before every function of the folders that has a fault. What runs at import is not guarded."""
    paths = [path for path in modules(kept.ROOT) if path.relative_to(kept.ROOT).as_posix().startswith(tuple(folders))]
    for path in paths:
        importlib.import_module(path.relative_to(kept.ROOT).as_posix().removesuffix(".py").replace("/", "."))
    live: dict[CodeType, list[FunctionType]] = {}
    for one in gc.get_objects():
        if type(one) is FunctionType:
            live.setdefault(one.__code__, []).append(one)
    equal, doorman, of = kept.equal(), Doorman(), dict[CodeType, list[tuple[Fault, CodeType]]]()
    for path in paths:
        text = path.read_text(encoding="utf-8")
        was = compile(text, str(path), "exec")
        for fault in faults_of(path, kept.ROOT):
            pair = None if fault.key in equal else _outermost(was, compile(fault.applied(text), str(path), "exec"))
            if pair is not None and pair[0] in live and not pair[0].co_freevars:
                of.setdefault(pair[0], []).append((fault, pair[1]))
    for code, faulty in of.items():
        doorman.guard(live[code], faulty)
    return doorman


def shown_by(doorman: Doorman, name: str) -> tuple[list[Fault], list[Fault]]:
    """The faults of those alive that a job shows, and those that were followed to its end."""
    doorman.calls.clear()
    doorman.changed.clear()
    forget()
    figures.found(name)
    doorman.closed = True
    forget()
    then = {path: row for path, (row, _) in figures.found(name).items()}
    followed = [candidate for candidate in doorman.changed if candidate.tried < TRIES]
    shown = []
    for candidate in followed:
        doorman.replaced = next(n for n, alive in doorman.alive.items() if candidate in alive), candidate.run
        forget()
        if not _unchanged(name, then):
            shown.append(candidate.fault)
    return shown, [candidate.fault for candidate in followed]


def _unchanged(name: str, then: dict[str, figures.Row]) -> bool:
    same = False
    with _within(JOB_S), contextlib.suppress(Exception):
        same = not figures.changed(figures.found(name), then)
    return same


def _in_a_fork(work: Callable[[], tuple[list[Fault], list[Fault]]]) -> list[set[tuple[Any, ...]]]:
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        with contextlib.suppress(BaseException), os.fdopen(writing, "w") as out:
            out.write(json.dumps([[fault.key for fault in faults] for faults in work()]))
        os._exit(0)
    os.close(writing)
    with os.fdopen(reading) as told:
        text = told.read()
    os.waitpid(child, 0)
    return [{tuple(key) for key in keys} for keys in json.loads(text or "[[], []]")]


def random_name(chance: random.Random) -> str:
    """A job as figure_jobs names it."""
    kind = chance.choice(("sound", "sound", "bracket", "gauge", "sound search", "text", "changed", "changed"))
    seed = chance.randint(100, 99_999)
    if kind in ("sound", "bracket", "gauge"):
        return f"{kind}-{seed}"
    if kind == "sound search":
        return f"sound-{seed} search"
    base = chance.choice(sorted(TEXTS)) if kind == "text" else f"sound-{seed}"
    count = len(numbers_of(TEXTS[base] if kind == "text" else random_text(seed)))
    return f"{base} {chance.randrange(count)} x{chance.choice(FACTORS)}"


def seek(folders: list[str], count: int, seed: int) -> int:
    """Tries the jobs that are kept and then `count` random ones; prints those random ones that are wanted. 0."""
    signal.signal(signal.SIGVTALRM, _late)
    figures.found(names()[0])  # so that everything is loaded
    doorman = guarded(folders)
    builtins.__doorman__ = doorman  # type: ignore[attr-defined]
    chance, known = random.Random(seed), names()
    with (kept.KEPT / "hints.jsonl").open("a", encoding="utf-8") as hints:
        for name in (*known, *(random_name(chance) for _ in range(count))):
            shown, followed = _in_a_fork(lambda name=name: shown_by(doorman, name))  # type: ignore[misc]
            for number, alive in doorman.alive.items():
                doorman.alive[number] = [one for one in alive if one.fault.key not in shown]
                for one in doorman.alive[number]:
                    one.tried += one.fault.key in followed
            if shown and name not in known:
                print(name, flush=True)
            for key in sorted(shown):
                print(json.dumps([key, f"{TEST}[{name}]"]), file=hints, flush=True)
    print(sum(map(len, doorman.alive.values())), "faults that no job showed")
    return 0
