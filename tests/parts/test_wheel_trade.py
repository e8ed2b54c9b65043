"""Every verdict of the trade on a wheel, passing on one job and not on another; numbers worked out again by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest

from tests.conftest import demo_text, edited, plate_job
from wheelcad.codes import Check
from wheelcad.findings import Finding
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.blank.design import design_blank
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.trade import SIDEWAYS, wheel_findings

HALL = "sensor: {kind: hall, at: 60, air_gap: 0.8, air_gap_range: [0.5, 1.5], face_diameter: 4}\n"
CAM = "cam: {style: half-moon, outside_diameter: 60, root_diameter: 50, thickness: 4}\n"
PULLEY = "pulley: {bore: 28, bolts: {count: 4, circle: 80, hole: 8.4}}\n"


def verdicts(job: Job) -> dict[str, Finding]:
    """The wheel's findings by their check."""
    design_blank(job)  # a job that cannot be turned is no example
    return {finding.check: finding for finding in wheel_findings(job, design_wheel(job))}


def six(*changes: tuple[str, str]) -> Job:
    """The turned-down demo with changes."""
    return parse_job(edited(demo_text("tarn-six"), *changes))


def bought(text: str) -> Job:
    """A plate wheel with this in its wheel section and after it."""
    inside, _, after = text.partition("|")
    return parse_job(
        "job: a\nengine: {max_speed: 6000}\nwheel: {form: plate, teeth: 36, outside_diameter: 160, thickness: 3.2,"
        f" slot: {{width: 6, depth: 6.35}}, {inside}}}\n{after}\n"
    )


plate = plate_job
NARROW = "{width: 6, depth: 6.35, floor: flat}"
FRONT, BACK = "{length: 8, diameter: 118}", "{length: 14.8, diameter: 118}"
WIDE = ((FRONT, "{length: 8, diameter: 147}"), (BACK, "{length: 14.8, diameter: 147}"))
BOLTS = "  bolts: {count: 4, circle: 80, hole: 8.4, first_at: 45 deg}\n"
RECESS = "  recess: {diameter: 60, depth: 10}\n"
BELT = ", groove: {width: 12, depth: 11, angle: 36 deg}"
KEY = "keyway: {width: 10, depth: 3.3, at: 0 deg}"
WIDE_KEY = six(
    *WIDE, ("bore: 32", "bore: 110"), (KEY, "keyway: {width: 8, depth: 17}"), (BOLTS, ""), (RECESS, ""), (BELT, "")
)
WIDE_RECESS = six(*WIDE, (RECESS, "  recess: {diameter: 145, depth: 9}\n"))
BESIDE = six(
    (BACK, f"{{length: 12.8, diameter: 147{BELT}}}"), ("{length: 26, diameter: 168}", "{length: 24, diameter: 168}")
)
SPACER = "adapter: {length: 10, outside_diameter: 110, pilot: {diameter: 39.95, length: 2}}"
PILOTED = bought(f"missing: 1, bore: 40|{PULLEY}{SPACER}")
THIN = six(("thickness: 3.2", "thickness: 2.5"), (BACK, "{length: 15.5, diameter: 118}"))
SLOW = parse_job(demo_text("beck-four").replace("cranking_speed: 220 rpm", "cranking_speed: 30 rpm"))
TORCH = "shop: {plasma: {kerf: 1.4}}\n"


def pickup(face: float = 2, gap: float = 0.7, **values: Any) -> Job:
    """A plate wheel read by a reluctance sensor."""
    return plate(extra=f"sensor: {{kind: reluctance, at: 60, air_gap: {gap}, face_diameter: {face}}}\n", **values)


def hall(**values: Any) -> Job:
    """A plate wheel read by a Hall sensor."""
    return plate(extra=HALL, **values)


def tight(low: float, high: float) -> Job:
    """A Hall sensor whose gap lies outside its range, which only a script can ask for."""
    job = hall()
    assert job.sensor is not None
    return job.model_copy(update={"sensor": job.sensor.model_copy(update={"air_gap_range": (low, high)})})


CASES: list[tuple[str, Job, Job, str]] = [
    # check, a job that passes, a job that does not, its verdict there
    ("gap-pattern", plate(), bought("gaps: [{at: 0, missing: 1}, {at: 180, missing: 1}], bore: 40"), "warn"),
    ("magnetic", plate(), six(("material: grey-iron", "material: aluminium-6061")), "warn"),
    ("rubber-ring", six(), six(("rubber_ring: no", "rubber_ring: yes")), "warn"),
    ("rim-stress", six(), six(("max_speed: 5200 rpm", "max_speed: 14000 rpm")), "fail"),
    ("rim-speed", six(("max_speed: 5200 rpm", "max_speed: 3500 rpm")), six(), "warn"),
    ("rim-left", six(), bought("missing: 1, bore: 140"), "warn"),
    ("keyway-clear", six(), WIDE_KEY, "warn"),
    ("bolts-clear", plate(extra=PULLEY), plate(extra=PULLEY.replace("80", "136")), "warn"),
    ("recess-clear", six(), WIDE_RECESS, "warn"),
    ("groove-clear", six(), BESIDE, "warn"),
    ("centring", PILOTED, plate(extra=PULLEY), "warn"),
    (
        "slot-cutter",
        plate(extra="shop: {cutter: {diameter: 6}}"),
        plate(extra="shop: {cutter: {diameter: 6.5}}"),
        "fail",
    ),
    ("plasma-slot", plate(extra=TORCH), plate(extra=TORCH, slot="{width: 4, depth: 6}"), "note"),
    ("plasma-tooth", plate(extra=TORCH, diameter=240), plate(extra=TORCH, diameter=110), "note"),
    ("tooth-top", hall(), hall(teeth=70), "warn"),
    ("slot-width", hall(), hall(slot="{width: 1.8, depth: 6}"), "warn"),
    ("slot-depth", hall(), hall(slot="{width: 3, depth: 1.8, floor: flat}"), "warn"),
    ("ring-thickness", hall(), THIN, "warn"),
    ("sensing-part", hall(), hall(teeth=60), "warn"),
    ("air-gap", hall(), tight(0.5, 0.7), "warn"),
    ("air-gap-least", hall(), tight(0.9, 1.5), "warn"),
    ("tooth-top", pickup(), pickup(face=9), "warn"),
    ("slot-width", pickup(), pickup(face=2.5), "warn"),
    ("slot-depth", pickup(), pickup(slot="{width: 7, depth: 6, floor: flat}"), "warn"),
    ("ring-thickness", pickup(), pickup(face=4), "warn"),
    ("air-gap", pickup(), pickup(gap=1.2), "warn"),
    ("air-gap-least", pickup(), pickup(gap=0.3), "warn"),
    ("rim-speed-cranking", pickup(), SLOW, "warn"),
    ("gap-present", plate(missing=0, extra=CAM), plate(missing=0), "warn"),
]


@pytest.mark.parametrize(("check", "good", "poor", "verdict"), CASES, ids=[f"{i}-{c[0]}" for i, c in enumerate(CASES)])
def test_passes_on_one_job_and_not_on_another(check: str, good: Job, poor: Job, verdict: str) -> None:
    assert verdicts(good)[check].verdict == "pass"
    assert verdicts(poor)[check].verdict == verdict


def test_looking_along_the_sizes_change_places_and_say_so() -> None:
    """A slot is then as deep as the plate is thick, and the teeth are as wide as the slots are deep."""
    ahead = pickup(slot="{width: 6, depth: 5}")
    assert ahead.sensor is not None
    along = ahead.model_copy(update={"sensor": ahead.sensor.model_copy(update={"looks": "along"})})
    for check, name, size in (
        (Check.SLOT_DEPTH, "wheel.thickness", 3.2),
        (Check.RING_THICKNESS, "wheel.slot.depth", 5.0),
    ):
        assert verdicts(along)[check].measured == pytest.approx(size)
        assert verdicts(along)[check].why == f"{verdicts(ahead)[check].why} {SIDEWAYS[check]}"
        assert name in verdicts(along)[check].why


def test_a_plate_without_a_bore_is_warned_of() -> None:
    assert verdicts(bought("missing: 1"))["bore"].verdict == "warn"
    assert "bore" not in verdicts(plate())


def test_every_verdict_names_a_source_and_a_reason() -> None:
    for name in ("tarn-six", "fell-twin", "beck-four"):
        for finding in verdicts(parse_job(demo_text(name))).values():
            assert finding.source
            assert finding.why


def test_the_demos_fail_nothing() -> None:
    for name in ("tarn-six", "fell-twin", "beck-four"):
        found = verdicts(parse_job(demo_text(name)))
        assert [check for check, finding in found.items() if finding.verdict == "fail"] == []


def test_a_plasma_cut_tooth_in_degrees_by_hand() -> None:
    # ISO 9013, class 2, plate over 3.15 up to 6.3 mm, sizes 3 to 10 mm: ±0.8 mm, here at a radius of 80 mm
    assert verdicts(plate(extra=TORCH))["plasma-tooth"].measured == pytest.approx(math.degrees(0.8 / 80))


def test_rim_left_by_hand() -> None:
    six_found = verdicts(six())
    assert six_found["rim-left"].measured == pytest.approx(80 - 6.35 - 40 - 4.2)  # down to the bolt holes
    assert six_found["recess-clear"].measured == pytest.approx(80 - 6.35 - 30)
    corner = math.hypot(5, 16 + 3.3)
    assert six_found["keyway-clear"].measured == pytest.approx(80 - 6.35 - corner)


def test_a_recess_that_ends_in_front_of_the_ring_is_further_away() -> None:
    # the ring's front is at 1.6, the pulley's at 9.6: a recess 5 deep ends 3 in front of the ring
    shallow = six(("recess: {diameter: 60, depth: 10}", "recess: {diameter: 60, depth: 5}"))
    assert verdicts(shallow)["recess-clear"].measured == pytest.approx(math.hypot(3.0, 43.65))
    assert verdicts(shallow)["rim-left"].measured == verdicts(six())["rim-left"].measured


def test_a_groove_beside_the_ring_by_hand() -> None:
    # a land of 12.8 with a groove of 12 in its middle leaves 0.4 beside the ring, and ends 0.15 below the floors
    assert verdicts(BESIDE)["groove-clear"].measured == pytest.approx(math.hypot(0.4, 73.65 - 73.5))


def test_centring_by_hand() -> None:
    by_bolts = verdicts(plate(extra="pulley: {bolts: {count: 4, circle: 80, hole: 6.6}}\n"))["centring"]
    assert by_bolts.measured == pytest.approx(0.6)  # M6 in ISO 273 medium
    inch = verdicts(plate(extra="pulley: {bolts: {count: 4, circle: 80, hole: 17/64 in}}\n"))["centring"]
    assert inch.measured == pytest.approx(25.4 / 64)  # a quarter inch in 17/64


def test_rim_stress_by_hand() -> None:
    """Bore hoop of the disc out to the floors, and the teeth's pull, beside the notch at the floors."""
    found = verdicts(plate())["rim-stress"]
    rho, nu, w = 7850.0, 0.3, 2 * math.pi * 6000 / 60
    a, f, b = 0.020, 0.07365, 0.080
    disc_bore = (3 + nu) / 4 * rho * w**2 * (f**2 + (1 - nu) / (3 + nu) * a**2)
    disc_floor = (3 + nu) / 4 * rho * w**2 * (a**2 + (1 - nu) / (3 + nu) * f**2)
    share = 1 - math.asin(3 / 80) * 36 / math.pi
    pull = share * rho * w**2 * (b**3 - f**3) / 3 / f
    ring = pull * f**2 / (f**2 - a**2)
    bore, floor = disc_bore + 2 * ring, disc_floor + ring * (1 + a**2 / f**2)
    root = 2 * math.pi * f / 36 * 1000 - 6  # of a tooth, mm
    corner = floor + 0.42 * math.sqrt(root / 3) * (floor + pull / share)
    assert found.measured == pytest.approx(max(bore, corner, 2.1 * floor) / 1e6, rel=1e-9)


def test_a_plate_on_a_rubber_pulley_is_told_to_mind_the_bolt_circle() -> None:
    found = verdicts(plate(extra="pulley: {bore: 28, rubber_ring: yes, bolts: {count: 4, circle: 80, hole: 8.4}}\n"))
    assert found["rubber-ring"].verdict == "pass"
    assert "bolt circle" in found["rubber-ring"].why
    assert "witness mark" in verdicts(six(("rubber_ring: no", "rubber_ring: yes")))["rubber-ring"].why


def test_passes_a_slot_are_counted() -> None:
    assert "1 pass a slot" in verdicts(plate(extra="shop: {cutter: {diameter: 6}}\n", slot=NARROW))["slot-cutter"].why
    assert "2 passes" in verdicts(plate(extra="shop: {cutter: {diameter: 5}}\n", slot=NARROW))["slot-cutter"].why


def test_a_ready_made_toothed_ring_needs_no_cutter_and_no_torch() -> None:
    shop = "shop: {cutter: {diameter: 6}, plasma: {kerf: 1.4}}"
    assert {"slot-cutter", "plasma-slot"} <= set(verdicts(bought(f"missing: 1, bore: 40|{shop}")))
    found = verdicts(bought(f"missing: 1, bore: 40, as_found: {{bore: 30}}|{shop}"))
    assert not {"slot-cutter", "plasma-slot", "plasma-tooth"} & set(found)
    assert "ring-work" in found
