"""A pinned variant is the whole job: its text, its numbers as the page showed them, and the way back to it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.conftest import ROOT
from wheelcad.page.pinned import MOST, brought_up, differences, pin_of, with_pin
from wheelcad.page.session import Session


@pytest.fixture
def session(tmp_path: Path) -> Session:
    return Session(Path(shutil.copy(ROOT / "configs" / "tarn-six.yaml", tmp_path)))


def test_a_variant_is_taken_back_whole(session: Session) -> None:
    first = pin_of(session.state, "  as   drawn ")
    assert first is not None
    assert (first.name, first.pattern) == ("as drawn", "36-1")
    assert first.figures == session.state.figures
    session.set(("sensor", "air_gap"), "1").result()
    session.set(("bracket", "width"), "48").result()
    second = pin_of(session.state, "")
    assert second is not None
    assert second.name == "36-1"
    assert {figure.name: figure.text for figure in second.figures}["air_gap"] == "1 mm"
    assert not any(figure.was for figure in second.figures)
    told = [("sensor.air_gap", "0.8", "1"), ("bracket.width", "45", "48")]
    assert differences(first, session.state.text) == told
    session.change(lambda _: first.text, "taken", "", ()).result()
    assert session.state.text == first.text == session.path.read_text(encoding="utf-8")
    assert differences(first, session.state.text) == []
    session.undo().result()
    assert session.state.text == second.text
    session.close()


def test_a_job_with_faults_is_not_pinned_and_names_stay_apart(session: Session) -> None:
    pins = ()
    for width in range(40, 40 + MOST + 2):
        session.set(("bracket", "width"), str(width)).result()
        pin = pin_of(session.state, "wide")
        assert pin is not None
        pins = with_pin(pins, pin)
    assert len(pins) == MOST
    assert len({pin.name for pin in pins}) == MOST
    assert with_pin(pins, pins[0])[-1].text == pins[0].text
    assert len(with_pin(pins, pins[0])) == MOST
    session.set(("sensor", "air_gap"), "9").result()
    assert session.state.faults
    assert pin_of(session.state, "bad") is None
    session.close()


def test_what_is_worked_out_later_is_told_of_the_pin_too(session: Session) -> None:
    pin = pin_of(session.state, "early")
    assert pin is not None
    text = session.state.text
    session.tell_slow(text, {"after_trim_95_deg": 0.41, "margin": 1.2, "margin_note": ""}).result()
    (later,) = brought_up((pin,), session.state)
    assert {figure.name: figure.text for figure in later.figures}["sync_margin"] == "1.20"
    session.set(("bracket", "width"), "44").result()
    assert brought_up((later,), session.state) == (later,)
    session.close()
