"""The spacer between pulley and plate: what collides, what is poor, where it puts the ring."""

from __future__ import annotations

import math

import pytest

from tests.conftest import demo_text
from wheelcad.errors import JobError
from wheelcad.files.brep import figures
from wheelcad.findings import Finding
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.adapter.design import AdapterDesign, design_adapter
from wheelcad.parts.adapter.solid import adapter_solid
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.words import Words

BOLTS = "{count: 3, circle: 80, hole: 8.4, first_at: 20}"
PILOT = "{diameter: 59.95, length: 2}"


def job_of(
    length: float = 12,
    outside: float = 100,
    pilot: str = PILOT,
    bolts: str = BOLTS,
    ring_at: str = "",
    sensor: str = "",
) -> Job:
    """A plate of 4 mm, bore 60, slot floors at ⌀147.3, on a pulley with a bore of 28."""
    return parse_job(
        "job: spaced\nwheel: {form: plate, teeth: 36, missing: 1, outside_diameter: 160, thickness: 4, bore: 60,"
        " slot: {width: 6, depth: 6.35}}\n"
        f"pulley: {{bore: 28{f', bolts: {bolts}' if bolts else ''}}}\n"
        f"adapter: {{length: {length}, outside_diameter: {outside}{f', pilot: {pilot}' if pilot else ''}{ring_at}}}\n"
        + sensor
    )


def made(job: Job) -> AdapterDesign:
    """The adapter of a job that has one."""
    adapter = design_adapter(job)
    assert adapter is not None
    return adapter


def verdicts(job: Job) -> dict[str, Finding]:
    """Its findings by their check."""
    return {finding.check: finding for finding in made(job).findings}


def test_bolts_go_through_plate_and_spacer_alike() -> None:
    job = job_of()
    plate = sorted(o.round for o in design_wheel(job).openings if o.name == "bolt" and o.round is not None)
    assert sorted(o.round for o in made(job).bolts if o.round is not None) == plate
    assert made(job).bolt_mm == 8
    assert made(job).grip_mm == 16
    assert made(job).least_bolt_length_mm == 16 + 12
    assert made(job).ring_at_mm == 14
    assert made(job).report()["grip_mm"] == 16


def test_the_solid_by_hand() -> None:
    solid = figures(adapter_solid(made(job_of())))
    disc = math.pi / 4 * ((100**2 - 28**2) * 12 + (59.95**2 - 28**2) * 2)
    assert solid.volume == pytest.approx(disc - 3 * math.pi / 4 * 8.4**2 * 12, rel=1e-9)
    assert solid.valid


@pytest.mark.parametrize(
    ("job", "key"),
    [
        (job_of(outside=88), "adapter.outside_diameter"),
        (job_of(pilot="{diameter: 59.9, length: 2}", bolts=BOLTS.replace("80", "68")), "adapter.pilot.diameter"),
        (job_of(outside=60, bolts=""), None),
        (job_of(outside=59, bolts=""), "adapter.pilot.diameter"),
        (job_of(outside=28, pilot="", bolts=""), "adapter.outside_diameter"),
        (job_of(outside=28.1, pilot="", bolts=""), None),
        (job_of(pilot="{diameter: 27, length: 2}"), "adapter.pilot.diameter"),
        (job_of(pilot="", bolts=BOLTS.replace("80", "36")), "pulley.bolts.circle"),
    ],
)
def test_what_collides(job: Job, key: str | None) -> None:
    if key is None:
        assert made(job).bolts == ()
        return
    with pytest.raises(JobError) as caught:
        design_adapter(job)
    assert key in [fault.dotted for fault in caught.value.faults]


@pytest.mark.parametrize(
    ("check", "good", "poor"),
    [
        ("bolt-wall", job_of(), job_of(outside=91)),
        ("adapter-bolts", None, job_of(bolts="")),
        ("pilot-least", job_of(), job_of(pilot="{diameter: 59.95, length: 0.5}")),
        ("pilot-length", job_of(), job_of(pilot="{diameter: 59.95, length: 5}")),
        ("pilot-wall", job_of(), job_of(pilot="{diameter: 31, length: 2}")),
        ("spacer-behind-slots", job_of(), job_of(outside=150)),
        ("ring-position", job_of(ring_at=", ring_at: 14.4"), job_of(ring_at=", ring_at: 15")),
    ],
)
def test_poor_ones_are_found(check: str, good: Job | None, poor: Job) -> None:
    assert good is None or verdicts(good)[check].verdict == "pass"
    assert verdicts(poor)[check].verdict == "warn"


def test_where_the_ring_lands_depends_on_what_looks_at_it() -> None:
    along = "sensor: {kind: hall, looks: along, at: 60, air_gap: 0.8, air_gap_range: [0.5, 1.0]}\n"
    near = verdicts(job_of(ring_at=", ring_at: 14.15", sensor=along))["ring-position"]
    far = verdicts(job_of(ring_at=", ring_at: 14.25", sensor=along))["ring-position"]
    assert (near.verdict, far.verdict) == ("pass", "warn")
    assert near.limit == pytest.approx(0.2)
    small = "sensor: {kind: hall, at: 60, face_diameter: 2}\n"
    assert verdicts(job_of(ring_at=", ring_at: 14.9", sensor=small))["ring-position"].limit == pytest.approx(1.0)
    assert "13 mm long" in Words("mm").text(verdicts(job_of(ring_at=", ring_at: 15"))["ring-position"].why)
    assert "no adapter" in verdicts(job_of(ring_at=", ring_at: 1"))["ring-position"].why


def test_no_ring_position_without_being_asked_and_no_adapter_without_a_plate() -> None:
    assert "ring-position" not in verdicts(job_of())
    assert design_adapter(parse_job(demo_text("tarn-six"))) is None


def test_walls_beside_the_bolt_holes_by_hand() -> None:
    """⌀80 circle, ⌀8.4 holes: to ⌀100 are (100 - 80 - 8.4)/2 = 5.8 mm, to the ⌀59.95 pilot (80 - 8.4 - 59.95)/2."""
    assert verdicts(job_of())["bolt-wall"].measured == pytest.approx(5.8)
    assert verdicts(job_of(outside=110))["bolt-wall"].measured == pytest.approx(5.825)
    with pytest.raises(JobError, match="too small for the pulley's bolt circle"):
        made(job_of(outside=88.4))
    assert made(job_of(outside=88.5)).bolts


def test_an_adapter_by_hand() -> None:
    """Bore, grip and the shortest bolt: 12 + 4 mm, and one and a half diameters of M8 in the pulley."""
    said = made(job_of()).report()
    assert (said["bore_mm"], said["bolt_mm"], said["grip_mm"], said["least_bolt_length_mm"]) == (28, 8, 16, 28)


def test_walls_at_their_limits() -> None:
    """2 mm round bolt holes and beside the bore, a millimetre of pilot: common practice, no source."""
    for outside, verdict in ((92.4, "pass"), (92.2, "warn")):  # ⌀80 circle, ⌀8.4 holes: 88.4 and twice 2
        assert verdicts(job_of(outside=outside))["bolt-wall"].verdict == verdict
    for across, verdict in ((32.0, "pass"), (31.9, "warn")):  # a bore of 28
        assert verdicts(job_of(pilot=f"{{diameter: {across}, length: 2}}"))["pilot-wall"].verdict == verdict
    for long, verdict in ((1.0, "pass"), (0.95, "warn"), (4.0, "pass"), (4.1, "warn")):  # a plate of 4
        said = verdicts(job_of(pilot=f"{{diameter: 59.95, length: {long}}}"))
        assert "warn" in (said["pilot-least"].verdict, said["pilot-length"].verdict) or verdict == "pass"
        assert {said["pilot-least"].verdict, said["pilot-length"].verdict} == {"pass", verdict}


def test_no_adapter_of_less_than_nothing_is_offered() -> None:
    """A plate of 4 mm: its middle is 2 mm in front of the pulley without any spacer."""
    for wanted, cure in (("2", "no adapter"), ("2.5", "0.5 mm long"), ("2.1", "0.1 mm long")):
        assert cure in Words("mm").text(verdicts(job_of(ring_at=f", ring_at: {wanted}"))["ring-position"].why)


@pytest.mark.parametrize(
    ("face", "limit"),
    [
        ("face_diameter: 2", 1.0),  # a plate of 4: a millimetre on either side
        ("face_diameter: 2.8", 0.6),
        ("face_diameter: 3.2", 0.5),  # never less than half a millimetre, our judgement
        ("face_diameter: 6", 0.5),
    ],
)
def test_how_far_off_a_ring_may_be_that_is_seen_from_outside(face: str, limit: float) -> None:
    sensor = f"sensor: {{kind: hall, at: 60, {face}}}\n"
    found = verdicts(job_of(ring_at=", ring_at: 14", sensor=sensor))["ring-position"]
    assert found.limit == pytest.approx(limit)


def test_what_collides_is_told_with_the_size_that_would_not() -> None:
    """No pilot: a bore of 28 and holes of 8.4 need a circle over 36.4. A pilot as wide as the spacer is the fault."""
    with pytest.raises(JobError) as caught:
        made(job_of(pilot="", bolts=BOLTS.replace("80", "36")))
    assert Words("mm").text(caught.value.faults[0].allowed) == "more than 36.4 mm"
    with pytest.raises(JobError) as caught:
        made(job_of(outside=27, pilot="{diameter: 27, length: 2}", bolts=""))
    assert {fault.dotted for fault in caught.value.faults} == {"adapter.pilot.diameter"}


def test_without_a_bore_in_the_pulley_the_spacer_is_solid() -> None:
    job = job_of()
    assert job.pulley is not None
    solid = made(job.model_copy(update={"pulley": job.pulley.model_copy(update={"bore": None})}))
    assert (solid.bore_radius_mm, solid.report()["bore_mm"]) == (0.0, 0.0)
    assert solid.section.bounds()[0] == 0.0
