"""What is said to mend a wheel that spins too fast does mend it, and the next smaller thing would not."""

from __future__ import annotations

import re

import pytest

from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.spinning import drilled_findings, spinning_disc, strength_of, stressed, tooth_root_mm
from wheelcad.words import Words

PLAIN = """\
job: fast
engine: {cylinders: 4, max_speed: 6000}
wheel: {form: plate, teeth: 36, missing: 1, outside_diameter: 160, thickness: 4, bore: 40, material: mild-steel,
        slot: {width: WIDTH, depth: 6, floor: FLOOR}}
"""
HUB = "pulley: {bore: 40, turned: [{length: 30, diameter: 90}, wheel]}\n"
STEP = 0.05  # mm: what a corner radius is told in
WORDS = Words("mm")


def _job(width: float = 6.0, floor: str = "flat") -> Job:
    return parse_job(PLAIN.replace("WIDTH", str(width)).replace("FLOOR", floor))


def _mend(job: Job, rpm: float) -> str:
    wheel = design_wheel(job)
    strength, safety = strength_of(job, wheel)
    return WORDS.text(next(stressed(job, wheel, rpm, strength / safety)).mend)


@pytest.mark.parametrize("rpm", [12_000, 14_000, 16_000, 18_000, 19_000, 20_000])
def test_the_corner_radius_named_holds_and_a_step_less_does_not(rpm: float) -> None:
    job = _job()
    wheel = design_wheel(job)
    strength, safety = strength_of(job, wheel)
    disc, root = spinning_disc(job, wheel, rpm), tooth_root_mm(wheel)
    found = re.fullmatch(r"a corner radius of ([\d.]+) mm at the slot floors mends it", _mend(job, rpm))
    assert found is not None
    corner = float(found[1])
    assert corner / STEP == pytest.approx(round(corner / STEP))
    assert disc.floor_peak_mpa(root, corner, False) <= strength / safety
    assert disc.floor_peak_mpa(root, corner - STEP, False) > strength / safety


@pytest.mark.parametrize(
    ("width", "floor", "rpm", "mend"),
    [
        (2.0, "flat", 16_500, "a corner radius"),
        (2.0, "flat", 19_000, "round slot floors mend it"),  # a corner larger than half the slot would be wanted
        (2.0, "flat", 20_000, "a smaller wheel or a stronger material mends it"),
        (2.0, "round", 19_000, "a smaller wheel or a stronger material mends it"),  # they are round already
        (6.0, "flat", 30_000, "a smaller wheel or a stronger material mends it"),
    ],
)
def test_what_mends_a_floor_goes_from_its_corners_to_the_whole_wheel(
    width: float, floor: str, rpm: float, mend: str
) -> None:
    job = _job(width, floor)
    assert _mend(job, rpm).startswith(mend)
    wheel = design_wheel(job)
    strength, safety = strength_of(job, wheel)
    hoop = spinning_disc(job, wheel, rpm).at(wheel.floor_radius_mm).hoop_mpa
    if floor == "flat" and width == 2.0:  # 2.1 times the hoop stress under round floors: rotating_stress.ROUND_FLOOR
        assert (2.1 * hoop <= strength / safety) == (not mend.startswith("a smaller"))


@pytest.mark.parametrize(
    ("pulley", "rpm", "at"),
    [
        ("", 14_500, 30.0), ("", 14_500, 35.0), ("", 14_500, 60.5), ("", 13_500, 25.0), ("", 16_500, 50.0),
        # beside the hub, which carries what lies within it, a hole has a bad ring about it
        (HUB, 12_000, 50.0), (HUB, 12_000, 59.0), (HUB, 12_500, 60.0), (HUB, 13_000, 60.0), (HUB, 13_500, 62.0),
    ],
)  # fmt: skip
def test_a_correction_hole_is_sent_to_the_nearest_radius_that_bears_it(pulley: str, rpm: float, at: float) -> None:
    text = PLAIN.replace("WIDTH", "6").replace("FLOOR", "flat")
    if pulley:
        text = text.replace("form: plate, ", "").replace("bore: 40, ", "").replace("160", "200") + pulley
    job, hole = parse_job(text), 4.0
    wheel = design_wheel(job)

    def bears(radius: float) -> bool:
        (one,) = drilled_findings(job, wheel, rpm, [(radius, hole)])
        return one.verdict == "pass"

    # whole millimetres with 1 mm to the bore's edge and a wall as wide as the hole to the slots' floors
    borne = [r for r in range(25, int(wheel.floor_radius_mm - 3 * hole) + 1) if bears(float(r))]
    (finding,) = drilled_findings(job, wheel, rpm, [(at, hole)])
    said = WORDS.text(finding.why)
    if bears(at):
        assert "bear" not in said
    elif borne:
        named = re.search(r"bear it at a radius of ([\d.]+) mm", said)
        assert named is not None
        assert abs(float(named[1]) - at) == min(abs(r - at) for r in borne)
        assert bears(float(named[1]))
    else:
        assert "no hole bears it at any radius" in said


def test_a_hole_outside_the_metal_has_no_edge_to_break() -> None:
    job = _job()
    wheel = design_wheel(job)
    for at in (16.0, 10.0, 78.0, 90.0):  # within the bore of ⌀40, up to its edge; from the slots' floors at 74 on
        assert drilled_findings(job, wheel, 6000.0, [(at, 4.0)]) == []
    for at in (16.1, 77.9):
        assert len(drilled_findings(job, wheel, 6000.0, [(at, 4.0)])) == 1
