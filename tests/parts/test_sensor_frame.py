"""The sensor's own frame, its flange and the nuts that hold it, against plain geometry."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.parts.bracket_jobs import along_job, in_job
from wheelcad.job.models import Job
from wheelcad.parts.sensor.design import flange_of, hexagon, seat_axes, sensor_body, sensor_place


def place_of(job: Job):
    assert job.sensor is not None
    return sensor_place(job, job.sensor)


@pytest.mark.parametrize("job", [in_job(), along_job(), along_job(sensor={"from": "back"})])
def test_the_frame_looks_away_from_the_nose_and_is_right_handed(job: Job) -> None:
    place = place_of(job)
    for along in (None, np.zeros(3), np.cross(np.array(place.look), np.array([0.3, 0.5, 0.7]))):
        x, y, z = seat_axes(place, along)
        assert z == pytest.approx(-np.array(place.look))
        assert np.cross(x, y) == pytest.approx(z)
        assert [float(np.linalg.norm(v)) for v in (x, y, z)] == pytest.approx([1, 1, 1])
        if along is not None and along.any():
            assert float(x @ along) == pytest.approx(float(np.linalg.norm(along)))
        elif job.sensor is not None and job.sensor.looks == "in":
            assert x == pytest.approx([0, 0, 1])  # along the crank
        else:
            assert x == pytest.approx(np.array(place.out))  # away from it


def test_a_flange_is_a_band_round_body_and_bolt() -> None:
    """Bolt 20 mm off: its round edge reaches that far and its own radius more; 0.3 mm of play round the bolt."""
    job = in_job()
    assert job.sensor is not None
    body = sensor_body(job.sensor, place_of(job))
    outer, holes = flange_of(body)
    points = outer.flatten(0.001)
    assert points[:, 0].min() == pytest.approx(-body.flange_radius, abs=0.01)
    assert points[:, 0].max() == pytest.approx(20 + body.bolt_radius, abs=0.01)
    assert abs(points[:, 1]).max() == pytest.approx(max(body.flange_radius, body.bolt_radius), abs=0.01)
    (hole,) = holes
    rim = hole.flatten(0.001)
    assert np.hypot(rim[:, 0] - 20, rim[:, 1]) == pytest.approx(np.full(len(rim), body.bolt / 2 + 0.3), abs=0.01)


@pytest.mark.parametrize(("bolt", "flats"), [(6.0, 10.0), (8.0, 13.0), (12.0, 18.0)])
def test_a_nut_is_as_wide_across_its_flats_as_iso_272_says(bolt: float, flats: float) -> None:
    """ISO 272 product grades A and B, from memory: M6 10, M8 13, M12 18."""
    corners = np.array(hexagon(bolt, 3.0).flatten(0.01))
    assert len(np.unique(np.round(corners, 6), axis=0)) == 6
    assert np.hypot(corners[:, 0] - 3.0, corners[:, 1]) == pytest.approx(np.full(len(corners), flats / math.sqrt(3)))
    assert corners[:, 0].max() - 3.0 == pytest.approx(flats / math.sqrt(3))  # a corner points along x
    assert corners[:, 1].max() == pytest.approx(flats / 2)
    assert hexagon(bolt).bounds()[0] == pytest.approx(-flats / math.sqrt(3))  # about the axis where no x is given
    assert hexagon(bolt, 3.0).oriented() == hexagon(bolt, 3.0)  # anticlockwise
