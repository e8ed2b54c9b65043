"""The flat: tab, bends and arm put together as one outline, and its plane regions with their folded frames.

Lengths in mm; the flat's frame is `model`'s.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from wheelcad.parts.bracket.arm import Start, closed
from wheelcad.parts.bracket.layout import Layout
from wheelcad.parts.bracket.model import Region, Slit
from wheelcad.trade.loop import Loop
from wheelcad.trade.plasma import least_bridge_mm
from wheelcad.trade.tangent import Round, outline

TAB_CORNER = 8.0  # mm: radius of the tab's two free corners, where its width allows


def tab_corners(half: float) -> tuple[Round, Round]:
    """The tab's free corners, lower and upper, at x = 0."""
    radius = min(TAB_CORNER, half / 2)
    return Round(radius, -(half - radius), radius), Round(radius, half - radius, radius)


def whole_outline(layout: Layout, string: Sequence[Round]) -> Loop:
    """The flat's one closed outline, anticlockwise."""
    if not layout.bends:
        return outline(string)
    lower, upper = tab_corners(layout.half)
    return outline([lower, *string, upper])


def regions(layout: Layout, string: Sequence[Round], thickness: float) -> tuple[Region, ...]:
    """The plane parts, arm first and tab last, each with its frame. A flat bracket is one region called tab."""
    if not layout.bends:
        return (Region("tab", outline(string), layout.arm_frame),)
    start = Start(layout.start_x, layout.half)
    frame = layout.arm_frame
    out = [Region("arm", closed(start, string, layout.bends[0].x_arm), frame)]
    for number, bend in enumerate(layout.bends):
        frame = frame.beyond(bend, thickness)
        if number + 1 < len(layout.bends):
            x0, x1 = layout.bends[number + 1].x_arm, bend.x_tab
            corners = [(x0, -layout.half), (x1, -layout.half), (x1, layout.half), (x0, layout.half)]
            out.append(Region("riser", Loop.polygon(corners), frame))
        else:
            lower, upper = tab_corners(layout.half)
            cut = [Round(bend.x_tab, -layout.half, 0.0), Round(bend.x_tab, layout.half, 0.0)]
            out.append(Region("tab", outline([lower, *cut, upper]), frame))
    return tuple(out)


def hand_slits(layout: Layout, thickness: float) -> tuple[Slit, ...]:
    """Slits along every bend line, with bridges of 1.5 × the thickness at both edges and between.

    Single cut paths. Each is at least two bridges long; a bend line too short for one slit gets none.
    """
    bridge = least_bridge_mm(thickness)
    out: list[Slit] = []
    for bend in layout.bends:
        count = max(1, math.floor((bend.width - bridge) / (2.5 * bridge)))
        length = (bend.width - (count + 1) * bridge) / count
        if length < bridge:
            continue
        for k in range(count):
            y = bend.y_from + bridge + k * (length + bridge)
            out.append(((bend.line_x, y), (bend.line_x, y + length)))
    return tuple(out)
