"""The Campbell plot as a picture: what the engine shakes with against what the bracket answers to."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from wheelcad.checks.fem.campbell import Campbell
from wheelcad.plots import plotted

SIZE_MM = 170.0, 112.0
INK, QUIET, ALARM, BRACKET = "#1a1a1a", "#8a8a8a", "#b3261e", "#1f5a96"
APART, WIDE = 0.036, 0.11  # of the plot's height and width: labels nearer than this are moved apart
CLOSE = 0.075  # of the plot's width: speeds nearer than this are written on two lines


def get_ready() -> None:
    """Load what plotting needs and is slow to load: while the solver is still at work."""
    import matplotlib.backends.backend_agg
    import matplotlib.backends.backend_svg
    import matplotlib.figure  # noqa: F401  # most of all: axes and what documents them


def campbell_plot(data: Campbell, title: str, kind: str) -> bytes:
    """The picture as a file's bytes; kind: png or svg."""

    def draw(figure: Any) -> None:
        axes = figure.add_axes((0.085, 0.11, 0.755, 0.80))
        top = _top(data)
        _orders(axes, data, top)
        _modes(axes, data, top)
        _crossings(axes, data, top)
        _frame(axes, data, top, title)

    return plotted(kind, SIZE_MM, draw)


def _top(data: Campbell) -> float:
    """Highest frequency shown: a little over the first, and over the firing order where it ends."""
    wanted = max(data.firing_order * data.max_speed_rpm / 60, data.frequencies_hz[0]) * 1.35
    highest = data.orders[-1].hz(data.speeds_rpm[-1]) * 1.05
    shown = [hz for hz in data.frequencies_hz if hz * 1.1 <= highest]
    return max([wanted, *(hz * 1.15 for hz in shown)])


def _orders(axes: Any, data: Campbell, top: float) -> None:
    """The engine's orders, each named where its line leaves the plot."""
    end = data.speeds_rpm[-1]
    beside: list[tuple[float, str, str]] = []
    over: list[tuple[float, str, str]] = []
    for order in data.orders:
        main = abs(order.order - data.firing_order) < 1e-9
        colour, width = (INK, 1.4) if main else (QUIET, 0.4 + 0.8 * order.level(1.0))
        axes.plot(data.speeds_rpm, [order.hz(rpm) for rpm in data.speeds_rpm], color=colour, lw=width, zorder=2)
        if order.rpm(top) >= end:
            beside.append((order.hz(end), data.short(order), colour))
        else:
            over.append((order.rpm(top), data.short(order), colour))
    apart = APART * top * max([1, *(label.count("\n") + 1 for _, label, _ in beside)])
    for at, (_, label, colour) in zip(spread([b[0] for b in beside], apart), beside, strict=True):
        _say(axes, label, (end, at), (4, 0), colour, "left", "center")
    over.sort()
    for at, (_, label, colour) in zip(spread([o[0] for o in over], WIDE * end), over, strict=True):
        _say(axes, label, (at, top), (0, 3), colour, "center", "bottom")


def spread(places: Sequence[float], apart: float) -> list[float]:
    """Rising places moved as little as it takes from the lowest upwards to lie `apart` from each other."""
    out: list[float] = []
    for place in places:
        out.append(max(place, out[-1] + apart) if out else place)
    return out


def _say(
    axes: Any, words: str, at: tuple[float, float], offset: tuple[float, float], colour: str, ha: str, va: str
) -> None:
    """Words beside a point, on a white ground so that lines behind them do not cross them out."""
    ground = {"facecolor": "white", "edgecolor": "none", "pad": 0.6, "alpha": 0.85}
    axes.annotate(
        words,
        at,
        xytext=offset,
        textcoords="offset points",
        ha=ha,
        va=va,
        color=colour,
        annotation_clip=False,
        fontsize=7,
        bbox=ground,
        zorder=6,
    )


def _modes(axes: Any, data: Campbell, top: float) -> None:
    """The bracket's own frequencies; those beyond the plot are named at its top."""
    if data.softer_hz:  # the first lies between its two clampings
        axes.axhspan(data.softer_hz, data.frequencies_hz[0], color=BRACKET, alpha=0.18, lw=0, zorder=1)
    for number, hz in enumerate(data.frequencies_hz, 1):
        if hz < top:
            width, style = (1.4, "-") if number == 1 else (0.9, (0, (6, 3)))
            axes.axhline(hz, color=BRACKET, lw=width, ls=style, zorder=3)
            low = f"{data.softer_hz:.0f} to " if number == 1 and data.softer_hz else ""
            _say(axes, f"bracket {number}: {low}{hz:.0f} Hz", (0.0, hz), (4, 3), BRACKET, "left", "bottom")
    above = [f"{hz:.0f} Hz" for hz in data.frequencies_hz if hz >= top]
    if above:
        _say(axes, f"bracket above: {', '.join(above)}", (0.0, top), (4, -4), BRACKET, "left", "top")


def _crossings(axes: Any, data: Campbell, top: float) -> None:
    """Where they meet within the engine's speeds, with the speed beside each; close neighbours' speeds on two lines."""
    for mode in range(1, len(data.frequencies_hz) + 1):
        before, lower = -math.inf, False
        for crossing in data.crossings:
            if crossing.mode != mode or crossing.hz >= top:
                continue
            lower = not lower and crossing.rpm - before < CLOSE * data.speeds_rpm[-1]
            before = crossing.rpm
            main = abs(crossing.order - data.firing_order) < 1e-9
            axes.plot([crossing.rpm], [crossing.hz], "o", ms=5 if main else 3.5, color=ALARM, zorder=5)
            offset = (4, -14 if lower else -5)
            _say(axes, f"{crossing.rpm:.0f}", (crossing.rpm, crossing.hz), offset, ALARM, "left", "top")


def _frame(axes: Any, data: Campbell, top: float, title: str) -> None:
    fastest = data.max_speed_rpm
    axes.axvline(fastest, color=INK, lw=0.8, ls=(0, (2, 2)), zorder=1)
    _say(axes, f"highest speed\n{fastest:.0f} rpm", (fastest, 0.012 * top), (-3, 0), INK, "right", "bottom")
    axes.set_xlim(0, data.speeds_rpm[-1])
    axes.set_ylim(0, top)
    axes.set_xlabel("crank speed, rpm")
    axes.set_ylabel("frequency, Hz")
    axes.set_title(title, loc="left", fontsize=9, pad=14)
    axes.grid(True, color="#e4e4e4", lw=0.4, zorder=0)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
