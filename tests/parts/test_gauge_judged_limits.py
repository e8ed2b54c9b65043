"""What a gauge is held by, covers and is told of, at the limits of those rules; by hand."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from tests.parts.gauge_jobs import job_of, turned
from wheelcad.errors import DesignError, Faults
from wheelcad.parts.gauge.cover import Mark, PrintHole, find_cover, hub_radius
from wheelcad.parts.gauge.design import _holes, _located
from wheelcad.parts.gauge.labels import Engraving
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.parts.gauge.mounting import _bolt, judge_mounting
from wheelcad.parts.gauge.seat import Register, Seat
from wheelcad.parts.gauge.verdicts import _writing, covers_that_fits
from wheelcad.parts.wheel.design import WheelDesign, design_wheel
from wheelcad.trade.loop import Loop


def of(name: str, **given: Any) -> Any:
    """A number of the gauge's, from no more than it asks for."""
    return getattr(GaugeDesign, name).fget(SimpleNamespace(**given))


@pytest.mark.parametrize("sixteenths", range(3, 11))
def test_an_inch_bolt_is_taken_where_the_hole_is_two_tenths_larger(sixteenths: int) -> None:
    """Every sixteenth from 3/16 to 5/8 in; a hole too tight for it is for the next smaller, or an M4."""
    bolt = sixteenths * 25.4 / 16
    assert _bolt(bolt + 0.21, "in") == pytest.approx(bolt)
    assert _bolt(bolt + 0.19, "in") == pytest.approx(bolt - 25.4 / 16 if sixteenths > 3 else 4.0)


def test_a_quarter_inch_bolt_goes_through_a_hole_of_just_two_tenths_more() -> None:
    assert _bolt(6.55, "in") == pytest.approx(6.35)


def held(bolts: int, allowance: float, register: Register) -> Any:
    """The hold of a gauge with bolts of 6 in holes of 6.6 on ⌀50, its marks at 47."""
    circle = SimpleNamespace(count=bolts, circle=50.0, hole=6.6)
    wheel, shop = SimpleNamespace(teeth=24, missing=1), SimpleNamespace(rotary_table=None)
    job: Any = SimpleNamespace(bolts=circle, units="mm", wheel=wheel, shop=shop)
    return judge_mounting(job, allowance, register, 47.0)


def test_pins_go_into_two_opposite_holes_however_many_there_are() -> None:
    """Two pins with 0.2 of play at 25: shift t and turn u (at the pins) obey t² + u² ≤ 0.1²; a mark is off by t + u
    times 47/25, at most 0.1·√(1 + (47/25)²)."""
    hold = held(3, 0.2, Register("bolts"))
    assert hold.pinned.worst_deg == pytest.approx(math.degrees(0.1 * math.hypot(1.0, 47 / 25) / 47))
    assert hold.bolted.turn_deg == pytest.approx(math.degrees((0.2 + 2 * 0.6) / 2 / 25))


def test_holes_printed_undersize_leave_pins_no_play() -> None:
    hold = held(3, -0.1, Register("shoulder", 70.0, 70.2))
    assert (hold.bolt_mm, hold.pin_mm) == (6.0, 6.6)
    assert hold.pinned.turn_deg == pytest.approx(0.0, abs=1e-12)
    assert hold.bolted.turn_deg == pytest.approx(math.degrees(0.6 / 25))


@pytest.mark.parametrize(
    ("count", "circle", "runs_in"), [(2, 7.0, True), (2, 7.01, False), (6, 13.9, True), (1, 5.0, False)]
)
def test_printed_holes_that_just_touch_run_into_each_other(count: int, circle: float, runs_in: bool) -> None:
    """6.8 and 0.2 of allowance are 7: so far apart two stand on ⌀7, and six on ⌀14."""
    bolts = SimpleNamespace(count=count, circle=circle, hole=6.8, first_at=0.0)
    faults, job = Faults(), SimpleNamespace(bolts=bolts, sense=1)
    assert len(_holes(job, 0.2, faults)) == count  # type: ignore[arg-type]
    if runs_in:
        with pytest.raises(DesignError, match="run into each other"):
            faults.raise_if_any()
    faults = Faults() if runs_in else faults
    faults.raise_if_any()


@pytest.mark.parametrize(("count", "by", "found"), [
    (2, "bolts", None), (1, "bolts", "one bolt"), (0, "bolts", "no bolts"), (1, "shoulder", None), (0, "bore", None),
])  # fmt: skip
def test_two_bolts_or_a_turned_face_centre_a_gauge(count: int, by: str, found: str | None) -> None:
    faults = Faults()
    _located(count, Seat(2.0, 2.0, (), Register(by), 30.0), faults)
    if found is None:
        faults.raise_if_any()
    else:
        with pytest.raises(DesignError) as caught:
            faults.raise_if_any()
        assert found in str(caught.value.faults[0].found)


# what it covers


def wheel_of(missing: int) -> WheelDesign:
    return design_wheel(job_of(**turned(wheel={**turned()["wheel"], "missing": missing})))


@pytest.mark.parametrize(("missing", "asked", "made", "marks"), [
    (2, 10.0, 45.0, 2),  # two teeth missing: the next teeth's middles are a pitch and a half from the gap's
    (2, 45.1, 75.0, 4),
    (0, 15.1, 45.0, 3),  # none missing: half a pitch, and on
    (0, 315.0, 315.0, 21),
    (0, 345.0, 360.0, 24),  # but for one tooth it is the whole circle
])  # fmt: skip
def test_a_part_circle_ends_in_a_tooths_middle_whatever_the_gap(
    missing: int, asked: float, made: float, marks: int
) -> None:
    cover = find_cover(asked, wheel_of(missing), 20.0, Faults())
    assert (cover.covers_deg, len(cover.marks)) == (pytest.approx(made), marks)


def test_a_part_circle_with_one_slot_tells_nothing() -> None:
    faults = Faults()
    find_cover(10.0, wheel_of(0), 20.0, faults)
    with pytest.raises(DesignError) as caught:
        faults.raise_if_any()
    assert str(caught.value.faults[0].allowed) == "more than 15 deg"


@pytest.mark.parametrize(("openings", "holes", "shoulder", "hub"), [
    ((), [], 0.0, 16.0),  # 5 of wall and 11 of room about nothing
    ((None, None), [], 0.0, 16.0),
    ((), [PrintHole(6.0, 8.0, 3.0), PrintHole(0.0, 4.0, 2.0)], 0.0, 29.0),  # the outer hole reaches to 13
    ((), [], 16.52, 16.0),  # half a millimetre inside the skirt is enough
    ((22.0,), [], 16.5, 16.0),  # 11 and 5 are just half a millimetre inside it
    ((40.0,), [], 20.5, 25.0),  # over it: what the opening asks for is more than 4 of skirt
])  # fmt: skip
def test_what_a_hub_has_round_it(
    openings: tuple[float | None, ...], holes: list[PrintHole], shoulder: float, hub: float
) -> None:
    wheel: Any = SimpleNamespace(floor_radius_mm=44.0)
    assert hub_radius(openings, wheel, holes, shoulder) == pytest.approx(hub, abs=1e-9)


# what is told of it


@pytest.mark.parametrize(
    ("finger", "front", "z"), [(0.9, 5.0, 1.55), (3.0, 5.0, 0.5), (0.0, 10.0, 2.4), (0.0, 3.2, 2.3)]
)
def test_marks_are_measured_low_on_the_ring_or_half_way_up_the_fingers(finger: float, front: float, z: float) -> None:
    """The ring's face at 2: four tenths in front of it, or a quarter of a thin gauge's height."""
    body = SimpleNamespace(style=SimpleNamespace(finger_mm=finger), z_front=front)
    assert of("z_marks", body=body, seat=SimpleNamespace(z_ring=2.0)) == pytest.approx(z)


def test_a_gauges_holes_are_given_by_their_diameter() -> None:
    assert of("hole_diameter_mm", holes=(PrintHole(0, 25, 3.4), PrintHole(0, -25, 3.3))) == pytest.approx(6.8)
    assert of("hole_diameter_mm", holes=()) is None


def test_a_mark_has_its_slots_two_edges_but_for_those_the_gap_took() -> None:
    """A slot of 5 degrees; the second is the last before the gap, the first the next after it."""
    cover = SimpleNamespace(marks=(Mark(1, 1.0, gap_before=True), Mark(2, 40.0, gap_after=True)))
    slot = SimpleNamespace(half_deg=lambda radius: 2.5 if radius == 47.0 else math.nan)
    given: Any = SimpleNamespace(body=SimpleNamespace(style=SimpleNamespace(slot=slot)), mark_radius=47.0, cover=cover)
    assert GaugeDesign.mark_edges_deg(given).ravel().tolist() == pytest.approx([358.5, 3.5, 37.5, 42.5])
    for style, edges in (("outline", [[False, True], [True, False]]), ("comb", [[True, True]] * 2)):
        found = GaugeDesign.mark_edges_cut(SimpleNamespace(style=style, cover=cover))  # type: ignore[arg-type]
        assert found.shape == (2, 2)
        assert found.tolist() == edges


@pytest.mark.parametrize(("written", "wanted", "verdict"), [(5, 25, "pass"), (4, 24, "warn"), (24, 24, None)])
def test_a_fifth_of_the_slots_numbered_is_enough(written: int, wanted: int, verdict: str | None) -> None:
    engraving = Engraving(numbered=list(range(written)))
    design: Any = SimpleNamespace(
        body=SimpleNamespace(engraving=engraving), cover=SimpleNamespace(marks=range(wanted)), nozzle_mm=0.4
    )
    said = [f.verdict for f in _writing(design) if f.measured == f"{written} of {wanted}"]
    assert said == ([] if verdict is None else [verdict])


@pytest.mark.parametrize(("bed", "most"), [((111.0, 61.0), 240.0), ((98.5, 61.0), 180.0), ((30.0, 30.0), 0.0)])
def test_the_largest_part_circle_that_would_fit_lies_about_the_gap(bed: tuple[float, float], most: float) -> None:
    """A bar 40 wide from 80 out at the gap, at 30 degrees, to 50 beyond the axis; the bed has 95 x 45, or 82.5 x 45.
    120 degrees to each side cut it off at 20·tan 30° = 11.5 beyond the axis: 91.5 long; 135 at 20: 100. 90 degrees
    to each side leave the hub's 2 beyond the axis, 105 leave 20·tan 15° = 5.4."""
    a = math.radians(30.0)
    rows = [(v * math.cos(a) + u * math.sin(a), -v * math.sin(a) + u * math.cos(a))
            for v, u in ((-20, -50), (20, -50), (20, 80), (-20, 80))]  # fmt: skip
    cover = SimpleNamespace(from_deg=-150.0, to_deg=210.0, hub_radius=2.0)
    body = SimpleNamespace(
        outline=Loop.polygon(np.array(rows)), style=SimpleNamespace(slot=SimpleNamespace(rim_radius=50))
    )
    design: Any = SimpleNamespace(body=body, cover=cover, pitch_deg=15.0, sense=1)
    assert covers_that_fits(design, bed) == pytest.approx(most)
