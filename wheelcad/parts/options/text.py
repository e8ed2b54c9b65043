"""The table of options for a terminal: fits eighty columns, in the job's unit."""

from __future__ import annotations

import textwrap

from wheelcad.parts.options.choose import said
from wheelcad.parts.options.row import Option
from wheelcad.parts.options.table import OptionTable
from wheelcad.words import Words

WIDEST = 80  # columns


def options_text(table: OptionTable, width: int = WIDEST) -> str:
    """The table, the pattern to take and why, what stands against each of the others, and what the columns mean."""
    words = Words(table.units)
    rows = [_cells(table, option, words) for option in table.options]
    every = [*_heads(words), *rows]
    widths = [max(len(row[k]) for row in every) for k in range(len(every[0]))]
    last = len(widths) - 1
    between = "  " if sum(widths) + 2 * last <= width else " "
    lines = [
        between.join(
            cell.ljust(size) if k in (0, last) else cell.rjust(size)
            for k, (cell, size) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in every
    ]
    return "\n".join([*lines, "", *_chosen(table, words, width), "", *_legend(table, words, width)])


def _heads(words: Words) -> tuple[tuple[str, ...], ...]:
    unit, heavy = words.form("length").unit.strip(), words.form("unbalance").unit.strip()
    return (
        ("", "pitch", "tooth", "top", "pitches", "table", "unbal.", "starter", "timing", ""),
        ("pattern", "°", unit, "kHz", "a firing", "set by", heavy, "reads/off°", "±°", "verdict"),
    )


def _cells(table: OptionTable, option: Option, words: Words) -> tuple[str, ...]:
    wheel, heavy = option.wheel, option.unbalance_g_mm
    index = table.options.index(option)
    start, timing = table.starts[index], table.timing[index]
    mark = "*" if (option.teeth, option.missing) == table.own else ""
    mark += " <" if option is table.choice.best else ""
    return (
        f"{option.name}{mark}",
        f"{option.pitch_deg:.4g}",
        words.bare(wheel.tooth_top_mm) if wheel is not None else "none",
        "-" if option.rate_hz is None else f"{option.rate_hz / 1000:.2f}",
        _pitches(option.pitches),
        _set_by(option),
        "-" if heavy is None else words.quantity(heavy, "unbalance", 0).removesuffix(words.form("unbalance").unit),
        "-" if start is None else f"{start.margin:.2f}/{start.error_deg:.1f}",
        "-" if timing is None else f"{timing:.1f}",
        table.choice.verdicts[index],
    )


def _pitches(values: tuple[float, ...]) -> str:
    """Firing intervals in pitches, rising: 12, 18/30, or the least and the most of many."""
    few = values if len(values) <= 2 else (values[0], values[-1])
    return ("/" if len(values) <= 2 else "..").join(f"{value:.3g}" for value in few) or "-"


def _set_by(option: Option) -> str:
    """The dial and the plate's circle where they are exact, else how far off the dial is at most."""
    reach = option.reach
    if reach is None:
        return "-"
    exact = (["dial"] if reach.by_dial else []) + ([f"{reach.circle}h"] if reach.circle else [])
    return "/".join(exact) or f"±{reach.error_deg:.3g}°"


def _chosen(table: OptionTable, words: Words, width: int) -> list[str]:
    """The recommended pattern, then the others."""
    choice = table.choice
    first = "Take none of these: not one can be made and read."
    if choice.best is not None:
        first = f"Take {choice.best.name}. {choice.why}"
    out = _wrapped(words.text(first), "", width)
    for finding in choice.shared:
        out += _wrapped(words.text(f"Whatever the pattern: {said(finding)}; {finding.why}"), "", width)
    out.append("")
    alike: dict[tuple[str, str], list[str]] = {}
    for option, verdict, reason in zip(table.options, choice.verdicts, choice.reasons, strict=True):
        alike.setdefault((verdict, reason), []).append(option.name)
    for (said_of, reason), names in alike.items():
        out += _wrapped(words.text(f"{', '.join(names)}  {said_of}: {reason}"), "    ", width)
    return out


def _legend(table: OptionTable, words: Words, width: int) -> list[str]:
    slot = words.length(table.options[0].slot_mm)
    said = (
        f"tooth: at the rim, along the chord, beside slots of {slot}. top: teeth a second at the highest speed. "
        "unbal.: to be corrected, before any hole is drilled. table: what reaches every setting exactly, the dial's "
        "marks or a circle of so many holes (h); else how far off the dial is at most."
    )
    own = any((option.teeth, option.missing) == table.own for option in table.options)
    seen = [start for start in table.starts if start is not None]
    if seen:
        said += (
            " starter: how surely the controller finds the gap, above 1 it does, and the worst spark's error while "
            "cranking. timing: how far off a spark may be once trimmed with the light, 95 of 100 wheels (wheelcad "
            "budget)."
        )
        if seen[0].assumed:
            said += f" Assumed, for the job does not say: {', '.join(seen[0].assumed)}."
    return _wrapped(said + (" *: the job's own pattern." if own else "") + " <: recommended.", "", width)


def _wrapped(text: str, hang: str, width: int) -> list[str]:
    return textwrap.wrap(text, width, subsequent_indent=hang, break_long_words=False, break_on_hyphens=False)
