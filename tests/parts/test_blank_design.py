"""The turned blank: inside the piece as found, its hub whole."""

from __future__ import annotations

import math

import pytest

from tests.conftest import demo_text, edited
from wheelcad.errors import DesignError
from wheelcad.files.brep import figures
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.blank.design import design_blank
from wheelcad.parts.blank.solid import blank_solid


def test_the_half_section_turned_round_has_the_volume_of_its_steps(six: Job) -> None:
    blank = design_blank(six)
    assert blank is not None
    area, turned, _, _ = blank.section.moments()
    disc = math.pi / 4
    groove_area = (12 + 12 - 22 * math.tan(math.radians(18))) / 2 * 11
    steps = disc * (118**2 * 22.8 + 160**2 * 3.2 + 150**2 * 14) - disc * (32**2 * 30 + 60**2 * 10)
    # Pappus for the groove: its trapezium's area times the way of its centroid
    narrow = 12 - 22 * math.tan(math.radians(18))
    deep = 11 / 3 * (12 + 2 * narrow) / (12 + narrow)
    groove = groove_area * 2 * math.pi * (75 - deep)
    assert 2 * math.pi * turned == pytest.approx(steps - groove, rel=1e-9)
    assert area > 0
    solid = figures(blank_solid(blank))
    bolts = 4 * math.pi / 4 * 8.4**2 * 40
    half_key = math.asin(5 / 16)
    cap = 16**2 * (half_key - math.sin(half_key) * math.cos(half_key))  # of the bore, above the keyway's mouth
    key = 10 * 19.3 - 10 * 16 * math.cos(half_key) - cap
    assert solid.volume == pytest.approx(steps - groove - bolts - key * 30, rel=1e-6)


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ("length: 14.8, diameter: 118", "length: 14.8, diameter: 170", "pulley.turned[2].diameter"),
        ("length: 8, diameter: 118", "length: 18, diameter: 118", "pulley.turned"),
        ("circle: 80", "circle: 130", "pulley.bolts.circle"),
        ("circle: 80", "circle: 30", "pulley.bolts.circle"),
        ("count: 4, circle: 80", "count: 40, circle: 80", "pulley.bolts.hole"),
        ("outside_diameter: 160", "outside_diameter: 170", "wheel.outside_diameter"),
        ("recess: {diameter: 60", "recess: {diameter: 120", "pulley.recess.diameter"),
        ("depth: 10}", "depth: 40}", "pulley.recess.depth"),
        ("depth: 11", "depth: 22", "pulley.turned[3].groove.depth"),
        ("width: 12, depth: 11", "width: 15, depth: 11", "pulley.turned[3].groove.width"),
        ("width: 10, depth: 3.3", "width: 40, depth: 3.3", "pulley.keyway.width"),
        ("width: 10, depth: 3.3", "width: 8, depth: 45", "pulley.keyway.depth"),
        ("bore: 32", "bore: 140", "pulley.bore"),
    ],
)
def test_what_cannot_be_turned_is_named(old: str, new: str, key: str) -> None:
    job = parse_job(edited(demo_text("tarn-six"), (old, new)))
    with pytest.raises(DesignError) as caught:
        design_blank(job)
    assert key in [fault.dotted for fault in caught.value.faults]


def test_a_groove_of_the_piece_as_found_cannot_become_metal() -> None:
    old = "    - {length: 14, diameter: 150, groove: {width: 12, depth: 11, angle: 36 deg}}\n  belts"
    job = parse_job(edited(demo_text("tarn-six"), (old, "    - {length: 14, diameter: 150}\n  belts")))
    with pytest.raises(DesignError) as caught:
        design_blank(job)
    assert caught.value.faults[0].dotted == "pulley.turned[3].diameter"
    assert "groove" in caught.value.faults[0].allowed


def test_a_shorter_turned_piece_is_faced_off_at_the_front() -> None:
    job = parse_job(edited(demo_text("tarn-six"), ("{length: 8, diameter: 118}", "{length: 5, diameter: 118}")))
    blank = design_blank(job)
    assert blank is not None
    assert blank.faced_off_mm == pytest.approx(3.0)
    assert blank.found[-1].z_back == pytest.approx(blank.lands[-1].z_back)
