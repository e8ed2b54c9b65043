"""How fine the shown mesh of an assembly is."""

from __future__ import annotations

import math

import cadquery as cq
import numpy as np
import pytest

from wheelcad.parts.assembly.solid import Part
from wheelcad.parts.assembly.solid_files import _mesh


@pytest.mark.parametrize("radius", [3.0, 80.0])
def test_round_parts_look_round(radius: float) -> None:
    """A bolt turns by a fifth of a radian a facet at most, and a wheel's chords lie within a twentieth of a millimetre
    of their arc, r(1 - cos(a/2)): the mesher keeps to half of what it is allowed. Our judgement."""
    cylinder = cq.Workplane().circle(radius).extrude(5.0).val()
    assert isinstance(cylinder, cq.Solid)
    points = _mesh(Part("bolt", cylinder, False, (0.5, 0.5, 0.5))).points
    rim = points[np.abs(points[:, 2]) < 1e-6]
    rim = rim[np.abs(np.hypot(rim[:, 0], rim[:, 1]) - radius) < 1e-3]
    angles = np.unique(np.round(np.degrees(np.arctan2(rim[:, 1], rim[:, 0])) % 360, 3) % 360)
    widest = math.radians(np.diff([*angles, angles[0] + 360]).max())
    assert widest <= 0.2 + 1e-6
    assert radius * (1 - math.cos(widest / 2)) <= 0.05 + 1e-6
