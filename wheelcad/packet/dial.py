"""The wheel as a person facing it sees it, as SVG: outline, gap, TDC line, sensor, and which way it turns."""

from __future__ import annotations

import numpy as np

from wheelcad.job.models import Job
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.frames import point_at

ROOM = 1.42  # times the wheel's radius: half the picture's width
FLAT_MM = 0.05  # how closely arcs are drawn


def dial(job: Job, wheel: WheelDesign, size_mm: float = 120.0) -> str:
    """The picture, `size_mm` wide, cylinder 1 at TDC; true for both directions of turning."""
    r = wheel.radius_mm
    half = ROOM * r
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{size_mm:g}mm" height="{size_mm:g}mm" '
        f'viewBox="{-half:.3f} {-half:.3f} {2 * half:.3f} {2 * half:.3f}" font-family="DejaVu Sans" '
        f'font-size="{r * 0.095:.3f}" stroke-linecap="round">',
        _path(wheel.outline.flatten(FLAT_MM), r * 0.012, "#eee"),
    ]
    parts += [_path(opening.loop.flatten(FLAT_MM), r * 0.008, "#fff") for opening in wheel.openings]
    parts.append(_ray(wheel, 0.0, 0.0, 1.08, r, dash=f"{r * 0.06:.3f} {r * 0.025:.3f}"))
    parts.append(_label(wheel, 0.0, 1.18, r, "TDC line"))
    parts.append(_mark(wheel, wheel.gap_at_deg, r))
    at = job.sensor.at if job.sensor is not None else None
    near_tdc = at is not None and abs((wheel.gap_at_deg + 180) % 360 - 180) < 18
    parts.append(_label(wheel, wheel.gap_at_deg + (20 if near_tdc else 0), 0.72, r, "gap"))
    if at is not None:
        parts.append(_sensor(wheel, at, r))
    parts.append(_turning(wheel, r))
    return "".join(parts) + "</svg>"


def _xy(wheel: WheelDesign, angle: float, radius: float) -> tuple[float, float]:
    x, y = point_at(radius, angle, wheel.sense).tolist()
    return x, -y  # SVG's y runs down


def _path(points: np.ndarray, width: float, fill: str) -> str:
    run = " ".join(f"{x:.2f},{-y:.2f}" for x, y in points.tolist())
    return f'<polygon points="{run}" fill="{fill}" stroke="#000" stroke-width="{width:.3f}"/>'


def _ray(wheel: WheelDesign, angle: float, start: float, end: float, r: float, dash: str = "") -> str:
    (x0, y0), (x1, y1) = _xy(wheel, angle, start * r), _xy(wheel, angle, end * r)
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{x0:.2f}" y1="{y0:.2f}" x2="{x1:.2f}" y2="{y1:.2f}" stroke="#000" '
        f'stroke-width="{r * 0.012:.3f}"{dashed}/>'
    )


def _label(wheel: WheelDesign, angle: float, out: float, r: float, text: str) -> str:
    x, y = _xy(wheel, angle, out * r)
    return f'<text x="{x:.2f}" y="{y + r * 0.033:.2f}" text-anchor="middle">{text}</text>'


def _mark(wheel: WheelDesign, angle: float, r: float) -> str:
    """A filled wedge that points out to the gap from inside."""
    tip = _xy(wheel, angle, wheel.floor_radius_mm * 0.985)
    left, right = _xy(wheel, angle - 3.5, 0.82 * r), _xy(wheel, angle + 3.5, 0.82 * r)
    run = " ".join(f"{x:.2f},{y:.2f}" for x, y in (tip, left, right))
    return f'<polygon points="{run}" fill="#000"/>'


def _sensor(wheel: WheelDesign, angle: float, r: float) -> str:
    """The sensor as a rod that looks at the rim."""
    (x0, y0), (x1, y1) = _xy(wheel, angle, 1.02 * r), _xy(wheel, angle, 1.2 * r)
    rod = (
        f'<line x1="{x0:.2f}" y1="{y0:.2f}" x2="{x1:.2f}" y2="{y1:.2f}" stroke="#000" '
        f'stroke-width="{r * 0.1:.3f}" stroke-linecap="butt"/>'
    )
    return rod + _label(wheel, angle, 1.32, r, "sensor")


def _turning(wheel: WheelDesign, r: float) -> str:
    """An arc with an arrowhead at its leading end, on the side away from the TDC line."""
    start, end = (_xy(wheel, a, 0.5 * r) for a in (150.0, 210.0))
    sweep = 1 if wheel.sense > 0 else 0
    tip = _xy(wheel, 215.0, 0.5 * r)
    inner, outer = _xy(wheel, 207.0, 0.46 * r), _xy(wheel, 207.0, 0.54 * r)
    head = " ".join(f"{x:.2f},{y:.2f}" for x, y in (tip, inner, outer))
    return (
        f'<path d="M {start[0]:.2f} {start[1]:.2f} A {0.5 * r:.2f} {0.5 * r:.2f} 0 0 {sweep} {end[0]:.2f} {end[1]:.2f}"'
        f' fill="none" stroke="#000" stroke-width="{r * 0.02:.3f}"/><polygon points="{head}" fill="#000"/>'
        + _label(wheel, 180.0, 0.36, r, "crank turns")
    )
