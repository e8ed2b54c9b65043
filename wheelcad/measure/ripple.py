"""Where each tooth stands, from the moments at which teeth passed while the crank's speed rose and fell.

Every turn shows the same wheel, so that turns are laid over each other; what differs from turn to turn is noise, and
gives the uncertainty. What is the same in every turn is the wheel and the ripple of the speed together. The ripple is
taken for few low harmonics of the turn (half-order ones, of the four-stroke cycle, are averaged away over pairs of
turns). The harmonics' sizes are those that leave the teeth the least errors: the fewest steps between neighbours
where most of the errors come in steps, as a slip at the table leaves them, else the least squares. A slow rise or
fall of the speed is taken out turn by turn.

What harmonics of the very orders that the speed uses the wheel itself may have, no recording at one speed can tell
apart: the stated uncertainty holds a share for them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats, Ints

FEWEST_TURNS = 4
MOST_HARMONICS, HIGHEST = 4, 12
WORTH = 0.8  # a further harmonic must bring the sum of steps below this share
GRID = 1440  # points a turn for the integral of slowness
LEAST_CORRELATION = 0.5  # of the pattern with itself a turn later
SOFT_RAD = 0.0005
FEW_STEPS = 0.3  # median step over root-mean-square step, below which the errors come in few steps (a normal's is 0.67)


class NoTurnError(ValueError):
    """The moments show no pattern that comes again every turn; the text says so in one sentence."""


@dataclass(frozen=True, eq=False)
class Turns:
    """Whole turns. starts: (turns,) index of the first tooth after the gap; per_turn: teeth a turn; seconds: (turns,).

    share: (per_turn,) mean moment of each tooth as a share of the turn, from 0; sd: standard error of these; ratio: the
    gap's interval over its neighbours'; split: whether the gap shows as two long intervals (wires swapped).
    """

    starts: Ints
    per_turn: int
    seconds: Floats
    share: Floats
    sd: Floats
    ratio: float
    split: bool


def find_turns(times: Floats) -> Turns:
    """Find the turns in the moments of teeth (k,), seconds. NoTurnError where there is no gap or too few turns."""
    gaps = np.diff(times)
    if len(gaps) < 12 or (gaps <= 0).any():
        raise NoTurnError("the times do not rise, or are too few")
    steps = np.log(gaps)
    bend = np.zeros(len(steps))
    bend[1:-1] = steps[1:-1] - (steps[:-2] + steps[2:]) / 2
    per_turn = _period(bend)
    folded = np.array([np.median(bend[phase::per_turn]) for phase in range(per_turn)])
    phase = int(folded.argmax())
    at = _gap_indexes(bend, phase, per_turn, float(folded[phase]))
    whole = np.flatnonzero(np.diff(at) == per_turn)
    if len(whole) < FEWEST_TURNS:
        raise NoTurnError(
            f"only {len(whole)} whole turns are heard: record at least {FEWEST_TURNS}, better ten seconds"
        )
    starts = at[whole] + 1
    moments = np.array([times[s : s + per_turn + 1] for s in starts])
    seconds = moments[:, -1] - moments[:, 0]
    share = (moments[:, :-1] - moments[:, :1]) / seconds[:, None]
    share = _without_trend(share, seconds, starts, per_turn)
    mean, sd = _averaged(share, starts, per_turn)
    steps_mean = np.diff(mean, append=1.0)
    last = float(steps_mean[-1])
    ordinary = float(np.median(steps_mean))
    beside = max(float(steps_mean[0]), float(steps_mean[-2]))
    return Turns(starts, per_turn, seconds, mean, sd, 2 * last / float(steps_mean[0] + steps_mean[-2]),
                 beside > 0.75 * last and beside > 1.2 * ordinary)  # fmt: skip


def _period(bend: Floats) -> int:
    """Teeth a turn: the least lag at which the bends of the intervals come again."""
    b = np.clip(bend, -1.0, 1.5)
    b = b - b.mean()
    n = len(b)
    size = 1 << (2 * n - 1).bit_length()
    spectrum = np.fft.rfft(b, size)
    auto = np.fft.irfft(spectrum * np.conj(spectrum), size)[: n // 3 + 1]
    auto = auto / (n - np.arange(len(auto)))
    if len(auto) < 5 or auto[0] <= 0:
        raise NoTurnError("no pattern comes again")
    auto = auto / auto[0]
    best = float(auto[4:].max())
    if best < LEAST_CORRELATION:
        raise NoTurnError(
            "no gap comes again every turn: the speed was too uneven, teeth were lost, or the wheel has none"
        )
    return int(np.flatnonzero(auto[4:] > 0.85 * best)[0]) + 4


def _gap_indexes(bend: Floats, phase: int, per_turn: int, height: float) -> Ints:
    """Indexes of the gap's interval in each turn: the greatest bend within each stretch of a turn about where it is
    due."""
    out = []
    at = phase
    while at < len(bend):
        low, high = max(0, at - per_turn // 3), min(len(bend), at + per_turn // 3 + 1)
        best = low + int(bend[low:high].argmax())
        if bend[best] > 0.5 * height:
            out.append(best)
            at = best
        at += per_turn
    return np.array(out, dtype=np.int64)


def _without_trend(share: Floats, seconds: Floats, starts: Ints, per_turn: int) -> Floats:
    """Take a steady rise or fall of the speed within each turn out: it follows from the turns before and after."""
    slope = np.zeros(len(seconds))
    for j in range(len(seconds)):
        before = j > 0 and starts[j] - starts[j - 1] == per_turn
        after = j + 1 < len(seconds) and starts[j + 1] - starts[j] == per_turn
        if before and after:
            slope[j] = (seconds[j + 1] - seconds[j - 1]) / (2 * seconds[j])
        elif before:
            slope[j] = (seconds[j] - seconds[j - 1]) / seconds[j]
        elif after:
            slope[j] = (seconds[j + 1] - seconds[j]) / seconds[j]
    return np.asarray(share - slope[:, None] / 2 * (share**2 - share))


def _averaged(share: Floats, starts: Ints, per_turn: int) -> tuple[Floats, Floats]:
    """Mean over pairs of turns that follow each other (a four-stroke cycle), and its standard error."""
    pairs = []
    j = 0
    while j + 1 < len(starts):
        if starts[j + 1] - starts[j] == per_turn:
            pairs.append((share[j] + share[j + 1]) / 2)
            j += 1
        j += 1
    rows = np.array(pairs) if len(pairs) >= 3 else share
    middle = np.median(rows, axis=0)
    spread = 1.4826 * np.median(np.abs(rows - middle), axis=0) + 1e-12
    kept = np.abs(rows - middle).max(axis=1) <= 6 * spread.max()
    rows = rows[kept] if kept.sum() >= 3 else rows
    # the moment a turn is counted from is one tooth's, whose own noise is no other tooth's
    level = rows - rows.mean(axis=1, keepdims=True)
    # neighbours share a moment between them, so that one counts less
    return rows.mean(axis=0), level.std(axis=0, ddof=1) / np.sqrt(len(rows) - 1)


@dataclass(frozen=True, eq=False)
class Ripple:
    """Speed over a turn: 1 + sum of a·cos hθ + b·sin hθ. orders: (k,); parts: (k, 2)."""

    orders: tuple[int, ...]
    parts: Floats

    def speed(self, angle_rad: Floats) -> Floats:
        """Relative speed at angles from the first tooth after the gap."""
        out = np.ones(np.shape(angle_rad))
        for h, (a, b) in zip(self.orders, self.parts, strict=True):
            out = out + a * np.cos(h * angle_rad) + b * np.sin(h * angle_rad)
        return np.maximum(out, 0.05)

    def angles(self, share: Floats) -> Floats:
        """Angles (radians) reached at shares of the turn's time."""
        grid = np.linspace(0.0, 2 * np.pi, GRID + 1)
        slowness = 1 / self.speed(grid)
        way = np.concatenate([[0.0], np.cumsum((slowness[1:] + slowness[:-1]) / 2)])
        return np.interp(share, way / way[-1], grid)


def in_few_steps(left: Floats) -> bool:
    """Whether errors (n,) of neighbouring teeth come in few steps, with little in between."""
    own = np.abs(np.diff(left, append=left[0]))
    return bool(np.median(own) < FEW_STEPS * np.sqrt(np.mean(own**2)))


def fit_ripple(share: Floats, nominal_rad: Floats, noise_rad: float) -> tuple[Ripple, Floats, float]:
    """(ripple, angles of the teeth in radians, mean step left) for teeth that should stand at nominal_rad."""
    ripple = Ripple((), np.zeros((0, 2)))
    angles = ripple.angles(share)
    cost = _steps(angles, nominal_rad)
    highest = min(HIGHEST, len(share) // 3)
    while len(ripple.orders) < MOST_HARMONICS and cost > 1.5 * noise_rad + 1e-6:
        left = angles - nominal_rad
        left = left - left.mean()
        orders = [h for h in range(1, highest + 1) if h not in ripple.orders]
        strength = [h * abs(np.exp(1j * h * nominal_rad) @ left) for h in orders]
        tried = [_fitted(share, nominal_rad, ripple, orders[i]) for i in np.argsort(strength)[::-1][:3]]
        if not tried:
            break
        best = min(tried, key=lambda one: _steps(one.angles(share), nominal_rad))
        after = _steps(best.angles(share), nominal_rad)
        if after > WORTH * cost:
            break
        ripple, angles, cost = best, best.angles(share), after
    return ripple, angles, cost


def _steps(angles: Floats, nominal: Floats) -> float:
    """Mean size of the steps between the errors of neighbouring teeth, radians."""
    left = angles - nominal
    return float(np.abs(np.diff(left, append=left[0])).mean())


def _fitted(share: Floats, nominal: Floats, start: Ripple, order: int) -> Ripple:
    from scipy.optimize import least_squares

    orders = (*start.orders, order)

    def left(x: Floats) -> Floats:
        return np.asarray(Ripple(orders, x.reshape(-1, 2)).angles(share) - nominal)

    def steps(x: Floats) -> Floats:
        off = left(x)
        return np.diff(off, append=off[0])

    def spread(x: Floats) -> Floats:
        off = left(x)
        return np.asarray(off - off.mean())

    first = np.concatenate([start.parts.ravel(), [0.0, 0.0]])
    rough = least_squares(steps, first, x_scale=0.1)
    fine = least_squares(steps, rough.x, loss="soft_l1", f_scale=SOFT_RAD, x_scale=0.1)
    best = fine if in_few_steps(left(fine.x)) else least_squares(spread, rough.x, x_scale=0.1)
    return Ripple(orders, best.x.reshape(-1, 2))
