"""Sizes of parts just at, before and beyond the limits that their rules name."""

from __future__ import annotations

import math
from fractions import Fraction
from types import SimpleNamespace
from typing import Any, cast

import pytest

from tests.conftest import plate_job
from wheelcad.errors import DesignError
from wheelcad.parts.bracket import along_shapes, clear
from wheelcad.parts.design import design_job
from wheelcad.parts.gauge.mounting import INCH_BOLTS
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
