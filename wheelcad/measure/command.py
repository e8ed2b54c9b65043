"""`wheelcad measure`: from files and options to everything that can be said of a wheel."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.errors import Fault, JobFileError, JobValueError
from wheelcad.measure.advice import Case, advise, as_it_became, standing_teeth
from wheelcad.measure.budget import real_budget
from wheelcad.measure.mechanism import Mechanism, find_mechanism, part_turn_deg
from wheelcad.measure.reading import About, Face, WheelReading, refused
from wheelcad.measure.report import Measured
from wheelcad.measure.wheel import MeasuredWheel, NoWheelError, measured_wheel

if TYPE_CHECKING:
    from wheelcad.job.models import Job

DIAL_STEP_DEG = 0.1  # of a rotary table nobody has described
MOST_MISCOUNT = 4
TABLES = (".csv", ".txt", ".tsv")


@dataclass(frozen=True)
class MeasureAsked:
    """The options of the command; None where one was not given."""

    files: tuple[Path, ...]
    job: Path | None = None
    pattern: str | None = None
    ratio: int | None = None
    dpi: float | None = None
    diameter: float | None = None
    face: str = "front"
    about: str | None = None
    turns: str | None = None
    report: Path | None = None
    write: Path | None = None
    bar: float | None = None


def measure(asked: MeasureAsked) -> Measured:
    """Measure the wheel, write what was asked for. JobError, one clear sentence, for what cannot be measured."""
    job = _job(asked)
    wanted = _wanted(asked, job)
    assumed: list[str] = []
    turns = _turns(asked, job, assumed)
    reading = _reading(asked, job, turns)
    try:
        wheel = measured_wheel(reading, wanted, 0.0 if job is None else job.wheel.gap_at)
    except NoWheelError as error:
        raise refused(asked.files[0], f"shows no wheel: {error}") from None
    ratio, dial_step = _table(asked, job)
    case = _case(wheel, wanted, job, ratio, dial_step)
    _hidden_gap(wheel, wanted, assumed)
    if wheel.uncut and not asked.pattern and job is None:
        assumed.append("no tooth is to be left out: a wheel part way through does not show it (--pattern 36-1)")
    measured = Measured(
        wheel,
        case.mechanism,
        advise(case),
        case.errors.tolist(),
        wanted,
        assumed,
        ", ".join(file.name for file in asked.files),
        "mm" if job is None else job.units,
        None if wheel.uncut else real_budget(wheel, standing_teeth(as_it_became(case))[0], job),
    )
    _written(asked, measured, job)
    return measured


def _job(asked: MeasureAsked) -> Job | None:
    if asked.job is None:
        return None
    from wheelcad.job.reader import load_job

    return load_job(asked.job)


def _wanted(asked: MeasureAsked, job: Job | None) -> tuple[int, int] | None:
    from wheelcad.parts.options.patterns import own_pattern, parse_pattern

    if asked.pattern is not None:
        return parse_pattern(asked.pattern)
    return None if job is None else own_pattern(job)


def _turns(asked: MeasureAsked, job: Job | None, assumed: list[str]) -> str:
    if asked.turns is not None:
        return _word("--turns", asked.turns, ("clockwise", "anticlockwise"))
    if job is not None and job.engine is not None:
        return job.engine.turns
    assumed.append("the crank turns clockwise, seen facing the wheel (--turns)")
    return "clockwise"


def _word(option: str, given: str, words: tuple[str, ...]) -> str:
    if given not in words:
        raise JobValueError(Fault("is none of the words it takes", file=option, found=given, allowed=", ".join(words)))
    return given


def _table(asked: MeasureAsked, job: Job | None) -> tuple[int | None, float]:
    table = None if job is None else job.shop.rotary_table
    ratio = asked.ratio if asked.ratio is not None else None if table is None else table.ratio
    if ratio is not None and not 1 <= ratio <= 360:
        raise JobValueError(Fault("is no rotary table's", file="--ratio", found=str(ratio), allowed="1 to 360"))
    return ratio, DIAL_STEP_DEG if table is None else table.dial_step


def _reading(asked: MeasureAsked, job: Job | None, turns: str) -> WheelReading:
    """Read the files by their kind."""
    from wheelcad.measure import mesh_files, scan_picture

    first = asked.files[0]
    suffix = first.suffix.lower()
    face: Face = "back" if _word("--face", asked.face, ("front", "back")) == "back" else "front"
    about: About | None = None
    if asked.about is not None:
        about = "rim" if _word("--about", asked.about, ("bore", "rim")) == "rim" else "bore"
    if asked.diameter is not None and not 1 <= asked.diameter <= 5000:
        raise JobValueError(Fault("is no wheel's", file="--diameter", found=f"{asked.diameter:g}"))
    if suffix in scan_picture.SUFFIXES:
        return _scan(asked, job, face, about, turns)
    if len(asked.files) > 1:
        raise refused(asked.files[1], "cannot be measured together with another: only scans of one wheel are")
    if str(first) != "-" and not first.is_file():
        raise refused(first, "cannot be read: there is no such file")
    if suffix in mesh_files.SUFFIXES:
        from wheelcad.measure.mesh import DENSITY, mesh_reading

        return mesh_reading(first, face, about, turns, DENSITY if job is None else _density(job))
    if suffix == ".wav":
        from wheelcad.measure.recording import wav_reading

        return wav_reading(first, asked.diameter or (None if job is None else job.wheel.outside_diameter))
    if suffix in TABLES or str(first) == "-":
        return _listed(first, job)
    kinds = ", ".join((*mesh_files.SUFFIXES, *scan_picture.SUFFIXES, ".wav", ".csv"))
    raise refused(first, "is no kind of file that can be measured", found=suffix or "no suffix", allowed=kinds)


def _scan(asked: MeasureAsked, job: Job | None, face: Face, about: About | None, turns: str) -> WheelReading:
    from wheelcad.measure.scan import MILD_STEEL, scan_reading
    from wheelcad.measure.scan_picture import SUFFIXES

    for file in asked.files:
        if file.suffix.lower() not in SUFFIXES:
            raise refused(file, "is no picture: only scans of one wheel are measured together")
        if not file.is_file():
            raise refused(file, "cannot be read: there is no such file")
    diameter = asked.diameter or (None if job is None else job.wheel.outside_diameter)
    density = MILD_STEEL if job is None else _density(job)
    return scan_reading(asked.files, face, about, turns, asked.dpi, diameter, asked.bar, density)


def _density(job: Job) -> float:
    from wheelcad.trade.materials import MATERIALS

    return float(MATERIALS[job.wheel.material].density_kg_m3)


def _listed(path: Path, job: Job | None) -> WheelReading:
    from wheelcad.measure.angles import angles_reading, read_column

    column, values, step = read_column(path)
    if column == "time_s":
        from wheelcad.measure.recording import times_reading

        return times_reading(path, values)
    table = None if job is None else job.shop.rotary_table
    return angles_reading(path, column, values, step if table is None else max(step, table.dial_step))


def _case(
    wheel: MeasuredWheel, wanted: tuple[int, int] | None, job: Job | None, ratio: int | None, dial_step: float
) -> Case:
    """The errors against the pattern that was wanted, and what explains them."""
    n = len(wheel.at_deg)
    teeth, missing = wanted or (wheel.teeth, wheel.missing)
    places = wheel.nominal if teeth == wheel.teeth else np.arange(n)
    nominal = wheel.at_deg[0] + places * 360.0 / teeth
    errors: Floats = wheel.at_deg - nominal
    part = part_turn_deg(360.0 / teeth, ratio)
    miscounts = () if wanted is None else _miscounts(teeth)
    sd = wheel.reading.sd_deg
    if abs(wheel.teeth - teeth) > MOST_MISCOUNT:  # so far from what was wanted that only the count can be wrong
        mechanism = Mechanism("miscount", (), float(errors[-1]), 1.0, tuple(errors.tolist()))
    elif wheel.reading.tooth_centres_deg is None:
        mechanism = find_mechanism(errors, wheel.at_deg, sd, part, miscounts)
    else:  # slots are only known as the middles between two teeth: steps show better in the teeth
        centres, own = wheel.tooth_errors_deg
        found = find_mechanism(own, centres, sd * np.sqrt(2), part, miscounts, halves=True)
        mechanism = replace(found, per_cut=(0.0, *found.per_cut))
    return Case(wheel, mechanism, teeth, missing, nominal, errors, job, ratio, dial_step)


def _miscounts(teeth: int) -> tuple[float, ...]:
    """The error each further cut brings when another count's pitch is used."""
    others = [teeth + k for k in range(-MOST_MISCOUNT, MOST_MISCOUNT + 1) if k and teeth + k > 2]
    return tuple(360.0 / other - 360.0 / teeth for other in others)


def _hidden_gap(wheel: MeasuredWheel, wanted: tuple[int, int] | None, assumed: list[str]) -> None:
    if wheel.reading.slots_deg is None or wheel.gap_cleared or (wheel.uncut and wanted is None):
        return
    if wanted is None:
        assumed.append("no tooth is missing: slots alone do not show a gap of one tooth (--pattern 36-1)")
    else:
        assumed.append("the first slot listed is the first after the gap")


def _written(asked: MeasureAsked, measured: Measured, job: Job | None) -> None:
    """Write the report and the job; nothing when either cannot be."""
    from wheelcad.save import save

    files: list[tuple[Path, bytes]] = []
    if asked.report is not None:
        from wheelcad.measure.charts import KINDS, report_file

        if asked.report.suffix.lower() not in KINDS:
            allowed = ", ".join(KINDS)
            raise JobValueError(
                Fault("is no kind of report", file="--report", found=asked.report.name, allowed=allowed)
            )
        files.append((asked.report, report_file(measured, asked.report)))
    if asked.write is not None:
        files.append((asked.write, _new_job(measured, job).encode("utf-8")))
    for path, data in files:
        try:
            save(path, data)
        except OSError as error:
            raise JobFileError(Fault(f"cannot be written: {error.strerror or error}", file=str(path))) from None


def _new_job(measured: Measured, job: Job | None) -> str:
    """The job as the best advice that changes it would have it."""
    from wheelcad.measure.job_edit import edited_job

    if job is None:
        raise JobValueError(Fault("needs the job that is to be changed", file="--write", hint="name it with --job"))
    for advice in measured.advice:
        if advice.changes:
            return edited_job(job, advice.changes, advice.after)
    raise JobValueError(Fault("has nothing to write: no advice changes the job", file="--write"))


def shown(measured: Measured) -> str:
    """The result as the terminal shows it."""
    return "\n".join(measured.lines())
