"""Where things stand along the crank."""

from __future__ import annotations

import pytest

from tests.conftest import demo_text
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.common.stack import form_of, pulley_front_z, rotating_lands


def test_the_ring_is_the_origin_and_the_pulley_stands_round_it(six: Job) -> None:
    lands = rotating_lands(six)
    assert [(round(land.z_front, 6), round(land.z_back, 6), land.radius) for land in lands] == [
        (9.6, 1.6, 59),
        (1.6, -1.6, 80),
        (-1.6, -16.4, 59),
        (-16.4, -30.4, 75),
    ]


def test_plate_adapter_and_pulley_stack_up_to_the_ring() -> None:
    job = parse_job(demo_text("fell-twin"))
    assert form_of(job) == "plate"
    # half the 1/8 in plate and the 1/2 in adapter
    assert pulley_front_z(job) == pytest.approx(-(25.4 / 16) - 12.7)
    names = [land.name for land in rotating_lands(job)]
    assert names == ["ring", "pilot", "adapter", "pulley"]
