"""A section through the wheel's upper half: the tooth ring's thickness and where it stands."""

from __future__ import annotations

from wheelcad.drawing.model import CentreLine, Entity, Hatch, Line, Linear, Outline, View
from wheelcad.job.models import Keyway
from wheelcad.parts.blank.design import BlankDesign
from wheelcad.parts.common.turned import behind_cut, keyed_section, upper_half
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.loop import Loop
from wheelcad.trade.nearness import SAME_MM


def section_view(wheel: WheelDesign, blank: BlankDesign | None, keyway: Keyway | None = None) -> View:
    """Half section through a tooth, x along the crank with the front at the right, y the radius."""
    return View("section", tuple(_plate(wheel) if blank is None else _turned(wheel, blank, keyway)), cell=(1, 0))


def _plate(wheel: WheelDesign) -> list[Entity]:
    half, radius = wheel.thickness_mm / 2, wheel.radius_mm
    bore = next((o.round[2] for o in wheel.openings if o.name == "bore" and o.round is not None), 0.0)
    edge = Loop.polygon([(-half, bore), (half, bore), (half, radius), (-half, radius)])
    return [
        Outline(edge),
        Hatch((edge,), pitch_mm=2.0),
        *behind_cut(Loop([(r, z, 0.0) for z, r, _ in edge.vertices.tolist()])),
        Line((-half, wheel.floor_radius_mm), (half, wheel.floor_radius_mm), "HIDDEN"),
        CentreLine((-half, 0.0), (half, 0.0), beyond=8.0),
        Linear((-half, radius), (half, radius), "above"),
    ]


def _turned(wheel: WheelDesign, blank: BlankDesign, keyway: Keyway | None) -> list[Entity]:
    ring = next(land for land in blank.lands if land.name == "ring")
    section, edge = keyed_section(blank.section, blank.bore_radius_mm, keyway)
    out: list[Entity] = [
        *upper_half(section),
        *edge,
        Line((ring.z_back, wheel.floor_radius_mm), (ring.z_front, wheel.floor_radius_mm), "HIDDEN"),
        CentreLine((blank.z_back, 0.0), (blank.z_front, 0.0)),
        Linear((ring.z_back, ring.radius), (ring.z_front, ring.radius), "above", reference=True),
    ]
    if blank.z_front - ring.z_front > SAME_MM:
        front = blank.lands[0]
        out.append(Linear((ring.z_front, ring.radius), (front.z_front, front.radius), "above", reference=True))
    return out
