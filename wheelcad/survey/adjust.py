"""Least squares for distances: every place that could be meant, by starting from many, and how well it is fixed.

The unknowns are x, y of the sought points in a row. Residuals are in standard deviations of a reading, so that their
squares add up to chi². Slant readings are straight lines between points of known z.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from wheelcad.arrays import Floats
from wheelcad.survey.model import Distances

SAME_MM = 0.02  # answers closer than this are one
MOST_STARTS = 24
DIRECTIONS = 12  # starts all round the crank for what nothing better is known of
SHORTEST_MM = 1e-6  # a distance under this has no direction


class Net:
    """The readings as arrays: index of each end, reading, what z adds; points are numbered known first."""

    def __init__(self, given: Distances) -> None:
        self.given = given
        places = [given.known[name] for name in given.known]
        self.known = np.array(places, dtype=float).reshape(-1, 3)
        z = np.concatenate([self.known[:, 2], np.array(list(given.sought.values()), dtype=float)])
        index = {name: k for k, name in enumerate([*given.known, *given.sought])}
        self.start = np.array([index[reading.start] for reading in given.readings], dtype=int)
        self.end = np.array([index[reading.end] for reading in given.readings], dtype=int)
        self.read = np.array([reading.is_mm for reading in given.readings], dtype=float)
        slant = np.array([reading.slant for reading in given.readings], dtype=bool)
        self.rise = np.where(slant, z[self.end] - z[self.start], 0.0)
        # what a reading says as seen along the crank: what is less than its rise is taken as nothing
        self.level = np.sqrt(np.clip(self.read**2 - self.rise**2, 0.0, None))
        self.unknowns = 2 * len(given.sought)

    def offsets(self, at: Floats) -> Floats:
        """x, y from start to end of each reading, (n, 2)."""
        xy = np.vstack([self.known[:, :2], at.reshape(-1, 2)])
        return np.asarray(xy[self.end] - xy[self.start], dtype=float)

    def lengths(self, at: Floats) -> Floats:
        """The length of each reading between these places, mm."""
        return np.asarray(np.sqrt((self.offsets(at) ** 2).sum(axis=1) + self.rise**2), dtype=float)

    def residuals(self, at: Floats) -> Floats:
        """Fitted less read, in standard deviations."""
        return np.asarray((self.lengths(at) - self.read) / self.given.sd_mm, dtype=float)

    def directions(self, at: Floats) -> Floats:
        """Change of each length with each unknown, (n, unknowns): mm a mm."""
        return rows(self.offsets(at), self.lengths(at), self.start, self.end, len(self.known), self.unknowns)

    def jacobian(self, at: Floats) -> Floats:
        """Change of each residual with each unknown."""
        return self.directions(at) / self.given.sd_mm


def rows(
    offsets: Floats, lengths: Floats, start: NDArray[np.int_], end: NDArray[np.int_], known: int, unknowns: int
) -> Floats:
    """A row a reading: the change of its length with each unknown."""
    unit = offsets / np.maximum(lengths, SHORTEST_MM)[:, None]
    out = np.zeros((len(lengths), unknowns))
    which = np.arange(len(lengths))
    for ends, sign in ((start, -1.0), (end, 1.0)):
        free = ends >= known
        column = 2 * (ends[free] - known)
        out[which[free], column] += sign * unit[free, 0]
        out[which[free], column + 1] += sign * unit[free, 1]
    return out


@dataclass(frozen=True)
class NetFit:
    """Places that the readings cannot be bettered from by a small step: x, y in a row, and chi² there."""

    at: Floats
    chi2: float


def fits(net: Net, starts: Iterable[Floats]) -> list[NetFit]:
    """All different minima reached from the starts, best first."""
    found: list[NetFit] = []
    method = "lm" if len(net.read) >= net.unknowns else "trf"
    for start in starts:
        result = least_squares(net.residuals, start, net.jacobian, method=method, xtol=1e-12, ftol=1e-12, gtol=1e-12)
        at = np.asarray(result.x, dtype=float)
        if not any(np.abs(at - other.at).max() < SAME_MM for other in found):
            found.append(NetFit(at, float(2 * result.cost)))
    return sorted(found, key=lambda fit: fit.chi2)


def starting_places(net: Net) -> list[Floats]:
    """Where to start from: the meets of circles about points placed before, and places all round the crank."""
    partial: list[dict[int, Floats]] = [dict(enumerate(net.known[:, :2]))]
    left = set(range(len(net.known), len(net.known) + len(net.given.sought)))
    in_turn = True  # whether each point has two readings from points placed before
    while left:
        tied = {k: len(_circles(net, k, partial[0])) for k in left}
        point = max(sorted(left), key=lambda k: tied[k])
        left.discard(point)
        in_turn = in_turn and tied[point] >= 2
        grown = [
            {**placed, point: xy} for placed in partial for xy in _meets(_circles(net, point, placed), net.known[0, :2])
        ]
        partial = sorted(grown, key=lambda placed: _misfit(net, placed))[:MOST_STARTS]
    order = range(len(net.known), len(net.known) + len(net.given.sought))
    out = [np.concatenate([placed[k] for k in order]) for placed in partial]
    return out if in_turn else [*out, *_all_round(net)]


def _circles(net: Net, point: int, placed: dict[int, Floats]) -> list[tuple[Floats, float]]:
    """Middle and radius of the circle that each reading from a placed point says the point lies on."""
    out = []
    for a, b, level in zip(net.start.tolist(), net.end.tolist(), net.level.tolist(), strict=True):
        other = b if a == point else a if b == point else None
        if other is not None and other in placed and other != point:
            out.append((placed[other], level))
    return out


def _meets(circles: list[tuple[Floats, float]], middle: Floats) -> list[Floats]:
    """Where the circles of each pair meet, or come closest; with one circle, places all round it."""
    if len(circles) < 2:
        centre, radius = circles[0] if circles else (middle, 150.0)
        turn = np.arange(DIRECTIONS) * (2 * np.pi / DIRECTIONS)
        return [centre + radius * np.array([np.cos(t), np.sin(t)]) for t in turn]
    out: list[Floats] = []
    for (c0, r0), (c1, r1) in itertools.combinations(circles, 2):
        apart = float(np.linalg.norm(c1 - c0))
        if apart < SHORTEST_MM:
            continue
        along = (c1 - c0) / apart
        step = (apart**2 + r0**2 - r1**2) / (2 * apart)
        aside = np.sqrt(max(r0**2 - step**2, 0.0))
        if aside == 0.0:
            aside = 0.05 * r0  # a little to either side: exactly between them no step would leave the line
        across = np.array([-along[1], along[0]])
        out += [c0 + step * along + sign * aside * across for sign in (1.0, -1.0)]
    return _thinned(out) or [middle + np.array([100.0, 100.0])]


def _thinned(places: list[Floats], closer_than: float = 3.0) -> list[Floats]:
    out: list[Floats] = []
    for place in places:
        if all(np.linalg.norm(place - other) >= closer_than for other in out):
            out.append(place)
    return out[:6]


def _misfit(net: Net, placed: dict[int, Floats]) -> float:
    """How badly the readings between placed points fit, mm²."""
    total = 0.0
    for a, b, level in zip(net.start.tolist(), net.end.tolist(), net.level.tolist(), strict=True):
        if a in placed and b in placed:
            total += (float(np.linalg.norm(placed[a] - placed[b])) - level) ** 2
    return total


def _all_round(net: Net) -> list[Floats]:
    """All points on one side of the crank, on each side in turn, each as far out as its longest reading says."""
    count = len(net.given.sought)
    far = np.full(count, 100.0)
    for k in range(count):
        ends = (net.start == k + len(net.known)) | (net.end == k + len(net.known))
        far[k] = net.level[ends].max(initial=1.0)
    spread = 0.2 * np.arange(count)  # radians: points that begin in one place would never part
    out = []
    for turn in np.arange(DIRECTIONS) * (2 * np.pi / DIRECTIONS):
        out.append(np.stack([far * np.cos(turn + spread), far * np.sin(turn + spread)], axis=1).ravel())
    return out
