"""All checks of a folder of outputs against its design, and the numbers measured on the way."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Protocol

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.catalogue import entry_of
from wheelcad.checks.assembly import check_assembly, check_room
from wheelcad.checks.axis_program import check_axis_program
from wheelcad.checks.balance import check_balance
from wheelcad.checks.bench import BENCH, check_bench
from wheelcad.checks.bracket import check_bracket
from wheelcad.checks.bracket_paper import check_bracket_paper
from wheelcad.checks.bracket_step import check_step
from wheelcad.checks.cam import check_cam
from wheelcad.checks.chart_columns import check_chart_columns
from wheelcad.checks.cut_files import check_cut_files, check_drawing_marks
from wheelcad.checks.cut_shapes import check_bracket_flats, check_cam_flat, check_wheel_flats
from wheelcad.checks.drawn_sizes import check_drawings, drawn_parts
from wheelcad.checks.gauge import check_gauge
from wheelcad.checks.gauge_over_wheel import check_gauge_over_wheel
from wheelcad.checks.gauge_paper import check_gauge_paper
from wheelcad.checks.gauge_print import PRINT, check_gauge_print
from wheelcad.checks.index_chart import check_index_chart
from wheelcad.checks.shown import GLB, STEP, check_glb, check_same_places, check_shown
from wheelcad.checks.solids import check_solids
from wheelcad.checks.solids_truth import check_step_solid, check_stl
from wheelcad.checks.unbalance import MeasuredBalance, measure_balance, residual, three_ways
from wheelcad.checks.wheel import check_wheel, sound_body, volume_agrees, wheel_moments
from wheelcad.checks.wheel_flat import check_wheel_flat
from wheelcad.codes import Check
from wheelcad.errors import JobFileError, UnreadableError
from wheelcad.files.figures import BodyFigures, KernelResult, Meetings
from wheelcad.findings import Finding, holds
from wheelcad.parts.design import Design
from wheelcad.parts.indexing.chart import PROGRAM_FILE
from wheelcad.trade.materials import material

PLATE_WHEEL = frozenset({"wheel-flat.dxf", "wheel-finished.dxf"})
ABOUT_AXIS = PLATE_WHEEL | {"cam-flat.dxf"}  # drawn in the wheel's own frame


@dataclass(frozen=True)
class MeasuredFiles:
    """What the written files say. mass kg of wheel.step, polar inertia kg·mm² of wheel.stl; the balance."""

    mass_kg: float
    polar_inertia_kg_mm2: float
    balance: MeasuredBalance


class KernelAnswers(Protocol):
    """What is waited for: the kernel's process, or what stands for it."""

    def written(self, name: str) -> None:
        """Return when the part's files are in the folder."""

    def result(self) -> KernelResult:
        """What the kernel found in the re-read STEP files."""


@dataclass(frozen=True)
class _Check:
    """One check. after: the last written of the parts whose files it opens, "" for files that need no kernel. opens:
    all files it opens, where its findings rest on these and the bare design alone; else nothing."""

    after: str
    subject: str
    run: Callable[[], Iterable[Finding]]
    opens: tuple[str, ...] = ()


Findings = Callable[[], list[Finding]]
Keep = Callable[[str, tuple[str, ...], Findings], list[Finding]]


def anew(_: str, __: tuple[str, ...], run: Findings) -> list[Finding]:
    """The findings of a check, found now: nothing is kept."""
    return run()


NOTHING = np.full(2, np.nan)  # what is measured of a wheel that cannot be read
NOTHING_MEASURED = MeasuredFiles(np.nan, np.nan, MeasuredBalance(NOTHING, NOTHING, NOTHING))


def check_everything(
    folder: Path, design: Design, kernel: KernelAnswers, bare: Design | None = None, keep: Keep = anew
) -> tuple[list[Finding], MeasuredFiles]:
    """Measure all files in the folder, each as soon as it is written.

    bare: the design as solids are given it (`kept.for_solids`), where it is at hand: checks of the solids alone are
    given no more. keep: finds what a check found before, by its subject and the files it opens, or lets it run.
    """
    bare = design if bare is None else bare
    checks = list(_checks(folder, design, bare))
    found: dict[int, list[Finding]] = {}
    for part in ("", *design.parts):
        if part:
            kernel.written(part)
        for number, check in enumerate(checks):
            if check.after == part:
                found[number] = _kept(check, keep)
    shown = None
    if design.job.sensor is not None:
        kernel.written("assembly")
        shown = _shown(folder, bare, keep)
    result = kernel.result()
    out = list(check_solids(result.figures, design.parts))
    out += [finding for number in sorted(found) for finding in found[number]]
    more, measured = _with_kernel(folder, design, bare, result, keep, shown)
    return out + more, measured


def _checks(folder: Path, design: Design, bare: Design) -> Iterator[_Check]:
    """All checks that need nothing of the kernel but files, in the order in which they are told."""
    yield _Check("wheel", "wheel.stl", lambda: check_wheel(folder, design.wheel))
    yield _Check("wheel", "wheel.stl", lambda: check_balance(folder, design.wheel, design.balance))
    if design.blank is not None:
        yield _Check("blank", "blank.stl", lambda: [sound_body(folder / "blank.stl")])
    for name in design.parts:
        if name not in ("gauge", "adapter"):  # the one has checks of its own, the other no mesh
            mesh = f"{name}.stl"
            yield _Check(name, mesh, partial(check_stl, folder, name, bare), (mesh,))
    if design.wheel.form == "plate":
        yield _Check("", "wheel-flat.dxf", lambda: check_wheel_flats(folder, design))
    if design.gauge is not None and bare.gauge is not None:
        gauge, plain = design.gauge, bare.gauge
        both = "gauge.stl", "wheel.stl"
        yield _Check("gauge", "gauge.stl", lambda: check_gauge(folder, plain), ("gauge.stl",))
        yield _Check("gauge", PRINT, lambda: check_gauge_print(folder, gauge))
        yield _Check("gauge", "gauge.stl", lambda: check_gauge_over_wheel(folder, plain), both)
        yield _Check("", "gauge-paper.pdf", lambda: check_gauge_paper(folder, gauge))
    if design.bracket is not None and bare.bracket is not None:
        bracket, folded = design.bracket, bare.bracket
        meshes = "bracket.stl", "wheel.stl"
        yield _Check("bracket", "bracket-flat.dxf", lambda: check_bracket(folder, bracket))
        yield _Check("", "bracket-flat.dxf", lambda: check_bracket_flats(folder, bracket))
        yield _Check("", "bracket-paper.pdf", lambda: check_bracket_paper(folder, bracket))
        yield _Check("bracket", ", ".join(meshes), lambda: check_room(folder, folded, bare), meshes)
    cut = sorted(
        path.name for path in folder.glob("*.dxf") if not path.name.endswith("-drawing.dxf") and entry_of(path.name)
    )
    if cut:
        yield _Check("", cut[0], lambda: check_cut_files(folder, cut, design.marks, ABOUT_AXIS))
    drawn = sorted(path.name for path in folder.glob("*-drawing.dxf") if entry_of(path.name))
    if drawn:
        yield _Check("", drawn[0], lambda: check_drawing_marks(folder, drawn, design.marks))
    flat = [name for name in cut if name in PLATE_WHEEL]
    if flat and design.wheel.ring is None:
        yield _Check("", flat[0], lambda: check_wheel_flat(folder, flat, design))
    if design.cam is not None:
        cam = design.cam
        yield _Check("cam", "cam.stl", lambda: check_cam(folder, cam))
        yield _Check("", "cam-flat.dxf", lambda: check_cam_flat(folder, cam))
    if design.indexing is not None:
        plan = design.indexing
        yield _Check("", "index-chart.csv", lambda: check_index_chart(folder, plan))
        yield _Check("", "index-chart.csv", lambda: check_chart_columns(folder, plan))
        if plan.job.shop.rotary_axis:
            yield _Check("", PROGRAM_FILE, lambda: check_axis_program(folder, plan))
        if plan.table is not None:
            yield _Check("", BENCH, partial(check_bench, folder, plan, plan.table))
    for part in drawn_parts(design):
        yield _Check("", f"{part}-drawing.dxf", partial(check_drawings, folder, part, design))


def _with_kernel(
    folder: Path, design: Design, bare: Design, result: KernelResult, keep: Keep, shown: list[Finding] | None = None
) -> tuple[list[Finding], MeasuredFiles]:
    """What mesh and re-read solid say together. shown: see `check_steps`."""
    measured = NOTHING_MEASURED

    def wheel() -> list[Finding]:
        nonlocal measured
        density = material(design.wheel.material).density_kg_m3 * 1e-9
        moments = wheel_moments(folder, "wheel")
        balance = measure_balance(folder, design.balance, result)
        measured = MeasuredFiles(result.figures["wheel"].volume * density, moments.polar * density, balance)
        return [*residual(balance, design.balance), *three_ways(design.wheel, design.balance, balance)]

    out = _guarded(_Check("wheel", "wheel.stl, wheel.step", wheel))
    return out + check_steps(folder, design, result, bare, keep, shown), measured


def check_steps(
    folder: Path,
    design: Design,
    result: KernelResult,
    bare: Design | None = None,
    keep: Keep = anew,
    shown: list[Finding] | None = None,
) -> list[Finding]:
    """What the kernel read again in the STEP files, each against the design and its own mesh; and assembly.glb against
    assembly.step. Files that are not in `result` are left out. shown: what was found in assembly.glb alone, if it is
    known already."""
    bare = design if bare is None else bare
    out = judge_steps(folder, design, result) if result.judged is None else list(result.judged)
    if result.meetings is not None:
        solids = result.meetings.meshes
        shown = _shown(folder, bare, keep) if shown is None else shown
        same = _guarded(_Check("assembly", GLB, lambda: check_same_places(folder, solids)))
        out += shown if shown == same else [*shown, *same]  # a file that cannot be read is told once
    return out


def _shown(folder: Path, bare: Design, keep: Keep) -> list[Finding]:
    """assembly.glb against the design."""
    return _kept(_Check("assembly", GLB, lambda: check_glb(folder, bare), (GLB,)), keep)


def judge_steps(folder: Path, design: Design, result: KernelResult) -> list[Finding]:
    """What the kernel read again in the STEP files alone: a build does it beside the kernel, where the meshes are."""
    out: list[Finding] = []
    for name in design.parts:
        out += judge_volume(folder, name, result.figures.get(name))
    for name, mesh in result.meshes.items():
        out += judge_solid(folder, design, name, mesh)
    if design.bracket is not None:
        out += check_step(result.bracket_faces, design.bracket)
    return out + (judge_assembly(design, result.meetings) if result.meetings is not None else [])


def judge_volume(folder: Path, name: str, figures: BodyFigures | None) -> list[Finding]:
    """NAME.stl's volume against the solid's; nothing where one of them is not there: its own check says so."""
    if figures is None or not (folder / f"{name}.stl").exists():
        return []
    solid = figures.volume
    return _guarded(_Check(name, f"{name}.stl", lambda: [volume_agrees(name, wheel_moments(folder, name), solid)]))


def judge_solid(folder: Path, design: Design, name: str, mesh: Floats) -> list[Finding]:
    """NAME.step, meshed as re-read, against the design."""
    return _guarded(_Check(name, f"{name}.step", partial(check_step_solid, name, mesh, design, folder)))


def judge_assembly(design: Design, meetings: Meetings) -> list[Finding]:
    """assembly.step as re-read, against the design."""
    return [
        *check_assembly(meetings, design),
        *_guarded(_Check("assembly", STEP, lambda: check_shown(STEP, meetings.meshes, design))),
    ]


def _kept(check: _Check, keep: Keep) -> list[Finding]:
    """The check's findings, those of before where nothing it rests on has changed."""
    if not check.opens:
        return _guarded(check)
    return keep(check.subject, check.opens, lambda: _guarded(check))


def _guarded(check: _Check) -> list[Finding]:
    """The check's findings; a file that cannot be read is itself a failed finding, and so is a check that broke."""
    try:
        return list(check.run())
    except (OSError, UnreadableError, JobFileError) as error:
        why = "a file that cannot be read cannot be trusted"
        return [holds(Check.READABLE, check.subject, False, str(error), why, "reading it back")]
    except Exception as error:  # nobody may take for measured what was not
        said = f"{type(error).__name__}: {error}"
        why = "this check went wrong, so nothing was measured: the file holds what none should, or the mistake is ours"
        return [holds(Check.CHECK_BROKE, check.subject, False, said, why, "reading it back")]
