"""What is seen and what is sought in a survey by photographs, and where each unknown stands in the row of them all."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Generic, TypeVar

import numpy as np

from wheelcad.arrays import Bools, Floats, Ints

Kind = TypeVar("Kind", Floats, Ints)


@dataclass(frozen=True)
class Corners:
    """What was seen: for each corner its picture, its piece, its tag (numbered from 0), its place in the piece as
    printed at 100 % (n, 2) mm, and where it appeared (n, 2) px."""

    picture: Ints
    piece: Ints
    tag: Ints
    place_mm: Floats
    pixel: Floats

    def only(self, kept: Bools) -> Corners:
        """Some of them."""
        return Corners(self.picture[kept], self.piece[kept], self.tag[kept], self.place_mm[kept], self.pixel[kept])


@dataclass(frozen=True)
class PhotoSetting:
    """What belongs to what. size_px: (pictures, 2) width and height; lens: of each picture; middle: of each picture, as
    a phone held upright has its lens's middle elsewhere; page_turn: each piece's turn against its page, radians.
    scale: log of what the bars say, level and upright, and their standard deviations."""

    size_px: Floats
    lens: Ints
    middle: Ints
    page_turn: Floats
    scale: tuple[float, float] = (0.0, 0.0)
    scale_sd: tuple[float, float] = (1e-4, 1e-4)

    @property
    def pictures(self) -> int:
        """How many."""
        return len(self.size_px)

    @property
    def cards(self) -> int:
        """Pieces but the disc."""
        return len(self.page_turn) - 1


@dataclass(frozen=True)
class Unknowns(Generic[Kind]):
    """An array for each kind of unknown, in the order in which they stand in a row."""

    focal: Kind
    bend: Kind
    middle: Kind
    focus: Kind
    camera_turn: Kind
    camera_shift: Kind
    card_turn: Kind
    card_shift: Kind
    card_size: Kind
    scale: Kind
    lift: Kind
    bow: Kind

    def arrays(self) -> dict[str, Kind]:
        """All of them by their names."""
        return {field.name: getattr(self, field.name) for field in fields(Unknowns)}


@dataclass(frozen=True)
class PhotoState(Unknowns[Floats]):
    """Everything unknown. focal: log px of each lens; bend: (lenses, 2) k1, k2; middle: (groups, 2) shares of the
    longer side; focus: log change of each picture; camera_turn, camera_shift: (pictures, …) engine -> camera;
    card_turn, card_shift: (cards, …) card -> engine; card_size: log of each card's size; scale: log of the print's
    scale, level and upright; lift: mm by which each tag stands before its piece's plane; bow: mm by which each piece's
    edge stands before its middle, as a dome's."""

    def from_here(self) -> dict[str, Floats]:
        """As they stand in a row: turns are those on top of this state's, so none."""
        return {name: np.zeros((len(of), 3)) if name.endswith("turn") else of for name, of in self.arrays().items()}

    def vector(self) -> Floats:
        """All in a row."""
        return np.concatenate([part.ravel() for part in self.from_here().values()])


@dataclass(frozen=True)
class Slots(Unknowns[Ints]):
    """Where each kind of unknown stands in the row."""

    count: int


def slots_of(state: PhotoState) -> Slots:
    """The places of a state's unknowns in its row."""
    at, places = 0, {}
    for name, part in state.from_here().items():
        places[name] = np.arange(at, at + part.size).reshape(part.shape)
        at += part.size
    return Slots(**places, count=at)
