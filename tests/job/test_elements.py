"""What a sensor is taken to be where the job leaves it open."""

from __future__ import annotations

import pytest

from wheelcad.job.elements import element_of, times_on_of
from wheelcad.job.models import Sensor


@pytest.mark.parametrize(
    ("given", "element", "times_on"),
    [
        ({"kind": "reluctance"}, "pole", "centre"),
        ({"kind": "hall"}, "hall-selfsetting", "leading"),
        ({"kind": "hall", "element": "hall-fixed"}, "hall-fixed", "leading"),
        ({"kind": "hall", "element": "hall-differential"}, "hall-differential", "centre"),
        ({"kind": "hall", "element": "vane"}, "vane", "leading"),
        ({"kind": "hall", "element": "hall-differential", "times_on": "leading"}, "hall-differential", "leading"),
        ({"kind": "reluctance", "times_on": "trailing"}, "pole", "trailing"),
    ],
)
def test_the_element_and_what_is_timed_on(given: dict[str, str], element: str, times_on: str) -> None:
    sensor = Sensor.model_validate({"at": 0, **given})
    assert (element_of(sensor), times_on_of(sensor)) == (element, times_on)
