"""What a bracket is refused for, what of it is a finding, and in which unit it is told."""

from __future__ import annotations

import math
import re
from typing import Any

import numpy as np
import pytest
from shapely.geometry import Point

from tests.parts.bracket_jobs import along_job, in_job, made, refused, verdict
from wheelcad.drawing.model import Note
from wheelcad.errors import DesignError
from wheelcad.parts.bracket.clear import belt_sector
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.bracket.judge import bracket_findings
from wheelcad.parts.bracket.sheet import bracket_sheet
from wheelcad.words import Words, unwritten

THREADED = [{"x": 150, "y": 60, "hole": 9, "thread": "M8"}, {"x": 150, "y": 110, "hole": 9, "thread": "M8"}]
DIN_90_R5_T5 = math.pi / 2 * (5 + 0.65 * 5 / 2)  # DIN 6935: k = 0.65 at r = s


def test_missing_sizes_are_named() -> None:
    keys = [key for key, _ in refused(in_job(sensor={"body_diameter": None, "nose_length": None}))]
    assert keys == ["sensor.body_diameter", "sensor.nose_length"]


def test_nothing_without_sensor_or_bracket() -> None:
    assert design_bracket(in_job(bracket=None)) is None
    assert design_bracket(in_job(sensor=None)) is None


BAD: list[tuple[str, dict[str, Any], str, str]] = [
    ("hits the wheel", {"sensor": {"nose_length": 4}}, "sensor.nose_length", "would hit the wheel"),
    (
        "mounts on both sides",
        {"bracket": {"mounts": [{"x": 150, "y": 60, "hole": 9}, {"x": 60, "y": 20, "hole": 9}]}},
        "bracket.mounts[0]",
        "other side of the tab",
    ),
    ("adjust runs into the bend", {"bracket": {"adjust": 60}}, "bracket.mounts[0]", "into the bent metal"),
    ("tab too short", {"bracket": {"mount_face": -18}}, "bracket.mount_face", "tab too short"),
    ("arm in the ring", {"bracket": {"mount_face": -2}}, "bracket.mount_face", "tab too short"),
    ("no width", {"bracket": {"width": 18}}, "bracket.width", "no plate beside"),
    (
        "thread through a small hole",
        {"bracket": {"mounts": [{"x": 150, "y": 60, "hole": 9, "thread": "M10"}]}},
        "bracket.mounts[0].hole",
        "does not let an M10",
    ),
    (
        "mounts run into each other",
        {"bracket": {"mounts": [{"x": 150, "y": 60, "hole": 9}, {"x": 150, "y": 68, "hole": 9}]}},
        "bracket.mounts[1]",
        "too near mount 1",
    ),
    (
        "bolt in the body's hole",
        {"sensor": {"bolt": {"hole": 6.6, "offset": 10}}},
        "sensor.bolt.offset",
        "too near body",
    ),
    (
        "nose hits a pulley larger than the ring",
        {"pulley": {"as_found": [{"length": 30, "diameter": 180}]}},
        "sensor.body_diameter",
        "nose would hit the pulley",
    ),
    (
        "tab hits a pulley behind",
        {"pulley": {"as_found": [{"length": 30, "diameter": 205}]}, "sensor": {"body_diameter": 3}},
        "sensor.nose_length",
        "would hit the pulley",
    ),
    (
        "a belt where the arm is",
        {
            "pulley": {
                "as_found": [{"length": 40, "diameter": 120}],
                "belts": [{"at": 27, "width": 10, "from_deg": 40, "to_deg": 80}],
            }
        },
        "pulley.belts[0]",
        "stand in the belt",
    ),
]


@pytest.mark.parametrize(("change", "key", "words"), [bad[1:] for bad in BAD], ids=[bad[0] for bad in BAD])
def test_what_cannot_be_is_refused_with_its_key(change: dict[str, Any], key: str, words: str) -> None:
    faults = refused(in_job(**change))
    assert any(found == key and words in message for found, message in faults), faults


def test_a_barrel_as_thick_as_its_thread() -> None:
    with pytest.raises(DesignError) as caught:
        design_bracket(in_job(sensor={"bolt": None, "thread": "M12x1", "body_diameter": 10}))
    [fault] = caught.value.faults
    assert fault.dotted == "sensor.body_diameter"
    assert "sensor.thread" in fault.message
    assert "10 mm" in str(fault)
    assert "M12x1" in str(fault)


def test_plate_beyond_a_nut_on_thin_plate() -> None:
    """The tab ends 1 mm beyond the room of the barrel's nut: 0.95 x 12 mm from its axis."""
    thin = {"thickness": 3, "inside_radius": 3}
    design = made(in_job(sensor={"bolt": None, "thread": "M12x1", "body_diameter": 12}, bracket={"plate": thin}))
    assert design.hole("body").x0 == pytest.approx(0.95 * 12 + 1.0)


def test_a_hand_bends_allowance_comes_from_a_test_strip() -> None:
    """A bent strip's flat length is both outside legs less the deduction, 2 (r + t) less the allowance. DIN 6935."""
    plain = made(in_job(bracket={"bends": "hand"}))
    [note] = [note for note in plain.notes if "test strip" in note]
    assert "Strip − leg a − leg b + 20 mm" in Words().text(note)  # r = t = 5
    leg_a, leg_b, strip = 60.0, 45.0, 97.0
    own = made(in_job(bracket={"bends": "hand", "hand_bend": {"allowance": strip - leg_a - leg_b + 20.0}}))
    assert leg_a + leg_b - own.bends[0].deduction == pytest.approx(strip)
    assert not [note for note in own.notes if "test strip" in note]


def test_a_belt_lies_behind_the_front_face_and_across_its_arc() -> None:
    pulley = {"as_found": [{"length": 40, "diameter": 120}]}
    belt = {"at": 27, "width": 10, "from_deg": 60, "to_deg": 120}
    job = in_job(pulley={**pulley, "belts": [belt]})
    assert job.pulley is not None
    sector, low, high = belt_sector(job, job.pulley.belts[0])
    assert (low, high) == (
        -2.5 - 27 - 5,
        -2.5 - 27 + 5,
    )  # from the plate's back face
    assert sector.contains(Point(100, 0))  # 90 degrees clockwise from up
    assert not sector.contains(Point(-100, 0))


def test_nothing_in_an_inch_job_is_said_in_millimetres() -> None:
    belts = [{"at": 27, "width": 10, "from_deg": 150, "to_deg": 300}]
    job = in_job(
        units="in",
        pulley={"as_found": [{"length": 40, "diameter": 120}], "belts": belts},
        sensor={"air_gap_range": [0.5, 1.5]},
        bracket={"bends": "hand", "gusset": True, "mounts": THREADED},
        shop={"plasma": {"kerf": 1.4}},
    )
    design, words = made(job), Words("in")
    said = [words.text(note) for note in design.notes]
    for finding in bracket_findings(design):
        said += [finding.measured_in(words), finding.limit_in(words), words.text(finding.why)]
    entities = [entity for view in bracket_sheet(design, job).views for entity in view.entities]
    said += [words.text(entity.text) for entity in entities if isinstance(entity, Note)]
    assert any(" in" in text for text in said)
    for text in said:
        assert not unwritten(text)
        assert not re.search(r"\d\s*(mm|MPa|N|g·mm)\b", text), text
    assert "tooth ring, air gap 0.031 in" in said


def test_an_inch_job_is_answered_in_inches() -> None:
    [(_, message)] = refused(in_job(units="in", bracket={"mount_face": -18}))
    assert " in " in message
    assert " mm" not in message


def test_a_pulley_in_the_way_is_named_with_its_distance() -> None:
    # mounts on the far side of the crank, a large pulley in the arm's plane between
    mounts = [{"x": -60, "y": -95, "hole": 9}, {"x": -20, "y": -110, "hole": 9}]
    pulley = {"as_found": [{"length": 45, "diameter": 150}], "bore": 30}
    [(key, message)] = refused(in_job(pulley=pulley, bracket={"mounts": mounts}))
    assert key.startswith("bracket.mounts")
    assert "pulley" in message
    assert "mm" in message


def test_the_arm_goes_round_a_pulley_where_it_can() -> None:
    mounts = [{"x": 90, "y": -60, "hole": 9}, {"x": 60, "y": -90, "hole": 9}]
    pulley = {"as_found": [{"length": 45, "diameter": 140}], "bore": 30, "belts": []}
    design = made(in_job(pulley=pulley, sensor={"nose_length": 55}, bracket={"mounts": mounts}))
    arm = design.region("arm")
    flat = arm.loop.flatten(0.02)
    for moved in np.linspace(0, 5, 6):  # through the whole travel
        points = arm.frame.points(np.column_stack([flat, np.zeros(len(flat))])) + moved * np.array(
            [design.slide.x, design.slide.y, 0.0]
        )
        assert np.hypot(points[:, 0], points[:, 1]).min() > 70 + 3 - 0.05


def test_belts_elsewhere_do_no_harm_and_none_given_is_said() -> None:
    pulley = {"as_found": [{"length": 40, "diameter": 120}]}
    silent = made(in_job(pulley=pulley))
    assert verdict(silent, "belt-line") == "warn"
    belts = [{"at": 27, "width": 10, "from_deg": 150, "to_deg": 300}]
    design = made(in_job(pulley={**pulley, "belts": belts}))
    assert verdict(design, "room-to-belt") == "pass"
    assert not [finding for finding in bracket_findings(design) if finding.check == "belt-line"]


def test_poor_but_possible_is_a_finding() -> None:
    assert verdict(made(in_job(bracket={"plate": {"inside_radius": 3}})), "bend-radius") == "warn"
    assert verdict(made(in_job()), "bend-radius") == "pass"
    assert verdict(made(in_job(bracket={"mount_face": -26})), "hole-to-bend") == "warn"
    assert verdict(made(in_job(bracket={"width": 27})), "least-bridge") == "warn"
    thick = made(in_job(bracket={"plate": {"thickness": 8, "inside_radius": 8}, "mount_face": -40, "width": 50}))
    assert thick.first_frequency_hz > made(in_job()).first_frequency_hz


def test_a_bolt_that_no_spanner_reaches_is_said() -> None:
    outside = made(in_job())
    assert {f.verdict for f in bracket_findings(outside) if f.check == "spanner-room"} == {"pass"}
    # behind the wheel: the second mount's head is under the teeth
    mounts = [{"x": 84, "y": -5, "hole": 9}, {"x": 40, "y": 60, "hole": 9}]
    behind = made(in_job(bracket={"mounts": mounts}))
    assert [f.verdict for f in bracket_findings(behind) if f.check == "spanner-room"] == ["warn", "warn"]


def test_report_agrees_with_the_design() -> None:
    design = made(along_job())
    report = design.report()
    assert report["shape"] == "Z"
    bends = report["bends"]
    assert isinstance(bends, list)
    assert [bend["direction"] for bend in bends] == ["up", "down"]
    assert bends[0]["allowance_mm"] == pytest.approx(design.bends[0].allowance, abs=1e-4)
    assert report["mass_kg"] == pytest.approx(design.folded_volume * 7850e-9, rel=1e-6)
    assert report["first_frequency_hz"] == pytest.approx(design.first_frequency_hz, abs=1e-3)
