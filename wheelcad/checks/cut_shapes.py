"""Every cutting file's shapes against the design: the plate wheel's, the bracket's, the cam target's."""

from __future__ import annotations

from pathlib import Path

from wheelcad.checks.flats import FLAT_LIMIT, FlatWanted, check_flat, check_shapes
from wheelcad.codes import Check
from wheelcad.files.dxf import CutFile, CutPath
from wheelcad.files.dxf_reader import read_cut_dxf
from wheelcad.findings import OWN, Finding, holds
from wheelcad.parts.bracket.cutting import MARK_ARM, MARK_SHARE, compensated_name
from wheelcad.parts.bracket.model import Bend, BracketDesign, Hole
from wheelcad.parts.cam.design import CamDesign
from wheelcad.parts.design import Design
from wheelcad.parts.wheel.flat import FlatLoops, finished_flat, plasma_blank
from wheelcad.trade.loop import Loop

Line = tuple[tuple[float, float], tuple[float, float]]


def check_wheel_flats(folder: Path, design: Design) -> list[Finding]:
    """wheel-flat.dxf, and wheel-finished.dxf where there is one. JobFileError when one cannot be read."""
    wheel = design.wheel
    finished = _of(finished_flat(design.job, wheel))
    if design.job.shop.plasma is None or wheel.ring is not None:
        return check_flat("wheel-flat.dxf", read_cut_dxf(folder / "wheel-flat.dxf"), finished)
    blank = _of(plasma_blank(design.job, wheel))
    out = check_flat("wheel-flat.dxf", read_cut_dxf(folder / "wheel-flat.dxf"), blank)
    return out + check_flat("wheel-finished.dxf", read_cut_dxf(folder / "wheel-finished.dxf"), finished)


def _of(flat: FlatLoops) -> FlatWanted:
    marks = tuple(((a[0], a[1]), (b[0], b[1])) for a, b in flat.marks)
    return FlatWanted(flat.outline, flat.holes, marks)


def check_cam_flat(folder: Path, cam: CamDesign) -> list[Finding]:
    """cam-flat.dxf. JobFileError when it cannot be read."""
    wanted = FlatWanted((cam.outline,), tuple(opening.loop for opening in cam.openings))
    return check_flat("cam-flat.dxf", read_cut_dxf(folder / "cam-flat.dxf"), wanted)


def check_bracket_flats(folder: Path, design: BracketDesign) -> list[Finding]:
    """bracket-flat.dxf point by point, its bend marks, and the places of the holes where the kerf is allowed for."""
    dx, dy = design.sheet_place
    pieces = tuple(loop.moved(dx, dy) for loop in (design.outline, *(g.nested for g in design.gussets)))
    marks = tuple(
        ((a[0] + dx, a[1] + dy), (b[0] + dx, b[1] + dy)) for hole in design.holes if hole.drill for a, b in _cross(hole)
    )
    cut = read_cut_dxf(folder / "bracket-flat.dxf")
    out = check_shapes("bracket-flat.dxf", cut, FlatWanted(pieces, _holes(design, 0.0), marks))
    if design.bend_marks:
        out += _bends("bracket-flat.dxf", cut, design)
    if design.compensate_kerf > 0:
        name = compensated_name(design.compensate_kerf)
        found = read_cut_dxf(folder / name)
        grown = tuple(found.loops.get("OUTLINE", []))  # how far out they lie is a check of its own
        out += check_flat(
            name,
            found,
            FlatWanted(grown, _holes(design, design.compensate_kerf), marks, frozenset(cut.layers) | {"MARK", "SLIT"}),
        )[:3]
        out += check_shapes(name, found, FlatWanted(grown, _holes(design, design.compensate_kerf), marks))[1:]
    return out


def _holes(design: BracketDesign, kerf: float) -> tuple[Loop, ...]:
    dx, dy = design.sheet_place
    return tuple(
        Loop.slot(h.x0 + dx, h.y0 + dy, h.x1 + dx, h.y1 + dy, h.diameter - kerf) for h in design.holes if not h.drill
    )


def _cross(hole: Hole) -> list[Line]:
    """The two lines at each of a drilled hole's centres."""
    arm = min(MARK_ARM, MARK_SHARE * hole.diameter)
    centres = {(hole.x0, hole.y0), (hole.x1, hole.y1)}
    return [line for x, y in sorted(centres) for line in (((x - arm, y), (x + arm, y)), ((x, y - arm), (x, y + arm)))]


def _bends(name: str, cut: CutFile, design: BracketDesign) -> list[Finding]:
    """Bend lines where the bends are, and the words at them: number, way, angle and inside radius."""
    dx, dy = design.sheet_place
    paths = cut.paths.get("BEND", [])
    on = [[_lies_on(path, bend, dx, dy) for bend in design.bends] for path in paths]
    astray = sum(not any(row) for row in on)
    bare = [str(number) for number in range(1, len(design.bends) + 1) if not any(row[number - 1] for row in on)]
    words = sorted(text.text for text in cut.texts.get("TEXT", []))
    wanted = sorted(
        f"BEND {number} {'UP' if bend.up else 'DOWN'} {bend.angle_deg:g} R{bend.inside_radius:g}"
        for number, bend in enumerate(design.bends, 1)
    )
    good = not astray and not bare and words == wanted
    said = f"{len(paths)} lines, {astray} astray; {'; '.join(words) or 'no words'}"
    said += f"; no line for bend {', '.join(bare)}" if bare and not astray else ""
    return [holds(Check.FLAT_MARKS, f"{name}, bends", good, said, f"wanted: {'; '.join(wanted)}", OWN)]


def _lies_on(path: CutPath, bend: Bend, dx: float, dy: float) -> bool:
    """Whether a line lies along a bend's middle, between its ends. dx, dy: the flat's place on the sheet."""
    return all(
        abs(x - dx - bend.line_x) < FLAT_LIMIT and bend.y_from - FLAT_LIMIT < y - dy < bend.y_to + FLAT_LIMIT
        for x, y, _ in path.vertices
    )
