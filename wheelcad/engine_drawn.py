"""Bracket, wheel and sensor drawn into the photographs of the engine that they are for: whether it can be, at a glance.

The cameras are those that the survey solved, the places those that it found; nothing is drawn by eye.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.errors import DesignError, Fault, JobFileError
from wheelcad.job.models import Job
from wheelcad.job.stationary import Obstacle
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.places import settled
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.survey.overlay import OverlayLine, draw_into, engine_camera
from wheelcad.survey.photos import PhotoSurvey, PrintMounting
from wheelcad.survey.tags import THING

WHEEL, BRACKET, SENSOR, IN_THE_WAY = (255, 140, 0), (0, 200, 255), (255, 0, 255), (255, 0, 0)
CHORD = 0.2  # mm between an arc and its chords
ROUND = 72  # corners of a drawn circle


def as_surveyed(job: Job, survey: PhotoSurvey) -> Job:
    """The job with the survey's places in it: mounts' x and y, the face's z, things in the way.

    DesignError where places are still missing.
    """
    bracket = job.bracket
    if bracket is None:
        return job
    found = {point.name: point for point in survey.points}
    mounts = tuple(
        mount.model_copy(update={"given_x": found[mount.name].x_mm, "given_y": found[mount.name].y_mm})
        if mount.name in found
        else mount
        for mount in bracket.mounts
    )
    there = {thing.name: thing for thing in bracket.obstacles}
    for name, point in found.items():
        if name not in there and not name.startswith(THING):
            continue
        at = {"name": name, "x": point.x_mm, "y": point.y_mm, "front": point.z_mm}
        there[name] = there[name].model_copy(update=at) if name in there else Obstacle.model_validate(at)
    face = bracket.face if survey.face is None else survey.face.z_mm
    placed = bracket.model_copy(update={"mounts": mounts, "face": face, "obstacles": tuple(there.values())})
    return settled(job.model_copy(update={"bracket": placed}).with_source(job.source))


def engine_lines(job: Job, design: BracketDesign | None) -> Iterator[OverlayLine]:
    """What is drawn, engine frame: the wheel at TDC, the bracket's plates, the sensor, things in the way."""
    wheel = design_wheel(job)
    outline = np.asarray(wheel.outline.flatten(CHORD))
    for z in (-wheel.thickness_mm / 2, wheel.thickness_mm / 2):
        yield OverlayLine(_at_height(outline, z), WHEEL, closed=True)
    if design is not None:
        yield from _bracket_lines(design)
    for thing in job.bracket.obstacles if job.bracket is not None else ():
        ring = _ring(np.array([thing.x, thing.y, thing.z]), np.array([0.0, 0.0, 1.0]), max(thing.radius, 1.0))
        yield OverlayLine(ring, IN_THE_WAY, closed=True)


def _bracket_lines(design: BracketDesign) -> Iterator[OverlayLine]:
    for region in design.regions:
        flat = np.asarray(region.loop.flatten(CHORD))
        for w in (0.0, design.thickness):
            yield OverlayLine(region.frame.points(_at_height(flat, w)), BRACKET, closed=True)
    place = design.asked.place
    face, look = np.array(place.face), np.array(place.look)
    radius = place.body_diameter / 2
    for along in (0.0, place.nose_length):
        yield OverlayLine(_ring(face + along * look, look, radius), SENSOR, closed=True)
    yield OverlayLine(np.array([face, np.array(place.tip)]), SENSOR)


def _at_height(flat: Floats, height: float) -> Floats:
    return np.column_stack([flat, np.full(len(flat), height)])


def _ring(middle: Floats, axis: Floats, radius: float) -> Floats:
    """(n, 3) corners of a circle square to a unit vector."""
    across = np.cross(axis, [0.0, 0.0, 1.0] if abs(axis[2]) < 0.9 else [1.0, 0.0, 0.0])
    across /= np.linalg.norm(across)
    turn = np.linspace(0.0, 2 * math.pi, ROUND, endpoint=False)[:, None]
    return np.asarray(middle + radius * (np.cos(turn) * across + np.sin(turn) * np.cross(axis, across)))


def draw_engine(job: Job, survey: PhotoSurvey, mounting: PrintMounting, folder: Path) -> tuple[list[Path], str]:
    """Draw into each photograph, saved in `folder` as 1-NAME.jpg; their paths, and what is to be said of the bracket.

    A bracket that cannot be is left out, and why is said. JobFileError when a picture cannot be written.
    """
    said, design, placed = "", None, job
    try:
        placed = as_surveyed(job, survey)
        design = design_bracket(placed)
        if design is None:
            said = "No bracket is drawn in: the job has no bracket, or no sensor that it would carry."
    except DesignError as error:
        said = f"No bracket is drawn in: {error.faults[0].dotted} {error.faults[0].message}."
    lines, out = list(engine_lines(placed, design)), []
    for number, seen in enumerate(survey.photos, 1):
        target = folder / f"{number}-{seen.picture.file.stem}.jpg"
        try:
            folder.mkdir(parents=True, exist_ok=True)
            draw_into(seen.picture.file, lines, engine_camera(seen, mounting), seen.picture.size_px, target)
        except OSError as error:
            raise JobFileError(Fault(f"cannot be written: {error.strerror or error}", file=str(target))) from None
        out.append(target)
    return out, said
