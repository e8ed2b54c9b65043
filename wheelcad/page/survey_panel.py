"""Where the block's holes are: sheets to print, photographs of their tags, or the distances in the job."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any
from urllib.parse import quote

from nicegui import ui

from wheelcad.page.commands import ran
from wheelcad.page.desk import Surveying
from wheelcad.page.measure_panel import given_files, typed_in
from wheelcad.page.uploads import PHOTOS
from wheelcad.page.view import PageView, heading

TYPED = {
    "--bars": "Bars A and B as printed: 150.2,199.7",
    "--plate": "Thickness of what the cards are stuck on",
    "--disc-plate": "Thickness of what the disc is stuck on",
}


class SurveyPanel:
    """The panel of one page."""

    def __init__(self, view: PageView) -> None:
        self.view = view
        heading("Where the block's holes are")
        ui.label(
            "Print the sheets, measure or photograph at the engine. Photographs show the disc on the pulley and a card "
            "on each hole, from several sides; distances are typed under Survey of the block."
        ).classes("wc-note")
        with ui.element("div").classes("wc-line"):
            for name, label in (("measuring-sheet.pdf", "Measuring sheet"), ("survey-tags.pdf", "Tags to photograph")):
                address = f"/job/{quote(view.work.name)}/sheets/{name}"
                ui.link(f"{label} to print (PDF)", address, new_tab=True).classes("wc-file")
        self._options: dict[str, Any] = {}
        for option, label in TYPED.items():
            self._options[option] = ui.input(label).props("outlined").classes("wc-input")
        given_files(view, "Photographs of the tags", PHOTOS, self._take)
        with ui.element("div").classes("wc-line"):
            self._by_photos = self._button("Work it out from the photographs", self._photographs, "photos")
            self._button("Work it out from the distances", self._distances, "distances")
        self._status = ui.label().props("role=status").classes("wc-status")
        self._box = ui.element("div")
        view.watch_board(view.work.surveying, self._heard)

    def _button(self, label: str, click: Any, name: str) -> ui.button:
        return ui.button(label, on_click=click).classes("wc-button").props(f"data-do={name}")

    def _take(self, paths: list[Path]) -> None:
        board = self.view.work.surveying
        board.show(replace(board.value, photos=(*board.value.photos, *paths), faults=(), text=""))

    async def _photographs(self) -> None:
        photos = [str(path) for path in self.view.work.surveying.value.photos]
        await self._ask(("--photos", *photos, *typed_in(self._options)))

    async def _distances(self) -> None:
        await self._ask(())

    async def _write(self) -> None:
        asked = self.view.work.surveying.value.asked
        if not self.view.state.saved:
            self.view.say("the job has faults that are not saved yet: mend them first", "negative")
            return
        await self._ask(asked, write=True)
        self.view.follow(self.view.session.look_outside())

    async def _ask(self, asked: tuple[str, ...], write: bool = False) -> None:
        board = self.view.work.surveying
        board.show(replace(board.value, at_work=True, faults=(), text=""))
        named: list[str | Path] = ["survey", self.view.session.path, *asked, *(["--write"] if write else [])]
        outcome = await ran(named, self.view.work.folder)
        if outcome.code == 0:
            board.show(replace(board.value, at_work=False, text=outcome.out, asked=asked))
        else:
            told = [outcome.out.strip(), *outcome.faults] if outcome.out.strip() else outcome.faults
            board.show(replace(board.value, at_work=False, faults=tuple(dict.fromkeys(told))))

    def _heard(self, surveying: Surveying) -> None:
        self._by_photos.set_enabled(bool(surveying.photos) and not surveying.at_work)
        given = f"Photographs: {', '.join(path.name for path in surveying.photos)}" if surveying.photos else ""
        self._status.set_text("Working it out …" if surveying.at_work else given)
        self._box.clear()
        with self._box:
            for fault in surveying.faults:
                ui.label(fault).classes("wc-wrong wc-pre")
            if surveying.text:
                ui.label(surveying.text).classes("wc-pre")
                self._button("Put the places into the job", self._write, "write-survey")


def draw(view: PageView) -> None:
    """Make the panel."""
    SurveyPanel(view)
