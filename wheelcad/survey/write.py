"""A survey's places as changes of the job file: which keys, and the text of each value in the job's own unit."""

from __future__ import annotations

from collections.abc import Sequence

from wheelcad.errors import Key
from wheelcad.job.models import BehindFront, Bracket, Job
from wheelcad.job.stationary import Obstacle
from wheelcad.survey.model import Point
from wheelcad.survey.tags import THING
from wheelcad.words import Words

DECIMALS = 2  # of mm; inches get one more


def bare(job: Job, mm: float) -> str:
    """A length as the job file writes it without a unit."""
    return Words(job.units).bare(mm, DECIMALS)


def place_changes(job: Job, points: Sequence[Point]) -> tuple[dict[Key, str], list[str]]:
    """x and y of every mount among the points; and the names of points that the job has no place for."""
    mounts = job.mounts
    index = {mount.name: k for k, mount in enumerate(mounts)}
    changes: dict[Key, str] = {}
    left = []
    for point in points:
        if point.name not in index:
            left.append(point.name)
            continue
        key = ("bracket", "mounts", index[point.name])
        changes[(*key, "x")] = bare(job, point.x_mm)
        changes[(*key, "y")] = bare(job, point.y_mm)
    return changes, left


def obstacle_changes(job: Job, points: Sequence[Point]) -> tuple[dict[Key, str], list[str]]:
    """`bracket.obstacles` with the things among the points (`THING` names, and those the job has already), the others
    kept; and the names that were put there. Radii that the job gives stay; a new thing is taken as it stands in the
    schema."""
    if job.bracket is None:
        return {}, []
    there = {thing.name: thing for thing in job.bracket.obstacles}
    seen = {p.name: p for p in points if p.name.startswith(THING) or p.name in there}
    if not seen:
        return {}, []
    entries = []
    for name in [*there, *(name for name in seen if name not in there)]:
        old, new = there.get(name), seen.get(name)
        radius = old.radius if old is not None else Obstacle.model_fields["radius"].default
        if new is not None:
            at = {"x": bare(job, new.x_mm), "y": bare(job, new.y_mm), "z": bare(job, new.z_mm)}
        else:
            assert old is not None
            at = {"x": bare(job, old.x), "y": bare(job, old.y), "z": _front(job, old)}
        values = at | {"radius": bare(job, float(radius))}
        entries.append(f"{{name: {name}, {', '.join(f'{key}: {value}' for key, value in values.items())}}}")
    return {("bracket", "obstacles"): f"[{', '.join(entries)}]"}, list(seen)


def _front(job: Job, thing: Obstacle) -> str:
    """A thing's front as the job has it."""
    if isinstance(thing.front, BehindFront):
        return f"{{behind_front: {bare(job, thing.front.behind_front)}}}"
    return bare(job, thing.front)


def face_change(job: Job, bracket: Bracket, face_z_mm: float, front_z_mm: float) -> dict[Key, str]:
    """mount_face, in the way the job's bracket has it: as a depth behind the pulley's front face, or as z."""
    if isinstance(bracket.face, BehindFront):
        return {("bracket", "mount_face", "behind_front"): bare(job, front_z_mm - face_z_mm)}
    return {("bracket", "mount_face"): bare(job, face_z_mm)}
