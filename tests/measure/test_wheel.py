"""Pattern, zero, order and pitch errors, from angles alone."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.measure.wheels import from_gap, nominal_slots, wrapped
from wheelcad.errors import JobFileError
from wheelcad.measure.angles import angles_reading, read_column
from wheelcad.measure.pattern import find_pattern, steps_round
from wheelcad.measure.reading import WheelReading
from wheelcad.measure.wheel import MeasuredWheel, NoWheelError, measured_wheel


def edges_of(slots: np.ndarray, missing: int, width: float = 4.6) -> np.ndarray:
    """Tooth edges between slots, the gap cleared."""
    start, end = slots + width / 2, np.roll(slots, -1) - width / 2
    edges = np.column_stack([start, end])
    edges[-1, 1] += 360
    return edges[:-1] if missing else edges


def measured(slots: np.ndarray, missing: int, turned: float = 0.0) -> MeasuredWheel:
    edges = edges_of(slots, missing) + turned
    order = np.argsort(np.mod(edges[:, 0], 360.0))
    return measured_wheel(WheelReading("mesh", "bore", 0.01, edges_deg=np.mod(edges[order], 360.0)))


@pytest.mark.parametrize(("teeth", "missing"), [(12, 1), (18, 1), (24, 1), (36, 1), (36, 2), (60, 2), (30, 4), (48, 0)])
@pytest.mark.parametrize("turned", [0.0, 123.4, 359.9])
def test_pattern_zero_and_order(teeth: int, missing: int, turned: float) -> None:
    rng = np.random.default_rng([teeth, missing])
    slots = nominal_slots(teeth, missing) + rng.normal(0, 0.2 * 10 / teeth, teeth - missing + 1 if missing else teeth)
    wheel = measured(slots, missing, turned)
    assert (wheel.teeth, wheel.missing) == (teeth, missing)
    if missing:
        assert np.abs(wrapped(wheel.slot_centres_deg - from_gap(slots))).max() < 1e-9
        assert wheel.cumulative_deg == pytest.approx(slots - slots[0] - 360 / teeth * np.arange(len(slots)), abs=1e-9)
    assert wheel.single_deg.sum() == pytest.approx(0.0, abs=1e-9)  # the circle closes
    assert wheel.total_cumulative_deg == pytest.approx(np.ptp(wheel.cumulative_deg))
    assert wheel.single_pitch_max_deg == pytest.approx(np.abs(wheel.single_deg).max())


def test_pitch_errors_by_hand() -> None:
    # ISO 1328-1's terms on four positions: slots at 0, 91, 179, 270
    slots = np.array([0.0, 91.0, 179.0, 270.0])
    wheel = measured_wheel(WheelReading("angles", None, 0.0, slots_deg=slots))
    assert wheel.cumulative_deg == pytest.approx([0, 1, -1, 0])
    assert wheel.single_deg == pytest.approx([0, 1, -2, 1])
    assert wheel.single_pitch_max_deg == pytest.approx(2)
    assert wheel.total_cumulative_deg == pytest.approx(2)


def test_a_spoiled_wheel_keeps_its_pattern() -> None:
    slots = nominal_slots(36, 1)
    for cut in (8, 15, 30):
        slots[cut - 1 :] -= 1.0
    wheel = measured(slots, 1)
    assert (wheel.teeth, wheel.missing) == (36, 1)
    assert wheel.cumulative_deg[-1] == pytest.approx(-3.0)


def test_several_gaps() -> None:
    there = np.ones(36, dtype=bool)
    there[[0, 1, 12, 24, 25]] = False
    centres = 10.0 * np.flatnonzero(there)
    wheel = measured_wheel(WheelReading("mesh", "rim", 0.0, edges_deg=np.column_stack([centres - 2.5, centres + 2.5])))
    assert (wheel.teeth, wheel.missing) == (36, 5)
    assert wheel.gap_units == 3
    assert np.abs(wheel.cumulative_deg).max() < 1e-9


def test_what_is_no_wheel_is_refused() -> None:
    rng = np.random.default_rng(1)
    for count in (3, 9, 20):
        centres = np.sort(rng.uniform(0, 360, count))
        with pytest.raises(NoWheelError, match="even spacing"):
            measured_wheel(WheelReading("mesh", "rim", 0.0, edges_deg=np.column_stack([centres - 0.5, centres + 0.5])))


def test_patterns_are_told_from_their_neighbours() -> None:
    for teeth in range(12, 61):
        for missing in (0, 1, 2, 3):
            kept = np.sort(np.arange(missing, teeth) * 360.0 / teeth)
            found = find_pattern(steps_round(kept))
            assert found is not None
            assert found.teeth == teeth


def test_angles_from_a_file(tmp_path: Path) -> None:
    file = tmp_path / "a.csv"
    file.write_text("cut;slot_deg\n" + "\n".join(f"{k};{str(5.0 + 10 * k).replace('.', ',')}" for k in range(36)))
    column, values, step = read_column(file)
    assert (column, step) == ("slot_deg", 0.1)
    wheel = measured_wheel(angles_reading(file, column, values, step), (36, 1))
    assert (wheel.teeth, wheel.missing) == (36, 1)
    assert wheel.slot_centres_deg[0] == pytest.approx(5.0)
    assert wheel.uncertainty_deg < 0.1


def test_typed_angles_and_edges(tmp_path: Path) -> None:
    typed = tmp_path / "typed.txt"
    typed.write_text("6 12 18, 24; 30\n" + " ".join(str(v) for v in range(36, 355, 6)) + "\n")
    column, values, _ = read_column(typed)
    assert column == "slot_deg"
    assert len(values) == 59
    wheel = measured_wheel(angles_reading(typed, column, values, 0.1))
    assert (wheel.teeth, wheel.missing) == (60, 2)
    edges = tmp_path / "edges.csv"
    flat = edges_of(nominal_slots(36, 1), 1).ravel()
    edges.write_text("edge_deg\n" + "\n".join(f"{v:.3f}" for v in np.roll(flat, 7)))
    column, values, step = read_column(edges)
    wheel = measured_wheel(angles_reading(edges, column, values, step))
    assert (wheel.teeth, wheel.missing) == (36, 1)
    assert np.abs(wheel.cumulative_deg).max() < 0.01


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no numbers"),
        ("angle\n5\n", "none of the columns"),
        ("slot_deg\n5\nfive\n", "no number"),
        ("slot_deg\n5\nnan\n", "no number"),
        ("slot_deg\n5\n15\n", "at least four"),
        ("edge_deg\n1\n2\n3\n4\n5\n", "come in pairs"),
    ],
)
def test_lists_that_cannot_be(tmp_path: Path, text: str, said: str) -> None:
    file = tmp_path / "bad.csv"
    file.write_text(text)
    with pytest.raises(JobFileError, match=said):
        column, values, step = read_column(file)
        angles_reading(file, column, values, step)


def test_one_slots_interval_covers() -> None:
    # 1,000 wheels read with a known scatter: the stated 95 % holds in 93 to 97 %
    rng = np.random.default_rng(3)
    held, total = 0, 0
    slots = nominal_slots(36, 1)
    for _ in range(1000):
        sd = 0.05
        seen = slots + rng.normal(0, sd, len(slots))
        edges = edges_of(seen, 1)
        wheel = measured_wheel(WheelReading("mesh", "bore", sd, edges_deg=np.mod(edges, 360.0)))
        off = np.abs(wrapped(wheel.slot_centres_deg - slots))
        held += int((off <= wheel.uncertainty_deg).sum())
        total += len(off)
    assert 0.93 <= held / total <= 0.97
