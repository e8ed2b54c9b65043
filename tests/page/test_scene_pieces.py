"""Arrow, strip, gap map, section, variants and allowed places: each against the job's own numbers."""

from __future__ import annotations

import math
import re
from xml.etree import ElementTree

import numpy as np
import pytest

from tests.conftest import demo_text, edited, plate_job
from wheelcad.job.measuring import MEASURES
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.page.allowed import allowed_places, is_allowed
from wheelcad.page.compare import HALF_MM, compared, pattern_svg
from wheelcad.page.gapmap_panel import gap_at_for, map_json
from wheelcad.page.scene_arrow import ARROWED, arrow_of
from wheelcad.page.scene_parts import SceneMade, made_of
from wheelcad.page.section import section_svg
from wheelcad.page.strip import strip_of
from wheelcad.parts.design import design_job
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.trade.frames import angle_of
from wheelcad.words import unwritten

FOUND = ("pulley.as_found[1].groove.width", 12.0), ("pulley.as_found[1].groove.depth", 11.0)
SIX = (
    ("wheel.outside_diameter", 160.0), ("wheel.thickness", 3.2), ("wheel.slot.width", 6.0), ("wheel.slot.depth", 6.35),
    ("pulley.bore", 32.0), ("pulley.keyway.width", 10.0), ("pulley.keyway.depth", 3.3), ("pulley.bolts.circle", 80.0),
    ("pulley.bolts.hole", 8.4), ("pulley.recess.diameter", 60.0), ("pulley.recess.depth", 10.0),
    ("pulley.as_found[0].length", 26.0), ("pulley.as_found[0].diameter", 168.0), *FOUND,
    ("pulley.turned[0].length", 8.0), ("pulley.turned[0].diameter", 118.0), ("pulley.belts[0].at", 33.0),
    ("pulley.belts[0].width", 10.0), ("sensor.air_gap", 0.8), ("sensor.nose_length", 25.0),
    ("sensor.body_diameter", 18.0), ("sensor.face_diameter", 6.0), ("sensor.bolt.hole", 6.6),
    ("sensor.bolt.offset", 24.0), ("bracket.mounts[1].x", -132.0), ("bracket.mounts[1].y", 138.0),
    ("bracket.width", 45.0), ("bracket.plate.thickness", 4.7625), ("bracket.adjust", 6.0), ("gauge.thickness", 4.0),
    ("pulley.bolts.first_at", 45.0), ("pulley.belts[0].to_deg", 215.0), ("sensor.at", 310.0), ("wheel.teeth", 10.0),
    ("bracket.mount_face", -30.0),
)  # fmt: skip


@pytest.fixture(scope="module")
def made() -> SceneMade:
    job = parse_job(demo_text("tarn-six"), "tarn-six.yaml")
    return made_of(job, design_job(job))


@pytest.mark.parametrize(("key", "value"), SIX)
def test_an_arrow_is_as_long_as_its_value(made: SceneMade, key: str, value: float) -> None:
    arrow = arrow_of(key, made)
    assert arrow is not None
    assert arrow.size == pytest.approx(value, abs=1e-6)
    if arrow.is_angle:  # where it ends is where the value says, seen the way this crank turns
        x, y, _ = arrow.points[-1]
        start = angle_of(*arrow.points[0][:2], 1)
        assert float((angle_of(x, y, 1) - start) % 360.0) == pytest.approx(value, abs=1e-6)
    else:
        assert math.dist(arrow.points[0], arrow.points[-1]) == pytest.approx(abs(value), abs=1e-6)
    assert not unwritten(arrow.label("in"))


def test_every_lettered_size_that_lies_somewhere_has_an_arrow() -> None:
    lettered = {re.sub(r"\[[0-9]+\]", "[]", measure.key) for measure in MEASURES if measure.label}
    shown_otherwise = {  # counts, and angles of a flank or thread, that no one length in the scene shows
        "pulley.bolts.count", "pulley.as_found[].groove.angle", "bracket.mounts[].thread", "wheel.missing",
        "bracket.obstacles[].name",
    }  # fmt: skip
    assert lettered - shown_otherwise <= set(ARROWED)


def test_a_thing_in_the_way_has_its_arrows() -> None:
    things = "  obstacles: [{name: pump, x: -60, y: 190, z: -12, radius: 25}, {x: 9, y: -120, z: {behind_front: 20}}]\n"
    job = parse_job(edited(demo_text("tarn-six"), ("  bends:", things + "  bends:")))
    made = made_of(job, design_job(job))
    values = {"[0].x": -60, "[0].y": 190, "[0].z": -12, "[0].radius": 25, "[1].z.behind_front": 20, "[1].radius": 15}
    for end, value in values.items():
        arrow = arrow_of(f"bracket.obstacles{end}", made)
        assert arrow is not None
        assert arrow.size == pytest.approx(value)
        assert math.dist(*arrow.points) == pytest.approx(abs(value))
    label = arrow_of("bracket.obstacles[0].radius", made)
    assert label is not None
    assert label.label("mm").startswith("H4")


def test_a_key_that_the_job_lacks_has_no_arrow(made: SceneMade) -> None:
    assert arrow_of("adapter.length", made) is None
    assert arrow_of("pulley.as_found[7].length", made) is None
    assert arrow_of("job", made) is None


@pytest.mark.parametrize("turns", ["clockwise", "anticlockwise"])
def test_the_strip_has_each_tooth_when_its_middle_passes(turns: str) -> None:
    extra = "sensor: {kind: reluctance, looks: in, at: 75 deg, air_gap: 0.8, face_diameter: 3}\n"
    job = plate_job(24, 2, 140, gap_at=33.0, turns=turns, extra=extra)
    wheel = design_wheel(job)
    strip = strip_of(job, wheel)
    assert strip is not None
    middles = sorted((start + (end - start) / 2) % 360.0 for start, end in strip.teeth)
    # section 3: a point at wheel angle p passes a sensor at s when the crank has turned s - p
    assert middles == pytest.approx(sorted((75.0 - wheel.teeth.tooth_centres_deg) % 360.0), abs=1e-6)
    assert not strip.square
    assert sorted(strip.timed) == pytest.approx(middles)
    assert strip.gap is not None
    start, end = strip.gap
    assert (75.0 - 33.0 - start) % 360.0 < end - start
    assert strip.gap[1] % 360.0 == pytest.approx(strip.teeth[0][0])


def test_the_strip_names_every_cylinder_where_it_fires(six: Job) -> None:
    strip = strip_of(six, design_wheel(six))
    assert strip is not None
    assert strip.tdc == ((0.0, 1), (120.0, 5), (240.0, 3), (360.0, 6), (480.0, 2), (600.0, 4))


def test_a_place_clicked_on_the_map_is_where_the_gap_then_passes(six: Job) -> None:
    found = map_json(six)
    assert found is not None
    assert six.sensor is not None
    assert len(found["margin"]) == len(found["clear"]) == len(found["error"]) == 360
    for place in (0, 57, found["best"]):
        wheel = six.wheel.model_copy(update={"gap_at": gap_at_for(six.sensor, float(place))})
        moved = map_json(six.model_copy(update={"wheel": wheel}).with_source(six.source))
        assert moved is not None
        assert moved["here"] == place
        assert moved["margin"] == pytest.approx(found["margin"], abs=2e-4)  # the map is of places, not of this one
    assert map_json(plate_job()) is None


def test_the_section_shows_turned_and_found_and_the_field_in_hand(made: SceneMade) -> None:
    plain = section_svg(made, "mm")
    root = ElementTree.fromstring(plain)
    paths = [item for item in root.iter() if item.tag.endswith("path")]
    assert any(item.get("fill") == "url(#wc-hatch)" for item in paths)
    assert any(item.get("stroke-dasharray") for item in paths)
    assert "⌀118" in plain
    held = section_svg(made, "in", arrow_of("pulley.turned[0].length", made))
    assert held != section_svg(made, "in")
    assert " mm" not in held
    assert not unwritten(held)


def test_patterns_are_to_one_scale_under_the_sensors_face(six: Job) -> None:
    rows, first = compared(six, ("48-2",))
    assert "48-2" in [row.name for row in rows]
    assert [row.name for row in rows if row.take] == [first.split()[1].rstrip(".")]
    assert [row.name for row in rows if row.own] == ["36-1"]
    assert not unwritten(first + "".join(row.svg + row.reason + str(row.numbers) for row in rows))
    views = {ElementTree.fromstring(row.svg).get("viewBox") for row in rows if row.svg}
    assert len(views) == 1
    wheel = design_wheel(six)
    path = next(item for item in ElementTree.fromstring(pattern_svg(six, wheel)).iter() if item.tag.endswith("path"))
    numbers = np.array(re.findall(r"-?[0-9.]+", path.get("d") or ""), dtype=float).reshape(-1, 2)
    tops = numbers[(np.abs(numbers[:, 1]) < 0.6) & (np.abs(numbers[:, 0]) < HALF_MM / 4)]
    assert tops[:, 0].max() - tops[:, 0].min() == pytest.approx(
        wheel.tooth_top_mm, abs=0.02
    )  # one tooth, at the sensor


def test_allowed_places_are_those_that_the_design_allows(six: Job) -> None:
    found = allowed_places(six, range(240, 361, 20))
    assert found is not None
    assert found[310] == found[305]
    for at in (240, 300, 320, 340):
        assert found[at] == is_allowed(six, float(at))
    assert found[300]
    assert not found[250]
    assert allowed_places(without_bracket(six)) is None


def without_bracket(six: Job) -> Job:
    return six.model_copy(update={"bracket": None}).with_source(six.source)


def test_an_anticlockwise_engines_sensor_arrow_goes_the_other_way() -> None:
    text = edited(demo_text("tarn-six"), ("turns: clockwise", "turns: anticlockwise"))
    arrow = arrow_of("sensor.at", made_of(parse_job(text, "a.yaml"), None))
    assert arrow is not None
    x, y, _ = arrow.points[-1]
    assert float(angle_of(x, y, -1)) == pytest.approx(310.0)
