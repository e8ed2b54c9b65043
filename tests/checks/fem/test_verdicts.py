"""What is said of an answer: every verdict seen to pass and to fail."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.parts.bracket_jobs import in_job
from wheelcad.checks.fem.campbell import campbell
from wheelcad.checks.fem.findings import not_solved, stiffness_findings, would_give
from wheelcad.checks.fem.model import Change, FemError, MeshStep, Mode, ShakeAnswer, StiffnessResult
from wheelcad.checks.fem.setup import shakes
from wheelcad.findings import Finding
from wheelcad.job.models import Engine
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.words import Words

JOB = in_job()
MADE = design_bracket(JOB)
assert MADE is not None
DESIGN = MADE


def result(hz: float = 600.0, change: float = 0.01) -> StiffnessResult:
    """A stiff bracket's answer."""
    return StiffnessResult(
        modes=tuple(Mode(f, (0.0, 0.0, 1.0), 0.2) for f in (hz, 3 * hz, 5 * hz)),
        error_hz=4.0,
        converged=True,
        meshes=(MeshStep(10.0, 20_000, hz * 1.004, 20.0), MeshStep(7.0, 40_000, hz, 20.5)),
        shakes=tuple(ShakeAnswer(s.name, s.direction, change, (0.0, 0.0, 0.005), 20.5) for s in shakes(DESIGN)),
        shake_g=10.0,
        stress_mpa=20.5,
        stress_error_mpa=0.5,
        stress_at=(1.0, 2.0, 3.0),
        volume_mm3=DESIGN.folded_volume,
        method="as told",
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
    ]
    assert all(f.source and f.why for f in findings)


def test_another_solid_in_the_file_fails() -> None:
    assert found(replace(result(), volume_mm3=1.01 * DESIGN.folded_volume), "meshed-volume").verdict == "fail"


def test_a_mesh_too_coarse_or_alone_is_warned_of() -> None:
    coarse = replace(result(), meshes=(MeshStep(10.0, 1, 620.0, 1.0), MeshStep(7.0, 2, 600.0, 1.0)))
    assert found(coarse, "mesh-fine-enough").verdict == "warn"
    assert found(replace(result(), meshes=result().meshes[:1]), "mesh-fine-enough").verdict == "warn"


def test_a_third_above_firing() -> None:
    """Four cylinders at 6000 rpm fire 200 times a second; a third above is 266.7 Hz. Common practice, no source."""
    assert found(result(266.8), "first-frequency").verdict == "pass"
    low = found(result(266.0), "first-frequency")
    assert (low.verdict, low.limit) == ("warn", 266.7)
    assert "7980 rpm" in low.why  # 266 Hz · 60 / 2


def test_harmonics_are_named_with_their_speeds() -> None:
    finding = found(result(380.0), "firing-harmonics")
    assert (finding.verdict, finding.measured) == ("note", 2)
    assert "5700 rpm (2 × firing meets 380 Hz)" in finding.why  # 380 · 60 / 4
    assert "3800 rpm (3 × firing meets 380 Hz)" in finding.why
    assert found(result(601.0), "firing-harmonics").verdict == "pass"


def test_no_engine_no_verdict_on_firing() -> None:
    job = JOB.model_copy(update={"engine": None})
    design = replace(DESIGN, asked=replace(DESIGN.asked, job=job))
    checks = [f.check for f in stiffness_findings(result(), design)]
    assert "first-frequency" not in checks
    assert "gap-lost" in checks


def test_gap_and_stress() -> None:
    """The job's gap is 0.8 mm: 0.16 mm is a fifth of it, and 0.8 all of it. S235 yields at 235 MPa."""
    assert found(result(change=0.159), "gap-lost").verdict == "pass"
    assert found(result(change=-0.161), "gap-lost").verdict == "warn"
    assert found(result(change=0.8), "gap-lost").verdict == "fail"
    assert found(replace(result(), stress_mpa=79.0), "stress-shaken").verdict == "warn"
    assert found(replace(result(), stress_mpa=235.0), "stress-shaken").verdict == "fail"


def test_timing_moves_with_the_nose() -> None:
    """0.1 degrees at the rim of ⌀160 is 0.1396 mm."""
    for mm, verdict in ((0.139, "pass"), (0.141, "warn")):
        tangent = shakes(DESIGN)[2].direction
        aside = ShakeAnswer("round the crank", tangent, 0.0, tuple(mm * t for t in tangent), 1.0)  # type: ignore[arg-type]
        answer = replace(result(), shakes=(*result().shakes[:2], aside))
        assert found(answer, "timing-shift").verdict == verdict


def test_proposals_are_scaled_sorted_out_and_judged() -> None:
    offered = (
        Change("thickness", "bracket.plate.thickness: 6 mm", 330.0),
        Change("width", "bracket.width: 55 mm", 210.0),
        Change("shorter-arm", "sensor.at", None, "no room"),
    )
    first = replace(result(200.0).meshes[0], first_hz=220.0)
    answer = replace(result(200.0), meshes=(first, *result(200.0).meshes[1:]), proposals=offered)
    said = [f for f in stiffness_findings(answer, DESIGN) if f.check.startswith("stiffer-")]
    assert [(f.check, f.measured, f.verdict) for f in said] == [("stiffer-thickness", 300.0, "warn")]
    assert "helps most" in said[0].why
    assert "enough" in said[0].why
    assert would_give(offered[2], answer) is None
    stiff = replace(result(300.0), proposals=offered)
    assert found(stiff, "stiffer-thickness").verdict == "pass"


def test_what_cannot_be_solved_fails() -> None:
    (finding,) = not_solved(FemError("the mesher cannot be loaded"))
    assert finding.verdict == "fail"
    assert "mesher" in str(finding.measured)


def test_crossings_of_an_odd_firing_twin() -> None:
    """A 90° twin, 270/450: half orders too. 75 Hz is met by order 1.5 at 3000 rpm."""
    engine = Engine(cylinders=2, firing_angles=(0, 270), max_speed=6500)
    plot = campbell([75.0, 800.0, 900.0], engine)
    assert plot is not None
    assert [o.order for o in plot.orders] == [0.5, 1.0, 1.5, 2.5, 3.0]
    met = {(c.mode, c.order): c.rpm for c in plot.crossings}
    assert met[(1, 1.5)] == 3000.0
    assert (1, 0.5) not in met  # 9000 rpm
    assert [c.rpm for c in plot.crossings] == sorted(c.rpm for c in plot.crossings)
    assert [plot.label(o) for o in plot.orders] == ["order 0.5", "firing", "order 1.5", "order 2.5", "3 × firing"]
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
