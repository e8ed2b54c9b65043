"""Everything wrong with the job in one list, and what the trade says of it: each with the way to its field."""

from __future__ import annotations

from nicegui import ui

from wheelcad.findings import poor, tally
from wheelcad.page.live_text import LiveText
from wheelcad.page.problems import Problems
from wheelcad.page.session import State
from wheelcad.page.view import PageView


def draw(view: PageView) -> None:
    """Faults first, then findings that failed or warned."""
    with ui.element("section").classes("wc-faults").props('id=wc-faults aria-label="Faults and findings" tabindex=-1'):
        head = LiveText().classes("wc-head").props("role=heading aria-level=2 aria-live=polite")
        problems = Problems(view)

    def heard(state: State) -> None:
        if not state.is_working:
            head.set_text(_head(state))
            problems.show((*state.faults, *poor(state.findings)))

    view.watch(heard)


def _head(state: State) -> str:
    if state.faults:
        n = len(state.faults)
        return f"{n} fault{'s' if n > 1 else ''}: numbers are of the last job that could be made"
    return tally(state.findings)
