"""Slots by hand, the dividing paper at 1:1, and the drawings of arbour and cam target."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from tests.job.everything import CAM
from wheelcad.codes import Check
from wheelcad.drawing.layout import overlaps
from wheelcad.drawing.model import Linear
from wheelcad.drawing.pdf import write_pdf
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.packet.hand_work import hand
from wheelcad.packet.lathe import is_channel, plunges, turning_steps
from wheelcad.packet.sheets import drawing_sheets
from wheelcad.parts.arbour.design import design_arbour
from wheelcad.parts.chart import chart_of
from wheelcad.parts.common.sheets import laid_out
from wheelcad.parts.design import design_job
from wheelcad.parts.hand.design import design_hand, has_paper
from wheelcad.parts.hand.sheet import dividing_pages
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.trade import threads
from wheelcad.words import Words, unwritten

HAND = (
    "job: hand\nengine: {turns: clockwise, max_speed: 6000}\n"
    "wheel: {{form: plate, teeth: {teeth}, missing: 1, outside_diameter: {across}, thickness: 4, bore: 30, "
    "slot: {{width: {width}, depth: 8}}}}\nshop: {{slots_by: hand}}\n"
)
SMALL = (
    "job: small\nengine: {turns: clockwise, max_speed: 6000}\n"
    "wheel: {form: plate, teeth: 24, missing: 1, outside_diameter: 58, thickness: 4, bore: 12, "
    "slot: {width: 3, depth: 4}}\nshop: {rotary_table: {ratio: 40}, cutter: {diameter: 3}}\n"
)


def by_hand(teeth: int = 24, across: float = 150, width: float = 8) -> Job:
    text = HAND.replace("engine: {", "engine: {{").replace("6000}", "6000}}")
    return parse_job(text.format(teeth=teeth, across=across, width=width), "hand.yaml")


def test_chords_lead_from_punch_to_punch_round_the_wheel() -> None:
    """Stepping the chords as a person does, on paper with compasses: each lands on its slot's own angle."""
    job = by_hand()
    plan = design_hand(job, design_wheel(job))
    assert plan is not None
    assert plan.circle_mm == 75 - 8 + 4
    x, y = (plan.circle_mm * f(math.radians(plan.punches[0].at_deg)) for f in (math.sin, math.cos))
    first = (x, y)
    for punch in plan.punches[1:]:
        assert punch.chord_mm is not None
        step = 2 * math.asin(punch.chord_mm / 2 / plan.circle_mm)
        x, y = x * math.cos(step) + y * math.sin(step), y * math.cos(step) - x * math.sin(step)
        assert math.degrees(math.atan2(x, y)) % 360 == pytest.approx(punch.at_deg % 360, abs=1e-9)
        assert math.dist((x, y), first) == pytest.approx(punch.check_mm, abs=1e-9)


def test_how_far_hand_work_may_be_off_by_hand() -> None:
    """At 71 mm: paper, punch, drill and file, ±0.2, 0.2, 0.15 and 0.15, are 0.3536 mm together; stepped with dividers
    set to ±0.1, twenty-four times round, 0.4899 and without the paper 0.5701. Our judgement; a tenth of 15 degrees
    between neighbours."""
    job = by_hand()
    plan = design_hand(job, design_wheel(job))
    assert plan is not None
    assert (plan.spread_deg, plan.stepped_deg) == pytest.approx((0.28532, 0.46003), rel=1e-3)
    spacing = next(f for f in plan.findings if f.check == Check.HAND_SPACING)
    assert (spacing.measured, spacing.limit) == (pytest.approx(0.28532 * math.sqrt(2), rel=1e-3), pytest.approx(1.5))


def test_wheels_up_to_three_hundred_have_a_dividing_paper() -> None:
    assert [has_paper(by_hand(across=across)) for across in (300, 300.1)] == [True, False]


def test_what_the_hand_gives_is_judged_against_the_pitch() -> None:
    verdicts = {}
    for teeth, across, width in ((24, 150, 8), (60, 100, 2.5)):
        found = design_job(by_hand(teeth, across, width)).findings
        verdicts[teeth] = next(f for f in found if f.check == Check.HAND_SPACING).verdict
    assert verdicts == {24: "pass", 60: "warn"}


@pytest.mark.parametrize(
    ("slot", "tooth_mm", "sensor", "verdict"),
    [
        # ⌀150, 24 positions: 19.63 mm a pitch at the rim. By hand √2·√(.2² + .2² + .15² + .15²) = 0.5 mm narrower
        (8.0, 11.6, "kind: hall, face_diameter: 6", "pass"),
        (17.2, 2.4, "kind: hall, face_diameter: 1.5", "warn"),  # 2.4 drawn, 1.9 made: a Hall part wants 2
        (8.0, 11.6, "kind: reluctance, face_diameter: 2.6", "warn"),  # slots of 7.5: three poles are 7.8
        (8.0, 11.6, "kind: reluctance, face_diameter: 2.4", "pass"),
        (8.0, 11.6, "kind: reluctance", "pass"),  # without its pole's size the slots' depth is all that is asked
    ],
)
def test_hand_work_is_judged_by_the_sensors_own_rules(slot: float, tooth_mm: float, sensor: str, verdict: str) -> None:
    job = parse_job(
        "job: hand\nengine: {turns: clockwise, max_speed: 6000}\n"
        "wheel: {form: plate, teeth: 24, missing: 1, outside_diameter: 150, thickness: 4, bore: 30, "
        f"slot: {{width: {slot}, {'depth: 4, floor: flat, corner_radius: 1' if slot > 10 else 'depth: 20'}}}}}\n"
        f"sensor: {{{sensor}, looks: in, at: 60 deg, air_gap: 0.8, body_diameter: 12, nose_length: 20}}\n"
        "shop: {slots_by: hand}\n",
        "hand.yaml",
    )
    found = [f for f in design_job(job).findings if f.check == Check.HAND_TEETH]
    assert [f.verdict for f in found] == [verdict]
    assert tooth_mm == pytest.approx(math.pi * 150 / 24 - slot, abs=0.1)


def test_no_table_is_asked_for_and_the_page_says_each_step() -> None:
    design = design_job(by_hand())
    assert design.indexing is None
    assert not any("rotary_table" in line for line in design.left_out)
    pages = list(hand(design))
    said = str(Words("mm").through([page.blocks for page in pages]))
    assert not unwritten(said)
    for word in ("scribe", "drill ⌀8 mm", "0.5 mm inside both scribed sides", "File", "67 mm from the axis"):
        assert word in said
    assert not list(hand(design_job(parse_job(SMALL, "small.yaml"))))


def test_the_dividing_paper_is_at_full_size_on_a_home_printers_sheet(tmp_path: Path) -> None:
    job = by_hand()
    wheel = design_wheel(job)
    plan = design_hand(job, wheel)
    assert plan is not None
    pages = dividing_pages(job, wheel, plan)
    assert [(page.paper.name, page.scale) for page in pages] == [("A4", 1.0)]
    write_pdf(pages, tmp_path / "paper.pdf")
    for across in (220, 300):
        large = by_hand(across=across)
        wheel = design_wheel(large)
        plan = design_hand(large, wheel)
        assert plan is not None
        pages = dividing_pages(large, wheel, plan)  # a quarter a sheet
        assert [(page.paper.name, page.scale) for page in pages] == [("A4", 1.0)] * 4
        assert not overlaps(pages)


def test_arbour_and_cam_target_are_drawn_on_a4_with_nothing_on_top_of_anything() -> None:
    sheets = drawing_sheets(design_job(parse_job(SMALL + CAM, "small.yaml")))
    for name in ("arbour", "cam"):
        pages = laid_out(sheets[name])
        assert not overlaps(pages)
        assert [page.paper.name for page in pages] == ["A4"], name
    sizes = [e for e in sheets["arbour"].views[0].entities if isinstance(e, Linear)]
    seat = next(e for e in sizes if e.fit == "h6")
    assert (seat.b[1] - seat.a[1], seat.upper, seat.lower) == (12, 0.0, -0.011)


def test_the_channel_behind_a_thin_ring_is_grooved(six: Job) -> None:
    blank = design_job(six).blank
    assert blank is not None
    steps = turning_steps(blank)
    assert [step.grooved for step in steps] == [False, False, True]
    assert [is_channel(blank.lands, k) for k in range(len(blank.lands))] == [False, False, True, False]
    # 14.8 wide, a blade of 3, 0.2 left on each flank: the first plunge and 11.4 in steps of 2.4
    assert plunges(14.8) == 1 + math.ceil(11.4 / 2.4)
    assert steps[2].passes == plunges(14.8)


def test_a_lap_of_every_other_slot_says_its_two_pitches(six: Job) -> None:
    laps = {lap.key: Words("mm").text(lap.do) for lap in chart_of(six).laps}
    assert "turn on by 1 turn + 1.00°, or 1 turn and 2 holes (a pitch)" in laps["scratch"]
    assert "turn on by 2 turns + 2.00°, or 2 turns and 4 holes (2 pitches)" in laps["depth-1"]


@pytest.mark.parametrize(
    ("bore", "across", "thread", "shoulder", "washer", "over_all", "stand_off"),
    [
        # shoulder 2 x bore or bore + 8, 6 within the slot floors; thread at least 0.2 under the bore; by hand
        (12, 120, "M10", 24, 20, 60 + 10 + 3.7 + 14 + 8, 70),
        (6, 60, "M5", 14, 14, 60 + 10 + 3.7 + 10 + 8, 70),
        (16, 50, "M12", 32, 24, 60 + 10 + 3.7 + 15.6 + 8, 70),
        (30, 160, "M24", 60, 38, 60 + 15 + 3.7 + 25.2 + 8, 75),
        (25, 62, "M24", 46, 33, 60 + 12.5 + 3.7 + 25.2 + 8, 72.5),
    ],
)
def test_an_arbour_by_hand(
    bore: float, across: float, thread: str, shoulder: float, washer: float, over_all: float, stand_off: float
) -> None:
    made = design_arbour(
        parse_job(
            f"job: a\nwheel: {{form: plate, teeth: 12, missing: 1, outside_diameter: {across}, thickness: 4, "
            f"bore: {bore}, slot: {{width: 5, depth: 5}}}}\n"
        )
    )
    assert made is not None
    assert (made.thread, made.shoulder_mm, made.washer_mm) == (thread, shoulder, washer)
    assert (made.long, made.stand_off) == pytest.approx((over_all, stand_off))
    root = max(4.0, 0.75 * made.thread_mm)  # three quarters of the thread: clear of every coarse thread's root
    assert made.tail_mm == root < threads.thread(thread).minor_diameter_mm
    assert made.shank_mm == max(10, min(bore, 20))
