"""What the controller is told: what `spark` can do, and edges at the radius where the sensor reads them."""

from __future__ import annotations

import math

import pytest

from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.ignition import IgnitionDesign, design_ignition
from wheelcad.parts.wheel.design import design_wheel

FOUR = "cylinders: 4, firing_order: [3, 4, 2, 1]"
V_TWIN = "cylinders: 2, firing_order: [2, 1], firing_angles: [0, 270]"


def made(engine: str, sensor: str = "kind: hall, at: 60") -> IgnitionDesign:
    """The numbers of a plate wheel of 36 - 1 and 150 over the teeth."""
    job: Job = parse_job(
        f"job: i\nengine: {{{engine}}}\nwheel: {{form: plate, teeth: 36, missing: 1, outside_diameter: 150, "
        f"thickness: 4, bore: 60, slot: {{width: 6, depth: 8}}}}\nsensor: {{{sensor}}}\n"
    )
    return design_ignition(job.engine, job.sensor, design_wheel(job))


def test_cylinder_one_is_zero_and_pairs_are_told_for_wasted_spark() -> None:
    four = made(FOUR)
    assert four.firing_order == (1, 3, 4, 2)
    assert four.firing_angles_deg == (0, 180, 360, 540)
    assert four.companions == ((1, 4), (3, 2))
    assert four.at_deg == ()


def test_where_nobody_pairs_each_coil_fires_every_turn() -> None:
    """2 fires first and 1 follows 270 degrees on: counted from 1, 2 fires 450 on, which is 90 of the next turn."""
    twin = made(V_TWIN)
    assert twin.companions == ()
    assert twin.at_deg == ((1, 0), (2, 90))
    assert twin.report()["at_deg"] == [{"cylinder": 1, "at_deg": 0}, {"cylinder": 2, "at_deg": 90}]


def test_a_distributor_has_the_rotors_places_and_coils_of_their_own_have_neither() -> None:
    assert made(f"{FOUR}, spark: distributor").at_deg == ((1, 0), (3, 90), (4, 180), (2, 270))
    assert made(f"{FOUR}, spark: distributor").companions == ()
    assert made(f"{FOUR}, spark: per-cylinder").companions == ()
    assert made(f"{FOUR}, spark: per-cylinder").at_deg == ()


@pytest.mark.parametrize(("sensor", "radius"), [("", 75), (", looks: along", 71), (", looks: along, radius: 69", 69)])
def test_edges_are_told_at_the_radius_where_the_sensor_reads_them(sensor: str, radius: float) -> None:
    """Sides are parallel: half a slot is asin(3 / r). The first tooth after the gap at 0 is centred at -10."""
    half = 5 - math.degrees(math.asin(3 / radius))
    told = made(FOUR, f"kind: hall, at: 60{sensor}").told
    assert told.first_edge_to_tdc_deg == pytest.approx(360 - 10 + half - 60)
    assert told.trailing_edge_to_tdc_deg == pytest.approx(360 - 10 - half - 60)
    assert told.use_deg == told.first_edge_to_tdc_deg


def test_nobody_is_told_to_use_swapped_wires() -> None:
    made_of = made(FOUR, "kind: reluctance, at: 60")
    assert made_of.told.use_deg == pytest.approx(290)
    assert "swap them back" in made_of.told.use_why
    assert not [key for key in made_of.report() if "reversed" in key]


def test_tooth_rate_is_told_at_the_slowest_moment_too() -> None:
    """36 positions at 200 rpm are 120 a second in the mean; a four's slowest moment is half of that, assumed, or as
    the job says; with no engine at all the assumed one of many cylinders."""
    four = made(FOUR)
    assert four.tooth_rate_at_cranking_hz == pytest.approx(120)
    assert four.tooth_rate_slowest_hz == pytest.approx(60)
    said = made(FOUR + ", cranking_dip: 0.4, cranking_speed: 150 rpm")
    assert said.tooth_rate_slowest_hz == pytest.approx(36 * 150 * 0.4 / 60)
    six = made("cylinders: 6, firing_order: [1, 5, 3, 6, 2, 4]")
    assert six.tooth_rate_slowest_hz == pytest.approx(120 * 0.55)


def test_a_sensor_that_needs_quicker_teeth_than_the_slowest_moment_brings_is_warned_of() -> None:
    """100 a second: enough in the mean (120), not at the slowest moment (60)."""
    slow = made(FOUR, "kind: hall, at: 60, least_tooth_rate: 100 Hz")
    (found,) = slow.findings
    assert (found.check, found.verdict, found.measured) == ("tooth-rate-least", "warn", 60.0)
    (fine,) = made(FOUR, "kind: hall, at: 60, least_tooth_rate: 50 Hz").findings
    assert fine.verdict == "pass"
    assert made(FOUR, "kind: reluctance, at: 60, least_tooth_rate: 100 Hz").findings == ()  # volts decide there
