"""Random engines whose holes are known, and what a person would read on them: none of the program's own numbers."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from wheelcad.survey.model import DistanceReading, Distances


@dataclass(frozen=True)
class Engine:
    """True places (x, y, z) of everything, and which names are sought."""

    places: dict[str, tuple[float, float, float]]
    sought: tuple[str, ...]
    bolts: int

    def length(self, start: str, end: str, slant: bool) -> float:
        a, b = self.places[start], self.places[end]
        rise = a[2] - b[2] if slant else 0.0
        return math.sqrt((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 + rise**2)

    def hours(self, name: str) -> float:
        """The direction of a point as on a clock's face, to the nearest half hour."""
        x, y, _ = self.places[name]
        return round(math.degrees(math.atan2(x, y)) % 360.0 / 15.0) / 2.0


def random_engine(rng: np.random.Generator, points: int | None = None) -> Engine:
    """Three to six bolts, one to four holes at 90 to 280 mm in one quarter of the block, face before or behind."""
    count, radius = int(rng.integers(3, 7)), float(rng.uniform(30, 70))
    sense = 1.0 if rng.random() < 0.5 else -1.0
    first = float(rng.uniform(0, 360))
    front = float(rng.uniform(-10, 60))
    places = {"centre": (0.0, 0.0, front)}
    for k in range(count):
        a = math.radians(first + 360.0 * k / count)
        places[f"bolt-{k + 1}"] = (sense * radius * math.sin(a), radius * math.cos(a), front)
    face = front - float(rng.uniform(-10, 70))
    towards = float(rng.uniform(0, 2 * math.pi))
    names = []
    for k in range(points or int(rng.integers(1, 5))):
        while True:
            turn, far = towards + float(rng.uniform(-0.6, 0.6)), float(rng.uniform(90, 280))
            x, y = far * math.sin(turn), far * math.cos(turn)
            if all(math.dist((x, y), places[name][:2]) > 30.0 for name in names):
                break
        names.append(f"m{k + 1}")
        places[names[-1]] = (x, y, face)
    return Engine(places, tuple(names), count)


def readings_of(
    engine: Engine, rng: np.random.Generator, read_to: float, bolts: int, links: bool = True
) -> tuple[DistanceReading, ...]:
    """Centre and so many bolts to every hole, and each hole to the next, each off by chance; a third are slant."""
    pairs = []
    for name in engine.sought:
        chosen = rng.choice(engine.bolts, min(bolts, engine.bolts), replace=False) + 1
        pairs += [("centre", name), *((f"bolt-{k}", name) for k in sorted(chosen.tolist()))]
    if links:
        pairs += list(zip(engine.sought, engine.sought[1:], strict=False))
    out = []
    for start, end in pairs:
        slant = bool(rng.random() < 1 / 3)
        out.append(
            DistanceReading(start, end, engine.length(start, end, slant) + float(rng.normal(0, read_to / 1.96)), slant)
        )
    return tuple(out)


def survey_of(engine: Engine, readings: tuple[DistanceReading, ...], read_to: float, clock: bool = False) -> Distances:
    """What the program is given."""
    known = {name: place for name, place in engine.places.items() if name not in engine.sought}
    sought = {name: engine.places[name][2] for name in engine.sought}
    hours = {name: engine.hours(name) for name in engine.sought} if clock else {}
    return Distances(known, sought, readings, read_to, hours)
