"""Gauges measured from their files: sound ones pass, and every fault put in on purpose is found by its own check."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest

from tests.parts.gauge_files import gauge_of, write_gauge, write_wheel
from tests.parts.gauge_jobs import job_of, plate, random_gauge_job, turned
from wheelcad.arrays import Floats
from wheelcad.build import BuildResult
from wheelcad.checks.gauge import check_gauge
from wheelcad.checks.gauge_over_wheel import OVERLAY_LIMIT_DEG, check_gauge_over_wheel, marks_over_slots
from wheelcad.checks.gauge_print import check_gauge_print
from wheelcad.errors import DesignError
from wheelcad.files.brep import figures, prism
from wheelcad.files.stl import read_stl, write_triangles
from wheelcad.files.stl_writer import write_stl
from wheelcad.files.threemf import Body3mf, read_3mf, write_3mf
from wheelcad.findings import Finding
from wheelcad.job.models import Job
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.parts.gauge.solid import gauge_solid
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.outline import wheel_outline


@dataclass(frozen=True)
class Written:
    """A job, its gauge's design and the folder of its files."""

    job: Job
    design: GaugeDesign
    folder: Path


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> Written:
    """A gauge with a skirt, written once. Tests copy before they change."""
    job = job_of(**turned())
    folder = tmp_path_factory.mktemp("gauge")
    design = write_gauge(job, folder)
    write_wheel(job, folder)
    return Written(job, design, folder)


def verdicts(findings: list[Finding]) -> dict[str, str]:
    return {finding.check: finding.verdict for finding in findings}


def changed(good: Written, tmp_path: Path, change: Callable[[Floats], Floats]) -> dict[str, str]:
    """Verdicts of the gauge with its mesh changed; gauge.3mf stays as it was."""
    shutil.copytree(good.folder, tmp_path, dirs_exist_ok=True)
    write_triangles(tmp_path / "gauge.stl", change(read_stl(tmp_path / "gauge.stl")))
    return verdicts(check_gauge(tmp_path, good.design))


def test_demo_gauges_pass_everything(built: BuildResult) -> None:
    own = [f for f in built.findings if f.check.startswith(("gauge", "paper"))]
    assert len(own) > 20
    assert [f for f in own if f.verdict != "pass"] == []


def test_a_good_gauge_passes(good: Written) -> None:
    findings = [*check_gauge(good.folder, good.design), *check_gauge_over_wheel(good.folder, good.design)]
    assert {f.verdict for f in findings} == {"pass"}


def test_a_turned_gauge_fails_on_its_marks_and_holes(good: Written, tmp_path: Path) -> None:
    a = np.radians(0.02)
    spin = np.array([[np.cos(a), -np.sin(a), 0], [np.sin(a), np.cos(a), 0], [0, 0, 1]])
    got = changed(good, tmp_path, lambda t: t @ spin.T)
    assert got["gauge-marks"] == "fail"
    assert got["gauge-bodies"] == "pass"


def test_a_mirrored_gauge_fails(good: Written, tmp_path: Path) -> None:
    got = changed(good, tmp_path, lambda t: (t * np.array([-1.0, 1.0, 1.0]))[:, ::-1])
    assert got["gauge-marks"] == "fail"
    assert got["gauge-numbers-in-place"] == "fail"


def test_a_moved_hole_and_a_small_one_are_told_apart(good: Written, tmp_path: Path) -> None:
    hole = good.design.holes[0]

    def near(t: Floats) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
        return np.hypot(t[:, :, 0] - hole.x, t[:, :, 1] - hole.y) < hole.radius + 1.0

    def move(t: Floats) -> Floats:
        out = t.copy()
        out[near(t)] += np.array([0.05, 0.0, 0.0])
        return out

    def shrink(t: Floats) -> Floats:
        out, centre = t.copy(), np.array([hole.x, hole.y])
        out[near(t), :2] = centre + 0.99 * (t[near(t)][:, :2] - centre)
        return out

    moved = changed(good, tmp_path / "moved", move)
    assert (moved["gauge-hole-place"], moved["gauge-hole-size"]) == ("fail", "pass")
    small = changed(good, tmp_path / "small", shrink)
    assert (small["gauge-hole-place"], small["gauge-hole-size"], small["gauge-hole-flats"]) == ("pass", "fail", "fail")


def test_a_hole_in_the_mesh_and_a_loose_shell_fail(good: Written, tmp_path: Path) -> None:
    assert changed(good, tmp_path / "torn", lambda t: t[1:])["gauge-bodies"] == "fail"
    tall = changed(good, tmp_path / "two", lambda t: np.concatenate([t, t + np.array([300.0, 0, 0])]))
    assert tall["gauge-bodies"] == "fail"


def test_a_short_skirt_and_a_tight_one_fail(good: Written, tmp_path: Path) -> None:
    design = good.design

    def shorter(t: Floats) -> Floats:
        out = t.copy()
        out[t[:, :, 2] < design.z_back + 0.01, 2] += 0.1
        return out

    def tighter(t: Floats) -> Floats:
        out = t.copy()
        away = np.hypot(t[:, :, 0], t[:, :, 1])
        inside = np.abs(away - design.seat.cavities[-1].radius) < 0.01
        out[inside, :2] *= 0.999
        return out

    assert changed(good, tmp_path / "short", shorter)["gauge-reach"] == "fail"
    assert changed(good, tmp_path / "tight", tighter)["gauge-skirt"] == "fail"


def test_a_number_left_out_and_one_at_a_wrong_slot_are_found(good: Written, tmp_path: Path) -> None:
    """The body is built again with one number's letters missing, then with two numbers changed over."""
    design = good.design
    depth = design.body.text_depth
    letters = [
        i for i, w in enumerate(design.body.walls) if w.z1 == design.body.z_front and abs(w.z1 - w.z0 - depth) < 1e-9
    ]
    without = replace(design.body, walls=tuple(w for i, w in enumerate(design.body.walls) if i != letters[4]))
    write_stl(tmp_path / "gauge.stl", gauge_solid(replace(design, body=without)))
    shutil.copy(good.folder / "gauge.3mf", tmp_path / "gauge.3mf")
    got = verdicts(check_gauge(tmp_path, design))
    assert got["gauge-numbers-in-place"] == "fail"
    assert got["gauge-marks"] == "pass"


def test_thin_strokes_fail(good: Written, tmp_path: Path) -> None:
    """All of it at three quarters of its size: strokes of 0.7 mm are then too thin for a nozzle."""
    got = changed(good, tmp_path, lambda t: t * np.array([0.75, 0.75, 1.0]))
    assert got["gauge-stroke"] == "fail"


@pytest.mark.parametrize(
    ("turns", "style"),
    [
        ("clockwise", "outline"),
        ("clockwise", "windows"),
        ("clockwise", "comb"),
        ("anticlockwise", "comb"),
        pytest.param("anticlockwise", "outline", marks=pytest.mark.slow),
        pytest.param("anticlockwise", "windows", marks=pytest.mark.slow),
    ],
)
def test_every_style_on_both_hands(turns: str, style: str, tmp_path: Path) -> None:
    for name, sections in (("turned", turned()), ("plate", plate())):
        gauge = {"thickness": 3.0, "style": style, "covers": 360.0 if name == "plate" else 190.0}
        job = job_of(**{**sections, "engine": {"turns": turns}, "gauge": gauge})
        design = write_gauge(job, tmp_path / name)
        write_wheel(job, tmp_path / name)
        findings = [*check_gauge(tmp_path / name, design), *check_gauge_over_wheel(tmp_path / name, design)]
        assert [f for f in findings if f.verdict != "pass"] == []


def test_pieces_for_a_small_bed(tmp_path: Path) -> None:
    shop = {"rotary_table": {"ratio": 40}, "printer": {"bed": [80.0, 80.0], "nozzle": 0.4}}
    design = write_gauge(job_of(**plate(shop=shop)), tmp_path)
    assert design.pieces > 1
    findings = check_gauge(tmp_path, design)
    assert [f for f in findings if f.verdict != "pass"] == []
    _, bodies = read_3mf(tmp_path / "gauge.3mf")
    assert [body.name for body in bodies] == [f"gauge {k + 1} of {design.pieces}" for k in range(design.pieces)]


def test_the_gauge_does_not_run_into_what_it_sits_on(tmp_path: Path) -> None:
    """Gauge and turned wheel as solids share no volume, whatever centres it."""
    from wheelcad.parts.blank.design import design_blank
    from wheelcad.parts.wheel.solid import wheel_solid

    recess = turned()
    recess["pulley"] = {**recess["pulley"], "recess": {"diameter": 30.0, "depth": 4.0}}
    recess["pulley"]["turned"] = ["wheel", {"length": 10.0, "diameter": 70.0}]
    for job in (job_of(**turned()), job_of(**recess), job_of(**plate())):
        gauge = gauge_solid(gauge_of(job))
        wheel = wheel_solid(design_wheel(job), design_blank(job))
        assert figures(gauge.intersect(wheel)).volume == pytest.approx(0.0, abs=1e-6)
    assert tmp_path.exists()


# --- the gauge laid over the wheel ----------------------------------------------------------------------------------
def wheel_with_moved_slot(job: Job, folder: Path, cut: int, by_deg: float) -> None:
    """wheel.stl as a plate whose slot of that cut was milled off its place."""
    wheel = design_wheel(job)
    centres = wheel.slot_centres_deg.copy()
    centres[cut - 1] += by_deg
    outline = wheel_outline(wheel.slot, centres, set(wheel.teeth.gap_after), wheel.sense)
    half = wheel.thickness_mm / 2
    write_stl(folder / "wheel.stl", prism(outline, [opening.loop for opening in wheel.openings], -half, half))


@pytest.mark.parametrize("turns", ["clockwise", "anticlockwise"])
@pytest.mark.parametrize("by_deg", [0.5, -0.5])
def test_one_slot_half_a_degree_off_is_shown_alone(turns: str, by_deg: float, tmp_path: Path) -> None:
    job = job_of(**plate(engine={"turns": turns}))
    design = write_gauge(job, tmp_path)
    wheel_with_moved_slot(job, tmp_path, 17, by_deg)
    off = marks_over_slots(read_stl(tmp_path / "gauge.stl"), read_stl(tmp_path / "wheel.stl"), design)
    assert [mark.number for mark, d in zip(design.cover.marks, off, strict=True) if abs(d) > OVERLAY_LIMIT_DEG] == [17]
    assert off[16] == pytest.approx(-by_deg, abs=0.01)
    finding = check_gauge_over_wheel(tmp_path, design)[0]
    assert finding.verdict == "fail"
    assert "cut 17" in finding.why


def test_a_slot_beside_the_gap_is_shown_too(tmp_path: Path) -> None:
    job = job_of(**plate())
    design = write_gauge(job, tmp_path)
    wheel_with_moved_slot(job, tmp_path, 1, 0.5)
    off = marks_over_slots(read_stl(tmp_path / "gauge.stl"), read_stl(tmp_path / "wheel.stl"), design)
    assert np.flatnonzero(np.abs(off) > OVERLAY_LIMIT_DEG).tolist() == [0]


# --- gauge.3mf ------------------------------------------------------------------------------------------------------
def test_the_print_stands_face_down_in_the_middle_of_the_bed(good: Written) -> None:
    unit, bodies = read_3mf(good.folder / "gauge.3mf")
    assert unit == "MilliMeter"
    points = bodies[0].triangles.reshape(-1, 3)
    assert points[:, 2].min() == pytest.approx(0.0, abs=1e-6)
    assert points[:, 2].max() == pytest.approx(good.design.size_mm[2], abs=1e-4)
    assert (points.min(axis=0) + points.max(axis=0))[:2] / 2 == pytest.approx([110.0, 110.0], abs=0.01)
    # the skirt is a ring: seen from the bed, the widest level area is at the bottom
    low, high = (points[np.abs(points[:, 2] - z) < 0.01] for z in (0.4, points[:, 2].max()))
    assert np.hypot(*(low[:, :2] - 110.0).T).min() < np.hypot(*(high[:, :2] - 110.0).T).min() - 5.0


def test_shrinkage_makes_the_print_larger_but_not_higher(tmp_path: Path) -> None:
    job = job_of(**turned(gauge={"thickness": 3.0, "shrinkage": 0.5}))
    design = write_gauge(job, tmp_path)
    assert {f.verdict for f in check_gauge_print(tmp_path, design)} == {"pass"}
    size = np.ptp(read_3mf(tmp_path / "gauge.3mf")[1][0].triangles.reshape(-1, 3), axis=0)
    plain = np.ptp(read_stl(tmp_path / "gauge.stl").reshape(-1, 3), axis=0)
    assert size / plain == pytest.approx([1 / 0.995, 1 / 0.995, 1.0], abs=1e-5)


def test_faults_of_the_print_are_found(good: Written, tmp_path: Path) -> None:
    _, bodies = read_3mf(good.folder / "gauge.3mf")
    shutil.copytree(good.folder, tmp_path, dirs_exist_ok=True)
    body = bodies[0]

    def judged(triangles: Floats, name: str = "gauge", more: tuple[Body3mf, ...] = ()) -> dict[str, str]:
        write_3mf(tmp_path / "gauge.3mf", [Body3mf(name, triangles), *more], "trial")
        return verdicts(list(check_gauge_print(tmp_path, good.design)))

    assert judged(body.triangles + np.array([0, 0, 0.2]))["gauge-print-stands"] == "fail"
    assert judged(body.triangles * np.array([1.002, 1.0, 1.0]))["gauge-print-same"] == "fail"
    assert judged(body.triangles * 1.5)["gauge-print-volume"] == "fail"
    other = Body3mf("more", body.triangles + np.array([300.0, 0, 0]))
    assert judged(body.triangles, more=(other,))["gauge-print-bodies"] == "fail"
    small = replace(good.design, bed=(90.0, 220.0))
    assert verdicts(list(check_gauge_print(good.folder, small)))["gauge-print-bed"] == "warn"


@pytest.mark.parametrize("seed", range(400, 404))
def test_random_gauges_measure_right(seed: int, tmp_path: Path) -> None:
    assert_measures_right(seed, tmp_path)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(404, 460))
def test_many_random_gauges_measure_right(seed: int, tmp_path: Path) -> None:
    assert_measures_right(seed, tmp_path)


def assert_measures_right(seed: int, folder: Path) -> None:
    """All checks of a random gauge pass, thin walls apart, which random wheels may well have; a job without anything to
    locate a gauge on is refused instead."""
    job, refused = random_gauge_job(seed), ""
    try:
        design = write_gauge(job, folder)
    except DesignError as error:
        refused = str(error)
    if refused:
        assert "located" in refused or "beside the shoulder" in refused
        return
    write_wheel(job, folder)
    findings = [*check_gauge(folder, design), *check_gauge_over_wheel(folder, design)]
    assert [f for f in findings if f.verdict != "pass" and f.check != "gauge-wall"] == []
