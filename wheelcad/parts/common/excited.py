"""What an engine of a job shakes with, and over which speeds; what of that was assumed."""

from __future__ import annotations

from dataclasses import dataclass

from wheelcad.findings import PRACTICE
from wheelcad.job.models import Engine
from wheelcad.trade.assumed import assumed, assumed_layout, assumed_vee_deg
from wheelcad.trade.excitation import Order, all_orders, firing_orders, inertia_orders, mean_firing_order
from wheelcad.trade.inertia import USUAL_ORDERS
from wheelcad.words import angle, speed


@dataclass(frozen=True)
class Excited:
    """orders: rising; firing_order: of the mean firing; layout: of the cylinders, vee_deg between the banks of a vee;
    assumed: sentences of what the job does not say."""

    orders: tuple[Order, ...]
    firing_order: float
    idle_rpm: float
    max_rpm: float
    layout: str
    vee_deg: float
    assumed: tuple[str, ...]


def excited(engine: Engine | None) -> Excited | None:
    """What shakes; None without the engine's cylinders and highest speed."""
    if engine is None or engine.cylinders is None or engine.max_speed is None:
        return None
    count, said = engine.cylinders, []
    layout: str = engine.layout or assumed_layout(count)
    if engine.layout is None:
        said.append(f"engine.layout: {layout}, from the number of cylinders")
    vee = engine.vee_angle
    if vee is None:
        vee = assumed_vee_deg(count)
        if layout == "vee":
            said.append(f"engine.vee_angle: {angle(vee)}, from the number of cylinders")
    idle = engine.idle_speed
    if idle is None:
        idle = assumed("engine.idle_speed")
        said.append(f"engine.idle_speed: {speed(idle)}")
    order = engine.firing_order
    if order is None or len(order) != count or sorted(order) != list(range(1, count + 1)):
        order = USUAL_ORDERS.get((layout, count))
        said.append(
            f"engine.firing_order: {list(order)}"
            if order
            else "no firing order is known, so what inertia leaves free is left out"
        )
    firing = firing_orders(count, engine.firing_angles)
    free = inertia_orders(layout, vee, count, order, engine.firing_angles) if order else ()
    return Excited(
        all_orders(firing, free),
        mean_firing_order(count),
        min(idle, engine.max_speed),
        engine.max_speed,
        layout,
        vee,
        tuple(f"assumed {words} ({PRACTICE})" if words[:2] != "no" else words for words in said),
    )
