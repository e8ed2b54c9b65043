"""The wheel as the sensor sees it in one turn of the crank: iron or no iron in front of it, as SVG."""

from __future__ import annotations

import numpy as np

from wheelcad.job.models import Job
from wheelcad.parts.wheel.design import WheelDesign

WIDE, HIGH = 360.0, 60.0  # the picture's own units: one across is a degree of crank


def iron_spans(job: Job, wheel: WheelDesign) -> list[tuple[float, float]]:
    """Spans of crank angle past TDC (degrees, from < to, cut at 0 and 360) in which a tooth's rim faces the sensor.

    A point of the wheel at angle p faces a sensor at angle s when the crank has turned (s - p) mod 360 from TDC.
    """
    if job.sensor is None:
        return []
    out = []
    for start, end in wheel.tooth_edges_deg.tolist():
        width = (end - start) % 360.0
        first = (job.sensor.at - end) % 360.0  # the edge of greater angle passes first
        out.append((first, min(first + width, 360.0)))
        if first + width > 360.0:
            out.append((0.0, first + width - 360.0))
    return sorted(out)


def eye_view(job: Job, wheel: WheelDesign, width_mm: float = 150.0) -> str:
    """The trace from TDC of cylinder 1 to the next, with degrees; "" without a sensor."""
    spans = iron_spans(job, wheel)
    if not spans:
        return ""
    high, low, foot = 14.0, 34.0, 40.0
    path = [f"M 0 {low}"]
    for start, end in spans:
        path.append(f"L {start:.2f} {low} L {start:.2f} {high} L {end:.2f} {high} L {end:.2f} {low}")
    path.append(f"L {WIDE:g} {low}")
    text = 'font-family="DejaVu Sans" font-size="8" text-anchor="middle"'
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width_mm:g}mm" '
        f'height="{width_mm * HIGH / (WIDE + 24):.2f}mm" '
        f'viewBox="-12 0 {WIDE + 24:g} {HIGH:g}">',
        f'<path d="{" ".join(path)}" fill="none" stroke="#000" stroke-width="1" stroke-linejoin="round"/>',
    ]
    for at in np.arange(0, 361, 30).tolist():
        parts.append(f'<line x1="{at}" y1="{foot}" x2="{at}" y2="{foot + 4}" stroke="#000" stroke-width="0.8"/>')
        parts.append(f'<text x="{at}" y="{foot + 14}" {text}>{"TDC" if at in (0, 360) else f"{at}°"}</text>')
    return "".join(parts) + "</svg>"
