"""The sizes that each drawing must give, from the design: what the part is made to. Lengths mm."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from wheelcad.catalogue import BuildMade, expected
from wheelcad.checks.drawings import ANGLE, check_drawing, pdf_texts
from wheelcad.codes import Check
from wheelcad.findings import OWN, Finding, holds
from wheelcad.parts.blank.design import BlankDesign
from wheelcad.parts.common.openings import rounds
from wheelcad.parts.common.sheets import drawing_units
from wheelcad.parts.common.stack import Land
from wheelcad.parts.design import Design
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.sheet import LONGEST_WAY_DEG

Size = tuple[str, float]


def drawn_parts(design: Design) -> list[str]:
    """The parts that have a drawing."""
    names = [output.name for output in expected(BuildMade(design)) if output.name.endswith("-drawing.dxf")]
    return [name.removesuffix("-drawing.dxf") for name in names]


def wanted_sizes(design: Design) -> dict[str, list[Size]]:
    """What must stand in a dimension of each part's drawing: (what, mm)."""
    out = {"wheel": list(_wheel(design))}
    if design.blank is not None:
        out["blank"] = list(_blank(design.blank))
    if design.adapter is not None:
        adapter = design.adapter
        bore = [("bore", 2 * adapter.bore_radius_mm)] if adapter.bore_radius_mm else []
        holes = [("bolt holes", 2 * r) for _, _, r in rounds(adapter.bolts)[:1]]
        lengths = [(f"length of {land.name}", land.length) for land in adapter.lands]
        out["adapter"] = [*_diameters(adapter.lands), *lengths, *bore, *holes]
    if design.bracket is not None:
        bracket, (long, wide) = design.bracket, design.bracket.outline.extent()
        sizes = [("length of the flat", long), ("width of the flat", wide), ("plate", bracket.thickness)]
        sizes += [("sensor hole from the tab's end", bracket.hole("body").middle[0])]
        sizes += [(f"bend {n} from the tab's end", bend.line_x) for n, bend in enumerate(bracket.bends, 1)]
        places = {round(abs(value), 6) for point in bracket.mount_points for value in point}
        sizes += [("a mount's place", value) for value in sorted(places) if value > 1e-6]
        out["bracket"] = sizes
    if design.cam is not None:
        cam = design.cam
        holes = sorted({("hole", round(2 * r, 6)) for _, _, r in rounds(cam.openings)})
        out["cam"] = [("over all", 2 * cam.radius_mm), ("thickness", cam.cam.thickness), *holes]
    return out


def _diameters(lands: Iterable[Land]) -> list[Size]:
    return sorted({("diameter", 2 * land.radius) for land in lands})


def _wheel(design: Design) -> Iterator[Size]:
    wheel = design.wheel
    yield ("over the teeth", 2 * wheel.radius_mm)
    yield ("thickness", wheel.thickness_mm)
    if wheel.ring is None:
        yield ("slot width", wheel.slot.width)
        yield ("slot depth", wheel.slot.depth)
    bore = [o for o in wheel.openings if o.name == "bore" and o.round is not None]
    bolts = [o for o in wheel.openings if o.name == "bolt"]
    yield from ((o.name, 2 * o.round[2]) for o in (*bore[:1], *bolts[:1]) if o.round is not None)
    yield from _angles(wheel)


def _angles(wheel: WheelDesign) -> Iterator[Size]:
    """What the front view gives in degrees: one pitch, the slots beside the gap, and where the gap's middle is."""
    yield f"pitch{ANGLE}", wheel.pitch_deg
    missing, gap = wheel.gaps[0].missing, wheel.gap_at_deg
    if missing:
        yield f"slots beside the gap{ANGLE}", missing * wheel.pitch_deg
        if (
            min(gap, 360.0 - gap) > 1e-9
        ):  # the short way round, against the crank's turning beyond the quarter turn left
            yield f"gap from the TDC line{ANGLE}", gap if gap <= LONGEST_WAY_DEG else 360.0 - gap


def _blank(blank: BlankDesign) -> Iterator[Size]:
    yield from _diameters(blank.lands)
    yield ("over all", blank.z_front - blank.z_back)
    yield from (("ring", land.length) for land in blank.lands if land.name == "ring")
    if blank.bore_radius_mm:
        yield ("bore", 2 * blank.bore_radius_mm)
    if blank.recess is not None:
        yield ("recess", 2 * blank.recess[0])
        yield ("depth of the recess", blank.recess[1])
    yield from (("bolt holes", 2 * r) for _, _, r in rounds(blank.bolts)[:1])


def check_drawings(folder: Path, part: str, design: Design) -> list[Finding]:
    """PART-drawing.dxf and .pdf: see `check_drawing`; and that both say which job and plan they are of."""
    wanted = wanted_sizes(design).get(part, [])
    out = check_drawing(folder, part, wanted, drawing_units(design.job))
    number = f"{design.job.job}-{part}"
    text = " ".join(" ".join(pdf_texts(folder / f"{part}-drawing.pdf")).split())
    said = number if number in text else "none"
    why = f"the title block says which part of which job it is: {number}"
    return [*out, holds(Check.FILE_MARKS, f"{part}-drawing.pdf", number in text, said, why, OWN)]
