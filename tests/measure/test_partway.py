"""Wheels part way through: measured, told apart from gaps, and how to carry on."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.measure.pictures import save_picture, scanned
from tests.measure.wheels import extruded, nominal_slots, wheel_polygon, wrapped, write_stl
from wheelcad.errors import JobFileError
from wheelcad.measure.command import MeasureAsked, measure
from wheelcad.measure.partway import part_voids, positions


def listed(folder: Path, slots: np.ndarray) -> Path:
    file = folder / "cut.csv"
    file.write_text("slot_deg\n" + "\n".join(f"{slot:.2f}" for slot in slots), encoding="utf-8")
    return file


@pytest.mark.parametrize(("pattern", "made"), [((36, 1), 18), ((36, 1), 30), ((60, 2), 24), ((24, 1), 8), ((12, 1), 7)])
def test_a_list_of_the_slots_so_far_is_measured(tmp_path: Path, pattern: tuple[int, int], made: int) -> None:
    rng = np.random.default_rng([*pattern, made])
    slots = (nominal_slots(*pattern) + rng.normal(0, 0.02, pattern[0] - pattern[1] + 1))[:made]
    found = measure(MeasureAsked((listed(tmp_path, slots),), pattern=f"{pattern[0]}-{pattern[1]}", ratio=40))
    wheel = found.wheel
    assert (wheel.teeth, wheel.missing, len(wheel.at_deg)) == (*pattern, made)
    assert wheel.uncut == pattern[0] - pattern[1] + 1 - made
    assert found.mechanism.name == "sound"
    pitch = 360 / pattern[0]
    at = (pattern[1] / 2 + made) * pitch
    assert found.advice[0].what.startswith(f"carry on: {made} slots of")
    assert f"cut {made + 1} next, at {at:g}°" in "\n".join(found.lines())
    assert "part way through" in found.lines()[0]


def test_a_part_turn_forgotten_shows_before_the_wheel_is_whole(tmp_path: Path) -> None:
    rng = np.random.default_rng(8)
    slots = (nominal_slots(36, 1) + rng.normal(0, 0.02, 36))[:20]
    slots[12:] -= 1.0
    found = measure(MeasureAsked((listed(tmp_path, slots),), pattern="36-1", ratio=40))
    assert (found.mechanism.name, found.mechanism.where) == ("part-turn-forgotten", (13,))
    said = "\n".join(found.lines())
    assert "8 slots of those cut stand wrong" in said
    assert "cut 21 next, at 205°" in said  # where the chart has it, the twelve right ones being the most
    assert any(one.action == "recut" for one in found.advice)


def test_without_a_name_the_pattern_is_told_or_asked_for(tmp_path: Path) -> None:
    rng = np.random.default_rng(9)
    assert positions(nominal_slots(36, 1)[:15] + rng.normal(0, 0.02, 15)) == 36
    assert positions(nominal_slots(36, 1)[:5]) is None
    with pytest.raises(JobFileError) as refused:  # 3 degrees of scatter on 6: 60 or 57 positions, nobody knows
        measure(MeasureAsked((listed(tmp_path, np.cumsum([0, 5.0, 7.4, 5.2, 6.9, 5.1, 7.2])),)))
    assert "--pattern" in str(refused.value) or "no even spacing" in str(refused.value)


def test_a_gap_is_a_void_and_what_is_uncut_is_metal() -> None:
    whole = np.column_stack([np.arange(8, 348, 10.0), np.arange(12, 352, 10.0)])  # a void of 20 degrees at the top
    assert part_voids(whole) is None
    part = np.vstack([whole[:15], [[whole[15, 0], 362.0]]])
    voids = part_voids(part)
    assert voids is not None
    assert len(voids) == 16


@pytest.mark.parametrize(("pattern", "made", "turned"), [((36, 1), 18, 40.0), ((24, 1), 15, 250.0)])
def test_a_scan_of_a_wheel_half_way_round(tmp_path: Path, pattern: tuple[int, int], made: int, turned: float) -> None:
    rng = np.random.default_rng([made, 3])
    slots = (nominal_slots(*pattern) + rng.normal(0, 0.05, pattern[0] - pattern[1] + 1))[:made]
    plate = wheel_polygon(list(slots), 0, points=720, bore=20.0)
    file = save_picture(tmp_path / "half.png", scanned(plate, 300, rng, turned=turned))
    found = measure(MeasureAsked((file,), pattern=f"{pattern[0]}-{pattern[1]}", dpi=300))
    assert (found.wheel.teeth, len(found.wheel.at_deg)) == (pattern[0], made)
    off = found.wheel.at_deg - found.wheel.at_deg[0] - (slots - slots[0])
    assert np.abs(wrapped(off)).max() < 0.1


def test_a_mesh_of_a_wheel_half_way_round(tmp_path: Path) -> None:
    rng = np.random.default_rng(17)
    slots = (nominal_slots(36, 1) + rng.normal(0, 0.05, 36))[:20]
    file = tmp_path / "half.stl"
    write_stl(file, extruded(wheel_polygon(list(slots), 0, bore=20.0), 0.0, 6.0))
    found = measure(MeasureAsked((file,), pattern="36-1"))
    assert (found.wheel.teeth, len(found.wheel.at_deg), found.wheel.uncut) == (36, 20, 16)
    off = found.wheel.at_deg - found.wheel.at_deg[0] - (slots - slots[0])
    assert np.abs(wrapped(off)).max() < 0.004
