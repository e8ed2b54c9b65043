"""The picture library, which is an extra: asked for in one place."""

from __future__ import annotations

from typing import Any

from wheelcad.libraries import told
from wheelcad.survey.tags import DICTIONARY


def cv2() -> Any:
    """OpenCV. LibraryError that says how to install it where it is missing."""
    with told("photographs and their tags"):
        import cv2 as library

        return library


def dictionary(name: str = DICTIONARY) -> Any:
    """The coded squares that are used."""
    aruco = cv2().aruco
    return aruco.getPredefinedDictionary(getattr(aruco, name))


def cells(number: int, side: int) -> list[list[bool]]:
    """Rows of a tag's cells from its upper left, True where black; side: cells of a side, its black rim included."""
    picture = cv2().aruco.generateImageMarker(dictionary(), number, side)
    return [[bool(value < 128) for value in row] for row in picture]
