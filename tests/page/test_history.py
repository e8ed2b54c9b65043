"""Changes with their dates: back, forward, and again from the file."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from wheelcad.page.history import History, difference


class Clock:
    def __init__(self) -> None:
        self.now = datetime(2026, 3, 1, 9, 0, 0)

    def __call__(self) -> datetime:
        return self.now


@given(st.text("ab\n", max_size=12), st.text("ab\n", max_size=12))
def test_a_difference_leads_from_one_text_to_the_other_and_back(before: str, after: str) -> None:
    at, out, put = difference(before, after)
    assert before[:at] + put + before[at + len(out) :] == after
    assert after[:at] + out + after[at + len(put) :] == before


def test_undo_takes_a_word_that_was_typed_back_as_one_and_a_later_change_alone(tmp_path: Path) -> None:
    clock = Clock()
    history = History(tmp_path / "a.yaml", clock)
    history.begin("gap: 1\n")
    for text in ("gap: 1.\n", "gap: 1.2\n", "gap: 1.25\n"):
        history.add(text, "gap", "gap", join=True)
        clock.now += timedelta(seconds=1)
    clock.now += timedelta(seconds=30)
    history.add("gap: 2\n", "gap", "gap", join=True)
    assert history.undo() == "gap: 1.25\n"
    assert history.undo() == "gap: 1\n"
    assert not history.can_undo
    assert history.redo() == "gap: 1.25\n"
    assert history.redo() == "gap: 2\n"
    assert not history.can_redo


def test_what_is_in_the_file_is_what_was_there_also_after_a_torn_last_line(tmp_path: Path) -> None:
    history = History(tmp_path / "a.yaml")
    history.begin("a: 1\n")
    for text in ("a: 2\n", "a: 3\n", "a: 4\n"):
        history.add(text, "a")
    history.undo()
    history.add("a: 5\n", "a")
    again = History(tmp_path / "a.yaml")
    assert again.load()
    assert (again.text, again.entries, again.position) == (history.text, history.entries, history.position)
    whole = history.path.read_text()
    history.path.write_text(whole[:-7])  # the power went while the last line was written
    torn = History(tmp_path / "a.yaml")
    assert torn.load()
    assert torn.text == "a: 3\n"
    torn.add("a: 6\n", "a")
    last = History(tmp_path / "a.yaml")
    assert last.load()
    assert last.text == "a: 6\n"
