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
