"""The bench page's picture: the wheel from the front, turned so that the present cut is under the cutter at the top.

SVG, mm; x to the right and y down, so that angle a from the TDC line lies at (sense·r·sin a, -r·cos a).
"""

from __future__ import annotations

from wheelcad.parts.indexing.model import IndexPlan, Stop
from wheelcad.trade.frames import point_at

AROUND = 1.3  # half the picture's size over the wheel's radius


def wheel_picture(plan: IndexPlan) -> str:
    """The picture as an svg element; marks carry data-cut and data-kind for the page's script."""
    wheel = plan.wheel
    r = wheel.radius_mm
    half = AROUND * r
    parts = [f'<circle class="metal" r="{_n(r)}"/>']
    parts += [f'<circle class="hole" r="{_n(o.round[2])}"/>' for o in wheel.openings if o.name == "bore" and o.round]
    parts.append(_line("tdc", wheel.floor_radius_mm * 0.92, r * 0.28, 0.0, wheel.sense))
    x, y = _at(r * 0.6, 0.0, wheel.sense)
    parts.append(f'<text x="{_n(x + r * 0.05)}" y="{_n(y)}" font-size="{_n(r * 0.16)}">TDC</text>')
    marks = [_mark(plan, stop) for stop in plan.cuts if stop.work != "side"]
    turning = '<g id="turning">' + "".join(parts + marks) + "</g>"
    cutter = max((plan.cutter_mm or wheel.slot.width) / 2, 0.05 * r)
    still = f'<circle class="cutter" cx="0" cy="{_n(-r - cutter * 0.2)}" r="{_n(cutter)}"/>' + _arrow(
        r * 1.16, wheel.sense
    )
    box = f"{_n(-half)} {_n(-half)} {_n(2 * half)} {_n(2 * half)}"
    return f'<svg viewBox="{box}" role="img" aria-label="Wheel">{turning}{still}</svg>'


def _n(value: float) -> str:
    return f"{round(value, 2) + 0.0:g}"


def _at(radius: float, angle_deg: float, sense: int) -> tuple[float, float]:
    x, y = point_at(radius, angle_deg, sense).tolist()
    return x, -y


def _line(name: str, r0: float, r1: float, angle_deg: float, sense: int, more: str = "") -> str:
    (x0, y0), (x1, y1) = _at(r0, angle_deg, sense), _at(r1, angle_deg, sense)
    return f'<line class="{name}" x1="{_n(x0)}" y1="{_n(y0)}" x2="{_n(x1)}" y2="{_n(y1)}"{more}/>'


def _mark(plan: IndexPlan, stop: Stop) -> str:
    """The mark of one cut: a slot or gap pass as wide as it is, what is drilled as a disc."""
    wheel = plan.wheel
    angle = float(stop.at) + wheel.gap_at_deg
    data = f' data-cut="{stop.cut}" data-kind="{stop.work}"'
    if stop.drill is not None:
        x, y = _at(stop.drill.radius_mm, angle, wheel.sense)
        size = max(stop.drill.diameter_mm / 2, 0.03 * wheel.radius_mm)
        return f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(size)}"{data}/>'
    width = wheel.slot.width if stop.work == "slot" else (plan.cutter_mm or wheel.slot.width)
    return _line(
        "mark", wheel.radius_mm, wheel.floor_radius_mm, angle, wheel.sense, f' stroke-width="{_n(width)}"{data}'
    )


def _arrow(radius: float, sense: int) -> str:
    """Below the wheel: which way the work turns. Anticlockwise work runs to the right down there."""
    way = 1 if sense > 0 else -1
    x0, y0 = _at(radius, 180 + 24 * way, 1)
    x1, y1 = _at(radius, 180 - 24 * way, 1)
    size = radius * 0.07
    flag = 0 if way > 0 else 1
    tip, left, right = (
        (x1 + way * size * 1.6, y1 - size * 0.7),
        (x1 - way * size * 0.4, y1 - size),
        (x1 + way * size * 0.3, y1 + size),
    )
    head = " L".join(f"{_n(x)} {_n(y)}" for x, y in (tip, left, right))
    arc = f"M{_n(x0)} {_n(y0)} A{_n(radius)} {_n(radius)} 0 0 {flag} {_n(x1)} {_n(y1)}"
    return f'<path class="arrow" d="{arc}"/><path class="head" d="M{head} Z"/>'
