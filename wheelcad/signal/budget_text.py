"""The timing budget as people read it: one sentence, findings, the terminal's page."""

from __future__ import annotations

from wheelcad.codes import Check
from wheelcad.findings import Finding, at_most
from wheelcad.signal.report import Json
from wheelcad.signal.text import input_text, inputs_told, wrapped
from wheelcad.words import Words, angle, length, speed

AFTER_LIMIT_DEG = 3.0  # what a spark may be off once trimmed: about what one degree mark tells from the next; no source
SOURCE = "Monte Carlo after JCGM 101:2008 on assumed and given tolerances; limit is our judgement, no source"
HEAPS = {
    "offset": "goes with the trim",
    "pattern": "stays, by tooth",
    "speed": "stays, by speed",
    "tdc": "stays in full",
    "rest": "",
}


def advice(report: Json) -> str:
    """The one sentence a machinist needs."""
    stays = [row for row in report["shares"] if row["heap"] != "rest"]
    most = max(stays, key=lambda row: row["share_after"])
    said = f"Spend your care on: {most['source']}. It is {most['share_after'] * 100:.0f} % of what stays after trimming"
    change = report["best_change"]
    if change is None:
        return said + "."
    return (
        f"{said}. What helps most: {change['do'].rstrip('±').strip()} "
        f"{'±' if change['do'].endswith('±') else ''}{_size(change['to'], change['unit'])} instead of "
        f"{_size(change['from'], change['unit'])}: then {angle(change['after_trim_95_deg'])} instead of "
        f"{angle(report['after_trim_95_deg'])}."
    )


def known(report: Json) -> str:
    """What no care takes away: the delay's and the controller's own part of the figure."""
    worst = report["worst"]
    if abs(worst["known_deg"]) < 0.05:
        return ""
    way = "early" if worst["known_deg"] > 0 else "late"
    return (
        f"{angle(abs(worst['known_deg']))} of it is known: at {worst['speed']} speed cylinder {worst['cylinder']}'s "
        f"spark comes so much {way} by delay, filter and reckoning from the last tooth. A controller that can be told "
        "the delay takes most of it away."
    )


def _size(value: float, unit: str) -> str:
    return length(value) if unit == "mm" else angle(value)


def budget_findings(report: Json) -> list[Finding]:
    """Findings of a budget."""
    why = "how far a spark may be off once cylinder 1 is trimmed with the light, 95 of 100 wheels; "
    said, figure = advice(report), report["after_trim_95_deg"]
    why += said[:1].lower() + said[1:].rstrip(".")
    return [at_most(Check.TIMING_AFTER_TRIM, "timing", figure, "deg", AFTER_LIMIT_DEG, why, SOURCE, "warn")]


def share_rows(report: Json) -> list[tuple[str, str, str, str]]:
    """(source, per cent before, per cent after, what becomes of it), greatest after first; nothing left out but 0."""
    rows = [row for row in report["shares"] if abs(row["share_before"]) > 5e-4 or abs(row["share_after"]) > 5e-4]
    rows.sort(key=lambda row: (row["heap"] == "rest", -row["share_after"], -row["share_before"]))
    return [
        (row["source"], f"{row['share_before'] * 100:.1f}", f"{row['share_after'] * 100:.1f}", HEAPS[row["heap"]])
        for row in rows
    ]


def budget_text(report: Json, units: str = "mm") -> str:
    """The terminal's page, at most 80 columns."""
    out = [
        "Timing error, 95 of 100 wheels",
        f"  before trimming, on the starter  ±{angle(report['before_trim_95_deg'])}",
        f"  after trimming with the light    ±{angle(report['after_trim_95_deg'])}",
        f"  from tooth to tooth              ±{angle(report['spacing_95_deg'], 3)}",
        "",
        advice(report),
        known(report),
        "",
        "  cylinder   before    after, ± deg",
    ]
    out += [
        f"  {row['cylinder']:>8}   {row['before_95_deg']:>6.2f}   {row['after_95_deg']:>6.2f}"
        for row in report["per_cylinder"]
    ]
    out += ["", "  per cent of the variance          before    after"]
    out += [f"  {name:<34}{before:>6}   {after:>6}  {heap}" for name, before, after, heap in share_rows(report)]
    sd = report["sd"]
    out += [
        "",
        f"  standard deviation {sd['monte_carlo_deg']:.4f} deg drawn, {sd['closed_form_deg']:.4f} deg in closed form",
        "",
        *inputs_told(report, row_text),
    ]
    words = Words(units)
    lines = [words.text(line) for line in out]
    return "\n".join(wrapped(line) for k, line in enumerate(lines) if line or lines[k - 1]) + "\n"


_LENGTHS = ("centring", "bore_clearance", "sensor_angle", "gap_hot")  # of the tolerances; the others are angles
_PLAYS = ("play of the", "a slot marked", "bracket's sway", "survey's ±")
_TURNS = ("gauge's play", "layout of", "crank torsion")


def row_text(key: str, value: object) -> str:
    """A budget's input as its document writes it."""
    if isinstance(value, int | float):
        if key.startswith(_PLAYS) or key.removeprefix("tolerances.") in _LENGTHS:
            return length(float(value), 3)
        if key.startswith(("tolerances.", *_TURNS)):
            return angle(float(value), 3)
        if key.endswith("_speed"):
            return speed(float(value))
    return input_text(key, value)
