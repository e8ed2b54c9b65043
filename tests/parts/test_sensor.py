"""The sensor's place and body, and that it fits its bracket without sharing any metal with it."""

from __future__ import annotations

import math
from itertools import combinations
from typing import Any

import cadquery as cq
import numpy as np
import pytest

from tests.parts.bracket_jobs import along_job, flat_job, in_job
from wheelcad.errors import DesignError
from wheelcad.job.models import Job
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.bracket.model import bolt_place
from wheelcad.parts.bracket.solid import bracket_solids, mount_bolt_solids
from wheelcad.parts.design import design_job
from wheelcad.parts.sensor.design import SensorPlace, sensor_body, sensor_place
from wheelcad.parts.sensor.solid import sensor_solids
from wheelcad.trade.threads import nominal_mm


def placed(job: Job) -> SensorPlace:
    assert job.sensor is not None
    return sensor_place(job, job.sensor)


def test_place_of_a_sensor_that_looks_in() -> None:
    place = placed(in_job())
    assert math.hypot(*place.face) == pytest.approx(80 + 0.8 + 24)
    assert math.hypot(*place.tip) == pytest.approx(80.8)
    assert np.cross(place.face, place.tip) == pytest.approx([0, 0, 0], abs=1e-9)


@pytest.mark.parametrize(("side", "sign"), [("front", 1), ("back", -1)])
def test_place_of_a_sensor_that_looks_along(side: str, sign: int) -> None:
    place = placed(along_job(sensor={"from": side}))
    assert place.tip[2] == pytest.approx(sign * (2.5 + 0.8))
    assert place.look == (0, 0, -sign)


def test_a_job_that_was_not_read_from_a_file_is_held_against_the_same_rules() -> None:
    with pytest.raises(DesignError, match="no teeth"):
        design_job(along_job(sensor={"radius": 60}))


def test_body_by_its_fixing() -> None:
    flange, barrel = (sensor_body(job.sensor, placed(job)) for job in (in_job(), along_job()))
    assert (flange.barrel, flange.bolt, flange.bolt_offset) == (False, 6, 20)
    assert (barrel.barrel, barrel.bolt) == (True, 12)
    assert nominal_mm("M12x1") == 12
    with pytest.raises(ValueError, match="no metric thread"):
        nominal_mm("1/4-20")


CASES: dict[str, Job] = {
    "flange, L": in_job(bracket={"gusset": True}),
    "flange, L in front": in_job(bracket={"mount_face": 40}),
    "flange across": in_job(sensor={"senses": "across"}),
    "L inside": in_job(bracket={"mounts": [{"x": 60, "y": 20, "hole": 9}, {"x": 40, "y": 60, "hole": 9}]}),
    "barrel, Z": along_job(bracket={"gusset": True}),
    "barrel, flat": flat_job(),
    "flange, Z": along_job(sensor={"thread": None, "bolt": {"hole": 6.6, "offset": 20}}),
}


def everything(job: Job) -> list[tuple[str, cq.Solid]]:
    design = design_bracket(job)
    assert design is not None
    assert job.sensor is not None
    place = placed(job)
    at = bolt_place(design.holes, design.regions[-1].frame, place)
    sensor = sensor_solids(place, sensor_body(job.sensor, place), design.thickness, at)
    return [*bracket_solids(design), *sensor, *mount_bolt_solids(design)]


@pytest.mark.parametrize("name", list(CASES))
def test_no_two_parts_share_metal(name: str) -> None:
    parts = everything(CASES[name])
    assert {"bracket", "sensor", "mount bolt 1"} <= {part for part, _ in parts}
    for (a, first), (b, second) in combinations(parts, 2):
        if {a, b} == {"sensor", "sensor nut 1"} or {a, b} == {"sensor", "sensor nut 2"}:
            continue  # nuts sit on the barrel's thread
        if {a, b} == {"sensor bolt", "sensor nut"}:
            continue
        assert first.intersect(second).Volume() == pytest.approx(0, abs=1e-3), (a, b)


def test_the_nose_reaches_to_the_air_gap(six: Any) -> None:
    parts = dict(everything(six))
    rim = cq.Solid.makeCylinder(80, 3.2, cq.Vector(0, 0, -1.6))
    # a flat nose before a round rim: nearest on its axis
    assert parts["sensor"].distance(rim) == pytest.approx(0.8, abs=1e-6)
    assert parts["sensor bolt"].Center().z > 15  # the bolt lies away from the arm, which is behind the ring
