"""The pages that are served, and the jobs behind them."""

from __future__ import annotations

import asyncio
import logging
from pathlib import Path
from urllib.parse import quote

from fastapi.responses import FileResponse, PlainTextResponse, RedirectResponse, Response
from nicegui import Client, app, ui

from wheelcad.errors import JobError
from wheelcad.findings import poor
from wheelcad.job.answers import key_path
from wheelcad.job.invented import dotted
from wheelcad.page import faults_panel, figures_panel, file_panel, form_panel, start_page
from wheelcad.page.commands import ran
from wheelcad.page.desk import Desk, built_file
from wheelcad.page.doors import Doors
from wheelcad.page.live_text import LiveText
from wheelcad.page.panels import Panel, panels
from wheelcad.page.session import State
from wheelcad.page.view import PageView
from wheelcad.words import count

HERE = Path(__file__).parent
SHEETS = ("measuring-sheet.pdf", "survey-tags.pdf")
LOOK_EVERY_S = 1.0  # how often the job file is looked at for changes from outside


def serve(desk: Desk, host: str) -> None:
    """Serve until stopped."""
    app.add_middleware(Doors, keys=desk.keys)
    add_pages(desk)
    ui.run(
        host=host, port=desk.keys.port, title="wheelcad", show=False, reload=False, dark=None,
        show_welcome_message=False, reconnect_timeout=30.0, favicon="⚙", tailwind=False,
    )  # fmt: skip


def add_pages(desk: Desk) -> None:
    """The pages and files of all jobs."""

    @ui.page("/", title="wheelcad", dark=None)
    def first_page() -> Response | None:
        if desk.start:
            return RedirectResponse(f"/job/{quote(desk.start)}")
        ui.add_css(HERE / "page.css")
        start_page.draw(desk)
        return None

    @ui.page("/new", title="wheelcad", dark=None)
    def new_page() -> None:
        ui.add_css(HERE / "page.css")
        start_page.draw(desk)

    @ui.page("/job/{name}", title="wheelcad", dark=None)
    async def job_page(name: str, client: Client) -> None:
        ui.add_css(HERE / "page.css")
        try:
            work = await asyncio.to_thread(desk.work, name)
        except JobError as error:
            ui.label("\n".join(str(fault) for fault in error.faults)).classes("wc-wrong wc-pre")
            ui.link("to the jobs that are here", "/new")
            return
        _page(PageView(desk, work, client))

    @app.get("/job/{name}/files/{file}")
    def built(name: str, file: str) -> Response:
        try:
            path = built_file(desk.work(name), file)
        except JobError:
            path = None
        return FileResponse(path) if path is not None else PlainTextResponse("no such file\n", 404)

    @app.get("/job/{name}/sheets/{file}")
    async def sheet(name: str, file: str) -> Response:
        if file not in SHEETS:
            return PlainTextResponse("no such sheet\n", 404)
        try:
            work = await asyncio.to_thread(desk.work, name)
        except JobError as error:
            return PlainTextResponse(f"{error}\n", 404)
        tags = ["--tags"] if "tags" in file else []
        outcome = await ran(["sheet", work.session.path, "--out", work.given, *tags], work.folder)
        path = work.given / file
        return FileResponse(path) if outcome.code == 0 else PlainTextResponse("\n".join(outcome.faults), 422)

    app.timer(LOOK_EVERY_S, desk.look)
    app.on_shutdown(desk.close)


def _page(view: PageView) -> None:
    """The whole page of a job: bar, form, numbers and faults, and a tab for every panel."""
    _bar(view)
    file_panel.ask_outside(view)
    with ui.element("main").classes("wc-body"):
        with ui.element("div"):
            _tabs(view)
        with ui.element("aside").classes("wc-side").props('aria-label="Numbers and faults"'):
            figures_panel.draw(view)
            faults_panel.draw(view)


def _bar(view: PageView) -> None:
    """The job's name, whether it is saved, what is wrong, the next value to measure, and undo."""
    with ui.element("header").classes("wc-bar"):
        ui.label(view.session.path.stem).classes("wc-name").props("role=heading aria-level=1")
        saved = LiveText().classes("wc-saved").props("role=status")
        with ui.link("", "#wc-faults").classes("wc-count wc-file"):
            wrong = LiveText()
        following = ui.button("", on_click=lambda: next_guess(view)).props("no-caps flat data-do=next").classes("wc-go")
        undo = ui.button("Undo", on_click=lambda: view.follow(view.session.undo())).classes("wc-button")
        redo = ui.button("Redo", on_click=lambda: view.follow(view.session.redo())).classes("wc-button")

    def heard(state: State) -> None:
        saved.set_text(saved_words(state))
        if not state.is_working:
            wrong.set_text(count_words(state))
        following.set_visibility(bool(state.invented))
        following.set_text(f"? {len(state.invented)} not measured: go to the next")
        undo.set_enabled(view.session.history.can_undo)
        redo.set_enabled(view.session.history.can_redo)

    view.watch(heard)


def _tabs(view: PageView) -> None:
    """The form and every panel, each drawn when it is first looked at."""
    shown = {panel.name: panel for panel in (Panel("form", "Measure", form_panel.draw), *panels(view.session))}
    named = 'align=left outside-arrows mobile-arrows aria-label="Panels"'
    with ui.tabs().classes("wc-tabs").props(named) as tabs:
        for panel in shown.values():
            ui.tab(panel.name, panel.title).props(f"data-panel={panel.name}")
    with ui.tab_panels(tabs, value="form", animated=False).classes("wc-panels").props("keep-alive"):
        places = {name: ui.tab_panel(name) for name in shown}
    drawn: set[str] = set()

    def opened(name: str) -> None:
        if name in drawn:
            return view.open(name)
        drawn.add(name)
        with places[name]:
            try:
                view.shown = view.drawing = name
                shown[name].draw(view)
            except Exception as error:  # a panel's own mistake: the rest of the page stays of use
                logging.getLogger("wheelcad").exception("a panel could not be drawn")
                ui.label(f"This panel made a mistake of its own: {error!r}").classes("wc-wrong")
            finally:
                view.drawing = ""
        return None

    def open_tab(name: str) -> None:
        tabs.set_value(name)

    tabs.on_value_change(lambda event: opened(event.value))
    view.open_tab = open_tab
    opened("form")


def next_guess(view: PageView) -> None:
    """Go to the next value that nobody measured, after the field in hand."""
    guesses = list(view.state.invented)
    if not guesses:
        return
    here = dotted(view.in_hand) if view.in_hand else ""
    after = guesses.index(here) + 1 if here in guesses else 0
    view.take(key_path(guesses[after % len(guesses)]))


def count_words(state: State) -> str:
    """How much is wrong, in a word for the bar."""
    if state.faults:
        return f"✗ {count(len(state.faults), 'fault')}"
    warned = len(poor(state.findings))
    return f"! {count(warned, 'warning')}" if warned else "✓ no faults"


def saved_words(state: State) -> str:
    """Whether the file says what is on the page."""
    if state.trouble:
        return f"Not saved: {state.trouble}"
    if state.outside is not None:
        return "Not saved: the file was changed by another program"
    if state.saved:
        return "Saved"
    faulty = state.job is None
    return "Not saved: a job file with faults is kept here until it can be read" if faulty else "Saving …"
