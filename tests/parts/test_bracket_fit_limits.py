"""Cutting and fitting a bracket at its limits: marks, spacers, play, what turns or stands in the way; all by hand.

The jobs are those of bracket_jobs: a ⌀160 ring 5 thick, plate 5 thick bent about 5, 44 wide, a body of 16, holes of 9.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tests.parts.bracket_jobs import along_job, asked_of, hole_at, in_job, made
from wheelcad.parts.bracket import clear, obstacles
from wheelcad.parts.bracket.bolts import _overhang, _sensor_seen, spacers_mm
from wheelcad.parts.bracket.cutting import _centre_marks, _cut_hole, cut_layers
from wheelcad.parts.bracket.judge import bracket_findings
from wheelcad.parts.bracket.setting import ONE_WAY, astray
from wheelcad.parts.common.measured import mounts_within
from wheelcad.words import Words

FLANGE: dict[str, Any] = {"bolt": {"hole": 6.6, "offset": 20}, "thread": None, "body_diameter": 16}


# what is cut


def test_bend_marks_are_left_out_where_the_line_is_slit() -> None:
    design = made(in_job(bracket={"bends": "hand"}, shop={"plasma": {"kerf": 1.4, "bend_marks": True}}))
    x, (first, second) = design.bends[0].line_x, design.slits
    # a 44 line of plate 5: bridges of 7.5, two slits of 10.75; marks end a millimetre before each
    assert [first[0][1], first[1][1], second[0][1], second[1][1]] == pytest.approx([-14.5, -3.75, 3.75, 14.5])
    turned = replace(design, slits=((second[1], second[0]), first))
    for each in (design, turned):
        marks = [cut.vertices for cut in cut_layers(each, at=(0.0, 0.0))["BEND"]]  # type: ignore[union-attr]
        assert [v[1] for line in marks for v in line] == pytest.approx([-22, -15.5, -2.75, 2.75, 15.5, 22])
        assert {round(v[0] - x, 9) for line in marks for v in line} == {0.0}
    elsewhere = tuple(((x + 1.0, a), (x + 1.0, b)) for (_, a), (_, b) in design.slits)
    [whole] = cut_layers(replace(design, slits=elsewhere), at=(0.0, 0.0))["BEND"]
    assert [v[1] for v in whole.vertices] == pytest.approx([-22, 22])  # type: ignore[union-attr]


@pytest.mark.parametrize(("hole", "arm"), [(4.0, 1.2), (6.0, 1.8), (8.0, 2.0)])
def test_a_centre_mark_goes_with_the_drilled_hole(hole: float, arm: float) -> None:
    """Two millimetres either way, or three tenths of the hole, whichever is less: a slot has one at either end."""
    marks = [cut.vertices for cut in _centre_marks(hole_at(30.0, 10.0, 36.0, 10.0, hole))]
    assert np.ravel(marks) == pytest.approx(np.ravel([
        [(x - arm, 10, 0), (x + arm, 10, 0), (x, 10 - arm, 0), (x, 10 + arm, 0)] for x in (30, 36)
    ]))  # fmt: skip
    assert len(list(_centre_marks(hole_at(30.0, 10.0, d=hole)))) == 2


def test_a_kerf_may_leave_half_a_millimetre_of_a_hole_but_not_nothing() -> None:
    assert _cut_hole(hole_at(0.0, 0.0, d=2.0), 1.5).area == pytest.approx(math.pi / 16)
    with pytest.raises(ValueError, match="leaves nothing of mount 1"):
        _cut_hole(hole_at(0.0, 0.0, d=1.5), 1.5)


def test_without_a_kerf_holes_are_cut_as_drawn_and_bends_are_named_beside_them() -> None:
    design = made(in_job(shop={"plasma": {"kerf": 1.4, "bend_marks": True}}))
    layers = cut_layers(design)
    drawn = [hole.area for hole in design.holes if not hole.drill]
    assert [loop.area for loop in layers["HOLES"]] == pytest.approx(drawn)  # type: ignore[union-attr]
    [label], [line] = layers["TEXT"], layers["BEND"]
    assert (label.height, label.rotation_deg) == (4.0, 90.0)  # type: ignore[union-attr]
    assert label.x == pytest.approx(line.vertices[0][0] - 6)  # type: ignore[union-attr]


@pytest.mark.parametrize(("end", "marks"), [(-20.0, [(-9.0, 22)]), (-19.9, [(-22, -20.9), (-9.0, 22)])])
def test_a_bend_mark_of_a_millimetre_or_less_is_left_out(end: float, marks: list[tuple[float, float]]) -> None:
    design = made(in_job(bracket={"bends": "hand"}, shop={"plasma": {"kerf": 1.4, "bend_marks": True}}))
    x = design.bends[0].line_x
    slit = replace(design, slits=(((x, -10.0), (x, end)),))
    found = [(line.vertices[0][1], line.vertices[1][1]) for line in cut_layers(slit, at=(0.0, 0.0))["BEND"]]  # type: ignore[union-attr]
    assert np.ravel(found) == pytest.approx(np.ravel(marks))
    aside = replace(design, slits=(((x + 0.05, -10.0), (x + 0.05, end)),))  # not on the line
    assert len(cut_layers(aside, at=(0.0, 0.0))["BEND"]) == 1


# bolts, gap and play


@pytest.mark.parametrize(("read_to", "sizes"), [
    (0.45, [0.1, 0.2, 0.5, 1.0]), (0.5, [0.1, 0.2, 0.5, 1.0, 2.0]), (0.05, [0.1, 0.2, 0.5, 1.0]),
])  # fmt: skip
def test_spacers_go_up_to_twice_what_may_be_out(read_to: float, sizes: list[float]) -> None:
    """A pressed bend's 0.5 and the reading of the face."""
    survey = {"read_to": read_to, "readings": [{"from": "centre", "to": "m1", "is": 161.6}]}
    job = along_job(sensor=FLANGE, bracket={"bends": "brake"}, survey=survey)
    assert spacers_mm(made(job)) == pytest.approx(sizes)


def test_the_overhang_is_the_reach_over_the_mounts_spread() -> None:
    design = made(in_job())
    x, y, _ = design.asked.place.face
    assert _overhang(replace(design, mount_points=((x + 30, y), (x + 50, y)))) == pytest.approx(1 + 40 / 10)
    assert _overhang(replace(design, mount_points=((x + 36, y), (x + 44, y)))) == pytest.approx(1 + 40 / 5)
    assert _overhang(replace(design, mount_points=((x, y + 40),))) == pytest.approx(1 + 40 / 5)


def test_a_sensor_seen_along_the_crank_is_nose_and_tail() -> None:
    """24 of nose and 25 of tail, 16 wide; end on, the flange's 11 round its axis."""
    asked = asked_of(in_job(sensor={"at": 0}))
    face = 80 + 0.8 + 24
    assert _sensor_seen(asked).bounds == pytest.approx((-8, face - 24, 8, face + 25))
    assert _sensor_seen(asked).area == pytest.approx(16 * 49)
    end_on = asked_of(along_job(sensor={**FLANGE, "at": 0}))
    y = end_on.place.face[1]
    assert _sensor_seen(end_on).bounds == pytest.approx((-11, y - 11, 11, y + 11))


@pytest.mark.parametrize(("apart", "turns"), [(1.40, False), (1.45, True)])
def test_mounts_in_one_place_say_nothing_of_the_angle(apart: float, turns: bool) -> None:
    """From squares that add up to a square millimetre: two mounts √2 apart."""
    design = made(in_job())
    one = ONE_WAY * max(mounts_within(design.asked.job).values())
    found = astray(replace(design, mount_points=((100.0, 0.0), (100.0 + apart, 0.0))))
    out = np.array(design.asked.place.out[:2])
    x, y = np.array(design.asked.place.tip[:2]) - [100 + apart / 2, 0.0]
    turned = one / (apart / math.sqrt(2)) * np.array([-y, x]) * (1 if turns else 0)
    shift = one / math.sqrt(2)
    assert found.radial == pytest.approx(math.hypot(shift, turned @ out))
    assert found.around == pytest.approx(math.hypot(shift, turned @ np.array([-out[1], out[0]])))
    assert found.around_deg == pytest.approx(math.degrees(found.around / 80.8))


@pytest.mark.parametrize(("kind", "most"), [("reluctance", 0.8), ("hall", 1.5)])
def test_the_usual_greatest_gap(kind: str, most: float) -> None:
    found = bracket_findings(made(in_job(sensor={"kind": kind, "air_gap": 0.6})))
    [gap] = [f for f in found if f.check == "gap-setting"]
    assert gap.limit == most


# what turns and what stands in the way


@pytest.mark.parametrize(("span", "pieces"), [(90.0, 18), (91.0, 19), (12.0, 3), (5.0, 1), (3.0, 1)])
def test_a_belts_sector_is_chords_of_five_degrees_at_most(span: float, pieces: int) -> None:
    pulley = {"bore": 30, "as_found": [{"length": 30, "diameter": 90}]}
    belt = {"at": 12, "width": 10, "from_deg": 350, "to_deg": (350 + span) % 360}
    job = in_job(pulley={**pulley, "belts": [belt]})
    sector, low, high = clear.belt_sector(job, job.belts[0])
    assert sector.area == pytest.approx(pieces * 1000**2 / 2 * math.sin(math.radians(span / pieces)))
    assert high - low == pytest.approx(10)
    whole = in_job(pulley={**pulley, "belts": [{**belt, "to_deg": 350}]})
    round_all, _, _ = clear.belt_sector(whole, whole.belts[0])
    assert round_all.area == pytest.approx(72 * 1000**2 / 2 * math.sin(math.radians(5)))


def test_what_is_tried_to_make_room_and_in_which_order(monkeypatch: pytest.MonkeyPatch) -> None:
    thing = {"name": "pump", "x": 150, "y": 85, "z": 0, "radius": 20}
    design = made(
        in_job(sensor={"at": 350}, bracket={"obstacles": [thing], "mounts": [{"x": -30, "y": 150, "hole": 9}]})
    )
    tried: list[dict[str, Any]] = []
    monkeypatch.setattr(obstacles, "_clear", lambda job, **changed: bool(tried.append(changed)))
    said = Words("mm").text(obstacles.mending(design))
    widths, places = tried[:3], tried[3:]
    assert [each["bracket"]["width"] for each in widths] == pytest.approx([39.6, 35.2, 30.8])
    turns = [(each["sensor"]["at"] - 350 + 180) % 360 - 180 for each in places]
    assert turns == pytest.approx([3, -3, 6, -6, 10, -10, 15, -15, 20, -20, 30, -30])
    assert all(0 <= each["sensor"]["at"] < 360 for each in places)
    assert "within 30°" in said


def test_room_is_made_when_it_is_made_to_everything() -> None:
    far, near = ({"name": name, "x": x, "y": 85, "z": 0, "radius": 20} for name, x in (("far", 400), ("near", 150)))
    assert obstacles._clear(in_job(bracket={"obstacles": [far]}), sensor={"at": 60})
    assert not obstacles._clear(in_job(bracket={"obstacles": [far, near]}), sensor={"at": 60})
    assert not obstacles._clear(in_job(bracket={"obstacles": [near, far]}), sensor={"at": 60})
