"""Wheels from recordings: synthesised voltages of known wheels under a crank whose speed dips."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.io import wavfile

from tests.measure.sounds import crank_angles, reluctance, write_wav
from wheelcad.docs.build import _scanning
from wheelcad.errors import JobFileError
from wheelcad.measure.how import MEASURE_HELP
from wheelcad.measure.mechanism import find_mechanism
from wheelcad.measure.reading import WheelReading
from wheelcad.measure.recording import times_reading, wav_reading
from wheelcad.measure.wheel import measured_wheel

RATE = 44100
SWING = 0.3  # the slowest moment at 0.7 of the mean over the angle
WITHIN_DEG = 0.15
RNG = np.random.default_rng(9)


def tooth_places(teeth: int, missing: int) -> np.ndarray:
    """Centres of the teeth from the gap's middle."""
    return 360.0 / teeth * (np.arange(teeth - missing) + (missing + 1) / 2)


def found_errors(reading: WheelReading, teeth: np.ndarray) -> np.ndarray:
    """Measured less true places of the teeth, the mean taken out."""
    assert reading.tooth_centres_deg is not None
    rising = np.sort(reading.tooth_centres_deg)
    start = int(np.argmax(np.diff(rising, append=rising[0] + 360))) + 1
    order = np.unwrap(np.roll(rising, -start), period=360.0)
    off = order - teeth
    return off - off.mean()


CASES = [
    (36, 1, 2, False, "white"),
    (36, 1, 3, True, "step"),
    (60, 2, 2, True, "white"),
    (12, 1, 2, False, "step"),
    (36, 2, 4, True, "white"),
    (24, 1, 1, False, "step"),
]


def recorded(case: tuple[int, int, int, bool, str], tmp_path: Path, seed: int) -> tuple[WheelReading, np.ndarray]:
    teeth, missing, order, swapped, kind = case
    rng = np.random.default_rng([teeth, missing, order, seed])
    places = tooth_places(teeth, missing)
    n = len(places)
    places = places + (rng.normal(0, 0.1, n) if kind == "white" else np.where(np.arange(n) > n // 3, -1.0, 0.0))
    angle = crank_angles(6, RATE, rng.uniform(180, 300), SWING, order, rng.uniform(0, 6))
    voltage = reluctance(angle, places, 360 / teeth * 0.25) * (-1 if swapped else 1)
    return wav_reading(write_wav(tmp_path / "r.wav", RATE, voltage, 0.03, rng), 160.0), places


def check(case: tuple[int, int, int, bool, str], tmp_path: Path, seed: int) -> None:
    reading, places = recorded(case, tmp_path, seed)
    wheel = measured_wheel(reading)
    assert (wheel.teeth, wheel.missing) == case[:2]
    assert reading.extra["wires_swapped"] is case[3]
    assert np.abs(found_errors(reading, places)).max() < WITHIN_DEG
    # slowest over the mean by time, which is √(1 - s²) of the mean over the angle
    assert reading.extra["dip"] == pytest.approx((1 - SWING) / np.sqrt(1 - SWING**2), abs=0.05)


@pytest.mark.parametrize("case", CASES, ids=lambda case: "-".join(map(str, case)))
def test_recordings(case: tuple[int, int, int, bool, str], tmp_path: Path) -> None:
    check(case, tmp_path, 0)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(1, 9))
@pytest.mark.parametrize("case", CASES, ids=lambda case: "-".join(map(str, case)))
def test_more_recordings(case: tuple[int, int, int, bool, str], tmp_path: Path, seed: int) -> None:
    check(case, tmp_path, seed)


def test_a_recording_tells_the_forgotten_part_turn(tmp_path: Path) -> None:
    reading, places = recorded((36, 1, 3, False, "step"), tmp_path, 4)
    wheel = measured_wheel(reading)
    centres, errors = wheel.tooth_errors_deg
    found = find_mechanism(errors, centres, reading.sd_deg * np.sqrt(2), 1.0, halves=True)
    assert found.name == "part-turn-forgotten"
    assert abs(found.where[0] - (len(places) // 3 + 2)) <= 1
    assert found.size_deg == pytest.approx(-1.0, abs=0.1)


def test_whoever_records_is_told_what_can_hurt(tmp_path: Path) -> None:
    reading, _ = recorded((36, 1, 3, False, "step"), tmp_path, 4)
    told = [" ".join(reading.notes), MEASURE_HELP, " ".join(_scanning().split())]
    for said in told:
        assert "put a divider" in said
        assert "ignition and fuel disabled" in said
    assert "divider" not in " ".join(times_reading("t", times_of(tooth_places(36, 1), 9, 1e-5, RNG)).notes)


def test_weak_teeth_and_run_out(tmp_path: Path) -> None:
    rng = np.random.default_rng(2)
    places = tooth_places(36, 1)
    pitch_mm = np.pi * 160.0 / 36
    gap = 0.1 * np.cos(np.radians(places - 70.0))  # a rim 0.1 mm off centre: 0.2 mm on an indicator
    levels = np.exp(-2 * np.pi * gap / pitch_mm)
    angle = crank_angles(6, RATE, 220.0, 0.15, 2, 1.0)
    file = write_wav(tmp_path / "r.wav", RATE, reluctance(angle, places, 2.5, levels), 0.005, rng)
    level = wav_reading(file, 160.0).extra["level"]
    assert level["weak_teeth"] == []
    assert level["runout_mm"] == pytest.approx(0.2, abs=0.05)
    assert level["runout_95_mm"] < 0.02
    levels[20] *= 0.4
    file = write_wav(tmp_path / "weak.wav", RATE, reluctance(angle, places, 2.5, levels), 0.005, rng)
    weak = wav_reading(file, 160.0).extra["level"]["weak_teeth"]
    assert weak == [35 - 20]  # teeth pass in the order of falling angle: the last placed is the first after the gap


def test_a_hall_sensor(tmp_path: Path) -> None:
    rng = np.random.default_rng(3)
    places = tooth_places(36, 1) + rng.normal(0, 0.2, 35)
    angle = crank_angles(6, RATE, 250.0, SWING, 3, 0.5)
    passing = (np.degrees(angle) % 360.0)[:, None]
    near = np.abs((passing + places[None, :] + 180.0) % 360.0 - 180.0).min(axis=1)
    for sign in (1, -1):
        file = write_wav(tmp_path / "h.wav", RATE, sign * np.where(near < 2.7, 1.0, -1.0), 0.02, rng)
        reading = wav_reading(file)
        wheel = measured_wheel(reading)
        assert (wheel.teeth, wheel.missing) == (36, 1)
        assert reading.edges_deg is not None
        start, end = reading.edges_deg.T
        centres = start + np.mod(end - start, 360.0) / 2
        off = found_errors(WheelReading("recording", None, 0.0, tooth_centres_deg=centres % 360.0), places)
        assert np.abs(off).max() < WITHIN_DEG
        assert wheel.slot_width_deg == pytest.approx(10.0 - 5.4, abs=0.15)


def times_of(places: np.ndarray, turns: int, jitter: float, rng: np.random.Generator) -> np.ndarray:
    """Moments at which teeth pass at an even speed of one turn a second."""
    one = np.sort(np.mod(-places, 360.0)) / 360.0
    return np.concatenate([one + k for k in range(turns)]) + rng.normal(0, jitter, turns * len(places))


def test_times_of_teeth() -> None:
    rng = np.random.default_rng(5)
    places = tooth_places(60, 2) + rng.normal(0, 0.1, 58)
    reading = times_reading("t.csv", times_of(places, 20, 1e-5, rng))
    wheel = measured_wheel(reading)
    assert (wheel.teeth, wheel.missing) == (60, 2)
    assert np.abs(found_errors(reading, places)).max() < 0.02
    assert reading.extra["speed_rpm"] == pytest.approx(60.0, rel=1e-3)


def covered(wheels: int, seed: int) -> float:
    """Share of tooth places within 1.96 standard deviations, over wheels heard with noise."""
    rng = np.random.default_rng(seed)
    held = total = 0
    for _ in range(wheels):
        places = tooth_places(36, 1) + rng.normal(0, 0.2, 35)
        reading = times_reading("t.csv", times_of(places, 16, 2e-4, rng))
        off = np.abs(found_errors(reading, places))
        held += int((off <= 1.96 * reading.sd_deg * np.sqrt(2)).sum())
        total += len(off)
    return held / total


def test_stated_intervals_hold() -> None:
    # 15 wheels: 525 intervals, which share the ripple of their own wheel
    assert 0.92 <= covered(15, 6) <= 0.98


@pytest.mark.slow
def test_stated_intervals_hold_in_a_thousand() -> None:
    assert 0.93 <= covered(1000, 7) <= 0.97


@pytest.mark.parametrize(
    ("made", "said"),
    [
        (lambda rng: rng.normal(0, 0.2, 6 * RATE), "no wheel|no teeth"),
        (lambda rng: np.zeros(6 * RATE), "silent"),
        (lambda rng: np.sin(np.arange(6 * RATE) / 40), "no gap|no pattern|the gap"),
        (lambda rng: np.ones(100), "too short"),
    ],
)
def test_what_is_no_recording(tmp_path: Path, made: object, said: str) -> None:
    data = made(np.random.default_rng(8))  # type: ignore[operator]
    wavfile.write(tmp_path / "x.wav", RATE, (data * 30000).clip(-32767, 32767).astype(np.int16))
    with pytest.raises(JobFileError, match=said):
        wav_reading(tmp_path / "x.wav")


def test_what_is_no_wav(tmp_path: Path) -> None:
    (tmp_path / "x.wav").write_bytes(b"RIFF nonsense")
    with pytest.raises(JobFileError, match="no WAV"):
        wav_reading(tmp_path / "x.wav")
