"""What to ask a cutting shop for: the lines that travel with the files, and stand in the packet."""

from __future__ import annotations

from collections.abc import Iterator

from wheelcad.parts.bracket.cutting import compensated_name
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.design import Design
from wheelcad.trade.materials import material
from wheelcad.trade.plasma import PERPENDICULARITY_RANGE, THERMAL_CUT, size_tolerance_mm
from wheelcad.words import count, diameter, length

UNIT = "the DXF files' unit is the millimetre ($INSUNITS 4), one file a sheet, at 1:1"


def plasma_asks(design: Design) -> Iterator[str]:
    """Every line of what to ask for, the wheel's and the target's included."""
    wheel, bracket = design.wheel, design.bracket
    if wheel.form == "plate":
        plate = f"{material(wheel.material).title} plate {length(wheel.thickness_mm)} thick"
        if design.job.shop.plasma is not None and wheel.ring is None:
            yield f"wheel-flat.dxf from {plate}, one off: a blank with metal left on, whose teeth are milled afterwards"
            yield "wheel-finished.dxf instead, where the process holds the sizes (laser, water jet)"
        else:
            yield f"wheel-flat.dxf from {plate}, one off"
    if bracket is not None:
        yield from bracket_asks(bracket)
    if design.cam is not None:
        plate = f"{material(design.cam.cam.material).title} plate {length(design.cam.cam.thickness)} thick"
        yield f"cam-flat.dxf from {plate}, one off"
    yield UNIT
    yield (
        "outlines are the finished sizes, net: kerf and lead-ins are the table's, outlines offset outwards and holes "
        "inwards by half the kerf"
    )
    yield "layer MARK is never cut through: a light mark or a punch, or leave it out and say so; we drill there"


def bracket_asks(bracket: BracketDesign) -> Iterator[str]:
    """The bracket's own lines."""
    plate = f"{material(bracket.material).title} plate {length(bracket.thickness)} thick"
    long, wide = bracket.stock_size
    gussets = f" and {count(len(bracket.gussets), 'gusset')}" if bracket.gussets else ""
    yield (
        f"bracket-flat.dxf from {plate}: 1 bracket{gussets}, all in the file, one of each, out of "
        f"{length(long, 0)} × {length(wide, 0)} or more"
    )
    yield from _both_files(bracket)
    long = max(bracket.outline.extent())
    tolerance = size_tolerance_mm(long, bracket.thickness)
    if tolerance is not None:
        yield (
            f"cuts to {THERMAL_CUT}: sizes to class 2, ±{length(tolerance)} over {length(long)}; "
            f"edges square to range {PERPENDICULARITY_RANGE} or better"
        )
    drilled = [hole for hole in bracket.holes if hole.drill]
    if drilled:
        names = ", ".join(f"{hole.name} {diameter(hole.diameter)}" for hole in drilled)
        yield f"not cut, too small for this plate: {names}; drilled on the marks afterwards"
    if bracket.bends:
        radius = length(bracket.bends[0].inside_radius)
        how = (
            "we bend it ourselves"
            if bracket.asked.bracket.bends == "hand"
            else f"pressed, inside radius {radius}, as bracket-drawing.pdf"
        )
        yield f"{count(len(bracket.bends), 'bend')}: {how}; the size of the flat holds for that radius alone"
    if bracket.slits:
        yield (
            f"layer SLIT: {count(len(bracket.slits), 'open cut')}, one pass each from end to end on the line, no "
            "offset to either side"
        )


def _both_files(bracket: BracketDesign) -> Iterator[str]:
    """Which of two files is for whom, where there are two."""
    if bracket.compensate_kerf <= 0:
        return
    name, kerf = compensated_name(bracket.compensate_kerf), length(bracket.compensate_kerf)
    yield "bracket-flat.dxf is for a table whose program offsets by the kerf, as most do: its sizes are net"
    yield f"{name} is for a table that follows lines as they are: a kerf of {kerf} is in it, so set none"
