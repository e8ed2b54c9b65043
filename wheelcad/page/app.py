"""The pages that are served, and the jobs behind them."""

from __future__ import annotations

from pathlib import Path

from nicegui import Client, app, run, ui

from wheelcad.page import faults_panel, figures_panel, form_panel
from wheelcad.page.doors import Doors, Keys
from wheelcad.page.panels import Panel, panels
from wheelcad.page.session import Session, State
from wheelcad.page.view import View

HERE = Path(__file__).parent
LOOK_EVERY_S = 1.0  # how often the job file is looked at for changes from outside


class Desk:
    """The jobs that pages have open, each once, and the keys to come in with."""

    def __init__(self, keys: Keys, job: Path | None, address: str) -> None:
        self.keys, self.address = keys, address
        self.job = job
        self._sessions: dict[Path, Session] = {}

    def session(self, path: Path) -> Session:
        """The session of a job file, opened at the first call. JobFileError when it cannot be read."""
        place = path.resolve()
        if place not in self._sessions:
            self._sessions[place] = Session(path)
        return self._sessions[place]

    def share_text(self) -> str:
        """What sharing means, and the address for one more device."""
        if not self.address:
            return "This machine is in no network: there is nobody to share the page with."
        where = f"http://{self.address}:{self.keys.port}/?key={self.keys.one_time()}"
        return (
            f"Shared: {where}\nThat address lets one device in, once. Whoever is in can change and build this job; "
            "what goes over the network can be read in it. Use it in a network you trust."
        )

    def look(self) -> None:
        """Look whether any job file was changed by another program."""
        for session in self._sessions.values():
            session.look_outside()


def serve(desk: Desk, host: str, port: int) -> None:
    """Serve until stopped."""
    app.add_middleware(Doors, keys=desk.keys)

    @ui.page("/", title="wheelcad", dark=None)
    async def job_page(client: Client) -> None:
        if desk.job is None:
            ui.label("no job yet")
            return
        session = await run.io_bound(desk.session, desk.job)
        assert session is not None
        _page(View(session, client))

    app.timer(LOOK_EVERY_S, desk.look)
    ui.run(
        host=host, port=port, title="wheelcad", show=False, reload=False, dark=None, show_welcome_message=False,
        reconnect_timeout=30.0, favicon="⚙", tailwind=False,
    )  # fmt: skip


def _page(view: View) -> None:
    """The whole page of a job: bar, form, numbers and faults, and a tab for every panel."""
    ui.add_css(HERE / "page.css")
    with ui.element("header").classes("wc-bar"):
        ui.label(view.session.path.stem).classes("wc-name").props("role=heading aria-level=1")
        saved = ui.label().classes("wc-saved").props("role=status")
        undo = ui.button("Undo", on_click=lambda: view.follow(view.session.undo(view.name))).classes("wc-button")
        redo = ui.button("Redo", on_click=lambda: view.follow(view.session.redo(view.name))).classes("wc-button")
    shown = [Panel("form", "Measure", form_panel.draw), *panels(view.session)]
    with ui.element("main").classes("wc-body"):
        with ui.element("div"):
            with (
                ui.tabs()
                .classes("wc-tabs")
                .props('align=left outside-arrows mobile-arrows aria-label="Panels"') as tabs
            ):
                for panel in shown:
                    ui.tab(panel.name, panel.title).props(f"data-panel={panel.name}")
            with ui.tab_panels(tabs, value="form").classes("wc-panels").props("keep-alive"):
                places = {panel.name: ui.tab_panel(panel.name) for panel in shown}
        with ui.element("aside").classes("wc-side").props('aria-label="Numbers and faults"'):
            figures_panel.draw(view)
            faults_panel.draw(view)
    drawn: set[str] = set()

    def opened(name: str) -> None:
        """A panel is drawn when it is first looked at."""
        if name not in drawn:
            drawn.add(name)
            with places[name]:
                next(panel for panel in shown if panel.name == name).draw(view)

    tabs.on_value_change(lambda event: opened(event.value))

    def open_tab(name: str) -> None:
        tabs.set_value(name)

    view.open_tab = open_tab
    opened("form")

    def heard(state: State) -> None:
        saved.set_text(saved_words(state))
        undo.set_enabled(view.session.history.can_undo)
        redo.set_enabled(view.session.history.can_redo)

    view.watch(heard)


def saved_words(state: State) -> str:
    """Whether the file says what is on the page."""
    if state.trouble:
        return f"Not saved: {state.trouble}"
    if state.outside is not None:
        return "Not saved: the file was changed by another program"
    return "Saved" if state.saved else "Not saved: a job file with faults is kept here until it can be read"
