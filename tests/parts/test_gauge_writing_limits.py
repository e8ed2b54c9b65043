"""Where the gauge's writing goes at the limits of its room, each expectation worked out by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely

from tests.parts.gauge_files import gauge_of
from tests.parts.gauge_jobs import job_of, plate, turned
from wheelcad.parts.gauge.labels import LABEL_SIZES, NUMBER_SIZES, TDC_SIZE, Front, Mark
from wheelcad.trade.loop import Loop

MARKS = [Mark(k + 1, 15.0 * k) for k in range(24)]


def front(radius: float = 40.0, sense: int = 1, inside: float = 0.0) -> Front:
    """A round front, or a ring, with nothing written on it."""
    disc = shapely.Point(0, 0).buffer(radius, 64)
    return Front(disc.difference(shapely.Point(0, 0).buffer(inside, 64)) if inside else disc, sense)


def area(loop: Loop) -> float:
    return abs(loop.area)


@pytest.mark.parametrize(("sight", "through"), [
    ((0.0, 30.0), True), ((24.0, 30.0), True), ((24.1, 30.0), False), ((0.0, 29.9), False),
])  # fmt: skip
def test_a_pointer_goes_through_where_it_lies_wholly_over_metal(sight: tuple[float, float], through: bool) -> None:
    """The largest is 6 long and 5 wide: from 24 to its tip at 30."""
    on = front()
    on.pointer([30.0], sight)
    assert on.out.tdc == (0.0, 30.0)
    (triangle,) = on.out.through if through else on.out.loops[:1]
    assert area(triangle) == pytest.approx(15.0)
    assert triangle.bounds() == pytest.approx((-2.5, 24.0, 2.5, 30.0))
    assert bool(on.out.through) is through
    assert on.out.smallest.height == TDC_SIZE.height
    assert on.out.missing == []


@pytest.mark.parametrize(("tip", "size"), [(10.0, 15.0), (9.9, 9.0), (8.5, 9.0), (8.4, 4.5), (7.0, 4.5), (6.9, None)])
def test_a_pointer_keeps_four_millimetres_off_the_middle(tip: float, size: float | None) -> None:
    """6, 4.5 and 3 long, 5, 4 and 3 wide; so far in there is no room for letters round the middle."""
    on = front()
    on.pointer([tip], (0.0, 40.0))
    if size is None:
        assert (on.out.tdc, on.out.missing) == (None, ["TDC pointer"])
    else:
        assert area(on.out.through[0]) == pytest.approx(size)
        assert on.out.missing == ["TDC"]


def test_a_pointer_takes_the_first_place_that_is_free() -> None:
    """A millimetre is kept free all round: a tip at 39.1 is too near the rim of 40."""
    on = front()
    on.pointer([39.1, 38.8, 20.0], (0.0, 40.0))
    assert on.out.tdc == (0.0, 38.8)


@pytest.mark.parametrize(("radius", "long"), [(11.1, 22.0), (11.0, 15.0), (7.6, 15.0), (7.5, 9.0), (4.5, None)])
def test_an_arrow_is_shorter_than_its_circle_is_wide(radius: float, long: float | None) -> None:
    on = front()
    on.arrow([radius], [0.0])
    if long is None:
        assert on.out.missing == ["direction arrow"]
        return
    (arrow,) = on.out.loops
    tip = max(arrow.vertices[:, :2].tolist(), key=lambda p: math.atan2(p[0], p[1]))
    assert math.degrees(math.atan2(*tip)) == pytest.approx(math.degrees(long / 2 / radius))
    assert math.hypot(*tip) == pytest.approx(radius - 0.25)


@pytest.mark.parametrize("sense", [1, -1])
def test_an_arrow_points_the_way_the_crank_turns(sense: int) -> None:
    """22 long: behind the middle 11 of a shaft 1.75 wide, before it 6 of that and a head 5 long and 5 wide."""
    on = front(sense=sense)
    on.arrow([30.0], [0.0])
    shape = shapely.Polygon(on.out.loops[0].vertices[:, :2])
    ahead = shape.intersection(shapely.box(*((0, 0, 40, 40) if sense > 0 else (-40, 0, 0, 40))))
    behind = shape.difference(ahead)
    assert ahead.area == pytest.approx(6 * 1.75 + 5 * 5 / 2, rel=0.02)
    assert behind.area == pytest.approx(11.0 * 1.75, rel=0.01)


@pytest.mark.parametrize(("more", "size", "every"), [(1e-6, 0, 1), (-1e-6, 1, 1)])
def test_numbers_stand_apart_by_more_than_a_millimetre_at_their_feet(more: float, size: int, every: int) -> None:
    """Feet 1.6 mm and a letter's height inside the floors at 44; two neighbours' are a chord apart."""
    wide, foot = NUMBER_SIZES[0].width("24") + 1.2, 44.0 - 1.6 - NUMBER_SIZES[0].height
    pitch = math.degrees(2 * math.asin(wide / 2 / foot)) + more
    on = front(44.0)
    on.number([Mark(k + 1, pitch * k) for k in range(24)], 44.0, pitch)
    assert on.out.size == NUMBER_SIZES[size]
    assert on.out.numbered == [k for k in range(1, 25) if k == 1 or k % every == 0]


def test_where_every_number_is_too_close_every_second_or_fifth_is_written() -> None:
    """The smallest needs its width and 1.2 mm at 30 - 1.6 - 3.0 = 25.4: more than one pitch, less than two; or five."""
    wide = NUMBER_SIZES[2].width("24") + 1.2
    pitch = math.degrees(2 * math.asin(wide / 2 / 25.4))
    for share, every in ((0.99, 2), (0.51, 2), (0.49, 5), (0.21, 5), (0.19, 10)):
        on = front(30.0)
        on.number([Mark(k + 1, share * pitch * k) for k in range(24)], 30.0, share * pitch)
        assert on.out.numbered == [k for k in range(1, 25) if k == 1 or k % every == 0], share


def test_the_longest_words_that_have_room_in_the_largest_letters_that_have() -> None:
    """A ring of 6.15 mm holds letters of 3.5 with a millimetre on both sides and what the band's chords take of it.

    Those of 4.0 take 6 without their chords; those of 3.0 are too high for the ring of 4.8."""
    on = front(33.1, inside=26.95)
    on.text(("NEVER RUN",), [30.0], [0.0])
    assert on.out.smallest == LABEL_SIZES[2]
    narrow = front(32.4, inside=27.6)
    narrow.text(("NEVER RUN",), [30.0], [0.0])
    assert narrow.out.missing == ["NEVER RUN"]


def test_the_shorter_words_where_the_longer_go_too_far_round() -> None:
    """No text goes further round than two radians to each side of its middle."""
    size = LABEL_SIZES[-1]
    longer, shorter = size.width("LAYOUT ONLY") / 2 + 1.0, size.width("LAYOUT") / 2 + 1.0
    assert shorter < longer
    for radius, room in ((longer / 2.0 * 1.001, True), (longer / 2.0 * 0.999, False)):
        on = front(40.0)
        assert on.take_text("LAYOUT ONLY", size, radius, 0.0) is (room and radius >= size.least_radius)


TURNED_45 = {**turned()["pulley"], "bolts": {"count": 4, "circle": 50.0, "hole": 6.6, "first_at": 45.0}}
WIDER = {**TURNED_45, "turned": [{"length": 6.0, "diameter": 86.0}, "wheel"]}
DEEP = {**plate()["wheel"], "slot": {"width": 5.0, "depth": 8.0, "sides": "radial", "floor": "flat"}}


@pytest.mark.parametrize(
    ("sections", "tip"),
    [
        (turned(pulley=TURNED_45), 35.0 - 1.0),  # inside the ⌀70 shoulder that it lies on
        (turned(pulley=WIDER), 44.0 - 3.0 - 4.0),  # inside the numbers
        (plate(gauge={**plate()["gauge"], "style": "comb"}, wheel=DEEP), 60.0 - 8.0 - 1.0),  # inside the slots' floors
    ],
)
def test_the_pointer_is_seen_through_over_metal_a_millimetre_inside_its_edge(
    sections: dict[str, Any], tip: float
) -> None:
    engraving = gauge_of(job_of(**sections)).body.engraving
    assert engraving.tdc == (0.0, pytest.approx(tip))
    assert len(engraving.through) == 1
