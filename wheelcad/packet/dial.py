"""The wheel as a person facing it sees it, as SVG: outline, gap, first tooth, TDC line, sensor, which way it turns."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from wheelcad.job.models import Job
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.frames import point_at, wrap_360
from wheelcad.trade.ignition import to_tdc_deg

ACROSS, DOWN = 1.62, 1.33  # times the wheel's radius: half the picture's width and height
FLAT_MM = 0.05  # how closely arcs are drawn
LEAST_DEG = 8.0  # from the middle of the gap to the letter of the first edge after it
APART_DEG = 9.0  # least angle between the letters of the two edges
BESIDE_DEG = 16.0  # from the middle of the gap to its name
WORD = 0.115  # height of letters, of the radius


def dial(job: Job, wheel: WheelDesign, size_mm: float = 120.0) -> str:
    """The picture, `size_mm` wide, cylinder 1 at TDC; true for both directions of turning.

    L and T name the leading and the trailing edge of the first tooth after the gap; an arc from the sensor to the
    gap is what the crank turns from the gap to TDC.
    """
    r = wheel.radius_mm
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{size_mm:g}mm" height="{size_mm * DOWN / ACROSS:.3f}mm" '
        f'viewBox="{-ACROSS * r:.3f} {-DOWN * r:.3f} {2 * ACROSS * r:.3f} {2 * DOWN * r:.3f}" '
        f'font-family="DejaVu Sans" font-size="{r * WORD:.3f}" stroke-linecap="round">',
        _path(wheel.outline.flatten(FLAT_MM), r * 0.012, "#eee"),
    ]
    parts += [_path(opening.loop.flatten(FLAT_MM), r * 0.008, "#fff") for opening in wheel.openings]
    parts.append(_ray(wheel, 0.0, 0.0, 1.1, r, dash=f"{r * 0.06:.3f} {r * 0.025:.3f}"))
    parts.append(_label(wheel, 0.0, 1.2, r, "TDC line"))
    at = job.sensor.at if job.sensor is not None else None
    if wheel.gaps[0].missing:
        parts += _gap(wheel, at, r)
    if at is not None:
        parts.append(_sensor(wheel, at, r))
    parts.append(_turning(wheel, at, r))
    return "".join(parts) + "</svg>"


def _gap(wheel: WheelDesign, sensor_at: float | None, r: float) -> Iterator[str]:
    """Mark and name of the first gap, the edges of the tooth after it, and the arc from the sensor."""
    gap, floor = wheel.gaps[0], wheel.floor_radius_mm / r
    yield _mark(wheel, gap.at_deg, floor, r)
    yield _label(wheel, gap.at_deg + BESIDE_DEG, floor - 0.16, r, "gap")
    middle = wheel.pitch_deg * (gap.missing + 1) / 2  # of the tooth, behind the gap
    half = wheel.pitch_deg / 2 - wheel.slot.rim_half_deg
    leading = max(middle - half, LEAST_DEG)
    letters = (("L", middle - half, leading), ("T", middle + half, max(middle + half, leading + APART_DEG)))
    for letter, edge, stands in letters:
        (x0, y0), (x1, y1) = (
            _xy(wheel, gap.at_deg - edge, floor * r),
            _xy(wheel, gap.at_deg - stands, (floor - 0.06) * r),
        )
        yield _line(x0, y0, x1, y1, r)
        yield _label(wheel, gap.at_deg - stands, floor - 0.13, r, letter)
    if sensor_at is not None:
        yield _way(wheel, sensor_at, to_tdc_deg(gap.at_deg, sensor_at), floor - 0.36, r)


def _way(wheel: WheelDesign, start: float, sweep: float, out: float, r: float) -> str:
    """An arc with an arrowhead, `sweep` degrees the way the crank turns, and its size in words."""
    parts = [_ray(wheel, start, out - 0.05, 0.99, r, dash=f"{r * 0.02:.3f} {r * 0.025:.3f}")]
    if sweep > 1.0:
        parts.append(_arc(wheel, start, start + sweep, out * r, r))
    text = f"{sweep:.2f}".rstrip("0").rstrip(".") + "°"
    return "".join([*parts, _label(wheel, start + sweep / 2, out - 0.15, r, text)])


def _arc(wheel: WheelDesign, start: float, end: float, radius: float, r: float) -> str:
    """A thick arc from start to end (degrees, end the larger) with its arrowhead at the end."""
    head = np.degrees(0.085 * r / radius)
    turns = np.linspace(start, max(end - head * 0.8, start), 60)
    run = " ".join(f"{x:.2f},{y:.2f}" for x, y in (_xy(wheel, a, radius) for a in turns))
    tip = [
        _xy(wheel, end, radius),
        _xy(wheel, end - head, radius - 0.045 * r),
        _xy(wheel, end - head, radius + 0.045 * r),
    ]
    points = " ".join(f"{x:.2f},{y:.2f}" for x, y in tip)
    line = f'<polyline points="{run}" fill="none" stroke="#000" stroke-width="{r * 0.02:.3f}" stroke-linecap="butt"/>'
    return f'{line}<polygon points="{points}" fill="#000"/>'


def _xy(wheel: WheelDesign, angle: float, radius: float) -> tuple[float, float]:
    x, y = point_at(radius, angle, wheel.sense).tolist()
    return x, -y  # SVG's y runs down


def _path(points: np.ndarray, width: float, fill: str) -> str:
    run = " ".join(f"{x:.2f},{-y:.2f}" for x, y in points.tolist())
    return f'<polygon points="{run}" fill="{fill}" stroke="#000" stroke-width="{width:.3f}"/>'


def _ray(wheel: WheelDesign, angle: float, start: float, end: float, r: float, dash: str = "") -> str:
    return _line(*_xy(wheel, angle, start * r), *_xy(wheel, angle, end * r), r, dash)


def _line(x0: float, y0: float, x1: float, y1: float, r: float, dash: str = "") -> str:
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{x0:.2f}" y1="{y0:.2f}" x2="{x1:.2f}" y2="{y1:.2f}" stroke="#000" '
        f'stroke-width="{r * 0.012:.3f}"{dashed}/>'
    )


def _label(wheel: WheelDesign, angle: float, out: float, r: float, text: str) -> str:
    """Words on a pale ground of their own shape, so that lines below them do not run through; outside the rim they
    begin or end at the place they are given, inside it they are centred on it."""
    x, y = _xy(wheel, angle, out * r)
    anchor = "middle"
    if out > 1.0 and abs(x) > 0.35 * r:
        anchor = "start" if x > 0 else "end"
    place = f'x="{x:.2f}" y="{y + r * WORD * 0.36:.2f}" text-anchor="{anchor}"'
    ground = "#fff" if out > 1.0 else "#eee"
    halo = f'<text {place} stroke="{ground}" stroke-width="{r * 0.05:.3f}" stroke-linejoin="round">{text}</text>'
    return f"{halo}<text {place}>{text}</text>"


def _mark(wheel: WheelDesign, angle: float, floor: float, r: float) -> str:
    """A filled wedge that points out to the gap from inside."""
    tip = _xy(wheel, angle, floor * 0.985 * r)
    left, right = (_xy(wheel, angle + turn, (floor - 0.14) * r) for turn in (-3.5, 3.5))
    run = " ".join(f"{x:.2f},{y:.2f}" for x, y in (tip, left, right))
    return f'<polygon points="{run}" fill="#000"/>'


def _sensor(wheel: WheelDesign, angle: float, r: float) -> str:
    """The sensor as a rod that looks at the rim."""
    (x0, y0), (x1, y1) = _xy(wheel, angle, 1.02 * r), _xy(wheel, angle, 1.2 * r)
    rod = (
        f'<line x1="{x0:.2f}" y1="{y0:.2f}" x2="{x1:.2f}" y2="{y1:.2f}" stroke="#000" '
        f'stroke-width="{r * 0.1:.3f}" stroke-linecap="butt"/>'
    )
    return rod + _label(wheel, angle, 1.27, r, "sensor")


def _turning(wheel: WheelDesign, sensor_at: float | None, r: float) -> str:
    """An arc outside the rim that runs the way the crank turns, where neither the sensor nor the TDC line is."""
    middle = 180.0
    if sensor_at is not None and abs(float(wrap_360(sensor_at)) - 180.0) < 55.0:
        middle = 90.0 if float(wrap_360(sensor_at)) >= 180.0 else 270.0
    return _arc(wheel, middle - 25.0, middle + 25.0, 1.1 * r, r) + _label(wheel, middle, 1.22, r, "crank turns")
