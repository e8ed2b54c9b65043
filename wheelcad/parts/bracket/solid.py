"""The folded bracket as solids: plane regions extruded, bends as sectors, fused once; gussets beside it."""

from __future__ import annotations

import math
from collections.abc import Iterator

import cadquery as cq

from wheelcad.files.brep import compound, fused, prism
from wheelcad.parts.bracket.model import Bend, BracketDesign, Frame, Region
from wheelcad.trade.heads import HEAD_HEIGHT
from wheelcad.trade.loop import Loop
from wheelcad.trade.threads import CAST_IRON_ENGAGEMENT_D

# A bolt's usual proportions, in bolt diameters; the washer's height in mm. Common practice, no source.
WASHER_RADIUS, HEAD_RADIUS = 1.0, 0.85
WASHER_HEIGHT = 2.0


def bracket_solids(design: BracketDesign) -> list[tuple[str, cq.Solid]]:
    """Named solids in the engine frame: "bracket", then "gusset 1" and so on. Slits are welded up, so none are cut."""
    t = design.thickness
    pieces = [_plane(region, design) for region in design.regions]
    frame = design.regions[0].frame
    for bend, beyond in zip(design.bends, design.regions[1:], strict=True):
        pieces.append(_sector(frame, bend, t))
        frame = beyond.frame
    out = [("bracket", fused(pieces, "the bracket"))]
    for number, gusset in enumerate(design.gussets, 1):
        out.append((f"gusset {number}", prism(gusset.loop, (), 0.0, gusset.thickness).moved(_location(gusset.frame))))
    return out


def bracket_solid(design: BracketDesign) -> cq.Compound:
    """The bracket and its gussets as one compound in the engine frame, the folded plate first."""
    return compound([solid for _, solid in bracket_solids(design)])


def mount_bolt_solids(design: BracketDesign) -> Iterator[tuple[str, cq.Solid]]:
    """A bolt with washer through every mount hole, as deep in the block as cast iron asks for; engine frame.

    Its size is the job's thread, or what fits the hole; the block lies behind the arm.
    """
    z_low = min(design.regions[0].frame.points((0.0, 0.0, w))[2] for w in (0.0, design.thickness))
    for number, ((x, y), d) in enumerate(zip(design.mount_points, design.mount_bolts, strict=True), 1):
        top = float(z_low) + design.thickness + WASHER_HEIGHT
        shank = prism(Loop.circle(x, y, d / 2), (), float(z_low) - CAST_IRON_ENGAGEMENT_D * d, top)
        washer = prism(Loop.circle(x, y, WASHER_RADIUS * d), (), top - WASHER_HEIGHT, top)
        head = prism(Loop.circle(x, y, HEAD_RADIUS * d), (), top, top + HEAD_HEIGHT * d)
        yield (f"mount bolt {number}", fused([shank, washer, head], "a mount bolt"))


def _location(frame: Frame) -> cq.Location:
    plane = cq.Plane(origin=frame.origin, xDir=frame.ex, normal=frame.ez)
    return cq.Location(plane)


def _plane(region: Region, design: BracketDesign) -> cq.Solid:
    holes = [hole.loop for hole in design.holes if hole.region == region.name]
    return prism(region.loop, holes, 0.0, design.thickness).moved(_location(region.frame))


def _sector(frame: Frame, bend: Bend, thickness: float) -> cq.Solid:
    """The bent metal between two regions: a ring's sector as wide as the bend line, in the frame on its arm's side."""
    x, w = frame.centre_of(bend, thickness)
    sign = 1.0 if bend.up else -1.0
    a = math.radians(bend.angle_deg)
    inner, outer = bend.inside_radius, bend.inside_radius + thickness

    def at(radius: float, turn: float) -> tuple[float, float]:
        return x - radius * math.sin(turn), w - sign * radius * math.cos(turn)

    bulge = math.tan(a / 4) * -sign
    rows = [(*at(outer, 0.0), bulge), (*at(outer, a), 0.0)]
    rows += [(*at(inner, a), -bulge), (*at(inner, 0.0), 0.0)] if inner > 0 else [(*at(0.0, a), 0.0)]
    # the section lies in x, w; it is extruded along y
    section = prism(Loop(rows), (), -bend.y_to, -bend.y_from)
    upright = Frame(frame.origin, frame.ex, frame.ez, _minus(frame.ey))
    return section.moved(_location(upright))


def _minus(v: tuple[float, float, float]) -> tuple[float, float, float]:
    return -v[0], -v[1], -v[2]
