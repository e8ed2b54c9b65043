"""The lathe piece in section, on the page; the field in hand is marked in it."""

from __future__ import annotations

from nicegui import run, ui

from wheelcad.errors import Key
from wheelcad.job.invented import dotted
from wheelcad.page.latest import Latest
from wheelcad.page.live_text import LiveText
from wheelcad.page.scene_arrow import arrow_of
from wheelcad.page.scene_panel import use_css
from wheelcad.page.scene_parts import SceneMade, made_of
from wheelcad.page.section import section_svg
from wheelcad.page.session import State
from wheelcad.page.view import PageView

NONE = "No lathe piece: a pulley with `turned`, or an adapter, would bring one."


def draw(view: PageView) -> None:
    """The picture."""
    use_css()
    note = ui.label().classes("wc-note")
    picture = LiveText(markup=True).classes("wc-section")
    made: list[SceneMade] = []

    def show() -> None:
        if not made:
            return
        arrow = arrow_of(dotted(view.in_hand), made[-1]) if view.in_hand else None
        svg = section_svg(made[-1], view.state.units, arrow)
        picture.set_text(svg)
        note.set_text("" if svg else NONE)

    async def follow(state: State) -> None:
        if state.job is None or state.is_working:
            return
        found = await run.io_bound(made_of, state.job, state.design if state.is_current else None)
        if found is not None:
            made[:] = [found]
            show()

    def hand(_: Key) -> None:
        show()

    view.watch(Latest(follow, "section").heard)
    view.watch_hand(hand)
