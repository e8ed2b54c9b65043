"""What a job's engine shakes with, what of it was assumed, and the closed form's first answer."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.parts.bracket_jobs import in_job
from wheelcad.job.models import Engine
from wheelcad.parts.bracket.bolts import mount_bolts, slips_at_g
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.bracket.stiffness import firing_finding, least_frequency_hz, one_mass_swing_mm
from wheelcad.parts.common.excited import Excited, excited
from wheelcad.trade.excitation import Order
from wheelcad.trade.resonance import static_swing_mm
from wheelcad.words import Words, unwritten

G10 = 98066.5  # mm/s²
ONE = Excited((Order(1.0, 1.0, names=("firing",)),), 1.0, 800.0, 6000.0, "single", 90.0, ())


@pytest.mark.parametrize(
    ("cylinders", "layout", "vee"), [(1, "single", 90.0), (6, "inline", 90.0), (8, "vee", 90.0), (12, "vee", 60.0)]
)
def test_the_layout_is_assumed_from_the_cylinders_and_said(cylinders: int, layout: str, vee: float) -> None:
    found = excited(Engine(cylinders=cylinders, max_speed=5000))
    assert found is not None
    assert (found.layout, found.vee_deg) == (layout, vee)
    said = Words().text("; ".join(found.assumed))
    assert f"engine.layout: {layout}" in said
    assert ("engine.vee_angle" in said) is (layout == "vee")
    assert "engine.idle_speed: 800 rpm" in said


def test_what_is_given_is_not_called_assumed() -> None:
    engine = Engine(
        cylinders=2,
        max_speed=5000,
        layout="vee",
        vee_angle=60,
        idle_speed=900,
        firing_order=(1, 2),
        firing_angles=(0, 420),
    )
    found = excited(engine)
    assert found is not None
    assert found.assumed == ()
    assert (found.layout, found.vee_deg, found.idle_rpm) == ("vee", 60, 900)
    assert {0.5, 1.5} <= {o.order for o in found.orders}  # odd fire: half orders
    assert any("first-order force" in o.names for o in found.orders)


def test_an_engine_whose_firing_order_nobody_knows() -> None:
    found = excited(Engine(cylinders=7, max_speed=5000, layout="inline"))
    assert found is not None
    assert all(o.inertia == 0.0 for o in found.orders)
    assert found.assumed[-1].startswith("no firing order is known")
    assert all(words.startswith("assumed ") for words in found.assumed[:-1])
    assert excited(Engine(cylinders=4)) is None
    assert excited(None) is None


def test_one_mass_on_a_spring_through_the_speeds() -> None:
    """60 Hz is met at 3600 rpm: 25 times a/ω². 400/3 Hz is not met: 16/7 times at 6000 rpm."""
    swing, rpm = one_mass_swing_mm(60.0, ONE)
    assert (swing / static_swing_mm(60.0, G10), rpm) == (pytest.approx(25.0), pytest.approx(3600.0))
    swing, rpm = one_mass_swing_mm(400 / 3, ONE)
    assert (swing / static_swing_mm(400 / 3, G10), rpm) == (pytest.approx(16 / 7, rel=3e-3), 6000.0)


@pytest.mark.parametrize("strength", [1.0, 0.05])
def test_a_stiff_bracket_swings_as_far_as_ten_g_push_it(strength: float) -> None:
    """1000 Hz at 6000 rpm, a tenth of it: 1/0.99 times a/ω², with a of 10 times 9.80665 m/s²."""
    weak = replace(ONE, orders=(Order(1.0, strength, names=("firing",)),))
    swing, rpm = one_mass_swing_mm(1000.0, weak)
    assert (swing, rpm) == (pytest.approx(strength / 0.99 * 98066.5 / 6283.185**2, rel=1e-4), 6000.0)


def test_the_search_for_a_frequency_goes_down_to_one_hertz() -> None:
    """An engine that shakes once a second at most: resonance at 1 Hz, where 25 times a/ω² are 62 m."""
    slow = replace(ONE, idle_rpm=30.0, max_rpm=60.0)
    assert least_frequency_hz(slow, 1e9) == pytest.approx(1.0, rel=0.003)
    at_one = one_mass_swing_mm(5000 / 1.01**856, slow)[0]
    assert at_one == pytest.approx(62e3, rel=0.01)
    assert one_mass_swing_mm(least_frequency_hz(slow, at_one * 0.999), slow)[0] <= at_one * 0.999


@pytest.mark.parametrize("allowed", [0.02, 0.16, 5.0])
def test_the_least_frequency_that_will_do(allowed: float) -> None:
    hz = least_frequency_hz(ONE, allowed)
    assert one_mass_swing_mm(hz, ONE)[0] <= allowed < one_mass_swing_mm(hz / 1.0101, ONE)[0]
    assert all(one_mass_swing_mm(hz * times, ONE)[0] <= allowed for times in (1.1, 1.5, 3.0))


def test_the_closed_form_judges_by_what_is_lost() -> None:
    design = design_bracket(in_job())
    assert design is not None
    (finding,) = firing_finding(design, design.asked.job.engine)
    said = Words().through(finding)
    assert said.verdict == ("pass" if design.first_frequency_hz >= float(said.limit) else "warn")
    assert "damping 2 % of critical" in said.why
    shakes = excited(design.asked.job.engine)
    assert shakes is not None
    (near,) = firing_finding(replace(design, gap=0.005), design.asked.job.engine)
    least = float(near.limit)  # a fifth of a gap of 0.005 may come and go; common practice, no source
    tried = [least * (0.9 + 0.001 * k) for k in range(200)]
    too_much = max(hz for hz in tried if one_mass_swing_mm(hz, shakes)[0] > 0.001)
    assert too_much / 1.001 < least < too_much * 1.013
    assert not unwritten(said.why)
    stiff = replace(design, thickness=40.0)
    assert firing_finding(stiff, design.asked.job.engine)[0].verdict == "pass"
    assert firing_finding(design, None) == []


def test_slip_takes_the_bolt_from_the_hole_where_no_thread_is_named() -> None:
    design = design_bracket(in_job())
    assert design is not None
    (bolt, *_) = mount_bolts(design)
    assert bolt.assumed
    assert (slips_at_g(design) or 0) > 0
    threaded = in_job(bracket={"mounts": [{"x": 150, "y": y, "hole": 9, "thread": "M8"} for y in (60, 110)]})
    made = design_bracket(threaded)
    assert made is not None
    slips = slips_at_g(made)
    assert slips is not None
    assert slips > 10
    assert not mount_bolts(made)[0].assumed
