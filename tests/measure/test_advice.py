"""What can be saved: the numbers of each proposal against plain reckoning, and three spoiled wheels rescued."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.conftest import ROOT
from tests.measure.wheels import extruded, nominal_slots, wheel_polygon, wrapped, write_stl
from wheelcad.build import build_job
from wheelcad.job.reader import load_job
from wheelcad.measure.advice import Advice
from wheelcad.measure.advice_pattern import best_fit
from wheelcad.measure.command import MeasureAsked, measure
from wheelcad.measure.report import Measured
from wheelcad.measure.timing import timing_error
from wheelcad.parts.design import design_job
from wheelcad.words import Words

SIX = ROOT / "configs" / "tarn-six.yaml"
HALF = float(np.degrees(np.arcsin(6.0 / 160.0)))  # half a slot at tarn-six's rim


def listed(path: Path, slots: np.ndarray) -> Path:
    path.write_text("slot_deg\n" + "\n".join(f"{slot:.2f}" for slot in slots) + "\n")
    return path


def by_action(measured: Measured) -> dict[str, Advice]:
    return {one.action: one for one in measured.advice}


def one_slot_wrong() -> np.ndarray:
    slots = nominal_slots(36, 1)
    slots[20] += 1.7
    return slots


def forgotten(cuts: tuple[int, ...] = (12,)) -> np.ndarray:
    slots = nominal_slots(36, 1)
    for cut in cuts:
        slots[cut - 1 :] -= 1.0
    return slots


def drifted() -> np.ndarray:
    slots = nominal_slots(36, 1)
    return slots * (1 - 0.012)


def test_use_and_its_timing(tmp_path: Path) -> None:
    measured = measure(MeasureAsked((listed(tmp_path / "a.csv", forgotten()),), pattern="36-1", ratio=40))
    use = by_action(measured)["use"]
    assert use.timing_error_deg == pytest.approx(0.5)  # half the step: trimmed to the middle
    sound = measure(MeasureAsked((listed(tmp_path / "b.csv", nominal_slots(36, 1)),), job=SIX))
    assert [one.action for one in sound.advice] == ["use"]
    assert sound.advice[0].timing_error_deg == pytest.approx(0.0, abs=1e-9)
    assert sound.advice[0].syncs


def test_timing_by_cylinder() -> None:
    # tarn-six: the sensor at 310; cylinder k's spark is due 10 deg before its TDC. The tooth at p passes at 310 - p.
    job = load_job(SIX)
    teeth = 10.0 * np.arange(1, 36)
    errors = np.where((teeth > 60) & (teeth < 100), 0.3, 0.0)
    worst, by = timing_error(teeth, errors, job)
    # sparks at 350, 110, 230 (mod 360): the last tooth before them stands at 310 - 350 = 320, 200 and 80
    assert worst == pytest.approx(0.3)
    late = {cylinder for cylinder, value in by.items() if value}
    order = list(job.engine.firing_order)  # type: ignore[union-attr,arg-type]
    assert late == {order[2], order[5]}


def test_recut_names_slots_and_settings(tmp_path: Path) -> None:
    measured = measure(MeasureAsked((listed(tmp_path / "a.csv", forgotten((30,))),), job=SIX))
    recut = by_action(measured)["recut"]
    assert recut.timing_error_deg == pytest.approx(0.0, abs=1e-9)
    said = Words().text(recut.what)
    assert "slot 30 at 295° (32 turns + 7°)" in said
    assert "30 to 36" in said
    assert "trailing edge" in said  # the slots stand short: their far side is cut anew


def test_too_far_off_is_not_recut(tmp_path: Path) -> None:
    measured = measure(MeasureAsked((listed(tmp_path / "a.csv", forgotten((5, 12, 20, 28))),), job=SIX))
    assert "recut" not in by_action(measured)


def test_move_gap_swallows_the_spoiled_slot(tmp_path: Path) -> None:
    measured = measure(MeasureAsked((listed(tmp_path / "a.csv", one_slot_wrong()),), job=SIX))
    moved = by_action(measured)["move-gap"]
    assert moved.timing_error_deg == pytest.approx(0.0, abs=1e-9)
    assert moved.changes == {("wheel", "gap_at"): "200 deg"}
    # the gap 195 … 205 and its two slots reach from 195 - half to 205 + half; the wrong slot at 206.7 sticks out above,
    # so that the gap stands below it and slot 21 is cut again: its lower side then is right
    assert "slot 21 at 205°" in Words().text(moved.what)
    sensor = by_action(measured)["move-sensor"]
    assert sensor.changes["sensor", "at"] == f"{(310 + 200) % 360} deg"


def test_another_pattern_stands_in_the_old_teeth() -> None:
    slots = forgotten((5, 12, 20))
    edges = np.column_stack([slots[:-1] + HALF, slots[1:] - HALF])
    fit = best_fit(edges, 18, 1)
    assert fit is not None
    first = fit.gap_deg + 20.0
    for centre in first + 20.0 * np.arange(17):
        inside = [min((centre - a) % 360, (b - centre) % 360) for a, b in edges if (centre - a) % 360 <= (b - a) % 360]
        assert inside
        assert max(inside) >= fit.tooth_deg / 2 - 1e-9
    assert best_fit(np.array([[0.0, 5.0], [90.0, 95.0], [180.0, 185.0]]), 18, 1) is None


RESCUES = [
    ("one slot", one_slot_wrong, "move-gap"),
    ("forgotten", forgotten, "another-pattern"),
    ("drift", drifted, "turn-off"),
]


def rescued(tmp_path: Path, slots: np.ndarray) -> tuple[Measured, Path]:
    new = tmp_path / "new.yaml"
    return measure(MeasureAsked((listed(tmp_path / "a.csv", slots),), job=SIX, write=new)), new


@pytest.mark.parametrize(("name", "made", "action"), RESCUES, ids=[name for name, *_ in RESCUES])
def test_three_spoiled_wheels_are_rescued_on_paper(tmp_path: Path, name: str, made: object, action: str) -> None:
    slots = made()  # type: ignore[operator]
    measured, new = rescued(tmp_path, slots)
    chosen = next(one for one in measured.advice if one.changes)
    assert chosen.action == action, name
    assert chosen.timing_error_deg < 0.1
    assert chosen.syncs
    design = design_job(load_job(new))
    swallowed(slots, design.wheel.tooth_edges_deg, design.wheel.radius_mm, measured)


def swallowed(slots: np.ndarray, edges: np.ndarray, radius: float, measured: Measured) -> None:
    """Every tooth of the new wheel stands in old metal, but for slots that are cut again; or the old slots are gone."""
    if radius <= 80.0 - 6.35:
        return  # turned below the old floors
    offset = measured.wheel.at_deg[0] - slots[0]
    for a, b in edges:
        middle, half = a + ((b - a) % 360) / 2, ((b - a) % 360) / 2
        off = np.abs(wrapped(slots + offset - middle))
        again = np.abs(slots - nominal_slots(36, 1) - np.median(slots - nominal_slots(36, 1))) > 1.5
        assert (off[~again] >= half + HALF - 0.01).all()


@pytest.mark.slow
@pytest.mark.parametrize(("name", "made", "action"), RESCUES, ids=[name for name, *_ in RESCUES])
def test_the_written_jobs_build_and_measure_back(tmp_path: Path, name: str, made: object, action: str) -> None:
    slots = made()  # type: ignore[operator]
    spoiled, new = rescued(tmp_path, slots)
    result = build_job(new, tmp_path / "out", fem=False)
    assert result.verdict != "fail", name
    job = load_job(new)
    back = measure(MeasureAsked((tmp_path / "out" / job.job / "wheel.stl",), job=new))
    assert (back.wheel.teeth, back.wheel.missing) == (job.wheel.teeth, job.wheel.missing)
    assert back.mechanism.name == "sound"
    assert back.wheel.total_cumulative_deg < 0.004
    swallowed(slots, np.asarray(back.wheel.tooth_edges_deg), float(back.wheel.reading.rim_radius_mm or 0.0), spoiled)
    assert action


def test_a_spoiled_mesh_whose_gap_is_cut(tmp_path: Path) -> None:
    slots = forgotten((12,))
    file = write_stl(tmp_path / "w.stl", extruded(wheel_polygon(list(slots), 1, radius=80.0, points=720), 0.0, 3.2))
    measured = measure(MeasureAsked((file,), job=SIX))
    assert measured.mechanism.name == "part-turn-forgotten"
    assert measured.mechanism.where == (12,)
    assert "move-gap" not in by_action(measured)  # a tooth that is gone stays gone
    assert {"use", "recut"} <= set(by_action(measured))
