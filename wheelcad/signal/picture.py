"""The gap map as a picture, and the traces. matplotlib is loaded here and nowhere else in this folder."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from wheelcad.plots import saved
from wheelcad.signal.advice import best, here
from wheelcad.signal.report import Json
from wheelcad.signal.trace import Cranking, Scope

SIZE_IN = (7.2, 4.6)  # of the gap map, shown 165 mm wide
SMALL_IN = (5.2, 3.3)  # of traces and bars, shown 105 and 125 mm wide: 9 point stay 1.8 mm high
LETTERS = 9  # points
DARK, MID, LIGHT = "#222222", "#777777", "#cccccc"


def gap_map_svg(report: Json) -> str:
    """The gap map of a report as SVG: margin, spark error, clearance over the gap's place. ValueError without one."""
    return _svg(_gap_map(report))


def scope_svg(trace: Scope) -> str:
    """The sensor round the gap, right way round and swapped, one above the other."""
    figure, axes = _figure(2, (1, 1), SMALL_IN)
    for ax, values, name in zip(axes, (trace.right, trace.swapped), _names(trace), strict=True):
        ax.plot(trace.crank_deg, values, color=DARK, lw=1.2)
        ax.axhline(0, color=LIGHT, lw=0.8)
        ax.axvline(0, color=MID, lw=0.8, ls="--")
        ax.set_ylabel(trace.unit)
        ax.set_title(name, fontsize=LETTERS, loc="left")
    axes[-1].set_xlabel("degrees of crank from where the gap's middle passes the sensor")
    return _svg(figure)


def cranking_svg(trace: Cranking) -> str:
    """Crank speed on the starter with every tooth, and where the decoder finds the gap."""
    figure, (ax,) = _figure(1, (1,), SMALL_IN)
    ax.plot(trace.ms, trace.rpm, color=DARK, lw=1.2)
    low = float(trace.rpm.min()) * 0.8
    ax.vlines(trace.teeth_ms, low, low * 1.05, color=MID, lw=0.6)
    for mask, style, name in ((trace.gap_there, "-", "gap"), (trace.gap_found, "--", "found by the controller")):
        for k, at in enumerate(trace.teeth_ms[mask]):
            ax.axvline(at, color=DARK, lw=0.9, ls=style, alpha=0.6, label=name if k == 0 else None)
    ax.set_xlabel("ms over two turns")
    ax.set_ylabel("rpm")
    ax.legend(loc="upper right", frameon=False, fontsize=LETTERS)
    return _svg(figure)


def budget_svg(rows: Sequence[tuple[str, float, float]]) -> str:
    """Bars by source, per cent of the variance, before and after the trim. rows: (source, before, after)."""
    figure, (ax,) = _figure(1, (1,), SMALL_IN)
    at = range(len(rows), 0, -1)
    for side, shade, name in ((1, LIGHT, "before trimming"), (2, DARK, "after trimming")):
        place = [k + (0.2 if side == 1 else -0.2) for k in at]
        ax.barh(place, [row[side] for row in rows], height=0.36, color=shade, label=name)
    ax.set_yticks(list(at), [row[0] for row in rows])
    ax.set_xlabel("per cent of the variance")
    ax.legend(loc="lower right", frameon=False, fontsize=LETTERS)
    return _svg(figure)


def _names(trace: Scope) -> tuple[str, str]:
    if trace.unit == "level":
        return "as this sensor's output stands", "an output that stands the other way up"
    return "right way round: falls through zero over each tooth", "two wires swapped: the gap is gone"


def _gap_map(report: Json) -> Any:
    rows = report["gap_map"]
    if not rows:
        raise ValueError("a wheel without a gap has no gap map")
    figure, axes = _figure(3, (2, 1, 1))
    places = [row["gap_passes_deg"] for row in rows]
    curves = (("margin", 1.0, "margin\n(above 1 syncs)"), ("spark_error_deg", None, "spark off\nby, degrees"),
              ("clear_deg", 0.0, "clear of coils\nby, degrees"))  # fmt: skip
    for ax, (key, limit, name) in zip(axes, curves, strict=True):
        values = [float("nan") if row[key] is None else row[key] for row in rows]
        ax.plot(places, values, color=DARK, lw=1.2)
        if limit is not None:
            ax.axhline(limit, color=MID, lw=0.8)
            ax.fill_between(places, values, limit, where=[v < limit for v in values], color=LIGHT)
        ax.set_ylabel(name)
        ax.set_xlim(0, 359)
        ax.set_xticks(range(0, 360, 30))
        for row, style in ((here(report), "--"), (best(report), ":")):
            assert row is not None
            ax.axvline(row["gap_passes_deg"], color=DARK, lw=1, ls=style)
    axes[0].set_title("dashed: this job; dotted: the best place", fontsize=LETTERS, loc="left")
    axes[-1].set_xlabel("degrees of crank after TDC of cylinder 1 at which the gap passes the sensor")
    return figure


def _figure(count: int, heights: tuple[int, ...], size_in: tuple[float, float] = SIZE_IN) -> tuple[Any, Any]:
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=size_in, layout="constrained")
    FigureCanvasAgg(figure)
    axes = figure.subplots(count, 1, sharex=True, squeeze=False, gridspec_kw={"height_ratios": heights})[:, 0]
    for ax in axes:
        ax.tick_params(labelsize=LETTERS)
        ax.yaxis.label.set_size(LETTERS)
        ax.xaxis.label.set_size(LETTERS)
        ax.spines[["top", "right"]].set_visible(False)
    return figure, axes


def _svg(figure: Any) -> str:
    from matplotlib import rc_context

    with rc_context({"svg.hashsalt": "wheelcad", "svg.fonttype": "none"}):
        return saved(figure, "svg").decode("utf-8")
