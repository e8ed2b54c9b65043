"""The target on the cam: shape, edges, and what the controller is told, worked out by turning the crank."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from wheelcad.checks.cam import check_cam
from wheelcad.errors import JobError
from wheelcad.files.brep import figures
from wheelcad.files.dxf import write_cut_dxf
from wheelcad.files.stl import read_stl, write_triangles
from wheelcad.files.stl_writer import write_stl
from wheelcad.findings import Finding
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.cam.design import AtGap, CamDesign, design_cam, half_deg
from wheelcad.parts.cam.judge import _at_gap, cam_findings, cam_needed
from wheelcad.parts.cam.solid import cam_solid
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.trade.frames import angle_of
from wheelcad.words import Words

MOON = "style: half-moon, outside_diameter: 60, root_diameter: 48, thickness: 4, bore: 12, at: 20"
TOOTH = "style: tooth, outside_diameter: 60, root_diameter: 48, thickness: 4, bore: 12, tooth_width: 8, at: 20"
SENSOR = "sensor: {kind: hall, at: 90, face_diameter: 5}"


def cam_job(cam: str, crank_sensor: float = 60, gap_at: float = 40, engine: str = "max_speed: 6500") -> Job:
    """A plate wheel with a target on the cam."""
    return parse_job(
        f"job: cam\nengine: {{{engine}}}\nwheel: {{form: plate, teeth: 36, missing: 1, gap_at: {gap_at},"
        " outside_diameter: 150, thickness: 4, bore: 60, slot: {width: 6, depth: 6}}\n"
        f"sensor: {{kind: hall, at: {crank_sensor}}}\ncam: {{{cam}}}\n"
    )


def made(job: Job) -> CamDesign:
    """The target of a job that has one."""
    cam = design_cam(job, design_wheel(job))
    assert cam is not None
    return cam


def verdicts(job: Job) -> dict[str, Finding]:
    """Its findings by their check."""
    return {
        finding.check: finding for finding in cam_findings(job.engine, job.cam.sensor if job.cam else None, made(job))
    }


def needed(job: Job) -> list[Finding]:
    """What is said of whether a cam target is needed."""
    return cam_needed(job.engine, job.cam)


def seen(cam: CamDesign, sensor: float, crank: float) -> bool:
    """Whether the sensor has metal at the rim in front of it, `crank` degrees past compression: the cam turned half."""
    point = sensor - crank / 2  # this target angle is under the sensor now
    start, end = cam.edges_at(cam.radius_mm)
    return (point - start) % 360 < (end - start) % 360


@pytest.mark.parametrize("turns", ["clockwise", "anticlockwise"])
@pytest.mark.parametrize("cam", [MOON, TOOTH])
def test_the_controllers_numbers_by_turning_the_crank(cam: str, turns: str) -> None:
    target = made(cam_job(f"{cam}, turns: {turns}, {SENSOR}"))
    crank = np.arange(0, 720, 0.05) + 0.025
    level = np.array([seen(target, 90, c) for c in crank])
    rises, falls = crank[~np.roll(level, 1) & level] - 0.025, crank[np.roll(level, 1) & ~level] - 0.025
    assert len(rises) == len(falls) == 1
    assert target.lead_to_tdc_deg == pytest.approx(720 - rises[0], abs=0.06)
    assert target.trail_to_tdc_deg == pytest.approx(720 - falls[0], abs=0.06)
    # the gap is centred at 40, so the first tooth after it at 30 (one of 36 left out); half a pitch less half a slot of
    # 6 on 150 beyond that its leading edge passes the crank's sensor at 60: that far past top dead centre, or a turn on
    passes = 60 - (30 + 5 - math.degrees(math.asin(3 / 75)))
    assert target.at_gap is not None
    assert target.at_gap.high == (seen(target, 90, passes), seen(target, 90, passes + 360))
    edges = np.array([rises[0], falls[0]])
    near = min(abs((edge - gap + 360) % 720 - 360) for edge in edges for gap in (passes, passes + 360))
    assert target.at_gap.margin_deg == pytest.approx(near, abs=0.06)


def test_the_half_moon_by_hand() -> None:
    target = made(cam_job(f"{MOON}, {SENSOR}"))
    assert target.edges_at(30) == pytest.approx((290, 110))
    # its leading edge at 110 meets the sensor at 90 when the cam is 20 short of compression: 40 degrees of crank
    assert target.lead_to_tdc_deg == pytest.approx(40)
    assert target.trail_to_tdc_deg == pytest.approx(400)
    assert target.report()["level_at_gap"] == ["high", "low"]
    area = math.pi / 2 * (30**2 + 24**2) - math.pi * 36
    assert target.mass_kg == pytest.approx(area * 4 * 7.85e-6)
    assert target.unbalance_g_mm == pytest.approx(2 / 3 * (30**3 - 24**3) * 4 * 7.85e-3)
    assert target.unbalance_at_deg == pytest.approx(20)
    assert target.force_n == pytest.approx(target.unbalance_g_mm * 1e-6 * (math.pi * 6500 / 60) ** 2)


def test_the_tooth_by_hand() -> None:
    target = made(cam_job(f"{TOOTH}, {SENSOR}"))
    half = math.degrees(math.asin(4 / 30))
    assert target.edges_at(30) == pytest.approx((20 - half, 20 + half))
    assert half_deg(target.cam, 24) > half  # parallel sides widen, in degrees, towards the axis
    assert target.lead_to_tdc_deg == pytest.approx(2 * (20 + half - 90 + 360))
    x, y = target.outline.flatten(0.01).T
    high = np.hypot(x, y) > 29.99
    assert angle_of(x[high], y[high], target.sense).mean() == pytest.approx(20, abs=0.5)


@pytest.mark.parametrize("cam", [MOON, TOOTH])
@pytest.mark.parametrize(("gap_at", "crank_sensor"), [(40, 60), (333, 10), (0, 0)])
def test_the_best_place_is_better_than_any_other(cam: str, gap_at: float, crank_sensor: float) -> None:
    def margin(at: float) -> float:
        job = cam_job(f"{cam.replace('at: 20', f'at: {at}')}, {SENSOR}", crank_sensor, gap_at)
        found = made(job).at_gap
        assert found is not None
        clear = verdicts(job)["cam-level"].verdict == "pass"
        return found.margin_deg if clear else 0.0

    best = made(cam_job(f"{cam}, {SENSOR}", crank_sensor, gap_at)).at_gap
    assert best is not None
    most = max(margin(at) for at in range(0, 360, 7))
    assert min(margin(at) for at in best.best_deg) >= most - 1e-9


def test_without_sensors_nothing_is_said_of_them() -> None:
    target = made(cam_job(MOON))
    assert target.lead_to_tdc_deg is None
    assert target.at_gap is None
    assert verdicts(cam_job(MOON))["cam-sensor"].verdict == "warn"


@pytest.mark.parametrize(
    ("cam", "key"),
    [
        (MOON.replace("root_diameter: 48", "root_diameter: 60"), "cam.root_diameter"),
        (MOON + ", tooth_width: 8", "cam.tooth_width"),
        (TOOTH.replace(", tooth_width: 8", ""), "cam.tooth_width"),
        (TOOTH.replace("tooth_width: 8", "tooth_width: 48"), "cam.tooth_width"),
        (MOON.replace("bore: 12", "bore: 48"), "cam.bore"),
        (MOON + ", bolts: {count: 3, circle: 16, hole: 5.5}", "cam.bolts.circle"),
        (MOON + ", bolts: {count: 3, circle: 44, hole: 5.5}", "cam.bolts.circle"),
        (MOON + ", bolts: {count: 24, circle: 30, hole: 5.5}", "cam.bolts.hole"),
    ],
)
def test_what_cannot_be_made(cam: str, key: str) -> None:
    with pytest.raises(JobError) as caught:
        design_cam(cam_job(cam), None)
    assert [fault.dotted for fault in caught.value.faults] == [key]


@pytest.mark.parametrize(("bore", "circle", "hole", "allowed"), [
    (12, 17.5, 5.5, "more than 17.5 mm and less than 42.5 mm"), (12, 17.6, 5.5, ""),  # 12 and 48, a hole's width inside
    (12, 42.4, 5.5, ""), (12, 42.5, 5.5, "more than 17.5 mm and less than 42.5 mm"),
    (None, 5.55, 5.5, ""), (None, 5.5, 5.5, "more than 5.5 mm and less than 42.5 mm"),
    (37, 42.5, 5.5, "a smaller hole"), (36.9, 42.5, 5.5, "more than 42.4 mm and less than 42.5 mm"),
])  # fmt: skip
def test_bolts_lie_between_bore_and_edge(bore: float | None, circle: float, hole: float, allowed: str) -> None:
    cam = MOON if bore is not None else MOON.replace(", bore: 12", "")
    bolts = f", bolts: {{count: 2, circle: {circle}, hole: {hole}}}"
    job = cam_job(cam.replace("bore: 12", f"bore: {bore}") + bolts)
    if not allowed:
        assert made(job).openings
        return
    with pytest.raises(JobError) as caught:
        design_cam(job, None)
    fault = caught.value.faults[0]
    assert (fault.dotted, Words("mm").text(fault.allowed or "")) == ("cam.bolts.circle", allowed)


@pytest.mark.parametrize(("count", "hole", "made_so"), [(1, 5.5, True), (24, 3.9, True), (24, 3.92, False)])
def test_bolts_of_a_cam_stand_apart(count: int, hole: float, made_so: bool) -> None:
    """Twenty-four on a circle of 30: 30 sin 7.5 degrees is 3.916."""
    job = cam_job(f"{MOON}, bolts: {{count: {count}, circle: 30, hole: {hole}}}")
    if made_so:
        bore, *holes = made(job).openings
        assert bore.loop.area == pytest.approx(math.pi * 6**2)
        assert [each.loop.area for each in holes] == pytest.approx([math.pi * hole**2 / 4] * count)
    else:
        with pytest.raises(JobError, match="run into each other"):
            design_cam(job, None)


def test_two_bolts_that_touch_are_told_of_though_they_lie_wrong_as_well() -> None:
    job = cam_job(MOON.replace(", bore: 12", "") + ", bolts: {count: 2, circle: 5.5, hole: 5.5}")
    with pytest.raises(JobError) as caught:
        design_cam(job, None)
    assert [fault.dotted for fault in caught.value.faults] == ["cam.bolts.circle", "cam.bolts.hole"]


@pytest.mark.parametrize(("cam", "aside"), [(MOON, 0.0), (TOOTH, 90.0)])
def test_the_best_places_are_under_the_sensor_or_square_to_it(cam: str, aside: float) -> None:
    """The edge passes at 60 - 35 + asin(3/75), as above; the cam turns half of that, and its sensor stands at 90."""
    found = made(cam_job(f"{cam}, {SENSOR}")).at_gap
    assert found is not None
    under = 90 - (60 - 35 + math.degrees(math.asin(3 / 75))) / 2
    assert found.best_deg == pytest.approx((under + aside, under + aside + 180))


def test_a_gap_too_near_an_edge_names_the_places_that_are_best() -> None:
    """The gap at 85: the edge passes at 60 - 80 + 2.29, a turn on at 342.3; half of that short of 90 is -81.1."""
    assert "with cam.at 279 or 99 deg it would be" in verdicts(moon(gap_at=85))["cam-margin"].why


@pytest.mark.parametrize(("margin", "verdict"), [(30.0, "pass"), (29.9, "warn")])
def test_thirty_degrees_are_far_enough_from_an_edge(margin: float, verdict: str) -> None:
    """Our judgement; only what is nearer is told where it would be better."""
    _, far = _at_gap("half-moon", AtGap((True, False), margin, (10.0, 190.0)))
    assert (far.verdict, "with cam.at 10 or 190 deg" in far.why) == (verdict, verdict == "warn")


def test_what_a_target_is_held_to() -> None:
    limits = {check: finding.limit for check, finding in verdicts(moon()).items()}
    assert (limits["cam-margin"], limits["cam-step"], limits["cam-force"]) == (30, 2, 50)


@pytest.mark.parametrize("sensor", [SENSOR, "sensor: {kind: reluctance, at: 90, face_diameter: 4, air_gap: 0.7}"])
def test_what_a_sensor_sees_of_a_target(sensor: str) -> None:
    """Half of 60 round the rim is 94.25 either way; a tooth of 8 is 60 asin(4/30) along it, the rest 188.5 less that.
    The cam turns half as fast as the crank at 350 less a tenth: 0.495 m/s."""
    seen = {check: finding.measured for check, finding in verdicts(moon(sensor)).items()}
    assert (seen["tooth-top"], seen["slot-width"]) == pytest.approx((math.pi * 30, math.pi * 30))
    seen = {
        check: finding.measured
        for check, finding in verdicts(tooth(sensor=sensor, engine="cranking_speed: 350, cranking_dip: 0.9")).items()
    }
    top = 60 * math.asin(4 / 30)
    assert (seen["tooth-top"], seen["slot-width"]) == pytest.approx((top, math.pi * 60 - top))
    assert (seen["cam-step"], seen["ring-thickness"]) == pytest.approx((6, 4))
    if "reluctance" in sensor:
        assert seen["rim-speed-cranking"] == pytest.approx(math.pi * 0.06 * 350 * 0.9 / 2 / 60)


PICKUP = "sensor: {kind: reluctance, at: 90, face_diameter: 4, air_gap: 0.7}"


def tooth(width: float = 8, sensor: str = SENSOR, **values: Any) -> Job:
    """A single tooth this wide."""
    return cam_job(f"{TOOTH.replace('tooth_width: 8', f'tooth_width: {width}')}, {sensor}", **values)


def moon(sensor: str = SENSOR, **values: Any) -> Job:
    """A half-moon."""
    return cam_job(f"{MOON}, {sensor}", **values)


@pytest.mark.parametrize(
    ("check", "good", "poor", "verdict"),
    [
        ("magnetic", moon(), cam_job(MOON + ", material: aluminium-6061"), "warn"),
        ("cam-step", moon(), cam_job(MOON.replace("48", "57")), "warn"),
        ("tooth-top", tooth(), tooth(1.5), "warn"),
        ("sensing-part", tooth(), tooth(4), "warn"),
        ("cam-sensor", tooth(sensor=PICKUP), moon(PICKUP), "warn"),
        ("cam-level", moon(), tooth(crank_sensor=180), "fail"),
        ("cam-level", tooth(), tooth(crank_sensor=180), "fail"),
        ("cam-margin", moon(), moon(gap_at=85), "warn"),
        ("cam-force", moon(), moon(engine="max_speed: 12000"), "warn"),
        (
            "rim-speed-cranking",
            tooth(sensor=PICKUP, engine="cranking_speed: 350, cranking_dip: 0.9"),  # judged at the slowest moment
            tooth(sensor=PICKUP, engine="cranking_speed: 150"),
            "warn",
        ),
    ],
)
def test_passes_on_one_job_and_not_on_another(check: str, good: Job, poor: Job, verdict: str) -> None:
    assert verdicts(good)[check].verdict == "pass"
    assert verdicts(poor)[check].verdict == verdict


def test_coils_of_their_own_need_a_cam_signal() -> None:
    assert needed(cam_job(MOON, engine="spark: wasted")) == []
    assert needed(cam_job(MOON, engine="spark: per-cylinder"))[0].verdict == "pass"
    bare = cam_job(MOON, engine="spark: per-cylinder").model_copy(update={"cam": None})
    assert needed(bare)[0].verdict == "warn"
    assert design_cam(bare, None) is None


def written(job: Job, folder: Path) -> CamDesign:
    """The target's STL and cutting file in the folder."""
    target = made(job)
    write_stl(folder / "cam.stl", cam_solid(target))
    shapes = {"OUTLINE": [target.outline], "HOLES": [hole.loop for hole in target.openings]}
    write_cut_dxf(folder / "cam-flat.dxf", shapes)
    return target


@pytest.mark.parametrize("turns", ["clockwise", "anticlockwise"])
@pytest.mark.parametrize("cam", [MOON, TOOTH])
def test_files_measured(tmp_path: Path, cam: str, turns: str) -> None:
    target = written(cam_job(f"{cam}, turns: {turns}, bolts: {{count: 3, circle: 26, hole: 5.5}}"), tmp_path)
    assert [f for f in check_cam(tmp_path, target) if f.verdict != "pass"] == []
    solid = figures(cam_solid(target))
    assert solid.valid
    holes = sum(hole.loop.area for hole in target.openings)
    assert solid.volume == pytest.approx((target.outline.area - holes) * 4, rel=1e-9)


def test_seeded_faults_are_caught(tmp_path: Path) -> None:
    target = written(cam_job(f"{TOOTH}, bolts: {{count: 3, circle: 26, hole: 5.5}}"), tmp_path)
    good = read_stl(tmp_path / "cam.stl")
    write_triangles(tmp_path / "cam.stl", (good * np.array([-1.0, 1.0, 1.0]))[:, ::-1])
    assert failed(tmp_path, target) == {"cam-edges"}  # mirrored
    turn = math.radians(0.01)
    matrix = np.array([[math.cos(turn), -math.sin(turn), 0], [math.sin(turn), math.cos(turn), 0], [0, 0, 1]])
    write_triangles(tmp_path / "cam.stl", good @ matrix)
    assert failed(tmp_path, target) == {"cam-edges"}
    write_triangles(tmp_path / "cam.stl", good[4:])
    assert "sound-body" in failed(tmp_path, target)
    write_triangles(tmp_path / "cam.stl", good)
    write_cut_dxf(tmp_path / "cam-flat.dxf", {"OUTLINE": [target.outline]})
    assert failed(tmp_path, target) == {"cam-flat"}


def failed(folder: Path, target: CamDesign) -> set[str]:
    """The checks that fail."""
    return {finding.check for finding in check_cam(folder, target) if finding.verdict == "fail"}
