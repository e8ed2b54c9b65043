"""What a person sees: progress on a terminal alone, one screen of results, faults with lines; plain when piped."""

from __future__ import annotations

import io
import json
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
from wheelcad.changes import Changes
from wheelcad.errors import JobError
from wheelcad.findings import Finding, Verdict
from wheelcad.job.reader import load_job, parse_job
from wheelcad.words import Words

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
    assert said.endswith("2 faults in x.yaml; nothing was written or changed for it\n")


def test_faults_are_coloured_on_a_terminal_and_say_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "400")
    pipe, screen = io.StringIO(), Screen()
    terminal.print_error(_error(), pipe)
    terminal.print_error(_error(), screen)
    assert "\x1b[31m" in screen.getvalue()
    assert ESCAPE.sub("", screen.getvalue()).split() == pipe.getvalue().split()


@pytest.mark.parametrize("columns", [40, 80])
def test_faults_flow_to_the_width_and_keep_every_word_and_the_mark(
    columns: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    monkeypatch.setenv("NO_COLOR", "1")
    error, screen = _error(), Screen()
    terminal.print_error(error, screen)
    lines = screen.getvalue().split("\n")
    shown = [line for line in lines if not line.startswith("    | ")]
    assert max(map(len, shown)) <= columns
    assert "".join(screen.getvalue().split()).startswith("".join("\n".join(map(str, error.faults)).split()))
    marked = next(k for k, line in enumerate(lines) if line.strip() == "| ^" or line.rstrip().endswith("^"))
    assert lines[marked].index("^") - 6 == error.faults[0].column - 1


@pytest.mark.parametrize("columns", [40, 80])
def test_a_line_of_a_job_that_is_longer_than_the_terminal_stays_whole_over_its_mark(
    columns: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    monkeypatch.setenv("NO_COLOR", "1")
    long = "  slot: {width: 6, depth: 6, sides: parallel, floor: flat, corner_radius: 0.25, conner_radius: 0.25}"
    with pytest.raises(JobError) as caught:
        parse_job(SMALL.replace("  slot: {width: 6, depth: 6}", long), "x.yaml")
    screen = Screen()
    terminal.print_error(caught.value, screen)
    lines = screen.getvalue().split("\n")
    at = lines.index(f"    | {long}")
    assert lines[at + 1] == "    | " + " " * long.index("conner") + "^"


def test_faults_for_programs(capsys: pytest.CaptureFixture[str]) -> None:
    terminal.print_error(_error(), as_json=True)
    faults = json.loads(capsys.readouterr().out)["faults"]
    assert len(faults) == 2
    assert {"file", "line", "column", "key", "message", "found", "allowed", "hint"} == set(faults[0])
    assert faults[0]["file"] == "x.yaml"
    assert all(fault["line"] > 0 for fault in faults)


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


def _result(
    fails: int,
    warns: int,
    left_out: int = 0,
    job: str = "tarn-six",
    done: str = "built",
    changes: Changes | None = None,
) -> Any:
    findings = [_finding("pass", 0)] * 40
    findings += [_finding("warn", n) for n in range(warns)] + [_finding("fail", n) for n in range(fails)]
    report = {
        "wheel": {"pitch_deg": 10.0, "tooth_edges_deg": [[0, 1]] * 35, "mass_kg": 3.2670},
        "balance": {
            "before": {"unbalance_g_mm": 90.1},
            "after": {"unbalance_g_mm": 0.14},
            "as_cut_95_g_mm": 85.6,
            "permissible_g_mm": 95.9,
            "grade": "G16",
            "max_speed_rpm": 5200.0,
        },
        "ignition": {"use_deg": 42.85, "times_on": "leading", "first_edge_to_tdc_deg": 42.85},
        "indexing": {"degrees_per_turn": 9.0, "cuts": [{}] * 36},
        "bracket": {"flat_size_mm": [182.33, 75.73], "first_frequency_hz": 253.9},
        "left_out": [f"part {n}: the section `pulley` would bring it" for n in range(left_out)],
    }
    return SimpleNamespace(
        job=load_job(ROOT / "configs" / f"{job}.yaml"),
        report=report,
        findings=tuple(findings),
        files=("start.html", "wheel.stl", "manifest.json"),
        folder=Path("outputs") / job,
        done=done,
        changes=changes,
        kept=(),
    )


def squeezed(text: str) -> str:
    """The words alone, whatever the lines they stand on."""
    return " ".join(text.split())


@pytest.mark.parametrize("width", [40, 80, 110])
@pytest.mark.parametrize(("fails", "warns", "left"), [(0, 0, 0), (0, 9, 2), (30, 40, 7)])
def test_the_summary_flows_to_the_width_and_cuts_nothing(width: int, fails: int, warns: int, left: int) -> None:
    result = _result(fails, warns, left)
    text = terminal.summary(result, colour=False, width=width)
    lines = text.split("\n")
    assert max(map(len, lines)) <= width
    assert "\x1b" not in text
    assert "…" not in text
    assert lines[0].startswith("tarn-six")
    assert lines[-2:] == ["3 files written to outputs/tarn-six", "next: open outputs/tarn-six/start.html"]
    said = squeezed(text)
    assert said.count("and what to do about it, at some length") == fails + warns
    assert len(re.findall(r"^  (?:fail|warn)  ", text, re.MULTILINE)) == fails + warns


def test_the_summary_says_what_matters() -> None:
    text = terminal.summary(_result(1, 2, 1), colour=False, width=110)
    for said in (
        "35 teeth, one every 10°, 3.27 kg",
        "42.85° from the first tooth's leading edge",
        "as cut below 85.6 g·mm (95 %), of 95.9 g·mm permitted (G16 at 5200 rpm)",
        "36 slots, 9° a turn",
        "flat 182.3 mm × 75.7 mm, 254 Hz",
        "43 checks: 1 failed, 2 warned",
        "wheel.stl, check-0: 1.25 mm, limit 1 mm; a sentence",
        "left out  part 0",
    ):
        assert said in text
    assert text.index("  fail  ") < text.index("  warn  ")


def test_an_inch_job_is_summed_up_in_inches() -> None:
    text = terminal.summary(_result(1, 0, 0, job="fell-twin"), colour=False, width=110)
    for said in ("7.2 lb", "3.78 g·in permitted", "7.18 in × 2.98 in", "0.049 in, limit 0.039 in"):
        assert said in text
    assert not re.search(r"\d (?:mm|kg|g·mm)\b", text)


@pytest.mark.parametrize(
    ("times_on", "edge"), [("leading", "leading edge"), ("trailing", "trailing"), ("centre", "cen")]
)
def test_the_edge_is_the_reports(times_on: str, edge: str) -> None:
    ignition = {"use_deg": 40.0, "times_on": times_on, "first_edge_to_tdc_deg": 40.0, "trailing_edge_to_tdc_deg": 40.0}
    (said,) = [text for name, text in terminal.numbers_that_matter({"ignition": ignition}, Words("mm"))]
    assert f"first tooth's {edge}" in said


def test_notes_are_on_their_own_pages() -> None:
    result = _result(0, 1)
    result.findings = (*result.findings, _finding("note", 9))
    text = terminal.summary(result, colour=False, width=80)
    assert "check-9" not in text
    assert "41 checks: 0 failed, 1 warned" in text


def test_what_changed_is_told_line_by_line() -> None:
    changed = Changes((("wheel.teeth", "36", "60"),), ("wheel.stl",))
    text = terminal.summary(_result(0, 0, changes=changed), colour=False, width=80)
    assert "  changed   wheel.teeth: 36 → 60\n  changed   files changed: wheel.stl" in text
    again = terminal.summary(_result(0, 0, changes=Changes(changed.keys, changed.files, again=True)), width=80)
    assert "nothing changed since the last build" in again
    assert "wheel.teeth" not in again


def test_check_names_what_it_did_and_opens_nothing() -> None:
    text = terminal.summary(_result(0, 0, done="checked"), colour=False, width=80)
    assert text.endswith("3 files measured again in outputs/tarn-six")


@pytest.mark.parametrize("width", [40, 80])
def test_a_folder_is_not_broken_however_long_it_is(width: int) -> None:
    result = _result(0, 0)
    result.folder = Path("/a-folder-to-be-copied-out-of-the-terminal") / ("deep" * 30) / "tarn six"
    lines = terminal.summary(result, colour=False, width=width).split("\n")
    assert lines[-2:] == [f"3 files written to {result.folder}", f"next: open {result.folder}/start.html"]
    assert max(map(len, lines[:-2])) <= width


def test_quiet_still_says_what_failed() -> None:
    result = _result(2, 3)
    said = terminal.failed_text(result).split("\n")
    assert len(said) == 2
    assert all(line.startswith("tarn-six: fail: wheel.stl, check-") for line in said)
    assert len(terminal.failed_text(result, strict=True).split("\n")) == 5
    assert terminal.failed_text(_result(0, 3)) == ""


def test_nothing_amiss() -> None:
    assert "40 checks, all passed" in terminal.summary(_result(0, 0), colour=False, width=80)


def test_colours_do_not_change_the_words() -> None:
    plain = terminal.summary(_result(1, 2), colour=False, width=80)
    coloured = terminal.summary(_result(1, 2), colour=True, width=80)
    assert coloured != plain
    assert ESCAPE.sub("", coloured) == plain


def test_a_report_without_sections_is_no_trouble() -> None:
    assert list(terminal.numbers_that_matter({}, Words("mm"))) == []


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
