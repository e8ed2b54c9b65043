"""The form: the sections down the side, the open one's picture and fields."""

from __future__ import annotations

import asyncio
import html
import re

from nicegui import background_tasks, run, ui

from wheelcad.errors import Key
from wheelcad.job.measuring import PICTURES
from wheelcad.page.field import Field
from wheelcad.page.form import TITLES, Row, picture_letter, rows_of, section_names, section_of_key
from wheelcad.page.live_text import LiveText
from wheelcad.page.session import State
from wheelcad.page.view import PageView

PICTURE_S = 0.3  # without a change, before the picture is drawn anew


class FormPanel:
    """The form of one page."""

    def __init__(self, view: PageView) -> None:
        self.view = view
        self._fields: dict[Key, Field] = {}
        self._shape: tuple[object, ...] = ()
        self._tabs: dict[str, tuple[ui.button, LiveText]] = {}
        self._drawn: tuple[int, str] = (0, "")
        with ui.element("div").classes("wc-form"):
            with ui.element("nav").classes("wc-sections").props('aria-label="Sections of the job"'):
                for name in section_names():
                    with ui.button(on_click=lambda name=name: self.open(name)).props(
                        "flat no-caps align=left"
                    ) as button:
                        ui.label(TITLES[name])
                        badge = LiveText().classes("wc-badge")
                    button.props(f"data-section={name}").mark(f"section-{name}")
                    self._tabs[name] = (button, badge)
            with ui.element("section").classes("wc-fields").props('aria-label="Fields"'):
                self._title = ui.label().classes("wc-head").props("role=heading aria-level=2")
                with ui.element("figure").classes("wc-picture") as self._figure:
                    self._picture = LiveText(markup=True)
                    with ui.element("figcaption"):
                        self._caption = ui.label()
                self._box = ui.element("div")
                with ui.element("details").classes("wc-more") as self._more:
                    with ui.element("summary"):
                        self._more_label = ui.label("Less common keys")
                    self._more_box = ui.element("div")
        view.watch(self._heard)
        view.watch_hand(self._held)

    def open(self, name: str) -> None:
        """Show a section."""
        self.view.section = name
        self._heard(self.view.state)

    def _heard(self, state: State) -> None:
        name = self.view.section
        rows = rows_of(name, state)
        shape = (name, *((row.key, row.kind, row.words, row.common, row.entry) for row in rows))
        if shape != self._shape:
            self._shape = shape
            self._build(name, rows)
        for row in rows:
            self._fields[row.key].update(row, state)
        self._mark(state)
        self._draw(state)

    def _build(self, name: str, rows: list[Row]) -> None:
        self._title.set_text(TITLES[name])
        self._fields.clear()
        self._box.clear()
        self._more_box.clear()
        rare = [row for row in rows if not row.common]
        with self._box:
            self._fields |= {row.key: Field(self.view, row) for row in rows if row.common}
        with self._more_box:
            self._fields |= {row.key: Field(self.view, row) for row in rare}
        self._more.set_visibility(bool(rare))
        self._more_label.set_text(f"Less common keys: {', '.join(row.label.lower() for row in rare)}")

    def _mark(self, state: State) -> None:
        """How many faults and unmeasured values each section has."""
        if state.is_working:
            return
        wrong = [section_of_key(fault.key) for fault in state.faults]
        guessed = [section_of_key((key.split(".")[0],)) for key in state.invented]
        for name, (button, badge) in self._tabs.items():
            parts = [f"✗ {wrong.count(name)}"] if name in wrong else []
            parts += [f"? {guessed.count(name)}"] if name in guessed else []
            badge.set_text(" ".join(parts))
            button.props(f"aria-current={'true' if name == self.view.section else 'false'}")

    def _held(self, key: Key) -> None:
        if key and self._fields.get(key) is None:
            self._heard(self.view.state)
            self._more.props("open")
        field = self._fields.get(key)
        if field is not None and key:
            field.focus()
        self._draw(self.view.state)

    def _draw(self, state: State) -> None:
        """The picture of the field in hand, or of the section, in the background."""
        letter = picture_letter(self.view.in_hand) if self.view.in_hand else picture_letter((self.view.section,))
        if section_of_key(self.view.in_hand) != self.view.section:
            letter = picture_letter((self.view.section,))
        self._figure.set_visibility(bool(letter))
        if letter and (state.number, letter + str(self.view.in_hand)) != self._drawn:
            self._drawn = (state.number, letter + str(self.view.in_hand))
            background_tasks.create(self._show_picture(state, letter), name="picture")

    async def _show_picture(self, state: State, letter: str) -> None:
        await asyncio.sleep(PICTURE_S)  # while a person types, the last is good enough
        if self._drawn[0] != state.number:
            return
        drawn = await run.io_bound(picture_svg, state, letter)
        with self._figure:
            self._put(drawn, letter)

    def _put(self, drawn: str | None, letter: str) -> None:
        row = self._fields.get(self.view.in_hand)
        self._caption.set_text(f"{letter}: {PICTURES[letter]}")
        self._figure.set_visibility(bool(drawn))
        self._picture.set_text(lettered(drawn or "", row.row.letter if row is not None else "", letter))


def picture_svg(state: State, letter: str) -> str:
    """The measuring sheet's picture of the last job that could be designed; "" where it has none."""
    from wheelcad.packet.measuring_pictures import pictures

    if state.design is None:
        return ""
    sketch = pictures(state.design.job, state.design.wheel).get(letter)
    return sketch.svg() if sketch is not None else ""


def lettered(svg: str, label: str, letter: str) -> str:
    """The picture with the balloon of one label filled, and a name for who cannot see it."""
    said = html.escape(f"picture {letter}: {PICTURES[letter]}")
    svg = svg.replace("<svg ", f'<svg role="img" aria-label="{said}" ', 1)
    if label:
        svg = re.sub(rf"fill='white'([^>]*)/><text([^>]*)>{label}</text>",
                     rf"fill='#ffd54a'\1/><text\2 font-weight='bold'>{label}</text>", svg)  # fmt: skip
    return svg


def draw(view: PageView) -> None:
    """Make the form."""
    FormPanel(view)
