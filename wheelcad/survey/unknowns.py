"""What is seen and what is sought in a survey by photographs, and where each unknown stands in the row of them all."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Bools, Floats, Ints


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
class State:
    """Everything unknown. focal: log px of each lens; bend: (lenses, 2) k1, k2; middle: (groups, 2) shares of the
    longer side; focus: log change of each picture; camera_turn, camera_shift: (pictures, …) engine -> camera;
    card_turn, card_shift: (cards, …) card -> engine; card_size: log of each card's size; scale: log of the print's
    scale, level and upright; lift: mm by which each tag stands before its piece's plane; bow: mm by which each piece's
    edge stands before its middle, as a dome's."""

    focal: Floats
    bend: Floats
    middle: Floats
    focus: Floats
    camera_turn: Floats
    camera_shift: Floats
    card_turn: Floats
    card_shift: Floats
    card_size: Floats
    scale: Floats
    lift: Floats
    bow: Floats

    def vector(self) -> Floats:
        """All in a row; turns are those on top of the base, so none."""
        flat = [self.focal, self.bend, self.middle, self.focus]
        flat += [np.zeros((len(self.camera_turn), 3)), self.camera_shift]
        flat += [np.zeros((len(self.card_turn), 3)), self.card_shift, self.card_size, self.scale, self.lift, self.bow]
        return np.concatenate([part.ravel() for part in flat])


@dataclass(frozen=True)
class Slots:
    """Where each kind of unknown stands in the row."""

    focal: Ints
    bend: Ints
    middle: Ints
    focus: Ints
    camera_turn: Ints
    camera_shift: Ints
    card_turn: Ints
    card_shift: Ints
    card_size: Ints
    scale: Ints
    lift: Ints
    bow: Ints
    count: int


def slots_of(state: State) -> Slots:
    """The places of a state's unknowns in its row."""
    shapes = {
        "focal": state.focal.shape,
        "bend": state.bend.shape,
        "middle": state.middle.shape,
        "focus": state.focus.shape,
        "camera_turn": (len(state.camera_turn), 3),
        "camera_shift": state.camera_shift.shape,
        "card_turn": (len(state.card_turn), 3),
        "card_shift": state.card_shift.shape,
        "card_size": state.card_size.shape,
        "scale": state.scale.shape,
        "lift": state.lift.shape,
        "bow": state.bow.shape,
    }
    at, places = 0, {}
    for name, shape in shapes.items():
        size = int(np.prod(shape))
        places[name] = np.arange(at, at + size).reshape(shape)
        at += size
    return Slots(**places, count=at)
