"""The timing budget in closed form, a millisecond a wheel: for tables of patterns and for figures that live.

What `budget` simulates, by its variances alone and without the field: each figure as if the sum were normal about what
is known of it. Where one rectangle or sine outweighs all else that is the careful end (JCGM 101:2008, 9.2.4).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist
from typing import Any

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.job.models import Job
from wheelcad.signal.budget import NAMED, Remedy, changes_of, rounded
from wheelcad.signal.edges import Edges, passing
from wheelcad.signal.gapmap import speeds_of
from wheelcad.signal.inputs import Inputs, inputs_of
from wheelcad.signal.report import Json
from wheelcad.signal.sample import NORMAL_95
from wheelcad.signal.speed import Speed
from wheelcad.signal.timing import SPEEDS, Timed, known_early_deg, spreads_of, timed_by, variances
from wheelcad.signal.tolerances import Skill, work_of

FURTHEST = 8.0  # standard deviations of what is known, beyond which only one tail counts
ONE_TAIL_95 = NormalDist().inv_cdf(0.95)


@dataclass(frozen=True, eq=False)
class Reckoned:
    """The figures of one wheel, degrees. before, after: (c,) bounds that hold |error| in 95 of 100, cylinders
    ascending; after: the worse of idle and top speed. sd, known: of the worst after the trim, and at which speed.
    shares: of its variance by source, as `variances` names them, greatest first.
    """

    cylinders: tuple[int, ...]
    before: Floats
    after: Floats
    worst: int
    speed: str
    sd: float
    known: float
    shares: dict[str, float]

    def as_json(self) -> dict[str, Any]:
        """As programs read it; sources by the names that people read."""
        r = rounded
        return {
            "before_trim_95_deg": r(self.before.max()),
            "after_trim_95_deg": r(self.after.max()),
            "per_cylinder": [
                {"cylinder": c, "before_95_deg": r(b), "after_95_deg": r(a)}
                for c, b, a in zip(self.cylinders, self.before.tolist(), self.after.tolist(), strict=True)
            ],
            "worst": {"cylinder": self.cylinders[self.worst], "speed": self.speed, "known_deg": r(self.known)},
            "sd": {"closed_form_deg": r(self.sd)},
            "shares": [
                {"source": NAMED[name].name, "heap": NAMED[name].heap, "share_after": r(share)}
                for name, share in self.shares.items()
            ],
        }


@dataclass(frozen=True, eq=False)
class Reckoner:
    """What is the same for every pattern on one engine. speeds: the cycle's, at cranking, idle and top."""

    inputs: Inputs
    speeds: Mapping[str, Speed]
    work: Skill

    @classmethod
    def of(cls, job: Job, edges: Edges, report: Mapping[str, Any] | None = None) -> Reckoner:
        """For a job and one of its wheels. DesignError names what the job lacks."""
        inputs = inputs_of(job, edges)
        return cls(inputs, speeds_of(inputs), work_of(job, edges, report or {}))

    def timed(self, edges: Edges) -> Timed:
        """Which of a wheel's edges time which sparks."""
        one = passing(edges, self.inputs.sensor_deg, self.inputs.on, self.inputs.gap_deg)
        return timed_by(self.inputs, edges, one, known_early_deg(self.inputs, one, self.speeds))

    def figures(self, edges: Edges) -> Reckoned:
        """Of a wheel on that engine, read by that sensor."""
        return reckoned(self.timed(edges), self.work)

    def best_change(self, timed: Timed, now: Reckoned) -> tuple[Remedy, float] | None:
        """The change that helps most and the figure after it; None where nothing helps."""
        tried = []
        for change in changes_of(self.inputs, self.work):
            after = reckoned(timed, self.work.but(**{change.field: change.to})).after.max()
            tried.append((float(after), change))
        best = min(tried, default=None)
        return None if best is None or best[0] >= now.after.max() else (best[1], best[0])


def quick_report(job: Job, edges: Edges, report: Mapping[str, Any] | None = None) -> Json:
    """A budget's report without its simulation, in some milliseconds: keys as of `budget`'s, but for the draws.

    report: report.json's dict, where there is one. DesignError names what the job lacks.
    """
    reckoner = Reckoner.of(job, edges, report)
    timed = reckoner.timed(edges)
    now = reckoned(timed, reckoner.work)
    best = reckoner.best_change(timed, now)
    out: Json = now.as_json() | {"best_change": None, "inputs": [row.as_json() for row in reckoner.work.rows]}
    if best is not None:
        change, after = best
        out["best_change"] = change.as_json(float(getattr(reckoner.work, change.field)), after)
    return out


def reckoned(timed: Timed, work: Skill) -> Reckoned:
    """The figures of edges that time sparks, and a shop's work."""
    spreads = spreads_of(work, timed.radius_mm)
    spread = {name: variances(timed, work, name, spreads=spreads) for name in SPEEDS}
    sd = {name: np.sqrt(sum(parts.values())) for name, parts in spread.items()}
    bias = timed.bias_deg
    first = bias[timed.rows("idle")][0]
    hot = timed.hot_deg_per_mm * work.gap_hot_mm
    before = bound_95(bias[timed.rows("cranking")] + timed.crossing_deg, sd["cranking"])
    known = np.stack([bias[timed.rows(name)] - first + hot for name in ("idle", "top")])
    each = bound_95(known, np.stack([sd["idle"], sd["top"]]))
    row, worst = (int(i) for i in np.unravel_index(int(np.argmax(each)), each.shape))
    speed = ("idle", "top")[row]
    total = float(sd[speed][worst]) ** 2
    parts = {name: float(v[worst]) / total if total else 0.0 for name, v in spread[speed].items()}
    shares = dict(sorted(parts.items(), key=lambda item: -item[1]))
    return Reckoned(
        timed.cylinders,
        before,
        np.asarray(each.max(axis=0)),
        worst,
        speed,
        float(sd[speed][worst]),
        float(known[row, worst]),
        shares,
    )


def bound_95(known: Floats, sd: Floats) -> Floats:
    """What holds |known + sd·Z| in 95 of 100, Z a standard normal; elementwise. |known| where sd is 0."""
    away = np.abs(known)
    with np.errstate(divide="ignore", invalid="ignore"):
        times = np.where(sd > 0, away / sd, FURTHEST)
    ratio, bound = _folded()
    near = np.interp(np.minimum(times, FURTHEST), ratio, bound) * sd
    return np.asarray(np.where(times >= FURTHEST, away + ONE_TAIL_95 * sd, near))


@lru_cache(maxsize=1)
def _folded() -> tuple[Floats, Floats]:
    """(known/sd, bound/sd) from 0 to FURTHEST, by halving."""
    phi = NormalDist().cdf
    ratio = np.concatenate([np.linspace(0.0, 3.0, 121), [FURTHEST]])
    bound = []
    for r in ratio.tolist():
        low, high = r, r + NORMAL_95
        while high - low > 1e-9:
            a = (low + high) / 2
            low, high = (low, a) if phi(a - r) - phi(-a - r) > 0.95 else (a, high)
        bound.append((low + high) / 2)
    return ratio, np.array(bound)
