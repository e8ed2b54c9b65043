"""A scene of an engine with its tags, and a projector of its own: nothing here uses the program's camera."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from wheelcad.survey.tags import TagSheet

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Lens:
    """A true camera: focal length px, radial bend, middle px, picture size px."""

    focal: float
    k1: float
    k2: float
    middle: tuple[float, float]
    size: tuple[int, int]

    def see(self, points: Floats) -> Floats:
        """Pixels of points (n, 3) in the camera's frame: x right, y down, z into the scene."""
        a, b = points[:, 0] / points[:, 2], points[:, 1] / points[:, 2]
        r2 = a * a + b * b
        bend = 1 + self.k1 * r2 + self.k2 * r2 * r2
        return np.stack([self.focal * bend * a + self.middle[0], self.focal * bend * b + self.middle[1]], 1)


def phone(rng: np.random.Generator, corner_share: float = 0.03, size: tuple[int, int] = (4000, 3000)) -> Lens:
    """A phone's lens: focal length unknown, a distortion of `corner_share` in the corners, a middle a little off."""
    longer = max(size)
    focal = longer * float(rng.uniform(0.65, 0.9))
    r2 = (math.hypot(*size) / 2 / focal) ** 2
    k2 = 0.1 * corner_share / r2**2
    k1 = float(rng.choice([-1, 1])) * (corner_share - k2 * r2**2) / r2
    off = rng.normal(0, 0.004, 2) * longer
    return Lens(focal, k1, k2, ((size[0] - 1) / 2 + off[0], (size[1] - 1) / 2 + off[1]), size)


def look_at(place: Floats, target: Floats, roll_deg: float) -> tuple[Floats, Floats]:
    """World -> camera of a camera at `place` that looks at `target`: rotation and shift."""
    z = (target - place) / np.linalg.norm(target - place)
    x = np.cross(z, [0.0, 1.0, 0.0])
    x /= np.linalg.norm(x)
    y = np.cross(z, x)
    a = math.radians(roll_deg)
    turn = np.stack([math.cos(a) * x + math.sin(a) * y, -math.sin(a) * x + math.cos(a) * y, z])
    return turn, -turn @ place


@dataclass
class Scene:
    """pieces: name -> rotation (3, 3), shift (3,) of the printed piece in the disc's frame; scale: of the print, along
    the page's x and y; own: a piece's own scale against that; lift: mm by which a tag, or
    each of its corners (4, 1), stands before its piece."""

    sheet: TagSheet
    pieces: dict[str, tuple[Floats, Floats]]
    scale: tuple[float, float] = (1.0, 1.0)
    own: dict[str, float] = field(default_factory=dict)
    lift: dict[int, float | Floats] = field(default_factory=dict)

    def hole(self, name: str) -> Floats:
        """Where a piece's middle is."""
        return self.pieces[name][1]

    def corners(self, name: str, corners_mm: Floats, lift: float | Floats = 0.0) -> Floats:
        """World places (n, 3) of corners of a piece (n, 2); pieces lie on the page unturned."""
        turn, shift = self.pieces[name]
        flat = corners_mm * np.array(self.scale) * self.own.get(name, 1.0)
        return np.asarray(flat @ turn.T[:2] + lift * turn[:, 2] + shift, dtype=float)


def tilt(rng: np.random.Generator, degrees: float, spin: float) -> Floats:
    """A rotation that spins a piece in its plane and then tilts it by some degrees."""
    a, b = math.radians(spin), math.radians(float(rng.uniform(0, 360)))
    c = math.radians(float(rng.uniform(0, degrees)))
    spun = np.array([[math.cos(a), -math.sin(a), 0], [math.sin(a), math.cos(a), 0], [0, 0, 1.0]])
    axis = np.array([math.cos(b), math.sin(b), 0])
    k = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
    return (np.eye(3) + math.sin(c) * k + (1 - math.cos(c)) * k @ k) @ spun


def engine_scene(sheet: TagSheet, rng: np.random.Generator, places: dict[str, tuple[float, float, float]]) -> Scene:
    """The disc at the origin, cards at places, each a little tilted and any way up."""
    pieces = {"disc": (np.eye(3), np.zeros(3))}
    for name, place in places.items():
        pieces[name] = (tilt(rng, 1.5, float(rng.uniform(0, 360))), np.array(place))
    return Scene(sheet, pieces)


def round_about(
    rng: np.random.Generator, count: int, target: Floats, far: float = 480.0, lean: float = 32.0
) -> list[tuple[Floats, Floats]]:
    """Cameras in a ring, each leaning some 32 degrees off the crank's direction, held by hand."""
    out = []
    start = float(rng.uniform(0, 360))
    for k in range(count):
        turn = math.radians(start + 360 * k / count + float(rng.uniform(-15, 15)))
        off = math.radians(lean + float(rng.uniform(-6, 6)))
        away = far * float(rng.uniform(0.93, 1.07))
        place = target + away * np.array(
            [math.sin(off) * math.sin(turn), math.sin(off) * math.cos(turn), math.cos(off)]
        )
        out.append(look_at(place, target + rng.uniform(-15, 15, 3), float(rng.uniform(-8, 8))))
    return out
