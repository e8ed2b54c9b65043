"""Every file that needs no kernel: cutting files, drawings, charts. One line of decision a file."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from pathlib import Path

from wheelcad.drawing.layout import Page
from wheelcad.drawing.model import Sheet
from wheelcad.files.dxf import CutEntity, CutPath, write_cut_dxf
from wheelcad.parts.arbour.design import design_arbour
from wheelcad.parts.design import Design
from wheelcad.parts.hand.design import design_hand, has_paper
from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.parts.marks import marks_of
from wheelcad.parts.wheel.flat import FlatLoops, finished_flat, plasma_blank

Writer = Callable[[Path], None]


def write_sheets(design: Design, folder: Path) -> Iterator[str]:
    """Write everything into the folder, giving each file's name as it is done."""
    for name, write in _all(design):
        write(folder / name)
        yield name


def _all(design: Design) -> Iterator[tuple[str, Writer]]:
    yield from _wheel(design)
    for name, sheet in drawing_sheets(design).items():
        yield from _drawing(name, sheet)
    if design.gauge is not None:
        from wheelcad.parts.gauge.sheet import gauge_pages

        yield "gauge-paper.pdf", _printed(gauge_pages(design.job, design.wheel, design.gauge))
    if design.bracket is not None:
        from wheelcad.parts.bracket.cutting import compensated_name, cut_layers
        from wheelcad.parts.bracket.paper import PAPER_FILE
        from wheelcad.parts.bracket.paper_sheet import bracket_pages

        yield PAPER_FILE, _printed(bracket_pages(design.bracket, design.job, marks_of(design)))
        yield "bracket-flat.dxf", _cut(cut_layers(design.bracket), marks_of(design))
        kerf = design.bracket.compensate_kerf
        if kerf > 0:
            yield compensated_name(kerf), _cut(cut_layers(design.bracket, kerf), marks_of(design))
    if design.cam is not None:
        cam = design.cam
        yield (
            "cam-flat.dxf",
            _cut({"OUTLINE": [cam.outline], "HOLES": [hole.loop for hole in cam.openings]}, marks_of(design)),
        )
    hand = design_hand(design.job, design.wheel)
    if hand is not None and has_paper(design.job):
        from wheelcad.parts.hand.sheet import dividing_pages

        yield "dividing-paper.pdf", _printed(dividing_pages(design.job, design.wheel, hand))
    if design.indexing is not None:
        yield from _indexing(design, design.indexing)


def _indexing(design: Design, plan: IndexPlan) -> Iterator[tuple[str, Writer]]:
    """Charts for the mill, and the page that is followed there."""
    from wheelcad.packet.bench import write_bench
    from wheelcad.parts.indexing import chart

    yield chart.CHART_FILE, lambda path: chart.write_index_chart(plan, path)
    if plan.job.shop.readout:
        yield chart.POINTS_FILE, lambda path: chart.write_readout_points(plan, path)
    if plan.job.shop.rotary_axis:
        yield chart.PROGRAM_FILE, lambda path: chart.write_rotary_program(plan, path)
    if plan.table is not None:
        yield "bench.html", lambda path: write_bench(path, plan)


def drawing_sheets(design: Design) -> dict[str, Sheet]:
    """What the drawing of each part shows, by the part's name, in the order in which the parts are made."""
    from wheelcad.parts.wheel.sheet import wheel_sheet

    job, balance, sheets = design.job, design.balance, {}
    if design.blank is not None:
        from wheelcad.parts.blank.sheet import blank_sheet

        sheets["blank"] = blank_sheet(job, design.blank, balance.runout_limit_mm, balance.runout_by)
    sheets["wheel"] = wheel_sheet(job, design.wheel, design.blank, balance)
    if design.adapter is not None:
        from wheelcad.parts.adapter.sheet import adapter_sheet

        sheets["adapter"] = adapter_sheet(job, design.adapter)
    if design.bracket is not None:
        from wheelcad.parts.bracket.sheet import bracket_sheet

        sheets["bracket"] = bracket_sheet(design.bracket, job)
    if design.cam is not None:
        from wheelcad.parts.cam.sheet import cam_sheet

        sheets["cam"] = cam_sheet(job, design.cam)
    arbour = design_arbour(job)
    if arbour is not None:
        from wheelcad.parts.arbour.sheet import arbour_sheet

        sheets["arbour"] = arbour_sheet(job, arbour)
    marks = marks_of(design)
    return {name: replace(sheet, title=replace(sheet.title, marks=marks)) for name, sheet in sheets.items()}


def _wheel(design: Design) -> Iterator[tuple[str, Writer]]:
    """A plate wheel's cutting files: for plasma a blank to be finished, and the finished outline beside it."""
    if design.wheel.form == "plate":
        finished = finished_flat(design.job, design.wheel)
        if design.job.shop.plasma is None or design.wheel.ring is not None:  # a ready-made ring is not cut out
            yield "wheel-flat.dxf", _cut(_layers(finished), marks_of(design))
        else:
            yield "wheel-flat.dxf", _cut(_layers(plasma_blank(design.job, design.wheel)), marks_of(design))
            yield "wheel-finished.dxf", _cut(_layers(finished), marks_of(design))


def _layers(flat: FlatLoops) -> dict[str, list[CutEntity]]:
    held: dict[str, list[CutEntity]] = {"OUTLINE": list(flat.outline), "HOLES": list(flat.holes)}
    held["MARK"] = [CutPath(mark) for mark in flat.marks]
    return held


def _cut(shapes: dict[str, list[CutEntity]], marks: str) -> Writer:
    return lambda path: write_cut_dxf(path, shapes, marks)


def _drawing(name: str, sheet: Sheet) -> Iterator[tuple[str, Writer]]:
    """A drawing as DXF and as PDF, from one description."""
    from wheelcad.drawing.dxf import write_dxf
    from wheelcad.parts.common.sheets import laid_out

    pages = laid_out(sheet)  # laid out once for both
    yield f"{name}-drawing.dxf", lambda path: write_dxf(pages, path)
    yield f"{name}-drawing.pdf", _printed(pages)


def _printed(pages: Iterable[Sheet | Page]) -> Writer:
    from wheelcad.drawing.pdf import write_pdf

    return lambda path: write_pdf(pages, path)
