"""What is said of an answer: every verdict seen to pass and to fail."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from tests.parts.bracket_jobs import in_job
from wheelcad.checks.fem.campbell import campbell
from wheelcad.checks.fem.findings import not_solved, stiffness_findings
from wheelcad.checks.fem.model import (
    BracketChange,
    BracketProposals,
    FemError,
    Held,
    MeshStep,
    Mode,
    ModeShare,
    ShakeAnswer,
    StiffnessResult,
    Vector,
    scaled,
)
from wheelcad.checks.fem.setup import shakes
from wheelcad.findings import Finding
from wheelcad.job.models import Engine
from wheelcad.parts.bracket.bolts import slips_at_g
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.words import Words

JOB = in_job()
MADE = design_bracket(JOB)
assert MADE is not None
DESIGN = MADE


def answer_to(name: str, way: Vector, change: float, aside: float, stress: float) -> ShakeAnswer:
    """A slow shake's answer, nine tenths of it the first mode's."""
    tangent = shakes(DESIGN)[2].direction
    x, y, z = (aside * t for t in tangent)
    share = ModeShare(0.9 * change, (0.9 * x, 0.9 * y, 0.9 * z), 0.9 * stress, 0.6)
    return ShakeAnswer(name, way, change, (x, y, z), stress, (share,))


def result(hz: float = 900.0, change: float = 0.01, aside: float = 0.005, stress: float = 20.5) -> StiffnessResult:
    """A bracket's answer; slowly shaken it gives way as much as said."""
    shaken = tuple(answer_to(s.name, s.direction, change, aside, stress) for s in shakes(DESIGN))
    stiff = Held("stiff", (hz, 3 * hz, 5 * hz), shaken)
    return StiffnessResult(
        modes=tuple(Mode(f, (0.0, 0.0, 1.0), 0.2) for f in stiff.frequencies_hz),
        error_hz=4.0,
        converged=True,
        meshes=(MeshStep(10.0, 20_000, hz * 1.004, 20.0), MeshStep(7.0, 40_000, hz, 20.5)),
        shakes=shaken,
        shake_g=10.0,
        stress_mpa=stress,
        stress_error_mpa=0.5,
        stress_at=(1.0, 2.0, 3.0),
        volume_mm3=DESIGN.folded_volume,
        method="as told",
        soft=replace(scaled(stiff, 0.95), how="soft"),
        stiff=stiff,
    )


def found(answer: StiffnessResult, check: str) -> Finding:
    finding = next(f for f in stiffness_findings(answer, DESIGN) if f.check == check)
    return Words().through(finding)


def test_a_stiff_bracket_passes() -> None:
    findings = stiffness_findings(result(900.0), DESIGN)
    assert {f.verdict for f in findings} == {"pass"}
    assert [f.check for f in findings] == [
        "meshed-volume",
        "mesh-fine-enough",
        "first-frequency",
        "firing-harmonics",
        "gap-lost",
        "timing-shift",
        "stress-shaken",
        "mounts-hold-shaken",
    ]  # no thread is named: the bolts are those of the holes
    assert all(f.source and f.why for f in findings)


def test_another_solid_in_the_file_fails() -> None:
    assert found(replace(result(), volume_mm3=1.01 * DESIGN.folded_volume), "meshed-volume").verdict == "fail"


def test_a_mesh_too_coarse_or_alone_is_warned_of() -> None:
    coarse = replace(result(), meshes=(MeshStep(10.0, 1, 620.0, 1.0), MeshStep(7.0, 2, 600.0, 1.0)))
    assert found(coarse, "mesh-fine-enough").verdict == "warn"
    assert found(replace(result(), meshes=result().meshes[:1]), "mesh-fine-enough").verdict == "warn"


def test_the_first_frequency_is_told_as_a_range() -> None:
    finding = found(result(), "first-frequency")
    assert (finding.verdict, finding.measured, finding.limit) == ("pass", pytest.approx(855.0), pytest.approx(855.0))
    assert "855 Hz soft, 900 Hz stiff" in finding.why
    assert "engine.layout: inline" in finding.why
    # three times firing is order 6: 600 Hz at 6000 rpm; 855/600 is 1.425, told to the even side
    assert "Nothing meets it: it lies 42 % above 3 × firing, which ends at 600 Hz" in finding.why


def test_amplified_not_only_apart() -> None:
    """A third above firing, 266.7 Hz over 200, the gap comes and goes 2.3 times as far as slowly shaken, and 3 × firing
    meets it besides: a third above is not enough."""
    low = found(result(267.0, 0.02), "first-frequency")
    assert low.verdict == "warn"
    assert float(low.limit) > float(low.measured)
    assert "It is met by 2 × firing at" in low.why


def test_at_resonance_the_gap_is_lost() -> None:
    """Four cylinders at 6000 rpm: 2 × firing meets 380 Hz at 5700 rpm with 5 g. 0.01 mm in 10 g becomes
    0.01 · 0.5 · 0.9 · 25 = 0.1125 mm and a little of the rest; softer by 0.95 in frequency, 1/0.95² more."""
    finding = found(result(380.0), "gap-lost")
    wanted = 0.5 * 0.01 / 0.95**2 * math.hypot(0.1, 0.9 * 25) / 0.8 * 100
    assert float(finding.measured) == pytest.approx(wanted, rel=0.01)
    assert "25" in finding.why
    assert "damping 2 % of critical; 2 times that with 1 %, 0.4 times with 5 %" in finding.why
    assert "where 2 × firing shakes at 361 Hz with 5 g" in finding.why


def test_orders_that_do_harm_are_named_with_their_speeds() -> None:
    finding = found(result(380.0, 0.03), "firing-harmonics")
    assert (finding.verdict, finding.measured) == ("warn", 2)
    assert "5415 rpm (2 × firing, gap" in finding.why  # 0.95 · 380 · 60 / 4
    assert "5700 rpm (2 × firing meets 380 Hz)" in finding.why
    assert "3800 rpm (3 × firing meets 380 Hz)" in finding.why
    assert found(result(380.0, 0.001, 0.001, 1.0), "firing-harmonics").verdict == "pass"


def test_no_engine_no_verdict_on_firing() -> None:
    job = JOB.model_copy(update={"engine": None})
    design = replace(DESIGN, asked=replace(DESIGN.asked, job=job))
    checks = [f.check for f in stiffness_findings(result(), design)]
    assert "first-frequency" not in checks
    assert "gap-lost" in checks


SLOW = replace(DESIGN, asked=replace(DESIGN.asked, job=JOB.model_copy(update={"engine": None})))


def slowly(answer: StiffnessResult, check: str) -> Finding:
    """The finding of a job without an engine."""
    return Words().through(next(f for f in stiffness_findings(answer, SLOW) if f.check == check))


def test_gap_and_stress() -> None:
    """The job's gap is 0.8 mm: 0.16 mm is a fifth of it, and 0.8 all of it. S235 yields at 235 MPa."""
    soft = 1 / 0.95**2  # the softer clamping counts
    assert slowly(result(change=0.159 / soft), "gap-lost").verdict == "pass"
    assert slowly(result(change=-0.161 / soft), "gap-lost").verdict == "warn"
    assert slowly(result(change=0.801 / soft), "gap-lost").verdict == "fail"
    assert "resonance left out" in slowly(result(), "gap-lost").why
    assert slowly(result(stress=79.0 * 0.95), "stress-shaken").verdict == "warn"
    assert slowly(result(stress=235.1 * 0.95), "stress-shaken").verdict == "fail"
    assert slowly(result(stress=78.0 * 0.95), "stress-shaken").verdict == "pass"


def test_timing_moves_with_the_nose() -> None:
    """0.1 degrees at the rim of ⌀160 is 0.1396 mm."""
    for mm, verdict in ((0.139, "pass"), (0.141, "warn")):
        assert slowly(result(aside=mm * 0.95**2), "timing-shift").verdict == verdict


def test_slip_where_threads_are_named() -> None:
    """The bolts feel Σ load·(A - 1) + 1 times 10 g: 0.6·25·5 = 75 g at resonance, and slip at what is worked out."""
    job = in_job(bracket={"mounts": [{"x": 150, "y": y, "hole": 9, "thread": "M8"} for y in (60, 110)]})
    made = design_bracket(job)
    assert made is not None
    finding = next(f for f in stiffness_findings(result(380.0), made) if f.check == "mounts-hold-shaken")
    assert float(finding.measured) == pytest.approx(5 * math.hypot(0.4, 0.6 * 25), rel=0.01)
    assert finding.limit == pytest.approx(slips_at_g(made), rel=1e-3)
    assert finding.verdict == "pass"


def test_slip_where_bolts_are_those_of_the_holes_or_unknown() -> None:
    """A hole of 9 mm is for M8, named or not; through one of 1 mm goes no bolt, and nothing is known of slip."""
    named = in_job(bracket={"mounts": [{"x": 150, "y": y, "hole": 9, "thread": "M8"} for y in (60, 110)]})
    made = design_bracket(named)
    assert made is not None
    assert slips_at_g(DESIGN) == pytest.approx(slips_at_g(made))
    for hole, known in ((9.0, True), (1.0, False)):
        mounts = tuple(mount.model_copy(update={"hole": hole}) for mount in DESIGN.asked.bracket.mounts)
        bracket = DESIGN.asked.bracket.model_copy(update={"mounts": mounts})
        held = replace(DESIGN, asked=replace(DESIGN.asked, bracket=bracket))
        checks = [f.check for f in stiffness_findings(result(900.0), held)]
        assert ("mounts-hold-shaken" in checks) == known


BASE = result(380.0).held
THICKER = BracketChange("thickness", "bracket.plate.thickness: 6 mm", 430.0)
BOTH = BracketChange("thickness+gusset", "bracket.plate.thickness: 6 mm and bracket.gusset: yes", 700.0)


def mended(found: BracketProposals) -> list[Finding]:
    answer = replace(result(380.0, 0.03), proposals=found)
    return [Words().through(f) for f in stiffness_findings(answer, DESIGN) if f.check.startswith("stiffer-")]


def test_what_is_enough_comes_first_and_what_is_not_is_a_note() -> None:
    said = mended(
        BracketProposals(BASE, (THICKER, BracketChange("width", "", None, "no room")), (BOTH,), 5, wanted=1.5)
    )
    assert [(f.check, f.measured, f.verdict) for f in said] == [
        ("stiffer-enough", 700.0, "warn"),
        ("stiffer-thickness", 430.0, "note"),
    ]
    assert "cheapest" in said[0].why
    assert "not enough alone" in said[1].why


def test_where_none_will_do_it_says_what_would() -> None:
    places = ((30.0, 300.0), (45.0, 500.0), (60.0, 380.0))
    (none, _) = mended(BracketProposals(BASE, (THICKER,), (), 40, places, 1.5, 55.0))
    assert (none.check, none.verdict) == ("stiffer-none", "warn")
    for words in ("no bracket of this kind will do: 40 combinations", "within 55 mm", "45°: 500 Hz, 60°: 380 Hz"):
        assert words in none.why
    (hopeless, _) = mended(BracketProposals(BASE, (THICKER,), (), 40, places, math.inf))
    assert "a bolt on the sensor's other side" in hopeless.why


def test_a_bracket_that_is_enough_is_left_alone() -> None:
    assert mended(BracketProposals(BASE)) == []


def test_what_cannot_be_solved_fails() -> None:
    (finding,) = not_solved(FemError("the mesher cannot be loaded"))
    assert finding.verdict == "fail"
    assert "mesher" in str(finding.measured)


def test_crossings_of_an_odd_firing_twin() -> None:
    """A 90° twin, 270/450: half orders too. 75 Hz is met by order 1.5 at 3000 rpm."""
    engine = Engine(cylinders=2, firing_angles=(0, 270), max_speed=6500, layout="vee", vee_angle=90)
    plot = campbell([75.0, 800.0, 900.0], engine)
    assert plot is not None
    assert [o.order for o in plot.orders] == [0.5, 1.0, 1.5, 2.0, 2.5, 3.0]
    met = {(c.mode, c.order): c.rpm for c in plot.crossings}
    assert met[(1, 1.5)] == 3000.0
    assert (1, 0.5) not in met  # 9000 rpm
    assert [c.rpm for c in plot.crossings] == sorted(c.rpm for c in plot.crossings)
    assert [plot.label(o) for o in plot.orders] == [
        "order 0.5",
        "firing",  # counterweights take the first order of a 90° vee
        "order 1.5",
        "second-order force",
        "order 2.5",
        "3 × firing",
    ]
    assert campbell([75.0], Engine(cylinders=2)) is None
    assert campbell([75.0], None) is None


@pytest.mark.parametrize("hz", [100.0, 437.5])
def test_crossings_lie_where_line_and_frequency_meet(hz: float) -> None:
    plot = campbell([hz], JOB.engine)
    assert plot is not None
    assert plot.crossings
    for crossing in plot.crossings:
        assert crossing.order * crossing.rpm / 60 == pytest.approx(hz, rel=0.01)
        assert crossing.rpm <= plot.max_speed_rpm


@pytest.mark.parametrize(("times", "verdict"), [(1.0049, "pass"), (0.9949, "fail"), (1.0051, "fail")])
def test_the_meshed_volume_is_off_by_so_many_per_cent(times: float, verdict: str) -> None:
    finding = found(replace(result(), volume_mm3=times * DESIGN.solid_volume), "meshed-volume")
    assert (finding.verdict, finding.unit) == (verdict, "%")
    assert finding.measured == pytest.approx(100 * abs(times - 1), abs=5e-4)
