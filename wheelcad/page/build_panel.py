"""Build: its progress by part, then what start.html shows: files by who they are for, each to open or to see here."""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.parse import quote

from nicegui import ui

from wheelcad.catalogue import sorted_by_whom
from wheelcad.packet.start import CARDS, CAUTION
from wheelcad.page.builder import Building
from wheelcad.page.session import State
from wheelcad.page.view import PageView, heading

if TYPE_CHECKING:
    from nicegui.element import Element

SHOWN = (".pdf", ".png", ".svg", ".html")
SIGNS = {"pass": "✓ all checks passed", "note": "✓ all checks passed", "warn": "! built, with warnings",
         "fail": "✗ built, but a check failed", "error": "✗ nothing was built"}  # fmt: skip


class BuildPanel:
    """The panel of one page."""

    def __init__(self, view: PageView) -> None:
        self.view = view
        work = view.work
        heading("Build every file of this job, and measure each")
        with ui.element("div").classes("wc-line"):
            self._button = ui.button("Build", on_click=self._start).classes("wc-button").props("data-do=build")
            self._status = ui.label().props("role=status").classes("wc-status")
        self._why_not = ui.label().classes("wc-wrong")
        self._bar = ui.linear_progress(show_value=False).props('indeterminate aria-label="building"')
        self._done = ui.element("ul").classes("wc-steps").props('aria-label="made so far" aria-live=polite')
        self._result = ui.element("div")
        self._viewer = ui.element("div").classes("wc-viewer")
        self._number = 0
        self._ended = False
        view.watch_board(work.builder.board, self._heard)
        view.watch(self._changed)

    def _start(self) -> None:
        self.view.work.builder.start()

    def _changed(self, state: State) -> None:
        ready = state.is_current and state.saved
        self._button.set_enabled(ready and not self.view.work.builder.board.value.at_work)
        why = "" if ready or state.is_working else "A job with faults cannot be built: mend them first."
        self._why_not.set_text(why)
        built = self.view.work.builder.board.value
        if built.ended and built.sha256 and state.source.sha256 != built.sha256:
            self._status.set_text("The job was changed since this build: build again.")

    def _heard(self, building: Building) -> None:
        self._bar.set_visibility(building.at_work)
        self._button.set_enabled(not building.at_work)
        if len(building.done) < self._number or not building.done:
            self._done.clear()
            self._number = 0
        with self._done:
            for name, seconds in building.done[self._number :]:
                with ui.element("li"):
                    ui.label(f"✓ {name}")
                    ui.label(f"{seconds:.1f} s").classes("wc-note")
        self._number = len(building.done)
        if building.at_work:
            self._status.set_text(f"Building: {len(building.done)} steps done")
            self._result.clear()
            self._viewer.clear()
        elif building.ended:
            self._status.set_text(f"{SIGNS.get(building.verdict, building.verdict)}, in {building.seconds:.1f} s")
            self._result.clear()
            with self._result:
                self._show(building)
            self._changed(self.view.state)

    def _show(self, building: Building) -> None:
        for fault in building.faults:
            ui.label(fault).classes("wc-wrong wc-pre")
        if not building.files:
            return
        self._done.clear()
        if building.findings:
            heading("To act on")
            with ui.element("ul").classes("wc-list"):
                for verdict, said in building.findings:
                    with ui.element("li").classes(f"wc-{verdict}"):
                        ui.label("✗ fails" if verdict == "fail" else "! warns").classes("wc-mark")
                        ui.label(said)
        if building.changes:
            heading("What this build changed")
            with ui.element("ul").classes("wc-list"):
                for line in building.changes:
                    with ui.element("li"):
                        ui.label(line)
        with ui.element("div").classes("wc-cards"):
            for whom, files in sorted_by_whom(building.files).items():
                with ui.element("section").classes("wc-card"):
                    heading(CARDS[whom], 3)
                    with ui.element("ul"):
                        for name, output in files:
                            self._file(name, output.what)
        ui.label(CAUTION).classes("wc-note")
        ui.label(f"All of it is in {building.folder}").classes("wc-note")

    def _file(self, name: str, what: str) -> None:
        with ui.element("li"):
            ui.link(name, self.address(name), new_tab=True).classes("wc-file")
            if name.endswith(SHOWN):
                ui.button("see", on_click=lambda: self._see(name)).props(f'flat no-caps dense aria-label="see {name}"')
            ui.label(what).classes("wc-note")

    def _see(self, name: str) -> None:
        self._viewer.clear()
        with self._viewer:
            heading(name, 3)
            frame: Element = ui.element("iframe" if not name.endswith((".png", ".svg")) else "img").classes("wc-frame")
            frame.props(f'src="{self.address(name)}" title="{name}" alt="{name}"')
        self._viewer.run_method("scrollIntoView")

    def address(self, name: str) -> str:
        """Where a built file is served."""
        return f"/job/{quote(self.view.work.name)}/files/{quote(name)}"


def draw(view: PageView) -> None:
    """Make the panel."""
    BuildPanel(view)
