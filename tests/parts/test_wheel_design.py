"""Teeth, slots and outline of the wheel as numbers."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.conftest import demo_text, edited, plate_job
from wheelcad.errors import DesignError, JobError
from wheelcad.job.reader import parse_job
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.teeth import ToothGap, lay_out
from wheelcad.trade.frames import angle_of, wrap_180


@pytest.mark.parametrize(("teeth", "missing"), [(12, 1), (24, 1), (36, 1), (36, 2), (60, 2), (120, 2), (8, 0), (30, 5)])
@pytest.mark.parametrize("gap_at", [0.0, 37.5, -60.0, 719.0])
def test_slots_start_after_the_gap_and_rise_by_one_pitch(teeth: int, missing: int, gap_at: float) -> None:
    laid = lay_out(teeth, (ToothGap(gap_at, missing),))
    count = teeth - missing + 1 if missing else teeth
    assert len(laid.slot_centres_deg) == count
    expected = gap_at + missing * 180 / teeth + 360 / teeth * np.arange(count)
    assert np.abs(wrap_180(laid.slot_centres_deg - expected)).max() < 1e-9
    assert len(laid.tooth_centres_deg) == teeth - missing


def test_several_gaps_keep_to_the_tooth_grid() -> None:
    laid = lay_out(36, (ToothGap(0, 1), ToothGap(90, 1), ToothGap(185, 2)))
    assert laid.missing == 4
    assert len(laid.tooth_centres_deg) == 32
    # two slots bound each gap; the slot inside the double gap is swallowed
    assert len(laid.slot_centres_deg) == 35
    assert 185.0 not in np.round(laid.slot_centres_deg, 6)
    with pytest.raises(ValueError, match="off the tooth grid"):
        lay_out(36, (ToothGap(0, 1), ToothGap(93, 1)))
    with pytest.raises(ValueError, match="overlap"):
        lay_out(36, (ToothGap(0, 3), ToothGap(10, 1)))


@pytest.mark.parametrize("turns", ["clockwise", "anticlockwise"])
def test_the_outline_has_its_gap_where_the_job_says(turns: str) -> None:
    wheel = design_wheel(plate_job(gap_at=70, turns=turns))
    x, y = wheel.outline.flatten(0.01).T
    low = np.hypot(x, y) < wheel.floor_radius_mm + 0.01
    angles = angle_of(x[low], y[low], wheel.sense)
    in_gap = np.abs(wrap_180(angles - 70)) <= 5.0001
    # the gap's floor is an arc from slot centre to slot centre; elsewhere only one lowest point a slot
    assert in_gap.sum() > 5
    mirrored = np.abs(wrap_180(angles - 290)) <= 5.0001
    assert mirrored.sum() < in_gap.sum()
    # the engine frame: 70 degrees the way a clockwise crank turns is to the right of the person facing it
    side = 1 if turns == "clockwise" else -1
    assert np.sign(np.median(x[low][in_gap])) == side


def test_slot_shapes_have_the_area_of_their_parts() -> None:
    radius, width, depth, teeth = 80.0, 6.0, 6.35, 36
    whole = math.pi * radius**2
    half = math.asin(width / 2 / radius)
    # between chord and rim at the mouth of a slot
    cap = radius**2 * (half - math.sin(half) * math.cos(half))
    rim = radius * math.cos(half)
    for slot, one in [
        ("{width: 6, depth: 6.35}", width * (rim - 73.65 - 3) + math.pi * 9 / 2 + cap),
        ("{width: 6, depth: 6.35, floor: flat}", width * (rim - 73.65) + cap),
        ("{width: 6, depth: 6.35, floor: flat, corner_radius: 1}", width * (rim - 73.65) + cap - (2 - math.pi / 2)),
        (
            "{width: 6, depth: 6.35, sides: radial, floor: flat}",
            half * radius**2 - 73.65**2 * math.tan(half),
        ),
    ]:
        full = design_wheel(plate_job(missing=0, slot=slot))
        assert full.outline.area == pytest.approx(whole - teeth * one, abs=1e-6)
    gapped = design_wheel(plate_job(missing=2, slot="{width: 6, depth: 6.35, floor: flat}"))
    # the gap: two half slots and everything outside the floor circle between their lowest points
    pitch = 2 * math.pi / teeth
    flat_half_slot = width / 2 * (rim - 73.65) + cap / 2
    sector = (radius**2 - depth_radius(radius, depth) ** 2) * pitch * 2 / 2
    assert whole - gapped.outline.area == pytest.approx(33 * 2 * flat_half_slot + 2 * flat_half_slot + sector, abs=1e-6)


def depth_radius(radius: float, depth: float) -> float:
    """From the axis to the floor."""
    return radius - depth


@pytest.mark.parametrize(
    ("slot", "key"),
    [
        ("{width: 14, depth: 8, floor: flat}", "wheel.slot.width"),
        ("{width: 6, depth: 2}", "wheel.slot.width"),
        ("{width: 6, depth: 80}", "wheel.slot.depth"),
        ("{width: 6, depth: 6, sides: radial, floor: round}", "wheel.slot.floor"),
        ("{width: 12, depth: 30, floor: flat}", "wheel.slot.depth"),
        ("{width: 6, depth: 6, floor: flat, corner_radius: 4}", "wheel.slot.corner_radius"),
        ("{width: 6, depth: 6, floor: round, corner_radius: 1}", "wheel.slot.corner_radius"),
    ],
)
def test_slots_that_cannot_exist_are_named(slot: str, key: str) -> None:
    with pytest.raises(JobError) as caught:
        design_wheel(plate_job(slot=slot))
    assert key in [fault.dotted for fault in caught.value.faults]


def test_a_shoulder_that_closes_the_slots_is_a_fault() -> None:
    text = edited(demo_text("tarn-six"), ("{length: 14.8, diameter: 118}", "{length: 14.8, diameter: 150}"))
    with pytest.raises(DesignError) as caught:
        design_wheel(parse_job(text))
    assert caught.value.faults[0].dotted == "pulley.turned[2].diameter"


def test_edges_of_36_1_first_slot_five_degrees_from_the_gap() -> None:
    wheel = design_wheel(plate_job())
    assert wheel.slot_centres_deg[0] == pytest.approx(5.0)
    assert wheel.slot_centres_deg[-1] == pytest.approx(355.0)
    half = math.degrees(math.asin(3 / 80))
    assert wheel.tooth_edges_deg[0] == pytest.approx([5 + half, 15 - half])
    assert wheel.first_tooth_centre_deg == pytest.approx(350.0)
