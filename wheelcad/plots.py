"""Plots as files. The same data gives the same bytes: no date, no program name, no settings file, fixed names in SVG.

matplotlib is loaded where something is plotted, and not before.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from wheelcad.units import INCH_MM

SETTINGS: Mapping[str, Any] = MappingProxyType(
    {
        "font.family": "DejaVu Sans",  # comes with the plotting library: the same on every computer
        "font.size": 8.0,
        "svg.hashsalt": "wheelcad",
        "svg.fonttype": "path",
        "pdf.fonttype": 42,
        "axes.linewidth": 0.6,
    }
)
UNSAID: Mapping[str, dict[str, None]] = {
    "png": {"Software": None},
    "svg": {"Date": None, "Creator": None},
    "pdf": {"CreationDate": None, "Creator": None, "Producer": None},
}


def plotted(kind: str, size_mm: tuple[float, float], draw: Callable[[Any], None]) -> bytes:
    """A file (png, svg or pdf) of the size, of what `draw` puts on its figure."""
    import matplotlib
    from matplotlib.figure import Figure

    with matplotlib.rc_context():
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(SETTINGS)
        figure = Figure(figsize=(size_mm[0] / INCH_MM, size_mm[1] / INCH_MM), dpi=200)
        draw(figure)
        return saved(figure, kind)


def saved(figure: Any, kind: str) -> bytes:
    """A figure as a file's bytes."""
    out = io.BytesIO()
    figure.savefig(out, format=kind, metadata=UNSAID[kind])
    return out.getvalue()
