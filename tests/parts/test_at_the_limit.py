"""Sizes of parts just at, before and beyond the limits that their rules name."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from types import SimpleNamespace
from typing import Any, cast

import pytest

from tests.conftest import plate_job
from wheelcad.codes import Check
from wheelcad.errors import DesignError
from wheelcad.job.reader import parse_job
from wheelcad.parts.arbour.design import design_arbour
from wheelcad.parts.balance.candidates import walls_hold
from wheelcad.parts.balance.metal import metal_of
from wheelcad.parts.bracket import along_shapes, clear
from wheelcad.parts.chart import chart_of
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.design import design_job
from wheelcad.parts.gauge.mounting import INCH_BOLTS, _bolt
from wheelcad.parts.indexing.setup import back_words
from wheelcad.parts.options.patterns import USUAL
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.flat import stock_mm


def test_bolts_of_inches_are_sixteenths() -> None:
    assert pytest.approx([25.4 * float(Fraction(n, 16)) for n in range(3, 11)]) == list(INCH_BOLTS)


def test_room_between_a_bracket_and_what_turns() -> None:
    """Common practice, no source: a hand bend alone is good to about 1 mm; three are aimed at."""
    assert (clear.LEAST, clear.AIMED, clear.BELT_PROUD) == (1, 3, 2)


@pytest.mark.parametrize("thick", [2.0, 4.0, 6.0])
def test_the_riser_of_a_z_is_long_enough_to_bend_and_the_steepest_that_is(thick: float) -> None:
    """Offset by geometry: two arcs of the neutral radius and the riser between them."""
    bracket = cast(Any, SimpleNamespace(plate=SimpleNamespace(thickness=thick, inside_radius=thick)))
    found = set()
    for tenths in range(100, 600, 7):
        offset = tenths / 10
        try:
            angle, riser = along_shapes.z_angle(bracket, offset)
        except DesignError:
            continue
        found.add(angle)
        a = math.radians(angle)
        assert riser >= along_shapes.RISER_LEAST * thick
        assert 3 * thick * (1 - math.cos(a)) + riser * math.sin(a) == pytest.approx(offset, abs=1e-6)
        assert along_shapes.z_angle(bracket, -offset) == (angle, riser)
    assert found


BOLTS = "pulley: {{bore: 20, bolts: {{count: {count}, circle: {circle}, hole: {hole}, first_at: 0}}}}\n"


def test_bolt_holes_that_touch_run_into_each_other() -> None:
    with pytest.raises(DesignError, match="neighbouring bolt holes run into each other"):
        design_job(plate_job(extra=BOLTS.format(count=2, circle=40, hole=40)))
    # ⌀50, six holes: 25 mm apart, by hand
    with pytest.raises(DesignError, match="neighbouring bolt holes run into each other"):
        design_job(plate_job(extra=BOLTS.format(count=6, circle=50, hole=25.1)))


def test_stock_left_on_a_wheel_cut_by_plasma() -> None:
    """⌀160 of 4 mm plate by hand: half of ±1.1, a lean of 0.8 + 0.02·4, half a millimetre of clean metal: 1.93."""
    assert stock_mm(design_wheel(plate_job(diameter=160.0))) == pytest.approx(2.0)


def test_how_far_back_after_an_overshoot() -> None:
    """40:1 is 9° a turn, half a turn 4.5°: twice the slack and a quarter turn, rounded up to half turns."""
    table = cast(Any, SimpleNamespace(per_turn=Fraction(9)))
    said = [back_words(table, slack) for slack in (0.0, 1.0, 2.25, 4.0, 6.75, 8.0)]
    assert said == ["half a turn", "half a turn", "half a turn", "1 turn", "1 turn", "1 turn and a half"]


def test_the_usual_patterns() -> None:
    """Common practice, no source."""
    assert USUAL == ((12, 1), (18, 1), (24, 1), (36, 1), (36, 2), (60, 2))


def test_printed_bolt_holes_that_grow_into_each_other() -> None:
    """⌀80, twelve holes: 80·sin 15° = 20.71 mm apart. Holes of 20.5 leave the plate 0.2, printed 0.4 larger nothing."""
    gauge = "gauge: {{hole_allowance: {allowance}}}\n"
    touching = BOLTS.format(count=12, circle=80, hole=20.5) + gauge.format(allowance=0.4)
    with pytest.raises(DesignError, match="hole_allowance: lets neighbouring bolt holes run into each other"):
        design_job(plate_job(extra=touching))
    made = design_job(plate_job(extra=touching.replace("0.4", "0.2"))).gauge
    assert made is not None
    assert {round(2 * hole.radius, 6) for hole in made.holes} == {20.7}


ON_ADAPTER = """\
job: ring
wheel: {{form: plate, teeth: 36, missing: 1, outside_diameter: 160, thickness: 5, bore: 70,
        slot: {{width: 6, depth: 6}}}}
pulley: {{bore: 32, bolts: {{count: 4, circle: 85, hole: 8.4, first_at: 45 deg}},
         as_found: [{{length: 26, diameter: 120}}]}}
adapter: {{length: 10, ring_at: {at}, outside_diameter: 100, pilot: {{diameter: 69.95, length: 2}}}}
"""


@pytest.mark.parametrize(("at", "verdict", "cured"), [("12", "pass", False), ("11.9", "warn", True)])
def test_a_ring_half_a_millimetre_from_its_place_needs_no_other_adapter(at: str, verdict: str, cured: bool) -> None:
    """By hand: 10 of spacer and half of 5 are 12.5 in front of the pulley; half a millimetre is our judgement."""
    made = design_job(parse_job(ON_ADAPTER.format(at=at)))
    [told] = [finding for finding in made.findings if finding.check == Check.RING_POSITION]
    assert told.verdict == verdict
    assert ("would put it right" in told.why) == cured


LARGEST_IN_BORE = [(12.2, "M12"), (16.2, "M16"), (20.2, "M20"), (12.1, "M10")]  # and each a little under the next
LARGEST_IN_BORE += [
    (40.0, "M30"),
    (30.1, "M24"),
    (24.1, "M20"),
    (20.1, "M16"),
    (16.1, "M12"),
    (10.1, "M8"),
    (8.1, "M6"),
]
LARGEST_IN_BORE += [(6.1, "M5"), (9.0, "M8"), (7.0, "M6")]


@pytest.mark.parametrize(("bore", "thread"), LARGEST_IN_BORE)
def test_an_arbours_thread_passes_through_the_bore_with_two_tenths(bore: float, thread: str) -> None:
    text = f"job: a\nwheel: {{form: plate, teeth: 24, missing: 1, outside_diameter: 90, thickness: 4, bore: {bore}, "
    arbour = design_arbour(parse_job(text + "slot: {width: 4, depth: 5}}\n"))
    assert arbour is not None
    assert arbour.thread == thread  # ISO 261, coarse, from memory


@pytest.mark.parametrize(("bore", "stud"), [(13.0, "M12"), (12.9, "M10"), (21.0, "M20"), (7.0, "M6")])
def test_a_stud_has_a_millimetre_of_play_in_the_bore(bore: float, stud: str) -> None:
    """Common practice, no source."""
    text = (
        f"job: a\nwheel: {{form: plate, teeth: 24, missing: 1, outside_diameter: 160, thickness: 4, bore: {bore}, "
        "slot: {width: 4, depth: 5}}\npulley: {bore: 5, bolts: {count: 3, circle: 60, hole: 6.6, first_at: 0}}\n"
        "shop: {rotary_table: {ratio: 40}, cutter: {diameter: 4}}\n"
    )
    said = " ".join(line for setup in chart_of(parse_job(text)).setups for line in setup.lines)
    assert f"A stud {stud} through the bore" in said


def test_an_inch_bolt_goes_into_a_hole_two_tenths_larger() -> None:
    """1/4 in is 6.35 mm, by definition of the inch."""
    assert [_bolt(hole, "in") for hole in (6.35 + 0.2, 6.54, 9.525 + 0.2)] == [6.35, 4.7625, 9.525]


def hole(at_deg: float, radius: float, size: float, top: float, bottom: float, *, back: bool = False) -> CorrectionHole:
    return CorrectionHole(at_deg, radius, size, top, bottom, through=False, point_deg=118.0, from_back=back)


@pytest.mark.parametrize(("sizes", "wall"), [((8.0, 8.0), 4.0), ((4.0, 8.0), 4.0), ((4.0, 5.0), 3.0)])
def test_the_wall_between_correction_holes_is_three_or_half_the_larger_drill(
    sizes: tuple[float, float], wall: float
) -> None:
    """Common practice, no source. Two holes in one line from the axis, as far apart as their radii."""
    job = plate_job(diameter=200.0)
    metal = metal_of(job, design_wheel(job))
    first, second = sizes
    apart = (first + second) / 2 + wall
    for off, holds in ((0.0, True), (-0.01, False), (0.5, True)):
        two = [hole(90, 50, first, 2, -2), hole(90, 50 + apart + off, second, 2, -2)]
        assert walls_hold(metal, two) == holds
        assert walls_hold(metal, two[::-1]) == holds


def test_holes_one_behind_the_other_keep_a_floor_between_their_points() -> None:
    """A drill's point of 118 degrees is 0.3004 of its diameter long; 2 mm of floor: common practice, no source."""
    job = plate_job(diameter=200.0)
    metal = metal_of(job, design_wheel(job))
    point = 4 / math.tan(math.radians(59))
    front = hole(90, 50, 8, 20, 10)
    for floor, holds in ((2.001, True), (1.999, False)):
        back = hole(90, 50, 8, 10 - point - floor - point, -20, back=True)
        assert walls_hold(metal, [front, back]) == holds
        assert walls_hold(metal, [back, front]) == holds
    level = replace(front, z_top=16.0, z_bottom=12.0, through=True, point_deg=None)  # plain ends, exactly 2 between
    assert walls_hold(metal, [level, replace(level, z_top=10.0, z_bottom=4.0)])
    assert walls_hold(metal, [replace(level, z_top=10.0, z_bottom=4.0), level])


@pytest.mark.parametrize(("thickness", "seat"), [(4.0, 3.7), (1.2, 0.9), (1.0, 0.75)])
def test_an_arbours_seat_is_shorter_than_the_wheel_by_three_tenths_or_a_quarter(thickness: float, seat: float) -> None:
    text = f"job: a\nwheel: {{form: plate, teeth: 24, missing: 1, outside_diameter: 90, thickness: {thickness}, "
    arbour = design_arbour(parse_job(text + "bore: 12, slot: {width: 4, depth: 5}}\n"))
    assert arbour is not None
    assert arbour.seat_long == pytest.approx(seat)


ALONG = """\
sensor: {{kind: hall, looks: along, at: 60 deg, air_gap: {gap}{more}, face_diameter: 5, body_diameter: 12,
         nose_length: 25, thread: M12x1}}
"""


@pytest.mark.parametrize(
    ("more", "limit"), [("", 0.2), (", air_gap_range: [0.7, 1.5]", 0.3), (", air_gap_range: [0.2, 1.1]", 0.1)]
)
def test_a_ring_seen_from_beside_may_be_off_by_what_its_gap_may(more: str, limit: float) -> None:
    """The nearer end of the range, or two tenths where the job gives none (our judgement)."""
    made = design_job(parse_job(ON_ADAPTER.format(at=12) + ALONG.format(gap=1.0, more=more)))
    [told] = [finding for finding in made.findings if finding.check == Check.RING_POSITION]
    assert told.limit == pytest.approx(limit)
