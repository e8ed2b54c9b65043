"""The empty start: the first questions of `wheelcad new` as a page, and the jobs that are here already."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Callable
from typing import Any
from urllib.parse import quote

from nicegui import ui

from wheelcad.errors import JobError
from wheelcad.job.answers import AnswerError, read_answer
from wheelcad.job.measuring import measure_of
from wheelcad.job.new import write_starter
from wheelcad.page.desk import Desk
from wheelcad.words import Words

# Those that shape the starter; the rest of the sheet's questions are the fields that it marks as invented.
QUESTIONS = (
    ("units", "units", ("mm", "in")),
    ("cylinders", "engine.cylinders", ()),
    ("direction", "engine.turns", ("clockwise", "anticlockwise")),
    ("form", "wheel.form", ("turned-down", "plate")),
    ("pattern", "wheel.teeth", ()),
    ("diameter", "wheel.outside_diameter", ()),
    ("sensor", "sensor.kind", ("hall", "reluctance")),
)


def draw(desk: Desk) -> None:
    """The questions, each checked as it is answered; nothing is needed but a name."""
    with ui.element("main").classes("wc-start"):
        ui.label("A new trigger wheel").classes("wc-name").props("role=heading aria-level=1")
        ui.label(
            "Answer what you know; what you leave out is invented, and marked so until you measure it. Everything can "
            "be changed afterwards."
        )
        name = ui.input("A name for the job: letters, digits, - and _", value="my-wheel").props("outlined")
        name.classes("wc-input").props("data-ask=name")
        asked: dict[str, Any] = {}
        for answer, key, words in QUESTIONS:
            measure = measure_of(key)
            assert measure is not None
            with ui.element("div").classes("wc-row"):
                ui.label(measure.asks).classes("wc-label")
                if words:
                    field: Any = ui.select(["", *words], value="").props("outlined")
                else:
                    field = ui.input(validation=_checker(key, asked))
                    field.props("outlined autocomplete=off")
                field.classes("wc-input").props(f'aria-label="{measure.asks}" data-ask={answer}')
                ui.label(measure.how).classes("wc-note")
                asked[answer] = field
        wrong = ui.label().classes("wc-wrong wc-pre").props("role=alert")

        async def make() -> None:
            said = {answer: " ".join(str(field.value or "").split()) or None for answer, field in asked.items()}
            plain = str(name.value or "").strip()
            if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9_-]{0,63}", plain):
                wrong.set_text("✗ The name may hold letters, digits, - and _, and begins with a letter or digit.")
                return
            try:
                path, _ = await asyncio.to_thread(write_starter, str(desk.folder / plain), said)
            except JobError as error:
                told = [Words(fault.units).text(str(fault)) for fault in error.faults]
                wrong.set_text("\n".join(f"✗ {one}" for one in told))
                return
            desk.knows(path)
            ui.navigate.to(f"/job/{quote(path.stem)}")

        ui.button("Make it", on_click=make).classes("wc-button").props("data-do=new")
        there = desk.jobs()
        if there:
            ui.label("Or go on with").classes("wc-head").props("role=heading aria-level=2")
            with ui.element("ul").classes("wc-list"):
                for stem in there:
                    with ui.element("li"):
                        ui.link(stem, f"/job/{quote(stem)}").classes("wc-file")


def _checker(key: str, asked: dict[str, Any]) -> Callable[[Any], str | None]:
    return lambda said: _wrong(key, said, asked)


def _wrong(key: str, said: str, asked: dict[str, Any]) -> str | None:
    """Why an answer makes no value; None where it does, or is left out."""
    units = str(asked["units"].value or "mm") if "units" in asked else "mm"
    if not said or not said.strip():
        return None
    try:
        read_answer(key, said, units)
    except AnswerError as error:
        return Words(units).text(str(error))
    return None
