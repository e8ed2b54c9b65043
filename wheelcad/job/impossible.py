"""Sizes that cannot be meant: more than five times outside what the trade uses.

They are refused, and the likely slip is named; `allow: [key]` says that one is meant. A job whose bare lengths are in
the other unit is told of that first and alone: everything else that would be said of it comes of it. The ranges are
common practice, no source.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from wheelcad.errors import Fault, Key
from wheelcad.job.models import Job, Step
from wheelcad.job.plausible import USUAL, dotted, likely_meant, round_figure, shown, written_values
from wheelcad.units import UnitError, parse
from wheelcad.words import about


@dataclass(frozen=True)
class Limit:
    """The range outside which a size is not believed, in base units, and the reason: in it {3} is a length in mm."""

    low: float
    high: float
    why: str


TURNED = "pulleys and adapters are {60} to {200} across"
# By dotted key without list indexes; each has its usual range in `plausible.USUAL`.
LIMITS: Mapping[str, Limit] = {
    "engine.max_speed": Limit(300, 30_000, "piston engines reach 1500 to 15,000 rpm"),
    "engine.cranking_speed": Limit(10, 3000, "starters turn engines at 100 to 400 rpm"),
    "engine.idle_speed": Limit(80, 10_000, "engines idle at 500 to 1500 rpm"),
    "engine.dwell": Limit(0.1, 75, "coils are charged for 1 to 8 ms"),
    "wheel.outside_diameter": Limit(8, 1000, "trigger wheels are {60} to {200}"),
    "wheel.thickness": Limit(0.2, 100, "tooth rings are {2} to {12} thick"),
    "wheel.slot.width": Limit(0.2, 100, "slots are {3} to {15} wide"),
    "wheel.slot.depth": Limit(0.2, 100, "slots are {3} to {12} deep"),
    "wheel.bore": Limit(1.5, 800, "bores are {15} to {120}"),
    "pulley.bore": Limit(1.5, 500, "a crank's nose is {15} to {60}"),
    "pulley.keyway.width": Limit(0.3, 100, "keys are {3} to {14} wide"),
    "pulley.keyway.depth": Limit(0.1, 50, "keyways are {1} to {6} deep"),
    "pulley.bolts.circle": Limit(4, 1000, "bolt circles are {30} to {150}"),
    "pulley.bolts.hole": Limit(0.5, 100, "bolts here are M5 to M14"),
    "pulley.recess.diameter": Limit(1.5, 1000, "a recess lies inside its pulley"),
    "pulley.recess.depth": Limit(0.1, 500, "a recess lies inside its pulley"),
    "pulley.as_found.length": Limit(0.1, 1000, "a pulley is {20} to {120} long"),
    "pulley.as_found.diameter": Limit(4, 1000, TURNED),
    "pulley.turned.length": Limit(0.1, 1000, "a pulley is {20} to {120} long"),
    "pulley.turned.diameter": Limit(4, 1000, TURNED),
    "adapter.length": Limit(0.2, 1000, "adapters are {5} to {60} long"),
    "adapter.outside_diameter": Limit(4, 1000, TURNED),
    "sensor.air_gap": Limit(0.02, 15, "sensors read over {0.4} to {2}"),
    "sensor.face_diameter": Limit(0.15, 125, "a sensor's face is {2} to {12}"),
    "sensor.body_diameter": Limit(0.8, 200, "a sensor's body is {8} to {22}"),
    "sensor.nose_length": Limit(0.8, 600, "a sensor's nose is {10} to {60} long"),
    "sensor.bolt.hole": Limit(0.5, 75, "a sensor is held by M5 to M8"),
    "sensor.bolt.offset": Limit(1, 400, "a sensor's bolt is {15} to {35} off"),
    "sensor.mass": Limit(0.001, 5, "sensors weigh 20 to 150 g"),
    "sensor.max_tooth_rate": Limit(100, 1_000_000, "sensors follow 3 to 50 kHz"),
    "bracket.plate.thickness": Limit(0.3, 30, "brackets are bent from {3} to {6} plate"),
    "bracket.mounts.x": Limit(-4000, 4000, "mounts lie within {400} of the crank"),
    "bracket.mounts.y": Limit(-4000, 4000, "mounts lie within {400} of the crank"),
    "bracket.obstacles.x": Limit(-4000, 4000, "what is in the bracket's way lies within {400} of the crank"),
    "bracket.obstacles.y": Limit(-4000, 4000, "what is in the bracket's way lies within {400} of the crank"),
    "bracket.obstacles.z": Limit(-2000, 2000, "what is in the bracket's way lies within {400} of the ring"),
    "bracket.mounts.hole": Limit(0.6, 130, "a block's bolts are M6 to M12"),
    "survey.readings.is": Limit(1.5, 4500, "mounts lie within {400} of the crank"),
    "gauge.thickness": Limit(0.2, 75, "gauges are printed {3} to {6} thick"),
    "balance.largest_drill": Limit(0.3, 130, "a home shop drills up to {16}"),
    "balance.reading.putty": Limit(0.00002, 0.5, "a wheel is out by 0.5 to 20 g"),
    "balance.recheck.putty": Limit(0.00002, 0.5, "a wheel is out by 0.5 to 20 g"),
    "shop.printer.bed": Limit(16, 5000, "printers' beds are {180} to {400}"),
    "shop.printer.nozzle": Limit(0.02, 7.5, "nozzles are {0.25} to {0.8}"),
    "shop.plasma.kerf": Limit(0.04, 30, "a plasma cut is {1} to {3} wide"),
}
HEAVIEST = 200.0  # kg; pulleys of this kind weigh 2 to 8 kg, the largest 40
DENSITY = 7.2e-6  # kg/mm³: grey iron, the lightest that pulleys are made of
_LENGTH = re.compile(r"\{([0-9.]+)\}")
_UNIT = re.compile(r"[A-Za-zµμ\"'″′”]")  # what only a text with a unit of its own, or a word, holds
LEAST_SUSPECTS = 2  # one length in the wrong unit is that length's slip, several are the job's


def impossible_sizes(job: Job) -> list[Fault]:
    """A fault for every size that cannot be meant and that `allow` does not name."""
    out = []
    for key, value in written_values(job):
        name = dotted(key)
        limit = LIMITS.get(name)
        if limit is None or limit.low <= value <= limit.high or is_allowed(job, name):
            continue
        usual = USUAL[name]
        low, high = (round_figure(end, usual.kind) for end in (limit.low, limit.high))
        out.append(
            Fault(
                f"cannot be meant: {_reason(limit.why)}",
                key,
                found=shown(value, usual.kind),
                allowed=f"{low} to {high}; if it is meant, `allow: [{name}]` at the top of the file",
                hint=likely_meant(job, value, usual),
            )
        )
    return out or _too_heavy(job)


def _reason(why: str) -> str:
    return _LENGTH.sub(lambda found: about(float(found[1])), why)


def _too_heavy(job: Job) -> list[Fault]:
    """Sizes that may each be meant, of a pulley that nobody lifts."""
    steps = job.pulley.as_found if job.pulley is not None else ()
    mass = DENSITY * sum(math.pi / 4 * step.diameter**2 * step.length for step in steps if isinstance(step, Step))
    if mass <= HEAVIEST or is_allowed(job, "pulley.as_found"):
        return []
    other = "mm" if job.units == "in" else "in"
    return [
        Fault(
            "cannot be meant: pulleys of this kind weigh 2 to 8 kg",
            ("pulley", "as_found"),
            found=f"{mass:.0f} kg of iron",
            allowed=f"at most {HEAVIEST:.0f} kg; if it is meant, `allow: [pulley.as_found]` at the top of the file",
            hint=f"are its lengths and diameters in {other}?",
        )
    ]


def is_allowed(job: Job, name: str) -> bool:
    """Whether `allow` names this dotted key or a section it lies in."""
    return any(name == key or name.startswith(f"{key}.") for key in job.allow)


def unit_slip(data: Mapping[str, Any], job_units: str) -> Fault | None:
    """The fault of a job whose bare lengths are in the other unit than `units` says; None where they are not.

    data: the file's values as written, before they are judged one by one. Lengths that carry a unit say nothing; those
    that are usual in both units say nothing either. What is left must speak for the other unit two to one.
    """
    allow = data.get("allow")
    if isinstance(allow, list) and "units" in allow:
        return None
    other = "mm" if job_units == "in" else "in"
    suspects, sound = [], 0
    for key, text in _bare(data, ()):
        usual = USUAL.get(dotted(key))
        if usual is None or usual.kind != "length":
            continue
        try:
            here, there = (abs(parse(text, "length", unit)) for unit in (job_units, other))
        except UnitError:
            continue
        fits_here, fits_there = (usual.low <= value <= usual.high for value in (here, there))
        sound += fits_here and not fits_there
        if fits_there and not fits_here:
            suspects.append((key, text))
    if len(suspects) < LEAST_SUSPECTS or len(suspects) <= 2 * sound:
        return None
    told = ", ".join(f"{dotted(key)} {text}" for key, text in suspects[:3])
    words = {"mm": "millimetres", "in": "inches"}
    return Fault(
        f"is {job_units}{'' if 'units' in data else ' where nothing is said'}, but the bare lengths are {words[other]}",
        ("units",),
        found=told + (f" and {len(suspects) - 3} more" if len(suspects) > 3 else ""),
        allowed=f"units: {other} for such lengths; if they are meant, `allow: [units]`",
        hint=f"write `units: {other}` below `job:`" + ("" if "units" not in data else f" in place of {job_units}"),
    )


def _bare(value: Any, key: Key) -> Iterator[tuple[Key, Any]]:
    """Every value of the file's that is no section and no list, with its path."""
    if isinstance(value, Mapping):
        for name, inner in value.items():
            yield from _bare(inner, (*key, str(name)))
    elif isinstance(value, list | tuple):
        for i, inner in enumerate(value):
            yield from _bare(inner, (*key, i))
    elif isinstance(value, int | float) or (isinstance(value, str) and not _UNIT.search(value)):
        yield key, value
