"""The cam target as a solid."""

from __future__ import annotations

import cadquery as cq

from wheelcad.files.brep import prism
from wheelcad.parts.cam.design import CamDesign


def cam_solid(cam: CamDesign) -> cq.Solid:
    """The target in the cam frame, its thickness about z = 0."""
    half = cam.cam.thickness / 2
    return prism(cam.outline, [opening.loop for opening in cam.openings], -half, half)
