"""The job behind the design page, without a browser: what is kept, what is saved, what is taken in."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from wheelcad.page.session import Session

CONFIGS = Path(__file__).parents[2] / "configs"


@pytest.fixture
def job_file(tmp_path: Path) -> Path:
    return Path(shutil.copy(CONFIGS / "tarn-six.yaml", tmp_path))


def test_a_change_is_saved_with_comments_order_and_fractions_kept(job_file: Path) -> None:
    before = job_file.read_text()
    session = Session(job_file)
    state = session.set(("sensor", "air_gap"), "1/32 in").result()
    assert state.saved
    assert job_file.read_text() == before.replace("air_gap: 0.8", "air_gap: 1/32 in")
    gap = next(figure for figure in state.figures if figure.name == "air_gap")
    assert (gap.was, gap.text) == ("0.8 mm", "0.79 mm")


def test_what_cannot_be_read_is_kept_but_not_saved_and_outlives_the_server(job_file: Path) -> None:
    before = job_file.read_text()
    session = Session(job_file)
    state = session.set(("sensor", "air_gap"), "a hair").result()
    assert [fault.dotted for fault in state.faults] == ["sensor.air_gap"]
    assert not state.saved
    assert job_file.read_text() == before
    again = Session(job_file)  # the first was never closed: as after a kill
    assert again.state.data["sensor"]["air_gap"] == "a hair"
    assert not again.state.saved
    assert {figure.name: figure.text for figure in again.state.figures}["air_gap"] == "0.8 mm"  # the file's
    assert again.undo().result().text == before


def test_a_change_from_outside_is_taken_in_or_asked_about(job_file: Path) -> None:
    before = job_file.read_text()
    session = Session(job_file)
    theirs = before.replace("air_gap: 0.8", "air_gap: 0.7")
    job_file.write_text(theirs)
    state = session.look_outside().result()
    assert state.text == theirs
    assert state.outside is None
    session.set(("sensor", "air_gap"), "a hair").result()
    job_file.write_text(before)
    state = session.look_outside().result()
    assert state.outside == before
    assert session.set(("sensor", "air_gap"), "0.9").result().saved is False
    assert job_file.read_text() == before
    state = session.take_outside(theirs=False).result()
    assert state.saved
    assert job_file.read_text() == before.replace("air_gap: 0.8", "air_gap: 0.9")
