"""`wheelcad budget`: how far sparks may be from the asked angle before any metal is cut, from what, and what helps.

95_deg figures hold |error| in 95 of 100 wheels, with what is known of it (bias); shares are of the variance of the
worst cylinder, each the part that goes when that source alone is perfect, with a rest where sources lean on each other.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from wheelcad.job.models import Job
from wheelcad.signal.inputs import Inputs
from wheelcad.signal.report import Json, Signal
from wheelcad.signal.sample import within_95
from wheelcad.signal.timing import SOURCES, Timed, Wheels, simulate, timed_of, variances
from wheelcad.signal.tolerances import Work, work_of

WHEELS = 200_000
PLACES = 6
SHIFT = "shift"  # the source that is no draw of its own: edges that move with the gap


class Source(NamedTuple):
    """A source as people read it: its name, and which heap it falls on."""

    name: str
    heap: str


NAMED = {
    "sensor_angle": Source("sensor's place round the crank", "offset"),
    "layout": Source("layout of the gap", "offset"),
    "dial": Source("dial of the rotary table", "pattern"),
    "table": Source("rotary table's own error", "pattern"),
    "by_hand": Source("slots filed by hand", "pattern"),
    "centring": Source("centring on the table", "pattern"),
    "clearance": Source("play of the wheel on the crank", "pattern"),
    SHIFT: Source("edges that move with the gap", "pattern"),
    "torsion": Source("crank torsion, rubber ring", "speed"),
    "bracket": Source("bracket swaying", "speed"),
    "stop_marks": Source("finding top dead centre", "tdc"),
    "tdc_mark": Source("TDC mark", "tdc"),
    "light": Source("reading the timing light", "tdc"),
}
REST = Source("rest: sources that lean on each other", "rest")


class Change(NamedTuple):
    """What a person could do: the source it is about, the Work field, its value after, its unit, in words how."""

    source: str
    field: str
    to: float
    unit: str
    do: str

    def as_json(self, before: float, after_trim_95_deg: float) -> Json:
        """As reports hold it: from what, to what, and the figure after it."""
        return {
            "source": NAMED[self.source].name,
            "from": rounded(before),
            "to": rounded(self.to),
            "unit": self.unit,
            "do": self.do,
            "after_trim_95_deg": rounded(after_trim_95_deg),
        }


@dataclass(frozen=True, eq=False)
class Budget:
    """The timing budget of a job. wheels: as simulated; best, best_after: the change that helps most and the figure
    after it, None where nothing helps."""

    work: Work
    timed: Timed
    wheels: Wheels
    best: Change | None
    best_from: float
    best_after: float | None
    inputs: tuple[Any, ...]

    @property
    def before(self) -> np.ndarray:
        """(c,) bounds on the starter, before the trim."""
        return self.wheels.before_95

    @property
    def after(self) -> np.ndarray:
        """(2, c) bounds after the trim, at idle and at top speed."""
        return self.wheels.after_95

    @property
    def worst(self) -> tuple[str, int]:
        """(speed, cylinder's index) of the greatest error after the trim."""
        return _worst(self.after)

    def report(self) -> Json:
        """The command's JSON."""
        before, after = self.before, self.after
        speed, cylinder = self.worst
        closed = float(np.sqrt(sum(v[cylinder] for v in variances(self.timed, self.work, speed).values())))
        drawn = float(self.wheels.after[("idle", "top").index(speed), cylinder].std())
        first = self.timed.cylinders
        out: Json = {
            "spacing_95_deg": rounded(within_95(self.wheels.pair)),
            "before_trim_95_deg": rounded(before.max()),
            "after_trim_95_deg": rounded(after.max()),
            "per_cylinder": [
                {"cylinder": c, "before_95_deg": rounded(before[i]), "after_95_deg": rounded(after[:, i].max())}
                for i, c in enumerate(first)
            ],
            "worst": {"cylinder": first[cylinder], "speed": speed, "known_deg": rounded(self.known(speed)[cylinder])},
            "sd": {"monte_carlo_deg": rounded(drawn), "closed_form_deg": rounded(closed)},
            "shares": self.shares(),
            "best_change": None,
            "inputs": [row.as_json() for row in self.inputs],
        }
        if self.best is not None and self.best_after is not None:
            out["best_change"] = self.best.as_json(self.best_from, self.best_after)
        return out

    def known(self, speed: str) -> np.ndarray:
        """(c,) what is known of the errors at a speed: the part that no care takes away."""
        bias = self.timed.bias_deg
        if speed == "cranking":
            return np.asarray(bias[self.timed.rows("cranking")] + self.timed.crossing_deg)
        hot = self.timed.hot_deg_per_mm * self.work.gap_hot_mm
        return np.asarray(bias[self.timed.rows(speed)] - bias[self.timed.rows("idle")][0] + hot)

    def shares(self) -> list[dict[str, object]]:
        """Each source's share of the variance of the worst cylinder, before and after; a rest makes each add to 1."""
        speed, cylinder = self.worst
        start = int(np.argmax(self.before))
        before = _shares(self.timed, self.work, "cranking", start)
        after = _shares(self.timed, self.work, speed, cylinder)
        rows = [
            {"source": s.name, "heap": s.heap, "share_before": rounded(before[key]), "share_after": rounded(after[key])}
            for key, s in {**NAMED, "rest": REST}.items()
        ]
        return rows


def rounded(value: float | np.floating | np.ndarray) -> float:
    """A figure with the decimals of a report."""
    return round(float(value), PLACES) + 0.0


def _worst(after: np.ndarray) -> tuple[str, int]:
    speed, cylinder = np.unravel_index(int(np.argmax(after)), after.shape)
    return ("idle", "top")[int(speed)], int(cylinder)


def _shares(timed: Timed, work: Work, speed: str, cylinder: int) -> dict[str, float]:
    """Share by source: what of the variance goes when it alone is frozen; edges' shift likewise; and the rest."""
    each = {name: float(v[cylinder]) for name, v in variances(timed, work, speed).items()}
    total = sum(each.values())
    still = sum(float(v[cylinder]) for v in variances(timed, work, speed, shifts=False).values())
    out = dict.fromkeys(NAMED, 0.0)
    if total <= 0:
        return {**out, "rest": 1.0}
    out |= {name: value / total for name, value in each.items()}
    out[SHIFT] = (total - still) / total
    return {**out, "rest": 1.0 - sum(out.values())}


def budget_of(
    job: Job,
    signal: Signal,
    report: Mapping[str, Any] | None = None,
    *,
    real: bool = False,
    count: int = WHEELS,
) -> Budget:
    """The budget of a job whose sensor sees `signal`.

    report: report.json's dict, where there is one. real: the signal's edges are a finished wheel's, as measured: their
    errors stand in place of the assumed ones.
    """
    work = work_of(job, signal.edges, report or {}, real=real)
    timed = timed_of(signal)
    wheels = simulate(timed, work, count)
    speed, cylinder = _worst(wheels.after_95)
    best, best_from, after = None, 0.0, None
    ranked = []
    for change in changes_of(signal.inputs, work, signal.view is not None):
        new_timed, new_work = _changed(signal, timed, work, change)
        v = sum(float(one[cylinder]) for one in variances(new_timed, new_work, speed).values())
        hot = new_timed.hot_deg_per_mm * new_work.gap_hot_mm - timed.hot_deg_per_mm * work.gap_hot_mm
        ranked.append((v + 2 * hot * abs(hot), change))
    now = sum(float(one[cylinder]) for one in variances(timed, work, speed).values())
    if ranked and min(ranked)[0] < now:
        best = min(ranked)[1]
        best_from = signal.inputs.air_gap_mm if best.field == "air_gap" else float(getattr(work, best.field))
        new = simulate(*_changed(signal, timed, work, best), count)
        after = float(new.after_95.max())
        if after >= float(wheels.after_95.max()):
            best, after = None, None
    inputs = (*work.rows, *(row for row in signal.inputs.rows if row.key.split(".")[0] in ("engine", "sensor")))
    filters = [row for row in signal.inputs.rows if row.key in ("controller.filter", "edges")]
    return Budget(work, timed, wheels, best, best_from, after, (*inputs, *filters))


def _changed(signal: Signal, timed: Timed, work: Work, change: Change) -> tuple[Timed, Work]:
    """Edges and work after a change."""
    if change.field == "air_gap":
        return timed_of(signal, closer=True), work
    return timed, work.but(**{change.field: change.to})


def changes_of(inputs: Inputs, work: Work, seen: bool = False) -> Iterator[Change]:
    """What this person could do, each with the value after it; only what is not so already. seen: the field is solved,
    so that it is known what a closer gap does."""
    if work.centring_mm > 0:
        to = 0.02 if work.centring_mm > 0.02 else work.centring_mm / 2
        yield Change("centring", "centring_mm", to, "mm", "re-centre the work on the table within")
    if work.clearance_mm > 0:
        to = 0.02 if work.clearance_mm > 0.02 else work.clearance_mm / 2
        yield Change("clearance", "clearance_mm", to, "mm", "set the wheel with an indicator on the tooth tops within")
    if work.dial_deg > 0:
        yield Change("dial", "dial_deg", work.dial_deg / 2, "deg", "set the dial between its divisions, within ±")
    if work.by_hand_deg > 0:
        yield Change("by_hand", "by_hand_deg", work.by_hand_deg / 2, "deg", "file slots to the gauge within ±")
    if work.stop_marks_deg > 0:
        to = work.stop_marks_deg / np.sqrt(2.0)
        yield Change("stop_marks", "stop_marks_deg", to, "deg", "find TDC with the piston stop twice: ±")
    if work.tdc_mark_deg > 0:
        yield Change("tdc_mark", "tdc_mark_deg", work.tdc_mark_deg / 2, "deg", "cut a finer TDC mark, within ±")
    if work.light_deg > 0:
        yield Change(
            "light", "light_deg", work.light_deg / 2, "deg", "take the mean of four readings with the light: ±"
        )
    low = inputs.air_gap_range[0]
    if seen and inputs.element in ("hall-fixed", "vane") and low < inputs.air_gap_mm:
        yield Change(SHIFT, "air_gap", low, "mm", "set a closer air gap:")


__all__ = ["NAMED", "SOURCES", "Budget", "budget_of"]
