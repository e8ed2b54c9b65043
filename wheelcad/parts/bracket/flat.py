"""The flat: tab, bends and arm put together as one outline, and its plane regions with their folded frames.

Lengths in mm; the flat's frame is `model`'s.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from wheelcad.parts.bracket.arm import with_corners
from wheelcad.parts.bracket.feasibility import TabStart, closed
from wheelcad.parts.bracket.layout import Layout
from wheelcad.parts.bracket.model import Region, Slit
from wheelcad.trade.loop import Loop
from wheelcad.trade.plasma import least_bridge_mm
from wheelcad.trade.tangent import Round, hull, outline


def whole_outline(layout: Layout, string: Sequence[Round]) -> Loop:
    """The flat's one closed outline, anticlockwise. Raises NoArmError when the tab cannot be drawn."""
    if not layout.bends:
        return outline(string)
    return outline([*string, *_tab_string(layout)])


def _tab_string(layout: Layout) -> list[Round]:
    """The tab's circles, anticlockwise from the bend's upper side round the free end to its lower side."""
    start = TabStart(-layout.tab_start, layout.half)
    turned = [_turned(item) for item in layout.tab]
    return [_turned(item) for item in with_corners(start, hull(turned))]


def _turned(item: Round) -> Round:
    """Half a turn about the origin."""
    return replace(item, x=-item.x, y=-item.y)


def regions(layout: Layout, string: Sequence[Round], thickness: float) -> tuple[Region, ...]:
    """The plane parts, arm first and tab last, each with its frame. A flat bracket is all arm."""
    if not layout.bends:
        return (Region("arm", outline(string), layout.arm_frame),)
    start = TabStart(layout.start_x, layout.half)
    frame = layout.arm_frame
    out = [Region("arm", closed(start, string, layout.bends[0].x_arm), frame)]
    for number, bend in enumerate(layout.bends):
        frame = frame.beyond(bend, thickness)
        if number + 1 < len(layout.bends):
            x0, x1 = layout.bends[number + 1].x_arm, bend.x_tab
            corners = [(x0, -layout.half), (x1, -layout.half), (x1, layout.half), (x0, layout.half)]
            out.append(Region("riser", Loop.polygon(corners), frame))
        else:
            cut = [Round(bend.x_tab, -layout.half, 0.0), Round(bend.x_tab, layout.half, 0.0)]
            out.append(Region("tab", outline([*cut, *_tab_string(layout)]), frame))
    return tuple(out)


def hand_slits(layout: Layout, thickness: float) -> Iterator[Slit]:
    """Slits along every bend line, with bridges of 1.5 × the thickness at both edges and between.

    Single cut paths. Each is at least a bridge long; a bend line too short for one slit gets none.
    """
    bridge = least_bridge_mm(thickness)
    for bend in layout.bends:
        count = max(1, math.floor((bend.width - bridge) / (2.4 * bridge)))
        length = (bend.width - (count + 1) * bridge) / count
        if length < bridge:
            continue
        for k in range(count):
            y = bend.y_from + bridge + k * (length + bridge)
            yield ((bend.line_x, y), (bend.line_x, y + length))
