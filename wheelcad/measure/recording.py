"""A wheel from a recording of its sensor, on the engine, with nothing taken apart; or from the times of its teeth.

The sensor's two wires go to the sound card's line input through a resistor divider (see `how.CAUTIONS`); a few
turns on the starter or at idle are enough, ten seconds are better.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.measure.crossings import Passes, find_passes, read_wav
from wheelcad.measure.how import CAUTIONS
from wheelcad.measure.reading import WheelReading, refused
from wheelcad.measure.ripple import NoTurnError, Ripple, Turns, find_turns, fit_ripple, in_few_steps
from wheelcad.trade.frames import wrap_360

MOST_MISSING = 6
PLANE_95 = 2.448  # standard deviations round a point of a plane that hold 95 %
RUNOUT = ("runout_mm", "runout_95_mm")  # of a recording's level, None where no diameter is known
WEAK = 0.7  # of the median level: a tooth below this is called weak


def wav_reading(path: Path, diameter_mm: float | None = None) -> WheelReading:
    """What a recording says. JobFileError, one sentence, for noise, silence, or a wheel without a gap."""
    rate, samples = read_wav(path)
    passes = find_passes(path, rate, samples)
    try:
        if passes.square:
            return _hall(passes)
        return _reluctance(passes, diameter_mm)
    except NoTurnError as error:
        raise refused(path, f"shows no wheel: {error}") from None


def times_reading(path: Path | str, times_s: Floats) -> WheelReading:
    """What a list of the moments at which teeth passed says."""
    try:
        turns = find_turns(times_s)
        if turns.split:
            return _reading(times_s, turns, swapped=True, between=True, height=None, diameter_mm=None)
        return _reading(times_s, turns, swapped=False, between=False, height=None, diameter_mm=None)
    except NoTurnError as error:
        raise refused(path, f"shows no wheel: {error}") from None


def _reluctance(passes: Passes, diameter_mm: float | None) -> WheelReading:
    """Choose the crossings that stand at the teeth: theirs is the gap that shows whole."""
    found: list[tuple[bool, Turns, Floats]] = []
    why = NoTurnError("no gap comes again every turn")
    for swapped, times in ((False, passes.falls), (True, passes.rises)):
        try:
            found.append((swapped, find_turns(times), times))
        except NoTurnError as error:
            why = error
    whole = [one for one in found if not one[1].split]
    if not whole:
        raise why if not found else NoTurnError("the gap shows at neither of the two crossings of a tooth")
    swapped, turns, times = max(whole, key=lambda one: one[1].ratio)
    return _reading(times, turns, swapped, False, passes.height, diameter_mm)


def _reading(
    times: Floats, turns: Turns, swapped: bool, between: bool, height: Floats | None, diameter_mm: float | None
) -> WheelReading:
    missing, ripple, angles, shared = _placed(turns, between)
    degrees = np.degrees(angles)
    pitch = 360.0 / (turns.per_turn + missing)
    if between:  # crossings between teeth, the last one in the middle of the gap: teeth lie midway between them
        slots = degrees[:-1] if len(degrees) > 1 else degrees
        inner = (slots[1:] + slots[:-1]) / 2
        degrees = np.concatenate([[slots[0] - pitch / 2], inner, [slots[-1] + pitch / 2]])
    centres = wrap_360(-degrees)  # teeth pass in the order of falling angle
    sd = float(np.degrees(2 * np.pi * np.sqrt(np.mean(turns.sd**2))))
    extra: dict[str, Any] = {
        "speed_rpm": 60.0 / float(turns.seconds.mean()),
        "dip": _dip(times, turns, angles),
        "wires_swapped": swapped,
        "level": None if height is None else _level(height, times, turns, angles, diameter_mm, pitch),
    }
    notes: tuple[str, ...] = (
        f"{len(turns.seconds)} turns laid over each other; ripple of order {_orders(ripple)} taken out",
    )
    if height is not None:  # heard by a sound card, and perhaps again
        notes += CAUTIONS
    return WheelReading(
        "recording",
        None,
        float(np.hypot(sd, shared)) / np.sqrt(2),
        tooth_centres_deg=centres,
        notes=notes,
        extra=extra,
    )


def _orders(ripple: Ripple) -> str:
    return ", ".join(str(h) for h in sorted(ripple.orders)) or "none"


def _placed(turns: Turns, between: bool) -> tuple[int, Ripple, Floats, float]:
    """(missing teeth, ripple, tooth angles in radians, what the ripple's orders may hide in degrees), of the number of
    missing teeth that leaves the least steps."""
    noise = float(2 * np.pi * np.sqrt(np.mean(turns.sd**2)))
    best: tuple[float, int, Ripple, Floats] | None = None
    for missing in range(1, MOST_MISSING + 1):
        wide = (missing + 2) / 2 if between else missing + 1.0
        if not 0.55 < turns.ratio * (1.5 if between else 1.0) / wide < 1.8:
            continue
        count = turns.per_turn + missing
        nominal: Floats = np.asarray(2 * np.pi / count * np.arange(turns.per_turn), dtype=float)
        if between:
            nominal[-1] += np.pi / count * missing
        ripple, angles, cost = fit_ripple(turns.share, nominal, noise)
        if best is None or cost * count < best[0]:
            best = (cost * count, missing, ripple, angles - nominal)
    if best is None:
        raise NoTurnError("the gap is no whole number of teeth wide")
    _, missing, ripple, left = best
    nominal = np.asarray(2 * np.pi / (turns.per_turn + missing) * np.arange(turns.per_turn), dtype=float)
    rest = left - left.mean()
    own = 0.0 if in_few_steps(rest) else max(0.0, float(np.mean(rest**2)) - noise**2)
    hidden = np.degrees(np.sqrt(own * 2 * len(ripple.orders) / len(rest)))
    return missing, ripple, (nominal + left if not between else _between(nominal, left, turns, missing)), float(hidden)


def _between(nominal: Floats, left: Floats, turns: Turns, missing: int) -> Floats:
    out = nominal + left
    out[-1] += np.pi / (turns.per_turn + missing) * missing
    return np.asarray(out)


def _dip(times: Floats, turns: Turns, angles: Floats) -> float:
    """Slowest speed over the mean by time, from the mean interval of every tooth in odd and in even turns."""
    way = np.diff(angles, append=angles[0] + 2 * np.pi)
    rows = np.array([np.diff(times[s : s + turns.per_turn + 1]) for s in turns.starts])
    speed = way / rows * turns.seconds[:, None] / (2 * np.pi)
    parity = (turns.starts - turns.starts[0]) // turns.per_turn % 2
    slowest = [float(np.median(speed[parity == p], axis=0).min()) for p in (0, 1) if (parity == p).any()]
    return min(slowest)


def _level(
    height: Floats, times: Floats, turns: Turns, angles: Floats, diameter_mm: float | None, pitch_deg: float
) -> dict[str, Any]:
    """The signal's height tooth by tooth, speed taken out; weak teeth; run-out from its wave once a turn.

    The voltage falls with the gap as exp(-2π·gap/λ), λ the tooth pitch at the rim: a model, from memory of magnetic
    recording, and its optimistic end; runout_95_mm holds what single teeth scatter about that wave, not what the model
    is off. Teeth are numbered in the order in which they pass, from the gap on.
    """
    n = turns.per_turn
    rows = np.array([height[s : s + n] for s in turns.starts if s + n <= len(height)])
    if not len(rows):
        nothing: dict[str, Any] = {"of_full_scale": float(np.median(height)) / 2, "weakest": None, "weak_teeth": []}
        return nothing | dict.fromkeys(RUNOUT)
    before = np.diff(angles, prepend=angles[-1] - 2 * np.pi)
    gaps = np.array([np.diff(times[s - 1 : s + n]) if s > 0 else np.full(n, np.nan) for s in turns.starts[: len(rows)]])
    after = np.diff(angles, append=angles[0] + 2 * np.pi)
    next_gaps = np.array([np.diff(times[s : s + n + 1]) for s in turns.starts[: len(rows)]])
    speed = np.nanmean([before / gaps, after / next_gaps], axis=0)
    level = np.nanmedian(rows / speed, axis=0)
    level = level / float(np.median(level))
    inner = level[1:-1]  # the teeth beside the gap give larger lobes
    wave = np.column_stack([np.ones(n - 2), np.cos(angles[1:-1]), np.sin(angles[1:-1])])
    heights = np.log(np.maximum(inner, 1e-3))
    parts = np.linalg.lstsq(wave, heights, rcond=None)[0]
    runout = within = None
    if diameter_mm is not None:
        to_mm = 2 * diameter_mm * np.radians(pitch_deg) / 2 / (2 * np.pi)
        runout = float(np.hypot(parts[1], parts[2])) * to_mm
        scatter = float(np.std(heights - wave @ parts)) * np.sqrt(len(inner) / max(len(inner) - 3, 1))
        within = PLANE_95 * scatter * float(np.sqrt(2 / len(inner))) * to_mm
    return {
        "of_full_scale": float(np.median(rows)) / 2,
        "weakest": float(level.min()),
        "weak_teeth": (np.flatnonzero(level < WEAK) + 1).tolist(),
        "runout_mm": runout,
        "runout_95_mm": within,
    }


def _hall(passes: Passes) -> WheelReading:
    """Both edges of every tooth: the level that the gap holds is the one without iron."""
    falls, rises = passes.falls, passes.rises
    turns = find_turns(falls)
    _, ripple, angles, shared = _placed(turns, False)
    rows = []
    for s, seconds in zip(turns.starts, turns.seconds, strict=True):
        if s + turns.per_turn <= len(rises):
            rows.append((rises[s : s + turns.per_turn] - falls[s]) / seconds)
    other = ripple.angles(np.mean(rows, axis=0))  # rise after each fall
    first, second = np.degrees(angles), np.degrees(other)
    low_in_gap = (360.0 + first[0] - second[-1]) < (second[-1] - first[-1])
    if low_in_gap:  # the long stretch lies between the last fall and its rise: a tooth is high, from rise to fall
        second = np.roll(second, 1)
        second[0] -= 360.0
        first, second = second, first
    edges = wrap_360(np.column_stack([-second, -first]))
    sd = float(np.degrees(2 * np.pi * np.sqrt(np.mean(turns.sd**2))))
    extra = {
        "speed_rpm": 60.0 / float(turns.seconds.mean()),
        "dip": _dip(falls, turns, angles),
        "wires_swapped": False,
        "level": None,
    }
    note = f"a Hall sensor's two levels, {len(turns.seconds)} turns; ripple of order {_orders(ripple)} taken out"
    return WheelReading(
        "recording", None, float(np.hypot(sd, shared)) / np.sqrt(2), edges_deg=edges, notes=(note,), extra=extra
    )
