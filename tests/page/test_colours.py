"""The bracket's colours against the build's own finite elements, on one mesh instead of many."""

from __future__ import annotations

import shutil
import time
from pathlib import Path

import numpy as np
import pytest

from tests.conftest import ROOT
from wheelcad.job.models import Job
from wheelcad.page.aside import COLOURS
from wheelcad.page.colours import Coloured, colours_of
from wheelcad.page.scene_parts import made_of, scene_parts
from wheelcad.page.session import Session
from wheelcad.page.stiff import StiffWork
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.words import unwritten


def test_colours_go_from_dark_to_light() -> None:
    rgb = colours_of(np.linspace(0, 1, 11)).reshape(-1, 3)
    lightness = rgb @ np.array([0.2126, 0.7152, 0.0722])
    assert (np.diff(lightness) > 0).all()  # so that grey paper and colour-blind eyes tell them apart


@pytest.mark.slow
def test_one_mesh_comes_near_what_a_build_finds(six: Job) -> None:
    """The closed form says 366 Hz, a build's refined meshes about 440."""
    bracket = design_bracket(six)
    assert bracket is not None
    try:
        found = COLOURS.ask(bracket)
        again = COLOURS.ask(bracket)
    finally:
        COLOURS.end()
    assert isinstance(found, Coloured)
    assert found.hz == pytest.approx(built_hz(six), rel=0.03)
    assert again.hz == found.hz
    plate = next(part for part in scene_parts(made_of(six, None)) if part.name == "bracket")
    plain, skin = plate.mesh.points, found.mesh.points
    assert np.abs(plain.min(axis=0) - skin.min(axis=0)).max() < 0.5  # the coloured skin lies where the plain one is
    assert np.abs(plain.max(axis=0) - skin.max(axis=0)).max() < 0.5
    values = found.mesh.values
    assert values is not None
    assert len(values) == 3 * len(found.mesh.points)
    far = values.reshape(-1, 3)[:, 1]  # green grows with the distance moved
    tab = np.linalg.norm(found.mesh.points - np.array(bracket.face), axis=1) < 25.0
    mounts = np.min([np.hypot(*(found.mesh.points[:, :2] - m).T) for m in bracket.mount_points], axis=0) < 8.0
    assert far[tab].mean() > far[mounts].mean() + 0.3
    assert not unwritten(found.legend("in"))
    assert "mm" not in found.legend("in")


def built_hz(job: Job) -> float:
    """What `build` reports for this bracket, solved as it solves it."""
    import tempfile

    from wheelcad.checks.fem.setup import bracket_stiffness
    from wheelcad.files.step import write_step
    from wheelcad.parts.bracket.solid import bracket_solid

    bracket = design_bracket(job)
    assert bracket is not None
    with tempfile.TemporaryDirectory() as folder:
        write_step(Path(folder) / "bracket.step", bracket_solid(bracket), "bracket")
        return bracket_stiffness(Path(folder), bracket).modes[0].hz


@pytest.mark.slow
def test_a_job_left_alone_gets_its_bracket_solved_and_keeps_it_while_that_stays_the_same(tmp_path: Path) -> None:
    session = Session(Path(shutil.copy(ROOT / "configs" / "tarn-six.yaml", tmp_path)))
    work = StiffWork(session, 0.2)
    try:
        work.start()
        first = until_solved(session, 120.0)
        assert first is not None
        session.set(("wheel", "gap_at"), "20 deg").result()
        assert until_solved(session, 20.0) == first  # another gap, the same bracket: nothing is solved again
        wider = session.set(("bracket", "width"), "60").result()
        assert wider.first_hz is None
        after = until_solved(session, 120.0)
        assert after is not None
        assert after != first  # wider: stiffer and heavier
    finally:
        work.stop()
        session.close()
        COLOURS.end()


def until_solved(session: Session, seconds: float) -> float | None:
    """The first frequency the session is told, None where it is told none in that time."""
    end = time.monotonic() + seconds
    while session.state.first_hz is None and time.monotonic() < end:
        time.sleep(0.1)
    return session.state.first_hz
