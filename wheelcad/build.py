"""The pipeline, readable from top to bottom: job file -> Job -> Design -> parts -> files -> findings."""

from __future__ import annotations

import importlib.metadata
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from wheelcad.apart import Say
from wheelcad.codes import Check
from wheelcad.errors import BuildError, Fault, JobError, JobFileError
from wheelcad.files.data import write_json
from wheelcad.files.figures import KernelResult
from wheelcad.files.folder import MANIFEST, digest, read_manifest, staged
from wheelcad.findings import Finding, Verdict, holds, worst
from wheelcad.job.models import Job
from wheelcad.job.reader import load_job, parse_job
from wheelcad.kernel import Kernel
from wheelcad.parts.design import Design, design_job
from wheelcad.report import with_stiffness
from wheelcad.stiffness import Stiffness, stiffness_of
from wheelcad.words import Words

OUTPUTS = Path("outputs")
PACKAGES = (
    "wheelcad",
    "cadquery",
    "cadquery-ocp",
    "numpy",
    "ezdxf",
    "trimesh",
    "pydantic",
    "ruamel.yaml",
    "shapely",
    "reportlab",
    "lib3mf",
    "gmsh",
    "scikit-fem",
    "matplotlib",
    "typst",
)


def _silent(_: str) -> None:
    """Say nothing."""


@dataclass(frozen=True)
class BuildResult:
    """What a build or a check ended with. report is report.json's content; files: names written, the manifest last."""

    job: Job
    design: Design
    folder: Path
    report: dict[str, Any]
    findings: tuple[Finding, ...]
    files: tuple[str, ...]

    @property
    def verdict(self) -> Verdict:
        """The gravest of all findings."""
        return worst(self.findings)


def build_job(
    path: str | Path,
    out: str | Path = OUTPUTS,
    say: Say = _silent,
    packet: bool = True,
    fem: bool = True,
    kernel: Kernel | None = None,
) -> BuildResult:
    """Build every file of the job at `path` into out/<job>/, whole or not at all; `say` hears of the progress.

    packet: whether packet.pdf, the job on paper, is made as well; fem: whether the bracket's stiffness is worked out by
    finite elements; kernel: the kernel's process, by who has started it already.

    Raises a JobError (nothing written or changed) when the job is wrong or a place cannot be written.
    """
    if kernel is None:
        with Kernel() as kernel:
            return build_job(path, out, say, packet, fem, kernel)
    job = load_job(path)
    design = design_job(job)
    try:
        return _built(design, Path(out) / job.job, say, packet, fem, kernel)
    except BuildError as error:
        # what is about a part is about its section; a full disk or a missing library is about no line
        raise BuildError([job.source.located(fault) if fault.key else fault for fault in error.faults]) from None


def _built(design: Design, folder: Path, say: Say, packet: bool, fem: bool, kernel: Kernel) -> BuildResult:
    """The files of a design, whole or not at all, and what was found in them."""
    job = design.job
    with staged(folder) as stage:
        kernel.give(design, stage.absolute(), True, fem)  # write, then measure
        _write_sheets(design, stage, say)
        _get_ready()
        findings, report = _measured(design, stage, kernel, say)
        cover = _cover(stage) if packet else None
        stiffness = stiffness_of(design, stage, kernel, say) if fem else Stiffness()
        findings, report = with_stiffness(findings, report, stiffness, job.units)
        if packet:
            from wheelcad.packet.book import write_packet

            write_packet(stage / "packet.pdf", design, findings, report, stiffness.plot_svg, cover)
            say("packet.pdf")
        write_json(stage / "report.json", Words(job.units).through(report))
        write_json(stage / MANIFEST, manifest(job, stage))
        files = tuple(sorted(path.name for path in stage.iterdir()))
    return BuildResult(job, design, folder, report, tuple(findings), files)


def check_folder(folder: str | Path, job: Job | None = None, say: Say = _silent) -> BuildResult:
    """Measure again what is on disk in a folder of outputs, against the job its manifest holds.

    job: the job file the folder should belong to, if the user named one. Raises a JobError when there is no manifest.
    """
    folder = Path(folder)
    kept = read_manifest(folder)
    text = kept.get("job", {}).get("text") if isinstance(kept.get("job"), dict) else None
    if not isinstance(text, str):
        raise JobFileError(
            Fault("is no folder that wheelcad wrote: it has no manifest.json with a job in it", file=str(folder))
        )
    with Kernel() as kernel:
        design = design_job(parse_job(text, str(kept["job"].get("file", "job"))))
        kernel.give(design, folder.absolute(), False, False)  # measure only
        findings, report = _measured(design, folder, kernel, say)
    changed = list(_unchanged(folder, kept))
    if job is not None:
        same = job.source.sha256 == kept["job"].get("sha256")
        why = "the outputs must belong to the job file as it is now; build it again"
        said = "the same job" if same else "the job file was changed since the build"
        changed.append(holds(Check.JOB_FILE, job.source.file, same, said, why, "manifest.json"))
    findings = [*changed, *findings]
    report["findings"] = [finding.as_json(Words(design.job.units)) for finding in findings]
    return BuildResult(
        design.job, design, folder, report, tuple(findings), tuple(sorted(p.name for p in folder.iterdir()))
    )


def _write_sheets(design: Design, folder: Path, say: Say) -> None:
    """Everything that needs no kernel: cutting files, drawings, charts. Imported here: ezdxf is slow to load."""
    from wheelcad.packet.sheets import write_sheets

    for name in write_sheets(design, folder):
        say(name)


def _get_ready() -> None:
    from wheelcad.checks.everything import get_ready

    get_ready()


def _cover(folder: Path) -> bytes | None:
    """The packet's picture of the parts: while the finite elements are still at work."""
    from wheelcad.packet.book import cover_picture

    return cover_picture(folder)


@dataclass(frozen=True)
class _Waiting:
    """The kernel's process as the checks see it."""

    kernel: Kernel
    say: Say

    def written(self, name: str) -> None:
        """Wait for a part's files."""
        self.kernel.written(name, self.say)

    def result(self) -> KernelResult:
        """Wait for all that it measured."""
        return self.kernel.result(self.say)


def _measured(design: Design, folder: Path, kernel: Kernel, say: Say) -> tuple[list[Finding], dict[str, Any]]:
    """All findings and the report, from the files in the folder."""
    from wheelcad.checks.everything import check_everything
    from wheelcad.report import report_of

    findings, measured = check_everything(folder, design, _Waiting(kernel, say))
    findings = [*design.findings, *findings]
    return findings, report_of(design, measured, findings)


def manifest(job: Job, folder: Path) -> dict[str, Any]:
    """manifest.json: the job (file name, hash, text), the packages that made it, size and SHA-256 of each file."""
    versions = {"python": ".".join(map(str, sys.version_info[:3]))}
    for package in PACKAGES:
        try:
            versions[package] = importlib.metadata.version(package)
        except importlib.metadata.PackageNotFoundError:
            continue
    source = job.source
    return {
        "job": {"name": job.job, "file": Path(source.file).name, "sha256": source.sha256, "text": source.text},
        "versions": versions,
        "files": [digest(path) for path in sorted(folder.iterdir()) if path.name != MANIFEST],
    }


def _unchanged(folder: Path, kept: dict[str, Any]) -> list[Finding]:
    """One finding a file that was changed or lost since the manifest was written; a single pass when there is none."""
    out = []
    why = "the files must be what was measured when they were written"
    for entry in kept.get("files", []):
        path = folder / str(entry.get("name"))
        if not path.exists():
            out.append(holds(Check.FILE_UNCHANGED, path.name, False, "missing", why, "manifest.json"))
        elif digest(path) != entry:
            out.append(holds(Check.FILE_UNCHANGED, path.name, False, "changed since the build", why, "manifest.json"))
    return out or [holds(Check.FILE_UNCHANGED, "all files", True, "as written", why, "manifest.json")]


__all__ = ["BuildResult", "JobError", "build_job", "check_folder", "load_job"]
