"""Cutting wrong slots again where they belong: the slot gets wider, the tooth beside it narrower, one side comes
right."""

from __future__ import annotations

import numpy as np

from wheelcad.measure.advice import NARROWEST, Advice, Case, good_slot, numbers, offset, setting, teeth_of
from wheelcad.measure.advice_signal import syncs
from wheelcad.measure.timing import timing_error
from wheelcad.words import angle

LEAST_DEG = 0.1  # nearer than this nobody can set a cutter again
MOST_SHOWN = 8


def recut(case: Case) -> list[Advice]:
    """Cut every wrong slot again; nothing where a sliver would stay, a tooth get too thin, or no slot is wrong."""
    base = offset(case.errors)
    off = case.errors - base
    least = max(LEAST_DEG, 2 * case.wheel.uncertainty_deg)
    wrong = np.flatnonzero(np.abs(off) > least)
    if not len(wrong) or len(wrong) == len(off):
        return []
    tooth = case.pitch_deg - case.slot_deg
    if float(np.abs(off[wrong]).max()) >= min(case.slot_deg, (1 - NARROWEST) * tooth):
        return []
    low, high = np.minimum(off, 0.0), np.maximum(off, 0.0)  # how far each slot reaches beyond its right place
    low[np.abs(off) <= least] = off[np.abs(off) <= least]
    high[np.abs(off) <= least] = off[np.abs(off) <= least]
    # a tooth's leading edge (higher angle) is the lower side of the slot above it, its trailing edge the upper of the
    # one below
    sides = {"leading": low, "trailing": high}
    wanted = _times_on(case)
    best: tuple[float, str, dict[int, float]] | None = None
    for name, errors in sides.items():
        if wanted in sides and name != wanted:
            continue
        centres, own = teeth_of(case, errors)
        error, by = timing_error(centres - own, own, case.job)
        if best is None or error < best[0]:
            best = (error, name, dict(by))
    if wanted == "centre":
        centres, own = teeth_of(case, (low + high) / 2)
        error, by = timing_error(centres - own, own, case.job)
        best = (error, "centre", dict(by))
    assert best is not None
    places = "; ".join(setting(case, int(k)) for k in wrong[:MOST_SHOWN])
    more = f" … and {len(wrong) - MOST_SHOWN} more, a pitch apart" if len(wrong) > MOST_SHOWN else ""
    good = good_slot(case, base)
    what = (
        f"set the table by slot {good + 1}, which stands where it should ({setting(case, good)}), then cut again with "
        f"the same cutter: {places}{more}. {numbers((wrong + 1).tolist())} come out up to "
        f"{angle(float(np.abs(off[wrong]).max()))} wider; "
    )
    if best[1] == "centre":
        what += "a sensor that times on the tooth's centre keeps half of the error"
    else:
        what += f"let the controller time on the {best[1]} edge, which comes right"
    centres, _ = teeth_of(case, (low + high) / 2)
    missing = case.missing if not case.gap_open else 0
    works = syncs(centres, case.teeth, missing, case.job) or case.gap_open
    return [Advice("recut", what, best[0], works, by_cylinder=best[2])]


def _times_on(case: Case) -> str:
    sensor = None if case.job is None else case.job.sensor
    if sensor is None:
        return ""
    return sensor.times_on or (
        "" if sensor.kind == "hall" else "centre"
    )  # with Hall, the controller may be told either
