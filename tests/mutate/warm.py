"""Tests run again and again, each time in a fork of a process that has everything loaded, with one fault in place.

A fault inside a function is put into the running function itself (its code is exchanged). A fault in what runs at
import (a table, a default, a class body) is grafted (see `graft`) or, where that finds nothing, takes a fork that has
not imported wheelcad yet and reads the faulty text instead.
"""

from __future__ import annotations

import atexit
import gc
import hashlib
import importlib
import importlib.abc
import importlib.machinery
import importlib.util
import json
import os
import re
import resource
import select
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from types import CodeType, FunctionType, ModuleType
from typing import Any, NoReturn

import pytest

from tests.mutate.faults import Fault
from tests.mutate.graft import forget, graft

LIBRARIES = ("numpy", "scipy.optimize", "scipy.spatial", "shapely", "ezdxf", "trimesh", "cadquery", "pydantic",
             "hypothesis", "ruamel.yaml", "typer", "reportlab.pdfgen.canvas", "PIL.Image", "skfem",
             "pypdf")  # fmt: skip
PATIENCE = 8.0  # times a test's usual CPU time before it counts as having noticed by never ending
LEAST_S = 5.0
WALL_S = 90.0  # of one fault in all, whatever waits for whatever
BUILD_FOR = "tests/checks/test_"  # which look at whole builds: made once here, not in every fork
BUILT = ("tarn-six", "beck-four", "fell-twin")  # a test that would build in a fork of its own waits for ever
BUILDS = re.compile(r"\b_?built\b|\bbuilt_(six|demo)\b")
MEASURED = tuple(
    f"tests/checks/test_{name}.py" for name in ("measured", "seen", "bench_limits", "thin_kerf", "near_origin")
)  # of files kept from run to run
NOT_HERE = "nothing to exchange in what is loaded"
ROOM = 6 << 30  # bytes of address space beyond what is loaded that a fault may eat


class Verdict:
    """What became of a fault. test: the first that failed, "" where none did. ran: how many were tried."""

    def __init__(self, test: str = "", ran: int = 0, how: str = "") -> None:
        self.test, self.ran, self.how = test, ran, how


class Warm:
    """The loaded process. The tests are collected once; faults are tried in forks of it."""

    def __init__(self, root: Path, files: Sequence[str], names: Sequence[str], build: bool = False) -> None:
        """files: test files to collect, names: of the modules that get faults. build: whether the builds that tests of
        the checks look at are made once here, for a run long enough to be worth it."""
        self.root = root
        for library in LIBRARIES:
            importlib.import_module(library)
        self.cold = _Cold(root)
        for name in names:
            importlib.import_module(name)
        self.session, self.items = _collected(root, files)
        if build and any(file.startswith(BUILD_FOR) for file in files):
            _build(Path(tempfile.mkdtemp(prefix="mutate-built-")), root, files)
        self.unsound: set[str] = set()
        self._sound: set[str] = set()
        self.functions: dict[tuple[str, str, int], list[FunctionType]] = {}
        for found in gc.get_objects():
            if type(found) is FunctionType:
                code = found.__code__
                self.functions.setdefault((code.co_filename, code.co_qualname, code.co_firstlineno), []).append(found)
        gc.collect()
        gc.freeze()

    def tried(self, fault: Fault | None, tests: Sequence[str], seconds: dict[str, float]) -> Verdict:
        """Runs the tests, in their order, until the first that fails. fault None: as the code is."""
        items = [self.items[name] for name in tests if name in self.items]
        change = None if fault is None else self._change(fault) or self._grafted(fault)
        verdict = _forked(lambda: _run(self.session, items, seconds, change))
        if verdict.how == NOT_HERE and fault is not None:
            return self.cold.tried(fault, tests, seconds)
        return verdict

    def sure(self, fault: Fault, tests: Sequence[str], seconds: dict[str, float]) -> Verdict:
        """As `tried`, with every test that notices for the first time run without the fault as well: it must pass."""
        names = [name for name in tests if name not in self.unsound]
        verdict = self.tried(fault, names, seconds)
        while verdict.test and verdict.test not in self._sound and verdict.test in self.items:
            if not self.tried(None, [verdict.test], seconds).test:
                self._sound.add(verdict.test)
                break
            self.unsound.add(verdict.test)
            names.remove(verdict.test)
            verdict = self.tried(fault, names, seconds)
        return verdict

    def _change(self, fault: Fault) -> Callable[[], None] | None:
        """What puts the fault into the loaded functions; None where it lies in what ran at import."""
        path = self.root / fault.file
        text = path.read_text(encoding="utf-8")
        was, now = compile(text, str(path), "exec"), compile(fault.applied(text), str(path), "exec")
        pair = _outermost(was, now)
        if pair is None:
            return None
        live = self.functions.get((str(path), pair[0].co_qualname, pair[0].co_firstlineno), [])
        if not live or any(function.__code__ != pair[0] for function in live):
            return None

        def exchange() -> None:
            for function in live:
                function.__code__ = pair[1]
            forget()

        return exchange

    def _grafted(self, fault: Fault) -> Callable[[], None]:
        """What puts the fault into what the module made when it was imported."""
        path = self.root / fault.file
        text = fault.applied(path.read_text(encoding="utf-8"))

        def exchange() -> None:
            name = fault.file.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
            if not graft(sys.modules[name], text, str(path)):
                raise LookupError(NOT_HERE)

        return exchange


def _build(folder: Path, root: Path, files: Sequence[str]) -> None:
    """Makes what many tests of the checks look at and keep for the whole run, before anything is forked."""
    from tests.checks import forms, measured
    from tests.conftest import _built

    class Folders:
        """As pytest's own factory of folders."""

        def mktemp(self, name: str) -> Path:
            return Path(tempfile.mkdtemp(prefix=name, dir=folder))

    here = os.getpid()
    atexit.register(lambda: shutil.rmtree(folder, ignore_errors=True) if os.getpid() == here else None)
    if {*MEASURED} & {*files}:
        forms.keep_in(root / ".mutate" / f"forms-{_made_by(root)}")
        measured.prepare()
    if any(BUILDS.search((root / file).read_text(encoding="utf-8")) for file in files):
        for name in BUILT:
            _built(name, Folders())  # type: ignore[arg-type]


def _made_by(root: Path) -> str:
    """A short hash of the text of all that writes files, and of the jobs: as long as it is the same, so are they."""
    found = hashlib.sha256()
    checks = root / "tests" / "checks"
    for path in sorted([*(root / "wheelcad").rglob("*.py"), *checks.glob("sound*.py"), *checks.glob("seeded/*.py")]):
        if "wheelcad/checks" not in path.as_posix():
            found.update(path.read_bytes())
    return found.hexdigest()[:12]


def _outermost(was: CodeType, now: CodeType) -> tuple[CodeType, CodeType] | None:
    """The outermost function that differs, where nothing outside it does; None where what runs at import differs."""
    mine = [c for c in was.co_consts if isinstance(c, CodeType)]
    other = [c for c in now.co_consts if isinstance(c, CodeType)]
    if len(mine) != len(other):
        return None
    differing = [(a, b) for a, b in zip(mine, other, strict=True) if a != b]
    plain = (
        [c for c in was.co_consts if not isinstance(c, CodeType)],
        [c for c in now.co_consts if not isinstance(c, CodeType)],
    )
    if (
        len(differing) != 1
        or was.co_code != now.co_code
        or repr(plain[0]) != repr(plain[1])
        or was.co_names != now.co_names
    ):
        return None
    a, b = differing[0]
    is_class = not a.co_flags & 0x2  # CO_NEWLOCALS: a function's own, not a class body's
    return _outermost(a, b) if is_class else (a, b)


def _collected(root: Path, files: Sequence[str]) -> tuple[Any, dict[str, pytest.Item]]:
    """A pytest session that has collected the files and is ready to run their tests one by one."""
    from _pytest.config import _prepareconfig
    from _pytest.main import Session
    from hypothesis import Phase, settings

    phases = (Phase.explicit, Phase.generate)  # one that fails is enough: no time is spent on making it small
    settings.register_profile("mutate", database=None, derandomize=True, deadline=None, max_examples=25, phases=phases)
    settings.load_profile("mutate")
    os.chdir(root)
    config = _prepareconfig(["-q", "-p", "no:cacheprovider", "--capture=no", "-m", "slow or not slow", *files])
    config._do_configure()
    session = Session.from_config(config)
    config.hook.pytest_sessionstart(session=session)
    session.perform_collect()
    return session, {item.nodeid: item for item in session.items}


def _run(
    session: Any, items: Sequence[Any], seconds: dict[str, float], change: Callable[[], None] | None
) -> dict[str, Any]:
    """In the fork: the fault in place, the tests one after another, the first failure the end."""
    from _pytest.runner import runtestprotocol

    if change is not None:
        try:
            change()
        except LookupError as error:
            if error.args == (NOT_HERE,):
                return {"test": "", "ran": 0, "how": NOT_HERE}
            raise
    for n, item in enumerate(items):
        limit = max(LEAST_S, PATIENCE * seconds.get(item.nodeid, 1.0))
        _say({"now": item.nodeid, "ran": n + 1})
        signal.setitimer(signal.ITIMER_VIRTUAL, limit)
        reports = runtestprotocol(item, nextitem=items[n + 1] if n + 1 < len(items) else None, log=False)
        failed = [report for report in reports if report.failed]
        if failed:
            return {"test": item.nodeid, "ran": n + 1, "how": str(failed[0].longrepr)[-200:]}
    return {"test": "", "ran": len(items)}


_OUT = -1


def _say(what: dict[str, Any]) -> None:
    os.write(_OUT, (json.dumps(what) + "\n").encode())


def _forked(work: Callable[[], dict[str, Any]]) -> Verdict:
    """Does the work in a fork with its own folder and reads what it says; one that dies or never ends has noticed."""
    global _OUT
    reading, writing = os.pipe()
    folder = tempfile.mkdtemp(prefix="mutate-")
    child = os.fork()
    if child == 0:
        os.close(reading)
        _OUT = writing
        _child(work, folder)
    os.close(writing)
    said, ended = _listen(reading)
    if not ended:
        os.killpg(child, signal.SIGKILL)
    os.close(reading)
    _, status = os.waitpid(child, 0)
    shutil.rmtree(folder, ignore_errors=True)
    last = said[-1] if said else {}
    if "test" in last:
        return Verdict(last["test"], last["ran"], last.get("how", ""))
    return Verdict(last.get("now", "?"), last.get("ran", 0), f"died or never ended ({status})")


def _child(work: Callable[[], dict[str, Any]], folder: str) -> NoReturn:
    code = 1
    try:
        os.setsid()
        tempfile.tempdir = os.environ["TMPDIR"] = folder
        quiet = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(quiet, stream)
        used = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0]) * resource.getpagesize()
        resource.setrlimit(resource.RLIMIT_AS, (used + ROOM, used + ROOM))
        _say(work())
        code = 0
    except BaseException as error:
        _say({"test": "?", "ran": 0, "how": repr(error)[-200:]})
    finally:
        os._exit(code)


def _listen(reading: int) -> tuple[list[dict[str, Any]], bool]:
    """What the fork says, line by line, and whether it ended within WALL_S."""
    text, until = b"", time.monotonic() + WALL_S
    while True:
        ready, _, _ = select.select([reading], [], [], max(0.0, until - time.monotonic()))
        if not ready:
            break
        got = os.read(reading, 65536)
        if not got:
            return [json.loads(line) for line in text.splitlines()], True
        text += got
    return [json.loads(line) for line in text.splitlines()], False


class _Cold:
    """A fork from before wheelcad was imported. It forks again for each fault, imports and collects what is asked."""

    def __init__(self, root: Path) -> None:
        self.root = root
        here, there = os.pipe(), os.pipe()
        if os.fork() == 0:
            os.close(here[1])
            os.close(there[0])
            self._serve(here[0], there[1])
        os.close(here[0])
        os.close(there[1])
        self._to, self._from = os.fdopen(here[1], "w"), os.fdopen(there[0])

    def tried(self, fault: Fault | None, tests: Sequence[str], seconds: dict[str, float]) -> Verdict:
        asked = fault and [fault.file, fault.line, fault.column, fault.was, fault.now, fault.text]
        print(
            json.dumps([asked, list(tests), {name: seconds.get(name, 1.0) for name in tests}]),
            file=self._to,
            flush=True,
        )
        return Verdict(*json.loads(self._from.readline()))

    def _serve(self, reading: int, writing: int) -> NoReturn:
        with os.fdopen(reading) as asked, os.fdopen(writing, "w") as answers:
            for line in asked:
                spot, tests, seconds = json.loads(line)
                got = _forked(lambda spot=spot, tests=tests, seconds=seconds: self._work(spot, tests, seconds))
                print(json.dumps([got.test, got.ran, got.how]), file=answers, flush=True)
        os._exit(0)

    def _work(self, spot: list[Any] | None, tests: list[str], seconds: dict[str, float]) -> dict[str, Any]:
        if spot is not None:
            sys.meta_path.insert(0, _Faulty(self.root, Fault(*spot)))
        files = sorted({name.split("::")[0] for name in tests})
        session, items = _collected(self.root, files)
        return _run(session, [items[name] for name in tests if name in items], seconds, None)


class _Faulty(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Loads one module from its text with the fault in it."""

    def __init__(self, root: Path, fault: Fault) -> None:
        self.path, self.fault = root / fault.file, fault
        self.name = fault.file.removesuffix(".py").replace("/", ".").removesuffix(".__init__")

    def find_spec(self, fullname: str, path: Any, target: Any = None) -> importlib.machinery.ModuleSpec | None:
        if fullname != self.name:
            return None
        places = [str(self.path.parent)] if self.path.name == "__init__.py" else None
        return importlib.util.spec_from_file_location(
            fullname, self.path, loader=self, submodule_search_locations=places
        )

    def create_module(self, spec: importlib.machinery.ModuleSpec) -> ModuleType | None:
        return None

    def exec_module(self, module: ModuleType) -> None:
        text = self.fault.applied(self.path.read_text(encoding="utf-8"))
        exec(compile(text, str(self.path), "exec"), module.__dict__)
