"""A real wheel, given as a mesh, scans, a list of angles or a recording: what went wrong, and a rescue."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from nicegui import events, ui

from wheelcad.page.commands import Ran, ran
from wheelcad.page.desk import Measuring
from wheelcad.page.uploads import LARGEST, MOST_FILES, WHEELS, RefusedError, keep
from wheelcad.page.view import PageView, heading

CHOICES = {
    "--face": ("Which face lies on the glass, or looks along +Z", ("front", "back")),
    "--about": ("Measured about", ("", "bore", "rim")),
}
TYPED = {"--dpi": "Dots per inch of a scan", "--diameter": "Diameter over the teeth, mm", "--ratio": "Table's ratio"}


class MeasurePanel:
    """The panel of one page."""

    def __init__(self, view: PageView) -> None:
        self.view = view
        heading("A wheel that was cut")
        ui.label(
            "Give a mesh, flatbed scans of one wheel, a list of its angles or a recording of its sensor. It is held "
            "against this job: what went wrong, and what can be saved."
        ).classes("wc-note")
        self._options: dict[str, Any] = {}
        with ui.element("details").classes("wc-more"):
            with ui.element("summary"):
                ui.label("What is known of the scan or mesh")
            for option, label in TYPED.items():
                self._options[option] = ui.input(label).props("outlined inputmode=decimal").classes("wc-input")
            for option, (label, words) in CHOICES.items():
                self._options[option] = ui.select(list(words), value=words[0], label=label).props("outlined")
                self._options[option].classes("wc-input")
        self._upload = given_files(view, "Files of the wheel", WHEELS, self._take)
        self._button = ui.button("Measure", on_click=self._measure).classes("wc-button").props("data-do=measure")
        self._status = ui.label().props("role=status").classes("wc-status")
        self._box = ui.element("div")
        view.watch_board(view.work.measuring, self._heard)

    def _take(self, paths: list[Path]) -> None:
        board = self.view.work.measuring
        board.show(Measuring(files=tuple(paths)))

    async def _measure(self) -> None:
        board = self.view.work.measuring
        files = board.value.files
        if not files:
            self.view.say("give a file first")
            return
        asked = typed_in(self._options)
        board.show(Measuring(at_work=files[0].name, files=files))
        with tempfile.TemporaryDirectory(prefix="wheelcad-") as place:
            chart = Path(place) / "chart.svg"
            outcome = await self._ran(files, "--report", chart, *asked)
            drawn = chart.read_text(encoding="utf-8") if chart.exists() else ""
        if outcome.code == 0 and isinstance(outcome.data, dict):
            board.show(Measuring(said=outcome.data, chart=drawn, files=files, asked=tuple(asked)))
        else:
            board.show(Measuring(faults=tuple(outcome.faults), files=files))

    async def _ran(self, files: Sequence[Path], *asked: str | Path) -> Ran:
        job: Sequence[str | Path] = ("--job", self.view.session.path, "--json")
        return await ran(["measure", *files, *job, *asked], self.view.work.folder)

    async def _rescue(self) -> None:
        board = self.view.work.measuring
        held = board.value
        path = self.view.session.path
        number = next(n for n in range(1, 1000) if not path.with_name(f"{path.stem}-rescue-{n}.yaml").exists())
        new = path.with_name(f"{path.stem}-rescue-{number}.yaml")
        outcome = await self._ran(held.files, "--write", new, *held.asked)
        if outcome.code == 0 and new.exists():
            self.view.desk.knows(new)
            ui.navigate.to(f"/job/{new.stem}", new_tab=True)
            self.view.say(f"{new.name} is the job as the advice has it", "positive")
        else:
            board.show(replace(held, faults=tuple(outcome.faults)))

    def _heard(self, measuring: Measuring) -> None:
        self._button.set_enabled(bool(measuring.files) and not measuring.at_work)
        names = ", ".join(path.name for path in measuring.files)
        self._status.set_text(
            f"Measuring {measuring.at_work} …" if measuring.at_work else f"Given: {names}" if names else ""
        )
        self._box.clear()
        with self._box:
            for fault in measuring.faults:
                ui.label(f"✗ {fault}").classes("wc-wrong wc-pre")
            if measuring.said is not None:
                self._show(measuring.said, measuring.chart)

    def _show(self, said: dict[str, Any], chart: str) -> None:
        mechanism, pattern, words = said["mechanism"], said["pattern"], self.view.words
        name = str(mechanism["name"]).replace("-", " ")
        where = f", from cut {', '.join(map(str, mechanism['where']))}" if mechanism["where"] else ""
        heading(f"What went wrong: {name}{where}" if name != "sound" else "Nothing went wrong: it is sound", 3)
        total, sure = (words.quantity(said[key], "angle") for key in ("total_cumulative_deg", "uncertainty_deg"))
        ui.label(
            f"{pattern['teeth']}-{pattern['missing']}, seen in a {said['source']}; slots off by {total} in all, each "
            f"known to ± {sure}; {float(mechanism['confidence']):.0%} sure of the cause."
        )
        with ui.element("ol").classes("wc-list").props('aria-label="What can be done, the best first"'):
            for advice in said["advice"]:
                with ui.element("li"):
                    ui.label(str(advice["action"]).replace("-", " ")).classes("wc-mark")
                    ui.label(str(advice["what"]))
                    error = advice.get("timing_error_deg")
                    if isinstance(error, float | int):
                        syncs = "the controller syncs" if advice.get("syncs") else "the controller does not sync"
                        ui.label(f"timing then off by {words.quantity(float(error), 'angle')}; {syncs}").classes(
                            "wc-note"
                        )
        ui.button("Make the rescue a new variant", on_click=self._rescue).classes("wc-button").props("data-do=rescue")
        if chart:
            heading("Round the circle, and cut by cut", 3)
            ui.html(chart, sanitize=False).classes("wc-chart").props('role=img aria-label="errors round the circle"')


def typed_in(fields: Mapping[str, Any]) -> list[str]:
    """Options of a command and what was typed for each, those without an answer left out."""
    said = {option: " ".join(str(field.value or "").split()) for option, field in fields.items()}
    return [word for option, value in said.items() if value for word in (option, value)]


def given_files(view: PageView, label: str, kinds: tuple[str, ...], take: Any) -> ui.upload:
    """A place to drop files or choose them; `take` gets the paths of those that are kept."""

    async def given(event: events.MultiUploadEventArguments) -> None:
        paths = []
        for file in event.files[:MOST_FILES]:
            try:
                if file.size() > LARGEST:
                    raise RefusedError(f"{file.name[:60]} is larger than {LARGEST >> 20} MB")
                paths.append(keep(view.work.given, file.name, await file.read(), kinds))
            except RefusedError as error:
                view.say(str(error), "negative")
        upload.reset()
        if paths:
            take(paths)

    def refused() -> None:
        view.say(f"a file is too large or of no kind that is looked at here: {', '.join(kinds)}", "negative")

    upload = ui.upload(
        label=label, multiple=True, auto_upload=True, max_file_size=LARGEST, max_total_size=4 * LARGEST,
        max_files=MOST_FILES, on_multi_upload=given, on_rejected=refused,
    )  # fmt: skip
    upload.props(f'accept="{",".join(kinds)}" flat bordered aria-label="{label}"').classes("wc-upload")
    return upload


def draw(view: PageView) -> None:
    """Make the panel."""
    MeasurePanel(view)
