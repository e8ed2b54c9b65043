"""A first answer to "does it flex": the bracket as one straight clamped bar with the sensor at its end.

The plate is taken out flat, as wide as the tab all the way, clamped at the nearest mount. Gussets, flare and the
stiffness of the corner are left out. Lengths mm, frequencies Hz.
"""

from __future__ import annotations

import math

from wheelcad.codes import Check
from wheelcad.findings import Finding
from wheelcad.job.models import Engine
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.trade.beam import cantilever_frequency_hz
from wheelcad.trade.materials import material

METHOD = (
    "closed form: a straight clamped bar as long as the plate from the nearest mount to the sensor, "
    "sensor mass at its end"
)
CLOSED_FORM = "bracket design"  # the subject of its finding, which finite elements take the place of
MARGIN = 4 / 3  # first frequency over firing frequency: a third above; common practice, no source


def free_length(design: BracketDesign) -> float:
    """Length of plate, measured on the flat, from the nearest mount hole's centre to the sensor's, mm."""
    body = design.hole("body")
    x, y = (body.x0 + body.x1) / 2, (body.y0 + body.y1) / 2
    return min(math.hypot(h.x0 - x, h.y0 - y) for h in design.holes if h.name.startswith("mount"))


def first_frequency(design: BracketDesign) -> tuple[float, str]:
    """First natural frequency, Hz, and how it was found."""
    steel = material(design.material)
    length = free_length(design)
    hz = cantilever_frequency_hz(
        length, design.width, design.thickness, steel.youngs_gpa, steel.density_kg_m3, design.sensor_mass_kg
    )
    return hz, METHOD


def firing_finding(design: BracketDesign, engine: Engine | None) -> list[Finding]:
    """First frequency against the firing frequency at the highest speed; empty without cylinders and speed."""
    if engine is None or engine.cylinders is None or engine.max_speed is None:
        return []
    per_turn = engine.cylinders / 2
    firing = per_turn * engine.max_speed / 60
    crossed = design.first_frequency_hz * 60 / per_turn
    why = (
        f"firing shakes the engine at {firing:.0f} Hz at {engine.max_speed:.0f} rpm; a bracket a third above that "
        "stays "
        f"out of step with it. This one would be met at {crossed:.0f} rpm"
    )
    if engine.firing_angles is not None:
        why += "; uneven firing also shakes at half orders"
    ok = design.first_frequency_hz >= MARGIN * firing
    return [
        Finding(
            Check.FIRST_FREQUENCY,
            CLOSED_FORM,
            round(design.first_frequency_hz, 1),
            "Hz",
            round(MARGIN * firing, 1),
            "pass" if ok else "warn",
            f"{why}. Found by {METHOD}",
            "Euler-Bernoulli beam theory; the margin is common practice, no source",
        )
    ]
