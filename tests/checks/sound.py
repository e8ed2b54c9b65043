"""Sound jobs through design, files and every check: `python -m tests.checks.sound [FIRST] [COUNT] [OPTIONS]`.

Any failed check of such a job is a false alarm. Solids are made and read again in this process: a kernel's process each
would take as long again. The seeds that the design refuses (chance made something impossible) are counted apart.

Whole, a job has every file written and read, about 5 s of processor. With `--turns` it has the files of one kind (see
`GROUPS`), the kinds by turns, about 0.9 s. Broken off, or ended by `--seconds N`, either is taken up
again; `--again` begins anew.
"""

from __future__ import annotations

import math
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from unittest import mock

from tests.checks import runs
from tests.checks.sound_jobs import random_text
from wheelcad.errors import JobError
from wheelcad.files.figures import BodyFigures, KernelResult, Meetings
from wheelcad.findings import Finding
from wheelcad.job.reader import parse_job
from wheelcad.parts.design import Design, design_job

NOTHING = BodyFigures(0.0, (0.0, 0.0, 0.0), 0.0, True, 1)
PARTS = ("wheel", "blank", "gauge", "bracket", "adapter", "cam")
CUT = "cutting files and charts"
GROUPS = (*PARTS, "assembly", CUT, "drawings", "paper")
BESIDE = {
    "gauge": ("wheel",),
    "wheel": ("blank",),
}  # a gauge is held over its wheel, a wheel's unbalance is less its blank's


@dataclass(frozen=True)
class InProcess:
    """Stands for the kernel's process: everything is written already."""

    found: KernelResult

    def written(self, name: str) -> None:
        """It is."""

    def result(self) -> KernelResult:
        """What was read again."""
        return self.found


def sound_design(seed: int) -> Design | None:
    """The design of a seed's job; None where chance made one that cannot be."""
    try:
        return design_job(parse_job(random_text(seed), f"sound-{seed}.yaml"))
    except JobError:
        return None


def written(design: Design, folder: Path) -> KernelResult:
    """Write every file but packet, start page, zips and report; read the STEP files again."""
    from wheelcad.checks.assembly import facing_turn_deg, step_meetings
    from wheelcad.checks.bracket_step import step_faces
    from wheelcad.checks.solids import step_figures
    from wheelcad.packet.sheets import write_sheets
    from wheelcad.parts.solids import Solids, write_solids

    for _ in write_sheets(design, folder):
        pass
    solids = Solids(design)
    write_solids(solids, folder, lambda name: None)
    figures, meshes = step_figures(folder, design.parts)
    bracket, assembly = folder / "bracket.step", folder / "assembly.step"
    faces = step_faces(bracket) if bracket.exists() else ()
    meetings: Meetings | None = None
    if assembly.exists():
        meetings = step_meetings(assembly, facing_turn_deg(design))
    return KernelResult(figures, solids.undrilled(), faces, meetings, solids.before_readings(), meshes=meshes)


def alarms(design: Design, folder: Path) -> list[Finding]:
    """What fails in the files of a sound job. The design's own verdicts are no alarms: they judge the job."""
    from wheelcad.checks.everything import check_everything

    findings, measured = check_everything(folder, design, InProcess(written(design, folder)))
    assert math.isfinite(measured.mass_kg)
    assert len(findings) > 20
    return _failed(findings)


def groups_of(design: Design) -> list[str]:
    """The kinds of files that the job has, in GROUPS' order."""
    more = {"drawings"}
    cut = design.bracket is not None or design.cam is not None or design.indexing is not None
    more |= {CUT} if cut or design.wheel.form == "plate" else set()
    more |= {"assembly"} if design.job.sensor is not None else set()
    more |= {"paper"} if design.gauge is not None or design.bracket is not None else set()
    return [name for name in GROUPS if name in design.parts or name in more]


def alarms_of(group: str, design: Design, folder: Path) -> list[Finding]:
    """What fails in the job's files of one kind, each written and read; at least one check runs."""
    return _failed(findings_of(group, design, folder))


def findings_of(group: str, design: Design, folder: Path) -> list[Finding]:
    """All that is found in the job's files of one kind."""
    if group in PARTS:
        found = _of_part(group, design, folder)
    elif group == "assembly":
        found = _of_assembly(design, folder)
    else:
        found = _of_sheets(group, design, folder)
    assert found, (group, design.job.job)
    return found


def _failed(findings: list[Finding]) -> list[Finding]:
    return [finding for finding in findings if finding.verdict == "fail"]


def _here(design: Design, folder: Path, after: str) -> list[Finding]:
    """The checks that open nothing but what is in the folder."""
    from wheelcad.checks import everything

    names = {path.name for path in folder.iterdir()}
    return [
        finding
        for check in everything._checks(folder, design, design)
        if check.after == after and set(check.subject.split(", ")) <= names
        for finding in everything._guarded(check)
    ]


def _of_part(part: str, design: Design, folder: Path) -> list[Finding]:
    """STEP, STL (of a gauge 3MF) of one part."""
    from wheelcad.checks import everything
    from wheelcad.checks.bracket_step import step_faces
    from wheelcad.checks.solids import check_solids, step_figures
    from wheelcad.parts.solids import Solids, write_part_meshes, write_part_step

    solids = Solids(design)
    wanted = [name for name in (*BESIDE.get(part, ()), part) if name in design.parts]
    for name in wanted:
        write_part_meshes(solids, name, write_part_step(solids, name, folder), folder)
    if part in ("bracket", "cam"):
        _write(CUT, design, folder)  # held against the solids
    opened = wanted if part == "wheel" else [part]
    figures, meshes = step_figures(folder, opened)
    faces = step_faces(folder / "bracket.step") if part == "bracket" else ()
    found = list(check_solids(figures, opened)) + _here(design, folder, part)
    if part == "wheel":
        result = KernelResult(figures, solids.undrilled(), faces, None, solids.before_readings(), meshes=meshes)
        return found + [
            f
            for f in everything._with_kernel(folder, design, design, result, everything.anew)[0]
            if "bracket" not in f.subject
        ]
    steps = everything.check_steps(folder, design, KernelResult(figures, NOTHING, faces, None, meshes=meshes))
    return found + [finding for finding in steps if part in finding.subject]


def _of_assembly(design: Design, folder: Path) -> list[Finding]:
    """assembly.step and assembly.glb."""
    from wheelcad.checks import everything
    from wheelcad.checks.assembly import facing_turn_deg, step_meetings
    from wheelcad.parts.assembly.solid_files import write_assembly
    from wheelcad.parts.solids import Solids

    solids = Solids(design)
    built = {name: solids.part(name) for name in design.parts if name in ("wheel", "adapter", "bracket")}
    write_assembly(design.job, solids.called, design.bracket, folder, built)
    meetings = step_meetings(folder / "assembly.step", facing_turn_deg(design))
    found = everything.check_steps(folder, design, KernelResult({}, NOTHING, (), meetings))
    return [finding for finding in found if "assembly" in finding.subject]


def _of_sheets(group: str, design: Design, folder: Path) -> list[Finding]:
    """Files that need no kernel."""
    _write(group, design, folder)
    return _here(design, folder, "")


def _write(group: str, design: Design, folder: Path) -> None:
    """Write the files of one kind that need no kernel."""
    from wheelcad.packet import sheets

    if group == "drawings":
        for name, sheet in sheets.drawing_sheets(design).items():
            for file, write in sheets._drawing(name, sheet):
                write(folder / file)
        return
    with mock.patch.object(sheets, "drawing_sheets", return_value={}):  # to lay them out takes longest
        for name, write in sheets._all(design):
            if ("-paper." in name) == (group == "paper"):
                write(folder / name)


def tried(seed: int, by_turns: bool) -> runs.Row | None:
    """One seed's row: what became of its job; None where the design refuses it."""
    design = sound_design(seed)
    if design is None:
        return None
    held = groups_of(design)
    group = held[seed % len(held)] if by_turns else "whole"
    row: runs.Row = {"key": f"{'turns' if by_turns else 'whole'} {seed}", "group": group, "alarms": []}
    row |= {"form": design.wheel.form, "units": design.job.units}
    with tempfile.TemporaryDirectory(prefix="sound-") as name:
        try:
            found = alarms_of(group, design, Path(name)) if by_turns else alarms(design, Path(name))
            row["alarms"] = [f"{f.check}, {f.subject}: {f.measured} / {f.limit}" for f in found]
        except Exception as error:  # told as an alarm: a sound job broke the program
            row["alarms"] = [f"{type(error).__name__}: {error}"]
    return row


def main(words: list[str]) -> int:
    """The command."""
    numbers = [int(word) for word in words if word.isdigit()]
    seconds = numbers.pop() if "--seconds" in words else math.inf
    first, count = (numbers + [0, 1000][len(numbers) :])[:2]
    by_turns, commit, began = "--turns" in words, runs.commit(), time.time()
    mode = "turns" if by_turns else "whole"
    kept = {} if "--again" in words else runs.rows("sound")
    seed, found, refused = first, list[runs.Row](), 0
    while len(found) < count and time.time() - began < seconds:
        row = kept.get(f"{mode} {seed}")
        if row is None:
            row = tried(seed, by_turns)
            if row is not None:
                row["commit"] = commit
                runs.add("sound", row)
                for alarm in row["alarms"]:
                    print(f"{seed} {row['group']}: {alarm}", flush=True)
        found += [row] if row is not None else []
        refused += row is None
        seed += 1
    return _told(mode, found, refused, first, seed - 1)


def _told(mode: str, found: list[runs.Row], refused: int, first: int, last: int) -> int:
    """Print and keep the sum; 1 where there was an alarm."""
    bad = [f"{row['key']} ({row['group']}): {alarm}" for row in found for alarm in row["alarms"]]
    counted = Counter(row[key] for row in found for key in ("form", "units", "group"))
    told = {"jobs": len(found), "seeds": [first, last], "refused by the design": refused}
    told |= {"jobs with an alarm": sum(bool(row["alarms"]) for row in found), "alarms": bad}
    told |= {"of these": dict(sorted(counted.items())), "commits": runs.commits(found)}
    runs.record(f"sound, {mode}", told)
    print(f"{mode}: {len(found)} jobs from seed {first} to {last}, {refused} seeds refused, "
          f"{told['jobs with an alarm']} jobs with an alarm")  # fmt: skip
    print(*bad, sep="\n")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
