"""The job file: what was changed when, undo, and the question when another program changed it too."""

from __future__ import annotations

import difflib
from datetime import datetime

from nicegui import ui

from wheelcad.page.session import State
from wheelcad.page.view import PageView, heading

SHOWN = 60  # changes listed


def draw(view: PageView) -> None:
    """The changes with their dates, newest first; one press goes back to before any of them."""
    heading("What was changed, newest first")
    ui.label(f"Kept in {view.session.history.path.name}, beside the job file.").classes("wc-note")
    box = ui.element("ol").classes("wc-list").props('aria-label="Changes, newest first" reversed')
    shown: list[object] = [None]

    def heard(state: State) -> None:
        history = view.session.history
        now = (len(history.entries), history.position, history.text)
        if now == shown[0]:
            return
        shown[0] = now
        box.clear()
        with box:
            for number in reversed(range(max(0, len(history.entries) - SHOWN), len(history.entries))):
                entry = history.entries[number]
                stands = number < history.position
                with ui.element("li"):
                    when = datetime.fromisoformat(entry.when).strftime("%Y-%m-%d %H:%M:%S")
                    ui.label(f"{when}  {'' if stands else '(taken back) '}{entry.said}")
                    if stands and not entry.joins:
                        back = ui.button("back to before this", on_click=lambda number=number: _back(view, number))
                        back.props("flat no-caps dense").classes("wc-go")

    view.watch(heard)


def _back(view: PageView, number: int) -> None:
    view.follow(view.session.back_to(number))


def ask_outside(view: PageView) -> None:
    """A box that is there while the file and the page disagree, with both answers."""
    box = ui.element("section").classes("wc-ask").props('role=alertdialog aria-label="The file was changed"')

    asked: list[str | None] = [""]

    def heard(state: State) -> None:
        if state.outside == asked[0]:
            return
        asked[0] = state.outside
        box.set_visibility(state.outside is not None)
        box.clear()
        if state.outside is None:
            return
        with box:
            ui.label("Another program changed the job file while changes here were not saved.").classes("wc-head")
            lines = difflib.unified_diff(
                state.text.splitlines(), state.outside.splitlines(), "here", "in the file", n=0
            )
            ui.label("\n".join(line.rstrip("\n") for line in lines)).classes("wc-pre")
            with ui.element("div").classes("wc-line"):
                for label, theirs in (("Take the file's", True), ("Keep what is here", False)):
                    ui.button(
                        label, on_click=lambda theirs=theirs: view.follow(view.session.take_outside(theirs))
                    ).classes("wc-button")

    view.watch(heard)
