"""A job's survey as the solver takes it, and what is wrong with it told by the job's keys."""

from __future__ import annotations

from collections.abc import Mapping

from wheelcad.errors import DesignError, Fault
from wheelcad.job.models import Job
from wheelcad.job.survey import BOLT, CENTRE
from wheelcad.survey.model import DistanceReading, Distances, DistanceSurvey
from wheelcad.survey.words import told
from wheelcad.trade.frames import point_at

READINGS = ("survey", "readings")


def known_points(job: Job, front_z_mm: float) -> dict[str, tuple[float, float, float]]:
    """The crank axis and the pulley's bolts with cylinder 1 at TDC, all on the front face as found (z front_z_mm)."""
    out = {CENTRE: (0.0, 0.0, front_z_mm)}
    bolts = job.bolts
    if bolts is None:
        return out
    for k in range(bolts.count):
        x, y = point_at(bolts.circle / 2, bolts.first_at + 360.0 * k / bolts.count, job.sense).tolist()
        out[f"{BOLT}{k + 1}"] = (x, y, front_z_mm)
    return out


def distances_of(job: Job, front_z_mm: float, face_z_mm: float) -> Distances:
    """The job's readings; every mount they name is sought, on the block's face. DesignError without a `survey`."""
    if job.survey is None:
        why = "is missing: it holds the distances that were read on the engine"
        hint = f"survey: {{readings: [{{from: {CENTRE}, to: m1, is: 158.6}}, {{from: {BOLT}1, to: m1, is: 119.7}}]}}"
        raise DesignError(Fault(why, ("survey",), hint=hint))
    readings = tuple(DistanceReading(r.from_, r.to, float(r.is_), r.slant) for r in job.survey.readings)
    named = {name for reading in readings for name in (reading.start, reading.end)}
    mounts = job.mounts
    sought = {mount.name: face_z_mm for mount in mounts if mount.name in named}
    if not sought:
        why, names = "has no reading to a mount: there is nothing to find", ", ".join(mount.name for mount in mounts)
        raise DesignError(Fault(why, READINGS, allowed=f"readings to {names or 'mounts of a bracket'}"))
    clock = {name: hours for name, hours in job.survey.clock.items() if name in sought}
    known = known_points(job, front_z_mm)
    return Distances(known, sought, readings, float(job.survey.read_to), clock)


def survey_of(job: Job, front_z_mm: float, face_z_mm: float) -> DistanceSurvey:
    """Where the job's distances put its mounts, engine frame, mm. front_z_mm: of the pulley's front face as found;
    face_z_mm: of the block's face. DesignError, placed in the job file, where they leave that open."""
    from wheelcad.survey.distances import solve_distances  # scipy, only where there is something to solve

    try:
        return solve_distances(distances_of(job, front_z_mm, face_z_mm))
    except DesignError as error:
        raise error.placed(job.source.located) from None


def usable(job: Job, survey: DistanceSurvey) -> DistanceSurvey:
    """The survey, or a DesignError that names the readings that cannot be true."""
    faults = []
    for group in survey.suspects:
        first = group[0]
        key = (*READINGS, index_of(job, first.reading))
        others = [told(suspect) for suspect in group[1:]]
        hint = "read it again" if not others else "one of these is wrong; read them all again"
        faults.append(Fault("; or ".join([told(first), *others]), key, hint=hint))
    if faults:
        raise DesignError(faults).placed(job.source.located)
    return survey


def places_of(job: Job, front_z_mm: float, face_z_mm: float) -> Mapping[str, tuple[float, float]]:
    """x and y (mm) of every mount that the job's readings name. DesignError as `survey_of` and `usable`."""
    survey = usable(job, survey_of(job, front_z_mm, face_z_mm))
    return {point.name: (point.x_mm, point.y_mm) for point in survey.points}


def index_of(job: Job, reading: DistanceReading) -> int:
    """Where in survey.readings a reading stands."""
    assert job.survey is not None
    given = [DistanceReading(r.from_, r.to, float(r.is_), r.slant) for r in job.survey.readings]
    return given.index(reading)
