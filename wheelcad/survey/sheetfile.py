"""survey-tags.json read back: which tag is on what, and where on it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.errors import Fault, JobFileError
from wheelcad.survey.tags import DISC, TagSheet

LARGEST = 4 << 20  # bytes
BENT_MM = 0.05  # a piece's corners on the page and in its own frame are the same figure, turned and shifted


@dataclass(frozen=True)
class Printed:
    """A sheet as it was printed. dictionary: of all tags; on: tag -> piece; corners_mm: tag -> (4, 2) in the piece's
    frame; page_turn: piece -> how far its directions are turned against the page's, radians; disc first."""

    dictionary: str
    on: Mapping[int, str]
    corners_mm: Mapping[int, Floats]
    page_turn: Mapping[str, float]

    @property
    def pieces(self) -> tuple[str, ...]:
        """The disc, then the others in the order of the file."""
        return tuple(self.page_turn)


def printed(sheet: TagSheet) -> Printed:
    """A sheet that was planned, as if read from its file."""
    return _printed(json.loads(json.dumps(sheet.as_json(), default=lambda array: array.tolist())))


def read_sheet(path: Path) -> Printed:
    """The sheet of a survey-tags.json. JobFileError for what is none."""
    try:
        if path.stat().st_size > LARGEST:
            raise JobFileError(Fault("is far larger than a sheet of tags", file=str(path)))
        data = json.loads(path.read_text(encoding="utf-8"))
        return _printed(data)
    except OSError as error:
        raise JobFileError(Fault(f"cannot be read: {error.strerror}", file=str(path))) from None
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        hint = "print the sheet again: wheelcad sheet JOB --tags writes this file beside the PDF"
        raise JobFileError(Fault(f"is no sheet of tags: {error}", file=str(path), hint=hint)) from None


def _printed(data: Any) -> Printed:
    on: dict[int, str] = {}
    corners: dict[int, Floats] = {}
    pages: dict[str, list[tuple[Floats, Floats]]] = {}
    names = {str(tag["dictionary"]) for tag in data["tags"]}
    if len(names) != 1 or not all(name.startswith("DICT_") for name in names):
        raise ValueError(f"tags of {len(names)} dictionaries: {', '.join(sorted(names))}")
    for tag in data["tags"]:
        number, piece = int(tag["id"]), str(tag["on"])
        own = np.array(tag["corners_mm"], dtype=float)
        page = np.array(tag["corners_page_mm"], dtype=float)
        if own.shape != (4, 2) or page.shape != (4, 2) or not np.all(np.isfinite([own, page])):
            raise ValueError(f"tag {number} has not four corners")
        if number in on:
            raise ValueError(f"tag {number} is there twice")
        on[number], corners[number] = piece, own
        pages.setdefault(piece, []).append((page, own))
    if DISC not in pages:
        raise ValueError("it has no disc")
    turns = {piece: _turn(piece, pages[piece]) for piece in sorted(pages, key=lambda name: name != DISC)}
    return Printed(names.pop(), on, corners, turns)


def _turn(piece: str, pairs: list[tuple[Floats, Floats]]) -> float:
    """How far the piece's directions are turned against the page's, radians; ValueError where it is another figure."""
    page = np.concatenate([pair[0] for pair in pairs])
    own = np.concatenate([pair[1] for pair in pairs])
    p = (page - page.mean(axis=0)) @ [1, 1j]
    q = (own - own.mean(axis=0)) @ [1, 1j]
    turn = np.sum(q * np.conj(p))
    turn /= abs(turn)
    if np.abs(q - turn * p).max() > BENT_MM:
        raise ValueError(f"the tags on {piece} lie otherwise on the page than in its own frame")
    return float(np.angle(turn))
