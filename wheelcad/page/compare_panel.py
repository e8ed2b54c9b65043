"""Variants side by side on the page: the usual patterns for this blank, those pinned, and which to take."""

from __future__ import annotations

import re

from nicegui import background_tasks, run, ui

from wheelcad.page.aside import ASIDE, PATTERNS, TaskError
from wheelcad.page.compare import Compared
from wheelcad.page.scene_panel import use_css
from wheelcad.page.session import State
from wheelcad.page.view import View

PATTERN = re.compile(r"\s*([0-9]{1,3})\s*[-−–]\s*([0-9])\s*")  # as `options` takes one: 48-2


class Compare:
    """The cards; they are made again when the job changes, while the panel is looked at or not."""

    def __init__(self, view: View) -> None:
        self.view = view
        self.pinned: list[str] = []
        self._wanted: State | None = None
        self._busy = False
        with ui.row().classes("items-center"):
            ask = ui.input("Another pattern, such as 48-2").props("outlined").classes("wc-input")
            ui.button("Pin it", on_click=lambda: self._pin(str(ask.value))).classes("wc-button")
            ui.button("Pin the job's own", on_click=self._pin_own).classes("wc-button")
        self.said = ui.label("Being worked out.").props("role=status").classes("wc-head")
        self.list = ui.element("ul").classes("wc-patterns").props('aria-label="Patterns side by side, to one scale"')
        view.watch(self._heard)

    def _pin(self, said: str) -> None:
        found = PATTERN.fullmatch(said)
        if found is None:
            self.view.say("a pattern is two numbers: 36-1, 60-2", "warning")
            return
        name = f"{int(found[1])}-{found[2]}"
        if name not in self.pinned:
            self.pinned.append(name)
        self._heard(self.view.state)

    def _pin_own(self) -> None:
        job = self.view.state.job
        if job is not None:
            self._pin(f"{job.wheel.teeth}-{job.wheel.missing}")

    def _heard(self, state: State) -> None:
        self._wanted = state
        if not self._busy:
            self._busy = True
            background_tasks.create(self._follow(), name="patterns")

    async def _follow(self) -> None:
        try:
            while self._wanted is not None:
                state, self._wanted = self._wanted, None
                if state.job is None:
                    continue
                try:
                    found = await run.io_bound(ASIDE.ask, PATTERNS, state.job, tuple(self.pinned))
                except TaskError:
                    self.said.set_text("No pattern can be compared until the faults are mended.")
                    continue
                if found is None:  # the server is being stopped
                    return
                rows, first = found
                self.said.set_text(first)
                self.list.clear()
                with self.list:
                    for row in rows:
                        self._card(row)
        finally:
            self._busy = False

    def _card(self, row: Compared) -> None:
        with ui.element("li").classes("wc-pattern").classes("take" if row.take else ""):
            marks = [
                mark
                for mark, there in (
                    ("take this", row.take),
                    ("the job's", row.own),
                    ("pinned", row.name in self.pinned),
                )
                if there
            ]
            ui.label(row.name + (f" ({', '.join(marks)})" if marks else "")).props("role=heading aria-level=3").classes(
                "wc-head"
            )
            if row.svg:
                ui.html(row.svg, sanitize=False)  # our own SVG
            for label, value in row.numbers:
                ui.label(f"{label}: {value}")
            ui.label(f"{row.verdict}: {row.reason}").classes("wc-note")
            ui.button(f"Use {row.name}", on_click=lambda: self._use(row)).classes("wc-button")

    def _use(self, row: Compared) -> None:
        self.view.set(("wheel", "teeth"), str(row.teeth))
        self.view.set(("wheel", "missing"), str(row.missing))


def draw(view: View) -> None:
    """The panel."""
    use_css()
    Compare(view)
