"""Verdicts on a bracket at their limits and a little beyond, and how its meshes follow each other; by hand."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any, cast

import pytest

from wheelcad.checks.fem import findings, refining
from wheelcad.checks.fem.model import Held, MeshStep, ShakeAnswer, StiffnessResult
from wheelcad.checks.fem.response import Peak, Speeds, WorstShake, worst
from wheelcad.findings import Finding
from wheelcad.trade.excitation import Order
from wheelcad.words import Words


def judged(**said: Any) -> Any:
    """A bracket that loses, shaken slowly, so much of each; its gap is 0.8 mm, of which 0.2 may go."""
    peaks = {name: Peak(said.pop(name, 0.0)) for name in ("gap", "aside", "stress", "load")}
    shake = ShakeAnswer("up", (0.0, 0.0, 1.0), -0.004, (0.0, 0.0, 0.0), 3.0)
    result = SimpleNamespace(
        held=(Held("soft", (100.0,), (shake,)), Held("stiff", (130.0,), ())), shake_g=10.0,
        stress_at=(1.0, 2.0, 3.0), stress_mpa=3.0, stress_error_mpa=0.5, range_hz=(103.456, 130.0), shakes=(shake,),
    )  # fmt: skip
    limits = SimpleNamespace(gap=0.2, aside=0.1, stress=80.0, load=12.0, strength=240.0, radius=80.0)
    given = {
        "found": WorstShake(**peaks),
        "result": result,
        "limits": limits,
        "speeds": None,
        "at": lambda peak: "slowly",
    }
    return cast(Any, SimpleNamespace(**{**given, "design": SimpleNamespace(gap=0.8), **said}))


@pytest.mark.parametrize(
    ("size", "share", "verdict"),
    [(0.1, 12.5, "pass"), (0.2, 25.0, "pass"), (0.204, 25.5, "warn"), (0.796, 99.5, "warn"), (0.8, 100.0, "fail")],
)
def test_how_much_of_the_gap_may_go(size: float, share: float, verdict: str) -> None:
    """In per cent of it; all of it is a nose that touches."""
    found = findings._gap(judged(gap=size))
    assert (found.measured, found.limit, found.verdict) == (share, 25.0, verdict)
    assert "Slow shakes of 10 g take " in found.why
    assert Words().text(found.why).count("0.004 mm up") == 1


@pytest.mark.parametrize(("size", "verdict"), [(0.05, "pass"), (0.1, "pass"), (0.102, "warn")])
def test_how_far_the_nose_may_swing(size: float, verdict: str) -> None:
    """As an angle seen from the crank, 80 mm away."""
    found = findings._timing(judged(aside=size))
    assert found.measured == pytest.approx(math.degrees(size / 80.0), rel=1e-3)
    assert found.limit == pytest.approx(math.degrees(0.1 / 80.0), rel=1e-4)
    assert found.verdict == verdict


@pytest.mark.parametrize(
    ("mpa", "verdict"), [(80.0, "pass"), (80.5, "warn"), (239.0, "warn"), (240.0, "fail"), (300.0, "fail")]
)
def test_stress_to_a_third_of_the_yield_strength(mpa: float, verdict: str) -> None:
    found = findings._stress(judged(stress=mpa))
    assert (found.measured, found.limit, found.verdict) == (mpa, 80.0, verdict)


@pytest.mark.parametrize(("load", "verdict"), [(12.0, "pass"), (12.1, "warn")])
def test_bolts_hold_to_where_they_slip(load: float, verdict: str) -> None:
    (found,) = findings._slip(judged(load=load))
    assert (found.measured, found.limit, found.verdict) == (load, 12.0, verdict)
    loose = judged(load=load)
    loose.limits.load = math.inf
    assert list(findings._slip(loose)) == []


# --- speeds --------------------------------------------------------------------------------------------------------
FIRST, SECOND = Order(1.0, 1.0, names=("first",)), Order(2.0, 1.0, names=("second",))
SPEEDS = Speeds((FIRST, SECOND), 600.0, 6000.0, (1.0, 0.0, 0.0))  # from 10 and 20 Hz to 100 and 200 Hz


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (200.1, 300.0, "Nothing meets it: it lies 0 % above second, which ends at 200 Hz"),
        (302.0, 330.0, "Nothing meets it: it lies 51 % above second, which ends at 200 Hz"),
        (200.0, 300.0, "It is met by second at 6000 rpm to 6000 rpm"),
        (150.0, 300.0, "It is met by second at 4500 rpm to 6000 rpm"),
        (100.0, 120.0, "It is met by first at 6000 rpm to 6000 rpm, second at 3000 rpm to 3600 rpm"),
        (5.0, 10.0, "It is met by first at 600 rpm to 600 rpm"),
        (15.0, 20.0, "It is met by first at 900 rpm to 1200 rpm, second at 600 rpm to 600 rpm"),
    ],
)
def test_which_orders_come_near(low: float, high: float, said: str) -> None:
    assert Words().text(findings._separation(SPEEDS, low, high)) == said


@pytest.mark.parametrize(
    ("gap", "aside", "stress", "load", "over"),
    [
        (0.2, 0.1, 80.0, 12.0, None),
        (0.21, 0.1, 80.0, 12.0, "1100 rpm (first, gap 0.21 mm)"),
        (0.2, 0.1, 81.0, 12.0, "1300 rpm (first, 81 MPa)"),
        (0.2, 0.11, 80.0, 12.0, "1200 rpm (first)"),
        (0.2, 0.1, 80.0, 12.5, "1200 rpm (first)"),
        (0.21, 0.11, 81.0, 12.5, "1100 rpm (first, gap 0.21 mm)"),
    ],
)
def test_orders_that_pass_a_limit_by_themselves(
    gap: float, aside: float, stress: float, load: float, over: str | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two orders, of which the second keeps every limit."""
    peaks = WorstShake(Peak(gap, 1100.0), Peak(aside, 1200.0), Peak(stress, 1300.0), Peak(load, 1400.0))
    calm = WorstShake(Peak(), Peak(), Peak(), Peak())
    monkeypatch.setattr(findings, "worst_by_order", lambda held, speeds: [(FIRST, peaks), (SECOND, calm)])
    plot = cast(Any, SimpleNamespace(label=lambda order: order.names[0], crossings=()))
    found = findings._harmonics(judged(), plot, SPEEDS)
    assert (found.measured, found.verdict) == ((1, "warn") if over else (0, "pass"))
    said = Words().text(found.why)
    assert f"look for cracks at the bend: {over or 'none does'}. " in said.replace("\n", " ")


def test_how_much_damping_changes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Twice as much with 1 per cent, two fifths with 5."""
    by = {0.01: 0.5, 0.05: 0.1}

    def damped(held: Any, speeds: Any, damping: float) -> WorstShake:
        return WorstShake(Peak(by[damping]), Peak(), Peak(), Peak())

    monkeypatch.setattr(findings, "worst", damped)
    assert findings._spread(judged(gap=0.25), "gap") == ""
    assert findings._spread(judged(gap=0.25, speeds=SPEEDS), "gap") == "; 2 times that with 1 %, 0.4 times with 5 %"
    assert findings._spread(judged(speeds=SPEEDS), "aside") == ""


def test_when_a_peak_is_reached() -> None:
    """At half the highest speed inertia shakes with a quarter of 10 g."""
    order = Order(2.0, 0.0, inertia=1.0, names=("second", "third"))
    of = findings.Judged(judged().result, cast(Any, None), cast(Any, None), SPEEDS, cast(Any, None))
    said = Words().text(of.at(Peak(0.1, 3000.0, order, 120.0, 7.5)))
    assert said.startswith("at 3000 rpm, where second + third shakes at 100 Hz with 2.5 g and the bracket (120 Hz)")
    assert "answers with 7.5 times what a slow shake does, damping 2 % of critical" in said
    assert of.at(Peak(0.1)).startswith("10 g, no engine's speeds given")


def trust(volume: float, *meshes: tuple[float, float]) -> list[Finding]:
    """Whether a mesh of so much volume, 1000 wanted, and such first frequencies is believed."""
    steps = tuple(MeshStep(size, 10_000, hz, 1.0) for size, hz in meshes)
    result = SimpleNamespace(volume_mm3=volume, meshes=steps, first_hz=400.0, error_hz=8.0, method="m")
    return list(findings._trust(cast(Any, result), cast(Any, SimpleNamespace(solid_volume=1000.0))))


@pytest.mark.parametrize(("volume", "off"), [(1004.8, 0.48), (995.2, 0.48), (1005.2, 0.52), (994.8, 0.52)])
def test_the_mesh_holds_the_design_s_volume_to_half_a_per_cent(volume: float, off: float) -> None:
    found, _ = trust(volume, (10.0, 405.0), (5.0, 400.0))
    assert found.measured == pytest.approx(off)
    assert (found.verdict == "pass") == (off < 0.5)


@pytest.mark.parametrize(("first", "left"), [(411.6, 2.9), (412.4, 3.1), (388.4, 2.9)])
def test_three_per_cent_may_be_left_by_the_mesh(first: float, left: float) -> None:
    """A second mesh half the size: as much is left as the last step took off."""
    _, found = trust(1000.0, (10.0, first), (5.0, 400.0))
    assert (found.measured, found.limit) == (pytest.approx(left), pytest.approx(3.0))
    assert found.verdict == ("pass" if left < 3 else "warn")


@pytest.mark.parametrize(
    ("times", "limit", "verdict"), [(1.0, 103.456, "pass"), (1.2, 124.1, "warn"), (math.inf, math.inf, "warn")]
)
def test_the_first_frequency_that_would_do(
    times: float, limit: float, verdict: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The softer one times what it must be stiffer by."""
    monkeypatch.setattr(findings, "wanted_times", lambda held, speeds, limits: times)
    monkeypatch.setattr(findings, "excited", lambda engine: None)
    monkeypatch.setattr(findings, "_harmonics", lambda *given: "orders")
    of = judged(speeds=SPEEDS)
    of.design = SimpleNamespace(asked=SimpleNamespace(job=SimpleNamespace(engine=None)))
    found, orders = findings._resonance(of, cast(Any, 1))
    assert (found.measured, found.limit, found.verdict, orders) == (103.456, limit, verdict, "orders")
    assert Words().text(found.why).startswith("103 Hz soft, 130 Hz stiff: a real joint lies between them. ")
    assert list(findings._resonance(of, None)) == []


def test_the_worst_of_slow_shakes() -> None:
    """Round the crank is the last shake's way; the nose swings there by 0.003·0.6 - 0.004·0.8 at most."""
    one = ShakeAnswer("along", (1.0, 0.0, 0.0), -0.02, (0.003, -0.004, 0.0), 7.0)
    other = ShakeAnswer("across", (0.6, 0.8, 0.0), 0.01, (0.001, 0.0, 5.0), 9.0)
    result = SimpleNamespace(held=(Held("", (9.0,), (one, other)),), shakes=(one, other), shake_g=10.0)
    found = findings._slowly(cast(Any, result), cast(Any, None))
    assert (found.gap, found.stress, found.load) == (Peak(0.02, shake="along"), Peak(9.0), Peak(10.0))
    assert found.aside.size == pytest.approx(0.0014)


def test_every_verdict_in_its_order(monkeypatch: pytest.MonkeyPatch) -> None:
    made = cast(Any, SimpleNamespace(modes=(), proposals=1, asked=SimpleNamespace(job=SimpleNamespace(engine=None))))
    monkeypatch.setattr(findings.Judged, "of", lambda result, design: None)
    for name in ("_trust", "_resonance", "_slip", "mending_findings"):
        monkeypatch.setattr(findings, name, lambda *given, name=name: iter([name, "more"]))
    for name in ("_gap", "_timing", "_stress"):
        monkeypatch.setattr(findings, name, lambda judged, name=name: name)
    assert [str(one) for one in findings.stiffness_findings(made, made)] == [
        "_trust", "more", "_resonance", "more", "_gap", "_timing", "_stress", "_slip", "more", "mending_findings",
        "more",
    ]  # fmt: skip


def test_the_last_two_meshes_are_told() -> None:
    steps = tuple(MeshStep(size, 1, hz, 1.0) for size, hz in ((20.0, 440.0), (10.0, 410.0), (7.5, 400.0)))
    said = findings._meshes(cast(Any, SimpleNamespace(meshes=steps)))
    assert Words().text(said) == "10 mm (410 Hz) and 7.5 mm (400 Hz)"


def test_what_does_not_give_way_is_not_amplified() -> None:
    """Without a mode it is shaken as the block is, by 10 g at the highest speed, and nothing of it grows."""
    still = ShakeAnswer("up", (0.0, 0.0, 1.0), 0.0, (0.0, 0.0, 0.0), 0.0)
    found = worst([Held("", (5000.0,), (still,))], SPEEDS)
    assert (found.gap.size, found.gap.times, found.stress.times) == (0.0, 1.0, 1.0)
    assert (found.load.size, found.load.times) == (10.0, 1.0)


def test_what_nothing_shakes_is_nothing() -> None:
    none = {"size": 0.0, "rpm": 0.0, "order": None, "first_hz": 0.0, "times": 1.0, "shake": ""}
    assert vars(Peak()) == none


def test_five_digits_are_told() -> None:
    assert [refining.rounded(value) for value in (123.456789, 0.00123456789, -9.99999)] == [123.46, 0.0012346, -10.0]
    assert refining.rounded(123.456789, 2) == 120.0


# --- meshes --------------------------------------------------------------------------------------------------------
def steps(*meshes: tuple[float, float]) -> list[MeshStep]:
    return [MeshStep(size, 10_000, hz, 1.0 + 2 * n) for n, (size, hz) in enumerate(meshes)]


def test_what_finer_meshes_would_take_off_is_a_series() -> None:
    """10 Hz to half the size: 5, 2.5, … more; to three quarters 7.5, 5.6, …: thirty. Never under 2 % for the error."""
    assert refining.left(steps((20.0, 410.0), (10.0, 400.0))) == pytest.approx(10.0)
    assert refining.left(steps((9.0, 7.0), (8.0, 390.0), (6.0, 400.0))) == pytest.approx(30.0)
    assert math.isinf(refining.left(steps((9.0, 7.0))))
    assert math.isinf(refining.mesh_error(steps((9.0, 7.0))))
    assert refining.mesh_error(steps((20.0, 410.0), (10.0, 400.0))) == pytest.approx(10.0)
    assert refining.mesh_error(steps((20.0, 401.0), (10.0, 400.0))) == pytest.approx(8.0)


@pytest.mark.parametrize(
    ("given", "size"),
    [
        ((), 2.0),
        (((20.0, 410.0),), 1.0),
        (((20.0, 411.9), (10.0, 400.0)), None),
        (((20.0, 412.1), (10.0, 400.0)), 0.75),
        (((20.0, 499.0), (10.0, 440.0), (7.5, 400.0)), 0.5625),
        (((20.0, 499.0), (10.0, 480.0), (7.5, 440.0), (5.625, 400.0)), 0.421875),
        (((20.0, 599.0), (10.0, 499.0), (7.5, 480.0), (5.625, 440.0), (4.2, 400.0)), None),
    ],
)
def test_which_mesh_comes_next(given: tuple[tuple[float, float], ...], size: float | None) -> None:
    assert refining.next_size(steps(*given)) == size


@pytest.mark.parametrize(("unknowns", "size"), [(39_375, 0.75), (39_400, None)])
def test_no_mesh_beyond_seventy_thousand_unknowns(unknowns: int, size: float | None) -> None:
    """Three quarters the size has sixteen ninths of them, as the finest part of a plate is a layer thick."""
    moving = [MeshStep(20.0, 9_000, 440.0, 1.0), MeshStep(10.0, unknowns, 400.0, 1.0)]
    assert refining.next_size(moving) == size


def test_an_answer_knows_its_error_by_the_meshes_before_it() -> None:
    """9 Hz to half the size are as much again, 2 % of 900 Hz are more; stress moved by 3.25 MPa."""
    last = MeshStep(7.0, 40_000, 900.0, 20.5)
    fine = StiffnessResult((), math.inf, False, (last,), (), 10.0, 20.5, 20.5, (0.0, 0.0, 0.0), 1.0, "as told")
    before = MeshStep(14.0, 9_000, 909.0, 17.25)
    joined = refining.refined(fine, (before,))
    assert joined.meshes == (before, last)
    assert (joined.converged, joined.error_hz, joined.stress_error_mpa) == (True, 18.0, 3.2)
    assert refining.refined(fine, ()) is fine
