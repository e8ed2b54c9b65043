"""Where the bracket's mounts, the block's face and things in the way are, settled once: every part after this reads
plain x, y and z.

A job may leave them to be worked out: x and y to the survey's distances, faces to a depth read from the pulley's front
face. `settled` is the only place that fills them in.
"""

from __future__ import annotations

from collections.abc import Mapping

from wheelcad.job.models import BehindFront, Bracket, Job, Mount
from wheelcad.parts.common.stack import as_found_lands, pulley_front_z
from wheelcad.survey.from_job import places_of


def settled(job: Job) -> Job:
    """The job with every mount's x and y and the face's z given; the same object where they are already.

    DesignError when they cannot be worked out.
    """
    bracket = job.bracket
    if bracket is None:
        return job
    mounts = _placed(bracket, job)
    given = not any(isinstance(place, BehindFront) for place in (bracket.face, *(o.front for o in bracket.obstacles)))
    if given and mounts is bracket.mounts:
        return job
    things = tuple(thing.model_copy(update={"front": z_of(job, thing.front)}) for thing in bracket.obstacles)
    placed = bracket.model_copy(update={"face": face_z(job), "mounts": mounts, "obstacles": things})
    copy = job.model_copy(update={"bracket": placed})
    return copy.with_source(job.source)


def front_as_found_z(job: Job) -> float:
    """z (mm) of the pulley's front face before anything is turned off it; as turned where `as_found` is left out."""
    lands = as_found_lands(job)
    return lands[0].z_front if lands else pulley_front_z(job)


def face_z(job: Job) -> float:
    """z (mm) of the block's face that the bracket bolts to; 0 in a job without a bracket."""
    return z_of(job, job.bracket.face) if job.bracket is not None else 0.0


def z_of(job: Job, face: float | BehindFront) -> float:
    """z (mm) of a face, however the job says where it is."""
    return front_as_found_z(job) - face.behind_front if isinstance(face, BehindFront) else face


def mount_places(job: Job) -> Mapping[str, tuple[float, float]]:
    """x and y (mm, engine frame) of every mount by its name: as written, or else as the survey's distances say.

    DesignError where those do not fix them, or where a reading cannot be true.
    """
    bracket = job.bracket
    if bracket is None:
        return {}
    written = {m.name: (m.given_x, m.given_y) for m in bracket.mounts}
    out = {name: (x, y) for name, (x, y) in written.items() if x is not None and y is not None}
    if len(out) == len(written):
        return out
    found = places_of(job, front_as_found_z(job), face_z(job))
    return {name: out.get(name) or found[name] for name in written}


def _placed(bracket: Bracket, job: Job) -> tuple[Mount, ...]:
    if all(map(_given, bracket.mounts)):
        return bracket.mounts
    places = mount_places(job)
    return tuple(
        mount.model_copy(update={"given_x": places[mount.name][0], "given_y": places[mount.name][1]})
        for mount in bracket.mounts
    )


def _given(mount: Mount) -> bool:
    return mount.given_x is not None and mount.given_y is not None
