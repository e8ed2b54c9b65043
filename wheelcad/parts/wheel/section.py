"""A section through the wheel's upper half: the tooth ring's thickness and where it stands."""

from __future__ import annotations

from wheelcad.drawing.model import CentreLine, Entity, Hatch, Line, Linear, Outline, Tolerance, View
from wheelcad.job.models import Keyway
from wheelcad.parts.blank.design import BlankDesign
from wheelcad.parts.common.sheets import SECTION
from wheelcad.parts.common.turned import keyed_section, lower_half, upper_half
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.loop import Loop
from wheelcad.trade.nearness import SAME_MM

DATUM = "A"  # the bore, about which rim and slots are made


def section_view(
    wheel: WheelDesign,
    blank: BlankDesign | None,
    keyway: Keyway | None = None,
    bore_limits: tuple[float, float] | None = None,
    runout: float | None = None,
) -> View:
    """Section through a tooth, x along the crank with the front at the right, y the radius.

    A turned wheel's lower half is seen from outside. A plate's is whole and carries its datum, the bore. bore_limits:
    of H7, mm, where something is to sit in it; runout: what an indicator on the rim may read, mm.
    """
    entities = _plate(wheel, bore_limits, runout) if blank is None else _turned(wheel, blank, keyway)
    return View("section", tuple(entities), caption=SECTION, cell=(1, 0))


def _plate(wheel: WheelDesign, bore_limits: tuple[float, float] | None, runout: float | None) -> list[Entity]:
    half, radius = wheel.thickness_mm / 2, wheel.radius_mm
    bore = next((o.round[2] for o in wheel.openings if o.name == "bore" and o.round is not None), 0.0)
    out: list[Entity] = []
    for side in (1, -1) if bore else (1,):
        inner, outer = (side * bore, side * radius) if bore else (-radius, radius)
        edge = Loop.polygon([(-half, inner), (half, inner), (half, outer), (-half, outer)])
        floor = side * wheel.floor_radius_mm
        out += [Outline(edge), Hatch((edge,), pitch_mm=2.0), Line((-half, floor), (half, floor), "HIDDEN")]
    out += [CentreLine((-half, 0.0), (half, 0.0), beyond=8.0), Linear((-half, radius), (half, radius), "above")]
    if bore:
        out += [Line((z, -bore), (z, bore)) for z in (-half, half)]
    out.append(Linear((half, -radius), (half, radius), "right", prefix="⌀"))
    if bore:
        lower, upper = bore_limits or (None, None)
        fit = "H7" if bore_limits is not None else ""
        a, b = (-half, -bore), (-half, bore)
        out.append(Linear(a, b, "left", prefix="⌀", datum=DATUM, fit=fit, upper=upper, lower=lower))
    if bore and runout is not None:
        out.append(Tolerance((0.0, radius), "run-out", runout, (DATUM,), 60.0, or_tip=(0.0, -radius)))
    return out


def _turned(wheel: WheelDesign, blank: BlankDesign, keyway: Keyway | None) -> list[Entity]:
    ring = next(land for land in blank.lands if land.name == "ring")
    section, edge = keyed_section(blank.section, blank.bore_radius_mm, keyway)
    out: list[Entity] = [
        *upper_half(section),
        *edge,
        *lower_half(blank.lands),
        Line((ring.z_back, wheel.floor_radius_mm), (ring.z_front, wheel.floor_radius_mm), "HIDDEN"),
        CentreLine((blank.z_back, 0.0), (blank.z_front, 0.0)),
        Linear((ring.z_back, ring.radius), (ring.z_front, ring.radius), "above", reference=True),
        Linear((ring.z_front, -ring.radius), (ring.z_front, ring.radius), "right", prefix="⌀", reference=True),
    ]
    if blank.z_front - ring.z_front > SAME_MM:
        front = blank.lands[0]
        out.append(Linear((ring.z_front, ring.radius), (front.z_front, front.radius), "above", reference=True))
    return out
