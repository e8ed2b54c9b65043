"""Formulas of the trade at figures that are easily worked out by hand, beside their limits."""

from __future__ import annotations

import math

import numpy as np
import pytest

from wheelcad.codes import Check
from wheelcad.trade import drills, heads, ignition, plasma, printing, resonance, rotating_stress, sensing, threads
from wheelcad.trade import unbalance as ub
from wheelcad.trade.assumed import assumed_dip
from wheelcad.trade.excitation import Order
from wheelcad.trade.hall import HallElement, hall_findings, least_slot_fixed_mm
from wheelcad.trade.indexing import common_circle
from wheelcad.trade.loop import Loop
from wheelcad.trade.rows import distinct_rows
from wheelcad.trade.sensing import Target


def test_a_lamp_on_wasted_spark_shows_twice_the_speed() -> None:
    assert (ignition.lamp_rpm(900.0, True), ignition.lamp_rpm(900.0, False)) == (1800.0, 900.0)


def test_teeth_and_rim_past_a_sensor() -> None:
    """A wheel of 100 mm at ten turns a second."""
    assert sensing.tooth_rate_hz(36, 600) == 360.0
    assert sensing.surface_speed_m_s(100, 600) == pytest.approx(math.pi)
    assert sensing.widest_tooth_mm(0.5, 0.25) == pytest.approx(0.5 + 8 * 0.25)
    for part, gap in ((0.0, 1.0), (1.0, 0.0)):
        with pytest.raises(ValueError, match="greater than nothing"):
            sensing.widest_tooth_mm(part, gap)


@pytest.mark.parametrize(("start", "end", "box"), [
    (10, 80, "ends"), (-10, 80, (None, None, 10.0, None)), (10, 170, (None, None, None, 10.0)),
    (100, 350, (-10.0, -10.0, None, None)), (80, 10, "ends"), (170, 10, (None, None, None, 10.0)),
])  # fmt: skip
def test_an_arcs_box_holds_the_quarter_points_it_runs_through(start: float, end: float, box: object) -> None:
    """Of radius 10 about (3, -2); anticlockwise where the angle rises."""
    ends = np.array([[10 * math.cos(math.radians(a)) + 3, 10 * math.sin(math.radians(a)) - 2] for a in (start, end)])
    arc, *_ = Loop([(*ends[0], math.tan(math.radians(end - start) / 4)), (*ends[1], 0.0)]).edges()
    wanted = [*ends.min(axis=0), *ends.max(axis=0)]
    if isinstance(box, tuple):
        wanted = [w if b is None else b + (3, -2)[k % 2] for k, (w, b) in enumerate(zip(wanted, box, strict=True))]
    assert arc.box == pytest.approx(wanted)


def test_how_far_thin_plate_leans() -> None:
    """ISO 9013: 0.4 + 0.01 a in range 3."""
    assert plasma.perpendicularity_mm(0.5) == pytest.approx(0.405)
    with pytest.raises(ValueError, match="thickness"):
        plasma.perpendicularity_mm(0.0)


def test_a_screw_of_four_and_a_half() -> None:
    """M4.5 × 0.75, 6g in 6H: 3.901 to 4.131 for the pitch diameters. ISO 965-1, from memory."""
    at = threads.limits(threads.Thread(4.5, 0.75))
    assert (at.d2_min, at.d2_nut_max) == pytest.approx((3.901, 4.131))


def test_a_soft_block_wants_more_thread_than_the_rule() -> None:
    """One diameter in steel: of half the strength the thread in the block would strip before the bolt breaks."""
    m8 = threads.thread("M8")
    wanted = threads.engagement_mm(m8, 800.0, 300.0)
    assert threads.block_engagement_mm(m8, "mild-steel", 300.0) == pytest.approx(wanted)
    assert wanted > 8.0
    assert threads.block_engagement_mm(m8, "mild-steel", 3000.0) == 8.0


def test_rows_that_no_number_holds_are_refused() -> None:
    """Two values in each of 62 columns are 2^62 rows."""
    two = np.array([[0] * 63, [1] * 63, [1] * 62 + [0], [0] * 63])
    rows, which = distinct_rows(two[:, 1:])
    assert rows.tolist() == np.unique(two[:, 1:], axis=0).tolist()
    assert rows[which].tolist() == two[:, 1:].tolist()
    with pytest.raises(ValueError, match="too many"):
        distinct_rows(two)
    rows, which = distinct_rows(np.ones((2, 70)))
    assert (len(rows), which.tolist()) == (1, [0, 0])


def test_washers_are_as_wide_and_thick_as_their_standard_says() -> None:
    """ISO 7089, from memory: M3 7, M4 9, M5 10, M8 16, M10 20, M16 30, M20 37 across; sizes without a row are a fifth
    of the bolt thick, a quarter over slots (common practice, no source)."""
    across = {3: 7, 4: 9, 5: 10, 8: 16, 10: 20, 16: 30, 20: 37, 17: 34, 21: 42}
    assert {d: heads.washer_across_mm(d) for d in across} == across
    assert [heads.washer_thickness_mm(4, over) for over in (False, True)] == pytest.approx([0.8, 1.0])


def test_a_drill_nearly_of_a_set_is_not_in_it() -> None:
    assert [drills.in_plain_set(size) for size in (8.0, 7.96, 8.04)] == [True, False, False]


def test_the_coarse_thread_of_22_and_threads_in_iron() -> None:
    """ISO 261: M22 × 2.5. One and a half diameters in cast iron, however strong; from memory."""
    assert threads.thread("M22").pitch_mm == 2.5
    assert threads.block_engagement_mm(threads.thread("M8"), "grey-iron", 3000.0) == 12.0


def test_a_small_bed_and_a_small_hole() -> None:
    """8 mm stay free on either side of a bed; printed holes are drawn 0.2 wider."""
    assert printing.usable_bed((220.0, 15.0)) == (204.0, 0.0)
    assert printing.printed_hole_mm(0.5) == pytest.approx(0.7)


def test_a_rim_at_its_speed() -> None:
    """⌀200 at ten turns a second; 100 ft/s, the old rule for cast-iron rims, is 30.48 m/s."""
    assert rotating_stress.omega(600.0) == pytest.approx(20 * math.pi, rel=1e-9)
    assert rotating_stress.rim_speed_m_s(200.0, 600.0) == pytest.approx(2 * math.pi, rel=1e-9)
    assert rotating_stress.rpm_at_rim_speed(200.0) == pytest.approx(30.48 / (0.2 * math.pi) * 60, rel=1e-9)


def test_stress_in_corners_and_at_holes() -> None:
    """Lamé: a ring of 10 to 20 pulled by 3 has 8 at its bore and 5 at its rim; Kirsch; our fits at a corner of a
    quarter of the tooth or keyway."""
    assert rotating_stress.rim_pull(10.0, 20.0, 10.0, 3.0) == pytest.approx((0.0, 8.0))
    assert rotating_stress.rim_pull(10.0, 20.0, 20.0, 3.0) == pytest.approx((3.0, 5.0))
    assert rotating_stress.hole_peak_mpa(rotating_stress.DiscStress(20.0, 100.0)) == pytest.approx(280.0)
    assert rotating_stress.corner_peak_mpa(100.0, 50.0, 4.0, 1.0) == pytest.approx(226.0)
    assert rotating_stress.corner_peak_mpa(100.0, 50.0, 0.4, 0.1) == pytest.approx(226.0)
    assert rotating_stress.keyway_peak_mpa(100.0, 1.0, 0.25) == pytest.approx(380.0)
    assert rotating_stress.keyway_peak_mpa(100.0, 0.0, 0.5) == pytest.approx(100.0)
    for bad in ((0.0, 1.0), (1.0, 0.0)):
        with pytest.raises(ValueError, match="greater than nothing"):
            rotating_stress.corner_peak_mpa(100.0, 50.0, *bad)
    with pytest.raises(ValueError, match="sharp"):
        rotating_stress.keyway_peak_mpa(100.0, 1.0, 0.0)


@pytest.mark.parametrize(
    ("share", "pull", "root"), [(0.5, 0.039144, 0.078289), (1.0, 0.078289, 0.078289), (0.0, 0.0, 0.0)]
)
def test_the_pull_of_teeth_by_hand(share: float, pull: float, root: float) -> None:
    """At 100 rad/s, steel of 7800 from 90 to 100: 7800 · 10⁴ · (100³ - 90³)/3/90 · 10⁻¹² MPa, as much of it as is
    tooth."""
    disc = rotating_stress.ToothedDisc(20.0, 90.0, 100.0, share, 7800.0, 0.3, 3000 / math.pi)
    assert (disc.pull_mpa, disc.root_mpa) == pytest.approx((pull, root), rel=1e-4)
    assert disc.at(90.0).radial_mpa == pytest.approx(pull, rel=1e-4, abs=1e-9)  # the ring's own is nothing at its edge
    for bad in ((20.0, 90.0, 100.0, 1.5), (20.0, 90.0, 90.0, 0.5), (90.0, 90.0, 100.0, 0.5), (0.0, 90.0, 100.0, 0.5)):
        with pytest.raises(ValueError, match="toothed disc"):
            rotating_stress.ToothedDisc(*bad, 7800.0, 0.3, 1000.0)
    assert rotating_stress.ToothedDisc(0.5, 90.0, 100.0, 0.5, 7800.0, 0.3, 1000.0)


def test_what_shows_on_knife_edges_and_on_an_indicator() -> None:
    """A rolling arm of a hundredth: 20 g·mm of 2 kg (common practice, no source). Half a gram a tenth off has 0.025."""
    assert ub.knife_edge_visible_g_mm(2.0) == pytest.approx(20.0)
    assert ub.runout_for_unbalance_mm(0.025, 0.5) == pytest.approx(0.1)
    assert ub.runout_for_unbalance_mm(0.0, 0.5) == 0.0
    assert ub.annular_sector(0.0, 3.0, 180.0, 0.5, 0.5)[1] == pytest.approx(4 / math.pi)  # half a disc: 4r/3π
    assert dict(ub.GRADES) == {"G2.5": 2.5, "G6.3": 6.3, "G16": 16.0, "G40": 40.0}  # ISO 21940-11


@pytest.mark.parametrize(("element", "least"), [
    ("hall-fixed", (2.0, 2.0, 2.0, 3.0, 4.0)), ("hall-selfsetting", (2.0, 2.0, 2.0, 3.0, 4.0)),
    ("hall-differential", (2.0, 2.0, 2.0, 3.0, None)), ("vane", (5.0, 5.0, 5.0, 1.0, 6.0)),
])  # fmt: skip
def test_what_hall_parts_want_of_teeth(element: HallElement, least: tuple[float | None, ...]) -> None:
    """Tooth, slot, depth and thickness of a gear-tooth sensor's data sheet, of a vane common practice, no source; and
    of a sensing part of 4: teeth as wide, or wider by half before a vane's magnet."""
    found = {f.check: f.limit for f in hall_findings(element, Target("wheel", 9.0, 5.0, 8.0, 6.0, 4.0))}
    kinds = (Check.TOOTH_TOP, Check.SLOT_WIDTH, Check.SLOT_DEPTH, Check.RING_THICKNESS, Check.SENSING_PART)
    assert tuple(found.get(kind) for kind in kinds) == least


def test_a_slot_for_one_level_and_a_rim_that_is_fast_enough() -> None:
    """A level a quarter off: 2·√(1.25² - 1). 15 in/s of pickup makers' guides."""
    assert least_slot_fixed_mm(1.0, 1.0) == pytest.approx(1.5)
    seen = Target("wheel", 9.0, 5.0, 8.0, 6.0, 4.0, rim_diameter_mm=100.0, slowest_rpm=100.0)
    limits = {f.check: f.limit for f in sensing.reluctance_findings(seen)}
    assert limits[Check.RIM_SPEED_CRANKING] == pytest.approx(0.381)


def test_thin_plate_has_narrow_slots_and_none_has_no_tolerance() -> None:
    assert plasma.narrowest_slot_mm(0.04) == pytest.approx(0.06)
    assert plasma.size_tolerance_mm(5.0, 0.0) is None
    assert plasma.THERMAL_CUT == "ISO 9013-442"  # what a home table keeps: our judgement
    assert plasma.GOOD_HOLE_PER_THICKNESS * 4 == 8  # plasma cutting guides, from memory


def test_one_outline_drawn_twice_is_one() -> None:
    one, same, other = (Loop.circle(0.0, 0.0, radius) for radius in (3.0, 3.0, 3.5))
    assert one == same
    assert one != other
    assert one != "a circle"


def test_plate_cut_at_the_steps_of_its_table() -> None:
    """ISO 9013 class 2, thin plate: 0.6 under 35 mm, 0.7 from there to 315, then 0.8."""
    assert [plasma.size_tolerance_mm(size, 1.0) for size in (2.9, 3.0, 34.9, 35.0, 314.9, 315.0)] == [
        0.5, 0.6, 0.6, 0.7, 0.7, 0.8,
    ]  # fmt: skip


def test_many_speeds_shake_as_each_does() -> None:
    """0.5 · 0.8 of firing, and inertia's 0.3 with the square of the speed; never more than all."""
    order = Order(2.0, 0.5, falls=0.8, inertia=0.3)
    assert order.levels(np.array([0.0, 0.5, 1.0])).tolist() == pytest.approx([0.4, 0.475, 0.7])
    assert Order(2.0, 0.9, inertia=0.3).levels(np.array([0.1, 1.0])).tolist() == pytest.approx([0.903, 1.0])


def test_a_mass_on_a_spring_shaken_slowly_at_its_own_and_at_twice_its_frequency() -> None:
    """1/(1 - r² + 2iζr)."""
    assert resonance.response(0.0) == 1.0
    assert resonance.response(1.0, 0.02) == pytest.approx(-25j)
    assert resonance.response(2.0, 0.5) == pytest.approx(1 / (-3 + 2j))
    assert resonance.static_swing_mm(0.5, 10.0) == pytest.approx(10 / math.pi**2)
    with pytest.raises(ValueError, match="no limit"):
        resonance.response(1.0, 0.0)


def test_how_far_few_cylinders_slow_a_starter_down() -> None:
    """Common practice, no source."""
    assert [assumed_dip(count) for count in (1, 4, 5, 8)] == [0.5, 0.5, 0.55, 0.55]


def test_threads_by_their_names_and_strengths_by_their_ratio() -> None:
    """A pitch may be just less than half the diameter; how long a thread must be depends on which metal is weaker."""
    assert [threads.nominal_mm(name) for name in ("M12", "M12x1.5")] == [12.0, 12.0]
    assert threads.thread("M8x3").pitch_mm == 3.0
    with pytest.raises(ValueError, match="pitch"):
        threads.thread("M8x4")
    m8 = threads.thread("M8")
    assert threads.engagement_mm(m8, 0.5, 0.2) == pytest.approx(threads.engagement_mm(m8, 1000.0, 400.0))
    assert threads.engagement_mm(m8, 0.5, 0.5) == pytest.approx(threads.engagement_mm(m8))


@pytest.mark.parametrize(("angles", "circle"), [
    ([9.0], 15), ([3.0], 15), ([3.0, 2.0], 18), ([7.0], 18), ([0.45], 20), ([0.45, 3.0], None), ([0.11], None),
])  # fmt: skip
def test_the_smallest_circle_that_every_angle_has_a_hole_on(angles: list[float], circle: int | None) -> None:
    """A worm of 40: 9 degrees are a turn, 3 a third, 2 two ninths, 7 seven ninths, 0.45 a twentieth of one."""
    assert common_circle(angles, 40, (20, 18, 15, 18)) == circle
