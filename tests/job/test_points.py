"""Points that readings name, mounts that readings place, keys that `allow` names, and keys that had another name."""

from __future__ import annotations

import pytest

from tests.conftest import demo_text, edited
from tests.job.jobs import SMALL, faults_in
from wheelcad.errors import DesignError
from wheelcad.job.models import BehindFront
from wheelcad.job.points import point_names
from wheelcad.job.reader import parse_job
from wheelcad.parts.design import design_job
from wheelcad.parts.places import front_as_found_z, mount_places, settled

SIX = demo_text("tarn-six")
SURVEYED = edited(
    SIX,
    ("{x: -132, y: 88, hole: 12, thread: M10}", "{name: low, hole: 12, thread: M10}"),
) + (
    "survey:\n  readings: [{from: centre, to: low, is: 158.6}, {from: bolt-4, to: low, is: 119.7, slant: yes}]\n"
    "  clock: {low: 10 o'clock}\n"
)

# (what stands in it, what is put there, key, in the message, in allowed, in the hint)
WRONG = [
    (
        "{from: centre,",
        "{from: center,",
        "survey.readings[0].from",
        "a point there is not",
        "bolt-4, low, m2",
        "`centre`",
    ),
    ("to: low, is: 158", "to: lwo, is: 158", "survey.readings[0].to", "a point there is not", "centre", "`low`"),
    ("from: bolt-4", "from: bolt-5", "survey.readings[1].from", "a point there is not", "bolt-4", "pulley.bolts.count"),
    ("from: bolt-4", "from: bolt-0", "survey.readings[1].from", "a point there is not", "bolt-1", "pulley.bolts.count"),
    ("from: bolt-4", "from: low", "survey.readings[1]", "from a point to itself", "", ""),
    ("clock: {low", "clock: {lw", "survey.clock.lw", "is no mount's name", "low, m2", "`low`"),
    ("clock: {low", "clock: {centre", "survey.clock.centre", "is no mount's name", "low, m2", ""),
    ("{name: low,", "{name: low, x: -132,", "bracket.mounts[0]", "has no y", "both x and y", ""),
    ("{name: low,", "{name: low, y: 88,", "bracket.mounts[0]", "has no x", "both x and y", ""),
    ("{x: -132, y: 138,", "{", "bracket.mounts[1]", "`survey` has no reading to it", "to: m2", ""),
    ("{x: -132, y: 138,", "{name: low, x: -132, y: 138,", "bracket.mounts[1].name", "mounts[0] too", "its own", ""),
    ("{x: -132, y: 138,", "{name: bolt-9, x: -132, y: 138,", "bracket.mounts[1].name", "another point", "bolt-1", ""),
]


@pytest.mark.parametrize(("old", "new", "key", "said", "allowed", "hint"), WRONG)
def test_names_are_checked(old: str, new: str, key: str, said: str, allowed: str, hint: str) -> None:
    found = {fault.dotted: fault for fault in faults_in(edited(SURVEYED, (old, new)))}
    assert key in found, list(found)
    assert said in found[key].message
    assert allowed in found[key].allowed
    assert hint in found[key].hint


def test_mounts_without_places_need_a_survey() -> None:
    (fault,) = faults_in(edited(SIX, ("{x: -132, y: 88,", "{")))
    assert fault.dotted == "bracket.mounts[0]"
    assert "has no x and y" in fault.message
    assert (fault.found, fault.allowed) == (
        "m1",
        "x and y, or survey.readings such as {from: centre, to: m1, is: 158.6}",
    )


def test_mounts_without_names_are_called_by_their_place() -> None:
    job = parse_job(SIX)
    assert job.bracket is not None
    assert [mount.name for mount in job.bracket.mounts] == ["m1", "m2"]
    assert point_names(job) == ["centre", "bolt-1", "bolt-2", "bolt-3", "bolt-4", "m1", "m2"]


@pytest.mark.parametrize(
    ("written", "hours"),
    [
        ("10 o'clock", 10),
        ("10", 10),
        ("10:30", 10.5),
        ("'10:30'", 10.5),
        ("12", 12),
        ("1:15", 1.25),
        ("12:59", 12 + 59 / 60),
        ("7 O'Clock", 7),
        ("7 oclock", 7),
        ("10:30 o'clock", 10.5),
    ],
)
def test_the_clock(written: str, hours: float) -> None:
    survey = parse_job(edited(SURVEYED, ("10 o'clock", written))).survey
    assert survey is not None
    assert survey.clock == {"low": pytest.approx(hours)}


@pytest.mark.parametrize(
    ("written", "said", "hint"),
    [
        ("13", "no hour", ""),
        ("0", "no hour", "straight up is 12"),
        ("10:60", "a place on a clock", ""),
        ("noon", "a place", ""),
        ("10.5", "a place on a clock", ""),
        ("-3", "a place", ""),
        ("[10]", "a place", ""),
        ("630", "a place", ""),
    ],
)
def test_no_clock(written: str, said: str, hint: str) -> None:
    (fault,) = faults_in(edited(SURVEYED, ("10 o'clock", written)))
    assert fault.dotted == "survey.clock.low"
    assert said in fault.message
    assert fault.allowed == "10 o'clock, 10 or 10:30, from 1 to 12:59"
    assert hint in fault.hint


def test_a_clock_that_a_script_s_yaml_took_for_sixtieths() -> None:
    from wheelcad.job.models import Survey

    readings = [{"from": "centre", "to": "m1", "is": 150}]
    assert Survey(readings=readings, clock={"m1": 10}).clock == {"m1": 10.0}  # type: ignore[arg-type,call-arg]
    with pytest.raises(ValueError, match="no hour") as caught:
        Survey(readings=readings, clock={"m1": 630})  # type: ignore[arg-type,call-arg]
    assert "10:30" in caught.value.errors()[0]["ctx"]["hint"]  # type: ignore[attr-defined]


def test_a_clock_that_is_no_section() -> None:
    (fault,) = faults_in(edited(SURVEYED, ("{low: 10 o'clock}", "10 o'clock")))
    assert fault.message == "should be a section of names"
    assert "names, each with 10 o'clock" in fault.allowed


def test_the_face_as_a_depth_gauge_reads_it() -> None:
    job = parse_job(SIX)
    front = front_as_found_z(job)
    assert front == pytest.approx(1.6 + 8)  # 40 long before and after: nothing is faced off
    deep = parse_job(edited(SIX, ("mount_face: -30", f"mount_face: {{behind_front: {front + 30:.4f}}}")))
    assert deep.bracket is not None
    assert isinstance(deep.bracket.face, BehindFront)
    placed = settled(deep)
    assert placed.bracket is not None
    assert placed.bracket.mount_face == pytest.approx(-30)
    assert placed.source is deep.source
    one, other = design_job(job).bracket, design_job(deep).bracket
    assert one is not None
    assert other is not None
    assert other.outline.extent() == pytest.approx(one.outline.extent())


def test_the_face_before_anything_was_faced_off() -> None:
    # 3 mm longer as found: the rear stays, so the front stood 3 mm further out
    longer = parse_job(edited(SIX, ("{length: 26, diameter: 168}", "{length: 29, diameter: 168}")))
    assert front_as_found_z(longer) == pytest.approx(front_as_found_z(parse_job(SIX)) + 3)


def test_a_depth_needs_a_pulley() -> None:
    four = demo_text("beck-four")
    start, end = four.index("pulley:"), four.index("sensor:")
    text = edited(four[:start] + four[end:], ("mount_face: -30", "mount_face: {behind_front: 12}"))
    found = {fault.dotted: fault for fault in faults_in(text)}
    assert "the section `pulley` is missing" in found["bracket.mount_face.behind_front"].message
    assert found["bracket.mount_face.behind_front"].found == "12 mm"


@pytest.mark.parametrize(
    ("written", "key", "said"),
    [
        ("{behind: 12}", "bracket.mount_face.behind", "not a key"),
        ("deep", "bracket.mount_face", "should be a length"),
        ("{behind_front: x}", "bracket.mount_face.behind_front", "a length"),
        ("[3]", "bracket.mount_face", "a length"),
    ],
)
def test_a_face_that_is_neither(written: str, key: str, said: str) -> None:
    found = {fault.dotted: fault for fault in faults_in(edited(SIX, ("mount_face: -30", f"mount_face: {written}")))}
    assert said in found[key].message


def test_places_that_are_written_are_taken() -> None:
    job = parse_job(SIX)
    assert mount_places(job) == {"m1": (-132.0, 88.0), "m2": (-132.0, 138.0)}
    assert settled(job) is job


@pytest.mark.parametrize(
    ("allowed", "said", "hint"),
    [
        ("pulley.as_fond", "names a key there is not", "`pulley.as_found`"),
        ("as_found", "names a key", "`pulley.as_found`"),
        ("nonsense", "names a key", ""),
    ],
)
def test_allow_names_keys_there_are(allowed: str, said: str, hint: str) -> None:
    (fault,) = faults_in(SMALL + f"allow: [engine, {allowed}]\n")
    assert fault.dotted == "allow[1]"
    assert said in fault.message
    assert fault.found == allowed
    assert hint in fault.hint


def test_an_old_name_is_refused_with_the_new_one() -> None:
    (fault,) = faults_in(edited(SIX, ("hole_allowance: 0.25", "elephant_foot: 0.3")))
    assert fault.dotted == "gauge.elephant_foot"
    assert fault.message == "has another name now: `first_layer_setback`"
    assert "`first_layer_setback`" in fault.hint


def test_what_the_survey_says_is_where_the_mount_is() -> None:
    straight = parse_job(edited(SURVEYED, (", slant: yes", "")))
    assert mount_places(straight)["low"] == pytest.approx((-132.5, 87.2), abs=0.1)
    assert mount_places(straight)["m2"] == (-132.0, 138.0)


def test_readings_that_cannot_be_are_said_of_the_job() -> None:
    # the bolt lies 40 mm from the crank: read straight over 39.6 mm of depth, 119.7 is too short to meet 158.6
    with pytest.raises(DesignError, match="cannot both be true") as caught:
        design_job(parse_job(SURVEYED))
    assert [fault.dotted for fault in caught.value.faults] == ["survey.readings"]
    assert caught.value.faults[0].line > 0
