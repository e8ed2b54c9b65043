"""The scene as an element of the page: it draws what it is given, and tells what a person did.

Meshes go to the browser once: each has a name made of its bytes, and only those it lacks are sent. three.js is the copy
that comes with NiceGUI; nothing is fetched from anywhere else.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Callable
from dataclasses import asdict, dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from nicegui.element import Element
from nicegui.elements.scene import Scene as _Scene  # its import makes three.js known to every page

from wheelcad.page.collide import Touch
from wheelcad.page.scene_arrow import Arrow
from wheelcad.page.scene_parts import SceneMade, ScenePart
from wheelcad.page.scene_solid import SceneMesh
from wheelcad.page.strip import Strip

THREE = _Scene
Json = dict[str, Any]


@dataclass(frozen=True)
class Places:
    """Where the sensor may be turned to. at: now, degrees. allowed: by whole degrees, None while that is not known."""

    at: float
    allowed: tuple[bool, ...] | None = None


@dataclass(frozen=True)
class Shown:
    """What the scene shows of a state. stale: of an earlier text, which the present one could not be designed from."""

    made: SceneMade
    parts: list[ScenePart]
    touching: list[Json]
    strip: Strip | None
    sense: int
    stale: bool


class SceneView(Element, component="scene_of_job.js"):
    """The scene. on_sensor hears of whole degrees that a person set the sensor to."""

    def __init__(self, label: str, on_sensor: Callable[[float], None]) -> None:
        super().__init__()
        self._props["label"] = label
        self._ready = False
        self._told: Json = {}  # all that the browser was told, for one that comes back with nothing
        self._sent: set[str] = set()
        self._parts: dict[str, ScenePart] = {}
        self.shown: dict[str, bool] = {}  # what a person switched on or off
        self.on("ready", self._begin)
        self.on("need", lambda event: self._switched(str(event.args["name"]), bool(event.args["shown"])))
        self.on("sensor", lambda event: on_sensor(float(event.args["at"])))

    def show(self, shown: Shown, places: Places | None) -> None:
        """Another state of the job."""
        self._parts = {part.name: part for part in shown.parts}
        told = [self._part(part) for part in shown.parts]
        self._sent = {str(part["mesh"]) for part in told if "mesh" in part}  # the browser forgets what it draws no more
        self._give(
            {
                "parts": told,
                "touching": shown.touching,
                "strip": None if shown.strip is None else asdict(shown.strip),
                "places": None if places is None else asdict(places),
                "sense": shown.sense,
                "stale": shown.stale,
            }
        )

    def colour(self, coloured: Json | None) -> None:
        """A surface coloured by a number a point in place of a part, with its legend; None for plain parts."""
        self._give({"coloured": coloured})

    def point_at(self, arrow: Arrow | None, units: str) -> None:
        """The arrow of the field in hand."""
        told = None if arrow is None else {**asdict(arrow), "label": arrow.label(units)}
        self._give({"arrow": told})

    def _part(self, part: ScenePart) -> Json:
        shown = self.shown.get(part.name, part.shown)
        out: Json = {"name": part.name, "words": part.words, "turns": part.turns, "ghost": part.ghost, "shown": shown}
        if shown:
            mesh = packed(part.mesh)
            out["mesh"] = mesh["id"]
            if mesh["id"] not in self._sent:
                self._sent.add(mesh["id"])
                out["data"] = mesh
        return out | {"colour": list(part.colour)}

    def _switched(self, name: str, shown: bool) -> None:
        part = self._parts.get(name)
        if part is not None:
            self.shown[name] = shown
            self._give({"part": self._part(part)})

    def _begin(self) -> None:
        """A browser is there, perhaps again: it has nothing yet."""
        self._ready, self._sent = True, set()
        if "parts" in self._told:
            self._told["parts"] = [self._part(part) for part in self._parts.values()]
        if self._told:
            self.run_method("show", self._told)

    def _give(self, told: Json) -> None:
        self._told |= {key: value for key, value in told.items() if key != "part"}
        if self._ready:
            self.run_method("show", told)


def touch_json(touch: Touch, units: str) -> Json:
    """A place where two parts touch, as the browser gets it."""
    return {"at": list(touch.at), "hits": touch.hits, "words": touch.words(units), "parts": list(touch.parts)}


def coloured_json(mesh: SceneMesh) -> Json:
    """A coloured skin for the browser, whole."""
    data = packed(mesh)
    return {"mesh": data["id"], "data": data}


@lru_cache(maxsize=64)
def packed(mesh: SceneMesh) -> Json:
    """A mesh for the browser: base64 of float32 points and lines and uint32 triangles, and an id made of them."""
    points, lines = mesh.points.astype("<f4").tobytes(), mesh.lines.astype("<f4").tobytes()
    triangles = mesh.triangles.astype("<u4").tobytes()
    held = {"points": points, "lines": lines, "triangles": triangles}
    if mesh.values is not None:
        held["colours"] = (np.clip(mesh.values, 0.0, 1.0) * 255).astype("u1").tobytes()
    name = hashlib.sha256(b"".join(held.values())).hexdigest()[:16]
    return {"id": name, **{key: base64.b64encode(value).decode("ascii") for key, value in held.items()}}
