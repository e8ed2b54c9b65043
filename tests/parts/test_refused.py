"""What collides is an error before anything is built; what drawings cannot show is said."""

from __future__ import annotations

import numpy as np
import pytest

from wheelcad.checks.wheel import RUN_OUT_LIMIT_MM, _off_round
from wheelcad.codes import Check
from wheelcad.errors import DesignError
from wheelcad.job.reader import parse_job
from wheelcad.parts.design import design_job
from wheelcad.parts.wheel.design import design_wheel

PLATE = """\
job: x
title: {title}
engine: {{turns: clockwise, cylinders: 4, firing_order: [1, 3, 4, 2], max_speed: 6000}}
wheel: {{form: plate, teeth: {teeth}, missing: {missing}, outside_diameter: 160, thickness: 4, bore: 70,
        slot: {{width: 6, depth: 6.35}}}}
pulley: {{bore: 32, bolts: {bolts}, as_found: [{{length: 26, diameter: 120}}]}}
adapter: {{length: 30, outside_diameter: {across}, pilot: {{diameter: 69.95, length: 2}}}}
sensor: {{kind: hall, looks: in, at: 310 deg, air_gap: 0.8, face_diameter: 6, body_diameter: 18, nose_length: 25,
         bolt: {{hole: 6.6, offset: 24}}}}
"""
BOLTS = "{count: 4, circle: 85, hole: 8.4, first_at: 45 deg}"


def plate(title: str = "a wheel", across: float = 100, bolts: str = BOLTS, teeth: int = 36, missing: int = 1) -> str:
    return PLATE.format(title=title, across=across, bolts=bolts, teeth=teeth, missing=missing)


def test_a_sensor_without_a_bracket_does_not_stand_in_the_adapter() -> None:
    assert design_job(parse_job(plate())).bracket is None
    with pytest.raises(DesignError, match=r"sensor\.body_diameter: the sensor's nose would hit the adapter"):
        design_job(parse_job(plate(across=170)))


@pytest.mark.parametrize("count", [16, 40])
def test_bolt_holes_do_not_run_into_each_other(count: int) -> None:
    bolts = BOLTS.replace("count: 4", f"count: {count}").replace("hole: 8.4", f"hole: {280 / count + 0.1:.2f}")
    with pytest.raises(DesignError, match="lets neighbouring bolt holes run into each other"):
        design_job(parse_job(plate(bolts=bolts)))


@pytest.mark.parametrize(
    ("title", "lost"),
    [
        ("Ünïcødé ⌀ Ω Жигули", ""),
        ("曲軸 wheel", "2 letters it lacks: 曲 軸"),
        ("عجلة", "4 letters"),
        ("wheel 🛞", "1 letter it lacks"),
        ("一二三四五六七八九十百千万", "13 letters it lacks: 一 二 三 四 五 六 七 八 九 十 百 千"),  # a dozen are shown
    ],
)
def test_letters_that_no_drawing_can_show_are_warned_of(title: str, lost: str) -> None:
    found = [f for f in design_job(parse_job(plate(title))).findings if f.check == Check.TITLE_LETTERS]
    assert [f.verdict for f in found] == ["warn"] * bool(lost)
    assert all(lost in str(f.measured) and "万" not in str(f.measured) for f in found)


def ring(radii: np.ndarray, centres_deg: np.ndarray, off: float = 0.0) -> np.ndarray:
    """Points on tooth tops of three degrees each, the whole moved sideways by `off` mm."""
    angles = np.radians(centres_deg[:, None] + np.linspace(-1.5, 1.5, 7))
    points = np.stack([radii[:, None] * np.cos(angles) + off, radii[:, None] * np.sin(angles)], axis=-1)
    return points.reshape(-1, 2)


@pytest.mark.parametrize("missing", [1, 20, 33, 34])
def test_run_out_is_seen_whatever_is_left_of_the_teeth(missing: int) -> None:
    wheel = design_wheel(parse_job(plate(missing=missing)))
    left = wheel.teeth.tooth_centres_deg
    even = np.full(len(left), wheel.radius_mm)
    assert _off_round(ring(even, left), wheel) < RUN_OUT_LIMIT_MM / 2
    assert _off_round(ring(even + 0.02, left), wheel) > RUN_OUT_LIMIT_MM
    high = even.copy()
    high[0] += 0.4 if missing == 1 else 0.05
    assert _off_round(ring(high, left), wheel) > RUN_OUT_LIMIT_MM
