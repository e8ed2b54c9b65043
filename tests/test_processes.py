"""Processes of their own: what they answer, how they fail, and that nothing of them is left."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.conftest import ROOT
from wheelcad import processes
from wheelcad.processes import OwnProcess, TaskError, beside

WORKER = """
import os, sys, time
from pathlib import Path
from wheelcad.processes import beside, serve

def work(tell, kind, place):
    tell("begun")
    if kind == "raise":
        raise ValueError("no such luck")
    if kind == "crash":
        os.abort()
    if kind == "linger":
        late = beside(lambda: (time.sleep(1.5), Path(place).write_text("late")))
        tell("forked")
        time.sleep(60)
    if kind == "crowd":
        others = [beside(lambda n=n: [tell(f"{n} {i}", bytes(200_000)) for i in range(20)] and None) for n in range(3)]
        for i in range(20):
            tell(f"main {i}", bytes(200_000))
        for other in others:
            other()
    tell("answer", (kind, os.environ.get("FLAVOUR")))

if __name__ == "__main__":
    sys.exit(serve(work, lambda error: (f"words: {error}", "the pudding")))
"""


@pytest.fixture
def worker(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    (tmp_path / "a_worker.py").write_text(WORKER)
    monkeypatch.setenv("PYTHONPATH", f"{tmp_path}{os.pathsep}{ROOT}")
    return "a_worker"


def test_an_answer_and_what_was_heard_on_the_way(worker: str) -> None:
    heard: list[str] = []
    with OwnProcess(worker, "the worker", {"FLAVOUR": "salt"}) as process:
        process.give("plain", None)
        process.wait_for("begun", heard.append)
        assert heard == ["begun"]
        assert process.wait_for("answer", heard.append) == ("plain", "salt")
        assert process.wait_for("begun", heard.append) is None  # long since
        with pytest.raises(TaskError, match="the worker made no tea"):
            process.wait_for("tea", heard.append)
    assert heard == ["begun", "answer"]


def test_a_task_too_large_for_a_pipe_is_taken_at_once(worker: str) -> None:
    with OwnProcess(worker, "the worker") as process:
        process.give("plain", bytes(5_000_000))
        assert process.wait_for("answer", lambda _: None) == ("plain", None)


def test_long_words_of_several_forks_come_whole(worker: str) -> None:
    """The name of a part that a fork had done once fell into the middle of another's long answer."""
    heard: list[str] = []
    with OwnProcess(worker, "the worker") as process:
        process.give("crowd", None)
        process.wait_for("answer", heard.append)
        told = [process.wait_for(name, heard.append) for name in heard if name not in ("begun", "answer")]
    assert len(told) == 80
    assert {len(word) for word in told} == {200_000}


def test_an_error_comes_in_words(worker: str) -> None:
    with OwnProcess(worker, "the worker") as process:
        process.give("raise", None)
        with pytest.raises(TaskError, match="words: no such luck") as caught:
            process.wait_for("answer", lambda _: None)
    assert caught.value.about == "the pudding"


@pytest.mark.skipif(not processes.FORKS, reason="forks are used on Linux only")
def test_one_task_after_another_in_what_was_loaded_once(worker: str) -> None:
    with OwnProcess(worker, "the worker") as process:
        for number in range(3):
            process.give("plain", number)
            assert process.wait_for("answer", lambda _: None)[0] == "plain"
        process.give("raise", None)
        with pytest.raises(TaskError, match="no such luck"):
            process.wait_for("answer", lambda _: None)
        process.give("crash", None)
        with pytest.raises(TaskError, match="ended without an answer"):
            process.wait_for("answer", lambda _: None)
        process.give("plain", None)  # what nobody waits for is gone by the next
        process.give("plain", None)
        assert process.wait_for("answer", lambda _: None) == ("plain", None)
        assert process.lives


def test_a_task_that_is_given_up_leaves_what_was_loaded(worker: str, tmp_path: Path) -> None:
    late = tmp_path / "late"
    with OwnProcess(worker, "the worker", nice=5) as process:
        process.give("linger", str(late))
        process.wait_for("forked", lambda _: None)
        pid = process._process.pid
        assert os.getpriority(os.PRIO_PROCESS, pid) == min(os.getpriority(os.PRIO_PROCESS, 0) + 5, 19)
        process.break_off()
        with pytest.raises(TaskError, match="without an answer"):
            process.wait_for("answer", lambda _: None)
        assert process.lives
        process.give("plain", None)
        assert process.wait_for("answer", lambda _: None) == ("plain", None)
        assert process._process.pid == pid
        process.give("linger", str(late))
        process.break_off()  # before its fork has told who it is
        with pytest.raises(TaskError, match="without an answer"):
            process.wait_for("answer", lambda _: None)
    time.sleep(1.6)
    assert not late.exists()


def test_a_process_that_cannot_start_is_named() -> None:
    with OwnProcess("no_such_module", "the worker") as process:
        process.give("plain")
        with pytest.raises(TaskError, match="the worker ended without an answer"):
            process.wait_for("answer", lambda _: None)


@pytest.mark.skipif(not processes.FORKS, reason="forks are used on Linux only")
def test_its_forks_end_with_it(worker: str, tmp_path: Path) -> None:
    late = tmp_path / "late"
    with OwnProcess(worker, "the worker") as process:
        process.give("linger", str(late))
        process.wait_for("forked", lambda _: None)
    time.sleep(2)
    assert not late.exists()


@pytest.mark.skipif(not processes.FORKS, reason="Linux only")
def test_a_killed_caller_leaves_nobody_at_work(worker: str, tmp_path: Path) -> None:
    late = tmp_path / "late"
    code = (
        "import os, signal; from wheelcad.processes import OwnProcess\n"
        f"with OwnProcess({worker!r}, 'the worker') as process:\n"
        f"    process.give('linger', {str(late)!r}); process.wait_for('forked', lambda _: None)\n"
        "    os.kill(os.getpid(), signal.SIGKILL)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == -9
    assert done.stderr == ""
    time.sleep(2)
    assert not late.exists()


@pytest.mark.parametrize("forks", [True, False])
def test_work_beside(monkeypatch: pytest.MonkeyPatch, forks: bool) -> None:
    monkeypatch.setattr(processes, "FORKS", forks and processes.FORKS)
    answers = [beside(lambda n=n: (n * n, os.getpid())) for n in range(4)]
    found = [answer() for answer in answers]
    assert [square for square, _ in found] == [0, 1, 4, 9]
    assert all((pid != os.getpid()) == processes.FORKS for _, pid in found)


def _fail() -> None:
    raise OSError(28, "No space left on device", "gauge.step")


def test_what_is_raised_beside_is_raised_here() -> None:
    with pytest.raises(OSError, match="No space left") as caught:
        beside(_fail)()
    assert caught.value.filename == "gauge.step"


@pytest.mark.skipif(not processes.FORKS, reason="forks are used on Linux only")
def test_a_fork_that_dies_is_told() -> None:
    with pytest.raises(TaskError, match="without an answer"):
        beside(lambda: os._exit(1))()


@pytest.mark.skipif(not processes.FORKS, reason="forks are used on Linux only")
def test_a_fork_that_is_done_is_gone_before_anybody_asks() -> None:
    """With all the memory it held: a pipe would keep it until its long answer is read."""
    answer = beside(lambda: bytes(2**22))
    ended = os.waitid(os.P_ALL, 0, os.WEXITED | os.WNOWAIT)
    assert ended is not None
    assert ended.si_status == 0
    assert len(answer()) == 2**22


def test_one_started_ahead_is_the_one_that_is_used(worker: str) -> None:
    processes.start_ahead(worker)
    ahead = processes._AHEAD[worker].pid
    with OwnProcess(worker, "the worker", lasts=False) as process:
        assert process._process.pid == ahead
        process.give("plain", None)
        assert process.wait_for("answer", lambda _: None)[0] == "plain"
    assert worker not in processes._AHEAD


def test_the_kernel_is_loaded_without_the_viewer() -> None:
    code = "from wheelcad.kernel import _load; _load(); import sys; print({'casadi', 'ezdxf'} & set(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True)
    assert done.stdout.split() == ["set()"], done.stderr


def test_a_fork_of_the_kernel_cuts_what_was_cut_before_it() -> None:
    """A fork has none of its parent's threads: the kernel's must have none, or a cut in a fork waits for ever."""
    code = """
from wheelcad.kernel import _load
from wheelcad.processes import beside
_load()
from wheelcad.files.brep import cut, drill, prism
from wheelcad.trade.loop import Loop
def left():
    plate = prism(Loop.circle(0, 0, 20), [], 0, 3)
    return cut(plate, [drill(x, 0, -1, 4, 4, None) for x in (-10, 0, 10)], "a plate").Volume()
here = left()
assert here == beside(left)()
"""
    subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True, timeout=120)
