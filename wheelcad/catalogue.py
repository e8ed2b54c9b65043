"""The one catalogue of the files a build writes: name, part, for whom, when it is made, one line of what it is.

README's list (`python -m wheelcad.catalogue README.md` writes it again), start.html, the packet's list and the entries
of manifest.json come from it. A file that is not in it is not wheelcad's.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum
from fnmatch import fnmatchcase
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from wheelcad.parts.design import Design


class For(StrEnum):
    """Who a file is for, in the order of the work."""

    LATHE = "lathe"
    MILL = "mill"
    PRINTER = "printer"
    PLASMA = "plasma"
    ENGINE = "engine"
    LOOK = "to look at"
    PROGRAMS = "for programs"


@dataclass(frozen=True)
class Output:
    """One file. name: as it is written, with a * where a size of the job stands; when: a key of CONDITIONS."""

    name: str
    part: str
    whom: For
    when: str
    what: str


@dataclass(frozen=True)
class BuildMade:
    """What decides which files there are: the design, and what the build was asked for or could work out."""

    design: Design
    packet: bool = True
    plot: bool = True


ZIPS = {For.LATHE: "for-lathe.zip", For.PLASMA: "for-plasma.zip", For.PRINTER: "for-printer.zip"}
START, PACKET, REPORT, MANIFEST = "start.html", "packet.pdf", "report.json", "manifest.json"


def _plate(made: BuildMade) -> bool:
    return made.design.wheel.form == "plate"


def _plasma_cut(made: BuildMade) -> bool:  # a ready-made ring is not cut out
    return _plate(made) and made.design.job.shop.plasma is not None and made.design.wheel.ring is None


def _arbour(made: BuildMade) -> bool:
    from wheelcad.parts.arbour.design import design_arbour

    return design_arbour(made.design.job) is not None


def _hand(made: BuildMade) -> bool:
    from wheelcad.parts.hand.design import by_hand, has_paper

    return by_hand(made.design.job) and has_paper(made.design.job)


def _table(made: BuildMade) -> bool:
    return made.design.indexing is not None and made.design.indexing.table is not None


def _plot(made: BuildMade) -> bool:
    engine = made.design.job.engine
    return made.plot and made.design.bracket is not None and engine is not None and engine.max_speed is not None


CONDITIONS: dict[str, Callable[[BuildMade], bool]] = {
    "always": lambda made: True,
    "unless `--no-packet`": lambda made: made.packet,
    "turned-down form": lambda made: made.design.blank is not None,
    "plate form": _plate,
    "plate form, `shop.plasma`": _plasma_cut,
    "plate form, small bore, no bolts": _arbour,
    "`shop.slots_by: hand`": _hand,
    "`adapter`": lambda made: made.design.adapter is not None,
    "`gauge`": lambda made: made.design.gauge is not None,
    "`bracket`": lambda made: made.design.bracket is not None,
    "`plasma.compensate`": lambda made: made.design.bracket is not None and made.design.bracket.compensate_kerf > 0,
    "`bracket`, `engine.max_speed`, unless `--no-fem`": _plot,
    "`cam`": lambda made: made.design.cam is not None,
    "`sensor`": lambda made: made.design.job.sensor is not None,
    "`shop`": lambda made: made.design.indexing is not None,
    "`shop.rotary_table`": _table,
    "`shop.readout`": lambda made: made.design.indexing is not None and made.design.job.shop.readout,
    "`shop.rotary_axis`": lambda made: made.design.indexing is not None and made.design.job.shop.rotary_axis,
    "turned-down form or `adapter`": lambda made: made.design.blank is not None or made.design.adapter is not None,
    "`bracket`, `cam` or plate form": lambda made: (
        made.design.bracket is not None or made.design.cam is not None or _plate(made)
    ),
}


def _drawing(part: str, whom: For, when: str, what: str) -> tuple[Output, Output]:
    return (
        Output(f"{part}-drawing.pdf", part, whom, when, f"{what}, to print at 100 %"),
        Output(f"{part}-drawing.dxf", part, whom, when, "the same drawing for a CAD program"),
    )


def _solid(part: str, when: str, stl: str) -> tuple[Output, ...]:
    step = Output(f"{part}.step", part, For.LOOK, when, f"the {part} as a solid, for CAD and CAM programs")
    return (step, Output(f"{part}.stl", part, For.LOOK, when, stl)) if stl else (step,)


CATALOGUE: tuple[Output, ...] = (
    Output(START, "job", For.LOOK, "always", "where to begin: every file with its line, for whom, what to do first"),
    Output(PACKET, "job", For.ENGINE, "unless `--no-packet`", "all of it on paper, in the order of the work"),
    Output("measuring-sheet.pdf", "job", For.ENGINE, "unless `--no-packet`",
           "what to measure, with lettered pictures and this job's values printed in"),
    *_drawing("blank", For.LATHE, "turned-down form", "the turned piece before its slots, over the piece as found"),
    *_drawing("arbour", For.LATHE, "plate form, small bore, no bolts", "the arbour the wheel is turned and milled on"),
    *_drawing("adapter", For.LATHE, "`adapter`", "the spacer between pulley and wheel"),
    Output(ZIPS[For.LATHE], "job", For.LATHE, "turned-down form or `adapter`", "what a turner needs, in one file"),
    *_drawing("wheel", For.MILL, "always", "slots, gap and correction holes of the wheel"),
    Output("dividing-paper.pdf", "wheel", For.MILL, "`shop.slots_by: hand`", "every slot at 1:1, to glue on and punch"),
    Output("bench.html", "wheel", For.MILL, "`shop.rotary_table`", "the page that is followed at the rotary table"),
    Output("index-chart.csv", "wheel", For.MILL, "`shop`", "every setting of the rotary table or readout, as a table"),
    Output("readout-points.csv", "wheel", For.MILL, "`shop.readout`", "the points for a digital readout"),
    Output("rotary-axis.nc", "wheel", For.MILL, "`shop.rotary_axis`", "a program that turns a driven rotary axis"),
    Output("gauge.3mf", "gauge", For.PRINTER, "`gauge`", "the layout gauge as it stands on the bed, in mm"),
    Output("gauge.stl", "gauge", For.PRINTER, "`gauge`", "the same for slicers without 3MF; its unit is mm"),
    Output("gauge-paper.pdf", "gauge", For.PRINTER, "`gauge`", "its marks on paper at 1:1, with bars to measure"),
    Output(ZIPS[For.PRINTER], "gauge", For.PRINTER, "`gauge`", "what a printing shop needs, in one file"),
    Output("wheel-flat.dxf", "wheel", For.PLASMA, "plate form", "the wheel, or for plasma its oversize blank, to cut"),
    Output("wheel-finished.dxf", "wheel", For.PLASMA, "plate form, `shop.plasma`",
           "the finished outline, for laser or water jet"),
    Output("bracket-flat.dxf", "bracket", For.PLASMA, "`bracket`", "the bracket's flat, to cut"),
    Output("bracket-flat-kerf-*.dxf", "bracket", For.PLASMA, "`plasma.compensate`",
           "the same with the kerf allowed for, for tables that do not"),
    *_drawing("bracket", For.PLASMA, "`bracket`", "the bracket flat and folded, how it is bent"),
    *_drawing("cam", For.PLASMA, "`cam`", "the target on the cam"),
    Output("cam-flat.dxf", "cam", For.PLASMA, "`cam`", "the target on the cam, to cut"),
    Output(ZIPS[For.PLASMA], "job", For.PLASMA, "`bracket`, `cam` or plate form",
           "what a cutting shop needs, in one file"),
    Output("bracket-paper.pdf", "bracket", For.ENGINE, "`bracket`",
           "the bracket at 1:1 to fold from card, the engine's pattern: prove it first"),
    Output("bracket-speeds.png", "bracket", For.ENGINE, "`bracket`, `engine.max_speed`, unless `--no-fem`",
           "the bracket's natural frequencies against the engine's speed"),
    Output("assembly.glb", "assembly", For.LOOK, "`sensor`", "all of it on the engine, for phones and browsers"),
    Output("assembly.step", "assembly", For.LOOK, "`sensor`", "the same for CAD programs"),
    *_solid("wheel", "always", "the wheel's triangles, which are weighed and measured"),
    *_solid("blank", "turned-down form", "the blank's triangles, which the balance is measured against"),
    *_solid("gauge", "`gauge`", ""),
    *_solid("adapter", "`adapter`", ""),
    *_solid("bracket", "`bracket`", "the bracket's triangles"),
    *_solid("cam", "`cam`", "the target's triangles"),
    Output(REPORT, "job", For.PROGRAMS, "always", "every number and finding, in mm and degrees"),
    Output(MANIFEST, "job", For.PROGRAMS, "always", "the job, its hash, versions, size and SHA-256 of every file"),
)  # fmt: skip


def entry_of(name: str) -> Output | None:
    """The catalogue's entry of a file, None for a file that is not ours."""
    return next((output for output in CATALOGUE if fnmatchcase(name, output.name)), None)


def expected(made: BuildMade) -> list[Output]:
    """The entries of the files this build writes, in the order of the work."""
    return [output for output in CATALOGUE if CONDITIONS[output.when](made)]


def sorted_by_whom(names: Iterable[str]) -> dict[For, list[tuple[str, Output]]]:
    """The files by who they are for, both in the catalogue's order; those that are not ours left out."""
    order = {output.name: number for number, output in enumerate(CATALOGUE)}
    known = [(name, output) for name in names if (output := entry_of(name)) is not None]
    known.sort(key=lambda item: (order[item[1].name], item[0]))
    held = {whom: [(name, output) for name, output in known if output.whom is whom] for whom in For}
    return {whom: files for whom, files in held.items() if files}


BEGIN, END = "<!-- files: start -->", "<!-- files: end -->"


def files_markdown() -> str:
    """README's list of files, a table; equal words for files that differ in their ending alone are not repeated."""
    rows = ["| file | for | when | what |", "| --- | --- | --- | --- |"]
    rows += [f"| `{o.name}` | {o.whom} | {o.when} | {o.what} |" for o in CATALOGUE]
    return "\n".join(rows) + "\n"


def with_files(readme: str) -> str:
    """The README with the list between its markers. ValueError when they are not there."""
    if BEGIN not in readme or END not in readme:
        raise ValueError(f"no {BEGIN} … {END}")
    before, rest = readme.split(BEGIN, 1)
    return f"{before}{BEGIN}\n{files_markdown()}{END}{rest.split(END, 1)[1]}"


if __name__ == "__main__":
    import sys

    for file in map(Path, sys.argv[1:]):
        file.write_text(with_files(file.read_text(encoding="utf-8")), encoding="utf-8")
        print(f"{file}: its list of files is written")
