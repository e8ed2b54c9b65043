"""Files made to swell, to nest or to climb: refused at once, in little memory, with the line at fault."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.conftest import edited
from tests.job.jobs import SMALL, faults_in
from wheelcad.errors import JobError, JobFileError
from wheelcad.job.reader import load_job, parse_job

MIB = 1 << 20
LONGEST = 5.0  # seconds, on a busy machine; a 1 MiB file of notes takes 0.4
MOST = 160 * MIB  # bytes, of which Python and the libraries take 40


@pytest.fixture
def at_once() -> Iterator[None]:
    start = time.perf_counter()
    yield
    assert time.perf_counter() - start < LONGEST


def _bomb(levels: int = 12) -> str:
    lines = ["a: &a [x, x, x, x, x, x, x, x, x]"]
    for i in range(levels):
        lines.append(f"{chr(98 + i)}: &{chr(98 + i)} [{', '.join(['*' + chr(97 + i)] * 9)}]")
    return "\n".join(lines) + "\n"


SWELLING = {
    "aliases that multiply": (SMALL + _bomb(), "alias"),
    "an alias of itself": (SMALL + "engine: &e {cylinders: 4, turns: *e}\n", "alias"),
    "brackets without end": ("a: " + "[" * 3900, "nested too deeply"),
    "brackets without end, a line each": ("a: " + "[\n" * 300_000, "nested too deeply"),
    "braces without end": ("a: " + "{a: " * 950, "nested too deeply"),
    "dashes without end": ("- " * 1900, "nested too deeply"),
    "sections without end": ("".join(" " * i + "a:\n" for i in range(1000)), "nested too deeply"),
    "question marks without end": ("? " * 1900, "else than a word"),
    "very many keys": (SMALL + "".join(f"k{i}: {i}\n" for i in range(70_000)), "holds far more"),
    "very many list entries": (SMALL + "engine: {firing_order: [\n" + "1,\n" * 200_000 + "]}\n", "holds far more"),
    "one endless line": (SMALL + "title: " + "x" * (MIB - 200), "longer than a job file's can be"),
    "an endless key": (SMALL + "x" * 900 + ": 1\n", "not a key known here"),
    "a key longer than YAML takes": (SMALL + "x" * 3900 + ": 1\n", "a key longer than YAML takes"),
    "an endless tag": (SMALL + ("title: !" + "x" * 3900 + " 1\n") * 200, "tag"),
    "an endless text": (SMALL + "title: |\n" + "  c\n" * 200_000, "too long"),
    "a number of 3900 digits": (edited(SMALL, ("36", "9" * 3900)), "whole number"),
    "a length of 3900 digits": (edited(SMALL, ("thickness: 3", "thickness: " + "9" * 3900)), "a length"),
    "10^9 teeth": (edited(SMALL, ("36", "1000000000")), "out of range"),
    "code to run": (SMALL + "title: !!python/object/apply:os.system ['true']\n", "tag"),
}


# Reads every job file of a folder, and says how many were refused and what the process's peak memory was, in KiB.
PEAK = """
import pathlib, re, sys
from wheelcad.errors import JobError
from wheelcad.job.reader import load_job
refused = 0
for path in pathlib.Path(sys.argv[1]).iterdir():
    try:
        load_job(path)
    except JobError:
        refused += 1
print(refused, re.search(r"VmHWM:\\s+(\\d+)", pathlib.Path("/proc/self/status").read_text())[1])
"""


@pytest.mark.usefixtures("at_once")
@pytest.mark.parametrize("what", SWELLING)
def test_refused_at_once(what: str) -> None:
    text, said = SWELLING[what]
    faults = faults_in(text)
    assert any(said in fault.message for fault in faults)
    assert len(str(JobError(faults))) < 40_000


@pytest.mark.skipif(sys.platform != "linux", reason="a process's peak memory is read from /proc")
def test_in_little_memory(tmp_path: Path) -> None:
    for number, (text, _) in enumerate(SWELLING.values()):
        (tmp_path / f"{number}.yaml").write_text(text, encoding="utf-8")
    done = subprocess.run([sys.executable, "-c", PEAK, str(tmp_path)], capture_output=True, text=True, check=True)
    refused, peak_kib = map(int, done.stdout.split())
    assert refused == len(SWELLING)
    assert peak_kib * 1024 < MOST


@pytest.mark.usefixtures("at_once")
def test_a_mebibyte_of_notes_is_read() -> None:
    assert parse_job(SMALL + "# a note as long as a line usually is\n" * 27_000).job == "small"


def test_more_than_a_mebibyte_is_not(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text(SMALL + "#" * MIB, encoding="utf-8")
    with pytest.raises(JobFileError, match="larger than a job file can be"):
        load_job(path)
    (path.parent / "b.yaml").write_text(SMALL + "# note\n" * ((MIB - len(SMALL)) // 7), encoding="utf-8")
    assert load_job(tmp_path / "b.yaml").job == "small"


def test_a_device_without_end_is_not_read_to_its_end() -> None:
    if not Path("/dev/zero").exists():
        assert not Path("/dev").exists()  # a system without devices has nothing to refuse
        return
    with pytest.raises(JobFileError, match="larger than a job file can be"):
        load_job("/dev/zero")


@pytest.mark.parametrize(
    "name",
    [
        "../x", "..", ".", "/etc/x", "a/b", "a\\b", "C:x", "~", "~root", ".hidden", "-rf", "a b", "a.b", "ä", "а",
        "a" * 65, "''", "con", "CON", "nul", "Aux", "com1", "LPT9", "a\\u0000", '"a\\n"', "$HOME", "%TEMP%", "x;y", "*",
    ],
)  # fmt: skip
def test_names_that_could_climb_out_of_the_outputs(name: str) -> None:
    faults = faults_in(edited(SMALL, ("job: small", f"job: {name}")))
    assert faults[0].line == 1


@pytest.mark.parametrize("name", ["a", "Z9", "a-b_c", "2026", "com10", "console", "a" * 64])
def test_names_that_are_well(name: str) -> None:
    assert parse_job(edited(SMALL, ("job: small", f"job: {name}"))).job == name
