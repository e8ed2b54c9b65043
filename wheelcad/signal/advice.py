"""What the numbers mean: findings with the number to change, from the report of `report.signal_report`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from wheelcad.codes import Check
from wheelcad.findings import Finding, Verdict, at_least, at_most
from wheelcad.signal.report import SURE, WANTED, Json
from wheelcad.signal.view import LEAST_SLOPE
from wheelcad.words import angle, length, speed

LEAST_MARGIN = WANTED
BETTER = 0.02  # a place is better by at least so much margin
MOST_EARLY_DEG = 5.0  # of a spark on the starter: as much again as the advance usually asked there; no source
MODEL = "compression speed, two interval decoders; common practice, no source"
FIELD = "plane field solution over the row of teeth; limit is our judgement, no source"
SUBJECT = "gap place"


def signal_findings(report: Json) -> Iterator[Finding]:
    """Findings of a report. Each that warns names what to change and to what."""
    if report["gap_map"]:
        yield from [_ratio(report)] if report["sync"]["margin"] is None else [_sync(report), _clear(report)]
    if report["sparks"]:
        yield _early(report)
        yield _charge(report)
    if report["least_rpm_for_teeth"]:
        yield _teeth(report)
    if report["seen"] is not None:
        yield from _seen(report)


def input_of(report: Json, key: str) -> Any:
    """An input's value, by its key; None for one that is not listed."""
    return next((row["value"] for row in report["inputs"] if row["key"] == key), None)


def here(report: Json) -> Json:
    """The gap map's row nearest to the job's own place."""
    passes = (input_of(report, "sensor.at") - input_of(report, "wheel.gap_at")) % 360.0
    row: Json = report["gap_map"][round(passes) % 360]
    return row


def best(report: Json, *, clear: bool = False) -> Json | None:
    """The gap map's best row; clear: of those clear of the coils' windows, None where there is none."""
    if not clear:
        place = (input_of(report, "sensor.at") - report["best_gap_at_deg"]) % 360.0
        row: Json = report["gap_map"][round(place) % 360]
        return row
    rows = [row for row in report["gap_map"] if row["clear_deg"] >= 0 and row["margin"] is not None]
    return max(rows, key=lambda row: (row["margin"], row["clear_deg"])) if rows else None


def places_said(report: Json, row: Json) -> str:
    """Where gap or sensor would go for a row of the map: "gap_at: 246 deg for this sensor, or sensor.at: 64 deg …"."""
    at, gap = input_of(report, "sensor.at"), input_of(report, "wheel.gap_at")
    passes = row["gap_passes_deg"]
    return (
        f"gap_at: {_round((at - passes) % 360)} deg with the sensor where it is, "
        f"or sensor.at: {_round((gap + passes) % 360)} deg for a wheel already cut"
    )


def _round(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".")


def _sync(report: Json) -> Finding:
    """Will it find the gap on the starter?"""
    sync = report["sync"]
    margin, compares = sync["margin"], input_of(report, "controller.compares")
    there = best(report)
    assert there is not None
    good = margin >= LEAST_MARGIN
    better = there["margin"] > margin + BETTER
    verdict: Verdict = "pass" if good or (margin > SURE and not better) else "warn"
    said = (
        "the controller finds the gap on the starter" if margin > 1 else "the controller misses the gap on the starter"
    )
    why = f"{said}: margin {margin:.2f} where 1 is the least that syncs"
    if better:
        why += f"; the best place has {there['margin']:.2f}: {places_said(report, there)}"
        open_place = best(report, clear=True)
        if there["clear_deg"] < 0 and open_place is not None and open_place["margin"] > margin:
            why += (
                f"; the best that is clear of sparks and coils has {open_place['margin']:.2f}: "
                f"{places_said(report, open_place)}"
            )
    other = "both" if compares == "last" else "last"
    if not good and sync[other] is not None and sync[other] > margin + BETTER:
        why += f"; a decoder set to `compares: {other}` has {sync[other]:.2f} here"
    if max(margin, there["margin"]) <= 1:
        why += ("; no place does" if better else "; no place is better") + _instead(report)
    elif margin <= 1 and not better:
        why += "; no place is better: keep the speed up with a full battery"
    return Finding(Check.SYNC_MARGIN, SUBJECT, margin, "", LEAST_MARGIN, verdict, why + ".", MODEL)


def _instead(report: Json) -> str:
    other = report["instead"]
    if other is None:
        return ": keep the speed up with a full battery and warm oil, or time from the cam"
    return (
        f": a {other['pattern']} wheel is found, with margin {other['margin']:.2f} at its best place, and `wheelcad "
        "options` says whether it fits; or keep the speed up with a full battery"
    )


def _ratio(report: Json) -> Finding:
    """A decoder that can find no gap of this wheel even at even speed."""
    why = (
        f"the controller looks for an interval {input_of(report, 'controller.ratio'):g} times as long as its neighbour "
        "and no gap of this wheel makes one even when the crank turns evenly: a smaller controller.ratio, or more "
        "missing teeth"
    )
    return Finding(Check.SYNC_MARGIN, SUBJECT, "no gap is found", "", LEAST_MARGIN, "warn", why + ".", MODEL)


def _clear(report: Json) -> Finding:
    row, open_place = here(report), best(report, clear=True)
    clear = row["clear_deg"]
    why = "degrees of crank between the gap's passage and the nearest window in which a coil is charged or fires"
    verdict: Verdict = "pass"
    if clear < 0 and open_place is not None and open_place["margin"] >= min(LEAST_MARGIN, report["sync"]["margin"]):
        verdict = "warn"
        why += f"; clear of all of them, with margin {open_place['margin']:.2f}: {places_said(report, open_place)}"
    elif clear < 0:
        why += "; no place that syncs as well is clear of all of them, and most controllers manage"
    return Finding(Check.GAP_CLEAR, SUBJECT, clear, "deg", 0.0, verdict, why + ".", MODEL)


def _early(report: Json) -> Finding:
    """How far from the asked angle on the starter, where early means kick-back."""
    worst = max(report["sparks"], key=lambda spark: spark["error_deg"]["cranking"])
    early = worst["error_deg"]["cranking"]
    advance = input_of(report, "engine.advance.cranking")
    why = (
        f"cylinder {worst['cylinder']}'s spark on the starter comes so much earlier than the {angle(advance)} "
        "before TDC asked for, as the crank slows between the last tooth and the spark; early sparks kick back: keep "
        "hands and tools clear of starter and handle"
    )
    if early > MOST_EARLY_DEG:
        why += f"; ask for {angle(max(0.0, advance - early / 2), 0)} at cranking, take more teeth, or move the gap"
    return at_most(Check.SPARK_ERROR, "sparks", early, "deg", MOST_EARLY_DEG, why + ".", MODEL, "warn")


def _charge(report: Json) -> Finding:
    dwell = input_of(report, "engine.dwell")
    least = min(spark["charge_ms"]["top"] for spark in report["sparks"])
    why = (
        f"ms that the coils are charged at {speed(input_of(report, 'engine.max_speed'))}, of the {dwell:g} ms dwell; "
        "with less the sparks fade at the top: coils that charge faster, or more coils"
    )
    return at_least(Check.COIL_CHARGE, "coils", least, "ms", float(dwell), why + ".", "720/n and 6·n·t", "warn")


def _teeth(report: Json) -> Finding:
    cranking = float(input_of(report, "engine.cranking_speed"))
    why = (
        "mean speed on the starter below which the slowest tooth is not seen; a smaller air gap, a sensor that reads "
        "slower teeth, or a faster starter"
    )
    least = report["least_rpm_for_teeth"]
    return at_most(Check.TEETH_ON_STARTER, "sensor", least, "rpm", cranking, why + ".", MODEL, "warn")


def _seen(report: Json) -> list[Finding]:
    seen, out = report["seen"], []
    if "crossing_slope_share" in seen:
        share, flat = seen["crossing_slope_share"], seen["flat_over_tooth_deg"]
        why = (
            f"how steeply the signal crosses zero over a tooth, against a tooth as wide as what senses; for "
            f"{angle(flat)} of crank it is under a tenth of its peak"
        )
        if share < LEAST_SLOPE:
            cure = (
                "a wider pole, or a Hall sensor"
                if report["edge"]["element"] == "pole"
                else "elements farther apart, or one that sets its own level"
            )
            why += f", and there is nothing to time on: more teeth (narrower ones), {cure}"
        out.append(at_least(Check.CROSSING_STEEP, "sensor", share, "", LEAST_SLOPE, why + ".", FIELD, "warn"))
    for gap, later in zip(seen["air_gap_mm"], seen["leading_edge_later_deg"], strict=True):
        if later is None:
            why = (
                f"a sensor whose level was set at an air gap of {length(seen['air_gap_mm'][1])} no longer switches at "
                f"{length(gap)}, which sensor.air_gap_range allows: set the gap closer and keep run-out small"
            )
            out.append(Finding(Check.SWITCHES_AT_GAP, "sensor", gap, "mm", "it switches", "warn", why + ".", FIELD))
    return out
