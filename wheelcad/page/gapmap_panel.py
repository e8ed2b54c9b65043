"""The gap map on the page: every place at which the gap may pass the sensor, and one click to take it."""

from __future__ import annotations

import math
from typing import Any

from nicegui import run
from nicegui.element import Element

from wheelcad.errors import DesignError
from wheelcad.job.models import Job, Sensor
from wheelcad.page.latest import Latest
from wheelcad.page.session import State
from wheelcad.page.view import PageView
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.teeth_seen import designed_edges
from wheelcad.signal.gapmap import gap_map
from wheelcad.signal.inputs import inputs_of
from wheelcad.trade.frames import wrap_360

Json = dict[str, Any]
NEEDS = "The map needs the sections engine (with its cylinders) and sensor, and a wheel with a gap."


def map_json(job: Job) -> Json | None:
    """The map of a job's design as the browser gets it, lists by whole degrees of crank after TDC; None where the job
    lacks what it follows from. From geometry alone: where a pickup's teeth grow too weak is `wheelcad signal`'s."""
    if job.sensor is None or job.engine is None:
        return None
    try:
        edges = designed_edges(design_wheel(job), job.sensor)
        found = gap_map(edges, inputs_of(job, edges))
    except DesignError:
        return None
    if found is None:
        return None
    best = float(found.gap_passes_deg[found.best])
    return {
        "margin": [round(float(v), 4) if math.isfinite(v) else None for v in found.margin],
        "clear": [round(float(v), 3) if math.isfinite(v) else None for v in found.clear_deg],
        "error": [round(float(v), 3) for v in found.spark_error_deg],
        "here": round(found.here_deg) % 360,
        "best": round(best) % 360,
    }


def gap_at_for(sensor: Sensor, passes_deg: float) -> float:
    """wheel.gap_at, 0 ≤ a < 360, with which the gap passes the sensor `passes_deg` of crank after TDC of cylinder 1."""
    return float(wrap_360(sensor.at - passes_deg))


class GapMapView(Element, component="gap_map.js"):
    """The map that can be clicked."""

    def __init__(self, view: PageView) -> None:
        super().__init__()
        self._props["label"] = "Gap map"
        self.view = view
        self._told: Json = {"map": None, "why": "Being worked out."}
        self._ready = False
        self.on("ready", self._begin)
        self.on("choose", lambda event: self._chosen(float(event.args["at"])))
        view.watch(Latest(self._show, "gap map").heard)

    def _begin(self) -> None:
        self._ready = True
        self.run_method("show", self._told)

    def _chosen(self, passes_deg: float) -> None:
        job = self.view.state.job
        if job is not None and job.sensor is not None:
            self.view.set(("wheel", "gap_at"), f"{gap_at_for(job.sensor, passes_deg):g} deg")

    async def _show(self, state: State) -> None:
        if state.job is None:
            return
        self._told = {"map": await run.io_bound(map_json, state.job), "why": NEEDS}
        if self._ready:
            self.run_method("show", self._told)


def draw(view: PageView) -> None:
    """The map; its looks stand in scene.css."""
    from wheelcad.page.scene_panel import use_css

    use_css()
    GapMapView(view)
