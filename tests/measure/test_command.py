"""`wheelcad measure` from the command line: what it says, what it writes, how it refuses."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from tests.conftest import ROOT
from tests.measure.wheels import extruded, nominal_slots, wheel_polygon, write_stl
from wheelcad.cli import app
from wheelcad.errors import JobError
from wheelcad.job.reader import load_job
from wheelcad.measure.command import MeasureAsked, measure

SIX = ROOT / "configs" / "tarn-six.yaml"
KEYS = [
    "source", "about", "pattern", "slot_centres_deg", "tooth_edges_deg", "single_pitch_error_deg",
    "cumulative_pitch_error_deg", "single_pitch_max_deg", "total_cumulative_deg", "centre_offset_mm", "runout_mm",
    "uncertainty_deg", "mechanism", "advice", "roundness_mm", "slot_widths_deg", "tooth_centres_deg",
    "tooth_widths_deg", "unbalance", "within_95",
]  # fmt: skip
ACTIONS = {"use", "recut", "move-gap", "turn-off", "another-pattern", "move-sensor"}


def listed(path: Path, slots: np.ndarray) -> Path:
    path.write_text("slot_deg\n" + "\n".join(f"{slot:.2f}" for slot in slots) + "\n")
    return path


def told(*words: object) -> dict[str, object]:
    result = CliRunner().invoke(app, ["measure", *map(str, words), "--json"])
    assert result.exit_code == 0, result.output
    out: dict[str, object] = json.loads(result.stdout)
    return out


def test_a_forgotten_part_turn_in_json(tmp_path: Path) -> None:
    slots = nominal_slots(36, 1)
    slots[11:] -= 1.0
    out = told(listed(tmp_path / "a.csv", slots), "--pattern", "36-1", "--ratio", 40)
    assert list(out) == KEYS
    assert out["pattern"] == {"teeth": 36, "missing": 1}
    mechanism = out["mechanism"]
    assert isinstance(mechanism, dict)
    assert (mechanism["name"], mechanism["where"]) == ("part-turn-forgotten", [12])
    assert mechanism["size_deg"] == -1.0
    assert 0.9 < mechanism["confidence"] <= 1.0
    assert out["cumulative_pitch_error_deg"] == pytest.approx(slots - slots[0] - 10 * np.arange(36))
    assert out["total_cumulative_deg"] == pytest.approx(1.0)
    advice = out["advice"]
    assert isinstance(advice, list)
    assert {one["action"] for one in advice} <= ACTIONS
    assert {tuple(one) for one in advice} == {("action", "what", "timing_error_deg", "syncs")}
    # without the table nobody can tell a forgotten part-turn from another slip
    assert told(tmp_path / "a.csv", "--pattern", "36-1")["mechanism"]["name"] == "slip"  # type: ignore[index]


def test_zero_is_the_jobs_gap(tmp_path: Path) -> None:
    slots = nominal_slots(60, 2)
    file = listed(tmp_path / "a.csv", slots + 17.0)
    assert told(file)["slot_centres_deg"][:2] == pytest.approx([6.0, 12.0])  # type: ignore[index]
    job = ROOT / "configs" / "beck-four.yaml"  # gap_at 90
    assert told(file, "--job", job)["slot_centres_deg"][:2] == pytest.approx([96.0, 102.0])  # type: ignore[index]


def test_a_mesh_in_json_and_words(tmp_path: Path) -> None:
    slots = nominal_slots(36, 1)
    triangles = extruded(wheel_polygon(list(slots), 1, points=720, rim_offset=(0.1, 0.0)), 0.0, 3.2)
    file = write_stl(tmp_path / "w.stl", triangles)
    out = told(file)
    assert (out["source"], out["about"]) == ("mesh", "bore")
    assert out["centre_offset_mm"] == pytest.approx(0.1, abs=0.002)
    assert out["runout_mm"] == pytest.approx(0.2, abs=0.005)
    assert len(out["tooth_edges_deg"]) == 35  # type: ignore[arg-type]
    half = np.degrees(np.arcsin(3.0 / 75.0))
    start, end = np.array(out["tooth_edges_deg"][0])  # type: ignore[index]
    # at the rim, between slots at 5 and 15: parallel sides, so that the angle depends on the radius
    assert (start, end) == (pytest.approx(5 + half, abs=0.01), pytest.approx(15 - half, abs=0.01))
    assert np.array(out["tooth_centres_deg"]) == pytest.approx(np.arange(10.0, 360.0, 10.0), abs=0.01)
    assert np.array(out["tooth_widths_deg"]) == pytest.approx(10.0 - 2 * half, abs=0.01)
    slots_seen = out["slot_widths_deg"]
    assert slots_seen[0] is slots_seen[-1] is None  # they run out into the gap
    middle = 75.0 - 0.5 * (6.35 - 3.0)
    assert slots_seen[1:-1] == pytest.approx([2 * np.degrees(np.arcsin(3.0 / middle))] * 34, abs=0.01)
    lengths = {"centre_offset_mm", "runout_mm", "roundness_mm"}
    angles = {"slot_centre_deg", "single_pitch_deg", "cumulative_pitch_deg", "tooth_centre_deg", "width_deg"}
    assert set(out["within_95"]) == lengths | angles  # type: ignore[call-overload]
    assert set(out["unbalance"]) == {"unbalance_g_mm", "at_deg", "within_95_g_mm", "density_kg_m3"}  # type: ignore[call-overload]
    words = CliRunner().invoke(app, ["measure", str(file)]).stdout
    assert "36-1" in words
    assert "nothing went wrong" in words
    assert "Taken for granted: the crank turns clockwise" in words
    assert "unbalance" in words


def test_reports_are_the_same_every_time(tmp_path: Path) -> None:
    slots = nominal_slots(36, 1)
    slots[20] += 1.7
    file = listed(tmp_path / "a.csv", slots)
    for kind, mark in ((".pdf", b"%PDF"), (".png", b"\x89PNG"), (".svg", b"<?xml"), (".csv", b"cut,")):
        made = []
        for k in range(2 if kind == ".pdf" else 1):
            path = tmp_path / f"r{k}{kind}"
            measure(MeasureAsked((file,), job=SIX, report=path))
            made.append(path.read_bytes())
        assert made[0].startswith(mark)
        assert made[0] == made[-1]
    from pypdf import PdfReader

    pages = PdfReader(tmp_path / "r0.pdf").pages
    assert len(pages) == 1
    assert "36-1" in pages[0].extract_text()
    assert len((tmp_path / "r0.csv").read_text().splitlines()) == 37


def test_the_written_job_keeps_its_comments(tmp_path: Path) -> None:
    slots = nominal_slots(36, 1)
    slots[20] += 1.7
    new = tmp_path / "new.yaml"
    measured = measure(MeasureAsked((listed(tmp_path / "a.csv", slots),), job=SIX, write=new))
    assert measured.advice[0].action == "move-gap"
    old_lines, lines = SIX.read_text().splitlines(), new.read_text().splitlines()
    changed = [(a, b) for a, b in zip(old_lines, lines, strict=True) if a != b]
    assert changed == [("  gap_at: 0 deg", "  gap_at: 200 deg")]
    assert load_job(new).wheel.gap_at == 200.0


def test_a_key_that_is_not_there_yet_is_put_in(tmp_path: Path) -> None:
    slots = nominal_slots(36, 1)
    slots[20] += 1.7
    file = listed(tmp_path / "a.csv", slots)
    block = SIX.read_text().replace("  gap_at: 0 deg\n", "")
    flow = (
        "job: flow\nengine: {turns: clockwise}\n"
        "wheel: {form: plate, teeth: 36, missing: 1, outside_diameter: 160, thickness: 3, bore: 40, "
        "slot: {width: 6, depth: 6.35}}  # short\n"
    )
    for k, text in enumerate((block, flow)):
        job, new = tmp_path / f"j{k}.yaml", tmp_path / f"n{k}.yaml"
        job.write_text(text)
        measure(MeasureAsked((file,), job=job, write=new))
        assert load_job(new).wheel.gap_at == 200.0
    assert "# short" in new.read_text()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["nothing.stl"], "no such file"),
        (["a.xyz"], "no kind of file"),
        (["a.csv", "a.csv"], "only scans"),
        (["a.csv", "--ratio", "0"], "rotary table"),
        (["a.csv", "--pattern", "x"], "pattern"),
        (["a.csv", "--turns", "left"], "clockwise, anticlockwise"),
        (["a.csv", "--face", "top"], "front, back"),
        (["a.csv", "--about", "hub"], "bore, rim"),
        (["a.csv", "--write", "n.yaml"], "job"),
        (["a.csv", "--report", "n.doc"], "kind of report"),
        (["bad.csv"], "no even spacing|even spacing"),
    ],
)
def test_refusals_are_one_clear_message(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: list[str], said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    listed(tmp_path / "a.csv", nominal_slots(36, 1))
    listed(tmp_path / "bad.csv", np.array([1.0, 50.0, 61.0, 140.0, 190.0, 200.0, 333.0]))
    (tmp_path / "a.xyz").write_text("1 2 3")
    before = sorted(tmp_path.iterdir())
    with pytest.raises(JobError, match=said) as caught:
        CliRunner().invoke(app, ["measure", *words], catch_exceptions=False, standalone_mode=False)
    assert len(caught.value.faults) == 1
    assert sorted(tmp_path.iterdir()) == before  # nothing is written


def test_a_sound_job_has_nothing_to_write(tmp_path: Path) -> None:
    file = listed(tmp_path / "a.csv", nominal_slots(36, 1))
    with pytest.raises(JobError, match="nothing to write"):
        measure(MeasureAsked((file,), job=SIX, write=tmp_path / "n.yaml"))


def test_typed_in(tmp_path: Path) -> None:
    typed = " ".join(str(v) for v in range(6, 355, 6))
    result = CliRunner().invoke(app, ["measure", "-", "--json"], input=typed)
    assert result.exit_code == 0
    assert json.loads(result.stdout)["pattern"] == {"teeth": 60, "missing": 2}


def test_a_list_that_falls_is_turned_round(tmp_path: Path) -> None:
    slots = nominal_slots(36, 1)
    slots[11:] -= 1.0
    out = told(listed(tmp_path / "a.csv", -slots), "--pattern", "36-1", "--ratio", 40)
    assert out["mechanism"]["name"] == "part-turn-forgotten"  # type: ignore[index]
    assert out["mechanism"]["where"] == [12]  # type: ignore[index]


def test_another_count_altogether(tmp_path: Path) -> None:
    out = told(listed(tmp_path / "a.csv", nominal_slots(48, 2)), "--pattern", "36-1", "--ratio", 40)
    assert out["pattern"] == {"teeth": 48, "missing": 2}
    assert out["mechanism"]["name"] == "miscount"  # type: ignore[index]
    # the part of every turn forgotten: 40 divisions instead of 36 (40:1, one whole turn alone)
    out = told(listed(tmp_path / "b.csv", nominal_slots(40, 1)), "--pattern", "36-1", "--ratio", 40)
    assert out["mechanism"]["name"] == "miscount"  # type: ignore[index]
