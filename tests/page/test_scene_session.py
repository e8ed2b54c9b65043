"""What the scene's finite elements tell the session: the estimate's place is taken, and given back."""

from __future__ import annotations

import shutil
from pathlib import Path

from tests.conftest import ROOT
from wheelcad.page.figures import BY_ELEMENTS, ESTIMATE
from wheelcad.page.session import Session, State


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
