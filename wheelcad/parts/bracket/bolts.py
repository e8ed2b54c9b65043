"""The bolts that hold the bracket to the block: play, grip, and whether a spanner gets at them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from shapely.geometry import Point, Polygon

from wheelcad.codes import Check
from wheelcad.findings import Finding
from wheelcad.job.section import BlockMetal
from wheelcad.parts.bracket.fold_shapes import plan_outlines
from wheelcad.parts.bracket.model import ABOUT, Asked, BracketDesign, Gusset
from wheelcad.parts.bracket.setting import astray, set_by
from wheelcad.parts.sensor.design import TAIL_LENGTH
from wheelcad.trade.fits import bolt_for_hole
from wheelcad.trade.heads import screw_length_mm, socket_radius_mm, washer_thickness_mm
from wheelcad.trade.materials import material
from wheelcad.trade.threads import (
    CHASED_THREAD_NOTE,
    Thread,
    block_engagement_mm,
    clamp_force_n,
    nominal_mm,
    slip_acceleration_m_s2,
    thread,
    tightening_torque_nm,
)
from wheelcad.units import INCH_MM
from wheelcad.words import diameter, length, quantity

GRAVITY = 9.80665  # m/s²
SHAKE = 10.0  # times gravity: what the mounts must hold without slipping; common practice, no source
ASSUMED_BLOCK: BlockMetal = "grey-iron"


def bolt_findings(design: BracketDesign) -> Iterator[Finding]:
    """Room for a spanner on every mount bolt; play, and whether the slots hold, where the thread is named."""
    yield from _spanners(design)
    mounts = design.asked.bracket.mounts
    for number, mount in enumerate(mounts, 1):
        if mount.thread is not None:
            bolt = nominal_mm(mount.thread)
            why = "how much wider the hole is than its bolt: beyond a quarter of the bolt it needs a thick washer"
            about, play = ABOUT.of(f"mount {number}"), round(mount.hole - bolt, 3)
            yield about.at_most(Check.MOUNT_HOLE_PLAY, play, "mm", round(0.25 * bolt, 3), why)
    if len(mounts) == 1:
        why = (
            "one bolt holds by friction alone against swinging round it, and sets neither angle nor gap: give a second "
            "mount, the further off the better, or a dowel beside the bolt"
        )
        yield ABOUT.holds(Check.ONE_MOUNT, False, "1 mount", why)
    yield from _slip(design)


def slips_at_g(design: BracketDesign) -> float | None:
    """Shake at which the mounts slip, times gravity, the overhang counted; None where no bolt is known."""
    fitted = [bolt.of for bolt in mount_bolts(design)]
    if not fitted:
        return None
    force = min(clamp_force_n(of) for of in fitted)
    mass = design.mass_kg + design.sensor_mass_kg
    return slip_acceleration_m_s2(len(fitted), force, mass) / GRAVITY / _overhang(design)


def _slip(design: BracketDesign) -> Iterator[Finding]:
    """Whether the bolts' preload holds the slots against shaking, turning moment of the overhang included."""
    slips = slips_at_g(design)
    if slips is None:
        return
    fitted = [bolt.of for bolt in mount_bolts(design)]
    force = min(clamp_force_n(of) for of in fitted)
    # the mass overhangs: the nearest bolts carry its turning moment as well
    torque = quantity(tightening_torque_nm(fitted[0], force), "torque", 0)
    why = (
        f"shake at which the slots slip, class {GRADE} bolts at {torque}, the load {_overhang(design):.1f} times "
        "greater for its overhang"
    )
    about = replace(ABOUT, source="Shigley (bolt preload); friction 0.15 is common practice, no source")
    yield about.at_least(Check.MOUNTS_HOLD, round(slips, 1), "g", SHAKE, why)


GRADE = "8.8"


@dataclass(frozen=True)
class MountBolt:
    """The bolt of a mount, mm. assumed: the thread is the largest that goes through the hole, not the job's. engaged:
    depth of thread in the block; need: the least there; washer: its thickness; length: as sold, None: none so
    long."""

    mount: int
    of: Thread
    assumed: bool
    washer: float
    length: float | None
    engaged: float
    need: float

    @property
    def torque_nm(self) -> float:
        """Dry, for the usual preload."""
        return tightening_torque_nm(self.of, clamp_force_n(self.of, GRADE))


def mount_bolts(design: BracketDesign) -> tuple[MountBolt, ...]:
    """The bolt of every mount whose thread is known or can be taken from its hole."""
    asked = design.asked
    block = asked.bracket.block or ASSUMED_BLOCK
    out = []
    for number, mount in enumerate(asked.bracket.mounts, 1):
        try:
            of = thread(mount.thread or f"M{bolt_for_hole(mount.hole) or 0:g}")
        except ValueError:
            continue
        washer = washer_thickness_mm(of.diameter_mm, asked.bracket.adjust > 0)
        need = block_engagement_mm(of, block, material(block).tensile_mpa)
        held = washer + design.thickness + asked.bracket.packing
        length_mm = screw_length_mm(held + need)
        engaged = need if length_mm is None else length_mm - held
        out.append(MountBolt(number, of, mount.thread is None, washer, length_mm, engaged, need))
    return tuple(out)


def bolt_words(design: BracketDesign) -> list[str]:
    """What to screw in, and how deep, one sentence a kind of bolt."""
    said: dict[str, list[str]] = {}
    over = "large washers, over the slots" if design.asked.bracket.adjust > 0 else "plain washers"
    packing = design.asked.bracket.packing
    packed = f"{length(packing)} of packing, " if packing else ""
    grows = "what is packed besides" if packing else "packing"
    for bolt in mount_bolts(design):
        guess = ", taken from the hole: the job names no thread" if bolt.assumed else ""
        name = f"{bolt.of.name} × {bolt.length:g}" if bolt.length else f"{bolt.of.name}, longer than screws are sold"
        text = (
            f"{name}{guess}, class {GRADE}: {length(bolt.washer)} of washer ({over}), {length(design.thickness)} of "
            f"plate, {packed}{length(bolt.engaged)} in the block, which needs {length(bolt.need)}; {grows} adds to the "
            f"length, and a blind hole must be deeper. Tighten to {quantity(bolt.torque_nm, 'torque', 0)}, dry"
        )
        said.setdefault(text, []).append(str(bolt.mount))
    block = design.asked.bracket.block
    metal = material(block or ASSUMED_BLOCK).title + ("" if block else ", assumed")
    lines = [f"Mount {' and '.join(numbers)}: {text} ({metal})." for text, numbers in said.items()]
    return [*lines, spacer_words(design), CHASED_THREAD_NOTE] if lines else []


def spacers_mm(design: BracketDesign) -> tuple[float, ...]:
    """Thicknesses of the spacers that set the gap, one of each under every mount, mm; () where slots or nuts set it.

    Fine ones to set it by, coarser ones up to what folding and measuring may be out (common practice, no source).
    """
    if set_by(design.asked) != "shims":
        return ()
    finest = 0.1 if design.asked.job.units == "mm" else INCH_MM / 200
    most = max(2 * astray(design).along, 5 * finest)
    return tuple(times * finest for times in (1, 2, 5, 10, 20) if times * finest <= most + 1e-9)


def spacer_words(design: BracketDesign) -> str:
    """What stands between plate and block, in a sentence."""
    holes = diameter(max(hole.diameter for hole in design.mounts))
    sizes = spacers_mm(design)
    packing = design.asked.bracket.packing
    planned = f"A packing piece of {length(packing)} lies under every bolt" if packing else ""
    if not sizes:
        lies = planned or "No spacer is drawn: the plate lies on the block"
        return (
            f"{lies}. Where the face turns out lower, spacers with a hole of {holes}, as large as the washers and "
            "alike under every bolt, make it up; the bolts grow by as much."
        )
    said = ", ".join(length(size) for size in sizes)
    return (
        f"{planned + '. ' if planned else ''}Spacers between block and plate set the gap: {said} thick, a hole of "
        f"{holes}, as large as the washers, alike under every bolt; the bolts grow by as much."
    )


def _overhang(design: BracketDesign) -> float:
    """Load on the nearest bolt over its fair share, from the sensor's overhang beyond the mounts' spread."""
    points = np.array(design.mount_points)
    middle = points.mean(axis=0)
    spread = float(np.hypot(*(points - middle).T).max())
    reach = math.hypot(design.asked.place.face[0] - middle[0], design.asked.place.face[1] - middle[1])
    return 1.0 + reach / max(spread, 5.0)


def _spanners(design: BracketDesign) -> Iterator[Finding]:
    """What stands over each mount, seen along the crank: tab, riser, gussets, sensor; and the wheel over a rear arm."""
    over = [Polygon(loop.flatten(0.1)) for loop in list(plan_outlines(design))[1:]]
    over += [_foot(gusset) for gusset in design.gussets]
    over.append(_sensor_seen(design.asked))
    behind = design.asked.bracket.plate_back < 0
    for (x, y), hole, bolt in zip(design.mount_points, design.mounts, design.mount_bolts, strict=True):
        need = socket_radius_mm(bolt)
        nearest = min(float(shape.distance(Point(x, y))) for shape in over)
        if behind:
            nearest = min(nearest, max(0.0, math.hypot(x, y) - design.asked.job.wheel.outside_diameter / 2))
        why = (
            "room round the bolt, seen along the crank, to tab, gusset, sensor and (arm behind it) the wheel; with "
            "less, no socket goes straight on, and the gap cannot be set with everything in place"
        )
        yield ABOUT.of(hole.name).at_least(Check.SPANNER_ROOM, round(nearest, 2), "mm", round(need, 2), why)


def _foot(gusset: Gusset) -> Polygon:
    """The footprint of a gusset, seen along the crank."""
    x0, _, x1, _ = gusset.loop.bounds()
    t = gusset.thickness
    corners = gusset.frame.points([(x0, 0.0, 0.0), (x1, 0.0, 0.0), (x1, 0.0, t), (x0, 0.0, t)])
    return Polygon(corners[:, :2])


def _sensor_seen(asked: Asked) -> Polygon:
    """Nose and tail of the sensor, seen along the crank."""
    place, body = asked.place, asked.body
    if place.look[2]:
        return Point(place.face[:2]).buffer(body.flange_radius)
    look, face = np.array(place.look[:2]), np.array(place.face[:2])
    across = np.array([-look[1], look[0]]) * body.diameter / 2
    ends = (face - TAIL_LENGTH * look, face + place.nose_length * look)
    return Polygon([ends[0] - across, ends[0] + across, ends[1] + across, ends[1] - across])
