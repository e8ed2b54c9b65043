"""Values that are right alone but contradict each other, each fault at the value that is easiest to mend."""

from __future__ import annotations

import pytest

from tests.conftest import demo_text, edited
from tests.job.jobs import faults_in, place_of
from wheelcad.job.consistency import contradictions, form_of
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job

SIX, TWIN, FOUR = (demo_text(name) for name in ("tarn-six", "fell-twin", "beck-four"))
TWO, VEE = "  cylinders: 2\n", "  layout: vee\n  vee_angle: 90 deg\n"  # as fell-twin has them

# (job, what stands in it, what is put there, mark at the place named, key, in the message)
AGAINST = [
    (SIX, "[1, 5, 3, 6, 2, 4]", "[1, 5, 3, 6, 2, 2]", "firing_order", "engine.firing_order", "2 more than once"),
    (SIX, "[1, 5, 3, 6, 2, 4]", "[1, 5, 3, 6, 2]", "firing_order", "engine.firing_order", "every cylinder once"),
    (SIX, "[1, 5, 3, 6, 2, 4]", "[1, 5, 3, 6, 2, 7]", "firing_order", "engine.firing_order", "7, which there is not"),
    (SIX, "cylinders: 6", "cylinders: 4", "firing_order", "engine.firing_order", "every cylinder once"),
    (TWIN, f"{TWO}{VEE}  firing_order: [1, 2]", f"{VEE}  firing_order: [1, 3]", "firing_order",
     "engine.firing_order", "3"),
    (TWIN, "[0, 270]", "[0, 270, 450]", "firing_angles", "engine.firing_angles", "one angle for each of engine.firing"),
    (TWIN, "  firing_order: [1, 2]\n  firing_angles: [0, 270]", "  firing_angles: [0]", "firing_angles",
     "engine.firing_angles", "one angle for each of engine.cylinders"),
    (TWIN, f"{TWO}{VEE}  firing_order: [1, 2]\n", VEE, "firing_angles", "engine.firing_angles", "without a firing"),
    (TWIN, "[0, 270]", "[270, 0]", "firing_angles", "engine.firing_angles", "should rise"),
    (SIX, "missing: 1", "missing: 35", "35\n", "wheel.missing", "fewer than two teeth"),
    (FOUR, "sides: radial, floor: flat, corner_radius: 0.8", "sides: radial, floor: round", "round}",
     "wheel.slot.floor", "no round floor"),
    (SIX, "floor: round", "floor: round, corner_radius: 1", "1}\n  mat", "wheel.slot.corner_radius", "flat floor"),
    (SIX, "sides: parallel, floor: round", "corner_radius: 1", "1}\n  mat", "wheel.slot.corner_radius", "flat floor"),
    (SIX, "air_gap: 0.8", "air_gap: 1.6", "1.6", "sensor.air_gap", "outside sensor.air_gap_range"),
    (SIX, "air_gap: 0.8", "air_gap: 0.4", "0.4\n  air", "sensor.air_gap", "outside sensor.air_gap_range"),
    (SIX, "[0.5, 1.5]", "[1.5, 0.5]", "air_gap_range", "sensor.air_gap_range", "least gap, then the greatest"),
    (SIX, "[0.5, 1.5]", "[0.8, 0.8]", "air_gap_range", "sensor.air_gap_range", "least gap, then the greatest"),
    (SIX, "mass: 60 g", "mass: 60 g\n  thread: M12x1", "M12x1", "sensor.thread", "do not go together"),
    (SIX, "material: grey-iron", "material: grey-iron\n  bore: 70", "70", "wheel.bore", "belongs to a plate wheel"),
    (TWIN, "from: front", "from: front\n  radius: 2", "radius: 2\n", "sensor.radius", "no teeth"),
    (TWIN, "from: front", "from: front\n  radius: 2 3/8", "radius: 2 3/8", "sensor.radius", "no teeth"),
    (SIX, "    - wheel\n", "", "turned:", "pulley.turned", "must hold the word `wheel` once"),
    (SIX, "    - wheel\n", "    - wheel\n    - wheel\n", "turned:", "pulley.turned", "must hold the word `wheel` once"),
    (FOUR, "form: plate", "form: turned-down", "pulley:", "pulley.turned", "is missing"),
    (TWIN, "  bore: 1 3/4\n", "", "pilot:", "adapter.pilot", "has no bore to enter"),
    (SIX, "{x: -132, y: 138,", "{x: -132, y: 88,", "{x: -132, y: 88, hole: 12, thread: M10}\n  mount_face",
     "bracket.mounts[1]", "the same place as mounts[0]"),
    (TWIN, "  firing_angles: [0, 270]\n", "", "engine:", "engine.firing_angles", "three usual ways"),
    (TWIN, "  firing_order: [1, 2]\n  firing_angles: [0, 270]\n", "", "engine:", "engine.firing_angles", "three usual"),
    (TWIN, f"{TWO}{VEE}  firing_order: [1, 2]\n  firing_angles: [0, 270]\n", f"{VEE}  firing_order: [1, 2]\n",
     "engine:", "engine.firing_angles", "the job must say which"),
    (SIX, "looks: in", "looks: in\n  element: pole", "element: pole", "sensor.element", "no element of a hall sensor"),
    (FOUR, "  at: ", "  element: vane\n  at: ", "element: vane", "sensor.element", "no element of a reluctance sensor"),
    (SIX, "radius: 66", "band: [70, 60]", "band", "balance.band", "least radius, then the greatest"),
]  # fmt: skip


@pytest.mark.parametrize(("job", "old", "new", "mark", "key", "said"), AGAINST)
def test_contradictions(job: str, old: str, new: str, mark: str, key: str, said: str) -> None:
    text = edited(job, (old, new))
    found = {fault.dotted: fault for fault in faults_in(text)}
    assert key in found, list(found)
    assert said in found[key].message
    line, column = place_of(text, mark)
    assert found[key].line == line
    if key == "bracket.mounts[1]" or mark[0].isdigit() or mark == "M12x1":
        assert found[key].column == column


def test_lengths_are_said_in_the_job_s_units() -> None:
    text = edited(TWIN, ("air_gap: 0.040", "air_gap: 0.040\n  air_gap_range: [0.050, 0.100]"))
    (fault,) = faults_in(text)
    assert (fault.found, fault.allowed) == ("0.04 in", "0.05 in to 0.1 in")


def test_a_gap_that_is_taken_when_left_out_is_held_against_the_range_too() -> None:
    text = edited(SIX, ("  air_gap: 0.8\n", ""), ("[0.5, 1.5]", "[1, 1.5]"))
    (fault,) = faults_in(text)
    assert "taken when left out" in fault.found


def test_all_come_at_once() -> None:
    text = edited(SIX, ("missing: 1", "missing: 35"), ("air_gap: 0.8", "air_gap: 9"), ("    - wheel\n", ""))
    assert {fault.dotted for fault in faults_in(text)} == {"wheel.missing", "sensor.air_gap", "pulley.turned"}


def test_the_demo_jobs_do_not_contradict_themselves(demo: Job) -> None:
    assert contradictions(demo) == []


def test_the_form_follows_from_the_pulley_where_it_is_not_said() -> None:
    assert form_of(parse_job(edited(SIX, ("  form: turned-down\n", "")))) == "turned-down"
    assert form_of(parse_job(edited(FOUR, ("  form: plate\n", "")))) == "plate"
    assert form_of(parse_job(edited(SIX, ("form: turned-down", "form: plate")))) == "plate"
