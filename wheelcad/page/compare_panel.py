"""Variants side by side on the page: those that were pinned, the usual patterns for this blank, and which to take."""

from __future__ import annotations

import re

from nicegui import run, ui

from wheelcad.page.aside import ASIDE, PATTERNS, TaskError
from wheelcad.page.compare import Compared
from wheelcad.page.latest import Latest
from wheelcad.page.pinned import Pin, brought_up, differences, pin_of, with_pin
from wheelcad.page.scene_panel import use_css
from wheelcad.page.session import State
from wheelcad.page.view import PageView, attribute, heading

PATTERN = re.compile(r"\s*([0-9]{1,3})\s*[-−–]\s*([0-9])\s*")  # as `options` takes one: 48-2
MOST_TOLD = 8  # keys in which a variant differs


class Pins:
    """The variants that were pinned, for all pages of the job, beside the job as it is."""

    def __init__(self, view: PageView) -> None:
        self.view, self.board = view, view.work.pins
        self._shown: tuple[Pin, ...] = ()
        self._notes: list[tuple[Pin, ui.label]] = []
        heading("Variants")
        with ui.element("div").classes("wc-line"):
            self._name = ui.input("Name of this variant").props('outlined aria-label="Name of this variant"')
            self._name.classes("wc-input")
            ui.button("Pin the job as it is", on_click=self._pin).classes("wc-button").props("data-do=pin")
        self._list = ui.element("ul").classes("wc-patterns").props('aria-label="Pinned variants, to one scale"')
        view.watch_board(self.board, self._show)
        view.watch(self._heard)

    def _pin(self) -> None:
        pin = pin_of(self.view.state, str(self._name.value or ""))
        if pin is None:
            self.view.say("a job with faults cannot be pinned: mend them first", "warning")
            return
        self._name.set_value("")
        self.board.show(with_pin(self.board.value, pin))

    def _heard(self, state: State) -> None:
        if state.is_working:
            return
        fresh = brought_up(self.board.value, state)
        if fresh != self.board.value:
            self.board.show(fresh)
        for pin, note in self._notes:
            note.set_text(_difference_words(pin, state))

    def _show(self, pins: tuple[Pin, ...]) -> None:
        if pins == self._shown:
            return
        self._shown = pins
        self._list.clear()
        self._notes.clear()
        with self._list:
            for pin in pins:
                self._card(pin)

    def _card(self, pin: Pin) -> None:
        with ui.element("li").classes("wc-pattern").props(f'data-pin="{attribute(pin.name)}"'):
            heading(pin.name if pin.name == pin.pattern else f"{pin.name} ({pin.pattern})", 3)
            ui.html(pin.svg, sanitize=False)  # our own SVG
            with ui.element("dl").classes("wc-pin"):
                for figure in pin.figures:
                    with ui.element("dt"):
                        ui.label(figure.label)
                    with ui.element("dd").props(f"data-pinned={figure.name}"):
                        ui.label(figure.text or "not worked out")
            note = ui.label(_difference_words(pin, self.view.state)).classes("wc-note")
            self._notes.append((pin, note))
            take = ui.button("Take this one", on_click=lambda: self._take(pin)).classes("wc-button")
            take.props(f'aria-label="take {attribute(pin.name)}" data-do=take')
            drop = ui.button("Unpin", on_click=lambda: self._drop(pin)).props("flat no-caps").classes("wc-go")
            drop.props(f'aria-label="unpin {attribute(pin.name)}"')

    def _take(self, pin: Pin) -> None:
        session, name = self.view.session, f"the variant {pin.name} taken"
        self.view.follow(session.change(lambda _: pin.text, name, by=self.view.name))

    def _drop(self, pin: Pin) -> None:
        self.board.show(tuple(other for other in self.board.value if other.text != pin.text))


def _difference_words(pin: Pin, state: State) -> str:
    """In what a variant differs from the job now."""
    found = differences(pin, state.text)
    if not found:
        return "This is the job as it is now."
    told = "; ".join(f"{key} {there or 'left out'}, now {here or 'left out'}" for key, there, here in found[:MOST_TOLD])
    more = f"; and {len(found) - MOST_TOLD} more" if len(found) > MOST_TOLD else ""
    return f"Differs: {told}{more}."


class Compare:
    """The patterns; their cards are made again when the job changes."""

    def __init__(self, view: PageView) -> None:
        self.view = view
        self.pinned: list[str] = []
        self._latest = Latest(self._follow, "patterns")
        heading("Patterns for this blank")
        with ui.element("div").classes("wc-line"):
            ask = ui.input("Another pattern, such as 48-2").props("outlined").classes("wc-input")
            ui.button("Show it too", on_click=lambda: self._pin(str(ask.value))).classes("wc-button")
        self.said = ui.label("Being worked out.").props("role=status").classes("wc-status")
        self.list = ui.element("ul").classes("wc-patterns").props('aria-label="Patterns side by side, to one scale"')
        view.watch(self._latest.heard)

    def _pin(self, said: str) -> None:
        found = PATTERN.fullmatch(said)
        if found is None:
            self.view.say("a pattern is two numbers: 36-1, 60-2", "warning")
            return
        name = f"{int(found[1])}-{found[2]}"
        if name not in self.pinned:
            self.pinned.append(name)
        self._latest.heard(self.view.state)

    async def _follow(self, state: State) -> None:
        if state.job is None or state.is_working:
            return
        try:
            found = await run.io_bound(ASIDE.ask, PATTERNS, state.job, tuple(self.pinned))
        except TaskError:
            self.said.set_text("No pattern can be compared until the faults are mended.")
            return
        if found is None:  # the server is being stopped
            return
        rows, first = found
        self.said.set_text(first)
        self.list.clear()
        with self.list:
            for row in rows:
                self._card(row)

    def _card(self, row: Compared) -> None:
        with ui.element("li").classes("wc-pattern").classes("take" if row.take else ""):
            there = (("take this", row.take), ("the job's", row.own), ("asked for", row.name in self.pinned))
            marks = [mark for mark, is_so in there if is_so]
            name = row.name + (f" ({', '.join(marks)})" if marks else "")
            heading(name, 3)
            if row.svg:
                ui.html(row.svg, sanitize=False)  # our own SVG
            for label, value in row.numbers:
                ui.label(f"{label}: {value}")
            ui.label(f"{row.verdict}: {row.reason}").classes("wc-note")
            ui.button(f"Use {row.name}", on_click=lambda: self._use(row)).classes("wc-button")

    def _use(self, row: Compared) -> None:
        self.view.set(("wheel", "teeth"), str(row.teeth))
        self.view.set(("wheel", "missing"), str(row.missing))


def draw(view: PageView) -> None:
    """The panel."""
    use_css()
    Pins(view)
    Compare(view)
