"""for-lathe.zip, for-plasma.zip, for-printer.zip: the files one shop needs, and a page of what to ask it for."""

from __future__ import annotations

import zipfile
from collections.abc import Iterator
from pathlib import Path

from wheelcad.catalogue import ZIPS, For, Output, sorted_by_whom
from wheelcad.packet.plasma import plasma_asks
from wheelcad.parts.design import Design
from wheelcad.parts.marks import marks_of
from wheelcad.trade.materials import material
from wheelcad.words import Words, count, diameter, fine, length

ASK = "what-to-ask-for.txt"
FIXED_DATE = (1980, 1, 1, 0, 0, 0)  # the first a zip can hold: a true one would make every run differ
WITH_SOLIDS = {For.LATHE: ("blank.step", "adapter.step")}
GREETING = {
    For.LATHE: "Turning work, one of each:",
    For.PLASMA: "Plates to cut, one of each:",
    For.PRINTER: "A layout gauge to print, one off:",
}


def write_zips(design: Design, folder: Path) -> list[str]:
    """Write the zips of those recipients who have files in the folder; their names. The same files, the same bytes."""
    names = [path.name for path in folder.iterdir()]
    written = []
    for whom, files in sorted_by_whom(names).items():
        if whom in ZIPS:
            held = [name for name, _ in files] + [name for name in WITH_SOLIDS.get(whom, ()) if name in names]
            _write(folder, ZIPS[whom], asked(design, whom, files), held)
            written.append(ZIPS[whom])
    return written


def _write(folder: Path, zip_name: str, ask: str, names: list[str]) -> None:
    with zipfile.ZipFile(folder / zip_name, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
        contents = [(ASK, ask.encode("utf-8")), *((name, (folder / name).read_bytes()) for name in names)]
        for name, data in contents:
            info = zipfile.ZipInfo(name, FIXED_DATE)
            info.compress_type, info.external_attr, info.create_system = zipfile.ZIP_DEFLATED, 0o644 << 16, 3
            archive.writestr(info, data)


def asked(design: Design, whom: For, files: list[tuple[str, Output]]) -> str:
    """The page: the pieces with material and size, what matters, and each file with its line; CR LF for any editor."""
    job = design.job
    said = {For.LATHE: _lathe, For.PLASMA: plasma_asks, For.PRINTER: _printer}[whom]
    lines = [job.title or job.job, f"{job.job}, {marks_of(design)}", "", GREETING[whom]]
    lines += [f"- {line}" for line in said(design)]
    lines += ["", "Files:", *(f"- {name}: {output.what}" for name, output in files)]
    lines += [f"- {name}: the solid, in mm" for name in WITH_SOLIDS.get(whom, ()) if _has(design, name)]
    unit = "mm with inches in brackets" if job.dimensions == "dual" else "inches" if job.units == "in" else "mm"
    lines += ["", f"Drawings are dimensioned in {unit}; STEP, DXF for cutting, STL and 3MF are in mm."]
    lines += ["Local rules and the shop's own practice come before anything written here."]
    return Words(job.units).text("\r\n".join(lines)) + "\r\n"


def _has(design: Design, name: str) -> bool:
    return getattr(design, name.removesuffix(".step")) is not None


def _lathe(design: Design) -> Iterator[str]:
    if design.blank is not None:
        stuff = material(design.blank.material).title
        yield f"the blank, {stuff}, turned from the pulley that comes with this: blank-drawing.pdf"
        limit = design.balance.runout_limit_mm
        if limit is not None:
            yield f"every turned face runs true to the bore within {fine(limit)} on the indicator: say so if it cannot"
        yield "mark TDC on the hub before anything is turned off; belt grooves stay as they are"
    if design.adapter is not None:
        lands = design.adapter.lands
        widest, long = 2 * max(land.radius for land in lands), lands[0].z_front - lands[-1].z_back
        bar = material(design.adapter.material).title
        yield f"the adapter, {bar}, {diameter(widest)} × {length(long)}: adapter-drawing.pdf; both faces parallel"


def _printer(design: Design) -> Iterator[str]:
    gauge = design.gauge
    if gauge is None:
        return
    size = " × ".join(length(side, 0) for side in gauge.size_mm)
    yield f"gauge.3mf as it stands, {size}, at 100 %, no supports; {count(gauge.pieces, 'piece')}"
    if gauge.pieces > 1:
        yield f"{count(gauge.pieces, 'piece')} in the file, printed one at a time: each alone in the middle of the bed"
    yield "PLA or PETG; it lays out work at room temperature and never turns under power"
    if gauge.hole_diameter_mm:
        yield f"its bolt holes measure {diameter(gauge.hole_diameter_mm)} in the file: measure them on the print"
