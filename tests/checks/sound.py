"""Sound jobs through design, files and every check: `python -m tests.checks.sound [FIRST] [COUNT]`.

Any failed check of such a job is a false alarm. Solids are made and read again in this process: a kernel's process each
would take as long again. The seeds that the design refuses (chance made something impossible) are counted apart.
"""

from __future__ import annotations

import math
import re
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from tests.checks.sound_jobs import random_text
from wheelcad.errors import JobError
from wheelcad.files.figures import KernelResult, Meetings
from wheelcad.findings import Finding
from wheelcad.job.reader import parse_job
from wheelcad.parts.design import Design, design_job

PARTS = re.compile(r"(stl|step|dxf|csv|pdf|3mf|glb|html|nc)\b")


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
    return [finding for finding in findings if finding.verdict == "fail"]


def cheap_alarms(design: Design, folder: Path) -> list[Finding]:
    """The same for the files that need neither kernel nor a drawing's layout: cutting files, chart, points, bench page,
    program."""
    from wheelcad.checks import everything
    from wheelcad.packet import sheets
    from wheelcad.packet.marks import marks_of
    from wheelcad.parts.bracket.cutting import compensated_name, cut_layers

    for name, write in sheets._wheel(design):
        write(folder / name)
    if design.bracket is not None:
        kerf = design.bracket.compensate_kerf
        sheets._cut(cut_layers(design.bracket), marks_of(design))(folder / "bracket-flat.dxf")
        if kerf > 0:
            sheets._cut(cut_layers(design.bracket, kerf), marks_of(design))(folder / compensated_name(kerf))
    if design.indexing is not None:
        for name, write in sheets._indexing(design, design.indexing):
            write(folder / name)
    names = {path.name for path in folder.iterdir()}
    found = [
        finding
        for check in everything._checks(folder, design)
        if check.after == "" and check.subject in names and check.subject != "cam-flat.dxf"
        for finding in everything._guarded(check)
    ]
    return [finding for finding in found if finding.verdict == "fail"]


def main(words: list[str]) -> int:
    first, count = (int(words[0]) if words else 0), (int(words[1]) if len(words) > 1 else 1000)
    counted: Counter[str] = Counter()
    began, seed, done = time.time(), first, 0
    while done < count:
        design = sound_design(seed)
        if design is None:
            counted["refused"] += 1
        else:
            done += 1
            counted[design.wheel.form] += 1
            counted[design.job.units] += 1
            with tempfile.TemporaryDirectory(prefix="sound-") as name:
                try:
                    found = alarms(design, Path(name))
                except Exception as error:
                    found = []
                    counted["broke"] += 1
                    print(f"{seed} BROKE {type(error).__name__}: {error}", flush=True)
            counted["jobs with an alarm"] += bool(found)
            for finding in found:
                print(f"{seed} {finding.check}, {finding.subject}: {finding.measured} / {finding.limit}", flush=True)
        seed += 1
    told = ", ".join(f"{number} {what}" for what, number in sorted(counted.items()))
    print(f"{done} jobs from seed {first} to {seed - 1}: {told}; {time.time() - began:.0f} s")
    return 1 if counted["jobs with an alarm"] or counted["broke"] else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
