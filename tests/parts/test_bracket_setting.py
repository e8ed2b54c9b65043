"""The gap both ways, lining up, hand bends that come out, gussets in any corner, and the fitting page against the
assembly it talks of."""

from __future__ import annotations

import math
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

from tests.parts.bracket_jobs import along_job, flat_job, in_job, made, merged
from wheelcad.findings import Finding
from wheelcad.job.models import Job
from wheelcad.packet.cover import things_to_have
from wheelcad.packet.strip import strip_page, strip_picture
from wheelcad.parts.bracket.bolts import bolt_words, mount_bolts, spacers_mm
from wheelcad.parts.bracket.fitting import fitting_steps
from wheelcad.parts.bracket.gusset import gusset_loop
from wheelcad.parts.bracket.judge import bracket_findings
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.bracket.notes import former_from_end, strip_adds
from wheelcad.parts.bracket.setting import ONE_WAY, astray, set_by
from wheelcad.parts.common.measured import mounts_within
from wheelcad.parts.design import design_job
from wheelcad.parts.places import face_z, front_as_found_z, settled
from wheelcad.survey.from_job import survey_of
from wheelcad.words import Words, unwritten

BARREL: dict[str, Any] = {"bolt": None, "thread": "M12x1", "body_diameter": 12}
FLANGE: dict[str, Any] = {"bolt": {"hole": 6.6, "offset": 20}, "thread": None, "body_diameter": 16}
SURVEY = {"readings": [{"from": "centre", "to": "m1", "is": 161.6}]}
SHAPES: dict[str, Job] = {
    "L, flange": in_job(),
    "L, barrel": in_job(sensor=BARREL),
    "Z, barrel": along_job(),
    "Z, flange": along_job(sensor=FLANGE),
    "Z from the back, flange": along_job(sensor={**FLANGE, "from": "back"}),
    "flat, barrel": flat_job(),
}


def found(design: BracketDesign, check: str) -> list[Finding]:
    return [finding for finding in bracket_findings(design) if finding.check == check]


@pytest.mark.parametrize(
    ("bends", "adjust", "gap", "range_", "verdict"),
    [
        # adjust ≥ fold error - gap + least gap, the measuring added to the fold
        ("hand", 0, 0.8, [0.5, 1.5], "fail"),
        ("hand", 0.7, 0.8, [0.5, 1.5], "fail"),  # 1 - 0.8 + 0.5 = 0.7 would do, were the mounts known exactly
        ("hand", 1.1, 0.8, [0.5, 1.5], "pass"),
        ("brake", 0.4, 0.8, [0.5, 1.5], "fail"),
        ("brake", 0.6, 0.8, [0.5, 1.5], "pass"),
        ("brake", 0, 1.5, [0.4, 3.0], "pass"),  # a gap wide enough for the fold
    ],
)
def test_a_tab_folded_inwards_must_come_clear_by_the_slots(
    bends: str, adjust: float, gap: float, range_: list[float], verdict: str
) -> None:
    design = made(in_job(sensor={"air_gap": gap, "air_gap_range": range_}, bracket={"bends": bends, "adjust": adjust}))
    [finding] = found(design, "nose-clears")
    assert finding.verdict == verdict
    need = max(0.0, astray(design).outwards - gap + range_[0])
    assert finding.limit == pytest.approx(need, abs=0.006)
    if verdict == "fail":  # the number it names mends it
        named = float(Words().text(finding.why).split("bracket.adjust: ")[1].split(" mm")[0])
        again = made(
            in_job(sensor={"air_gap": gap, "air_gap_range": range_}, bracket={"bends": bends, "adjust": named})
        )
        assert found(again, "nose-clears")[0].verdict == "pass"


def test_folded_outwards_only_the_bolts_play_is_left_and_the_number_named_mends_it() -> None:
    sensor = {"air_gap": 0.8, "air_gap_range": [0.5, 1.5]}
    [poor] = found(made(in_job(sensor=sensor, bracket={"bends": "hand"})), "gap-setting")
    assert poor.verdict == "warn"
    hole = float(Words().text(poor.why).split("hole ")[1].split(" mm")[0])
    mounts = [{"x": 150, "y": 60, "hole": hole + 0.01}, {"x": 150, "y": 110, "hole": hole + 0.01}]
    wide = made(in_job(sensor=sensor, bracket={"bends": "hand", "mounts": [{**m, "thread": "M8"} for m in mounts]}))
    assert found(wide, "gap-setting")[0].verdict == "pass"


def test_folded_outwards_without_a_range_the_usual_greatest_gap_is_told_as_assumed() -> None:
    """0.8 mm and a hand bend outwards, bolts of 8 in holes of 9: what is left against 1.5, where a Hall type ends."""
    design = made(in_job(bracket={"bends": "hand"}))
    [told] = found(design, "gap-setting")
    assert told.measured == pytest.approx(0.8 + astray(design).outwards - 0.5, abs=0.001)
    assert told.limit == 1.5
    assert told.verdict == ("pass" if told.measured <= 1.5 else "note")
    assert "assumed" in told.why


def test_barrels_are_set_by_their_nuts_whichever_way_they_look() -> None:
    assert [set_by(made(SHAPES[name]).asked) for name in SHAPES] == ["slots", "nuts", "nuts", "shims", "shims", "nuts"]
    stub = made(in_job(sensor={**BARREL, "nose_length": 10.1}, bracket={"bends": "hand"}))
    assert (
        found(stub, "nose-clears")[0].verdict == "fail"
    )  # 10.1 less the plate's 5 and the nut's 4.8: too little thread
    assert found(made(SHAPES["L, barrel"]), "nose-clears")[0].verdict == "pass"
    assert any("nuts" in note for note in made(SHAPES["L, barrel"]).notes)


def test_shims_mend_one_way_only() -> None:
    """Plate between block and arm moves the bracket forwards: to the wheel where the sensor looks from the back."""
    gaps = {"air_gap": 0.8, "air_gap_range": [0.5, 1.5]}
    back = made(along_job(sensor={**FLANGE, **gaps, "from": "back"}, bracket={"bends": "hand"}))
    assert found(back, "nose-clears")[0].verdict == "fail"
    assert not found(back, "gap-setting")
    front = made(along_job(sensor={**FLANGE, **gaps}, bracket={"bends": "hand"}))
    assert found(front, "gap-setting")[0].verdict == "warn"
    assert not found(front, "nose-clears")


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize(("way", "check"), [("back", "nose-clears"), ("front", "gap-setting")])
@pytest.mark.parametrize("flat", [False, True])
def test_the_packing_or_gap_it_names_mends_it(units: str, way: str, check: str, flat: bool) -> None:
    """A Z is packed off the block by a piece that can come out; a flat plate has no room for one."""
    sensor = {**FLANGE, "air_gap": 0.8, "air_gap_range": [0.5, 1.1], "from": way}
    at = {"mount_face": {"back": -(2.5 + 0.8 + 24), "front": 2.5 + 0.8 + 24 - 5}[way]} if flat else {"mount_face": -60}
    poor = made(along_job(units=units, sensor=sensor, bracket={**at, "bends": "hand"}))
    assert (poor.shape == "flat") == flat
    [finding] = found(poor, check)
    assert finding.verdict in ("warn", "fail")
    key, unit = ("sensor.air_gap: " if flat else "bracket.packing: "), f" {units}"
    named = float(Words(units).text(finding.why).split(key)[1].split(unit)[0]) * (25.4 if units == "in" else 1)
    change = {"sensor": sensor | {"air_gap": named}} if flat else {"sensor": sensor}
    packed = {} if flat else {"packing": named}
    shift = {"mount_face": at["mount_face"] + (named - 0.8) * (-1 if way == "back" else 1)} if flat else {}
    again = made(along_job(units=units, **change, bracket={**at, **shift, **packed, "bends": "hand"}))
    assert [f.verdict for f in found(again, check)] == ["pass"]


def test_packing_lies_under_the_plate_and_lengthens_the_bolts() -> None:
    """The block's face stays: the plate, the riser and the bolts answer; the list, the steps and the bolts say so."""
    change: dict[str, Any] = {"sensor": FLANGE, "bracket": {"mount_face": -60}}
    plain = made(along_job(**change))
    job = along_job(**merged(change, {"bracket": {"packing": 5}}))
    packed = made(job)
    assert packed.asked.bracket.mount_face == plain.asked.bracket.mount_face
    backs = [float(design.regions[0].frame.points((0.0, 0.0, 0.0))[2]) for design in (plain, packed)]
    assert backs[1] - backs[0] == pytest.approx(5.0, abs=1e-9)
    for thin, thick in zip(mount_bolts(plain), mount_bolts(packed), strict=True):
        assert thin.length is not None
        assert thick.length == thin.length + 5
    text = Words().text(" ".join([*bolt_words(packed), *(step.does for step in fitting_steps(packed))]))
    assert "5 mm of packing" in text
    assert "thinner packing than the 5 mm planned closes it" in text
    listed = [row for block in things_to_have(design_job(job)).blocks for row in block.get("rows", [])]
    sizes = [Words().text(row[1]) for row in listed if row[0] == "Packing"]
    assert sizes == ["2 pieces 5 mm thick, as large as the washers"]


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize(("read_to", "verdict"), [(0.5, "pass"), (1.0, "warn")])
def test_a_hand_bend_and_poor_measuring_do_not_line_up(read_to: float, verdict: str, units: str) -> None:
    """A fold of ±1 mm and a face known to ±1 mm are over half a ring of 3.2 mm; adjust_along mends it."""
    change: dict[str, Any] = {"units": units, "wheel": {"thickness": 3.2}, "survey": {**SURVEY, "read_to": read_to}}
    [finding] = found(made(in_job(**change, bracket={"bends": "hand"})), "line-up-along-crank")
    assert (finding.verdict, finding.limit) == (verdict, 1.6)
    assert finding.measured == pytest.approx(1.0 + read_to)
    if verdict == "warn":
        slots = float(Words(units).text(finding.why).split("adjust_along: ")[1].split(f" {units}")[0])
        slots *= 25.4 if units == "in" else 1
        again = made(in_job(**change, bracket={"bends": "hand", "adjust_along": slots}))
        assert found(again, "line-up-along-crank")[0].verdict == "pass"


def test_the_mounts_uncertainty_reaches_the_sensor_as_a_rigid_plate_takes_it() -> None:
    """Against 20,000 brackets laid on mounts that are off by chance, best fit of a rigid plate."""
    design = made(in_job(survey={**SURVEY, "read_to": 1.0}))
    off = astray(design)
    rng = np.random.default_rng(7)
    points = np.array(design.mount_points)
    tip = np.array(design.asked.place.tip[:2])
    middle = points.mean(axis=0)
    errors = rng.normal(0.0, 1.0 / 2.4477, (20_000, *points.shape))  # 95 % of each within 1 mm of its place
    shift = errors.mean(axis=1)
    arms = points - middle
    turn = (arms[:, 0] * errors[:, :, 1] - arms[:, 1] * errors[:, :, 0]).sum(axis=1) / (arms**2).sum()
    reach = tip - middle
    moved = shift + turn[:, None] * np.array([-reach[1], reach[0]])
    out = np.array(design.asked.place.out[:2])
    for stated, way in ((off.radial, out), (off.around, np.array([-out[1], out[0]]))):
        within = float((np.abs(moved @ way) < stated).mean())
        assert 0.94 < within < 0.96
    assert off.around_deg == pytest.approx(math.degrees(off.around / np.hypot(*tip)), rel=1e-9)
    assert pytest.approx(1.96 / math.sqrt(-2 * math.log(0.05)), abs=1e-4) == ONE_WAY


def test_a_surveyed_place_that_is_too_loose_is_warned_of_and_an_assumed_one_noted() -> None:
    near = [{"x": 150, "y": 60, "hole": 9}, {"x": 150, "y": 80, "hole": 9}]
    loose = made(in_job(bracket={"mounts": near}, survey={**SURVEY, "read_to": 2.0}))
    assert found(loose, "sensor-place")[0].verdict == "warn"
    assert found(made(in_job(bracket={"mounts": near})), "sensor-place")[0].verdict in ("pass", "note")
    assert found(made(in_job(survey={**SURVEY, "read_to": 0.1})), "sensor-place")[0].verdict == "pass"


@pytest.mark.parametrize("name", SHAPES)
def test_the_fitting_page_read_step_by_step_against_the_assembly(name: str) -> None:
    design = made(SHAPES[name])
    steps = fitting_steps(design)
    said = [Words().text(step.does) for step in steps]
    assert not any(unwritten(text) for text in said)
    # what is said to open the gap does: the nose's end moves away from the surface it looks at
    moves = [np.array(step.opens) for step in steps if step.opens is not None]
    assert len(moves) == 1
    tip, look = np.array(design.asked.place.tip), np.array(design.asked.place.look)
    assert float(moves[0] @ look) < -0.99
    before, after = ((_stand_off(design, at)) for at in (tip, tip + 0.5 * moves[0]))
    assert after - before == pytest.approx(0.5, abs=1e-9)
    assert before == pytest.approx(design.gap, abs=1e-9)
    # in order: what the gap follows, sensor, block, place, gap, whole turns, tight
    order = [next(k for k, text in enumerate(said) if words in text) for words in _order(design)]
    assert order == sorted(order)
    along = design.asked.sensor.looks == "along"
    assert ("face" in said[0]) == along
    assert ("tooth tops while" in said[0]) == (not along)
    assert ("front face" in said[0]) == (along and design.asked.place.look[2] < 0)
    assert any("Barrel through" in text for text in said) == design.asked.body.barrel
    slots = " ".join(said)
    assert ("do not change the gap" in slots) == along
    if along:  # the radius it says is where the nose is
        assert f"looks at {np.hypot(*tip[:2]):.2f}".rstrip("0").rstrip(".") in slots


def _stand_off(design: BracketDesign, tip: np.ndarray) -> float:
    """How far a point stands off the wheel's surface that the sensor looks at."""
    if design.asked.sensor.looks == "in":
        return float(np.hypot(*tip[:2])) - design.asked.job.wheel.outside_diameter / 2
    return abs(float(tip[2])) - design.asked.job.wheel.thickness / 2


def _order(design: BracketDesign) -> list[str]:
    place = "until the nose looks at" if design.asked.sensor.looks == "along" else "axis meets the middle"
    first = "Barrel" if design.asked.body.barrel else "Sensor into"
    return ["indicator", first, "Bracket onto", place, "feeler of", "two whole turns", "paint"]


# -- bends by hand


@pytest.mark.parametrize("radius", [0.0, 1.0, 5.0, 8.0])
@pytest.mark.parametrize("name", ["L", "Z"])
def test_bent_over_its_former_the_part_comes_out(name: str, radius: float) -> None:
    """Metal bends from where the former's round begins, over the allowance: each outside leg is then the design's."""
    bracket = {"bends": "hand", "plate": {"thickness": 5, "inside_radius": radius}}
    design = made(in_job(bracket=bracket) if name == "L" else along_job(bracket=bracket))
    t = design.thickness
    for number, bend in enumerate(design.bends):
        arm_held = number == 0
        face = former_from_end(bend, arm_held)
        # the round begins its radius below the former's upper face, towards what is gripped
        begins = face + radius if arm_held else face - radius
        zone = (begins - bend.allowance, begins) if arm_held else (begins, begins + bend.allowance)
        assert zone == pytest.approx((bend.x_tab, bend.x_arm), abs=1e-9)
        if name == "L":  # outside height of the tab, from its end to the arm's outer face
            height = abs(
                design.regions[-1].frame.points((0.0, 0.0, 0.0))[2] - design.regions[0].frame.points((0, 0, 0))[2]
            )
            assert zone[0] + radius + t == pytest.approx(height, abs=1e-6)
    first = next(Words().text(note) for note in design.notes if note.startswith("Bend 1"))
    assert f"{former_from_end(design.bends[0], True):.2f}".rstrip("0").rstrip(".") in first


def test_a_test_strip_gives_back_the_allowance_it_was_bent_with() -> None:
    """Strip of flat length f bent square: legs a + b = f + 2(r + t) - allowance, by geometry (DIN 6935's picture)."""
    job = in_job(bracket={"bends": "hand", "plate": {"thickness": 4, "inside_radius": 3}})
    assert job.bracket is not None
    taken, flat, start = 7.31, 120.0, 51.0
    leg_a = start + 3 + 4
    leg_b = flat - start - taken + 3 + 4
    assert flat - leg_a - leg_b + strip_adds(job.bracket) == pytest.approx(taken, abs=1e-9)


def test_the_strips_page_has_the_formula_and_the_key_and_is_left_out_once_the_figure_is_known() -> None:
    page = strip_page(made(in_job(bracket={"bends": "hand"})))
    assert page is not None
    said = str(Words().through({"blocks": page.blocks}))
    assert not unwritten(said)
    by_the_book = "By the book it is 10.41 mm"  # DIN 6935, r = t = 5
    for words in ("strip − a − b + 20 mm", "hand_bend: {allowance: …}", by_the_book):
        assert words in said
    root = ElementTree.fromstring(strip_picture())
    assert {"strip", "a", "b", "r", "t"} == {node.text for node in root.iter() if node.text}
    for change in ({"bends": "brake"}, {"bends": "hand", "hand_bend": {"allowance": 10.0}}):
        assert strip_page(made(in_job(bracket=change))) is None
    assert strip_page(made(flat_job(bracket={"bends": "hand"}))) is None


# -- gussets


@pytest.mark.parametrize("angle", [45.0, 60.0, 75.0, 90.0])
def test_a_gusset_fills_its_corner_whatever_the_bend(angle: float) -> None:
    """Its legs lie on both faces, and its cut-off corner keeps off the bend's inside round."""
    radius, a = 5.0, math.radians(angle)
    loop = gusset_loop(30.0, 26.0, radius, angle)
    v = loop.vertices[:, :2]
    normal = np.array([math.sin(a), math.cos(a)])
    assert v[:2, 1] == pytest.approx(0.0, abs=1e-9)
    assert v[4:] @ normal == pytest.approx(0.0, abs=1e-8)
    assert float(np.hypot(*v[4])) == pytest.approx(26.0)
    assert (v @ normal >= -1e-8).all()
    assert (v[:, 1] >= -1e-9).all()
    # the round's centre stands its radius off both faces; no point of the gusset is farther in than the round
    centre = radius * math.tan(a / 2) * np.array([1.0, 0.0]) + np.array([0.0, radius])
    assert float(centre @ normal) == pytest.approx(radius, abs=1e-9)
    corner = (v[0] + v[5]) / 2
    assert np.hypot(*(corner - centre)) < radius
    assert loop.area > 0


def test_a_gentler_z_gets_gussets_that_touch_both_plates() -> None:
    plate = {"thickness": 8, "inside_radius": 8}
    design = made(along_job(bracket={"gusset": True, "mount_face": -16.7, "plate": plate}))
    assert design.bends[0].angle_deg < 90
    assert len(design.gussets) == 2
    arm, riser = design.regions[0].frame, design.regions[1].frame
    for gusset in design.gussets:
        points = gusset.frame.points(np.column_stack([gusset.loop.vertices[:, :2], np.zeros(6)]))
        t = design.thickness
        assert arm.back(points[:2])[:, 2] == pytest.approx([t, t], abs=1e-6)
        assert riser.back(points[4:])[:, 2] == pytest.approx([t, t], abs=1e-6)
        assert arm.back(points)[:, 2].min() > t - 1e-6
    assert not found(design, "gusset")


def test_what_the_survey_leaves_open_reaches_the_findings() -> None:
    """Mounts placed by distances alone: their 95 % figures, the solver's own, are what gap and timing are judged by."""
    pulley = {"bore": 30, "bolts": {"count": 4, "circle": 80, "hole": 8.4, "first_at": 45}, "belts": []}
    places = {"m1": (150.0, 60.0), "m2": (150.0, 110.0)}
    turns = [math.radians(45 + 90 * k) for k in range(4)]
    bolts = {f"bolt-{k + 1}": (40 * math.sin(a), 40 * math.cos(a)) for k, a in enumerate(turns)}
    known = {"centre": (0.0, 0.0), **bolts}
    readings = [
        {"from": name, "to": mount, "is": round(math.dist(known[name], at), 3)}
        for mount, at in places.items()
        for name in ("centre", "bolt-1", "bolt-2", "bolt-4")
    ]
    mounts = [{"name": name, "hole": 9} for name in places]
    off = {}
    for read_to in (0.2, 1.0):
        survey = {"read_to": read_to, "readings": readings}
        job = settled(in_job(pulley=pulley, bracket={"mounts": mounts, "bends": "hand"}, survey=survey))
        design = made(job)
        assert design.mount_points == pytest.approx(np.array(list(places.values())), abs=0.05)
        within = mounts_within(job)
        assert set(within) == set(places)
        solved = {p.name: p.within_95_mm for p in survey_of(job, front_as_found_z(job), face_z(job)).points}
        assert within == pytest.approx(solved)
        off[read_to] = astray(design)
    assert off[1.0].around == pytest.approx(5 * off[0.2].around, rel=0.02)
    assert off[1.0].face == 1.0


def test_spacers_stand_in_the_list_and_on_the_drawing_where_they_set_the_gap() -> None:
    """A flange that looks along is set by spacers: enough of them to make up what fold and measuring may be out."""
    for name, job in SHAPES.items():
        design, whole = made(job), design_job(job)
        sizes = spacers_mm(design)
        (note,) = [line for line in design.notes if "pacer" in line]
        listed = [row for row in str(things_to_have(whole).blocks).split("[") if "Spacers" in row]
        assert bool(sizes) == (set_by(design.asked) == "shims") == bool(listed), name
        assert ("set the gap" in note) == bool(sizes)
        if sizes:
            assert sum(sizes) >= astray(design).along
            assert sizes[0] == 0.1  # fine enough for a gap of 0.8 mm
