"""What is done at a stop of the table: the kinds of work, what is drilled or marked, how work is held; the cautions."""

from __future__ import annotations

from typing import NamedTuple

from wheelcad.parts.indexing.words import round_rpm
from wheelcad.parts.wheel.marks import NOTCH_DEG
from wheelcad.words import Words, diameter, length

# What a stop's work is called: work: (the name of one, the head of many). A new kind of stop is named here first.
WORKS = {
    "bolt": ("bolt hole", "Bolt holes"),
    "slot": ("slot", "Slots"),
    "side": ("slot", "Sides of the slots"),
    "gap": ("gap pass", "Passes in the gap"),
    "hole": ("balance hole", "Balance holes"),
    "notch": ("TDC notch", "TDC notch"),
    "mark": ("degree mark", "Degree marks"),
}
CAUTIONS = (
    "Spinning cutters maim: guards on, eye protection on, no gloves, no sleeves, no rags near the spindle.",
    "Stop the spindle before you measure, wipe, or touch the work. Chips are brushed off, never with fingers.",
    "Lock the table before every cut and unlock it before you turn; clamp the work so that it cannot creep.",
    "Fine chips and dust, cast iron's above all: keep them out of your eyes and lungs and off the phone. If you are "
    "not sure of the set-up, ask a machinist.",
)


class Drilling(NamedTuple):
    """What is drilled at a stop: mm from the axis, drill, depth (None: right through), face, metal, speed."""

    radius_mm: float
    diameter_mm: float
    drill: str
    depth_mm: float | None
    from_back: bool
    where: str
    rpm: float
    moment_g_mm: float = 0.0  # what a balance hole takes out: its mass times its radius
    reading: int = 0  # which reading on level edges a balance hole follows from; 0: planned

    def words(self, units: str) -> str:
        """What to drill, for a document in `units`: the drill by its own name, and its size where that says another."""
        stamped = self.drill.replace(".0 ", " ")  # a metric drill's stamp keeps its nought: 8.0 says 8
        said = stamped in ("", Words(units).length(self.diameter_mm))
        named = length(self.diameter_mm) if said else f"{self.drill} ({diameter(self.diameter_mm)})"
        deep = "right through" if self.depth_mm is None else f"{length(self.depth_mm)} deep at full diameter"
        back = " From the back: mark its place from here, drill when the work is turned over." if self.from_back else ""
        speed = f"about {round_rpm(self.rpm)} rpm"
        return f"{named} drill, {length(self.radius_mm)} from the centre, {deep}, {speed}.{back}"

    def report(self) -> dict[str, object]:
        """The drilling as report.json holds it."""
        return {
            "radius_mm": self.radius_mm,
            "diameter_mm": self.diameter_mm,
            "drill": self.drill,
            "depth_mm": self.depth_mm,
            "from": "back" if self.from_back else "front",
            "rpm": self.rpm,
            "reading": self.reading,
        }


class Scribe(NamedTuple):
    """A mark on the front face, along the radius: mm from the axis. kind: notch or line; depth_mm: None for a line."""

    name: str
    kind: str
    inner_mm: float
    outer_mm: float
    depth_mm: float | None

    def words(self, units: str) -> str:
        """How it is made; `units` as for a drill."""
        along = f"from {length(self.outer_mm)} in to {length(self.inner_mm)} from the centre"
        if self.depth_mm is None:
            return f"{self.name}: spindle stopped and locked, a sharp scriber in it: one line {along}."
        return (
            f"{self.name}: a {NOTCH_DEG:g}° V cutter or centre drill, set to {length(self.depth_mm)} below the face "
            f"where its point just marks it, fed {along}; then lift it clear before the table turns."
        )

    def report(self) -> dict[str, object]:
        """The mark as report.json holds it."""
        return {"inner_mm": self.inner_mm, "outer_mm": self.outer_mm, "depth_mm": self.depth_mm, "kind": self.kind}


class SetupSheet(NamedTuple):
    """What an operation sheet says at its head, in sentences: what holds the work, where the spindle points, where zero
    is, what is made, what comes next, and what to do when it went wrong."""

    holds: str
    spindle: str
    zero: str
    cut: str
    then: str
    wrong: str


class MillSetup(NamedTuple):
    """How the work is held for the stops that name its key.

    lying: flat or on edge. locked: the slide that stays where it is; radius: along what the distance from the axis is
    set; both "" where the cutter is brought to every place. lines: what is done before the first of its stops. sheet:
    the same as the head of an operation sheet.
    """

    key: str
    title: str
    lying: str
    locked: str
    radius: str
    lines: tuple[str, ...]
    sheet: SetupSheet

    @property
    def says(self) -> str:
        """How it stands, in a sentence."""
        return f"The work lies {self.lying}; {self.locked} stays locked; distances from the axis lie {self.radius}."

    @property
    def heads(self) -> tuple[tuple[str, str], ...]:
        """The head of its operation sheet: (what, words)."""
        locked = (
            f"{self.locked[:1].upper()}{self.locked[1:].rstrip(',')}." if self.locked else "None: the readout leads."
        )
        along = f" Distances from the axis lie {self.radius}." if self.radius else ""
        return (
            ("Held by", self.sheet.holds),
            ("Spindle", self.sheet.spindle),
            ("Locked", locked + along),
            ("Zero", self.sheet.zero),
            ("Made here", self.sheet.cut),
            ("Then", self.sheet.then),
            ("If it went wrong", self.sheet.wrong),
        )

    def report(self) -> dict[str, object]:
        """The set-up as report.json holds it."""
        held = {"key": self.key, "title": self.title, "lying": self.lying, "locked": self.locked, "radius": self.radius}
        return {**held, "lines": list(self.lines), "sheet": dict(self.heads)}
