"""What the scene's finite elements tell the session: the estimate's place is taken, and given back."""

from __future__ import annotations

import shutil
import time
from pathlib import Path
from types import SimpleNamespace

import pytest

from tests.conftest import ROOT
from wheelcad.page import stiff
from wheelcad.page.figures import BY_ELEMENTS, ESTIMATE
from wheelcad.page.session import Session, State
from wheelcad.parts.bracket.model import BracketDesign


def first_frequency(state: State) -> tuple[str, str]:
    return next((figure.text, figure.note) for figure in state.figures if figure.name == "first_frequency")


def test_finite_elements_take_the_place_of_the_estimate_until_the_bracket_changes(tmp_path: Path) -> None:
    session = Session(Path(shutil.copy(ROOT / "configs" / "tarn-six.yaml", tmp_path)))
    try:
        state = session.set(("bracket", "width"), "46").result()
        assert state.design is not None
        old = state.design.bracket
        assert old is not None
        assert first_frequency(state)[1] == ESTIMATE
        assert first_frequency(session.tell_stiffness(old, 412.3).result()) == ("412 Hz", BY_ELEMENTS)
        later = session.tell_slow(state.text, {"margin": 1.5}).result()
        assert first_frequency(later) == ("412 Hz", BY_ELEMENTS)  # other slow work does not take it back
        state = session.set(("bracket", "width"), "47").result()
        assert first_frequency(state)[1] == ESTIMATE
        assert first_frequency(session.tell_stiffness(old, 412.3).result())[1] == ESTIMATE  # of another bracket
    finally:
        session.close()


def test_a_job_left_alone_is_solved_once_for_each_bracket(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[float] = []

    def solved(bracket: BracketDesign) -> SimpleNamespace:  # the solver's own answers: test_colours.py, slow
        asked.append(bracket.width)
        return SimpleNamespace(hz=400.0 + bracket.width)

    monkeypatch.setattr(stiff, "solved", solved)
    session = Session(Path(shutil.copy(ROOT / "configs" / "tarn-six.yaml", tmp_path)))
    work = stiff.StiffWork(session, 0.01)
    try:
        work.start()
        assert until(session, 445.0)
        session.set(("bracket", "width"), "47").result()
        assert until(session, 447.0)
        session.set(("bracket", "width"), "0").result()  # no bracket: nothing to solve
        time.sleep(0.1)
        assert asked[-1] == 47.0
    finally:
        work.stop()
        session.close()
    work.join(5.0)
    assert not work.is_alive()


def until(session: Session, hz: float) -> bool:
    """Whether the session is told this frequency before long."""
    for _ in range(300):
        if session.state.first_hz == hz:
            return True
        time.sleep(0.05)
    return False
