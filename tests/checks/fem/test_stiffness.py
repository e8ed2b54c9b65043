"""One bracket from its STEP file: the answer, its repeatability, and faults put in on purpose."""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tests.parts.bracket_jobs import along_job, flat_job, in_job, random_job
from wheelcad.checks.fem.model import BracketProposals, FemError, HeadRing, MeshStep, StiffnessResult
from wheelcad.checks.fem.refining import LEFT, left, mesh_error, next_size, rounded, settled
from wheelcad.checks.fem.setup import (
    STEP,
    BracketSetup,
    CoarseBracket,
    bracket_fine,
    bracket_stiffness,
    joined,
    setup,
    washer_diameter,
)
from wheelcad.checks.fem.stiffness import bolt, fineness
from wheelcad.job.models import Job, Mount
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.processes import beside

FINER = 0.6


def designed(job: Job) -> BracketDesign:
    design = design_bracket(job)
    assert design is not None
    return design


def written(folder: Path, job: Job) -> BracketDesign:
    from wheelcad.files.step import write_step
    from wheelcad.parts.bracket.solid import bracket_solid

    design = designed(job)
    write_step(folder / STEP, bracket_solid(design), "bracket")
    return design


@pytest.fixture(scope="module")
def flat(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, BracketDesign, Job]:
    """A flat bracket: the quickest to solve."""
    folder, job = tmp_path_factory.mktemp("flat"), flat_job()
    return folder, written(folder, job), job


@pytest.fixture(scope="module")
def answer(flat: tuple[Path, BracketDesign, Job]) -> StiffnessResult:
    return bracket_stiffness(*flat[:2])


def coarse_hz(path: Path, given: BracketSetup) -> float:
    return CoarseBracket(path, replace(given, softer=given.clamps)).first_hz()


def test_the_answer_hangs_together(answer: StiffnessResult, flat: tuple[Path, BracketDesign, Job]) -> None:
    design = flat[1]
    assert answer.converged
    first = [step.first_hz for step in answer.meshes]
    assert left(answer.meshes) < LEFT * first[-1]
    assert answer.error_hz == pytest.approx(mesh_error(answer.meshes), rel=0.1)
    hz = [mode.hz for mode in answer.modes]
    assert hz == sorted(hz)
    assert hz[0] == answer.first_hz == first[-1]
    # a flat plate swings along the crank first, which is where its sensor looks; its nose nods as well
    assert answer.modes[0].gap_share > 0.9
    assert answer.volume_mm3 == pytest.approx(design.folded_volume, rel=1e-3)
    along = answer.shakes[0]
    assert along.name == "along the sensor"
    assert along.gap_change_mm < 0 < along.stress_mpa
    for shake in answer.shakes:
        assert np.dot(shake.sideways_mm, design.asked.place.look) == pytest.approx(0.0, abs=1e-6)
    assert answer.stress_mpa == max(shake.stress_mpa for shake in answer.shakes)
    report = answer.report()
    assert report["frequencies_hz"] == hz
    assert report["converged"] is True


def steps(*meshes: tuple[float, float]) -> list[MeshStep]:
    """Meshes of these sizes, mm, and first frequencies, Hz."""
    return [MeshStep(size, 10_000, hz, 1.0) for size, hz in meshes]


def test_the_error_left_is_a_geometric_series_and_never_nothing() -> None:
    """By hand: 10 Hz at the last refinement to half the size are the first term, 5 the next, 2.5, …: as much again; to
    3/4 of the size 7.5 the next, 30 all of them."""
    assert mesh_error(steps((20.0, 410.0), (10.0, 400.0))) == pytest.approx(5 + 2.5 + 1.25 + 1.25)
    assert left(steps((8.0, 410.0), (6.0, 400.0))) == pytest.approx(10 * (0.75 + 0.75**2 + 0.75**3) / (1 - 0.75**3))
    assert mesh_error(steps((16.0, 999.0), (8.0, 410.0), (6.0, 400.0))) == pytest.approx(30.0)
    # two meshes that agree by chance: 2 per cent
    assert mesh_error(steps((20.0, 400.1), (10.0, 400.0))) == pytest.approx(8.0)
    assert mesh_error(steps((10.0, 400.0))) == float("inf")


def test_meshes_follow_until_nothing_is_left() -> None:
    """Two always; a third, three quarters as large, where 3 % and more are left, unless it would be too large."""
    assert next_size([]) == 2.0
    assert next_size(steps((20.0, 410.0))) == 1.0
    still, moving = steps((20.0, 411.9), (10.0, 400.0)), steps((20.0, 412.1), (10.0, 400.0))
    assert (settled(still), settled(moving)) == (True, False)
    assert (next_size(still), next_size(moving)) == (None, 0.75)
    assert next_size([moving[0], replace(moving[1], unknowns=50_000)]) is None


def test_directions_of_shaking_are_square(flat: tuple[Path, BracketDesign, Job]) -> None:
    for design in (flat[1], designed(in_job())):
        ways = np.array([shake.direction for shake in setup(design).shakes])
        assert ways @ ways.T == pytest.approx(np.eye(3), abs=1e-9)
        assert ways[0] == pytest.approx(np.array(design.asked.place.look))


def solved_apart(folder: Path, design: BracketDesign, job: Job) -> StiffnessResult:
    return beside(lambda: bracket_stiffness(folder, design))()


def test_a_fork_gives_the_same_answer(answer: StiffnessResult, flat: tuple[Path, BracketDesign, Job]) -> None:
    assert solved_apart(*flat) == answer


def test_two_forks_meshes_joined_are_the_whole_answer(
    answer: StiffnessResult, flat: tuple[Path, BracketDesign, Job]
) -> None:
    """The second mesh solved apart from the first, as a build does: the same answer."""
    folder, design, _ = flat
    fine = bracket_fine(folder, design)
    assert fine.error_hz == float("inf")
    held, first = CoarseBracket(folder / STEP, setup(design)).held()
    assert joined(folder, design, fine, first) == replace(answer, meshes=(first, answer.meshes[1]))
    assert first.first_hz == held[1].first_hz == answer.meshes[0].first_hz
    assert joined(folder, design, fine, None) == fine


@pytest.mark.slow
def test_a_third_mesh_where_too_much_is_left(answer: StiffnessResult, flat: tuple[Path, BracketDesign, Job]) -> None:
    folder, design, _ = flat
    far = replace(answer.meshes[0], first_hz=1.04 * answer.first_hz)
    more = joined(folder, design, replace(answer, meshes=answer.meshes[1:]), far)
    assert len(more.meshes) == 3
    assert more.converged
    assert more.first_hz < answer.first_hz


@pytest.mark.slow
@pytest.mark.parametrize("job", [in_job(), along_job()], ids=["L", "Z"])
def test_the_same_answer_every_time(tmp_path: Path, job: Job) -> None:
    design = written(tmp_path, job)
    assert solved_apart(tmp_path, design, job) == solved_apart(tmp_path, design, job)


def test_a_fork_says_what_went_wrong(tmp_path: Path, flat: tuple[Path, BracketDesign, Job]) -> None:
    with pytest.raises(FemError, match=STEP):
        solved_apart(tmp_path, flat[1], flat[2])


def test_wrong_clamps_give_another_frequency(flat: tuple[Path, BracketDesign, Job]) -> None:
    folder, design, _ = flat
    given = setup(design)
    right = coarse_hz(folder / STEP, given)
    one_bolt = replace(given, clamps=given.clamps[2:])  # the nearer bolt forgotten
    assert coarse_hz(folder / STEP, one_bolt) < 0.9 * right
    wide = replace(given, clamps=tuple(replace(ring, diameter=2 * ring.diameter) for ring in given.clamps))
    assert coarse_hz(folder / STEP, wide) > 1.02 * right
    heavy = replace(given, sensor=replace(given.sensor, mass_kg=4 * given.sensor.mass_kg))
    assert coarse_hz(folder / STEP, heavy) < 0.8 * right
    light = replace(given, material=replace(given.material, youngs_gpa=given.material.youngs_gpa / 4))
    assert coarse_hz(folder / STEP, light) == pytest.approx(right / 2, rel=1e-3)


def test_clamps_off_the_plate_are_refused(flat: tuple[Path, BracketDesign, Job]) -> None:
    folder, design, _ = flat
    given = setup(design)
    x, y, z = given.clamps[0].centre
    for centre in ((x, y, z + 1.0), (x + 300.0, y, z)):
        with pytest.raises(FemError, match="bolt head"):
            coarse_hz(folder / STEP, replace(given, clamps=(HeadRing(centre, (0.0, 0.0, 1.0), 13.0),)))


def test_washers() -> None:
    """Plain washers of ISO 7089, wide ones of ISO 7093, from memory: M8 16 and 24, M10 20 and 30."""
    mount = Mount(x=0, y=0, hole=9)
    assert washer_diameter(mount, 0.0) == 16.0
    assert washer_diameter(Mount(x=0, y=0, hole=10.5), 20.0) == 20.0
    assert washer_diameter(Mount(x=0, y=0, hole=10.5, thread="M8"), 0.0) == 16.0
    assert washer_diameter(Mount(x=0, y=0, hole=10.5), 0.0, wide=5.0) == 30.0
    # pressed in a cone of 30 degrees from the head's 1.5 bolts: 15 + 2·5·tan 30° through a washer of 5, never less than
    # a plain washer, never more than there is of it. Source: Shigley, frusta of pressure, from memory
    assert washer_diameter(Mount(x=0, y=0, hole=10.5), 0.0, 5.0, True) == pytest.approx(15 + 10 / np.sqrt(3))
    assert washer_diameter(Mount(x=0, y=0, hole=10.5), 0.0, 2.0, True) == 20.0
    assert washer_diameter(Mount(x=0, y=0, hole=10.5), 0.0, 20.0, True) == 30.0
    # where the circle would meet a slot's sides just beyond their end it is made larger
    travel = float(np.sqrt(10.0**2 - 5.25**2)) - 0.04
    nudged = washer_diameter(Mount(x=0, y=0, hole=10.5), travel)
    assert 20.0 < nudged < 21.0
    assert np.sqrt((nudged / 2) ** 2 - 5.25**2) - travel > 0.25


@pytest.mark.slow
def test_wide_washers_are_a_range_and_no_rigid_discs(flat: tuple[Path, BracketDesign, Job]) -> None:
    """The softer clamping holds what the bolts' cones meet, far less than the washers' whole width: stiffer than plain
    washers, and softer than the wide ones held on the block's face all over."""
    folder, design, _ = flat
    plain, wide = setup(design), setup(design, wide=True)
    assert all(a.diameter <= b.diameter for a, b in zip(wide.softer, wide.clamps[::2], strict=True))
    assert any(a.diameter < b.diameter for a, b in zip(wide.softer, wide.clamps[::2], strict=True))
    soft, stiff = CoarseBracket(folder / STEP, wide).held()[0]
    before = CoarseBracket(folder / STEP, plain).held()[0]
    rigid = coarse_hz(folder / STEP, replace(plain, clamps=wide.clamps[::2]))
    assert before[0].first_hz * 0.995 < soft.first_hz < 0.99 * rigid
    assert soft.first_hz < stiff.first_hz
    assert stiff.first_hz > before[1].first_hz


def test_two_clampings(answer: StiffnessResult, flat: tuple[Path, BracketDesign, Job]) -> None:
    """Held on the block's face alone it is softer, as the same mesh with those rings alone finds; and each mode's part
    in a slow shake adds up to nearly all of it."""
    folder, design, _ = flat
    whole = answer.mended_by(BracketProposals(base=CoarseBracket(folder / STEP, setup(design)).held()[0]))
    soft, stiff = whole.held
    assert soft.first_hz < stiff.first_hz == answer.first_hz
    assert whole.range_hz == (soft.first_hz, stiff.first_hz)
    given = setup(design)
    alone = coarse_hz(folder / STEP, replace(given, clamps=given.softer))
    both = coarse_hz(folder / STEP, given)
    assert soft.first_hz / stiff.first_hz == pytest.approx(alone / both, rel=0.02)
    for held in whole.held:
        along = held.shakes[0]
        parts = sum(mode.gap_change_mm for mode in along.modes)
        assert 0.9 < parts / along.gap_change_mm < 1.1
        assert 0.2 < sum(mode.load for mode in along.modes) < 1.0


def test_rounding_keeps_significant_digits() -> None:
    assert rounded(123.456789) == 123.46
    assert rounded(0.00123456789) == 0.0012346
    assert rounded(-9.99999) == -10.0


@pytest.mark.slow
@pytest.mark.parametrize("seed", [0, 16, 56, 74])
def test_the_error_estimate_covers_a_much_finer_mesh(tmp_path: Path, seed: int) -> None:
    """Elements FINER times as large as those of the last mesh, some 80,000 unknowns; elements half as large took
    gigabytes and a quarter of an hour."""
    job = random_job(seed)
    design = written(tmp_path, job)
    answer = bracket_stiffness(tmp_path, design)
    given = setup(design)
    times = FINER * answer.meshes[-1].size_mm / fineness(given, 1.0).size
    fine = bolt(tmp_path / STEP, given, fineness(given, times))
    assert fine.solver.unknowns > 2 * answer.meshes[-1].unknowns
    moved = abs(fine.solver.modes(1).frequencies[0] - answer.first_hz)
    assert moved < answer.error_hz
    # what falls with the size falls by 1 - FINER of all of it on the way to FINER: all of it, with half as much again
    assert moved / (1 - FINER) < 1.5 * answer.error_hz


@pytest.mark.slow
def test_random_brackets_are_all_solved(tmp_path: Path) -> None:
    """L, Z and flat, with and without gussets: each is meshed whole and answers near where a straight bar would."""
    from wheelcad.errors import DesignError

    solved = 0
    for seed in itertools.count():
        try:
            design = written(tmp_path, random_job(seed))
        except DesignError:
            continue
        given = setup(design)
        assert 0.4 < coarse_hz(tmp_path / STEP, given) / design.first_frequency_hz < 2.5
        solved += 1
        if solved == 40:
            return
