"""Sizes that cannot be meant are refused with the likely slip; a job in the other unit is told of that alone."""

from __future__ import annotations

import pytest

from tests.conftest import demo_text, edited
from tests.job.jobs import SMALL, faults_in, place_of
from wheelcad.job.impossible import impossible_sizes, unit_slip
from wheelcad.job.kinds import units_of
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.job.starter import starter_text

SIX, TWIN, FOUR = (demo_text(name) for name in ("tarn-six", "fell-twin", "beck-four"))

# (job, what stands in it, what is put there, key, found, in the reason, in the hint)
BEYOND = [
    (
        FOUR,
        "outside_diameter: 190",
        "outside_diameter: 6",
        "wheel.outside_diameter",
        "6 mm",
        "60 mm to 200 mm",
        "6 in or 6 cm",
    ),
    (FOUR, "outside_diameter: 190", "outside_diameter: 1900", "wheel.outside_diameter", "1900 mm", "200 mm", "190 mm"),
    (
        FOUR,
        "plate: {thickness: 5",
        "plate: {thickness: 200",
        "bracket.plate.thickness",
        "200 mm",
        "bent",
        "200 thou or 20 mm",
    ),
    (
        FOUR,
        "  air_gap: 0.7\n  air_gap_range: [0.4, 1.0]",
        "  air_gap: 20",
        "sensor.air_gap",
        "20 mm",
        "read",
        "20 thou or 2 mm",
    ),
    (FOUR, "85 g", "85", "sensor.mass", "85 kg", "sensors weigh", "was 85 g meant?"),
    (FOUR, "12 kHz", "12", "sensor.max_tooth_rate", "12 Hz", "3 to 50 kHz", "was 12 kHz meant?"),
    (FOUR, "6500 rpm", "108", "engine.max_speed", "108 rpm", "1500 to 15,000 rpm", "108 rps or 10800 rpm"),
    (FOUR, "6500 rpm", "6.500 rpm", "engine.max_speed", "6.5 rpm", "piston engines", "was 6500 rpm meant?"),
    (FOUR, "6500 rpm", "65000 rpm", "engine.max_speed", "65000 rpm", "piston engines", "was 6500 rpm meant?"),
    (
        TWIN,
        "outside_diameter: 4 3/4",
        "outside_diameter: 120",
        "wheel.outside_diameter",
        "120 in",
        "2.4 in to 7.9 in",
        "120 mm or 12 in",
    ),
    (
        TWIN,
        "outside_diameter: 4 3/4",
        "outside_diameter: 158.75",
        "wheel.outside_diameter",
        "158.75 in",
        "",
        "158.75 mm",
    ),
    (TWIN, "air_gap: 0.040", "air_gap: 0.8", "sensor.air_gap", "0.8 in", "0.016 in to 0.079 in", "0.8 mm or 0.08 in"),
    (TWIN, "thickness: 1/8\n", "thickness: 125\n", "wheel.thickness", "125 in", "tooth rings", "was 125 thou meant?"),
    (
        TWIN,
        "plate: {thickness: 3/16",
        "plate: {thickness: 5",
        "bracket.plate.thickness",
        "5 in",
        "0.12 in to 0.24 in",
        "5 mm",
    ),
    (
        TWIN,
        "slot: {width: 5/16, depth: 0.300",
        "slot: {width: 5/16, depth: 7",
        "wheel.slot.depth",
        "7 in",
        "deep",
        "7 mm",
    ),
]


@pytest.mark.parametrize(("job", "old", "new", "key", "found", "why", "hint"), BEYOND)
def test_a_size_that_cannot_be_meant(job: str, old: str, new: str, key: str, found: str, why: str, hint: str) -> None:
    text = edited(job, (old, new))
    (fault,) = faults_in(text)
    assert (fault.dotted, fault.found) == (key, found)
    assert "cannot be meant" in fault.message
    assert why in fault.message
    assert hint in fault.hint
    assert f"`allow: [{key}]`" in fault.allowed
    assert ("mm" in f"{fault.message} {fault.found} {fault.allowed}") == (job is not TWIN and found.endswith("mm"))


@pytest.mark.parametrize("allowed", ["bracket.plate.thickness", "bracket.plate", "bracket"])
def test_what_is_allowed_is_meant(allowed: str) -> None:
    text = edited(FOUR, ("plate: {thickness: 5", "plate: {thickness: 40"))
    assert len(faults_in(text)) == 1
    job = parse_job(text + f"allow: [{allowed}]\n")
    assert job.bracket is not None
    assert job.bracket.plate.thickness == 40
    assert len(faults_in(text + "allow: [bracket.plate.inside_radius]\n")) == 1


def test_a_pulley_nobody_lifts() -> None:
    text = edited(TWIN, ("{length: 1, diameter: 4,", "{length: 25, diameter: 30,"))
    (fault,) = faults_in(text)
    assert fault.dotted == "pulley.as_found"
    assert fault.found == "2085 kg of iron"
    assert "in mm?" in fault.hint
    assert parse_job(text + "allow: [pulley.as_found]\n").pulley is not None
    # a heavy one that may be meant: 45 kg
    assert parse_job(edited(TWIN, ("{length: 1, diameter: 4,", "{length: 4, diameter: 11,")))


def test_what_follows_from_it_is_not_said_as_well() -> None:
    text = edited(
        SIX,
        ("outside_diameter: 160", "outside_diameter: 2000"),
        ("missing: 1", "missing: 35"),
        ("air_gap: 0.8", "air_gap: 9"),
    )
    assert {fault.dotted for fault in faults_in(text)} == {"wheel.outside_diameter", "sensor.air_gap"}


INCHES = edited(
    SMALL, ("160", "6 1/4"), ("thickness: 3", "thickness: 1/8"), ("{width: 6, depth: 6}", "{width: 1/4, depth: 1/4}")
)
# (text, found, hint): the unit is blamed first and alone, however much else is wrong
OTHER_UNIT = [
    (INCHES, "wheel.outside_diameter 6 1/4, wheel.thickness 1/8, wheel.slot.width 1/4 and 1 more", "`units: in` below"),
    (
        edited(INCHES, ("job: small", "job: small\nunits: mm")),
        "wheel.outside_diameter 6 1/4",
        "`units: in` below `job:` in place of mm",
    ),
    (
        edited(SMALL, ("job: small", "job: small\nunits: in")),
        "wheel.outside_diameter 160",
        "`units: mm` below `job:` in place of in",
    ),
    (edited(TWIN, ("units: in\n", "")), "wheel.outside_diameter 4 3/4", "write `units: in` below `job:`"),
    (edited(SIX, ("units: mm", "units: in")), "wheel.outside_diameter 160", "write `units: mm`"),
    (edited(INCHES, ("missing: 1", "missing: 35"), ("teeth: 36", "teeth: 36\n  colour: red")), "", "`units: in`"),
]


@pytest.mark.parametrize(("text", "found", "hint"), OTHER_UNIT)
def test_a_job_in_the_other_unit(text: str, found: str, hint: str) -> None:
    (fault,) = faults_in(text)
    assert fault.dotted == "units"
    assert "but the bare lengths are" in fault.message
    assert ("where nothing is said" in fault.message) == ("units:" not in text)
    assert found in fault.found
    assert hint in fault.hint
    if "units:" in text:
        assert fault.line == place_of(text, "units:")[0]


def test_lengths_with_units_of_their_own_say_nothing_of_the_job_s() -> None:
    text = edited(
        SMALL,
        ("160", "6 1/4 in"),
        ("thickness: 3", "thickness: 1/8 in"),
        ("{width: 6, depth: 6}", '{width: 1/4", depth: 1/4"}'),
    )
    assert parse_job(text).wheel.outside_diameter == pytest.approx(158.75)


def test_units_can_be_meant() -> None:
    faults = faults_in(INCHES + "allow: [units]\n")
    assert "units" not in {fault.dotted for fault in faults}
    assert "wheel.outside_diameter" in {fault.dotted for fault in faults}


def test_the_demo_jobs_can_be_meant(demo: Job) -> None:
    assert impossible_sizes(demo) == []


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("diameter", ["60 mm", "160 mm", "400 mm"])
def test_starters_are_in_their_own_unit(units: str, diameter: str) -> None:
    text = starter_text(diameter=diameter, units=units)
    job = parse_job(text)
    assert impossible_sizes(job) == []
    assert unit_slip({"units": units}, units_of({"units": units})) is None
