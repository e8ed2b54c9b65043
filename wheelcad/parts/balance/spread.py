"""What shop errors leave behind: the residual drawn many times with errors of place, size, depth and density.

A fixed seed: the same job gives the same figure. The draws of each error are spread evenly (a Latin hypercube): the
figures of two plans that are compared are then good to half a per cent, where free draws are off by two. Every error is
even within its limits (a pessimist's choice), but the direction of an eccentricity, which is any. What one drill does
it does to all its holes: it cuts them all over size by the same amount, and a quill's stop that is set wrong is wrong
for every hole of that depth.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.trade.unbalance import POINT_DEG, point_length_mm

SEED = 21940
DRAWS = 20_000
PLACE_MM = 0.2  # a hole's centre, in x and in y: a good mark-out or a mill's dials; common practice, no source
OVERSIZE_MM = 0.1  # a drill cuts from its size to this much over; common practice, no source
DEPTH_MM = 0.1  # of a blind hole, off the quill's stop; common practice, no source
LOCAL_DENSITY = 0.01  # metal at a hole against that of the teeth; common practice, no source
BOTH = 0.95  # share of the draws that lie below the figure
NORMAL_95 = 1.6449  # the normal's 95 % quantile, one-sided; source: any table of the normal distribution


@dataclass(frozen=True)
class Spread:
    """95 % figures of the residual, g·mm. drilling: errors of the holes alone; seated: with turned surfaces (or the
    plate) off centre by up to `offset_mm` as well."""

    drilling: float
    seated: float
    offset_mm: float


def spread(
    residual: Floats, cut_away: Floats, holes: Sequence[CorrectionHole], density: float, sense: int, draws: int = DRAWS
) -> tuple[Floats, Floats]:
    """(draws, 2) residual vectors, g·mm, and the generator's further draws (draws, 2) of direction and size in 0…1.

    residual: (2,) as planned. cut_away: (2,) unbalance before drilling, doubtful by the metal's density, which is
    `density` g/mm³.
    """
    draw = np.random.default_rng(SEED)
    out = np.tile(residual, (draws, 1))
    out = out + cut_away * _even(draw, -LOCAL_DENSITY, LOCAL_DENSITY, draws)[:, None]
    over: dict[float, Floats] = {}
    deep: dict[tuple[float, bool], Floats] = {}
    for hole in holes:
        planned = density * hole.volume_mm3 * np.array(hole.centre(sense))
        x, y = (_even(draw, -PLACE_MM, PLACE_MM, draws) for _ in range(2))
        if hole.diameter_mm not in over:
            over[hole.diameter_mm] = _even(draw, 0.0, OVERSIZE_MM, draws)
        size = hole.diameter_mm + over[hole.diameter_mm]
        depth, cone = np.full(draws, hole.depth_mm), np.zeros(draws)
        if not hole.through:
            stop = (hole.depth_mm, hole.from_back)
            if stop not in deep:
                deep[stop] = _even(draw, -DEPTH_MM, DEPTH_MM, draws)
            depth, cone = depth + deep[stop], size * point_length_mm(1.0, POINT_DEG) / 3
        mass = np.pi / 4 * size**2 * (depth + cone) * density
        mass = mass * (1 + _even(draw, -LOCAL_DENSITY, LOCAL_DENSITY, draws))
        centre = np.array(hole.centre(sense)) + np.stack([x, y], axis=1)
        out = out + planned - mass[:, None] * centre
    return out, np.stack([_even(draw, 0.0, 1.0, draws) for _ in range(2)], axis=1)


def _even(draw: np.random.Generator, low: float, high: float, draws: int) -> Floats:
    """(draws,) one draw from each of as many equal parts of low to high, in random order."""
    return np.asarray(low + (high - low) * (draw.permutation(draws) + draw.random(draws)) / draws)


def off_centre(draws: Floats, mass_g: float, offset_mm: float) -> Floats:
    """(n, 2) unbalance of `mass_g` sitting up to `offset_mm` off, any direction; draws (n, 2) as `spread`'s."""
    angle = 2 * np.pi * draws[:, 0]
    size = mass_g * offset_mm * draws[:, 1]
    return np.stack([size * np.cos(angle), size * np.sin(angle)], axis=1)


def figure(vectors: Floats) -> float:
    """The 95 % figure of vectors (n, 2), g·mm."""
    ranked = np.sort(np.hypot(vectors[:, 0], vectors[:, 1]))
    # between two ranks: `np.quantile` does the same, but loads masked arrays, which the chart has no other use for
    return float(np.interp(BOTH * (len(ranked) - 1), np.arange(len(ranked)), ranked))


def likely(doubtful: float, one: Floats, off_deg: Floats, radius: Floats, diameter: Floats, depth: Floats) -> Floats:
    """(n,) about the 95 % figure, g·mm, of n proposals of k holes that leave nothing as planned: to rank them by.

    doubtful: g·mm of the cut-away metal. one: (n, k) g·mm a hole takes out; off_deg: from the heavy line; radius,
    diameter: mm; depth: mm, infinite for a through hole. Errors as `spread` draws them, to first order; the length of
    the sum of many small errors is then nearly a gamma variable with the same mean square and the same spread of it.
    Source: moments of a quadratic form, any textbook of statistics; Wilson and Hilferty's cube root.
    """
    angle = np.radians(off_deg)
    along, across = np.cos(angle), np.sin(angle)
    metal, place = LOCAL_DENSITY**2 / 3, PLACE_MM**2 / 3
    moved = ((one / radius) ** 2).sum(axis=1) * place
    xx = moved + doubtful**2 * metal + ((one * along) ** 2).sum(axis=1) * metal
    yy = moved + ((one * across) ** 2).sum(axis=1) * metal
    xy = (one**2 * along * across).sum(axis=1) * metal
    mean_x, mean_y = np.zeros(len(one)), np.zeros(len(one))
    wide = 2 * one / diameter  # g·mm for each mm over size
    for grow, variance, mean in (
        (wide, OVERSIZE_MM**2 / 12, OVERSIZE_MM / 2),
        (one / depth, DEPTH_MM**2 / 3, 0.0),
    ):
        x, y = grow * along, grow * across
        alike = (diameter == diameter[:, :1]).all(axis=1)
        sum_x, sum_y = x.sum(axis=1), y.sum(axis=1)
        xx = xx + np.where(alike, sum_x**2, (x**2).sum(axis=1)) * variance
        yy = yy + np.where(alike, sum_y**2, (y**2).sum(axis=1)) * variance
        xy = xy + np.where(alike, sum_x * sum_y, (x * y).sum(axis=1)) * variance
        mean_x, mean_y = mean_x + sum_x * mean, mean_y + sum_y * mean
    square = mean_x**2 + mean_y**2 + xx + yy
    about = 2 * (xx**2 + 2 * xy**2 + yy**2) + 4 * (mean_x**2 * xx + 2 * mean_x * mean_y * xy + mean_y**2 * yy)
    k = np.maximum(2 * square**2 / np.maximum(about, 1e-30), 1e-9)
    root: Floats = np.sqrt(square * np.maximum(1 - 2 / (9 * k) + NORMAL_95 * np.sqrt(2 / (9 * k)), 0.0) ** 3)
    return root
