"""The report as a person reads it in a terminal: the answers first, what they rest on last. At most 80 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterator
from typing import Any

from wheelcad.signal.advice import best, here, input_of, places_said, signal_findings
from wheelcad.signal.report import Json
from wheelcad.words import Words, angle, length, speed

WIDTH = 80
NEVER = "never, from the worst place to stand"
LEVELS = {
    ("leading", "low"): "falling",
    ("leading", "high"): "rising",
    ("trailing", "low"): "rising",
    ("trailing", "high"): "falling",
}


def signal_text(report: Json, units: str = "mm") -> str:
    """The whole report, lengths in `units` (mm or in)."""
    parts = [
        _sync(report),
        _edge(report),
        _seen(report),
        _sparks(report),
        _advice(report),
        inputs_told(report, input_text),
    ]
    words = Words(units)
    return "\n".join("\n".join(wrapped(words.text(line)) for line in part) for part in parts if part) + "\n"


def wrapped(line: str) -> str:
    """The line, broken at the terminal's width and indented as it began."""
    if len(line) <= WIDTH:
        return line
    indent = len(line) - len(line.lstrip()) + 2
    return "\n".join(
        textwrap.wrap(line, WIDTH, initial_indent="", subsequent_indent=" " * indent, drop_whitespace=True)
    )


def _said(value: float | None, places: int = 2) -> str:
    return "-" if value is None else f"{value:.{places}f}"


def _sync(report: Json) -> list[str]:
    sync, limit = report["sync"], report["cranking_dip_limit"]
    if not report["gap_map"] or sync["margin"] is None:
        return ["Sync: this wheel has no gap that this controller could find by itself.", ""]
    row, there = here(report), best(report)
    turns = sync["turns_to_sync"]
    out = [
        "On the starter",
        f"  {'syncs' if sync['margin'] > 1 else 'DOES NOT SYNC'}: margin {sync['margin']:.2f} (above 1 syncs); "
        f"compares last {_said(sync['last'])}, both {_said(sync['both'])}",
        "  first sync " + (NEVER if turns is None else f"after at most {turns:.2f} turns of the crank"),
        f"  syncs down to a slowest moment of {_said(limit['here'])} of the mean speed here, "
        f"{_said(limit['best'])} at the best place; this job's is {input_of(report, 'engine.cranking_dip'):g}",
        f"  the gap passes {angle(row['gap_passes_deg'], 0)} after TDC of cylinder 1, "
        + ("clear of coils by " if row["clear_deg"] >= 0 else "within coils' windows by ")
        + angle(abs(row["clear_deg"])),
        f"  best place: margin {there['margin']:.2f}, sparks within {angle(there['spark_error_deg'])}: "
        + places_said(report, there),
    ]
    least = report["least_rpm_for_teeth"]
    if least:
        out.append(f"  teeth are seen from {speed(least)} mean speed upwards")
    return [*out, ""]


def _edge(report: Json) -> list[str]:
    edge = report["edge"]
    where = "centre of each tooth" if edge["on"] == "centre" else f"{edge['on']} edge"
    out = ["Edge", f"  {edge['element']}; timed on the {where}"]
    electrical = LEVELS.get((edge["on"], edge["level_over_iron"]))
    if electrical:
        out.append(f"  output {edge['level_over_iron']} over iron: that is its {electrical} electrical edge")
    if edge["use_deg"] is not None:
        out.append(f"  tell the controller: {angle(edge['use_deg'])} from that edge of tooth 1 to TDC of cylinder 1")
    swapped = report["wires_swapped"]
    if swapped:
        intervals = ", ".join(f"{one:g}" for one in swapped["intervals"])
        out.append(
            f"  two wires swapped: intervals round the gap {intervals} pitches; "
            + ("it would sync, off by half a gap" if swapped["syncs"] else "the gap is gone and it does not sync")
        )
    return [*out, ""]


def _seen(report: Json) -> list[str]:
    seen = report["seen"]
    if seen is None:
        return []
    out = ["What the sensor sees (plane field; shares of the swing at the job's air gap)"]
    for gap, share, later in zip(seen["air_gap_mm"], seen["swing_share"], seen["leading_edge_later_deg"], strict=True):
        out.append(f"  air gap {length(gap)}: swing {share:.2f}{_moved(report, later)}")
    if "flat_over_tooth_deg" in seen:
        out.append(f"  under a tenth of its peak for {angle(seen['flat_over_tooth_deg'])} over each tooth")
    for name, volts in seen.get("volts_peak_to_peak", {}).items():
        out.append(f"  {name.replace('_', ' ')}: {volts:.2f} V peak to peak")
    return [*out, ""]


def _moved(report: Json, later: float | None) -> str:
    """How an edge moves with the air gap; a pickup's and a differential's crossing stays in the middle."""
    if report["edge"]["element"] in ("pole", "hall-differential"):
        return ""
    if later is None:
        return ", does not switch"
    return f", leading edge {angle(abs(later))} {'later' if later >= 0 else 'earlier'}"


def _sparks(report: Json) -> list[str]:
    out = [
        "Sparks (tooth 1 is the first after the gap; early is +)",
        "  cyl  speed     tooth  us after it  coil on  charge ms  error deg",
    ]
    for spark in report["sparks"]:
        for name in ("cranking", "idle", "top"):
            first = f"{spark['cylinder']:>3}" if name == "cranking" else "   "
            out.append(
                f"  {first}  {name:<8}  {spark['tooth_at'][name]:>5}  {spark['us'][name]:>11.0f}"
                f"  {spark['coil_on_tooth_at'][name]:>7}  {spark['charge_ms'][name]:>9.2f}"
                f"  {spark['error_deg'][name]:>+9.2f}"
            )
    return [*out, *_coils(report["coils"]), ""]


def _coils(coils: Json) -> list[str]:
    out = []
    if coils["pairs"]:
        out.append("  share a coil: " + ", ".join(f"{a} and {b}" for a, b in coils["pairs"]))
    if coils["each_turn"]:
        said = ", ".join(f"{one['cylinder']} at {angle(one['at_deg'])}" for one in coils["each_turn"])
        out.append(f"  a coil each, fired every turn, cylinder and TDC within the turn: {said}")
    if coils["rotor_meets_post_deg"] is not None:
        out.append(f"  the rotor must meet its post over {angle(coils['rotor_meets_post_deg'])} of distributor")
    return out


def _advice(report: Json) -> list[str]:
    warned = [finding for finding in signal_findings(report) if finding.verdict in ("warn", "fail")]
    if not warned:
        return []
    return ["To change", *(f"  {finding.check}: {finding.why}" for finding in warned), ""]


def inputs_told(report: Json, written: Callable[[str, Any], str]) -> Iterator[str]:
    """What a report rests on: given, then assumed. written: an input's value, by its key, as its document has it."""
    for head, given in (("Given", True), ("Assumed (put what you know into the job)", False)):
        yield head
        yield from (f"  {r['key']}: {written(r['key'], r['value'])}" for r in report["inputs"] if r["given"] is given)


_LENGTHS = ("sensor.air_gap", "sensor.air_gap_range", "sensor.face_diameter", "sensor.element_spacing")
_TIMES = ("engine.dwell", "sensor.delay", "controller.filter")


def input_text(key: str, value: Any) -> str:
    """An input as its document writes it."""
    if key in _LENGTHS:
        return ", ".join(length(one) for one in (value if isinstance(value, list) else [value]))
    if key in _TIMES:
        return f"{value:g} ms" if value >= 1 else f"{value * 1000:g} us"
    if isinstance(value, dict):
        return f"{value['volts']:g} V at {speed(value['at'])} and {length(value['gap'])}"
    if isinstance(value, list):
        return ", ".join(f"{one:g}" for one in value)
    return f"{value:g}" if isinstance(value, int | float) else str(value)
