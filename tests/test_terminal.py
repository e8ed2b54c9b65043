"""What a person sees: progress on a terminal alone, one screen of results, faults with lines; plain when piped."""

from __future__ import annotations

import io
import re
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from tests.conftest import ROOT
from tests.job.jobs import SMALL
from wheelcad import terminal
from wheelcad.errors import JobError
from wheelcad.findings import Finding, Verdict
from wheelcad.job.reader import load_job, parse_job

ESCAPE = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")


class Screen(io.StringIO):
    """A terminal, as far as a program can tell."""

    def isatty(self) -> bool:
        return True


@pytest.fixture(autouse=True)
def _no_colour_settings(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("NO_COLOR", "FORCE_COLOR", "TTY_COMPATIBLE", "TTY_INTERACTIVE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")


def _error() -> JobError:
    with pytest.raises(JobError) as caught:
        parse_job(SMALL.replace("teeth: 36", "teeth: 2").replace("thickness", "thickess"), "x.yaml")
    return caught.value


def test_faults_are_plain_when_piped() -> None:
    pipe = io.StringIO()
    terminal.print_error(_error(), pipe)
    said = pipe.getvalue()
    assert "\x1b" not in said
    assert said.count("x.yaml:") == 2
    assert said.endswith("2 faults; nothing was written or changed\n")


def test_faults_are_coloured_on_a_terminal_and_say_the_same() -> None:
    pipe, screen = io.StringIO(), Screen()
    terminal.print_error(_error(), pipe)
    terminal.print_error(_error(), screen)
    assert "\x1b[31m" in screen.getvalue()
    assert ESCAPE.sub("", screen.getvalue()) == pipe.getvalue()


@pytest.mark.parametrize(("name", "value"), [("NO_COLOR", "1"), ("TERM", "dumb")])
def test_no_colour_is_honoured(name: str, value: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(name, value)
    screen = Screen()
    terminal.print_error(_error(), screen)
    assert "\x1b" not in screen.getvalue()


def test_progress_on_a_terminal() -> None:
    screen = Screen()
    with terminal.progress("building [a]", stream=screen) as say:
        say("the wheel [1/2]")
    assert "building [a]" in ESCAPE.sub("", screen.getvalue())


@pytest.mark.parametrize(("stream", "quiet"), [(io.StringIO(), False), (Screen(), True)])
def test_no_progress_when_piped_or_quiet(stream: io.StringIO, quiet: bool) -> None:
    with terminal.progress("building", quiet=quiet, stream=stream) as say:
        say("the wheel")
    assert stream.getvalue() == ""


def _finding(verdict: Verdict, number: int) -> Finding:
    why = "a sentence that says in plain words why this matters at the mill and what to do about it, at some length"
    return Finding(f"check-{number}", "wheel.stl", 1.25, "mm", 1.0, verdict, why, "common practice, no source")


def _result(fails: int, warns: int, left_out: int = 0) -> Any:
    findings = [_finding("pass", 0)] * 40
    findings += [_finding("warn", n) for n in range(warns)] + [_finding("fail", n) for n in range(fails)]
    report = {
        "wheel": {"pitch_deg": 10.0, "tooth_edges_deg": [[0, 1]] * 35, "mass_kg": 3.2670},
        "balance": {
            "before": {"unbalance_g_mm": 90.1},
            "after": {"unbalance_g_mm": 0.14},
            "permissible_g_mm": 95.995,
            "grade": "G16",
            "max_speed_rpm": 5200.0,
        },
        "ignition": {"use_deg": 42.85, "first_edge_to_tdc_deg": 42.85, "first_tooth_centre_to_tdc_deg": 40.0},
        "indexing": {"degrees_per_turn": 9.0, "cuts": [{}] * 36},
        "bracket": {"flat_size_mm": [182.33, 75.73], "first_frequency_hz": 253.9},
        "left_out": [f"part {n}: the section `pulley` would bring it" for n in range(left_out)],
    }
    return SimpleNamespace(
        job=load_job(ROOT / "configs" / "tarn-six.yaml"),
        report=report,
        findings=tuple(findings),
        files=("wheel.step", "wheel.stl", "manifest.json"),
        folder=Path("outputs/tarn-six"),
    )


@pytest.mark.parametrize("size", [(80, 24), (100, 40), (40, 24), (200, 60)])
@pytest.mark.parametrize(("fails", "warns", "left"), [(0, 0, 0), (0, 6, 2), (2, 3, 0), (30, 40, 7)])
def test_the_summary_fits_one_screen(size: tuple[int, int], fails: int, warns: int, left: int) -> None:
    text = terminal.summary(_result(fails, warns, left), colour=False, size=size)
    lines = text.split("\n")
    assert len(lines) < size[1]  # a line is left for the prompt
    assert max(map(len, lines[:-1])) <= size[0]
    assert "\x1b" not in text
    assert lines[0].startswith("tarn-six")
    assert lines[-1] == "3 files written to outputs/tarn-six"


def test_the_summary_says_what_matters() -> None:
    text = terminal.summary(_result(1, 2, 1), colour=False, size=(110, 40))
    for said in (
        "35 teeth, one every 10 deg, 3.27 kg",
        "42.85 deg from the first tooth's leading edge",
        "0.1 g·mm left of 96.0 permitted (G16 at 5200 rpm)",
        "36 slots, 9 deg a turn",
        "flat 182.3 × 75.7 mm, 254 Hz",
        "43 checks: 1 failed, 2 warned",
        "wheel.stl, check-0: 1.25 mm, limit 1 mm; a sentence",
        "left out: part 0",
    ):
        assert said in text
    assert text.index("  fail  ") < text.index("  warn  ")


def test_what_does_not_fit_is_counted() -> None:
    text = terminal.summary(_result(30, 40), colour=False, size=(80, 24))
    shown = len(re.findall(r"^  (fail|warn)  ", text, re.MULTILINE))
    more = re.search(r"and (\d+) more in report.json", text)
    assert more is not None
    assert shown + int(more[1]) == 70
    assert "  warn  " not in text  # the failures come first


def test_nothing_amiss() -> None:
    assert "40 checks, all passed" in terminal.summary(_result(0, 0), colour=False, size=(80, 24))


def test_colours_do_not_change_the_words() -> None:
    plain = terminal.summary(_result(1, 2), colour=False, size=(80, 24))
    coloured = terminal.summary(_result(1, 2), colour=True, size=(80, 24))
    assert coloured != plain
    assert ESCAPE.sub("", coloured) == plain


def test_a_report_without_sections_is_no_trouble() -> None:
    assert terminal.numbers_that_matter({}) == []


@pytest.mark.parametrize(
    ("module", "never"),
    [
        ("wheelcad.terminal", {"rich", "numpy", "pydantic", "ruamel", "cadquery"}),
        (
            "wheelcad.job.reader",
            {"rich", "numpy", "shapely", "scipy", "cadquery", "trimesh", "ezdxf"},
        ),
        ("wheelcad.units", {"pydantic", "ruamel", "numpy"}),
    ],
)
def test_what_starts_every_command_is_light(module: str, never: set[str]) -> None:
    code = f"import sys, {module}; print([name for name in {sorted(never)!r} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.strip() == "[]"
