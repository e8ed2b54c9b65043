"""The job file as text, for who wants it: what was typed in fields is seen here, and the other way round."""

from __future__ import annotations

from nicegui import ui

from wheelcad.page.session import State
from wheelcad.page.view import PageView, heading


def draw(view: PageView) -> None:
    """The text, a button that takes it, and what it was changed by."""
    heading("The job file")
    ui.label("The very file that every command reads. Fields and text are the same thing seen twice.").classes(
        "wc-note"
    )
    area = (
        ui.textarea(value=view.state.text).classes("wc-text w-full").props('outlined aria-label="Text of the job file"')
    )
    area.props("spellcheck=false")
    shown = [view.state.text]

    def heard(state: State) -> None:
        if state.text != shown[0]:
            if area.value == shown[0] or state.by != view.name:
                area.set_value(state.text)
            shown[0] = state.text

    def take() -> None:
        view.follow(view.session.set_text(str(area.value or ""), view.name))

    ui.button("Take this text", on_click=take).classes("wc-button")
    view.watch(heard)
