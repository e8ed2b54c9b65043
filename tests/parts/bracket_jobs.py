"""Bracket jobs for tests: a few plain ones, and random ones that a person might well write down."""

from __future__ import annotations

import math
import random
from typing import Any

import pytest

from wheelcad.errors import DesignError
from wheelcad.job.models import Job
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.bracket.judge import bracket_findings
from wheelcad.parts.bracket.l_shape import layout_l
from wheelcad.parts.bracket.layout import Layout
from wheelcad.parts.bracket.model import Asked, BracketDesign, Hole
from wheelcad.parts.sensor.design import sensor_body, sensor_place
from wheelcad.words import Words


def merged(base: dict[str, Any], change: dict[str, Any]) -> dict[str, Any]:
    """base with change laid over it, section by section; a value of None takes the key away."""
    out = dict(base)
    for key, value in change.items():
        if value is None:
            out.pop(key, None)
        elif isinstance(value, dict) and isinstance(out.get(key), dict):
            out[key] = merged(out[key], value)
        else:
            out[key] = value
    return out


LOOKS_IN: dict[str, Any] = {
    "job": "l-bracket",
    "engine": {"cylinders": 4, "turns": "clockwise", "max_speed": 6000},
    "wheel": {
        "form": "plate",
        "teeth": 36,
        "missing": 1,
        "outside_diameter": 160,
        "thickness": 5,
        "slot": {"width": 6, "depth": 6.35},
        "bore": 40,
    },
    "sensor": {
        "kind": "hall",
        "looks": "in",
        "at": 60,
        "air_gap": 0.8,
        "body_diameter": 16,
        "nose_length": 24,
        "bolt": {"hole": 6.6, "offset": 20},
        "mass": 0.06,
    },
    "bracket": {
        "plate": {"thickness": 5, "inside_radius": 5},
        "mounts": [{"x": 150, "y": 60, "hole": 9}, {"x": 150, "y": 110, "hole": 9}],
        "mount_face": -32,
        "width": 44,
        "adjust": 5,
    },
}

LOOKS_ALONG: dict[str, Any] = merged(
    LOOKS_IN, {"job": "z-bracket", "sensor": {"looks": "along", "bolt": None, "thread": "M12x1", "body_diameter": 12}}
)


def in_job(**change: Any) -> Job:
    """The L's job with changes laid over it."""
    return Job.model_validate(merged(LOOKS_IN, change))


def hand_bent() -> BracketDesign:
    """A hand-bent L with gussets, holes, slots, slits and a centre mark."""
    made = design_bracket(in_job(bracket={"bends": "hand", "gusset": True}, shop={"plasma": {"kerf": 1.4}}))
    assert made is not None
    return made


def along_job(**change: Any) -> Job:
    """The Z's job with changes laid over it."""
    return Job.model_validate(merged(LOOKS_ALONG, change))


def flat_job(**change: Any) -> Job:
    """The same with the block's face where a flat bracket needs it: half the ring, gap, nose, less the plate."""
    return along_job(**merged({"bracket": {"mount_face": 2.5 + 0.8 + 24 - 5}}, change))


def random_job(seed: int) -> Job:
    """A random wheel, pulley, sensor and mounts: both directions, L, Z and flat, some of it beyond reach."""
    rng = random.Random(seed)
    turns = rng.choice(["clockwise", "anticlockwise"])
    diameter, ring = rng.uniform(110, 220), rng.choice([3.0, 3.2, 5.0, 8.0])
    looks, side, at = rng.choice(["in", "in", "along"]), rng.choice(["front", "back"]), rng.uniform(0, 360)
    nose, plate, gap = rng.uniform(15, 35), rng.choice([3.0, 4.0, 4.7625, 5.0, 6.0]), 0.8
    sensor: dict[str, Any] = {"kind": "hall", "looks": looks, "from": side, "at": at, "air_gap": gap}
    sensor |= {"body_diameter": rng.uniform(10, 18), "nose_length": nose}
    sensor["senses"] = rng.choice(["any", "along-crank", "across"])
    fixing = rng.random()
    if fixing < 0.5:
        sensor["bolt"] = {"hole": 6.6, "offset": rng.uniform(16, 24)}
    elif fixing < 0.8:
        sensor |= {"thread": "M12x1", "body_diameter": 12}
    face = rng.choice([rng.uniform(-60, -22), rng.uniform(-60, -22), rng.uniform(15, 60), rng.uniform(-20, 20)])
    if looks == "along" and rng.random() < 0.4:
        face = ring / 2 + gap + nose - plate if side == "front" else -(ring / 2 + gap + nose)
    bracket: dict[str, Any] = {"mount_face": face, "width": rng.uniform(36, 60), "mounts": _mounts(rng, at, diameter)}
    bracket["plate"] = {"thickness": plate, "inside_radius": rng.choice([plate, 1.2 * plate, 3.0])}
    bracket |= {"adjust": rng.choice([0, 4, 6]), "adjust_along": rng.choice([0, 0, 3])}
    bracket |= {"bends": rng.choice(["hand", "brake"]), "gusset": rng.random() < 0.3}
    job = merged(LOOKS_IN, {"engine": {"turns": turns}, "wheel": {"outside_diameter": diameter, "thickness": ring}})
    job["pulley"] = {"as_found": [{"length": 25, "diameter": rng.uniform(80, diameter + 10)}]}
    job |= {"sensor": sensor, "bracket": bracket, "shop": {"plasma": {"kerf": 1.4}} if rng.random() < 0.6 else {}}
    return Job.model_validate(job)


def _mounts(rng: random.Random, at: float, diameter: float) -> list[dict[str, float]]:
    """One to three holes, mostly outside the wheel and on the sensor's side of it."""
    far = diameter / 2 + rng.uniform(40, 120) if rng.random() < 0.67 else rng.uniform(40, diameter / 2 + 30)
    angle = math.radians(at + rng.choice([rng.uniform(-40, 40), rng.uniform(-40, 40), rng.uniform(-180, 180)]))
    x, y = far * math.sin(angle), far * math.cos(angle)
    way, apart = rng.uniform(0, 2 * math.pi), rng.uniform(28, 70)
    dx, dy = apart / 2 * math.cos(way), apart / 2 * math.sin(way)
    out = [
        {"x": x - dx, "y": y - dy, "hole": rng.choice([7.0, 9.0, 11.0])},
        {"x": x + dx, "y": y + dy, "hole": 9.0},
        {"x": x - 1.4 * dy, "y": y + 1.4 * dx, "hole": 9.0},
    ]
    return out[: rng.choice([1, 2, 2, 2, 3])]


def made(job: Job) -> BracketDesign:
    """The bracket of a job that has one."""
    design = design_bracket(job)
    assert design is not None
    return design


def refused(job: Job) -> list[tuple[str, str]]:
    """Key and message of every fault of a bracket that cannot be."""
    with pytest.raises(DesignError) as caught:
        design_bracket(job)
    words = Words(job.units)
    return [(fault.dotted, words.text(fault.message)) for fault in caught.value.faults]


def verdict(design: BracketDesign, check: str) -> str:
    """Of the first finding of a check."""
    return next(finding.verdict for finding in bracket_findings(design) if finding.check == check)


def asked_of(job: Job) -> Asked:
    """What a bracket of the job is worked out from."""
    assert job.bracket is not None
    assert job.sensor is not None
    place = sensor_place(job, job.sensor)
    return Asked(job, job.bracket, job.sensor, place, sensor_body(job.sensor, place))


def l_layout(**change: Any) -> Layout:
    """The skeleton of the L's job with changes laid over it."""
    return layout_l(asked_of(in_job(**change)), 0.0)


def hole_at(x0: float, y0: float, x1: float | None = None, y1: float | None = None, d: float = 9.0) -> Hole:
    """A mount's hole or slot in the flat."""
    return Hole("mount", "arm", x0, y0, x0 if x1 is None else x1, y0 if y1 is None else y1, d, mount=1)
