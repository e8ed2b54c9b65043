"""The bracket's numbers: where its tab, slots and holes lie, on either side of everything, and what it refuses."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.parts.bracket_jobs import along_job, flat_job, in_job, made, refused, verdict
from wheelcad.parts.bracket.judge import bracket_findings
from wheelcad.parts.bracket.model import BracketDesign

THREADED = [{"x": 150, "y": 60, "hole": 9, "thread": "M8"}, {"x": 150, "y": 110, "hole": 9, "thread": "M8"}]
DIN_90_R5_T5 = math.pi / 2 * (5 + 0.65 * 5 / 2)  # DIN 6935: k = 0.65 at r = s


def engine_point(design: BracketDesign, name: str, share: float = 0.5, w: float = 0.0) -> np.ndarray:
    hole = design.hole(name)
    x, y = hole.x0 + share * (hole.x1 - hole.x0), hole.y0 + share * (hole.y1 - hole.y0)
    return design.region(hole.region).frame.points((x, y, w))


# --- where it stands ------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("turns", "side"), [("clockwise", 1), ("anticlockwise", -1)])
def test_the_tab_stands_where_the_sensor_looks_from(turns: str, side: int) -> None:
    # sensor at 60 degrees the way the crank turns; a mirrored frame would put it on the other side of the engine
    mounts = [{"x": side * 150, "y": 60, "hole": 9}, {"x": side * 150, "y": 110, "hole": 9}]
    design = made(in_job(engine={"turns": turns}, bracket={"mounts": mounts}))
    radius = 80 + 0.8 + 24
    u = np.array([side * math.sin(math.radians(60)), math.cos(math.radians(60)), 0.0])
    assert design.asked.place.face == pytest.approx(tuple(radius * u))
    assert design.asked.place.look == pytest.approx(tuple(-u))
    for w in (0.0, design.thickness):
        middle = engine_point(design, "body", w=w)
        assert np.cross(middle, u) == pytest.approx([0, 0, 0], abs=1e-9)
    # the tab's outer side is the mounting face, its inner side one thickness nearer the wheel
    tab = design.region("tab").frame
    depths = sorted(float(tab.points((10.0, 0.0, w)) @ u) for w in (0.0, design.thickness))
    assert depths == pytest.approx([radius - 5, radius])


def test_turning_the_other_way_with_mirrored_mounts_gives_the_mirror_image() -> None:
    right = made(in_job())
    mounts = [{"x": -150, "y": 60, "hole": 9}, {"x": -150, "y": 110, "hole": 9}]
    left = made(in_job(engine={"turns": "anticlockwise"}, bracket={"mounts": mounts}))
    assert left.outline.area == pytest.approx(right.outline.area)
    assert left.outline.mirrored_x().rotated(180).bounds() == pytest.approx(right.outline.bounds(), abs=1e-6)
    assert left.mass_kg == pytest.approx(right.mass_kg)
    assert left.asked.place.face == pytest.approx((-right.asked.place.face[0], right.asked.place.face[1], 0))
    assert made(in_job(engine={"turns": "anticlockwise"})).outline.area != pytest.approx(right.outline.area, rel=0.2)


@pytest.mark.parametrize("face", [-32.0, -50.0, 27.0, 45.0])
def test_the_tab_bends_towards_the_ring(face: float) -> None:
    design = made(in_job(bracket={"mount_face": face}))
    assert design.shape == "L"
    arm = design.region("arm").frame
    z = sorted(float(arm.points((0, 0, w))[2]) for w in (0.0, 5.0))
    assert z == pytest.approx([face, face + 5])  # the plate fills mount_face to mount_face + thickness
    assert engine_point(design, "body")[2] == pytest.approx(0, abs=1e-9)
    # the bolt lies along the crank, away from the arm
    assert engine_point(design, "bolt")[2] == pytest.approx(20 if face < 0 else -20)
    assert design.bends[0].up


@pytest.mark.parametrize("mounts", [[(60, 20), (40, 60)], [(150, 60), (150, 110)]])
def test_the_arm_lies_on_the_mounts_side_of_the_tab(mounts: list[tuple[float, float]]) -> None:
    design = made(in_job(bracket={"mounts": [{"x": x, "y": y, "hole": 9} for x, y in mounts]}))
    u = np.array([math.sin(math.radians(60)), math.cos(math.radians(60)), 0.0])
    flat = design.region("arm").loop.flatten(0.1)
    radial = design.region("arm").frame.points(np.column_stack([flat, np.zeros(len(flat))])) @ u
    outside = mounts[0][0] > 100
    assert (radial > 104.8).all() if outside else (radial < 104.8).all()
    for number, (x, y) in enumerate(mounts, 1):
        assert engine_point(design, f"mount {number}", 0.0)[:2] == pytest.approx([x, y])


def test_slots_let_the_bracket_move_outwards_only() -> None:
    design = made(in_job(bracket={"adjust": 7}))
    u = np.array([math.sin(math.radians(60)), math.cos(math.radians(60)), 0.0])
    assert (design.slide.low, design.slide.high) == (0.0, 7.0)
    for name in ("mount 1", "mount 2"):
        hole = design.hole(name)
        assert hole.travel == pytest.approx(7)
        assert hole.diameter == 9
        # moved out by the whole travel, the slot's other end comes to the bolt
        assert engine_point(design, name, 1.0) + 7 * u == pytest.approx(engine_point(design, name, 0.0))


def test_holes_in_the_tab() -> None:
    design = made(in_job())
    assert design.hole("body").diameter == pytest.approx(16.3)  # 0.3 mm over the body
    assert design.hole("bolt").diameter == 6.6  # ISO 273 medium for M6
    assert made(in_job(sensor={"bolt": {"hole": 8.4, "offset": 22}})).hole("bolt").diameter == 9.0  # M8, medium
    for body in (12, None):  # left out, it is the thread's
        barrel = made(in_job(sensor={"bolt": None, "thread": "M12x1", "body_diameter": body}))
        assert barrel.hole("body").diameter == pytest.approx(12.3)
    assert [hole.name for hole in barrel.holes] == ["body", "mount 1", "mount 2"]
    bare = made(in_job(sensor={"bolt": None}))
    assert verdict(bare, "sensor-fixing") == "warn"


def test_a_sensor_that_senses_across_has_its_bolt_beside_it() -> None:
    design = made(in_job(sensor={"senses": "across"}))
    body, bolt = engine_point(design, "body"), engine_point(design, "bolt")
    assert bolt[2] == pytest.approx(0, abs=1e-9)
    assert np.linalg.norm(bolt - body) == pytest.approx(20)
    assert design.outline.contains(design.hole("bolt").x0, design.hole("bolt").y0)
    assert verdict(design, "senses-across") == "pass"


def test_slots_along_the_crank() -> None:
    design = made(in_job(bracket={"adjust_along": 4}))
    for name in ("body", "bolt"):
        ends = [engine_point(design, name, share) for share in (0.0, 1.0)]
        assert abs(ends[1][2] - ends[0][2]) == pytest.approx(4)
    assert engine_point(design, "body")[2] == pytest.approx(0, abs=1e-9)


# --- bends and flats ------------------------------------------------------------------------------------------------
def test_bend_figures() -> None:
    bend = made(in_job()).bends[0]
    assert bend.allowance == pytest.approx(DIN_90_R5_T5)
    assert bend.deduction == pytest.approx(20 - DIN_90_R5_T5)
    assert bend.width == 44
    own = made(in_job(bracket={"plate": {"k_factor": 0.4}})).bends[0]
    assert own.allowance == pytest.approx(math.pi / 2 * (5 + 0.4 * 5))


def test_a_test_strip_decides_hand_bends_only() -> None:
    strip = {"hand_bend": {"allowance": 9.2}}
    assert made(in_job(bracket={"bends": "hand", **strip})).bends[0].allowance == 9.2
    assert made(in_job(bracket={"bends": "brake", **strip})).bends[0].allowance == pytest.approx(DIN_90_R5_T5)
    by_formula = made(in_job(bracket={"bends": "hand"})).bends[0]
    assert by_formula.allowance == pytest.approx(DIN_90_R5_T5)


def test_flat_length_by_hand() -> None:
    # legs outside: tab from the arm's lower side to its end, arm to the far margin; flat = a + b - deduction
    design = made(in_job())
    x0, _, x1, _ = design.outline.bounds()
    tab_end = 20 + max(1.5 * 6.6, 6.6 / 2 + 1.5 * 5)  # past the bolt: plate for 1.5 × the thickness beyond its hole
    leg_up = 32 + tab_end
    far = design.region("arm").frame.points((x1, 0, 0)) @ np.array(design.asked.place.look) * -1
    leg_out = far - (80 + 0.8 + 24 - 5)
    assert x1 - x0 == pytest.approx(leg_up + leg_out - design.bends[0].deduction)


def test_slits_are_in_hand_bends_only_and_leave_bridges() -> None:
    design = made(in_job(bracket={"bends": "hand"}))
    assert made(in_job()).slits == ()
    assert len(design.slits) == 2
    ends = sorted(y for slit in design.slits for _, y in slit)
    assert {x for slit in design.slits for x, _ in slit} == {design.bends[0].line_x}
    bridges = [ends[0] + 22, ends[2] - ends[1], 22 - ends[3]]
    assert min(bridges) == pytest.approx(1.5 * 5)


def test_small_holes_become_centre_marks_for_plasma() -> None:
    plain, plasma = made(in_job()), made(in_job(shop={"plasma": {"kerf": 1.4}}))
    assert [hole.name for hole in plain.holes if hole.drill] == []
    assert [hole.name for hole in plasma.holes if hole.drill] == ["bolt"]  # 6.6 < 1.5 × 5
    assert any("Drill bolt" in note for note in plasma.notes)
    # the bolt's hole lies nearest to another cut, but a drill makes it afterwards and heats nothing
    least = [next(f for f in bracket_findings(design) if f.check == "least-bridge") for design in (plain, plasma)]
    assert "bolt" in least[0].why
    assert "bolt" not in least[1].why
    assert least[1].measured > least[0].measured


def test_z_steps_from_block_to_sensor() -> None:
    design = made(along_job())
    assert design.shape == "Z"
    assert [bend.up for bend in design.bends] == [True, False]
    assert [bend.angle_deg for bend in design.bends] == [90, 90]
    face_z = 2.5 + 0.8 + 24
    assert design.asked.place.face[2] == pytest.approx(face_z)
    tab, arm = design.region("tab").frame, design.region("arm").frame
    assert sorted(float(tab.points((0, 0, w))[2]) for w in (0, 5)) == pytest.approx([face_z - 5, face_z])
    assert sorted(float(arm.points((0, 0, w))[2]) for w in (0, 5)) == pytest.approx([-32, -27])
    assert engine_point(design, "body")[:2] == pytest.approx(design.asked.place.face[:2])
    assert np.hypot(*design.asked.place.face[:2]) == pytest.approx(80 - 6.35 / 2)  # the middle of the slot depth
    assert design.slide.low == -design.slide.high == -2.5


def test_z_from_behind_and_at_a_radius() -> None:
    design = made(along_job(sensor={"from": "back", "radius": 78}, bracket={"mount_face": -70}))
    assert design.asked.place.face[2] == pytest.approx(-(2.5 + 0.8 + 24))
    assert np.hypot(*design.asked.place.face[:2]) == pytest.approx(78)
    assert design.asked.place.look == (0, 0, 1)
    tab = design.region("tab").frame
    assert sorted(float(tab.points((0, 0, w))[2]) for w in (0, 5)) == pytest.approx(
        [design.asked.place.face[2], design.asked.place.face[2] + 5]
    )


def test_small_offsets_take_gentler_bends() -> None:
    flat_face = 2.5 + 0.8 + 24 - 5
    angles = [made(along_job(bracket={"mount_face": flat_face - d})).bends[0].angle_deg for d in (60, 15, 8, 5)]
    assert angles == sorted(angles, reverse=True)
    assert angles[0] == 90
    assert angles[-1] < 45
    [(key, message)] = refused(along_job(bracket={"mount_face": flat_face - 1.5}))
    assert key == "bracket.mount_face"
    assert "1.5 mm" in message


def test_flat_where_the_block_allows_it() -> None:
    design = made(flat_job())
    assert design.shape == "flat"
    assert design.bends == ()
    assert design.flat_area * 5 == pytest.approx(design.folded_volume)
    assert made(flat_job(bracket={"mount_face": 22.35})).shape == "flat"
    assert engine_point(design, "body")[:2] == pytest.approx(design.asked.place.face[:2])


def test_gussets_stand_beside_the_sensor() -> None:
    design = made(in_job(bracket={"gusset": True}))
    assert len(design.gussets) == 2
    for gusset in design.gussets:
        corners = gusset.frame.points(
            [(x, y, w) for x, y, _ in gusset.loop.vertices.tolist() for w in (0.0, gusset.thickness)]
        )
        flat = design.region("tab").frame.back(corners)
        # beside the flange (16/2 + 3), within the width, on the upper side of the tab, below its rounded corners
        assert (np.abs(flat[:, 1]) >= 11 + 1 - 1e-9).all()
        assert (np.abs(flat[:, 1]) <= 22 + 1e-9).all()
        assert (flat[:, 2] >= 5 - 1e-9).all()
        assert flat[:, 0].min() >= 8
    assert refused(in_job(bracket={"gusset": True, "width": 30}))[0][0] == "bracket.gusset"
