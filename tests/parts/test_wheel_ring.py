"""A ready-made ring opened up: what is bored, drilled, opened and left, and what cannot be."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from wheelcad.checks.wheel import check_wheel
from wheelcad.errors import JobError
from wheelcad.files.brep import figures
from wheelcad.files.stl_writer import write_stl
from wheelcad.findings import Finding
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.ring import RingWork
from wheelcad.parts.wheel.solid import wheel_solid
from wheelcad.words import Words


def ring_job(found: str, bore: str = "bore: 60", bolts: str = "{count: 4, circle: 90, hole: 8.4, first_at: 0}") -> Job:
    """A 36-1 ring with floors at ⌀138 on a pulley with these bolts."""
    return parse_job(
        f"job: ring\nwheel: {{form: plate, teeth: 36, missing: 1, outside_diameter: 150, thickness: 4, {bore},"
        f" slot: {{width: 6, depth: 6}}, as_found: {found}}}\n"
        + (f"pulley: {{bore: 28, bolts: {bolts}}}\n" if bolts else "")
    )


def work(job: Job) -> RingWork:
    """The work on the job's ring."""
    ring = design_wheel(job).ring
    assert ring is not None
    return ring


def done(ring: RingWork) -> list[tuple[str, str, float, float]]:
    """What is done to each hole."""
    return [(step.what, step.do, step.from_mm, step.to_mm) for step in ring.steps]


def by_check(ring: RingWork) -> dict[str, Finding]:
    """The findings by their check."""
    return {finding.check: finding for finding in ring.findings}


def key_of(job: Job) -> list[str]:
    """The keys of the faults a job brings."""
    with pytest.raises(JobError) as caught:
        design_wheel(job)
    return [fault.dotted for fault in caught.value.faults]


def test_bore_opened_and_holes_drilled_opened_left_and_kept() -> None:
    ring = work(
        ring_job("{bore: 50, bolts: {count: 2, circle: 90, hole: 6.6, first_at: 0}}")  # two of four wanted are there
    )
    assert done(ring) == [
        ("bore", "bore", 50, 60),
        ("bolt hole", "open", 6.6, 8.4),
        ("bolt hole", "drill", 0, 8.4),
        ("bolt hole", "open", 6.6, 8.4),
        ("bolt hole", "drill", 0, 8.4),
    ]
    assert [step.at_deg for step in ring.steps[1:]] == pytest.approx([0, 90, 180, 270])
    assert len(ring.openings) == 4
    said = str(by_check(ring)["ring-work"].measured)
    assert Words("mm").text(said) == "bore ⌀50 mm to ⌀60 mm; drill 2 new holes; open 2 up"


def test_what_fits_is_left_and_what_is_not_used_stays_in_the_plate() -> None:
    ring = work(ring_job("{bore: 60, bolts: {count: 8, circle: 90, hole: 8.4, first_at: 0}}"))
    assert done(ring)[0] == ("bore", "leave", 60, 60)
    assert [step.do for step in ring.steps[1:]] == ["leave"] * 4 + ["unused"] * 4
    wheel = design_wheel(ring_job("{bore: 60, bolts: {count: 8, circle: 90, hole: 8.4, first_at: 0}}"))
    assert sorted(opening.name for opening in wheel.openings) == ["bolt"] * 4 + ["bore"] + ["found"] * 4
    assert "as_found" in wheel.report()


def test_old_holes_inside_the_new_bore_are_gone() -> None:
    ring = work(ring_job("{bore: 20, bolts: {count: 3, circle: 40, hole: 6, first_at: 0}}"))
    assert [step.do for step in ring.steps if step.what == "bolt hole"] == ["drill"] * 4 + ["gone"] * 3
    assert len(ring.openings) == 4


def test_the_bore_as_found_serves_where_no_other_is_asked_for() -> None:
    job = ring_job("{bore: 55}", bore="material: mild-steel")
    assert job.wheel.bore == 55
    assert done(work(job))[0] == ("bore", "leave", 55, 55)


def test_what_cannot_be() -> None:
    assert key_of(ring_job("{bore: 62}")) == ["wheel.bore"]
    # an old hole across the edge of the bore, in the slots, and across a new bolt hole
    assert key_of(ring_job("{bolts: {count: 3, circle: 60, hole: 8}}")) == ["wheel.as_found.bolts.circle"]
    assert key_of(ring_job("{bolts: {count: 3, circle: 135, hole: 8}}")) == ["wheel.as_found.bolts.circle"]
    assert key_of(ring_job("{bolts: {count: 4, circle: 90, hole: 8, first_at: 8}}")) == ["pulley.bolts.first_at"] * 4
    text = (
        "job: a\nwheel: {teeth: 36, missing: 1, outside_diameter: 100, thickness: 3, slot: {width: 4, depth: 4},"
        " as_found: {bore: 20}}\npulley: {bore: 20, turned: [wheel, {length: 10, diameter: 80}]}\n"
    )
    with pytest.raises(JobError) as caught:
        design_wheel(parse_job(text))
    assert "wheel.as_found" in [fault.dotted for fault in caught.value.faults]


def test_thin_walls_and_loose_holes_are_found() -> None:
    good = by_check(work(ring_job("{bore: 50, bolts: {count: 4, circle: 90, hole: 8.4, first_at: 45}}")))
    assert good["ring-wall"].verdict == "pass"
    assert good["ring-hole-size"].verdict == "pass"
    # 10.4 wide holes 5.5 degrees of ⌀110 away from the bolts' circle: 1.4 mm of metal
    thin = by_check(work(ring_job("{bore: 50, bolts: {count: 4, circle: 110, hole: 10, first_at: 0}}")))
    assert thin["ring-wall"].measured == pytest.approx(10 - 5 - 4.2)
    assert thin["ring-wall"].verdict == "warn"
    loose = by_check(work(ring_job("{bore: 50, bolts: {count: 4, circle: 90, hole: 10, first_at: 0}}")))
    assert loose["ring-hole-size"].verdict == "warn"
    assert loose["ring-hole-size"].measured == pytest.approx(1.6)


def test_only_a_toothed_ring_is_left_uncut() -> None:
    assert "ring-teeth" in by_check(work(ring_job("{bore: 50}")))
    assert "ring-teeth" not in by_check(work(ring_job("{bore: 50, toothed: no}")))


def test_the_solid_has_every_hole(tmp_path: Path) -> None:
    wheel = design_wheel(ring_job("{bore: 50, bolts: {count: 8, circle: 90, hole: 6.6, first_at: 0}}"))
    solid = wheel_solid(wheel, None)
    holes = 4 * np.pi / 4 * 8.4**2 + 4 * np.pi / 4 * 6.6**2 + np.pi / 4 * 60**2
    assert figures(solid).volume == pytest.approx((wheel.outline.area - holes) * 4, rel=1e-9)
    write_stl(tmp_path / "wheel.stl", solid)
    assert [f for f in check_wheel(tmp_path, wheel) if f.verdict != "pass"] == []


@pytest.mark.parametrize(
    ("circle", "hole", "does"),
    [
        (90.19, 8.4, ["leave"] * 4),  # old centres 0.095 further out: the same holes
        (90.21, 8.4, ["fault"] * 4),  # 0.105: beside them
        (89.0, 9.4, ["leave"] * 4),  # half a millimetre off, and the wanted hole touches the old one's edge from within
        (89.0, 9.3, ["fault"] * 4),
        (90.0, 8.36, ["leave"] * 4),  # smaller by less than five hundredths: the same size
        (90.0, 8.34, ["open"] * 4),
    ],
)
def test_an_old_hole_serves_within_a_tenth_or_where_it_is_large_enough(
    circle: float, hole: float, does: list[str]
) -> None:
    found = f"{{bore: 50, bolts: {{count: 4, circle: {circle}, hole: {hole}, first_at: 0}}}}"
    job = ring_job(found)
    if "fault" in does:
        assert key_of(job) == ["pulley.bolts.first_at"] * 4
    else:
        assert [step.do for step in work(job).steps if step.what == "bolt hole"] == does
