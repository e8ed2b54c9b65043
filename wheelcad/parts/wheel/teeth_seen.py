"""The design's teeth as the edges that a sensor will meet: what signal and budget read before a wheel is written."""

from __future__ import annotations

import numpy as np

from wheelcad.job.models import Sensor
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.signal.edges import Edges


def designed_edges(wheel: WheelDesign, sensor: Sensor) -> Edges:
    """The teeth at the radius where the sensor looks, as the design has them: source "design"."""
    radius = wheel.read_at_mm(sensor)
    half = wheel.tooth_deg(radius) / 2
    centres = np.sort(wheel.teeth.tooth_centres_deg)
    return Edges(
        wheel.teeth.count,
        tuple(gap.missing for gap in wheel.gaps),
        centres - half,
        centres + half,
        radius,
        # looking along the crank, a slot is as deep as the ring is thick
        wheel.thickness_mm if sensor.looks == "along" else wheel.slot.depth,
        float(np.radians(wheel.pitch_deg - 2 * half) * radius),
        wheel.radius_mm,
        "design",
    )
