"""Sizes for a starter job: a whole conversion in proportion to the wheel's diameter, so that it builds as it is.

Proportions are common practice, no source: they are there to be replaced by what the owner measures. All in mm.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from wheelcad.errors import Faults, JobValueError
from wheelcad.units import INCH_MM
from wheelcad.words import about, typed

# Slot cutters and drills a shop buys, by the units of the job.
CUTTERS = {"mm": (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0), "in": tuple(INCH_MM * n / 32 for n in (1, 2, 3, 4, 5, 6, 8))}
# A pickup wants slots three poles wide, and a pole not much narrower than the teeth: a wider slot, a narrower tooth.
PICKUP_CUTTERS = {"mm": (*CUTTERS["mm"], 8.0), "in": (*CUTTERS["in"], INCH_MM * 10 / 32)}
SLOT_SHARE, PICKUP_SLOT_SHARE = 0.55, 0.58  # of the pitch, at most
LEAST_DIAMETER, GREATEST_DIAMETER = 50.0, 450.0  # of a starter's wheel
# m/s that mild steel bears cut from plate, and with a keyway in its bore (the least rim-stress allows of starters of
# any size, rounded down): large wheels are given a slower engine.
RIM_SPEED, RIM_SPEED_KEYED = 80.0, 65.0
BRACKET_HZ = 345.0  # first frequency of a starter's bracket, the least that finite elements found of them
SENSOR_AT = 310.0  # degrees from the TDC line: beside the top, where most blocks leave room
# From the sensing face outwards along the sensor, and along the crank: one bracket that suits every diameter.
MOUNTS = ((-52.0, 34.0), (-52.0, 89.0))  # x, y of the mounts from the rim's point under the sensor, clockwise engine

_BOLTS = ((36.0, 4.5), (50.0, 5.5), (70.0, 6.6), (1000.0, 8.4))  # bolt circle up to -> clearance hole of M4 to M8
_KEYS = ((8.0, 2, 1.0), (10.0, 3, 1.4), (12.0, 4, 1.8), (17.0, 5, 2.3), (22.0, 6, 2.8), (1000.0, 8, 3.3))
_BEDS = (220.0, 300.0, 400.0, 500.0)


@dataclass(frozen=True)
class Sizes:
    """Every length of a starter job, mm."""

    diameter: float
    cutter: float
    depth: float
    thickness: float
    shoulder: float
    shoulder_front: float
    shoulder_back: float
    belt_land: float
    belt_land_length: float
    groove: tuple[float, float]
    rough: float
    pulley_bore: float
    keyway: tuple[float, float]
    bolt_circle: float
    bolt_hole: float
    wheel_bore: float
    adapter_length: float
    adapter_diameter: float
    face: float
    max_speed: int  # rpm
    mounts: tuple[tuple[float, float], ...]
    mount_face: float  # behind the pulley's front face as found
    plate: float  # the bracket's
    front: float  # of the pulley in front of its belt land, as found
    bed: float

    def belt_at(self, turned: bool) -> float:
        """Middle of the belt behind the pulley's front face as turned, or as it is where nothing is turned off it."""
        before = self.shoulder_front + self.thickness + self.shoulder_back if turned else 0.0
        return before + self.belt_land_length / 2


def quiet_below_rpm(cylinders: int) -> int:
    """Up to which speed firing stays a third below the first frequency of a starter's bracket: what is taken for the
    engine's highest speed until somebody says it."""
    return int(BRACKET_HZ / (4 / 3) * 120 / cylinders) // 100 * 100


def nice(length: float, units: str, fine: bool = False) -> float:
    """The length rounded to what a shop would write: 0.5 or 1 mm, 1/16 in, or (fine) 0.1 mm, 1/64 in."""
    if units == "in":
        return float(Fraction(round(length / INCH_MM * (64 if fine else 16)), 64 if fine else 16)) * INCH_MM
    step = 0.1 if fine else 1.0 if length > 20 else 0.5
    return round(round(length / step) * step, 4)


def _signed(length: float, units: str) -> float:
    return math.copysign(nice(abs(length), units), length)


def sizes_for(
    teeth: int,
    diameter: float,
    units: str,
    clockwise: bool,
    reluctance: bool,
    turned: bool = True,
    given: Mapping[str, float] | None = None,
) -> Sizes:
    """Sizes round a wheel of `diameter` mm; JobValueError when the pattern does not fit on it.

    given: lengths in mm that were measured, by dotted key: what hangs on them follows.
    """
    faults = Faults()
    if not LEAST_DIAMETER <= diameter <= GREATEST_DIAMETER:
        low, high = about(LEAST_DIAMETER), about(GREATEST_DIAMETER)
        faults.add(("diameter",), "is beyond a starter's sizes", found=typed(diameter), allowed=f"{low} to {high}")
        faults.raise_if_any(JobValueError)  # what fits cannot be said of no diameter
    pitch = math.pi * diameter / max(teeth, 1)
    share, cutters = (PICKUP_SLOT_SHARE, PICKUP_CUTTERS) if reluctance else (SLOT_SHARE, CUTTERS)
    fitting = [cutter for cutter in cutters[units] if cutter <= share * pitch and cutter <= 0.2 * diameter]
    if not fitting:
        least = CUTTERS[units][0]
        why = f"has teeth too fine for a cutter of {typed(least)}"
        allowed = f"at most {int(share * math.pi * diameter / least)} positions, or a larger wheel"
        faults.add(("pattern",), why, found=f"{teeth} positions on {typed(diameter)}", allowed=allowed)
    faults.raise_if_any(JobValueError)
    sizes = _in_proportion(diameter, fitting[-1], units, clockwise, reluctance, turned)
    return _with(sizes, given or {}, units, turned)


# The measured lengths that others hang on.
_FIELDS = {
    "wheel.thickness": "thickness",
    "wheel.slot.width": "cutter",
    "wheel.bore": "wheel_bore",
    "pulley.as_found[0].length": "front",
    "pulley.as_found[0].diameter": "rough",
    "pulley.as_found[1].length": "belt_land_length",
    "pulley.bore": "pulley_bore",
    "pulley.bolts.circle": "bolt_circle",
    "pulley.bolts.hole": "bolt_hole",
}


def _with(sizes: Sizes, given: Mapping[str, float], units: str, turned: bool) -> Sizes:
    """The sizes with what was measured in the place of what was in proportion, and what follows from it."""
    sizes = replace(sizes, **{name: given[key] for key, name in _FIELDS.items() if key in given})  # type: ignore[arg-type]
    if "wheel.slot.width" in given:
        sizes = replace(sizes, depth=nice(max(sizes.cutter + 0.35, 2.5), units, fine=True))
    if turned and "pulley.as_found[0].length" in given:
        front = nice(min(sizes.shoulder_front, 0.3 * sizes.front), units, fine=True)
        sizes = replace(sizes, shoulder_front=front, shoulder_back=sizes.front - front - sizes.thickness)
    elif turned:
        sizes = replace(sizes, front=sizes.shoulder_front + sizes.thickness + sizes.shoulder_back)
    to_face = sizes.shoulder_front + sizes.thickness / 2 if turned else -(sizes.adapter_length + sizes.thickness / 2)
    return replace(sizes, mount_face=round(nice(30.0, units) + to_face, 4))


def _in_proportion(
    diameter: float, cutter: float, units: str, clockwise: bool, reluctance: bool, turned: bool
) -> Sizes:
    def rounded(share: float) -> float:
        return nice(share * diameter, units)

    spare = 0.06 if units == "mm" else 0.2  # so that a pole rounded up is no more than a third of the slot
    depth = max(cutter + 0.35, 2.5) if units == "mm" else nice(max(cutter + 0.4, 2.5), units, fine=True)
    bolt_circle, bore = rounded(0.5), rounded(0.2)
    hole = next(size for limit, size in _BOLTS if bolt_circle <= limit)
    key = next((float(width), deep) for limit, width, deep in _KEYS if bore <= limit)
    groove_width = min(12.0, max(6.0, 0.075 * diameter))
    groove = (nice(groove_width, units), nice(groove_width * 0.85, units))
    land = groove[0] + (2.0 if units == "mm" else 1.5875)
    sign = 1.0 if clockwise else -1.0
    rim = diameter / 2
    bears = RIM_SPEED_KEYED if turned else RIM_SPEED
    sine, cosine = math.sin(math.radians(SENSOR_AT)), math.cos(math.radians(SENSOR_AT))
    mounts = tuple((_signed(sign * (rim * sine + x), units), _signed(rim * cosine + y, units)) for x, y in MOUNTS)
    return Sizes(
        diameter=diameter,
        cutter=cutter,
        depth=depth,
        thickness=3.2 if units == "mm" else INCH_MM / 8,
        shoulder=rounded(0.72),
        shoulder_front=nice(8.0, units),
        shoulder_back=nice(14.0, units),
        belt_land=rounded(0.92),
        belt_land_length=nice(land, units),
        groove=groove,
        rough=nice(diameter + 8.0, units),
        pulley_bore=bore,
        keyway=(nice(key[0], units, fine=True), nice(key[1], units, fine=True)),
        bolt_circle=bolt_circle,
        bolt_hole=nice(hole, units, fine=True),
        wheel_bore=rounded(0.32),
        adapter_length=nice(12.0, units),
        adapter_diameter=rounded(0.68),
        face=nice(min(cutter / 3 - spare, 3.0) if reluctance else min(cutter, 6.0) - 0.2, units, fine=True),
        max_speed=min(5500, int(bears * 60e3 / (math.pi * diameter)) // 100 * 100),
        mounts=mounts,
        mount_face=0.0,
        plate=5.0 if units == "mm" else 4.7625,
        front=0.0,
        bed=next(bed for bed in _BEDS if bed >= diameter + 20 or bed == _BEDS[-1]),
    )
