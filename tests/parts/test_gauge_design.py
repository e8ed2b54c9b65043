"""The gauge as numbers: marks, outline, seat, what centres it, what it covers, and what cannot be."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tests.parts.gauge_files import gauge_of
from tests.parts.gauge_jobs import job_of, plate, turned
from wheelcad.errors import DesignError
from wheelcad.job.models import Job
from wheelcad.parts.gauge.design import design_gauge
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.trade.frames import angle_of
from wheelcad.words import Words


def gauge_with(**changes: Any) -> dict[str, Any]:
    return {"thickness": 3.0, "hole_allowance": 0.2, **changes}


def test_marks_are_the_cuts_of_the_chart(demo: Job) -> None:
    wheel = design_wheel(demo)
    design = design_gauge(demo, wheel)
    assert design is not None
    assert [mark.number for mark in design.cover.marks] == list(range(1, len(wheel.slot_centres_deg) + 1))
    assert [mark.at_deg for mark in design.cover.marks] == wheel.slot_centres_deg.tolist()
    assert design.report()["marks_deg"] == wheel.slot_centres_deg.tolist()


def test_the_six_by_hand(six: Job) -> None:
    """Front face 8 mm in front of a 3.2 mm ring; 8.4 mm holes on ⌀80 at 45 deg; allowance 0.25; shoulder ⌀118."""
    design = gauge_of(six)
    assert design.seat.z == pytest.approx(9.6)
    assert design.z_back == pytest.approx(1.6)
    assert design.size_mm[2] == pytest.approx(12.0)
    report = design.report()
    assert report["bolt_hole_mm"] == pytest.approx(8.65)
    assert report["bolt_holes_at_deg"] == pytest.approx([45, 135, 225, 315])
    assert report["centred_by"] == "shoulder"
    assert report["centring_clearance_mm"] == pytest.approx(0.25)
    assert report["marks_deg"][0] == pytest.approx(5.0)  # type: ignore[index]
    assert report["opening_mm"] == pytest.approx(61.0)  # the ⌀60 recess and half a millimetre all round
    # two bolts' clearances (0.25 + 2 × 0.4 on the diameter) at 40 mm, and the bolts' own centring
    assert report["loose_on_bolts_deg"] == pytest.approx(np.degrees(0.525 / 40), rel=0.01)
    # pins of ⌀8.4 leave 0.125 at 40 mm, the shoulder 0.125 at the marks' radius
    wanted = np.degrees(0.125 / 40 + 0.125 / design.mark_radius)
    assert report["loose_with_pins_deg"] == pytest.approx(wanted)
    assert report["smallest_fault_deg"] == pytest.approx(1.0)  # 10 deg is one turn of 9 and one more


def test_no_gauge_without_its_section_or_a_pulley() -> None:
    for missing in ("gauge", "pulley"):
        sections = plate()
        del sections[missing]
        job = job_of(**sections)
        assert design_gauge(job, design_wheel(job)) is None


@pytest.mark.parametrize("turns", ["clockwise", "anticlockwise"])
def test_holes_follow_the_direction_of_rotation(turns: str) -> None:
    job = job_of(**turned(engine={"turns": turns}))
    design = gauge_of(job)
    x = design.holes[0].x  # the hole at 20 deg: to the right on an engine that turns clockwise
    assert (x > 0) == (turns == "clockwise")
    at = angle_of([h.x for h in design.holes], [h.y for h in design.holes], design.sense)
    assert at == pytest.approx([20, 110, 200, 290])


def test_the_skirt_goes_round_every_step_in_front_of_the_ring() -> None:
    sections = turned()
    steps = [{"length": 3.0, "diameter": 60.0}, {"length": 5.0, "diameter": 70.0}]
    sections["pulley"]["turned"] = [*steps, "wheel", {"length": 9.0, "diameter": 70.0}]
    seat = gauge_of(job_of(**sections)).seat
    assert seat.z - seat.z_ring == pytest.approx(8.0)
    assert [round(c.radius, 3) for c in seat.cavities] == [30.5, 35.1]
    assert seat.cavities[0].z1 == pytest.approx(seat.z)
    assert seat.cavities[-1].z0 == pytest.approx(2.0)
    assert seat.cavities[-1].z1 == pytest.approx(7.5)  # the step at 7 and half a millimetre: it must not sit there


@pytest.mark.parametrize(
    ("recess", "bolts", "front", "by", "metal"),
    [
        (None, True, True, "shoulder", 70.0),
        (None, True, False, "bore", 20.0),
        ({"diameter": 30.0, "depth": 4.0}, True, False, "recess", 30.0),
        ({"diameter": 58.0, "depth": 4.0}, True, False, "bolts", 0.0),
        (None, False, False, "bore", 20.0),
    ],
)
def test_what_centres_it(recess: object, bolts: bool, front: bool, by: str, metal: float) -> None:
    sections = turned()
    if recess is not None:
        sections["pulley"]["recess"] = recess
    if not bolts:
        del sections["pulley"]["bolts"]
    if not front:
        sections["pulley"]["turned"] = ["wheel", {"length": 10.0, "diameter": 70.0}]
    register = gauge_of(job_of(**sections)).seat.register
    assert register.by == by
    assert register.metal_diameter == pytest.approx(metal)
    assert register.keyed == (not bolts)
    if by != "bolts":
        assert register.clearance == pytest.approx(0.2)


def test_a_plate_wheel_in_front_of_its_pilot() -> None:
    """5 mm of plate less a 2 mm pilot and half a millimetre leave 2.5 mm for the boss; a 4 mm pilot leaves none."""
    adapter = {"length": 10.0, "outside_diameter": 80.0, "pilot": {"diameter": 39.95, "length": 2.0}}
    boss = gauge_of(job_of(**plate(adapter=adapter))).seat.register
    assert (boss.by, boss.boss_depth) == ("bore", pytest.approx(2.5))
    adapter["pilot"] = {"diameter": 39.95, "length": 4.0}
    assert gauge_of(job_of(**plate(adapter=adapter))).seat.register.by == "bolts"


def test_a_part_circle_ends_in_teeth_and_covers_at_least_what_was_asked() -> None:
    design = gauge_of(job_of(**plate(gauge=gauge_with(covers=100.0))))
    assert design.cover.covers_deg == pytest.approx(110.0)  # tooth middles at ±15, 25, 35, 45, 55 deg from the gap's
    assert len(design.cover.marks) == 10  # ±10 (beside the gap), 20, 30, 40, 50 would be slots: 5 on either side
    assert min(mark.number for mark in design.cover.marks) == 1
    numbers = [mark.number for mark in design.cover.marks]
    assert numbers == [1, 2, 3, 4, 5, 31, 32, 33, 34, 35]


def test_report_says_when_the_bolts_repeat_the_pattern() -> None:
    report = gauge_of(job_of(**turned())).report()  # 24 on 4
    assert report["repeats_by_one_bolt"] is True
    assert "TDC pointer" in str(report["turned_by_one_bolt"])
    sections = turned()
    sections["wheel"]["teeth"] = 18
    report = gauge_of(job_of(**sections)).report()  # 18 on 4: 4.5 positions
    assert report["repeats_by_one_bolt"] is False
    said = str(report["turned_by_one_bolt"])
    assert "10° off its slot" in Words("mm").text(said)
    assert "middle of a tooth" in said


def wheel_with(sections: dict[str, Any], **changes: Any) -> dict[str, Any]:
    return {**sections["wheel"], **changes}


NARROW = {"width": 5.5, "depth": 6.0}
CANNOT = [
    (turned(gauge=gauge_with(thickness=0.8)), ("gauge", "thickness")),
    (turned(gauge=gauge_with(covers=10.0), wheel=wheel_with(turned(), missing=0)), ("gauge", "covers")),
    (
        turned(gauge=gauge_with(outline_allowance=-1.0), wheel=wheel_with(turned(), teeth=48, slot=NARROW)),
        ("gauge", "outline_allowance"),
    ),
    (
        turned(
            gauge=gauge_with(style="comb", clearance=2.0), wheel=wheel_with(turned(), slot={**NARROW, "width": 3.0})
        ),
        ("gauge", "clearance"),
    ),
    (
        plate(pulley={"bolts": {"count": 3, "circle": 100.0, "hole": 8.4}}, gauge=gauge_with(hole_allowance=2.0)),
        ("gauge", "hole_allowance"),
    ),
    (
        plate(pulley={"bolts": {"count": 1, "circle": 60.0, "hole": 8.4}}, wheel=wheel_with(plate(), bore=None)),
        ("gauge",),
    ),
]


@pytest.mark.parametrize(("sections", "key"), CANNOT)
def test_what_cannot_be_is_refused_at_its_key(sections: dict[str, Any], key: tuple[str, ...]) -> None:
    job = job_of(**sections)
    wheel = design_wheel(job)
    with pytest.raises(DesignError) as caught:
        design_gauge(job, wheel)
    assert key in [fault.key for fault in caught.value.faults]


def test_a_front_as_large_as_the_ring_is_refused() -> None:
    sections = turned()
    sections["pulley"]["turned"] = [
        {"length": 5.0, "diameter": 104.0},
        {"length": 5.0, "diameter": 70.0},
        "wheel",
        {"length": 9.0, "diameter": 70.0},
    ]
    job = job_of(**sections)
    with pytest.raises(DesignError, match="cannot reach the ring"):
        design_gauge(job, design_wheel(job))


def test_a_larger_gauge_than_the_bed_is_cut_into_keyed_pieces() -> None:
    shop = {"rotary_table": {"ratio": 40}, "printer": {"bed": [90.0, 90.0], "nozzle": 0.4}}
    design = gauge_of(job_of(**plate(shop=shop)))
    assert design.pieces >= 3
    assert len(design.body.joints.cuts) == design.pieces
    middles = np.array([mark.at_deg for mark in design.cover.marks])
    for at in design.body.joints.at_deg:
        assert np.abs((middles - at + 180) % 360 - 180).min() == pytest.approx(5.0)  # through the middle of a tooth
    assert any(finding.check == "gauge-joints" for finding in design.findings)


def test_a_part_circle_larger_than_the_bed_names_one_that_fits() -> None:
    shop = {"printer": {"bed": [131.0, 131.0], "nozzle": 0.4}}  # 115 between margins of 8
    design = gauge_of(job_of(**plate(shop=shop, gauge=gauge_with(covers=270.0))))
    finding = next(f for f in design.findings if f.check == "gauge-bed")
    assert finding.verdict == "warn"
    most = float(finding.why.split("covers: ")[1].split(" deg")[0])
    smaller = gauge_of(job_of(**plate(shop=shop, gauge=gauge_with(covers=most))))
    assert next(f for f in smaller.findings if f.check == "gauge-bed").verdict == "pass"


def test_the_first_layer_is_set_back_by_what_the_job_says() -> None:
    plain = gauge_of(job_of(**plate(gauge=gauge_with(first_layer_setback=0.0))))
    assert plain.body.foot == 0
    footed = gauge_of(job_of(**plate(gauge=gauge_with(first_layer_setback=0.5))))
    top = [
        wall for wall in footed.body.walls if wall.z1 == footed.body.z_front and wall.z0 == footed.body.z_front - 0.5
    ]
    assert len(top) >= 5  # outline, three bolt holes and the opening
    reach = [float(np.hypot(*loop.vertices[:, :2].T).max()) for loop in (top[0].loop, footed.body.outline)]
    assert reach[1] - reach[0] == pytest.approx(0.5, abs=0.01)
