"""The errors as pictures: round the circle, and cut by cut; alone or on a page with the rest."""

from __future__ import annotations

import textwrap
from pathlib import Path
from typing import Any

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.measure.report import Measured
from wheelcad.plots import plotted
from wheelcad.units import INCH_MM

INK, QUIET, ALARM, MODEL = "#1a1a1a", "#8a8a8a", "#b3261e", "#1f5a96"
KINDS = (".pdf", ".png", ".svg", ".csv")
TABLE_COLUMNS, ROW, CHARTS_TOP = 4, 0.0085, 0.345  # of the table of slots: shares of the page's height
CHARACTERS = 112  # of a line of text on the page


def report_file(measured: Measured, path: Path) -> bytes:
    """The report as the path's suffix wants it (KINDS): a page, the charts, or the table."""
    kind = path.suffix.lower()
    if kind == ".csv":
        return measured.as_csv().encode("utf-8")
    return _page(measured) if kind == ".pdf" else _charts(measured, kind[1:])


def _charts(measured: Measured, kind: str) -> bytes:
    def draw(figure: Any) -> None:
        _polar(figure.add_axes((0.03, 0.10, 0.36, 0.78), projection="polar"), measured)
        _by_cut(figure.add_axes((0.50, 0.14, 0.48, 0.74)), measured)

    return plotted(kind, (240.0, 100.0), draw)


def _page(measured: Measured) -> bytes:
    """One page, A4 upright."""

    def draw(figure: Any) -> None:
        figure.text(0.08, 0.955, "What was measured", fontsize=14, weight="bold", color=INK)
        lines = [part for line in measured.lines() for part in (textwrap.wrap(line, CHARACTERS) or [""])]
        size = 8.0 if len(lines) <= 44 else 8.0 * 44 / len(lines)
        figure.text(0.08, 0.935, "\n".join(lines), fontsize=size, va="top", linespacing=1.35, color=INK)
        _table(figure, measured, 0.925 - len(lines) * size * 1.4 * INCH_MM / 72 / 297)
        _polar(figure.add_axes((0.06, 0.06, 0.36, 0.25), projection="polar"), measured)
        _by_cut(figure.add_axes((0.53, 0.08, 0.40, 0.21)), measured)

    return plotted("pdf", (210.0, 297.0), draw)


def _table(figure: Any, measured: Measured, top: float) -> None:
    """Every slot with its place and errors, in columns below the text, where there is room for all of them."""
    wheel = measured.wheel
    rows = int((top - CHARTS_TOP) / ROW)
    columns = -(-len(wheel.at_deg) // rows) if rows > 3 else TABLE_COLUMNS + 1
    if columns > TABLE_COLUMNS:
        return
    rows = -(-len(wheel.at_deg) // columns)
    every = zip(wheel.slot_centres_deg, wheel.single_deg, wheel.cumulative_deg, strict=True)
    text = [f"{k:>4} {at:9.3f} {one:8.3f} {sum_:8.3f}" for k, (at, one, sum_) in enumerate(every, start=1)]
    head = " cut    centre   single      sum"
    for column in range(columns):
        part = "\n".join([head, *text[column * rows : (column + 1) * rows]])
        x = 0.08 + column * 0.87 / TABLE_COLUMNS
        figure.text(x, top, part, fontsize=5.6, va="top", linespacing=1.25, family="DejaVu Sans Mono", color=INK)


def _scale(measured: Measured) -> float:
    """The largest error shown, degrees."""
    return max(float(np.abs(_errors(measured)).max()), measured.wheel.uncertainty_deg, 0.01) * 1.15


def _errors(measured: Measured) -> Floats:
    errors = np.asarray(measured.errors, dtype=float)
    return np.asarray(errors - (errors.max() + errors.min()) / 2)


def _polar(axes: Any, measured: Measured) -> None:
    """Errors from a circle that stands for none; angles from the gap's centre, the way the crank turns."""
    at = np.radians(measured.wheel.slot_centres_deg)
    errors, top = _errors(measured), _scale(measured)
    axes.set_theta_zero_location("N")
    axes.set_theta_direction(-1)
    axes.set_ylim(-2 * top, top)
    axes.plot(np.linspace(0, 2 * np.pi, 361), np.zeros(361), color=QUIET, linewidth=0.8)
    axes.vlines(at, 0, errors, color=ALARM, linewidth=1.0)
    axes.plot(at, errors, "o", color=INK, markersize=2.0)
    axes.set_yticks([-top / 1.15, 0, top / 1.15])
    axes.set_yticklabels([f"{-top / 1.15:.2g}°", "0", f"{top / 1.15:.2g}°"], fontsize=6, color=QUIET)
    axes.grid(linewidth=0.3, color=QUIET, alpha=0.5)
    axes.set_title("error of each slot, from above the face", fontsize=8)


def _by_cut(axes: Any, measured: Measured) -> None:
    """Errors in the order of cutting, their 95 % band, and what the mechanism explains."""
    errors = _errors(measured)
    cuts = np.arange(1, len(errors) + 1)
    axes.axhline(0.0, color=QUIET, linewidth=0.6)
    axes.errorbar(
        cuts,
        errors,
        yerr=measured.wheel.uncertainty_deg,
        fmt="o",
        color=INK,
        markersize=2.2,
        elinewidth=0.6,
        capsize=1.2,
    )
    model = np.asarray(measured.mechanism.per_cut, dtype=float)
    if len(model) == len(errors) and np.ptp(model) > 0:
        axes.plot(cuts, model - model.mean() + errors.mean(), color=MODEL, linewidth=1.0, drawstyle="steps-mid")
    axes.set_xlabel("cut")
    axes.set_ylabel("error, deg")
    axes.set_title(f"error by cut: {measured.mechanism.name}", fontsize=8)
    axes.margins(x=0.02)
