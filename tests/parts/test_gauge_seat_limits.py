"""What stands in front of the ring and what centres the gauge, at the limits of those rules; lengths by hand."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from tests.parts.gauge_jobs import job_of, turned
from wheelcad.errors import DesignError, Faults
from wheelcad.parts.common.stack import Land
from wheelcad.parts.gauge.seat import Register, Seat, _boss, _cavities, _in_hub, find_seat

Rows = list[tuple[float, float, float]]  # radius, back and front


@pytest.mark.parametrize(("lands", "rooms"), [
    ([(20.0, 8.0, 11.0), (30.0, 2.0, 8.0)], [(20.5, 8.5, 11.0), (30.1, 2.0, 8.5)]),
    ([(30.0, 8.0, 11.0), (20.0, 2.0, 8.0)], [(30.1, 2.0, 11.0)]),  # it slides on from the front
    ([(20.0, 8.0, 8.3), (30.0, 2.0, 8.0)], [(30.1, 2.0, 8.3)]),  # a step of less than the air before it
    ([(20.0, 8.0, 8.55), (30.0, 2.0, 8.0)], [(20.5, 8.5, 8.55), (30.1, 2.0, 8.5)]),
    ([(30.0, 8.0, 11.0), (30.45, 2.0, 8.0)], [(30.5, 8.5, 11.0), (30.55, 2.0, 8.5)]),
    ([(30.0, 8.0, 11.0), (30.4, 2.0, 8.0)], [(30.5, 2.0, 11.0)]),  # nearly one: no ledge between them
    ([(30.0, 8.0, 11.0), (30.05, 2.0, 8.0)], [(30.15, 2.0, 11.0)]),
    ([(20.0, 9.0, 11.0), (30.0, 8.0, 9.0), (30.2, 2.0, 8.0)], [(20.5, 9.5, 11.0), (30.3, 2.0, 9.5)]),
])  # fmt: skip
def test_the_skirt_is_open_from_ring_to_seat_round_all_that_stands_there(lands: Rows, rooms: Rows) -> None:
    """Half a millimetre of air round and before a step, a tenth round the widest, which centres the gauge."""
    found = _cavities([Land("pulley", back, front, radius) for radius, back, front in lands], 0.2, 2.0)
    assert [(c.radius, c.z0, c.z1) for c in found] == [pytest.approx(row) for row in rooms]


def seat_behind(diameters: list[float], allowance: float = 0.2) -> Seat:
    """The seat of `turned` behind steps 3 mm long."""
    steps = [*({"length": 3.0, "diameter": d} for d in diameters), "wheel", {"length": 10.0, "diameter": 70.0}]
    job = job_of(**turned(pulley={**turned()["pulley"], "turned": steps}, gauge={"hole_allowance": allowance}))
    assert job.gauge is not None
    assert job.pulley is not None
    faults = Faults()
    seat = find_seat(job, job.gauge, job.pulley, faults)
    faults.raise_if_any()
    return seat


@pytest.mark.parametrize(("allowance", "clearance"), [(0.1, 0.2), (0.3, 0.3)])
def test_what_slides_over_a_shoulder_has_two_tenths_at_least(allowance: float, clearance: float) -> None:
    assert seat_behind([60.0, 70.0], allowance).register.clearance == pytest.approx(clearance)


def test_a_shoulder_as_large_as_the_ring_is_named_with_it() -> None:
    with pytest.raises(DesignError) as caught:
        seat_behind([60.0, 99.9])
    found = str(caught.value.faults[0])
    assert "⌀99.9 mm in front of ⌀100 mm" in found


def test_bolts_alone_have_neither_boss_nor_play_of_their_own() -> None:
    bolts = Register("bolts")
    assert (bolts.metal_diameter, bolts.clearance, bolts.boss_depth) == (0.0, 0.0, 0.0)
    assert Seat(2.0, 2.0, (), bolts, 30.0).ease == 0.0


@pytest.mark.parametrize(("bore", "by"), [(5.2, "bore"), (5.1, "bolts")])
def test_a_boss_of_just_five_millimetres_holds(bore: float, by: str) -> None:
    assert _boss("bore", bore, 6.0, 0.2).by == by


@pytest.mark.parametrize(("width", "keyed"), [(6.0, False), (5.5, True)])
def test_a_keyway_as_wide_as_its_bore_gives_the_boss_no_key(width: float, keyed: bool) -> None:
    keyway = SimpleNamespace(width=width, depth=2.0, at=0.0)
    pulley: Any = SimpleNamespace(recess=None, bolts=None, bore=6.0, keyway=keyway)
    assert _in_hub(pulley, 1, 0.2).keyed is keyed
