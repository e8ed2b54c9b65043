"""Bolts, seat and fitting steps of a bracket at their limits: the least slots, an arm in the wheel's own plane.

The jobs are those of bracket_jobs: a ⌀160 ring 5 thick, plate 5 thick bent about 5, 44 wide, a body of 16, holes of 9.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tests.parts.bracket_jobs import along_job, asked_of, flat_job, in_job, made
from wheelcad.errors import Faults
from wheelcad.findings import Finding
from wheelcad.job.models import Job
from wheelcad.parts.bracket.bolts import _foot, bolt_words, mount_bolts
from wheelcad.parts.bracket.clear import Bulk, Slide
from wheelcad.parts.bracket.design import _check_width
from wheelcad.parts.bracket.fitting import fitting_steps
from wheelcad.parts.bracket.judge import bracket_findings
from wheelcad.parts.bracket.judge_fit import _straight_runs
from wheelcad.parts.bracket.model import BracketDesign, Frame, Gusset
from wheelcad.parts.common.stack import pulley_front_z
from wheelcad.trade.loop import Loop
from wheelcad.words import Words

FLANGE: dict[str, Any] = {"bolt": {"hole": 6.6, "offset": 20}, "thread": None, "body_diameter": 16}
BARREL: dict[str, Any] = {"bolt": None, "thread": "M12x1", "body_diameter": 12}


def found(design: BracketDesign, check: str) -> list[Finding]:
    return [finding for finding in bracket_findings(design) if finding.check == check]


def said(design: BracketDesign) -> str:
    return Words("mm").text(" ".join(step.does for step in fitting_steps(design)))


# what slots of half a millimetre already are


@pytest.mark.parametrize(("adjust", "washer", "words"), [(0, 1.6, "plain washers"), (0.5, 2.0, "over the slots")])
def test_washers_over_slots_are_large_however_short_the_slots(adjust: float, washer: float, words: str) -> None:
    """M8: ISO 7089 plain 1.6 thick, ISO 7093-1 large 2, from memory."""
    design = made(in_job(bracket={"adjust": adjust}))
    assert [bolt.washer for bolt in mount_bolts(design)] == [washer, washer]
    assert words in bolt_words(design)[0]
    assert ("thick washers" in said(design)) is (adjust > 0)


@pytest.mark.parametrize(("job", "with_slots", "without"), [
    (along_job, "The slots allow 0.25 mm outwards and 0.25 mm inwards", "nothing is there to move it by"),
    (lambda **change: in_job(sensor=BARREL, **change), "in the middle of what the slots allow", "Bolts tight"),
    (in_job, "by the slots (0.5 mm from the drawn place)", "only the bolts' play can mend it"),
])  # fmt: skip
def test_what_slots_of_half_a_millimetre_are_for(job: Any, with_slots: str, without: str) -> None:
    for adjust, there, gone in ((0.5, with_slots, without), (0, without, with_slots)):
        text = said(made(job(bracket={"adjust": adjust})))
        assert there in text
        assert gone not in text


def test_a_tab_slotted_by_half_a_millimetre_is_slid_along_the_crank() -> None:
    assert "(±0.25 mm)" in said(made(in_job(bracket={"adjust_along": 0.5})))
    assert "shims bring it forwards" in said(made(in_job(bracket={"adjust_along": 0})))


def test_two_tenths_of_run_out_are_let_pass() -> None:
    """Common practice, no source."""
    for job in (in_job(), flat_job()):
        assert "by hand: no more than 0.2 mm" in said(made(job))


@pytest.mark.parametrize(("way", "face", "more"), [("front", -32, "open"), ("back", 30, "close")])
def test_shims_move_it_forwards(way: str, face: float, more: str) -> None:
    text = said(made(along_job(sensor={**FLANGE, "from": way}, bracket={"mount_face": face})))
    assert f"the ring's {way} face" in text
    assert f"forwards and so {more} it" in text


# room for a socket


@pytest.mark.parametrize(("face", "behind"), [(-0.01, True), (0.0, False), (0.5, False)])
def test_the_wheel_is_in_a_sockets_way_before_an_arm_behind_it(face: float, behind: bool) -> None:
    """Mounts at 70 from the axis lie under a wheel of 80: no room where the plate's back lies behind z = 0."""
    design = made(in_job())
    bracket = design.asked.bracket.model_copy(update={"face": face})
    far = replace(design, asked=replace(design.asked, bracket=bracket), mount_points=((-70.0, 0.0), (-69.0, 0.0)))
    rooms = [f.measured for f in found(far, "spanner-room")]
    assert [room == 0 for room in rooms] == [behind, behind]


def test_a_gussets_foot_is_as_wide_as_it_is_thick() -> None:
    """From 2 to 27 along the arm; it leans over by a slope of 3 in 5, so that its 4 cover 3.2 seen along the crank."""
    lean = Frame((100.0, 50.0, 7.0), (1.0, 0.0, 0.0), (0.0, 0.6, 0.8), (0.0, -0.8, 0.6))
    loop = Loop.polygon([(2.0, 0.0), (27.0, 0.0), (2.0, 25.0)])
    foot = _foot(Gusset(loop, lean, loop, 4.0))
    assert sorted({(round(x, 9), round(y, 9)) for x, y, *_ in foot.exterior.coords}) == [
        (102, 46.8), (102, 50), (127, 46.8), (127, 50),
    ]  # fmt: skip


# the sensor's seat


@pytest.mark.parametrize("job", [in_job(), in_job(bracket={"adjust_along": 4}), along_job()])
def test_one_bend_is_what_a_flange_could_sit_on(job: Job) -> None:
    design = made(job)
    [seat] = found(design, "flange-seat")
    assert seat.measured == pytest.approx(design.bends[-1].x_tab - design.hole("body").x1, abs=1e-3)
    assert f"taken as {2 * seat.limit:.1f}".rstrip("0").rstrip(".") in Words("mm").text(seat.why)
    assert not found(made(flat_job()), "flange-seat")


@pytest.mark.parametrize("turned", [0.0, 40.0, 90.0])
def test_a_sensor_that_senses_across_lies_square_to_the_teeth(turned: float) -> None:
    """On the side face teeth run radially, so its bolt lies beside it, whichever way the arm goes: at 0 straight
    sideways, where the bolt is in line with the arm."""
    y = asked_of(flat_job(sensor={**FLANGE, "at": 0})).place.face[1]
    c, s = math.cos(math.radians(turned)), math.sin(math.radians(turned))
    mounts = [{"x": 100 * c - way * s, "y": y + 100 * s + way * c, "hole": 9} for way in (-20, 20)]
    for senses, found_so in (("across", ["pass"]), ("any", [])):
        design = made(flat_job(sensor={**FLANGE, "at": 0, "senses": senses}, bracket={"mounts": mounts}))
        assert [f.verdict for f in found(design, "senses-across")] == found_so


@pytest.mark.parametrize(("job", "edge"), [
    (flat_job(sensor={**FLANGE, "senses": "across"}), None), (in_job(sensor={"senses": "across"}), (0.0, 0.0, 1.0)),
])  # fmt: skip
def test_a_bolt_along_the_teeth_is_warned_of(job: Job, edge: tuple[float, float, float] | None) -> None:
    """Radial on the side face, along the crank at the rim."""
    design = made(job)
    assert [f.verdict for f in found(design, "senses-across")] == ["pass"]
    body, bolt, frame = design.hole("body"), design.hole("bolt"), design.regions[-1].frame
    along = np.array(edge or design.asked.place.out)
    x, y, _ = frame.back(frame.points((*body.middle, 0.0)) + 20 * along).tolist()
    turned = tuple(replace(hole, x0=x, x1=x, y0=y, y1=y) if hole is bolt else hole for hole in design.holes)
    assert [f.verdict for f in found(replace(design, holes=turned), "senses-across")] == ["warn"]


# belts


@pytest.mark.parametrize(
    ("start", "end", "whole"),
    [
        (30, 330, False),
        (30, 30, True),
        (0, 360, True),
        (-10, 350, True),
        (0, 359.5, False),
    ],
)
def test_a_belt_all_round_has_no_straight_runs(start: float, end: float, whole: bool) -> None:
    belt = {"at": 12, "width": 10, "from_deg": start, "to_deg": end}
    job = in_job(pulley={"bore": 30, "as_found": [{"length": 30, "diameter": 90}], "belts": [belt]})
    z = pulley_front_z(job) - 12
    block = Bulk("the tab", ((-200.0, -5.0), (-190.0, -5.0), (-190.0, 5.0), (-200.0, 5.0)), z - 1, z + 1)
    found = _straight_runs(job, job.belts[0], [block], Slide(1.0, 0.0, 0.0, 0.0))
    assert (found is None) is whole


# plate beside the sensor


@pytest.mark.parametrize(("width", "thickness", "wide_enough"), [(21.3, 5, True), (21.2, 5, False), (20.2, 4, False)])
def test_half_a_thickness_of_plate_either_side_of_the_body(width: float, thickness: float, wide_enough: bool) -> None:
    """A body of 16 in a hole of 16.3."""
    faults = Faults()
    _check_width(asked_of(in_job(bracket={"width": width, "plate": {"thickness": thickness}})), faults)
    assert (not faults) is wide_enough
