"""The pages of what sensor and controller will see: where the gap passes, the starter's traces, sparks and faults."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from wheelcad.findings import Finding
from wheelcad.job.models import Job
from wheelcad.packet.page import PacketPage, degrees
from wheelcad.signal.advice import best, here, input_of, places_said
from wheelcad.signal.faults import SAFE, fault_table
from wheelcad.signal.report import Signal
from wheelcad.signal.text import LEVELS, input_text
from wheelcad.words import number, speed

MAP, STARTER, SCOPE = "gap-map", "cranking", "scope"
OURS = ("sync-margin", "gap-clear", "spark-error", "coil-charge", "teeth-on-starter", "crossing-steep")


def pictures_of(signal: Signal | None) -> dict[str, str]:
    """SVG texts by name: the gap map, the speed on the starter, the traces; {} without a signal."""
    if signal is None:
        return {}
    from wheelcad.signal.picture import cranking_svg, gap_map_svg, scope_svg
    from wheelcad.signal.trace import cranking, scope

    out = {STARTER: cranking_svg(cranking(signal))}
    if signal.gaps is not None and signal.margin == signal.margin:  # NaN: no gap that this decoder could find
        out[MAP] = gap_map_svg(signal.report())
    trace = scope(signal)
    if trace is not None:
        out[SCOPE] = scope_svg(trace)
    return out


def signal_pages(
    job: Job, report: Mapping[str, Any] | None, pictures: Mapping[str, str], findings: Sequence[Finding]
) -> Iterator[PacketPage]:
    """The pages; none for a job whose build has no `signal` in its report."""
    if report is None:
        return
    signal = dict(report)
    yield _gap_page(signal, pictures, findings)
    yield _starter_page(job, signal, pictures)
    yield _sparks_page(signal)
    yield _inputs_page(signal)


def budget_page(report: Mapping[str, Any] | None, pictured: bool = True) -> Iterator[PacketPage]:
    """How far off the timing may be, bars by source before and after (pictured); none where the build has no
    `budget`."""
    if report is None:
        return
    from wheelcad.signal.budget_text import advice, known, row_text, share_rows

    budget = dict(report)
    page = PacketPage("How far off the timing may be")
    page.numbers(
        [
            ("On the starter, before it is trimmed, 95 of 100 wheels", f"± {degrees(budget['before_trim_95_deg'])}"),
            ("After trimming with the light at idle", f"± {degrees(budget['after_trim_95_deg'])}"),
            ("From one tooth to the next", f"± {degrees(budget['spacing_95_deg'], 3)}"),
        ],
        large=False,
    )
    page.words(advice(budget), known(budget))
    if pictured:
        from wheelcad.signal.picture import budget_svg

        bars = [(name, float(a), float(b)) for name, a, b, _ in share_rows(budget)]
        page.picture("budget", budget_svg(bars), 140.0)
    each = [
        [str(row["cylinder"]), f"{row['before_95_deg']:.2f}", f"{row['after_95_deg']:.2f}"]
        for row in budget["per_cylinder"]
    ]
    told = [
        [row["key"], row_text(row["key"], row["value"]), "given" if row["given"] else "assumed"]
        for row in _of_shop(budget["inputs"])
    ]
    left = PacketPage("").grid(["Cylinder", "before, °", "after, °"], each, "rrr", small=True, close=True)
    right = PacketPage("").grid(["Rests on", "Value", ""], told, "lll", small=True, close=True, shares=(9, 7, 4))
    yield page.beside(left, right, (5, 9)).words("What is assumed is common practice, without a source.")


def _of_shop(rows: Sequence[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    """Inputs that the signal's pages do not print."""
    return [row for row in rows if row["key"].split(".")[0] not in ("engine", "sensor", "controller", "edges")]


def _gap_page(signal: dict[str, Any], pictures: Mapping[str, str], findings: Sequence[Finding]) -> PacketPage:
    page = PacketPage("Will it start: where the gap passes the sensor")
    if not signal["gap_map"] or signal["sync"]["margin"] is None:
        page.words("This wheel has no gap that this controller could find by itself.")
    else:
        row, there = here(signal), best(signal)
        assert there is not None
        sync, limit = signal["sync"], signal["cranking_dip_limit"]
        turns = sync["turns_to_sync"]
        page.numbers(
            [
                ("Margin on the starter here (above 1 syncs)", f"{sync['margin']:.2f}"),
                ("Margin at the best place", f"{there['margin']:.2f}"),
                ("Turns of the crank to the first sync, at most", "never" if turns is None else f"{turns:.1f}"),
                ("Slowest over mean speed it syncs down to", "-" if limit["here"] is None else f"{limit['here']:.2f}"),
                ("This job's slowest over mean speed", f"{input_of(signal, 'engine.cranking_dip'):g}"),
            ],
            large=False,
        )
        page.words(
            f"The gap passes {degrees(row['gap_passes_deg'], 0)} after TDC of cylinder 1. "
            f"Best: {places_said(signal, there)}."
        )
    if MAP in pictures:
        page.picture(MAP, pictures[MAP], 165.0)
    said = [f for f in findings if str(f.check) in OURS and f.verdict in ("warn", "fail")]
    return page.points([f"{f.why[:1].upper()}{f.why[1:]}" for f in said])


def _sparks_page(signal: dict[str, Any]) -> PacketPage:
    """Each cylinder's tooth, time, coil-on, charge and error at three speeds."""
    page = PacketPage("Where each spark comes")
    edge = signal["edge"]
    where = "the centre of each tooth" if edge["on"] == "centre" else f"the {edge['on']} edge of each tooth"
    electrical = LEVELS.get((edge["on"], edge["level_over_iron"]))
    said = f", which is the {electrical} electrical edge" if electrical else ""
    page.words(
        f"Timed on {where}{said}. Tooth 1 is the first after the gap. Error: how far from the asked angle the spark "
        "comes, + early."
    )
    rows = []
    for spark in signal["sparks"]:
        for name in ("cranking", "idle", "top"):
            rows.append(
                [
                    str(spark["cylinder"]) if name == "cranking" else "",
                    name,
                    str(spark["tooth_at"][name]),
                    number(spark["us"][name], 0),
                    str(spark["coil_on_tooth_at"][name]),
                    number(spark["charge_ms"][name], 2, keep=True),
                    f"{spark['error_deg'][name]:+.2f}",
                ]
            )
    head = ["Cylinder", "Speed", "Tooth", "µs after it", "Coil on at", "Charge, ms", "Error, °"]
    page.grid(head, rows, "rlrrrrr", small=len(rows) > 15, close=True)
    coils = signal["coils"]
    if coils["rotor_meets_post_deg"] is not None:
        page.words(
            f"The rotor must meet its post over {degrees(coils['rotor_meets_post_deg'])} of distributor, from most to "
            "least advance."
        )
    tops = (speed(input_of(signal, key)) for key in ("engine.cranking_speed", "engine.idle_speed", "engine.max_speed"))
    return page.words("Cranking, idle and top are " + ", ".join(tops) + ".")


def _starter_page(job: Job, signal: dict[str, Any], pictures: Mapping[str, str]) -> PacketPage:
    """The traces, and seen, likely, do."""
    page = PacketPage("On the starter: what you should see, and what else it may be")
    page.caution([SAFE])
    for name in (STARTER, SCOPE):
        if name in pictures:
            page.picture(name, pictures[name], 105.0)
    swapped = signal["wires_swapped"]
    if swapped:
        between = ", ".join(f"{one:g}" for one in swapped["intervals"])
        page.words(f"With its two wires swapped the intervals round the gap are {between} pitches: the gap is gone.")
    rows = [list(fault) for fault in fault_table(job)]
    return page.grid(["Seen", "Likely", "Do"], rows, "lll", small=True, shares=(5, 8, 9))


def _inputs_page(signal: dict[str, Any]) -> PacketPage:
    """All that the numbers rest on."""
    page = PacketPage("What these numbers rest on", joins=True)
    sides = []
    for head, given in (("Assumed: put what you know into the job", False), ("From the job", True)):
        rows = [[row["key"], input_text(row["key"], row["value"])] for row in signal["inputs"] if row["given"] is given]
        sides.append(PacketPage("").grid([head, ""], rows, "ll", small=True, close=True))
    page.beside(sides[0], sides[1])
    return page.words(
        "Not in the model: eddy currents, saturation, a magnetised wheel, noise, dips of the supply, kick-back."
    )
