"""Things in the bracket's way: how near it comes to each, by hand, and the number that makes room."""

from __future__ import annotations

import re
from typing import Any

import pytest

import wheelcad
from tests.conftest import demo_text
from tests.parts.bracket_jobs import LOOKS_IN, merged
from wheelcad.errors import DesignError, JobError
from wheelcad.findings import Finding
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.bracket.clear import AIMED
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.bracket.obstacles import least_of, obstacle_findings
from wheelcad.parts.places import settled
from wheelcad.survey.model import Point
from wheelcad.survey.tags import plan_tags
from wheelcad.survey.write import obstacle_changes
from wheelcad.words import Words


def bracket_of(**change: Any) -> BracketDesign:
    design = design_bracket(Job.model_validate(merged(LOOKS_IN, change)))
    assert design is not None
    return design


def with_things(*things: dict[str, Any], **change: Any) -> BracketDesign:
    return bracket_of(bracket={"obstacles": list(things)}, **change)


def found(design: BracketDesign) -> list[Finding]:
    return list(obstacle_findings(design))


def test_the_distance_is_that_of_the_parts_by_hand() -> None:
    # the arm lies on the face at z -32 and is 5 thick; beyond the outer mount at x 150, y 110 nothing stands out more
    # than the plate's edge, so a thing 100 to the right of that mount is 100 - radius - edge away
    plain = bracket_of()
    arm = next(r for r in plain.regions if r.name == "arm")
    edge = max(float(x) for x, *_ in arm.frame.points([(x, y, 0.0) for x, y in arm.loop.flatten(0.01)]))
    y = 85.0
    (room,) = least_of(with_things({"name": "pump", "x": edge + 60, "y": y, "z": 40, "radius": 12}))
    slack = plain.travel_to - plain.travel_from
    assert 48 - slack <= room.distance <= 48 + slack
    assert room.what == "the arm"
    # one that ends below the block's face is under everything: its depth tells, and the radius does not
    (under,) = least_of(with_things({"x": 150, "y": 85, "z": -40, "radius": 12}))
    assert under.distance == pytest.approx(8.0)
    assert under.land == "thing-1"


def test_a_thing_in_the_arms_place_fails_and_one_beside_it_warns() -> None:
    (hit,) = found(with_things({"name": "pump", "x": 150, "y": 85, "z": 0, "radius": 20}))
    assert (hit.verdict, hit.check) == ("fail", "room-to-obstacle")
    assert "the arm runs into pump" in hit.why
    assert "further away" in hit.why
    plain = bracket_of()
    (far,) = least_of(with_things({"x": 260, "y": 85, "z": 0, "radius": 1}))
    (near,) = found(with_things({"x": 260 - far.distance + 2, "y": 85, "z": 0, "radius": 1}))
    assert near.verdict == "warn"
    assert 0 < near.measured < AIMED  # type: ignore[operator]
    assert plain.asked.bracket.obstacles == ()


def test_the_number_that_is_named_makes_room() -> None:
    """A thing on the sensor's side of the arm: what the finding says is put into the job, and then it passes."""
    named = []
    for x, y in ((125, 35), (100, 80), (120, 38)):
        thing = {"name": "hose", "x": x, "y": y, "z": 60, "radius": 4}
        (finding,) = found(with_things(thing))
        if finding.verdict == "pass":
            continue
        why = Words("mm").text(finding.why)
        width, at = re.search(r"bracket\.width: ([0-9.]+) mm", why), re.search(r"sensor\.at: ([0-9.]+)°", why)
        if width is not None:
            mended = bracket_of(bracket={"obstacles": [thing], "width": float(width[1])})
        elif at is not None:
            mended = with_things(thing, sensor={"at": float(at[1])})
        else:
            assert "further away" in why
            continue
        named.append(why)
        assert [f.verdict for f in found(mended)] == ["pass"]
    assert {"bracket.width", "sensor.at"} <= {w for why in named for w in re.findall(r"[a-z]+\.[a-z]+(?=:)", why)}


def test_photographed_things_go_into_the_job_and_others_stay() -> None:
    hose = "[{name: hose, x: 90, y: -40, z: 5}]"
    text = demo_text("tarn-six").replace("bracket:\n", f"bracket:\n  obstacles: {hose}\n", 1)
    job = parse_job(text, "a")
    assert job.bracket is not None
    seen = [Point("m1", 1.0, 2.0, 3.0, 0.1, None), Point("thing-2", -120.4, 61.0, -8.25, 0.2, None)]  # type: ignore[arg-type]
    ((key, value),), names = (lambda c: (list(c[0].items()), c[1]))(obstacle_changes(job, seen))
    assert key == ("bracket", "obstacles")
    assert names == ["thing-2"]
    after = parse_job(text.replace(hose, value), "a")
    assert after.bracket is not None
    kept, thing = after.bracket.obstacles
    assert (kept.x, kept.y, kept.z, kept.radius) == (90, -40, 5, 15)
    assert (thing.name, thing.x, thing.y, thing.z) == ("thing-2", -120.4, 61.0, -8.25)
    assert {"hose", "thing-1", "thing-2"} <= {tag.on for tag in plan_tags(job, "A4").tags}


@pytest.mark.parametrize("name", ["m1", "centre", "bolt-2"])
def test_a_thing_has_a_name_of_its_own(name: str) -> None:
    text = demo_text("tarn-six").replace(
        "bracket:\n", f"bracket:\n  obstacles: [{{name: {name}, x: 90, y: -40, z: 5}}]\n", 1
    )
    with pytest.raises(DesignError) as caught:
        parse_job(text, "a")
    assert "a name of its own" in str(caught.value)


def test_a_build_says_it() -> None:
    text = demo_text("tarn-six").replace(
        "bracket:\n", "bracket:\n  obstacles: [{name: pump, x: -150, y: 120, z: 0, radius: 25}]\n", 1
    )
    design = wheelcad.design_job(parse_job(text, "a"))
    assert design.bracket is not None
    from wheelcad.parts.bracket.judge import bracket_findings

    assert [f.verdict for f in bracket_findings(design.bracket) if f.check == "room-to-obstacle"] == ["fail"]


def test_a_depth_behind_the_pulleys_front_face_is_the_same_thing_as_its_z() -> None:
    text = demo_text("tarn-six")

    def room(z: str) -> float:
        things = f"  obstacles: [{{name: pump, x: -150, y: 110, z: {z}, radius: 20}}]\n  bends:"
        design = design_bracket(settled(parse_job(text.replace("  bends:", things))))
        assert design is not None
        return least_of(design)[0].distance

    # the front face as found lies at 1.6 + 8 mm: the shoulder before the ring, and half the ring
    assert room("{behind_front: 49.6}") == pytest.approx(room("-40"))
    assert room("{behind_front: 49.6}") != pytest.approx(room("-42"))
    without = re.sub(r"(?ms)^pulley:.*?(?=^\w)", "", text).replace("form: turned-down", "form: plate")
    with pytest.raises(JobError, match="front face, and the section `pulley` is missing"):
        parse_job(without.replace("  bends:", "  obstacles: [{x: 9, y: 9, z: {behind_front: 3}}]\n  bends:"))


def test_a_survey_keeps_the_way_a_thing_is_written() -> None:
    things = "  obstacles: [{name: pump, x: 9, y: 8, z: {behind_front: 7}}, {name: hose, x: 1, y: 2, z: 3}]\n  bends:"
    job = parse_job(demo_text("tarn-six").replace("  bends:", things))
    changes, seen = obstacle_changes(job, [Point("hose", 10.0, 20.0, 30.0, 0.1, None)])  # type: ignore[arg-type]
    assert seen == ["hose"]
    written = changes["bracket", "obstacles"]
    assert "{name: pump, x: 9, y: 8, z: {behind_front: 7}, radius: 15}" in written
    assert "{name: hose, x: 10, y: 20, z: 30, radius: 15}" in written
