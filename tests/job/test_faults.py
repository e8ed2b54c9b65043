"""What is wrong with a job file: where, what was found, what is allowed, and what was likely meant."""

from __future__ import annotations

import pytest

from tests.conftest import demo_text, edited
from tests.job.jobs import SMALL, faults_in, place_of
from wheelcad.errors import DesignError, JobError, JobSyntaxError, JobValueError
from wheelcad.job.reader import parse_job
from wheelcad.parts.design import design_job

# (what stands in the small job, what is put there, mark at the place to be named, key, in the message, in the hint)
SINGLE = [
    ("teeth: 36", "teeth: 36\n  form: plat", "plat", "wheel.form", "not one of the words", "`plate`"),
    ("teeth: 36", "teeth: 36\n  material: cast_iron", "cast_iron", "wheel.material", "words", "`grey-iron`"),
    ("teeth: 36", "teeth: 36\n  material: STEEL", "STEEL", "wheel.material", "words", "`mild-steel`"),
    ("job: small", "job: small\nengine: {turns: ccw}", "ccw", "engine.turns", "words", "`anticlockwise`"),
    ("job: small", "job: small\nunits: inches", "inches", "units", "words", "`in`"),
    ("teeth: 36", "teeth: 1000000000", "1000000000", "wheel.teeth", "out of range", ""),
    ("teeth: 36", "teeth: -36", "-36", "wheel.teeth", "out of range", ""),
    ("teeth: 36", "teeth: 36.5", "36.5", "wheel.teeth", "should be a whole number", ""),
    ("teeth: 36", "teeth: 36.0", "36.0", "wheel.teeth", "should be a whole number", "write 36"),
    ("teeth: 36", "teeth: '36'", "'36'", "wheel.teeth", "should be a whole number", "without quotes"),
    ("teeth: 36", "teeth: many", "many", "wheel.teeth", "should be a whole number", ""),
    ("teeth: 36", "teeth: yes", "yes", "wheel.teeth", "should be a whole number", ""),
    ("teeth: 36", "teeth: [36]", "teeth", "wheel.teeth", "should be a whole number", ""),
    ("thickness: 3", "thickness: 0.0", "0.0", "wheel.thickness", "out of range", ""),
    ("thickness: 3", "thickness: -3", "-3", "wheel.thickness", "out of range", ""),
    ("thickness: 3", "thickness: 9999", "9999", "wheel.thickness", "out of range", ""),
    ("thickness: 3", "thickness: 3 deg", "3 deg", "wheel.thickness", "a unit of angle", "mm"),
    ("thickness: 3", "thickness: true", "true", "wheel.thickness", "should be a length", ""),
    ("thickness: 3", "thickness: {mm: 3}", "thickness", "wheel.thickness", "should be a length", ""),
    ("thickness: 3", "thick: 3", "thick", "wheel.thick", "not a key known here", "`thickness`"),
    ("thickness: 3", "Thickness: 3", "Thickness", "wheel.Thickness", "not a key", "`thickness`"),
    ("outside_diameter: 160", "od: 160", "od:", "wheel.od", "not a key", "`outside_diameter`"),
    ("teeth: 36", "teeth: 36\n  grade: G16", "grade", "wheel.grade", "not a key", "belongs to balance"),
    ("teeth: 36", "teeth: 36\n  units: mm", "units", "wheel.units", "not a key", "at the top of the file"),
    ("job: small", "job: small\n<<: {a: 1}", "<<", "<<", "not a key", ""),
    ("  thickness: 3\n", "", "wheel:", "wheel.thickness", "is missing: the section `wheel` needs it", "thickness: 3.2"),
    ("slot: {width: 6, depth: 6}", "slot: 6.25", "6.25", "wheel.slot", "should be a section", ""),
    ("slot: {width: 6, depth: 6}", "slot: [6, 6]", "slot", "wheel.slot", "should be a section", ""),
    ("slot: {width: 6, depth: 6}", "slot: [{width: 6, depth: 6}]", "slot", "wheel.slot", "section", "the dash"),
    ("slot: {width: 6, depth: 6}", "slot: {width: 6,5, depth: 6}", "5,", "wheel.slot.5", "no value", "a point"),
    (
        "job: small",
        "job: small\nengine: {firing_order: 1-3-4-2}",
        "1-3-4-2",
        "engine.firing_order",
        "should be a list",
        "`firing_order: [1, 3, 4, 2]`",
    ),
    (
        "job: small",
        "job: small\nsensor: {kind: hall, at: 0, air_gap_range: [0,5, 1,5]}",
        "air_gap_range",
        "sensor.air_gap_range",
        "too many",
        "a point",
    ),
    (
        "job: small",
        "job: small\nsensor: {kind: hall, at: 0, air_gap_range: [0.5]}",
        "air_gap_range",
        "sensor.air_gap_range",
        "too few",
        "",
    ),
    (
        "job: small",
        "job: small\nsensor: {kind: hall, at: 0, thread: 1/2 UNF}",
        "1/2 UNF",
        "sensor.thread",
        "a metric thread",
        "",
    ),
    (
        "job: small",
        "job: small\npulley: {turned: [{length: 8, diameter: 100}, whel]}",
        "whel]",
        "pulley.turned[1]",
        "not one of the words",
        "`wheel`",
    ),
    (
        "job: small",
        "job: small\npulley: {turned: [{length: 8, diametre: 100}]}",
        "diametre",
        "pulley.turned[0].diametre",
        "not a key",
        "`diameter`",
    ),
    ("job: small", "job: small\npulley: {turned: [wheel, [8, 100]]}", "[8", "pulley.turned[1]", "one word", ""),
    ("job: small", "job: small\npulley: {rubber_ring: maybe}", "maybe", "pulley.rubber_ring", "yes or no", ""),
    ("job: small", "job: small\nengine:", "engine", "engine", "has no value", "delete the line"),
    ("job: small", "job: small\nengine: ~", "engine", "engine", "has no value", "delete the line"),
    ("job: small", "job: small\nunits: null", "units", "units", "has no value", ""),
    ("thickness: 3", "thickness:", "thickness", "wheel.thickness", "has no value", ""),
    ("thickness: 3", "thickness: 3\n  teeth: 24", "teeth: 24", "wheel.teeth", "given twice", "line 3"),
    ("thickness: 3", "thickness: &t 3", "&t", "wheel.thickness", "YAML anchor", "take it away"),
    ("thickness: 3", "thickness: !!float 3", "!!float", "wheel.thickness", "YAML tag", "take it away"),
]


@pytest.mark.parametrize(("old", "new", "mark", "key", "said", "hint"), SINGLE)
def test_one_slip_is_one_fault_at_its_own_place(old: str, new: str, mark: str, key: str, said: str, hint: str) -> None:
    text = edited(SMALL, (old, new))
    (fault,) = faults_in(text)
    assert fault.dotted == key
    assert said in fault.message
    assert hint in fault.hint
    assert (fault.line, fault.column) == place_of(text, mark)
    assert fault.text == text.split("\n")[fault.line - 1]


def test_what_is_found_and_allowed_is_said_in_the_job_s_units() -> None:
    (fault,) = faults_in(edited(SMALL, ("thickness: 3", "thickness: 6000")))
    assert (fault.found, fault.allowed) == ("6000", "0.01 to 5000 mm")
    inches = edited(
        SMALL, ("job: small", "job: small\nunits: in"), ("160", "6 1/4"), ("thickness: 3", "thickness: 200")
    )
    inches = edited(inches, ("{width: 6, depth: 6}", "{width: 1/4, depth: 1/4}"))
    (fault,) = faults_in(inches)
    assert fault.allowed == "0.000394 to 196.85 in"
    assert "write 200 mm" in fault.hint


def test_a_fault_reads_well() -> None:
    (fault,) = faults_in(edited(SMALL, ("missing: 1", "missing: none of them")))
    assert str(fault) == (
        "x.yaml:4:12: wheel.missing: should be a whole number\n"
        "    |   missing: none of them\n"
        "    |            ^\n"
        "    found:   none of them\n"
        "    allowed: a whole number from 0 to 360"
    )


def test_all_faults_come_at_once_in_the_order_of_the_file() -> None:
    text = edited(
        demo_text("tarn-six"),
        ("turns: clockwise ", "turns: cw "),
        ("teeth: 36", "teeth: 1e9"),
        ("  thickness: 3.2\n", ""),
        ("keyway: {width: 10,", "keyway: {wide: 10,"),
        ("- wheel", "- weel"),
        ("air_gap: 0.8", "air_gap: 0,8"),
        ("bends: hand", "bends: hand\n  bends: brake"),
        ("grade: G16", "grade: G17"),
        ("backlash: 0.2 deg", "backlash: 0.2 mm"),
    )
    faults = faults_in(text)
    assert [fault.dotted for fault in faults] == [
        "engine.turns",
        "wheel.thickness",
        "wheel.teeth",
        "pulley.keyway.wide",
        "pulley.turned[1]",
        "sensor.air_gap",
        "bracket.bends",
        "balance.grade",
        "shop.rotary_table.backlash",
    ]


def test_kinds_of_error() -> None:
    with pytest.raises(JobSyntaxError, match="no colon and space after its key"):
        parse_job(edited(SMALL, ("teeth: 36", "teeth 36")))
    with pytest.raises(JobSyntaxError, match="is given twice"):
        parse_job(SMALL + "job: twice\n")
    with pytest.raises(JobValueError, match="a whole number from 3 to 720"):
        parse_job(edited(SMALL, ("teeth: 36", "teeth: 2")))
    with pytest.raises(DesignError, match="at most 34 of 36"):
        parse_job(edited(SMALL, ("missing: 1", "missing: 35")))


def test_very_many_faults_are_cut_short() -> None:
    faults = faults_in(SMALL + "".join(f"key{i}: {i}\n" for i in range(500)))
    assert len(faults) == 41
    assert faults[-1].message == "and 460 more, from here on"


@pytest.mark.parametrize("text", ["", "\n\n", "# only a note\n", "---\n", "hello", "- a\n- b\n", "[1, 2]", "6", "{}"])
def test_a_file_without_sections(text: str) -> None:
    assert faults_in(text)[0].line == 1


def test_a_job_made_in_a_script_says_so_without_a_place() -> None:
    error = JobError("could not be made")
    assert str(error) == "job file: could not be made"


@pytest.mark.parametrize("radius", ["0", "0.01", "0.8"])
def test_a_radius_is_none_or_has_a_size(radius: str) -> None:
    text = edited(SMALL, ("depth: 6}", f"depth: 6, floor: flat, corner_radius: {radius}}}"))
    assert parse_job(text).wheel.slot.corner_radius == float(radius)


@pytest.mark.parametrize("radius", ["1e-9", "0.009", "-1"])
def test_a_radius_too_small_to_be_made_is_refused(radius: str) -> None:
    (fault,) = faults_in(edited(SMALL, ("depth: 6}", f"depth: 6, floor: flat, corner_radius: {radius}}}")))
    assert fault.allowed == "0, or 0.01 to 5000 mm"


def test_a_list_whose_entries_are_wrong_is_not_too_short_as_well() -> None:
    """Two mounts, each with a thread nobody knows, were once told as 'too few: found 2, at least 1'."""
    text = demo_text("tarn-six")
    assert "thread: M8" in text or "thread: M10" in text
    wrong = text.replace("thread: M8", "thread: 5/16-18").replace("thread: M10", "thread: 5/16-18")
    with pytest.raises(JobError) as caught:
        parse_job(wrong)
    assert "too few" not in str(caught.value)


def test_what_is_missing_after_all_sections_are_read_has_an_example_too() -> None:
    """A bracket needs more of the sensor than a wheel does: what to write, in the units of the job."""
    wrong = edited(
        demo_text("fell-twin"),
        *[(line + "\n", "") for line in demo_text("fell-twin").split("\n") if "nose_length" in line],
    )
    with pytest.raises(JobError) as caught:
        design_job(parse_job(wrong))
    assert "write for example `nose_length: 1`" in str(caught.value)
