"""The pipeline, readable from top to bottom: job file -> Job -> Design -> parts -> files -> findings."""

from __future__ import annotations

import contextlib
import importlib.metadata
import sys
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Literal

from wheelcad.catalogue import MANIFEST, REPORT, entry_of
from wheelcad.changes import Changes, changes_since, note_place, refuse_another
from wheelcad.codes import Check
from wheelcad.errors import BuildError, Fault, JobError, JobFileError
from wheelcad.files.data import write_json
from wheelcad.files.figures import KernelResult
from wheelcad.files.folder import digest, read_manifest, staged, written_by_us
from wheelcad.findings import Finding, Verdict, holds, worst
from wheelcad.job.models import Job
from wheelcad.job.reader import load_job, parse_job
from wheelcad.kept import ASSEMBLY, WHEEL
from wheelcad.kernel import Kernel
from wheelcad.libraries import told
from wheelcad.on_disk import measurable, unchanged
from wheelcad.parts.design import Design, design_job
from wheelcad.processes import Say
from wheelcad.repeated import check_everything, once, write_sheets
from wheelcad.report import ignition_report, parts_report, with_stiffness
from wheelcad.signalled import OUTPUTS, SignalSeen, can_be_seen, timing_in
from wheelcad.stiffness import Stiffness, quoted, rim_again, stiffness_of
from wheelcad.words import Words

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

Timing = tuple[list[Finding], dict[str, Any]]  # findings and figures of the timing budget


def _silent(_: str) -> None:
    """Say nothing."""


def _nothing() -> None:
    """Do nothing."""


@dataclass(frozen=True)
class BuildResult:
    """What a build or a check ended with.

    report: report.json's content; files: names of ours in the folder, sorted; done: what was done: files built, files
    checked again, or the job file alone looked through; changes: since the build before, None where nothing was built.
    kept: what somebody had changed in the folder, a sentence each that says where it is now.
    """

    job: Job
    design: Design
    folder: Path
    report: dict[str, Any]
    findings: tuple[Finding, ...]
    files: tuple[str, ...]
    done: Literal["built", "checked", "linted"] = "built"
    changes: Changes | None = None
    kept: tuple[str, ...] = ()

    @property
    def verdict(self) -> Verdict:
        """The gravest of all findings."""
        return worst(self.findings)

    def is_bad(self, strict: bool) -> bool:
        """Whether a check failed, or warned where that is `strict`ly held against it: exit code 1."""
        return self.verdict == "fail" or (strict and self.verdict == "warn")


def build_job(
    path: str | Path,
    out: str | Path = OUTPUTS,
    say: Say = _silent,
    packet: bool = True,
    fem: bool = True,
    kernel: Kernel | None = None,
    replace: bool = False,
) -> BuildResult:
    """Build every file of the job at `path` into out/<job>/, whole or not at all; `say` hears of the progress.

    packet: whether packet.pdf, the job on paper, is made as well; fem: whether the bracket's stiffness is worked out by
    finite elements; kernel: the kernel's process, by who has started it already; replace: whether a folder that holds
    the build of another job file with the same job name may be built over.

    Raises a JobError (nothing written or changed) when the job is wrong or a place cannot be written.
    """
    if kernel is None:
        with Kernel(lasts=False) as kernel:
            return build_job(path, out, say, packet, fem, kernel, replace)
    job = load_job(path)
    design = design_job(job)
    folder = Path(out) / job.job
    if not replace:
        refuse_another(read_manifest(folder), job, folder)
    try:
        with told("build"):
            return _built(design, folder, say, packet, fem, kernel)
    except BuildError as error:
        # what is about a part is about its section; a full disk or a missing library is about no line
        raise BuildError([job.source.located(fault) if fault.key else fault for fault in error.faults]) from None


def _built(design: Design, folder: Path, say: Say, packet: bool, fem: bool, kernel: Kernel) -> BuildResult:
    """The files of a design, whole or not at all, and what was found in them."""
    job = design.job
    kept: list[str] = []
    with staged(folder, kept.append) as stage:
        kernel.start(design, stage.absolute(), True, fem)  # write, then measure
        write_sheets(design, stage, say, kernel.memo)
        early = _Early(design, stage, kernel, say, packet, None if fem else Stiffness())
        findings, report, seen = _measured(design, stage, kernel, say, early.make, True)
        traces = _traces(seen) if packet else {}
        stiffness = stiffness_of(design, stage, kernel, say) if fem else Stiffness()
        findings, report = with_stiffness(findings, report, stiffness, job.units)
        timing = early.timing or _timing(design, stage, kernel, say, stiffness)
        findings, report = _with_timing(findings, report, timing, job.units)
        plot = stiffness.plot()
        if packet:
            from wheelcad.packet.book import write_packet

            write_packet(stage / "packet.pdf", design, findings, report, plot, early.picture, traces)
            say("packet.pdf")
        write_json(stage / REPORT, Words(job.units).through(report))
        changes = _start(design, stage, folder, findings, early.picture)
        note_place(stage, job, folder)
        files = tuple(sorted(path.name for path in stage.iterdir()))
    return BuildResult(job, design, folder, report, tuple(findings), files, changes=changes, kept=tuple(kept))


def _start(design: Design, stage: Path, folder: Path, findings: list[Finding], picture: bytes | None) -> Changes:
    """The page to begin with and the manifest: what needs all other files. What this build changed."""
    from wheelcad.packet.start import write_start

    changes = changes_since(read_manifest(folder), design.job, [digest(path) for path in sorted(stage.iterdir())])
    write_start(stage, design, findings, changes, picture)
    write_json(stage / MANIFEST, manifest(design.job, stage, changes))
    return changes


def check_folder(folder: str | Path, job: Job | None = None, say: Say = _silent, fem: bool = False) -> BuildResult:
    """Measure again what is on disk in a folder of outputs, against the job its manifest holds.

    job: the job file the folder should belong to, if the user named one. fem: whether the bracket's finite elements are
    solved again; without, the build's answer is quoted where it is about the file that is there.

    Raises a JobError when there is no manifest.
    """
    folder = Path(folder)
    kept = read_manifest(folder)
    held = kept.get("job")
    text = held.get("text") if isinstance(held, dict) else None
    if not isinstance(held, dict) or not isinstance(text, str):
        if job is not None and not kept:
            return _linted(job, folder)
        raise JobFileError(
            Fault("is no folder that wheelcad wrote: it has no manifest.json with a job in it", file=str(folder))
        )
    with told("check"), measurable(folder) as (sound, about), Kernel(lasts=False) as kernel:
        design = design_job(parse_job(text, str(held.get("file", "job"))))
        kernel.start(design, sound.absolute(), False, fem)  # measure only
        ahead = _Ahead(design, sound, kernel, say, None if fem else quoted(design, sound))
        findings, report, _ = _measured(design, sound, kernel, say, ahead.make, False)
        stiffness = ahead.stiffness or stiffness_of(design, sound, kernel, say, draw=False)
        findings, report = with_stiffness(findings, report, stiffness, design.job.units)
        timing = ahead.timing or _timing(design, sound, kernel, say, stiffness)
        findings, report = _with_timing(findings, report, timing, design.job.units)
        delivered = _delivered(sound, design, findings, report, ahead.delivered)
        if kept.get("versions") != versions():
            delivered = [_of_another_program(finding) for finding in delivered]
        findings = [*findings, *delivered, *(rim_again(design) if fem else ())]
    about += unchanged(folder, kept, design)
    if job is not None:
        same = job.source.sha256 == held.get("sha256")
        why = "the outputs must belong to the job file as it is now; build it again"
        said = "the same job" if same else "the job file was changed since the build"
        about.append(holds(Check.JOB_FILE, job.source.file, same, said, why, "manifest.json"))
    findings = [*about, *findings]
    report["findings"] = [finding.as_json(Words(design.job.units)) for finding in findings]
    report = Words(design.job.units).through(report)
    files = tuple(sorted(name for name in written_by_us(folder) if (folder / name).is_file()))
    return BuildResult(design.job, design, folder, report, tuple(findings), files, "checked")


def _of_another_program(finding: Finding) -> Finding:
    """Other versions may say more and round otherwise: then words and last figures that differ are a warning."""
    if finding.verdict != "fail" or finding.check not in (Check.REPORT_SAME, Check.PACKET_NUMBERS):
        return finding
    return replace(finding, verdict="warn", why=f"{finding.why}; the build was made with other versions")


@dataclass
class _Ahead:
    """What a check does while the kernel's process still measures. stiffness: what the build found, None where it is
    solved again. timing: what it came to; delivered: what was found in files, by name."""

    design: Design
    folder: Path
    kernel: Kernel
    say: Say
    stiffness: Stiffness | None
    timing: Timing | None = None
    delivered: dict[str, list[Finding]] = field(default_factory=dict)

    def make(self) -> None:
        """Read what needs no measured number; then work out the timing, where nothing else is waited for."""
        from wheelcad.delivered import check_alone

        self.delivered = check_alone(self.folder, self.design)
        if self.stiffness is not None:
            self.timing = _timing(self.design, self.folder, self.kernel, self.say, self.stiffness)


def _delivered(
    folder: Path, design: Design, findings: list[Finding], report: dict[str, Any], known: dict[str, list[Finding]]
) -> list[Finding]:
    """What can be read back only when all is written."""
    from wheelcad.delivered import check_delivered

    return check_delivered(folder, design, findings, report, known)


def _linted(job: Job, folder: Path) -> BuildResult:
    """What can be said of a job that was never built: every number and verdict that needs no file."""
    design = design_job(job)
    findings = design.findings
    report: dict[str, Any] = {"wheel": design.wheel.report(), "ignition": ignition_report(design)}
    if design.indexing is not None:
        report["indexing"] = design.indexing.report()
    report["left_out"] = list(design.left_out)
    report["findings"] = [finding.as_json(Words(job.units)) for finding in findings]
    return BuildResult(job, design, folder, Words(job.units).through(report), findings, (), "linted")


@dataclass
class _Early:
    """What needs none of the numbers measured, done while the kernel still measures.

    stiffness: of the bracket, None where it is still being solved. picture: the parts as they stand on the engine, for
    packet and start page; timing: what it came to.
    """

    design: Design
    folder: Path
    kernel: Kernel
    say: Say
    packet: bool
    stiffness: Stiffness | None
    picture: bytes | None = None
    timing: Timing | None = None

    def make(self) -> None:
        """Draw the picture, for a packet the measuring sheet too; pack the zips, which hold files of parts alone; work
        out the timing, where nothing else is waited for."""
        from wheelcad.packet.pictures import standing_picture
        from wheelcad.packet.zips import write_zips

        if self.packet:
            from wheelcad.packet.measuring_sheet import SHEET, write_sheet

            write_sheet(self.folder / SHEET, self.design.job, True)
            self.say(SHEET)
        if self.design.job.sensor is not None:
            self.kernel.written(ASSEMBLY, self.say)
        solids = sorted(path for path in self.folder.iterdir() if path.suffix in (".glb", ".stl"))
        self.picture = once(self.kernel.memo, "picture", lambda: standing_picture(self.folder), job=None, files=solids)
        write_zips(self.design, self.folder)
        if self.stiffness is not None:
            self.timing = _timing(self.design, self.folder, self.kernel, self.say, self.stiffness)


def _traces(seen: SignalSeen | None) -> dict[str, str]:
    """The packet's pictures of the signal: while the finite elements are at work."""
    from wheelcad.packet.signal_pages import pictures_of

    return pictures_of(None if seen is None else seen.signal)


@dataclass(frozen=True)
class _Waiting:
    """The kernel's process as the checks see it. meanwhile: what is done before they wait for what it measured; writes:
    whether it writes the files as well."""

    kernel: Kernel
    say: Say
    meanwhile: Callable[[], None]
    writes: bool

    def written(self, name: str) -> None:
        """Wait for a part's files, where they are not there or missing anyway."""
        if self.writes:
            self.kernel.written(name, self.say)

    def result(self) -> KernelResult:
        """Wait for all that it measured."""
        self.meanwhile()
        return self.kernel.result(self.say)


def _timing(design: Design, folder: Path, kernel: Kernel, say: Say, stiffness: Stiffness) -> Timing | None:
    """How far off the timing may be, as soon as the signal is there; None where nothing is seen. It needs of the report
    the design's parts and how stiff the bracket is."""
    job = design.job
    signal = kernel.seen(say).signal if can_be_seen(job) else None
    if signal is None:
        return None
    parts = with_stiffness([], parts_report(design), stiffness, job.units)[1]
    return once(
        kernel.memo, "budget", lambda: timing_in(job, signal, parts), job=job, files=[folder / WHEEL], more=parts
    )


def _with_timing(
    findings: list[Finding], report: dict[str, Any], timing: Timing | None, units: str
) -> tuple[list[Finding], dict[str, Any]]:
    """Findings and report with the timing error."""
    if timing is None:
        return findings, report
    more, budget = timing
    findings = [*findings, *more]
    return findings, {**report, "budget": budget, "findings": [finding.as_json(Words(units)) for finding in findings]}


def _measured(
    design: Design, folder: Path, kernel: Kernel, say: Say, meanwhile: Callable[[], None], writes: bool
) -> tuple[list[Finding], dict[str, Any], SignalSeen | None]:
    """All findings, the report, and what the sensor sees, from the files in the folder."""
    from wheelcad.report import report_of

    waiting = _Waiting(kernel, say, meanwhile, writes)
    findings, measured = check_everything(folder, design, waiting, kernel.memo, kernel.has_all)
    seen = kernel.seen(say) if can_be_seen(design.job) else None
    findings = [*design.findings, *findings, *(() if seen is None else seen.findings)]
    signal = None if seen is None or seen.signal is None else seen.signal.report()
    return findings, report_of(design, measured, findings, signal), seen


def versions() -> dict[str, str]:
    """What a build is made with: Python and the packages that its numbers and files come from."""
    out = {"python": ".".join(map(str, sys.version_info[:3]))}
    for package in PACKAGES:
        with contextlib.suppress(importlib.metadata.PackageNotFoundError):
            out[package] = importlib.metadata.version(package)
    return out


def manifest(job: Job, folder: Path, changes: Changes) -> dict[str, Any]:
    """manifest.json: the job (file name, hash, text), the packages that made it, what this build changed; of each file
    size and SHA-256, its part and who it is for."""
    source = job.source
    return {
        "job": {"name": job.job, "file": Path(source.file).name, "sha256": source.sha256, "text": source.text},
        "versions": versions(),
        "changed": changes.kept(),
        "files": [_entry(path) for path in sorted(folder.iterdir()) if path.name != MANIFEST],
    }


def _entry(path: Path) -> dict[str, object]:
    entry = entry_of(path.name)
    known = {"part": entry.part, "for": str(entry.whom)} if entry is not None else {}
    return {**digest(path), **known}


__all__ = ["BuildResult", "JobError", "build_job", "check_folder", "load_job"]
