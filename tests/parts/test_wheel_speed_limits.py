"""A spinning wheel's stress and its advice just at what is allowed, by numbers that can be worked out on paper.

Jobs: a ⌀160 plate of 36-1 with slots 6 deep (floors at 74), bored ⌀40; `turned` is a ⌀100 wheel of 24-1 with floors at
44 and a bore of 20, behind a ⌀70 shoulder.
"""

from __future__ import annotations

import math
import re
from types import SimpleNamespace
from typing import Any, cast

import pytest

from tests.parts.gauge_jobs import job_of, turned
from wheelcad.job.models import Job
from wheelcad.parts.wheel import spinning
from wheelcad.parts.wheel.design import WheelDesign, design_wheel
from wheelcad.trade import rotating_stress
from wheelcad.words import Words

WORDS = Words("mm")


def _plate(material: str = "mild-steel", bore: float | None = 40.0, slot: str = "flat", **more: Any) -> Job:
    wheel = {"form": "plate", "teeth": 36, "missing": 1, "outside_diameter": 160.0, "thickness": 4.0, "bore": bore}
    return job_of(wheel={**wheel, "material": material, "slot": {"width": 6.0, "depth": 6.0, "floor": slot}}, **more)


def _turned(material: str = "mild-steel", **changes: Any) -> Job:
    sections = turned(**changes)
    return job_of(**{**sections, "wheel": {**sections["wheel"], "material": material}})


def _places(job: Job, rpm: float = 6000.0) -> dict[str, float]:
    found = spinning.stressed(job, design_wheel(job), rpm, 100.0)
    return {place.name: place.mpa for place in found}


@pytest.mark.parametrize(("material", "share"), [("mild-steel", 2), ("ductile-iron", 2), ("grey-iron", 4)])
def test_steel_may_bear_half_its_yield_and_grey_iron_a_quarter_of_its_strength(material: str, share: float) -> None:
    """Our judgement: what breaks without warning wants twice the margin. Stress goes with the square of the speed."""
    job = _plate(material)
    wheel = design_wheel(job)
    strength, _ = spinning.strength_of(job, wheel)
    slow = next(spinning.speed_findings(job, wheel, 1000.0)).measured
    rpm = 1000 * math.sqrt(strength / share / float(slow))
    for part, verdict in ((0.999, "pass"), (1.001, "fail")):
        told = next(spinning.speed_findings(job, wheel, rpm * part))
        assert told.verdict == verdict
        assert ("no more than" in told.why) == (verdict == "fail")


def test_stress_of_just_what_is_allowed_needs_no_mending(monkeypatch: pytest.MonkeyPatch) -> None:
    job = _plate()
    wheel = design_wheel(job)

    def just(_job: Job, _wheel: WheelDesign, _rpm: float, allowed: float) -> list[spinning.Place]:
        return [spinning.Place("bore", allowed, "MEND")]

    monkeypatch.setattr(spinning, "stressed", just)
    assert "MEND" not in next(spinning.speed_findings(job, wheel, 6000.0)).why
    strength, safety = spinning.strength_of(job, wheel)
    monkeypatch.setattr(rotating_stress, "hole_peak_mpa", lambda _field: strength / safety)
    (told,) = spinning.drilled_findings(job, wheel, 6000.0, [(50.0, 4.0)])
    assert told.verdict == "pass"
    assert "bear" not in told.why


def test_a_hole_is_told_of_at_any_speed_and_its_wall_is_never_less_than_nothing() -> None:
    job = _plate()
    wheel = design_wheel(job)
    (told,) = spinning.drilled_findings(job, wheel, 100.0, [(50.0, 4.0)])
    assert 0 < float(told.measured) < 1
    assert "20 mm from the slot floors" in WORDS.text(told.why)  # 74 less 54
    (over,) = spinning.drilled_findings(job, wheel, 6000.0, [(75.0, 4.0)])
    assert ", 0 mm from the slot floors" in WORDS.text(over.why)


@pytest.mark.parametrize(
    ("radius", "good", "told"),
    [
        # from the bore's edge at 20 on: the hole's own radius and a millimetre, in whole millimetres
        (4.0, (0.0, 20.5), None),  # 24 would bear it
        (4.0, (0.0, 21.5), 25),
        (3.5, (0.0, 20.6), None),
        # up to a wall as wide as the hole inside the floors at 74
        (4.0, (58.0, 99.0), 62),
        (4.0, (59.0, 99.0), None),
        (3.9, (59.0, 99.0), None),  # 62.3 in whole millimetres
        (4.0, (0.0, 30.0), 34),
    ],
)
def test_where_holes_are_sent_to(
    radius: float, good: tuple[float, float], told: int | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A hole at 50 that breaks, and a stress that is just allowed where a hole's inner edge lies within `good`."""
    job = _plate()
    wheel = design_wheel(job)
    strength, safety = spinning.strength_of(job, wheel)

    def peak(inner: float) -> float:
        return strength / safety * (1 if good[0] <= inner <= good[1] else 2)

    monkeypatch.setattr(spinning, "_field", lambda _job, _wheel, _disc, inner: inner)
    monkeypatch.setattr(rotating_stress, "hole_peak_mpa", peak)
    (one,) = spinning.drilled_findings(job, wheel, 6000.0, [(50.0, radius)])
    said = WORDS.text(one.why)
    assert (f"at a radius of {told} mm (" in said) if told else ("at any radius" in said)


def test_a_hub_that_ends_at_a_holes_edge_carries_nothing_of_it() -> None:
    """The shoulders reach to 35: a hole of 6 whose inner edge lies there is in the ring alone."""
    job = _turned()
    wheel = design_wheel(job)
    disc = spinning.spinning_disc(job, wheel, 9000.0)
    (told,) = spinning.drilled_findings(job, wheel, 9000.0, [(38.0, 3.0)])
    assert told.measured == pytest.approx(rotating_stress.hole_peak_mpa(disc.at(35.0)), rel=1e-9)


def test_a_keyways_corner_is_a_quarter_millimetre_and_grey_iron_feels_a_fifth_of_it() -> None:
    """DIN 6885-1 r2 and Peterson, from memory. 4 deep over 0.25: a root of 16, so 1 + 1.4·4 = 6.6 times the bore's."""
    pulley = {**turned()["pulley"], "keyway": {"width": 5.0, "depth": 4.0, "at": 15.0}}
    steel, iron = (_places(_turned(material, pulley=pulley)) for material in ("mild-steel", "grey-iron"))
    assert steel["keyway"] / steel["bore"] == pytest.approx(6.6)
    assert iron["keyway"] / iron["bore"] == pytest.approx(1 + 0.2 * 5.6)


def test_a_wheel_without_a_bore_is_centre_drilled() -> None:
    """ISO 866 A, pilot of ⌀2, from memory. A small hole doubles the hoop stress in the middle (any handbook)."""
    job = _plate(bore=None)
    disc = spinning.spinning_disc(job, design_wheel(job), 6000.0)
    assert disc.bore_radius_mm == 1.0


@pytest.mark.parametrize(
    ("slot", "corner", "taken"), [("round", None, 3.0), ("flat", 0.0, 0.02), ("flat", 0.4, 0.4), ("flat", 0.02, 0.02)]
)
def test_a_floors_corner_is_half_a_round_slot_or_what_the_cutter_leaves(
    slot: str, corner: float | None, taken: float
) -> None:
    """A sharp cutter's edge rounds to 0.02 mm: common practice, no source."""
    cutter = {"diameter": 4.0} if corner is None else {"diameter": 4.0, "corner": corner}
    job = _plate(slot=slot, shop={"cutter": cutter})
    assert spinning.floor_corner(job, design_wheel(job))[0] == pytest.approx(taken)


@pytest.mark.parametrize(("circle", "stressed"), [(94.0, True), (94.6, False), (120.0, False)])
def test_bolt_holes_gather_stress_where_there_is_metal(circle: float, stressed: bool) -> None:
    """Holes of 6.6: on ⌀94.6 their inner edges lie just on the floors' radius of 44."""
    pulley = {**turned()["pulley"], "bolts": {"count": 4, "circle": circle, "hole": 6.6, "first_at": 20.0}}
    assert ("bolt holes" in _places(_turned(pulley=pulley))) == stressed


def test_a_tooths_root_is_what_the_slot_leaves_and_a_twentieth_of_the_pitch_at_least() -> None:
    """24 teeth on floors at radius 44: 2·pi·44/24 = 11.519 from slot to slot."""
    for width, root in ((6.0, 5.519), (10.9, 0.619), (11.0, 0.576), (11.4, 0.576)):
        slot = SimpleNamespace(radial=False, width=width)
        wheel = cast(Any, SimpleNamespace(pitch_deg=15.0, floor_radius_mm=44.0, slot=slot))
        assert spinning.tooth_root_mm(wheel) == pytest.approx(root, abs=1e-3)


@pytest.mark.parametrize(
    ("width", "root", "floor", "allowed", "mend"),
    [
        # wanted: 3·(0.42·100/(allowed - 20))², told in twentieths upwards, up to half the slot's width
        (6.0, 3.0, 20.0, 104.0, "0.75"),  # (42/84)² = 1/4
        (6.0, 3.0, 20.0, 105.0, "0.75"),  # 0.7324
        (6.0, 3.0, 20.0, 62.5, "2.95"),  # 2.9299
        (5.95, 3.0, 20.0, 62.2, "2.98"),  # 2.9716, of 2.975: told to hundredths
        (6.0, 3.0, 20.0, 62.0, "round"),  # just 3
        (6.0, 3.0, 20.0, 42.0, "round"),  # 10.9; 2.1 times 20 is just allowed
        (6.0, 3.0, 20.0, 41.9, "smaller"),
        (6.0, 3.0, 50.0, 50.0, "smaller"),
        (6.0, 3.0, 50.0, 40.0, "smaller"),
    ],
)
def test_which_corner_mends_a_floor(width: float, root: float, floor: float, allowed: float, mend: str) -> None:
    """Teeth pull so that hoop and root stress come to 100 MPa together."""
    wheel = cast(Any, SimpleNamespace(slot=SimpleNamespace(radial=False, width=width, round_floor=False)))
    disc = cast(Any, SimpleNamespace(root_mpa=100.0 - floor))
    said = WORDS.text(spinning._mend_floor(wheel, disc, root, floor, allowed))
    number = re.search(r"corner radius of ([\d.]+) mm", said)
    told = {"a smaller wheel": "smaller", "round slot floors": "round"}
    assert (number[1] if number else next(word for text, word in told.items() if said.startswith(text))) == mend
