"""How commands end: one sentence and the right code, whatever happens."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from wheelcad.errors import Fault, JobError
from wheelcad.guarded import Interrupted, guarded


@pytest.fixture(autouse=True)
def _own_signals() -> Iterator[None]:
    """Ctrl-C at the tests themselves works as before, whatever a command made of it."""
    before = signal.getsignal(signal.SIGINT)
    yield
    signal.signal(signal.SIGINT, before)


def _ended(command: Callable[[], object], capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as ended:
        guarded(command)
    said = capsys.readouterr()
    assert isinstance(ended.value.code, int)
    return ended.value.code, said.out, said.err


def _raises(error: BaseException) -> Callable[[], object]:
    def command() -> None:
        raise error

    return command


@pytest.mark.parametrize("error", [ZeroDivisionError("division by zero"), ValueError("two\nlines"), AssertionError()])
def test_a_mistake_of_the_programs_own(
    error: Exception, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    monkeypatch.chdir(tmp_path)
    code, out, err = _ended(_raises(error), capsys)
    assert (code, out) == (os.EX_SOFTWARE, "")
    assert err.count("\n") == 1, "one sentence"
    assert "Traceback" not in err
    assert type(error).__name__ in err
    (file,) = tmp_path.iterdir()
    assert err.rstrip().endswith(str(file))
    told = file.read_text(encoding="utf-8")
    assert "Traceback" in told
    assert "_raises" in told or "command" in told


def test_a_mistake_where_nothing_can_be_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "gone"))
    code, _, err = _ended(_raises(KeyError("x")), capsys)
    assert code == 70
    assert "Traceback" in err, "the only place left for it"


def test_a_job_error_is_two_and_json_where_json_was_asked_for(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    error = JobError([Fault("is wrong", key=("wheel", "teeth"), file="a.yaml", line=3, column=2, hint="mend it")])
    code, out, err = _ended(_raises(error), capsys)
    assert (code, out) == (2, "")
    assert "a.yaml:3:2: wheel.teeth: is wrong" in err
    monkeypatch.setattr(sys, "argv", ["wheelcad", "build", "a.yaml", "--json"])
    code, out, err = _ended(_raises(error), capsys)
    assert (code, err) == (2, "")
    (fault,) = json.loads(out)["faults"]
    assert (fault["key"], fault["line"], fault["hint"]) == ("wheel.teeth", 3, "mend it")


@pytest.mark.parametrize(
    ("words", "where", "said"),
    [
        (["options"], "wheelcad options", "Missing argument 'JOB'"),
        (["options", "a.yaml", "--patern", "36-1"], "wheelcad options", "No such option"),
        (["measure", "a.png", "--dpi", "many"], "wheelcad measure", "Invalid value for '--dpi'"),
        (["brake"], "wheelcad", "No such command 'brake'"),
    ],
)
def test_a_slip_on_the_command_line_is_json_where_json_was_asked_for(
    words: list[str], where: str, said: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from wheelcad.cli import main

    monkeypatch.setattr(sys, "argv", ["wheelcad", *words, "--json"])
    with pytest.raises(SystemExit) as ended:
        main()
    out, err = capsys.readouterr()
    assert (ended.value.code, err) == (2, "")
    (fault,) = json.loads(out)["faults"]
    assert said in fault["message"]
    assert (fault["file"], fault["hint"]) == (where, f"{where} --help")


@pytest.mark.parametrize("error", [KeyboardInterrupt(), Interrupted()])
def test_an_interruption_promises_nothing_that_may_not_be_so(
    error: BaseException, capsys: pytest.CaptureFixture[str]
) -> None:
    code, _, err = _ended(_raises(error), capsys)
    assert code == 130
    assert err.startswith("interrupted")
    assert not re.search("untouched|unchanged|nothing", err)


@pytest.mark.parametrize("where", ["loading", "inside", "swallowed"])
def test_ctrl_c_is_told_wherever_it_comes(where: str, tmp_path: Path) -> None:
    """While the commands are loaded, and inside one, past the parser's own way of ending; and where a library that
    catches everything lets the first go by."""
    code = (
        "import os, signal, sys\n"
        "from wheelcad import __main__ as entry\n"
        "def press(*_):\n"
        "    os.kill(os.getpid(), signal.SIGINT)\n"
        "sys.argv = ['wheelcad', 'schema']\n"
    )
    loading = "sys.addaudithook(lambda name, args: press() if name == 'import' and args[0] == 'typer' else None)\n"
    inside = "import wheelcad.job.starter as s\ns.schema_text = press\n"
    swallowed = (
        "import time, wheelcad.job.starter as s\n"
        "def deaf():\n"
        "    try: press()\n"
        "    except BaseException: pass\n"
        "    time.sleep(60)\n"
        "s.schema_text = deaf\n"
    )
    code += {"loading": loading, "inside": inside, "swallowed": swallowed}[where] + "entry.main()\n"
    done = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 130, done.stderr
    assert done.stderr.startswith("interrupted: ")
    assert "Traceback" not in done.stderr
