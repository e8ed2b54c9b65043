"""Which reading cannot be true: Baarda's data snooping, with every refit done in full.

Each reading's w is its residual over that residual's own standard deviation; of sound readings it exceeds the critical
value in one survey of 200, whatever their number (Šidák). Where one does, every reading in turn is left out and the
rest is fitted anew from every start, so that a wrong reading cannot hide behind the wrong one of two answers. Readings
whose leaving out does about equally much good cannot be told apart, and are named together.
W. Baarda, A testing procedure for use in geodetic networks, 1968 (from memory).
"""

from __future__ import annotations

import numpy as np
from scipy.stats import norm

from wheelcad.arrays import Floats
from wheelcad.survey.adjust import Net, NetFit, fits, starting_places
from wheelcad.survey.model import Distances, Suspect

FALSE_ALARM = 0.005  # of sound surveys blamed
TIED = 5.0  # chi²: readings whose leaving out is worse by less than this (odds of 12 to 1) are not told apart
MOST_WRONG = 2
LOOKED_AT_ANEW = 2  # of the best explanations
UNCHECKED = 0.02  # a reading with less redundancy than this is checked by nothing


def critical(count: int) -> float:
    """The value that |w| of one of `count` sound readings exceeds in one survey of 200."""
    each = 1.0 - (1.0 - FALSE_ALARM) ** (1.0 / max(count, 1))
    return float(norm.isf(each / 2))


def redundancy(directions: Floats) -> Floats:
    """Share of each reading that the others check, 0 to 1: 1 less the leverage. directions: (n, unknowns)."""
    u, s, _ = np.linalg.svd(directions, full_matrices=False)
    kept = u[:, s > 1e-9 * s.max(initial=1.0)]
    return np.asarray(np.clip(1.0 - (kept**2).sum(axis=1), 0.0, 1.0), dtype=float)


def worst_w(net: Net, fit: NetFit) -> float:
    """The greatest |w| of a fit; 0 where nothing is checked."""
    share = redundancy(net.directions(fit.at))
    checked = share > UNCHECKED
    if not checked.any():
        return 0.0
    return float((np.abs(net.residuals(fit.at))[checked] / np.sqrt(share[checked])).max())


def sound(net: Net, fit: NetFit) -> bool:
    """Whether no reading is one that cannot be true."""
    return worst_w(net, fit) <= critical(len(net.read))


def snoop(
    given: Distances, first: list[NetFit]
) -> tuple[tuple[tuple[Suspect, ...], ...], frozenset[int], list[NetFit]]:
    """Groups of suspects, the readings left out, and the minima of what is left (of `first` when all are sound)."""
    groups: list[tuple[Suspect, ...]] = []
    dropped: frozenset[int] = frozenset()
    minima = first
    while not sound(Net(given.without(dropped)), minima[0]) and len(groups) < MOST_WRONG:
        starts = [fit.at for fit in first] + [fit.at for fit in minima]
        trials: list[tuple[float, int, list[NetFit]]] = []
        for k in range(len(given.readings)):
            if k in dropped:
                continue
            net = Net(given.without(dropped | {k}))
            if len(net.read) < net.unknowns:
                continue
            found = fits(net, starts)
            trials.append((found[0].chi2, k, found))
        if not trials:
            break
        trials.sort(key=lambda trial: trial[0])
        trials = [_anew(given, dropped, trial) for trial in trials[:LOOKED_AT_ANEW]] + trials[LOOKED_AT_ANEW:]
        trials.sort(key=lambda trial: trial[0])
        best = trials[0][0]
        tied = [trial for trial in trials if trial[0] <= best + TIED]
        group = [_suspect(given, k, found[0]) for _, k, found in tied]
        groups.append(tuple(group))  # the likeliest first
        if len(tied) > 1:
            return tuple(groups), dropped, minima  # nobody can say which, so none is left out
        dropped, minima = dropped | {tied[0][1]}, tied[0][2]
    return tuple(groups), dropped, minima


def _anew(
    given: Distances, dropped: frozenset[int], trial: tuple[float, int, list[NetFit]]
) -> tuple[float, int, list[NetFit]]:
    """A trial with every start of its own: a mirror image that the reading ruled out is a minimum only without it."""
    net = Net(given.without(dropped | {trial[1]}))
    found = fits(net, [*(fit.at for fit in trial[2]), *starting_places(net)])
    return found[0].chi2, trial[1], found


def _suspect(given: Distances, k: int, fit: NetFit) -> Suspect:
    """Reading k beside what the fit without it gives."""
    off = given.readings[k].is_mm - float(Net(given).lengths(fit.at)[k])
    return Suspect(given.readings[k], off)
