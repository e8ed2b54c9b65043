"""What the passes really cut: every path of the cutter taken from a disc has to leave the wheel that was drawn.

The cutter's path is drawn here by itself with shapely, from offsets, turns and depths alone.
"""

from __future__ import annotations

import math

import pytest
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon, box
from shapely.ops import unary_union

from tests.conftest import plate_job
from wheelcad.parts.indexing.design import design_indexing
from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.parts.wheel.design import WheelDesign, design_wheel
from wheelcad.parts.wheel.passes import RIDGE_MM, widest_step_deg

CASES = [
    # teeth, missing, diameter, slot, cutter, lying
    (36, 1, 160, "{width: 6, depth: 6.35, sides: parallel, floor: round}", 6, "flat"),
    (36, 2, 160, "{width: 6, depth: 6.35, sides: parallel, floor: round}", 4, "flat"),
    (24, 1, 150, "{width: 10, depth: 7, sides: parallel, floor: flat, corner_radius: 3}", 6, "flat"),
    (24, 1, 150, "{width: 10, depth: 7, sides: parallel, floor: flat, corner_radius: 4}", 5, "flat"),
    (24, 3, 120, "{width: 7.9375, depth: 7.62, sides: parallel, floor: flat, corner_radius: 0.8}", 6.35, "upright"),
    (12, 1, 120, "{width: 20, depth: 8, sides: parallel, floor: flat}", 6, "upright"),
    (60, 2, 190, "{width: 5, depth: 6, sides: radial, floor: flat, corner_radius: 0.8}", 4, "upright"),
    (24, 1, 150, "{width: 12, depth: 8, sides: radial, floor: flat}", 3, "upright"),
    (24, 1, 150, "{width: 12, depth: 8, sides: radial, floor: flat, corner_radius: 2.5}", 5, "flat"),
    (24, 1, 150, "{width: 12, depth: 8, sides: radial, floor: flat, corner_radius: 3}", 5, "flat"),
]


def tool(diameter: float, flat: bool, corner: float) -> Polygon:
    """The area a cutter takes when its nose or end stands at h = 0 and it came from far outside along h."""
    r = diameter / 2
    if flat:
        return LineString([(0, r), (0, 60)]).buffer(r, quad_segs=256)
    corner = min(corner, r)
    if corner == 0:
        return box(-r, 0, r, 60)
    return unary_union(
        [box(-r, corner, r, 60), box(-r + corner, 0, r - corner, 60)]
        + [Point(s, corner).buffer(corner, quad_segs=256) for s in (-r + corner, r - corner)]
    )


def cut_away(plan: IndexPlan, wheel: WheelDesign) -> Polygon:
    flat = plan.setups[0].lying == "flat"
    one = tool(plan.cutter_mm, flat, wheel.slot.corner_radius)

    def at(offset: float, depth: float, angle: float) -> Polygon:
        moved = affinity.translate(one, offset, wheel.radius_mm - depth)
        return affinity.rotate(moved, -wheel.sense * angle, origin=(0, 0))  # shapely turns anticlockwise

    taken = []
    for cut in plan.of_kind("slot"):
        angle = float(cut.at) + wheel.gap_at_deg
        for done in plan.slot_passes:
            # across the slot s rises with the angle: to the right at the top of a clockwise wheel
            taken.append(at(wheel.sense * done.offset_mm, done.depth_mm, angle + done.turn_deg))
    for cut in plan.of_kind("gap"):
        taken.append(at(0.0, wheel.slot.depth, float(cut.at) + wheel.gap_at_deg))
    return unary_union(taken)


@pytest.mark.parametrize(("teeth", "missing", "diameter", "slot", "cutter", "lying"), CASES)
@pytest.mark.parametrize("turns", ["clockwise", "anticlockwise"])
def test_the_passes_leave_the_wheel(
    teeth: int, missing: int, diameter: float, slot: str, cutter: float, lying: str, turns: str
) -> None:
    shop = f"shop: {{rotary_table: {{ratio: 40, dial_step: 0.05}}, cutter: {{diameter: {cutter}}}}}\n"
    job = plate_job(teeth, missing, diameter, gap_at=33, turns=turns, slot=slot, extra=shop)
    wheel = design_wheel(job)
    plan = design_indexing(job, wheel)
    assert plan is not None
    assert plan.report()["lying"] == lying
    drawn = Polygon(wheel.outline.flatten(0.0005))
    left = Point(0, 0).buffer(diameter / 2, quad_segs=4096).difference(cut_away(plan, wheel))
    # nothing of the wheel is cut into
    assert drawn.buffer(-0.004).difference(left).area < 1e-6
    # and nothing stands but the ridges and cusps that are stated
    proud = left.difference(drawn.buffer(RIDGE_MM * 1.6))
    assert proud.area < 1e-3
    assert plan.gap_ridge_mm is not None
    floor_r = wheel.floor_radius_mm
    middle = Point(0, 0).buffer(floor_r + plan.gap_ridge_mm + 0.002, quad_segs=4096)
    a = math.radians(360 * missing / teeth / 2) * 0.98
    fan = Polygon([(0, 0)] + [(200 * math.sin(t), 200 * math.cos(t)) for t in (-a, -a / 2, 0, a / 2, a)])
    fan = affinity.rotate(fan, -wheel.sense * 33, origin=(0, 0))
    assert left.intersection(fan).difference(middle).area < 1e-3


def test_a_pass_too_few_in_the_gap_would_be_seen() -> None:
    job = plate_job(extra="shop: {rotary_table: {ratio: 40, dial_step: 0.05}, cutter: {diameter: 6}}\n")
    wheel = design_wheel(job)
    plan = design_indexing(job, wheel)
    assert plan is not None
    drawn = Polygon(wheel.outline.flatten(0.0005)).buffer(RIDGE_MM * 1.6)
    disc = Point(0, 0).buffer(80, quad_segs=4096)
    gap = [cut.cut for cut in plan.of_kind("gap")]
    fewer = tuple(stop for stop in plan.stops if stop.cut not in gap[2:6])
    from dataclasses import replace

    proud = disc.difference(cut_away(replace(plan, stops=fewer), wheel)).difference(drawn)
    assert proud.area > 0.5


def test_a_flat_end_leaves_its_ridge_by_pythagoras() -> None:
    """Flats tangent to the floor circle meet at floor/cos(half step): by hand, for a corner that stays out of it."""
    wheel = design_wheel(plate_job(24, 1, 120, slot="{width: 9, depth: 7.62, floor: flat, corner_radius: 0.5}"))
    floor = 60 - 7.62
    half = math.degrees(math.acos(floor / (floor + RIDGE_MM)))
    assert floor * math.tan(math.radians(half)) < 4 - 0.5
    assert widest_step_deg(wheel.slot, 8.0) == pytest.approx(2 * half, rel=1e-6)
