"""The picture library, which is an extra: asked for in one place, and missed in words that say how to get it."""

from __future__ import annotations

from typing import Any

from wheelcad.errors import Fault, JobFileError
from wheelcad.survey.tags import DICTIONARY


def cv2() -> Any:
    """OpenCV. JobFileError that says how to install it where it is missing."""
    try:
        import cv2 as library
    except ImportError as error:
        why = "photographs and their tags need OpenCV, which is not installed here"
        raise JobFileError(Fault(why, hint="pip install 'wheelcad[photos]'")) from error
    return library


def dictionary(name: str = DICTIONARY) -> Any:
    """The coded squares that are used."""
    aruco = cv2().aruco
    return aruco.getPredefinedDictionary(getattr(aruco, name))


def cells(number: int, side: int) -> list[list[bool]]:
    """Rows of a tag's cells from its upper left, True where black; side: cells of a side, its black rim included."""
    picture = cv2().aruco.generateImageMarker(dictionary(), number, side)
    return [[bool(value < 128) for value in row] for row in picture]
