"""Signal and budget of a job, on edges from written files where there are any: for the commands and for a build.

The numbers themselves are in wheelcad/signal; here is where their edges come from.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wheelcad.codes import Check
from wheelcad.errors import DesignError, Fault, JobFileError
from wheelcad.files.folder import changed, read_manifest
from wheelcad.findings import Finding, holds
from wheelcad.job.models import Job
from wheelcad.job.reader import load_job
from wheelcad.kept import WHEEL
from wheelcad.parts.wheel.design import WheelDesign, design_wheel
from wheelcad.signal.edges import Edges
from wheelcad.signal.report import Signal
from wheelcad.signal.report import signal_of as signal_of_edges

if TYPE_CHECKING:
    from wheelcad.signal.budget import Budget

OUTPUTS = Path("outputs")  # where builds go, and are looked for


@dataclass(frozen=True, eq=False)
class SignalSeen:
    """What a build says of signal and timing. signal is None where wheel.stl could not be read as its design says;
    findings: why not, or what the numbers mean."""

    signal: Signal | None
    findings: tuple[Finding, ...]


def can_be_seen(job: Job) -> bool:
    """Whether a job says enough: when the crank slows (cylinders) and where the teeth are read (sensor)."""
    engine = job.engine
    return engine is not None and job.sensor is not None and bool(engine.cylinders or engine.firing_order)


def seen_in(folder: Path, job: Job, wheel: WheelDesign) -> SignalSeen:
    """Signal of the wheel.stl in a folder, for a job that `can_be_seen`; a file that cannot be read is a finding."""
    from wheelcad.checks.teeth_seen import measured_edges
    from wheelcad.signal.advice import signal_findings

    assert job.sensor is not None
    try:
        edges = measured_edges(folder, wheel, job.sensor)
    except (OSError, ValueError, JobFileError) as error:
        why = "what the sensor sees is worked out from the teeth of the file"
        return SignalSeen(None, (holds(Check.READABLE, WHEEL, False, str(error), why, "reading it back"),))
    signal = signal_of_edges(job, edges)
    return SignalSeen(signal, tuple(signal_findings(signal.report())))


def timing_in(job: Job, signal: Signal, report: dict[str, Any]) -> tuple[list[Finding], dict[str, Any]]:
    """Findings and numbers of the timing budget in a build whose report is so far `report`."""
    from wheelcad.signal.budget import budget_of as budget_of_signal
    from wheelcad.signal.budget_text import budget_findings

    budget = budget_of_signal(job, signal, with_survey(job, report)).report()
    return budget_findings(budget), budget


def with_survey(job: Job, report: dict[str, Any]) -> dict[str, Any]:
    """The report, and how well the survey's readings fix the mounts that the sensor hangs on, as `survey --json` has
    it; the report alone where a job has no survey, or one that leaves its places open: the command says so."""
    if job.survey is None or job.bracket is None:
        return report
    from wheelcad.parts.places import face_z, front_as_found_z
    from wheelcad.survey.from_job import survey_of

    try:
        return report | {"survey": survey_of(job, front_as_found_z(job), face_z(job)).as_json()}
    except DesignError:
        return report


def edges_of(job: Job, out: Path) -> tuple[Edges, Path | None]:
    """The job's teeth, and the folder they were measured in: out/<job>/ where that was built from this very job file;
    else the design's, and None. DesignError for a wheel that cannot be, or without a sensor to look at it."""
    from wheelcad.parts.wheel.teeth_seen import designed_edges

    with placed_in(job):
        wheel = design_wheel(job)
        if job.sensor is None:
            raise DesignError(Fault("is missing: without it nothing says when the gap passes", key=("sensor",)))
    folder = built_folder(job, out)
    if folder is not None:
        from wheelcad.checks.teeth_seen import measured_edges

        try:
            return measured_edges(folder, wheel, job.sensor), folder
        except (OSError, ValueError, JobFileError):  # `check` says what is wrong with the file
            pass
    return designed_edges(wheel, job.sensor), None


def built_folder(job: Job, out: Path) -> Path | None:
    """out/<job>/ when it was built from this very job file and its wheel.stl is as it was written."""
    folder = out / job.job
    kept = read_manifest(folder)
    held = kept.get("job")
    if not isinstance(held, dict) or held.get("sha256") != job.source.sha256:
        return None
    entries = [entry for entry in kept.get("files", []) if isinstance(entry, dict) and entry.get("name") == WHEEL]
    return folder if entries and not changed(folder / WHEEL, entries[0]) else None


def report_in(folder: Path | None) -> dict[str, Any]:
    """report.json of a folder; {} where there is none that can be read."""
    if folder is None:
        return {}
    try:
        held = json.loads((folder / "report.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return held if isinstance(held, dict) else {}


def signal_of(job: Job, out: str | Path = OUTPUTS) -> Signal:
    """What sensor and controller will see, from the teeth of `edges_of`; `report()` is what `signal --json` says.

    Raises a JobError, with its place in the job file, for a job that has no sensor or does not say enough.
    """
    edges, _ = edges_of(job, Path(out))
    with placed_in(job):
        return signal_of_edges(job, edges)


def budget_of(job: Job, out: str | Path = OUTPUTS) -> Budget:
    """How far off the timing may be, and from what; `report()` is what `budget --json` says. Teeth as for `signal_of`;
    a bracket's sway as the build in out/<job>/ found it. Raises a JobError likewise."""
    from wheelcad.signal.budget import budget_of as budget_of_signal

    edges, folder = edges_of(job, Path(out))
    with placed_in(job):
        return budget_of_signal(job, signal_of_edges(job, edges), with_survey(job, report_in(folder)))


@contextmanager
def placed_in(job: Job) -> Iterator[None]:
    """What a design raises in here gets its line in the job file."""
    try:
        yield
    except DesignError as error:
        raise error.placed(job.source.located) from None


def signal_output(path: Path, out: Path, as_json: bool) -> str:
    """What `wheelcad signal` prints for the job file at `path`. Raises a JobError."""
    from wheelcad.signal.text import signal_text

    job = load_job(path)
    return _output(signal_of(job, out).report(), job, signal_text, as_json)


def budget_output(path: Path, out: Path, as_json: bool) -> str:
    """What `wheelcad budget` prints for the job file at `path`. Raises a JobError."""
    from wheelcad.signal.budget_text import budget_text

    job = load_job(path)
    return _output(budget_of(job, out).report(), job, budget_text, as_json)


def _output(report: dict[str, Any], job: Job, text: Callable[[dict[str, Any], str], str], as_json: bool) -> str:
    if as_json:
        from wheelcad.files.data import as_json as dump

        return dump(report)
    return text(report, job.units).rstrip("\n")
