"""One row of the form: a field to type in and all that belongs to it, or the head of a section or a list's entry."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future

from nicegui import ui

from wheelcad.page.form import Row, faults_at
from wheelcad.page.live_text import LiveText
from wheelcad.page.problems import Problems
from wheelcad.page.session import State
from wheelcad.page.view import PageView, attribute

LEFT_OUT = "(left out)"


class Field:
    """The elements of a row, made where it is constructed; `update` shows another row of the same key and kind."""

    def __init__(self, view: PageView, row: Row) -> None:
        self.view, self.row = view, row
        self._invented = False
        self._value = row.text or ""
        self._focused = False
        self._pending: Future[State] | None = None
        with (
            ui.element("div")
            .classes(f"wc-row wc-is-{row.kind}")
            .props(f'data-key="{attribute(row.dotted)}"') as self.box
        ):
            self.box.style(f"--depth: {row.depth}")
            if row.kind == "value":
                self._make_value(row)
            else:
                self._make_head(row)
            self._wrong = Problems(view, in_row=True).classes("wc-wrong").props("role=status")

    def update(self, row: Row, state: State) -> None:
        """Show what the state says of this row; nothing is sent where it says what was shown."""
        self.row = row
        if not state.is_working:  # its faults are not known yet
            self._wrong.show(faults_at(row, state.faults))
        if row.kind != "value":
            return
        self._show_value(row, state)
        self._echo.set_text(row.echo or (row.takes if row.text is None else ""))
        if row.invented == self._invented:
            return
        self._invented = row.invented
        self._settle.set_visibility(row.invented)
        name = f"{row.label}, invented, not measured yet" if row.invented else row.label
        self._input.props(f'aria-label="{attribute(name)}"')
        (self.box.classes("wc-invented") if row.invented else self.box.classes(remove="wc-invented"))

    def focus(self) -> None:
        """Put the caret here."""
        if self.row.kind == "value":
            self._input.run_method("focus")
        self.box.run_method("scrollIntoView", {"block": "center"})

    # --- a value ------------------------------------------------------------------------------------------------------
    def _make_value(self, row: Row) -> None:
        with ui.element("div").classes("wc-label"):
            if row.letter:
                ui.label(row.letter).classes("wc-letter").props(
                    f'title="on the measuring sheet" data-letter={row.letter}'
                )
            ui.label(row.label)
        if row.words:
            options = self._options(row)
            self._input: ui.select | ui.input = ui.select(
                options, value=row.text if row.text is not None else LEFT_OUT, on_change=lambda e: self._typed(e.value)
            )
        else:
            self._input = ui.input(
                value=row.text or "", placeholder=row.allowed, on_change=lambda e: self._typed(e.value)
            ).props("autocomplete=off autocapitalize=off spellcheck=false")
        self._input.props(f'outlined aria-label="{attribute(row.label)}" hide-bottom-space').classes("wc-input")
        self._input.mark(row.dotted)
        self._input.on("focus", self._held)
        self._input.on("blur", self._left)
        with ui.element("div").classes("wc-beside"):
            self._echo = LiveText().classes("wc-echo")
            self._settle = ui.button("measured: it is so", on_click=self._measured).props("flat no-caps dense")
            self._settle.classes("wc-go")
            self._settle.set_visibility(False)
        with ui.element("details").classes("wc-how"), ui.element("summary"):
            ui.label("how and why")
        self._details(row)

    def _details(self, row: Row) -> None:
        with self.box.default_slot.children[-1]:
            if row.how:
                ui.label(f"Measure: {row.how}.")
            ui.label(row.why)
            if row.allowed:
                ui.label(f"Takes {row.allowed}.")
            ui.label(row.dotted).classes("wc-key")

    def _options(self, row: Row) -> list[str]:
        known = list(row.words) if row.text in row.words or row.text is None else [row.text, *row.words]
        return [LEFT_OUT, *known]

    def _typed(self, said: str | None) -> None:
        value = "" if said in (None, LEFT_OUT) else str(said)
        if value != self._value:
            self._value = value
            self._pending = self.view.set(self.row.key, value)

    def _show_value(self, row: Row, state: State) -> None:
        """Another value than this field's, unless this page's person is typing in it."""
        text = row.text or ""
        if text == self._value or (self._focused and state.by == self.view.name):
            return
        self._set(text)

    def _held(self) -> None:
        self._focused = True
        self.view.hold(self.row.key)

    def _left(self) -> None:
        """The field is left: it shows the value as the file has it, now or when what was typed is taken in."""
        self._focused = False
        if self._pending is None or self._pending.done():
            self._show_value(self.row, self.view.state)

    def _set(self, text: str) -> None:
        self._value = text
        if isinstance(self._input, ui.select):
            self._input.set_options(self._options(self.row), value=text or LEFT_OUT)
        else:
            self._input.set_value(text)

    def _measured(self) -> None:
        self.view.follow(self.view.session.settle(self.row.dotted))

    # --- a head, or what is not there --------------------------------------------------------------------------------
    def _make_head(self, row: Row) -> None:
        with ui.element("div").classes("wc-label").props("role=heading aria-level=3"):
            ui.label(row.label)
        if row.kind == "head":
            if row.entry:
                self._button("one more", lambda: self.view.follow(self._append()), f"one more entry of {row.label}")
            self._button("take out", self._remove, f"take out {row.label}")
        elif row.kind == "absent":
            self._button("add", self._add, f"add {row.label}")
        else:
            ui.label(f"{row.text}: no key of a job file").classes("wc-echo")
            self._button("take out", self._remove, f"take out {row.label}")
        if row.why:
            with ui.element("details").classes("wc-how"):
                with ui.element("summary"):
                    ui.label("what it brings")
                ui.label(row.why)

    def _button(self, text: str, click: Callable[[], None], name: str) -> None:
        ui.button(text, on_click=click).props(f'flat no-caps dense aria-label="{attribute(name)}"').classes("wc-go")

    def _append(self) -> Future[State]:
        return self.view.session.append(self.row.key, self.row.entry)

    def _remove(self) -> None:
        self.view.follow(self.view.session.remove(self.row.key))

    def _add(self) -> None:
        self.view.follow(self.view.session.bring(self.row.key, self.row.put))
