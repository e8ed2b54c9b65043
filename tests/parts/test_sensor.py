"""The sensor's place and body, and that it fits its bracket without sharing any metal with it."""

from __future__ import annotations

import math
from itertools import combinations
from typing import Any

import cadquery as cq
import numpy as np
import pytest
from shapely.geometry import Point

from tests.parts.bracket_jobs import along_job, flat_job, in_job
from wheelcad.errors import DesignError
from wheelcad.job.models import Job
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.bracket.model import bolt_place
from wheelcad.parts.bracket.solid import bracket_solids, mount_bolt_solids
from wheelcad.parts.design import design_job
from wheelcad.parts.sensor.design import SensorPlace, flange_of, seat_axes, sensor_body, sensor_place
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


def test_the_room_of_a_sensor_by_hand() -> None:
    """A body of 16: 24 of nose, 25 of tail; a flange 6 thick, 3 mm round the body and round the hole of 6.6 that lies
    20 off, which is drilled 0.3 wider all round than M6. Common practice, no source."""
    job = in_job()
    assert job.sensor is not None
    solid = dict(sensor_solids(placed(job), sensor_body(job.sensor, placed(job)), 5.0, None))["sensor"]
    band = Point(0, 0).buffer(11, quad_segs=256).union(Point(20, 0).buffer(6.3, quad_segs=256)).convex_hull
    flange = band.area - math.pi * (8**2 + 3.3**2)
    assert solid.Volume() == pytest.approx(math.pi * 8**2 * 49 + 6 * flange, rel=1e-4)


@pytest.mark.parametrize(("body", "same"), [(11.5, True), (11.48, False), (12.5, True), (12.52, False)])
def test_a_barrels_body_is_its_thread_give_or_take_half_a_millimetre(body: float, same: bool) -> None:
    job = along_job(sensor={"body_diameter": body})
    if same:
        assert placed(job).body_diameter == body
    else:
        with pytest.raises(DesignError, match="contradicts"):
            placed(job)


def test_a_sensor_whose_mass_is_not_given_weighs_sixty_grams() -> None:
    """Common practice, no source."""
    design = design_bracket(in_job(sensor={"mass": None}))
    assert design is not None
    assert design.sensor_mass_kg == 0.06


def test_without_a_bolt_a_flange_is_round() -> None:
    job = in_job(sensor={"bolt": None})
    assert job.sensor is not None
    edge, holes = flange_of(sensor_body(job.sensor, placed(job)))
    assert holes == []
    assert edge.area == pytest.approx(math.pi * 11**2)
    assert edge.bounds() == pytest.approx((-11, -11, 11, 11))


def test_a_bolt_however_near_turns_the_sensor_to_it() -> None:
    x, _, _ = seat_axes(placed(in_job()), np.array([0.0, 0.0, 0.05]) * -1)
    assert x == pytest.approx([0, 0, -1])
