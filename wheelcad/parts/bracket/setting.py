"""How a fitted bracket is brought to its gap, how far it may come out wrong before that, and whether the one reaches
the other: both ways, for each shape.

Errors are ± mm, limits of 95 %. Folding, and measuring the engine, are added up plainly: both are limits that are
really met, and there are only two of them.

Glossary
- **Set by**: what moves the sensing face along its own axis once everything is bolted on. `slots`: the mount holes
  (looks in, flange). `nuts`: a barrel's two nuts, whichever way it looks. `shims`: plate between block and arm (looks
  along, flange); they move the bracket to +Z alone, for the block lies behind it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from wheelcad.codes import Check
from wheelcad.findings import Finding, Verdict
from wheelcad.job.models import Bracket
from wheelcad.parts.bracket.model import ABOUT, Asked, BracketDesign
from wheelcad.parts.common.measured import face_within, mounts_within
from wheelcad.trade.assumed import assumed
from wheelcad.trade.fits import iso2768_m
from wheelcad.trade.heads import BARREL_NUT_HEIGHT
from wheelcad.units import INCH_MM
from wheelcad.words import angle, length

MUST = replace(ABOUT, otherwise="fail")
LEAST_GAP = 0.3  # mm: what is left between nose and teeth where the job gives no air_gap_range; common practice
# mm: the greatest gap where the job gives no air_gap_range; pickup makers' guides, and a data sheet of flange types
USUAL_MOST = {"reluctance": 0.8, "hall": 1.5}
ASSUMED_MOST = "; the greatest gap is assumed, sensor.air_gap_range says yours"
ONE_WAY = 1.96 / 2.4477  # of a 95 % radius about a point: the 95 % limit along one direction, both of a normal spread

HAND_BEND = 1.0  # mm: how true a bend made by hand comes out; common practice, no source
BRAKE_BEND = 0.5  # mm: how true a pressed bend comes out; common practice, no source

SetBy = Literal["slots", "nuts", "shims"]


def fold_tolerance(bracket: Bracket, bends: int) -> float:
    """How far the tab may stand from where it should, ± mm; 0 without bends."""
    if not bends:
        return 0.0
    return HAND_BEND if bracket.bends == "hand" else BRAKE_BEND


def axis_tolerance(bracket: Bracket, bends: int) -> float:
    """How far the sensor's axis may miss its place along the crank, ± mm: by folding, or by ISO 2768-m. The part's own:
    what the engine's measuring adds is `astray`'s."""
    return max(fold_tolerance(bracket, bends), iso2768_m(max(abs(bracket.plate_back), 0.5)))


def set_by(asked: Asked) -> SetBy:
    """What sets the gap of this bracket."""
    if asked.body.barrel:
        return "nuts"
    return "slots" if asked.sensor.looks == "in" else "shims"


def least_gap(asked: Asked) -> float:
    """The least gap the nose may be left with: the sensor's own, or LEAST_GAP, and never more than the gap itself."""
    gaps = asked.sensor.air_gap_range
    return min(asked.sensor.air_gap, gaps[0] if gaps is not None else LEAST_GAP)


@dataclass(frozen=True)
class Astray:
    """How far the sensor may stand from its place before anything is set, ± mm.

    fold: by the bends. face: by reading where the block's face is. radial, around: by reading where the mounts are,
    away from the crank axis and round it. around_deg: the latter as degrees of crank, the timing's error.
    """

    fold: float
    face: float
    radial: float
    around: float
    around_deg: float

    @property
    def along(self) -> float:
        """Along the crank."""
        return self.fold + self.face

    @property
    def outwards(self) -> float:
        """Away from the crank axis or towards it."""
        return self.fold + self.radial


def astray(design: BracketDesign) -> Astray:
    """The errors of this bracket, from its bends and from how well the engine was measured.

    A bracket takes the place that fits its mounts best: it is shifted by their mean error, and turned about their
    middle the more the nearer they are together and the farther the sensor is off.
    """
    asked = design.asked
    one = ONE_WAY * max(mounts_within(asked.job).values())
    points = np.array(design.mount_points)
    middle = points.mean(axis=0)
    spread = float(((points - middle) ** 2).sum())
    tip = np.array(asked.place.tip[:2])
    reach = tip - middle
    turned = one / math.sqrt(spread) * np.array([-reach[1], reach[0]]) if spread > 1.0 else np.zeros(2)
    out = np.array(asked.place.out[:2])
    side = np.array([-out[1], out[0]])
    shifted = one / math.sqrt(len(points))
    radial, around = (math.hypot(shifted, float(turned @ way)) for way in (out, side))
    radius = float(tip @ out)
    fold = fold_tolerance(asked.bracket, len(design.bends))
    return Astray(fold, face_within(asked.job), radial, around, math.degrees(around / radius))


def setting_findings(design: BracketDesign) -> Iterator[Finding]:
    """Whether the gap can be set, whichever way the fold and the measuring came out, and what it looks at."""
    off, how = astray(design), set_by(design.asked)
    if how == "nuts":
        yield _by_nuts(design, off)
    elif how == "slots":
        yield _clears_by_slots(design, off)
        yield from _reaches_by_slots(design, off)
    else:
        yield from _by_shims(design, off)
    if design.asked.sensor.looks == "in":
        yield _lines_up(design, off)
    else:
        yield _radius(design, off)
        if design.asked.bracket.adjust_along > 0:
            why = "a plate square to the crank cannot slide along it: the gap is set with shims, or a barrel's nuts"
            yield ABOUT.holds(Check.ADJUST_ALONG, False, "not made", why)
    yield _timing(design, off)


def _made_of(fold: float, measured: float) -> str:
    """What an error is made of."""
    return (
        f"{length(fold)} by folding and {length(measured)} by measuring" if fold else f"{length(measured)} by measuring"
    )


def _clears_by_slots(design: BracketDesign, off: Astray) -> Finding:
    """Folded inwards, the slots must let the bracket out until the nose is clear."""
    need = round(max(0.0, off.outwards - design.gap + least_gap(design.asked)), 2)
    why = (
        f"travel outwards: a tab that stands {length(off.outwards)} too far in ({_made_of(off.fold, off.radial)}) "
        f"must come out again until the nose has {length(least_gap(design.asked))}; with less it runs on the teeth. "
        f"bracket.adjust: {length(need)} or more"
    )
    return MUST.at_least(Check.NOSE_CLEARS, round(design.slide.high, 3), "mm", need, why)


def _reaches_by_slots(design: BracketDesign, off: Astray) -> Iterator[Finding]:
    """Folded outwards, there is only the play of the bolts: the slots end at the drawn gap."""
    sensor = design.asked.sensor
    gaps = sensor.air_gap_range
    most, assumed = (gaps[1], "") if gaps is not None else (USUAL_MOST[sensor.kind], ASSUMED_MOST)
    poor: Verdict = "note" if assumed else "warn"
    most = max(most, design.gap)
    slack = min((hole.diameter - bolt) / 2 for hole, bolt in zip(design.mounts, design.mount_bolts, strict=True))
    left = design.gap + off.outwards - slack
    why = (
        f"the gap that can still be set when the tab stands {length(off.outwards)} too far out "
        f"({_made_of(off.fold, off.radial)}), the bolts' play of {length(slack)} used up{assumed}"
    )
    if left > most:
        wider = max(hole.diameter for hole in design.mounts) + 2 * (left - most)
        why += f": make bracket.mounts' hole {length(wider)}, or file the slots {length(left - most)} longer inwards"
    yield replace(ABOUT, otherwise=poor).at_most(Check.GAP_SETTING, round(left, 3), "mm", most, why)


def _by_nuts(design: BracketDesign, off: Astray) -> Finding:
    """The nuts move the barrel both ways, as far as there is thread on the nose's side of the tab."""
    asked = design.asked
    error = off.outwards if asked.sensor.looks == "in" else off.along
    room = design.asked.place.nose_length - design.thickness - BARREL_NUT_HEIGHT * asked.body.bolt
    need = round(max(0.0, error - design.gap + least_gap(asked)), 2)
    what = "bracket stands" if not design.bends else "tab stands"
    why = (
        f"thread on the nose beyond the nut, by which the barrel can be drawn back when the {what} {length(error)} too "
        "near; the other way there is thread enough. Drawn back further, the nut leaves the thread: a longer barrel"
    )
    return MUST.at_least(Check.NOSE_CLEARS, round(room, 3), "mm", need, why)


def _by_shims(design: BracketDesign, off: Astray) -> Iterator[Finding]:
    """Shims go between block and arm, so they mend one way alone; the other way planned packing can come out."""
    asked, error, least = design.asked, off.along, least_gap(design.asked)
    gaps, packing = asked.sensor.air_gap_range, asked.bracket.packing
    made = _made_of(off.fold, off.face)
    out = f"shims under the arm %s; the packing of {length(packing)} out" if packing else "shims under the arm %s"
    if asked.sensor.from_ == "back":  # shims bring it nearer
        left = design.gap - error + packing
        why = f"the gap left when the bracket stands {length(error)} too near ({made}); " + out % "only close it"
        if left < least:
            why += _plan(design, least - left)
        yield MUST.at_least(Check.NOSE_CLEARS, round(left, 3), "mm", round(least, 3), why)
    elif gaps is not None:
        left = design.gap + error - packing
        why = f"the gap when the bracket stands {length(error)} too far off ({made}); " + out % "only open it"
        if left > gaps[1]:
            why += _plan(design, left - gaps[1])
        yield ABOUT.at_most(Check.GAP_SETTING, round(left, 3), "mm", gaps[1], why)


def _plan(design: BracketDesign, short: float) -> str:
    """What mends a gap that is `short` mm out of what the sensor takes: packing drawn under the arm comes out again and
    lets the bracket towards the block; a flat plate wants another gap."""
    units = design.asked.job.units
    if not design.bends:
        way = 1.0 if design.asked.sensor.from_ == "back" else -1.0
        gap = way * _up(way * (design.gap + way * short), units)
        return f". A flat plate lies where its sensor wants it and bears no more packing: sensor.air_gap: {length(gap)}"
    packing = _up(design.asked.bracket.packing + short, units)
    return f". bracket.packing: {length(packing)} or more plans a piece that can come out"


def _up(value: float, units: str) -> float:
    """Upwards to 0.1 mm or 0.005 in, which are written exactly in the job's unit."""
    step = 0.1 if units == "mm" else INCH_MM / 200
    return math.ceil(round(value / step, 6)) * step


def _lines_up(design: BracketDesign, off: Astray) -> Finding:
    bracket = design.asked.bracket
    room = design.asked.job.wheel.thickness / 2 + bracket.adjust_along / 2
    why = (
        f"how far the sensor's axis may miss the middle of the tooth ring along the crank "
        f"({_made_of(off.fold, off.face)}); over half the ring's thickness, and half of adjust_along, it looks past "
        "the teeth"
    )
    if off.along > room:
        need = 2 * (off.along - design.asked.job.wheel.thickness / 2)
        slots = length(_up(need, design.asked.job.units))
        why += f": adjust_along: {slots} gives slots to line it up, or measure the face better"
    return ABOUT.at_most(Check.LINE_UP_ALONG_CRANK, round(off.along, 3), "mm", round(room, 3), why)


def _radius(design: BracketDesign, off: Astray) -> Finding:
    """Looking along, the slots set the radius; they run both ways."""
    half = min(-design.slide.low, design.slide.high)
    why = (
        f"travel each way, in and out, to bring the nose to its radius when the bracket stands {length(off.outwards)} "
        f"off ({_made_of(off.fold, off.radial)}); bracket.adjust: {length(2 * off.outwards)} or more"
    )
    return ABOUT.at_least(Check.RADIUS_SETTING, round(half, 3), "mm", round(off.outwards, 3), why)


def _timing(design: BracketDesign, off: Astray) -> Finding:
    """Round the crank nothing is adjustable: the controller's number takes it."""
    tolerances = design.asked.job.tolerances
    given = None if tolerances is None else tolerances.sensor_angle
    why = (
        f"how far the sensor may stand off round the crank for how well the mounts were measured: the timing is out "
        f"by {angle(off.around_deg)} until the light has trimmed it. The limit is what tolerances.sensor_angle counts "
        f"on{' (assumed)' if given is None else ''}: measure better, or use mounts further apart"
    )
    limit = assumed("tolerances.sensor_angle") if given is None else given
    # unsurveyed, the figure is an assumption: the page says it, and nobody is asked to act on it
    poor: Verdict = "note" if design.asked.job.survey is None else "warn"
    return replace(ABOUT, otherwise=poor).at_most(Check.SENSOR_PLACE, round(off.around, 3), "mm", limit, why)
