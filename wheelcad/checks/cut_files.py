"""What every cutting file has in common, read back: its age and kinds, its extents, its place, and whose it is."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from wheelcad.codes import Check
from wheelcad.files.dxf import CutFile
from wheelcad.files.dxf_reader import read_cut_dxf
from wheelcad.findings import OWN, PRACTICE, Finding, at_most, holds
from wheelcad.words import quantity

R2000 = "AC1015"
PLAIN = {"LINE", "ARC", "CIRCLE"}
WORDS = {"TEXT"}  # where bend marks are asked for
EXTENTS_LIMIT = 0.01  # mm: the head's box against what is drawn
NEAR = 50.0  # mm: how far from the file's origin a sheet of parts may begin


def check_cut_files(folder: Path, names: list[str], marks: str, about_origin: frozenset[str]) -> Iterator[Finding]:
    """All findings of the cutting files of these names. marks: of job and plan; about_origin: files drawn about the
    crank axis instead of in the first quadrant. JobFileError when one cannot be read."""
    for name in names:
        cut = read_cut_dxf(folder / name)
        asked = set(cut.texts) <= {"TEXT"}  # words on another layer would be cut
        strange = sorted(set(cut.kinds) - PLAIN - (WORDS if cut.texts and asked else set()))
        plain = cut.version == R2000 and not strange
        said = f"{cut.version}: {', '.join(cut.kinds)}"
        why = "DXF R2000 with lines, arcs and circles alone is read by every table's program"
        yield holds(Check.PLAIN_ENTITIES, name, plain, said, why, "DXF reference")
        yield _extents(name, cut)
        if name not in about_origin and cut.extents is not None:
            x, y = cut.extents[:2]
            off = max(abs(x), abs(y)) if min(x, y) >= 0 else float("inf")
            why = "where the parts begin: a table looks for them at the file's origin"
            yield at_most(Check.NEAR_ORIGIN, name, round(off, 3), "mm", NEAR, why, PRACTICE)
        comment, held = cut.marks
        same = comment == held == marks
        said = comment if comment == held else f"comment {comment or 'none'}, property {held or 'none'}"
        why = f"comment and property say which job and plan the file is of: {marks}"
        yield holds(Check.FILE_MARKS, name, same, said or "none", why, OWN)


def check_drawing_marks(folder: Path, names: list[str], marks: str) -> list[Finding]:
    """That each drawing's title block says which job and plan it is of. OSError when one cannot be read."""
    why = f"the title block says which job and plan the drawing is of: {marks}"
    said = [(name, marks.encode("ascii") in (folder / name).read_bytes().splitlines()) for name in names]
    return [
        holds(Check.FILE_MARKS, name, there, marks if there else "none, or others", why, OWN) for name, there in said
    ]


def _extents(name: str, cut: CutFile) -> Finding:
    drawn = bounds_of(cut)
    off = float("inf")
    if cut.extents is not None and drawn is not None:
        off = max(abs(a - b) for a, b in zip(cut.extents, drawn, strict=True))
    why = "$EXTMIN and $EXTMAX against what is drawn: a program zooms to them and places the sheet by them"
    if cut.extents is not None:
        x0, y0, x1, y1 = cut.extents
        why += f"; {quantity(x1 - x0, 'length')} × {quantity(y1 - y0, 'length')}"
    return at_most(Check.EXTENTS, name, round(off, 6), "mm", EXTENTS_LIMIT, why, "DXF reference")


def bounds_of(cut: CutFile) -> tuple[float, float, float, float] | None:
    """xmin, ymin, xmax, ymax of everything cut or marked in a file; None for an empty one."""
    loops = [loop for loops in cut.loops.values() for loop in loops]
    paths = [path for paths in cut.paths.values() for path in paths]
    boxes = [edge.box for loop in loops for edge in loop.edges()]
    boxes += [edge.box for path in paths for edge in path.edges()]
    boxes += [
        (c.x - c.radius, c.y - c.radius, c.x + c.radius, c.y + c.radius) for some in cut.circles.values() for c in some
    ]
    if not boxes:
        return None
    low_x, low_y, high_x, high_y = zip(*boxes, strict=True)
    return min(low_x), min(low_y), max(high_x), max(high_y)
