"""The scene on the page: the job in three dimensions, with the crank to turn and the sensor to drag."""

from __future__ import annotations

import asyncio
from pathlib import Path

from nicegui import background_tasks, run, ui

from wheelcad.errors import Key
from wheelcad.job.invented import dotted
from wheelcad.page.aside import ASIDE, PLACES, TaskError
from wheelcad.page.collide import touches
from wheelcad.page.colours import bracket_key
from wheelcad.page.latest import Latest
from wheelcad.page.scene_arrow import arrow_of
from wheelcad.page.scene_parts import SceneMade, made_of, scene_parts
from wheelcad.page.scene_view import Places, SceneView, Shown, coloured_json, packed, touch_json
from wheelcad.page.session import State
from wheelcad.page.stiff import solved
from wheelcad.page.strip import strip_of
from wheelcad.page.view import PageView
from wheelcad.parts.bracket.model import BracketDesign

HERE = Path(__file__).parent
SETTLED_S = 1.2  # without a change, before the places of the sensor are looked for
LABEL = "Picture of the job in three dimensions, which can be turned"


def shown_of(state: State, wanted: dict[str, bool]) -> Shown | None:
    """Everything for the scene; None where the text cannot be read. wanted: parts switched on or off by a person."""
    if state.job is None:
        return None
    design = state.design if state.is_current else None
    made = made_of(state.job, design)
    parts = scene_parts(made)
    for part in parts:  # in this thread, not when the page asks for them
        if wanted.get(part.name, part.shown):
            packed(part.mesh)
    touching = [touch_json(touch, state.units) for touch in touches(made)]
    strip = strip_of(made.job, made.wheel, (state.slow or {}).get("turn")) if made.wheel is not None else None
    return Shown(made, parts, touching, strip, made.job.sense, design is None)


class ScenePanel:
    """One page's scene: follows the job, the newest state alone, and never works in the event loop."""

    def __init__(self, view: PageView) -> None:
        self.view = view
        self.shown: Shown | None = None
        self._latest = Latest(self._follow, "scene")
        self._allowed: tuple[str, tuple[bool, ...] | None] = ("", None)  # key of what it was worked out for
        self._coloured: BracketDesign | None = None  # the bracket whose colours are shown or being worked out
        self._first_hz: float | None = None  # of that bracket
        self.scene = SceneView(LABEL, self._sensor)
        view.watch(self._heard)
        view.watch_hand(self._hand)

    def _sensor(self, at_deg: float) -> None:
        self.view.set(("sensor", "at"), f"{at_deg:g} deg")

    def _hand(self, key: Key) -> None:
        arrow = arrow_of(dotted(key), self.shown.made) if self.shown is not None and key else None
        self.scene.point_at(arrow, self.view.state.units)

    def _heard(self, state: State) -> None:
        if not state.is_working:  # else its design is on the way, and the picture with it
            self._latest.heard(state)

    async def _follow(self, state: State) -> None:
        shown = await run.io_bound(shown_of, state, dict(self.scene.shown))
        if shown is not None:
            self.shown = shown
            self._show(shown)
            self._hand(self.view.in_hand)

    def _show(self, shown: Shown) -> None:
        sensor = shown.made.job.sensor
        key = _places_key(shown.made)
        known = self._allowed[1] if self._allowed[0] == key else None
        places = None if sensor is None else Places(sensor.at % 360.0, known)
        self.scene.show(shown, places)
        if sensor is not None and self._allowed[0] != key:
            background_tasks.create(self._look_for_places(key), name="sensor places")
        bracket = None if shown.stale else shown.made.bracket
        if bracket is None or not same_bracket(bracket, self._coloured):
            self.scene.colour(None)
            self._coloured, self._first_hz = bracket, None
            if bracket is not None:
                background_tasks.create(self._solve(bracket), name="colours of the bracket")
        elif self._first_hz is not None:  # the same bracket in another state of the job
            self.view.session.tell_stiffness(bracket, self._first_hz)

    async def _solve(self, bracket: BracketDesign) -> None:
        """The bracket's finite elements, once nothing has changed for a while; shown if it is still this bracket."""
        await asyncio.sleep(SETTLED_S)
        if self._coloured is not bracket:
            return
        try:
            found = await run.io_bound(solved, bracket)
        except TaskError:  # plain then, with the estimate
            return
        if self._coloured is bracket and found is not None:
            self._first_hz = found.hz
            if self.shown is not None and self.shown.made.bracket is not None:
                self.view.session.tell_stiffness(self.shown.made.bracket, found.hz)
            self.scene.colour({**coloured_json(found.mesh), "legend": found.legend(self.view.state.units)})

    async def _look_for_places(self, key: str) -> None:
        """In a process of its own, once nothing has changed for a while."""
        await asyncio.sleep(SETTLED_S)
        shown = self.shown
        if shown is None or _places_key(shown.made) != key or self._allowed[0] == key:
            return
        self._allowed = (key, None)
        try:
            found = await run.io_bound(ASIDE.ask, PLACES, shown.made.job)
        except TaskError:  # then any place may be tried, and the design says
            found = None
        self._allowed = (key, found)
        if self.shown is not None and _places_key(self.shown.made) == key:
            self._show(self.shown)


def _places_key(made: SceneMade) -> str:
    """What the allowed places follow from: the job without its sensor's angle and what no bracket sees."""
    job = made.job
    sensor = job.sensor.model_copy(update={"at": 0.0}) if job.sensor is not None else None
    return repr((sensor, job.bracket, job.pulley, job.adapter, job.wheel.outside_diameter, job.wheel.thickness,
                 job.wheel.slot.depth, job.engine.turns if job.engine is not None else ""))  # fmt: skip


def same_bracket(a: BracketDesign, b: BracketDesign | None) -> bool:
    """Whether two brackets are one to the finite elements."""
    return b is not None and bracket_key(a) == bracket_key(b)


def use_css() -> None:
    """The looks of everything that stands beside the scene."""
    ui.add_css(HERE / "scene.css")


def draw(view: PageView) -> None:
    """The scene."""
    use_css()
    ScenePanel(view)
