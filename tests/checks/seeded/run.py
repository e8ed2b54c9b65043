"""Seeding one fault and looking whether the checks that open the file find it."""

from __future__ import annotations

import contextlib
import json
import pickle
import shutil
import tempfile
from functools import lru_cache
from pathlib import Path

from tests.checks.seeded.kinds import Kind, kinds
from wheelcad.build import BuildResult, build_job, check_folder
from wheelcad.checks import everything
from wheelcad.checks.assembly import facing_turn_deg, step_meetings
from wheelcad.checks.bracket_step import step_faces
from wheelcad.checks.solids import check_solids, step_figures
from wheelcad.delivered import check_delivered
from wheelcad.files.brep import KernelError
from wheelcad.files.figures import BodyFigures, KernelResult, Meetings
from wheelcad.files.folder import digest
from wheelcad.findings import Finding
from wheelcad.parts.design import Design

NOTHING = BodyFigures(0.0, (0.0, 0.0, 0.0), 0.0, True, 1)
DELIVERED = {"packet.pdf", "start.html", "report.json", "for-lathe.zip", "for-plasma.zip", "for-printer.zip"}


def build(job: str, out: Path) -> Path:
    """One of the jobs built, once; its folder."""
    from tests.checks.seeded.jobs import JOBS

    text = out / f"{job}.yaml"
    if not (out / job).exists() or text.read_text(encoding="utf-8") != JOBS[job]():
        text.write_text(JOBS[job](), encoding="utf-8")
        build_job(text, out / job, fem=False)
    return next(path.parent for path in (out / job).glob("*/manifest.json"))


@lru_cache(maxsize=8)
def _looked_at(job: str, built: Path) -> BuildResult:
    """The whole check, kept beside the build for the next slice of a run."""
    kept = built.parent / "looked-at.pickle"
    if not kept.exists():
        kept.write_bytes(pickle.dumps(check_folder(built)))
    return pickle.loads(kept.read_bytes())


_BUILT: dict[str, Path] = {}


def looked_at(job: str, folder: Path) -> BuildResult:
    """What the whole check says of the sound build."""
    return _looked_at(job, _BUILT.get(job, folder))


def caught(kind: Kind, built: Path) -> list[Finding]:
    """What fails once the fault is in and did not before; the built folder stays as it is."""
    _BUILT[kind.job] = built
    held = looked_at(kind.job, built)
    with tempfile.TemporaryDirectory(prefix="seeded-") as name:
        folder = Path(name) / built.name
        shutil.copytree(built, folder)
        before = (folder / kind.file).read_bytes()
        kind.spoil(folder / kind.file)
        shutil.rmtree(folder / "aside", ignore_errors=True)
        assert (folder / kind.file).read_bytes() != before, f"{kind.name}: nothing was changed"
        _agree(folder, kind.file)
        sound = {(f.check, f.subject) for f in held.findings if f.verdict == "fail"}
        found = narrow(folder, held.design, kind.file, held)
        return [f for f in found if f.verdict == "fail" and (f.check, f.subject) not in sound]


def _agree(folder: Path, name: str) -> None:
    """The manifest made to agree."""
    path = folder / "manifest.json"
    data = json.loads(path.read_text(encoding="utf-8"))
    data["files"] = [e | digest(folder / name) if e["name"] == name else e for e in data["files"]]
    path.write_text(json.dumps(data), encoding="utf-8")


def narrow(folder: Path, design: Design, file: str, held: BuildResult) -> list[Finding]:
    """The findings of those checks alone that open the file: the whole check takes twenty times as long."""
    if file in DELIVERED:
        return check_delivered(folder, design, _measured(held), held.report)
    part = file.partition(".")[0].partition("-")[0]
    out: list[Finding] = []
    for check in everything._checks(folder, design, design):
        paper = check.subject.endswith("-paper.pdf")
        named = part in check.subject.replace(",", " ").replace(".", " ").replace("-", " ").split()
        cut = file.endswith(".dxf") and check.subject.endswith("-flat.dxf")  # one check looks at all that is cut
        named = named or (part in ("readout", "rotary") and check.subject.endswith((".csv", ".nc")))
        if (named or cut) and paper == file.endswith("-paper.pdf"):
            out += everything._guarded(check)
    return out + _steps(folder, design, file)


def _measured(held: BuildResult) -> list[Finding]:
    """As check_folder hands them on: without what only the whole check adds."""
    names = {"file-unchanged", "job-file"}
    delivered = {"report-same", "start-links", "zip-same", "packet-numbers"}
    return [f for f in held.findings if str(f.check) not in names | delivered]


def _steps(folder: Path, design: Design, file: str) -> list[Finding]:
    name = file.partition(".")[0]
    meetings = None
    if name == "assembly":
        meetings = Meetings((), (), float("nan"))
        with contextlib.suppress(KernelError):
            meetings = step_meetings(folder / "assembly.step", facing_turn_deg(design))
    figures, meshes = step_figures(folder, [name] if name in design.parts and file.endswith((".step", ".stl")) else [])
    faces = ()
    if name == "bracket" and file.endswith(".step"):
        with contextlib.suppress(KernelError):
            faces = step_faces(folder / "bracket.step")
    result = KernelResult(figures, NOTHING, faces, meetings, meshes=meshes)
    findings = everything.check_steps(folder, design, result)
    if file.endswith(".step") and name in design.parts:
        findings += check_solids(figures, [name])
    return [f for f in findings if name in f.subject]


def table(out: Path, only: tuple[str, ...] = ()) -> list[tuple[Kind, list[Finding]]]:
    """Every kind of fault (of these jobs) and what was found."""
    return [(kind, caught(kind, build(kind.job, out))) for kind in kinds() if not only or kind.job in only]
