"""What went wrong at the table, from the errors of the slots in the order of cutting.

Each mechanism is a model of the errors e_k (k = 1 … n, degrees, free in their mean): a step, a run, a ramp, a sine
round the circle, or nothing. The one with the least information criterion is named:

    n · ln(RSS + n·floor²) + cost + (handicap, for all but sound)

RSS is what the model leaves of the errors, floor what measuring itself scatters. cost charges ln n for each free
place or size. The handicap is found by simulation (`tests/measure/calibration.py`), so that a sound wheel is called
anything else in fewer than 2 of 100: the criterion's usual penalty, without it, cries wolf far more often, since a step
may stand at any cut.

Source of the criterion: Schwarz, "Estimating the dimension of a model", Annals of Statistics 6 (1978) (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from wheelcad.arrays import Bools, Floats
from wheelcad.measure.handicap import handicap

Name = Literal["sound", "part-turn-forgotten", "slip", "backlash", "drift", "off-centre", "miscount", "scatter"]

LEAST_FLOOR_DEG = 0.005  # below this nothing that a table does is told from rounding
LEAST_EFFECT_DEG = 0.03  # a fault smaller than this is no fault of anybody's
SCATTER_DEG = 0.1  # standard deviation from which a wheel is called scattered (our judgement: timing begins to suffer)
SAME_PART = 0.1  # of a part-turn: how far a step told from tooth centres may be from it and still be it
FEWEST = 6  # slots, below which nothing can be concluded
MOST_FORGOTTEN = 12


@dataclass(frozen=True)
class Mechanism:
    """name; where: numbers of the cuts, from 1, first wrong of each step; size_deg: signed step, total or amplitude;
    confidence: its share among all mechanisms, 0 to 1; per_cut: what it explains of each slot's error, degrees."""

    name: Name
    where: tuple[int, ...]
    size_deg: float
    confidence: float
    per_cut: tuple[float, ...] = ()
    direction_deg: float | None = None

    def as_json(self) -> dict[str, object]:
        """As `measure --json` holds it."""
        held = {name: getattr(self, name) for name in ("name", "where", "size_deg", "confidence")}
        return held | {"where": list(self.where)}


@dataclass(frozen=True, eq=False)
class MechanismFit:
    """One model's best fit. cost: in the criterion. fitted: (n,) with its mean taken out."""

    name: Name
    where: tuple[int, ...]
    size_deg: float
    cost: float
    fitted: Floats
    direction_deg: float | None = None


def part_turn_deg(pitch_deg: float, ratio: int | None) -> float:
    """The part of a turn in one move of a pitch, in table degrees; 0 where moves are whole turns or nothing is
    known."""
    if not ratio:
        return 0.0
    per = 360.0 / ratio
    part = math.fmod(pitch_deg, per)
    return 0.0 if part < 1e-9 or per - part < 1e-9 else part


def find_mechanism(
    errors_deg: Floats,
    angles_deg: Floats,
    floor_deg: float,
    part_deg: float = 0.0,
    miscounts_deg: tuple[float, ...] = (),
    halves: bool = False,
) -> Mechanism:
    """The likeliest mechanism behind errors (n,) of slots at `angles_deg` (n,), in the order of cutting.

    floor_deg: standard deviation of measuring one slot. part_deg: `part_turn_deg`, 0 when unknown. miscounts_deg: for
    each other count that is thought of, the error a cut that the wrong pitch brings. halves: the errors are of tooth
    centres, so that a step at a slot comes in two halves, at the tooth before it and at the one after.
    """
    n = len(errors_deg)
    e = errors_deg - errors_deg.mean()
    floor = max(floor_deg, LEAST_FLOOR_DEG)
    if n < FEWEST:
        return _unexplained(e, floor, 1.0)
    fits = [*_linear_fits(e, angles_deg), *_forgotten(e, part_deg, floor), *_miscounted(e, miscounts_deg)]
    sound = n * math.log(float(e @ e) + n * floor**2)
    scores = [n * math.log(float(((e - f.fitted) ** 2).sum()) + n * floor**2) + f.cost + handicap(n) for f in fits]
    best = int(np.argmin(scores))
    weights = np.exp(-(np.array([sound, *scores]) - min(sound, scores[best])) / 2)
    shares: dict[str, float] = {"sound": float(weights[0])}
    for fit, weight in zip(fits, weights[1:], strict=True):
        shares[fit.name] = shares.get(fit.name, 0.0) + float(weight)
    total = sum(shares.values())
    fit = _whole_step(fits[best], part_deg) if halves else fits[best]
    if scores[best] >= sound or np.ptp(fit.fitted) < LEAST_EFFECT_DEG:
        return _unexplained(e, floor, shares["sound"] / total if scores[best] >= sound else 1.0)
    return Mechanism(
        fit.name,
        fit.where,
        fit.size_deg,
        shares[fits[best].name] / total,
        tuple((fit.fitted - fit.fitted[0]).tolist()),
        fit.direction_deg,
    )


def _whole_step(fit: MechanismFit, part: float) -> MechanismFit:
    """Two steps of one sign at neighbouring teeth are one step at the slot between them."""
    if fit.name != "slip" or len(fit.where) != 2 or fit.where[1] != fit.where[0] + 1:
        return fit
    k = fit.where[1] - 1
    first = float(fit.fitted[k - 1] - fit.fitted[k - 2])
    second = float(fit.fitted[k] - fit.fitted[k - 1])
    if first * second <= 0:
        return fit
    size = first + second
    forgotten = part > 0 and abs(size + part) < SAME_PART * part
    return MechanismFit("part-turn-forgotten" if forgotten else "slip", (fit.where[1],), size, fit.cost, fit.fitted)


def _unexplained(e: Floats, floor: float, confidence: float) -> Mechanism:
    """Sound, or scatter where the standard deviation is above what is called sound with 99 % confidence."""
    from scipy.stats import chi2

    n = len(e)
    sd = math.sqrt(float(e @ e) / max(n - 1, 1))
    limit = math.hypot(SCATTER_DEG, floor)
    scattered = (n - 1) * (sd / limit) ** 2 > float(chi2.ppf(0.99, max(n - 1, 1)))
    return Mechanism("scatter" if scattered else "sound", (), sd if scattered else 0.0, confidence, (0.0,) * n)


def _linear_fits(e: Floats, angles: Floats) -> list[MechanismFit]:
    """The best fit of each model that is linear once its places are chosen."""
    bases = Bases(len(e))
    k = int(bases.one_step(e[None])[1][0])
    i, j = (int(place) for place in bases.two_steps(e[None])[1][0])
    r, s = (int(place) for place in bases.one_run(e[None])[1][0])
    step, run, ramp, sines = bases.step(k), bases.step(r) - bases.step(s), bases.ramp, sine_basis(angles)
    pair = np.column_stack([bases.step(i), bases.step(j)])
    one, alike, slope = (float(e @ basis) / float(basis @ basis) for basis in (step, run, ramp))
    two, parts = (np.linalg.lstsq(basis, e, rcond=None)[0] for basis in (pair, sines))
    towards = math.degrees(math.atan2(-parts[0], parts[1])) % 360.0  # where the sine passes nothing, rising
    cost = bases.costs
    return [
        MechanismFit("slip", (k + 1,), one, cost["slip"], one * step),
        MechanismFit("slip", (i + 1, j + 1), float(two[int(np.abs(two).argmax())]), cost["slips"], pair @ two),
        MechanismFit("backlash", (r + 1,), alike, cost["backlash"], alike * run),
        MechanismFit("drift", (), slope * float(np.ptp(ramp)), cost["drift"], slope * ramp),
        MechanismFit("off-centre", (), float(np.hypot(*parts)), cost["off-centre"], sines @ parts, towards),
    ]


def sine_basis(angles_deg: Floats) -> Floats:
    """(n, 2) cosine and sine of the angles, each with its mean taken out."""
    a = np.radians(angles_deg)
    both = np.column_stack([np.cos(a), np.sin(a)])
    return np.asarray(both - both.mean(axis=0))


class Bases:
    """Steps, runs and ramp for n slots, and the gains in RSS of the best of each for many wheels at once.

    Errors e are (s, n), each row with its mean taken out. A step at index k raises slots k … n-1; a run slots i … j.
    """

    def __init__(self, n: int) -> None:
        log_n = math.log(n)
        self.n = n
        self.ramp: Floats = np.asarray(np.arange(n) - (n - 1) / 2, dtype=float)
        first, second = np.triu_indices(n - 1, 1)
        self.firsts, self.seconds = first + 1, second + 1  # where steps stand, 1 … n-1
        self.costs: dict[str, float] = {
            "slip": 2 * log_n + 4,
            "slips": 6 * log_n + 4,
            "backlash": 3 * log_n + 4,
            "drift": log_n,
            "off-centre": 2 * log_n,
        }

    def step(self, k: int) -> Floats:
        """(n,) a step of 1 at index k, with its mean taken out."""
        tail = (np.arange(self.n) >= k).astype(float)
        return np.asarray(tail - tail.mean())

    def _tails(self, e: Floats) -> Floats:
        """(s, n) sums of each row from index k on."""
        return np.cumsum(e[:, ::-1], axis=1)[:, ::-1]

    def one_step(self, e: Floats) -> tuple[Floats, Floats]:
        """The RSS (s,) that the best single step takes away, and where it stands."""
        long = self.n - np.arange(1, self.n)
        gain = self._tails(e)[:, 1:] ** 2 / (long - long**2 / self.n)
        best = gain.argmax(axis=1)
        return gain[np.arange(len(e)), best], best + 1

    def one_run(self, e: Floats) -> tuple[Floats, Floats]:
        """As `one_step` for the best run that neither begins with the first slot nor ends with the last."""
        tails = self._tails(e)
        long = self.seconds - self.firsts
        gain = (tails[:, self.firsts] - tails[:, self.seconds]) ** 2 / (long - long**2 / self.n)
        best = gain.argmax(axis=1)
        return gain[np.arange(len(e)), best], np.column_stack([self.firsts[best], self.seconds[best]])

    def two_steps(self, e: Floats) -> tuple[Floats, Floats]:
        """As `one_step` for the best two steps of any sizes; where they stand (s, 2)."""
        tails = self._tails(e)
        t1, t2 = self.n - self.firsts, self.n - self.seconds
        n1, n2 = np.sqrt(t1 - t1**2 / self.n), np.sqrt(t2 - t2**2 / self.n)
        c = (t2 - t1 * t2 / self.n) / (n1 * n2)
        a, b = tails[:, self.firsts] / n1, tails[:, self.seconds] / n2
        gain = a**2 + (b - c * a) ** 2 / (1 - c**2)
        best = gain.argmax(axis=1)
        return gain[np.arange(len(e)), best], np.column_stack([self.firsts[best], self.seconds[best]])


def _forgotten(e: Floats, part: float, floor: float) -> list[MechanismFit]:
    """Part-turns forgotten at 1, 2, 3 … cuts: each takes `part` off every cut from there on."""
    n = len(e)
    if part <= 0:
        return []
    log_n = math.log(n)
    fits = []
    for q, counts in _counts_forgotten(e, part).items():
        fitted = -part * counts
        fitted = fitted - fitted.mean()
        rest = e - fitted
        if part < 3 * max(math.sqrt(float(rest @ rest) / n), floor):
            continue  # drowned in the scatter: nobody could tell
        where = tuple((np.flatnonzero(np.diff(counts)) + 2).tolist())
        fits.append(MechanismFit("part-turn-forgotten", where, -part, q * log_n, fitted))
    return fits


def _counts_forgotten(e: Floats, part: float) -> dict[int, Floats]:
    """For each number of forgotten part-turns, how many have been forgotten by each cut (n,) in the best way.

    The common offset is the mean of what the errors leave over whole part-turns, taken round the circle; the places
    come by dynamic programming, and once more with the offset they give.
    """
    turn = 2 * math.pi / part
    phase = float(np.angle(np.exp(1j * turn * e).sum())) / turn
    level = phase + part * round((float(e[0]) - phase) / part)
    most = min(MOST_FORGOTTEN, len(e) - 2)
    return {q: _refined(e, level, part, counts) for q, counts in _best_paths(e - level, part, most).items()}


def _refined(e: Floats, level: float, part: float, counts: Floats) -> Floats:
    """The counts once more, with the offset that they themselves give, where that moves it."""
    better = float((e + part * counts).mean())
    if abs(better - level) < part / 100:
        return counts
    q = int(counts[-1])
    return _best_paths(e - better, part, q)[q]


def _best_paths(e: Floats, part: float, most: int) -> dict[int, Floats]:
    """For each q from 1 to `most`: counts (n,) from 0 at the first cut to q at the last, rising by at most 1 a cut,
    nearest to -e/part."""
    n = len(e)
    near = (e[:, None] + part * np.arange(most + 1)) ** 2
    cost = np.full(most + 1, np.inf)
    cost[0] = near[0, 0]
    came = np.zeros((n, most + 1), dtype=bool)
    for k in range(1, n):
        up = np.concatenate([[np.inf], cost[:-1]])
        came[k] = up < cost
        cost = np.minimum(cost, up) + near[k]
    return {q: _path(came, q) for q in range(1, most + 1)}


def _path(came: Bools, q: int) -> Floats:
    counts = np.zeros(len(came))
    for k in range(len(came) - 1, -1, -1):
        counts[k] = q
        q -= int(came[k, q])
    return counts


def _miscounted(e: Floats, slopes: tuple[float, ...]) -> list[MechanismFit]:
    rows: Floats = np.asarray(np.arange(len(e)) - (len(e) - 1) / 2, dtype=float)
    cost = 0.0  # nothing is free: the count decides the slope
    return [MechanismFit("miscount", (), slope * (len(e) - 1), cost, slope * rows) for slope in slopes]
