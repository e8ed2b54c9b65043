"""What a bracket is, in plain numbers.

Glossary
- **Flat**: the plate before bending. x runs from the tab's free end (x = 0) to the arm, y along the bend line with
  y = 0 on the sensor's centre line, w through the plate from its lower (0) to its upper side (thickness). The upper
  side is the one the first bend turns towards, so that bend is "up".
- **Region**: a part of the flat that stays plane: arm, riser (Z only), tab.
- **Bend**: between two regions; its line is half-way along the metal that bends.
- **Frame**: where a region lies in the engine frame once folded.

Lengths in mm, angles in degrees, masses in kg.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike
from shapely.geometry import LineString

from wheelcad.arrays import Floats
from wheelcad.findings import PRACTICE, About
from wheelcad.job.models import Bracket, Job, Sensor
from wheelcad.parts.bracket.clear import Slide
from wheelcad.parts.sensor.design import SensorBody, SensorPlace
from wheelcad.trade.beam import cantilever_frequency_hz
from wheelcad.trade.loop import Loop
from wheelcad.trade.materials import material

ABOUT = About("bracket design", PRACTICE, "warn")  # what the design itself says of a bracket, before there is a file
SHEET_EDGE = 10.0  # mm between the cutting file's corner and the pieces in it

Vector = tuple[float, float, float]
Shape = Literal["L", "flat", "Z"]
FREQUENCY_METHOD = (
    "closed form: a straight clamped bar as long as the plate from the nearest mount to the sensor, "
    "sensor mass at its end"
)


@dataclass(frozen=True)
class Asked:
    """What a bracket is worked out from: the job, its two sections that must be there, and the sensor's figures."""

    job: Job
    bracket: Bracket
    sensor: Sensor
    place: SensorPlace
    body: SensorBody


@dataclass(frozen=True)
class Bend:
    """One bend. x_tab < x_arm: where its metal starts and ends in the flat; y_from, y_to: the bend line's ends.

    up: towards the upper side. allowance: length of flat it takes; deduction: outside legs less flat length.
    """

    x_tab: float
    x_arm: float
    y_from: float
    y_to: float
    angle_deg: float
    up: bool
    inside_radius: float
    allowance: float
    deduction: float

    @property
    def line_x(self) -> float:
        """Where the bend line is drawn: the middle of the metal that bends."""
        return (self.x_tab + self.x_arm) / 2

    @property
    def width(self) -> float:
        """Length of the bend line."""
        return self.y_to - self.y_from


@dataclass(frozen=True)
class Frame:
    """A rigid placing: flat (x, y, w) to engine (x, y, z) as origin + x·ex + y·ey + w·ez, the axes square and
    right-handed."""

    origin: Vector
    ex: Vector
    ey: Vector
    ez: Vector

    @property
    def axes(self) -> Floats:
        """(3, 3): rows ex, ey, ez."""
        return np.array([self.ex, self.ey, self.ez], dtype=float)

    def points(self, flat: ArrayLike) -> Floats:
        """Engine points (…, 3) of flat points (…, 3) of x, y, w."""
        return np.asarray(np.asarray(flat, dtype=float) @ self.axes + np.array(self.origin))

    def back(self, engine: ArrayLike) -> Floats:
        """Flat points (…, 3) of engine points (…, 3)."""
        return np.asarray((np.asarray(engine, dtype=float) - np.array(self.origin)) @ self.axes.T)

    def centre_of(self, bend: Bend, thickness: float) -> tuple[float, float]:
        """x and w, in this frame, of the axis that the region beyond the bend turns about."""
        return bend.x_arm, thickness + bend.inside_radius if bend.up else -bend.inside_radius

    def beyond(self, bend: Bend, thickness: float) -> Frame:
        """The frame of the region on the tab's side of the bend, seen from this one on its arm's side."""
        a = math.radians(bend.angle_deg if bend.up else -bend.angle_deg)
        e = self.axes
        ex = math.cos(a) * e[0] - math.sin(a) * e[2]
        ez = math.cos(a) * e[2] + math.sin(a) * e[0]
        x, w = self.centre_of(bend, thickness)
        centre = self.points((x, 0.0, w))
        return Frame(_vector(centre - bend.x_tab * ex - w * ez), _vector(ex), _vector(e[1]), _vector(ez))


def _vector(values: Floats) -> Vector:
    x, y, z = (round(float(v), 12) + 0.0 for v in values)
    return x, y, z


@dataclass(frozen=True)
class Hole:
    """A round hole, or a slot when its two end centres differ. diameter: its width. mount: its number in the job, from
    1; 0 for others. use: found is one measured in a file.

    region: the plane part it lies in. drill: too small for the cutting table, so only its centre is marked.
    """

    use: Literal["mount", "body", "bolt", "found"]
    region: str
    x0: float
    y0: float
    x1: float
    y1: float
    diameter: float
    drill: bool = False
    mount: int = 0

    @property
    def name(self) -> str:
        """What a person calls it: mount 1, body, bolt."""
        return f"mount {self.mount}" if self.mount else self.use

    @property
    def middle(self) -> tuple[float, float]:
        """x, y half-way between the end centres."""
        return (self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2

    @property
    def axis(self) -> LineString:
        """From end centre to end centre, of no length but still a line for a round hole."""
        return LineString([(self.x0, self.y0), (self.x1, self.y1 + (1e-9 if self.round else 0.0))])

    @property
    def round(self) -> bool:
        """True for a plain hole."""
        return self.travel < 1e-9

    @property
    def travel(self) -> float:
        """Distance between the end centres, 0 for a round hole."""
        return math.hypot(self.x1 - self.x0, self.y1 - self.y0)

    @property
    def loop(self) -> Loop:
        """The hole's closed outline, anticlockwise."""
        return Loop.slot(self.x0, self.y0, self.x1, self.y1, self.diameter)

    @property
    def area(self) -> float:
        """mm²."""
        return math.pi * self.diameter**2 / 4 + self.travel * self.diameter


@dataclass(frozen=True)
class Region:
    """A plane part: its outline in the flat and where it lies when folded."""

    name: str
    loop: Loop
    frame: Frame


@dataclass(frozen=True)
class Gusset:
    """A stiffening plate welded into the corner. loop: in its own plane (x along the arm from the bend's corner,
    y up the tab); frame: that plane (w through the gusset) in the engine frame; nested: its outline on the sheet."""

    loop: Loop
    frame: Frame
    nested: Loop
    thickness: float


def hole_distance(a: Hole, b: Hole) -> float:
    """Least plate between the edges of two holes, mm."""
    return float(a.axis.distance(b.axis)) - (a.diameter + b.diameter) / 2


def bolt_place(holes: Iterable[Hole], frame: Frame, place: SensorPlace) -> Floats | None:
    """Engine point, on the sensor's side of the tab, of the fixing bolt's middle; None without one.

    frame: the tab's.
    """
    for hole in holes:
        if hole.use == "bolt":
            at = frame.points((*hole.middle, 0.0))
            look = np.array(place.look)
            return np.asarray(at + look * float(np.dot(np.array(place.face) - at, look)))
    return None


Slit = tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True)
class BracketDesign:
    """Every number of a bracket. See the module's text for the flat's frame.

    asked: what it was worked out from. outline: the flat's one closed outline. compensate_kerf: the kerf that a second
    cutting file allows for, 0 for none. mount_points: x, y of the threaded holes as the job gives them; mount_bolts:
    their bolts' nominal diameters, what fits the hole where no thread is given. slide: how the slots let the bracket
    move, engine frame. gap: nominal air gap.
    """

    asked: Asked
    shape: Shape
    thickness: float
    width: float
    material: str
    outline: Loop
    regions: tuple[Region, ...]
    bends: tuple[Bend, ...]
    holes: tuple[Hole, ...]
    slits: tuple[Slit, ...]
    gussets: tuple[Gusset, ...]
    bend_marks: bool
    compensate_kerf: float
    mount_points: tuple[tuple[float, float], ...]
    mount_bolts: tuple[float, ...]
    slide: Slide
    gap: float
    sensor_mass_kg: float
    notes: tuple[str, ...]

    def region(self, name: str) -> Region:
        """The region of that name; KeyError when there is none."""
        for region in self.regions:
            if region.name == name:
                return region
        raise KeyError(name)

    def hole(self, name: str) -> Hole:
        """The hole of that name; KeyError when there is none."""
        for hole in self.holes:
            if hole.name == name:
                return hole
        raise KeyError(name)

    @property
    def mounts(self) -> tuple[Hole, ...]:
        """The mount holes, in the job's order."""
        return tuple(hole for hole in self.holes if hole.mount)

    @property
    def solid_volume(self) -> float:
        """Volume of the folded plate and its gussets, mm³."""
        return self.folded_volume + sum(abs(gusset.loop.area) * gusset.thickness for gusset in self.gussets)

    @property
    def mass_kg(self) -> float:
        """Of plate and gussets."""
        return self.solid_volume * material(self.material).density_kg_m3 * 1e-9

    @property
    def free_length(self) -> float:
        """Length of plate, measured on the flat, from the nearest mount hole's centre to the sensor's, mm."""
        x, y = self.hole("body").middle
        return min(math.hypot(hole.x0 - x, hole.y0 - y) for hole in self.mounts)

    @property
    def first_frequency_hz(self) -> float:
        """First natural frequency by FREQUENCY_METHOD.

        The plate is taken out flat, as wide as the tab all the way; gussets, flare and the stiffness of the corner are
        left out.
        """
        steel, t = material(self.material), self.thickness
        return cantilever_frequency_hz(
            self.free_length, self.width, t, steel.youngs_gpa, steel.density_kg_m3, self.sensor_mass_kg
        )

    @property
    def sheet_place(self) -> tuple[float, float]:
        """Where the flat's origin (tab end, sensor axis) lies in the cutting file, which is all in one quadrant."""
        pieces = [self.outline.bounds(), *(gusset.nested.bounds() for gusset in self.gussets)]
        return SHEET_EDGE - min(p[0] for p in pieces), SHEET_EDGE - min(p[1] for p in pieces)

    @property
    def stock_size(self) -> tuple[float, float]:
        """Length and width, mm, of the plate that every piece in the cutting file comes out of, an edge all round."""
        pieces = [self.outline.bounds(), *(gusset.nested.bounds() for gusset in self.gussets)]
        long = max(p[2] for p in pieces) - min(p[0] for p in pieces)
        wide = max(p[3] for p in pieces) - min(p[1] for p in pieces)
        return long + 2 * SHEET_EDGE, wide + 2 * SHEET_EDGE

    @property
    def flat_area(self) -> float:
        """Area of the flat, holes taken out, slits not, mm²."""
        return self.outline.area - sum(hole.area for hole in self.holes)

    @property
    def folded_volume(self) -> float:
        """Volume of the folded plate, weld-up of slits included, gussets not, mm³."""
        t = self.thickness
        plane = sum(region.loop.area for region in self.regions) - sum(hole.area for hole in self.holes)
        bent = sum(math.radians(b.angle_deg) * (b.inside_radius + t / 2) * b.width for b in self.bends)
        return (plane + bent) * t

    def report(self) -> dict[str, object]:
        """The bracket's part of report.json; keys carry their unit."""
        return {
            "shape": self.shape,
            "flat_size_mm": [round(v, 4) for v in self.outline.extent()],
            "flat_origin_mm": [round(v, 4) for v in self.sheet_place],
            "thickness_mm": self.thickness,
            "bends": [_bend_report(bend) for bend in self.bends],
            "holes": [_hole_report(hole) for hole in self.holes],
            "slits": len(self.slits),
            "gussets": len(self.gussets),
            "sensor_face_mm": list(self.asked.place.face),
            "air_gap_mm": self.gap,
            "travel_to_contact_mm": self.gap,
            "adjust_from_mm": self.slide.low,
            "adjust_to_mm": self.slide.high,
            "flat_area_mm2": round(self.flat_area, 4),
            "folded_volume_mm3": round(self.folded_volume, 4),
            "mass_kg": round(self.mass_kg, 6),
            "sensor_mass_kg": self.sensor_mass_kg,
            "first_frequency_hz": round(self.first_frequency_hz, 3),
            "first_frequency_method": FREQUENCY_METHOD,
            "notes": list(self.notes),
        }


def _bend_report(bend: Bend) -> dict[str, object]:
    return {
        "angle_deg": bend.angle_deg,
        "direction": "up" if bend.up else "down",
        "inside_radius_mm": bend.inside_radius,
        "allowance_mm": round(bend.allowance, 4),
        "deduction_mm": round(bend.deduction, 4),
        "line_from_tab_end_mm": round(bend.line_x, 4),
        "line_length_mm": round(bend.width, 4),
    }


def _hole_report(hole: Hole) -> dict[str, object]:
    return {
        "name": hole.name,
        "diameter_mm": round(hole.diameter, 4),
        "travel_mm": round(hole.travel, 4),
        "centre_mm": [round(v, 4) for v in hole.middle],
        "drill": hole.drill,
    }
