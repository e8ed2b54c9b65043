"""The test strip of a bend by hand: its picture, what is measured on it, and where the figure goes."""

from __future__ import annotations

from wheelcad.packet.page import PacketPage
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.bracket.notes import strip_adds
from wheelcad.words import count, length

STRIP = 120.0  # mm: long enough for two legs a rule can be laid along; common practice, no source
TEXT = 'font-family="DejaVu Sans" font-size="5" text-anchor="middle"'


def strip_page(made: BracketDesign) -> PacketPage | None:
    """How the strip is cut, bent and measured; None where nothing is bent by hand, or the job has the figure."""
    if not made.hand_bent or not made.bends or made.asked.bracket.hand_bend is not None:
        return None
    bend = made.bends[0]
    page = PacketPage("A test strip before the bracket is cut", joins=True)
    page.picture("test-strip", strip_picture(), 150.0)
    slits = f", with {count(len(made.slits), 'slit')} across its middle as in the flat" if made.slits else ""
    page.steps(
        [
            f"Cut a strip {length(STRIP, 0)} long and {length(made.width)} wide out of the same plate{slits}. Measure "
            "its length: strip.",
            f"Bend it square over the former you will use, edge rounded to R{length(bend.inside_radius)}. Check the "
            "square before you measure.",
            "Measure both legs outside, from each end to the outer face of the other leg: a and b.",
            f"allowance = strip − a − b + {length(strip_adds(made.asked.bracket))}, which is 2 (r + t). By the book it "
            f"is {length(bend.allowance * 90.0 / bend.angle_deg)}; more than the plate's thickness off, measure again.",
            "Write it into the job as bracket: {hand_bend: {allowance: …}} and build again: the flat changes.",
        ]
    )
    page.grid(["Strip", "Leg a", "Leg b", "Allowance"], [["", "", "", ""]], large=True)
    return page


def strip_picture() -> str:
    """The strip flat, its slits on the middle line, and bent, with the names of what is measured. SVG."""
    black = 'stroke="#000" stroke-width="0.7" fill="none"'
    thin = 'stroke="#000" stroke-width="0.35"'
    parts = [
        '<svg xmlns="http://www.w3.org/2000/svg" width="150mm" height="62.5mm" viewBox="0 0 180 75">',
        f'<rect x="8" y="22" width="80" height="26" {black}/>',
        f'<path d="M48 25.5 V33 M48 37 V44.5" {black}/>',
        *_dimension(8.0, 88.0, 58.0, "strip", thin),
        # bent: inside radius 5, thickness 4
        f'<path d="M112 52 H159 A9 9 0 0 0 168 43 V10 H164 V43 A5 5 0 0 1 159 48 H112 Z" {black}/>',
        *_dimension(112.0, 168.0, 64.0, "a", thin),
        f'<path d="M174 10 V52 M172 10 H176 M172 52 H176" fill="none" {thin}/>',
        f'<text x="178" y="33" {TEXT}>b</text>',
        f'<text x="155" y="42" {TEXT}>r</text>',
        f'<text x="120" y="46" {TEXT}>t</text>',
    ]
    return "".join(parts) + "</svg>"


def _dimension(x0: float, x1: float, y: float, name: str, thin: str) -> list[str]:
    return [
        f'<path d="M{x0:g} {y:g} H{x1:g}" fill="none" {thin}/>',
        f'<path d="M{x0:g} {y - 2:g} V{y + 2:g} M{x1:g} {y - 2:g} V{y + 2:g}" fill="none" {thin}/>',
        f'<text x="{(x0 + x1) / 2:g}" y="{y + 7:g}" {TEXT}>{name}</text>',
    ]
