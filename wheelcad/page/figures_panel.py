"""The few big numbers: old and new side by side, readable from where the engine stands."""

from __future__ import annotations

from nicegui import ui

from wheelcad.page.figures import Figure
from wheelcad.page.live_text import LiveText
from wheelcad.page.session import State
from wheelcad.page.view import PageView


def draw(view: PageView) -> None:
    """A list of figures that follows the job."""
    box = ui.element("dl").classes("wc-figures").props('aria-label="Numbers" aria-live=polite')
    made: dict[str, tuple[LiveText, LiveText, LiveText]] = {}
    names: list[str] = []

    def build(figures: tuple[Figure, ...]) -> None:
        box.clear()
        made.clear()
        with box:
            for figure in figures:
                with ui.element("div").classes("wc-figure"):
                    with ui.element("dt"):
                        ui.label(figure.label)
                    with ui.element("dd").props(f"data-figure={figure.name}"):
                        was = LiveText().classes("wc-was")
                        value = LiveText().classes("wc-value")
                        note = LiveText().classes("wc-note")
                made[figure.name] = was, value, note

    def heard(state: State) -> None:
        fresh = [figure.name for figure in state.figures]
        if fresh != names:
            names[:] = fresh
            build(state.figures)
        for figure in state.figures:
            was, value, note = made[figure.name]
            was.set_text(f"{figure.was} →" if figure.was else "")
            value.set_text(figure.text or "…")
            note.set_text(figure.note)
        if not state.is_working:
            for was, _, _ in list(made.values())[:1]:
                was.class_around(".wc-figures", "wc-old", not state.is_current)

    view.watch(heard)
