"""How to carry on with a wheel part way through, and what it will be once the rest is cut."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from wheelcad.measure.advice import Advice, Case, offset, table_words, use
from wheelcad.measure.wheel import pitch_errors
from wheelcad.words import angle, count

LEAST_DEG = 0.1  # nearer than this nobody sets a cutter again


def completed(case: Case) -> Case:
    """The case of the wheel with its other slots cut where most of those that are cut say they belong."""
    wheel = case.wheel
    base = offset(case.errors)
    whole = len(case.nominal_deg) + wheel.uncut
    cut = np.rint((case.nominal_deg - case.nominal_deg[0]) / case.pitch_deg).astype(int)
    rest = np.setdiff1d(np.arange(whole), cut)
    places = np.concatenate([cut, rest])
    order = np.argsort(places)
    errors = np.concatenate([case.errors, np.full(len(rest), base)])[order]
    nominal = case.nominal_deg[0] + places[order] * case.pitch_deg
    at = nominal + errors
    single, cumulative = pitch_errors(at, places[order], wheel.teeth)
    made = replace(
        wheel,
        at_deg=at,
        nominal=places[order],
        single_deg=single,
        cumulative_deg=cumulative,
        uncut=0,
        gap_cleared=False,
    )
    return replace(case, wheel=made, nominal_deg=nominal, errors=errors)


def carry_on(case: Case, done: Case) -> Advice:
    """The next cut and its setting; the timing error is that of the wheel once it is whole."""
    wheel, base = case.wheel, offset(case.errors)
    cut = np.rint((case.nominal_deg - case.nominal_deg[0]) / case.pitch_deg).astype(int)
    following = int(np.setdiff1d(np.arange(len(done.errors)), cut)[0])
    later = use(done)
    said = f"carry on: {count(len(cut), 'slot')} of {len(done.errors)} {'is' if len(cut) == 1 else 'are'} cut; "
    wrong = int((np.abs(case.errors - base) > max(LEAST_DEG, 2 * wheel.uncertainty_deg)).sum())
    base = base if abs(base) > LEAST_DEG else 0.0
    place = (case.missing / 2 + following) * case.pitch_deg + base
    said += f"cut {following + 1} next, {table_words(case, place)} from the gap's middle"
    if base:
        said += f", {angle(base, 3)} beside the chart as most of the cuts are"
    if wrong:
        said += (
            f". {count(wrong, 'slot')} of those cut {'stands' if wrong == 1 else 'stand'} wrong: before the next cut "
            "set the table by a slot that is right"
        )
    said += f". With the rest cut right, {later.what.removeprefix('use it as it is: ')}"
    return Advice("use", said, later.timing_error_deg, later.syncs, by_cylinder=later.by_cylinder)
