"""bracket-paper.pdf drawn: the flat's pages, then the pattern's."""

from __future__ import annotations

from collections.abc import Iterator

from wheelcad.drawing.ink import Group, Ink, Stroke, pen
from wheelcad.drawing.layout import Page
from wheelcad.drawing.model import Sheet, TitleBlock
from wheelcad.drawing.paper import PAPERS
from wheelcad.job.models import Job
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.bracket.paper import PaperPart, card_off, plan_paper
from wheelcad.parts.common.paper_ink import EDGE_PEN, clipped, page_ink
from wheelcad.trade.layers import CHAIN, DASHED
from wheelcad.words import length

LINE_OF = {"fold": DASHED, "mark": None, "edge": None, "hole": None, "slit": None}
TDC = "the TDC line"


def bracket_pages(design: BracketDesign, job: Job, marks: str = "") -> tuple[Page, ...]:
    """One page a tile. marks: of the job, as every printed thing shows them."""
    flat, pattern = plan_paper(design)
    count = len(flat.tiling.tiles) + len(pattern.tiling.tiles)
    title = TitleBlock(title=f"{job.title or job.job}: bracket on paper", number=job.job, document_type="Paper pattern")
    sheet = Sheet("bracket-paper", title, (), papers=(flat.tiling.paper,))
    pages: list[Page] = []
    for part, foot in ((flat, _flat_foot(design)), (pattern, _pattern_foot())):
        drawn = list(part_ink(part))
        for tile in part.tiling.tiles:
            number = len(pages) + 1
            said = f"{job.job}{f', {marks}' if marks else ''}: bracket, {part.title}, full size"
            page = page_ink(part.tiling, tile, (number, count), job.units, said, foot)
            group = Group("bracket paper", "geometry", (*clipped(drawn, part.tiling, tile), *page))
            pages.append(Page(sheet, PAPERS[part.tiling.paper], 1.0, (group,), (), number, count))
    return tuple(pages)


def part_ink(part: PaperPart) -> Iterator[Ink]:
    """Lines and words in the drawing's own x and y."""
    for line in part.lines:
        kind = CHAIN if line.name == TDC else LINE_OF[line.kind]
        yield Stroke(tuple((x, y, 0.0) for x, y in line.points), pen("MARK", kind, EDGE_PEN))
    yield from part.labels


def _flat_foot(design: BracketDesign) -> tuple[str, ...]:
    along, out = card_off(design)
    last = "Glue it on card, cut it out, fold it sharp on its dashed lines, and bolt it on."
    if not design.bends:
        return (last.replace(", fold it sharp on its dashed lines", ""), "Look at pump, cover, belts and spanners.")
    way = "off the block" if along >= 0 else "less than the block's face allows: it then stands too far forward by that"
    third = f"Card has no thickness: pack its arm {length(abs(along))} {way}."
    if abs(out) >= 0.05:
        third += f" The sensor's seat then still lies {length(abs(out))} {'further out' if out > 0 else 'further in'}."
    return (
        last,
        third,
        "Look at pump, cover, belts and spanners, then correct the job and build again before steel is cut.",
    )


def _pattern_foot() -> tuple[str, ...]:
    return (
        "Hold it against the block: crank centre on the axis, TDC line up as you marked it, holes over holes.",
        "A hole that does not meet its circle was measured wrong: correct the job and build again.",
    )
