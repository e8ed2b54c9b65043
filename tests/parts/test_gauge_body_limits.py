"""The gauge's plate at the limits of its rules: opening, holes, ease, what a style refuses, where one writes.

Stand-ins carry only what a rule asks for; every expectation is a sum of lengths worked out by hand.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import shapely

from tests.parts.gauge_files import gauge_of
from tests.parts.gauge_jobs import job_of, turned
from wheelcad.codes import Check
from wheelcad.errors import DesignError, Faults
from wheelcad.parts.gauge import body
from wheelcad.parts.gauge.cover import Cover, PrintHole
from wheelcad.parts.gauge.joints import NO_JOINTS, Joints
from wheelcad.parts.gauge.labels import Engraving, Front, Mark
from wheelcad.parts.gauge.seat import Cavity, Register, Seat
from wheelcad.parts.wheel.outline import SlotShape
from wheelcad.trade.loop import Loop
from wheelcad.words import Words

BOLTS = Register("bolts")
WHOLE = Cover(360.0, -180.0, 180.0, None, (), 43.0)
HOLES = [PrintHole(15.0, 20.0, 4.0), PrintHole(0.0, -20.0, 3.0)]  # from 21 to 29 and from 17 to 23


def seat(register: Register = BOLTS, sight: float = 40.0, *cavities: Cavity) -> Seat:
    return Seat(2.0, 2.0, cavities, register, sight)


@pytest.mark.parametrize(("recess", "bore", "plate_bore", "radius"), [
    (None, 20.0, None, 10.5),
    (27.0, 20.0, None, 14.0),  # the nearest hole is 17 from the axis and 3 of web are left: just that
    (27.2, 20.0, None, 10.5),
    (27.2, 20.0, 24.0, 12.5),  # the largest of those that can be shown whole
    (None, 40.0, 50.0, 14.0),  # none can
    (None, 5.0, None, 3.0),
    (None, 4.9, None, 0.0),
    (None, None, None, 0.0),
])  # fmt: skip
def test_the_opening_leaves_three_millimetres_of_web_to_the_nearest_hole(
    recess: float | None, bore: float | None, plate_bore: float | None, radius: float
) -> None:
    pulley = SimpleNamespace(recess=recess and SimpleNamespace(diameter=recess), bore=bore)
    job: Any = SimpleNamespace(pulley=pulley, wheel=SimpleNamespace(bore=plate_bore))
    assert body._opening(job, seat(), HOLES, WHOLE) == pytest.approx(radius, abs=1e-12)


def test_the_opening_without_bolts_stays_over_metal_and_inside_hub_and_boss() -> None:
    """As far out as the pulley has metal less 3; a part circle's hub less 3; a boss less 2.4 of wall."""
    pulley = SimpleNamespace(recess=None, bore=90.0)
    job: Any = SimpleNamespace(pulley=pulley, wheel=SimpleNamespace(bore=None))
    part = Cover(90.0, 0.0, 90.0, Loop.circle(0, 0, 1), (), 15.0)
    boss = Register("bore", 20.0, 19.8, Loop.circle(0, 0, 9.9), 6.0)
    assert body._opening(job, seat(), [], WHOLE) == pytest.approx(37.0)
    assert body._opening(job, seat(), [], part) == pytest.approx(12.0)
    assert body._opening(job, seat(boss), [], part) == pytest.approx(7.5)


@pytest.mark.parametrize(("clear", "inner", "found"), [
    (29.5, 16.5, []), (27.0, 16.5, ["2 mm beyond them"]), (29.0, 16.5, ["0 mm beyond them"]), (29.5, 17.0, [""]),
    (29.5, 18.0, [""]),
])  # fmt: skip
def test_the_outermost_hole_counts_at_the_slots_and_the_innermost_at_the_opening(
    clear: float, inner: float, found: list[str]
) -> None:
    faults = Faults()
    body._collisions(clear, HOLES, inner, faults)
    said: Sequence[Any] = ()
    try:
        faults.raise_if_any()
    except DesignError as error:
        said = error.faults
    assert [Words("mm").text(str(fault.found or "")) for fault in said] == found


@pytest.mark.parametrize(("gap_after", "middles"), [({1}, [0.0, 65.0, 215.0]), (set(), [0.0, 30.0, 65.0, 215.0])])
def test_joints_run_half_way_between_neighbouring_slots(gap_after: set[int], middles: list[float]) -> None:
    """Slots at 350, 10, 50 and 80 degrees: the first two are 20 apart across the TDC line, the last and first 270."""
    teeth = SimpleNamespace(gap_after=gap_after)
    wheel: Any = SimpleNamespace(slot_centres_deg=np.array([350.0, 10.0, 50.0, 80.0]), teeth=teeth)
    assert sorted(body._joint_places(wheel, "outline")) == pytest.approx(middles)
    assert body._joint_places(wheel, "windows") == [350.0, 10.0, 50.0, 80.0]


@pytest.mark.parametrize(("floor", "rows"), [(35.156, 2), (35.144, 1)])
def test_an_ease_of_a_twentieth_is_none(floor: float, rows: int) -> None:
    """A third of the wall from a skirt's inside of 35 to the slots: 0.052 and 0.048."""
    assert len(list(body._skirt(seat(BOLTS, 40.0, Cavity(35.0, 2.0, 8.0)), floor))) == rows


# what a style refuses


@pytest.mark.parametrize(("width", "clearance", "made"), [
    (4.0, 1.99, True),
    (4.0, 2.0, False),  # half the slot's width
    (0.44, 0.2, True),
    (0.38, 0.185, False),  # 0.195 of finger is left: under 0.2
])  # fmt: skip
def test_how_loose_a_combs_fingers_may_be(
    width: float, clearance: float, made: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(body, "comb_style", lambda *_: "a comb")
    wheel: Any = SimpleNamespace(slot=SlotShape(50.0, width, 2.0, False, False, 0.0), pitch_deg=15.0)
    gauge: Any = SimpleNamespace(style="comb", clearance=clearance)
    if made:
        assert body._style(gauge, wheel, seat(), 5.0, 0.0) == "a comb"
    else:
        with pytest.raises(DesignError, match="leaves nothing of the comb's fingers"):
            body._style(gauge, wheel, seat(), 5.0, 0.0)


def test_no_room_for_windows_says_how_large_the_shoulder_is(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(body, "windows_style", lambda *_: None)
    gauge: Any = SimpleNamespace(style="windows", outline_allowance=0.0)
    with pytest.raises(DesignError) as caught:
        body._style(gauge, SimpleNamespace(), Seat(8.0, 2.0, (), BOLTS, 30.0, 45.75), 5.0, 0.0)  # type: ignore[arg-type]
    (fault,) = caught.value.faults
    assert Words("mm").text(str(fault.found)) == "⌀91.5 mm in front of the ring"


@pytest.mark.parametrize(("shoulder", "inside"), [(70.0, 35.1), (None, 0.0)])
def test_letters_take_two_fifths_of_a_thin_plate_and_joints_know_the_skirt(
    shoulder: float | None, inside: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """2 mm of plate: 0.8 of letters, where 1 mm is usual. Inside the skirt of a ⌀70 shoulder it is 35.1; or nothing."""
    asked: list[float] = []

    def no_joints(*given: Any) -> Joints:
        asked.append(given[-1])
        return NO_JOINTS

    monkeypatch.setattr(body, "find_joints", no_joints)
    monkeypatch.setattr(body, "_engrave", lambda *_: Engraving())
    front = [] if shoulder is None else [{"length": 6.0, "diameter": shoulder}]
    pulley = {**turned()["pulley"], "turned": [*front, "wheel", {"length": 10.0, "diameter": 70.0}]}
    made = gauge_of(job_of(**turned(pulley=pulley, gauge={"thickness": 2.0}, shop={"rotary_table": {"ratio": 40}})))
    assert made.body.text_depth == pytest.approx(0.8)
    assert asked == [pytest.approx(inside, abs=1e-12)]
    told = made.report()
    assert told["skirt_mm"] == pytest.approx(6.0 if shoulder else 0.0)
    assert told["opening_mm"] == pytest.approx(21.0 if shoulder else 15.0)  # the bore and its ring; inside a boss
    for tick in made.paper.ticks:  # 1.5 to 7 mm beyond the rim of 50
        assert [math.hypot(*end) for end in tick] == pytest.approx([51.5, 57.0])
    # who names no printer is taken to have the usual nozzle, for which strokes of 0.6 do
    strokes = [finding.limit for finding in made.findings if finding.check is Check.GAUGE_TEXT_STROKE]
    assert strokes == [pytest.approx(0.6)]


# where writing is looked for


def test_writing_keeps_off_the_rim_washers_and_saw_cuts() -> None:
    """0.8 inside the slots; a hole of 6.6 is an M6 bolt's, whose washer of ⌀12 (ISO 7089, from memory) with play and a
    hand's error takes 6.9 about it; half a millimetre beside a cut, here from x = -0.1 to 0.1."""
    job: Any = SimpleNamespace(bolts=SimpleNamespace(hole=6.6))
    cut = Loop.polygon([(-0.1, -50.0), (0.1, -50.0), (0.1, 0.0), (-0.1, 0.0)])
    room = body._room(job, WHOLE, [PrintHole(25.0, 0.0, 3.4)], 0.0, 44.0, Joints((180.0,), (cut,), 2))
    places = {(0.0, 43.16): True, (0.0, 43.24): False, (32.2, 0.0): True, (31.6, 0.0): False, (0.62, -9.0): True,
              (0.58, -9.0): False, (0.0, 0.62): True}  # fmt: skip
    assert {place: bool(room.contains(shapely.Point(place))) for place in places} == places


class Noted(Front):
    """A front that keeps what it was asked for; a pointer finds room only where `found` says so."""

    found = True
    asked: list[tuple[Any, ...]] = []  # noqa: RUF012

    def number(self, marks: Sequence[Mark], floor_radius: float, pitch_deg: float) -> None:
        self.asked.append(("number",))
        super().number(marks, floor_radius, pitch_deg)

    def pointer(self, radii: Sequence[float], sight: tuple[float, float]) -> None:
        self.asked.append(("pointer", list(radii), sight))
        self.out.tdc = (0.0, 1.0) if self.found else None

    def arrow(self, radii: Sequence[float], angles: Sequence[float]) -> None:
        self.asked.append(("arrow", list(radii), list(angles)))

    def text(self, words: Sequence[str], radii: Sequence[float], angles: Sequence[float]) -> None:
        self.asked.append((words[0], list(radii), list(angles)))


def asked_for(
    monkeypatch: pytest.MonkeyPatch, found: bool, finger: float, inner: float = 10.5
) -> list[tuple[Any, ...]]:
    """What is asked of the front of an anticlockwise 24-tooth gauge whose slots begin at 44, the gap at 100 degrees."""
    monkeypatch.setattr(body, "Front", Noted)
    monkeypatch.setattr(Noted, "found", found)
    monkeypatch.setattr(Noted, "asked", [])
    wheel: Any = SimpleNamespace(sense=-1, pitch_deg=15.0, floor_radius_mm=44.0, gap_at_deg=100.0)
    style: Any = SimpleNamespace(clear_radius=44.0, finger_mm=finger)
    cover = Cover(360.0, -180.0, 180.0, None, tuple(Mark(k + 1, 15.0 * k) for k in range(24)), 43.0)
    job: Any = SimpleNamespace(bolts=None)
    body._engrave(job, wheel, seat(sight=50.0), cover, [], inner, style, NO_JOINTS)
    return Noted.asked


def test_where_pointer_arrow_and_words_are_looked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """Numbers 4 high take 7 inside the slots: the pointer from 37 inwards every half millimetre, where it may go
    through up to 37; arrow and words from 34, every 1.5. Nothing within 5 of the opening of 10.5, no tip within 9."""
    asked = asked_for(monkeypatch, True, 0.9)
    assert [row[0] for row in asked] == ["number", "pointer", "arrow", "NO GO", "LAYOUT ONLY", "NEVER RUN"]
    _, radii, sight = asked[1]
    assert radii[:4] == pytest.approx([37.0, 37.0, 36.5, 36.0])
    assert 19.5 < radii[-1] <= 20.0
    assert sight == (0.0, pytest.approx(37.0))
    for (_, ring, angles), first in zip(asked[2:], (-55.0, -100.0, 140.0, 220.0), strict=True):
        assert ring[:3] == pytest.approx([34.0, 32.5, 31.0])
        assert 15.5 < ring[-1] <= 17.0
        assert angles[:5] == pytest.approx([first, first + 5, first - 5, first + 10, first - 10])
        assert {round(a % 360) for a in angles} == {round(first + 5 * k) % 360 for k in range(72)}


def test_without_opening_nothing_stands_within_five_of_the_axis(monkeypatch: pytest.MonkeyPatch) -> None:
    for row in asked_for(monkeypatch, True, 0.0, 0.0):
        assert min(row[1], default=5.1) > 5.0 if len(row) > 1 else row == ("number",)
    assert "NO GO" not in [row[0] for row in Noted.asked]


def test_a_pointer_without_room_is_placed_before_the_numbers(monkeypatch: pytest.MonkeyPatch) -> None:
    """Tips then stay 8 off an opening of 10.8, where the smallest, 3 long, is 5 off its edge: from 19 on."""
    asked = asked_for(monkeypatch, False, 0.0, 10.8)
    assert [row[0] for row in asked[:4]] == ["number", "pointer", "pointer", "number"]
    radii = asked[2][1]
    assert max(radii) >= 44.0 - 0.8 - 1.0  # as far out as anything has room
    assert np.diff(radii).tolist() == pytest.approx([-0.5] * (len(radii) - 1))
    assert radii[-1] == pytest.approx(19.0)


def test_the_ease_takes_a_third_of_the_wall_to_the_slots() -> None:
    """0.4 between a skirt's inside of 35 and floors at 36.2; the last step would allow 0.8."""
    wide, plain = body._skirt(seat(BOLTS, 40.0, Cavity(35.0, 2.0, 8.0)), 36.2)
    assert math.hypot(*wide.loop.vertices[0, :2]) == pytest.approx(35.4)
    assert (wide.z1, plain.z0) == pytest.approx((2.4, 2.4))
