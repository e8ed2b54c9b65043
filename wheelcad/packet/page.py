"""What a page of the packet is made of: plain blocks that the template knows how to set. Words only, no layout."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from wheelcad.findings import Finding
from wheelcad.words import angle, diameter


def degrees(value: float | None, places: int = 2) -> str:
    """An angle in a sentence; a dash when there is none."""
    return "-" if value is None else angle(value, places)


def drill_size(name: str, diameter_mm: float) -> str:
    """A drill by its own name and its size; the size alone where that is its name."""
    return f"{name}, {diameter(diameter_mm)}" if name and not name.endswith("mm") else diameter(diameter_mm)


@dataclass
class PacketPage:
    """One chapter of the packet: a title and blocks, in order.

    joins: stands on the sheet of the page before it where there is room; every other page starts on a new sheet.
    """

    title: str
    joins: bool = False
    blocks: list[dict[str, Any]] = field(default_factory=list)

    def words(self, *paragraphs: str) -> PacketPage:
        """Plain paragraphs."""
        self.blocks += [{"kind": "words", "text": text} for text in paragraphs if text]
        return self

    def head(self, text: str) -> PacketPage:
        """A heading within the page."""
        self.blocks.append({"kind": "head", "text": text})
        return self

    def steps(self, lines: Sequence[str], tick: bool = True) -> PacketPage:
        """Things to do in order, each with a box to tick."""
        if lines:
            self.blocks.append({"kind": "steps", "lines": list(lines), "tick": tick})
        return self

    def points(self, lines: Sequence[str]) -> PacketPage:
        """Things to know, in no order."""
        if lines:
            self.blocks.append({"kind": "points", "lines": list(lines)})
        return self

    def grid(
        self,
        head: Sequence[str],
        rows: Sequence[Sequence[str]],
        align: str = "",
        large: bool = False,
        tick: bool = False,
        small: bool = False,
        close: bool = False,
        pair: bool = False,
        shares: Sequence[int] = (),
    ) -> PacketPage:
        """A table; align: one of l, c, r a column; large: letters to be read from the machine; tick: a box a row;
        small: for looking things up; close: rows close together; pair: runs down two columns of the sheet; shares:
        of the sheet's width for each column, 0 for what its words need (left out: all need theirs)."""
        if rows:
            self.blocks.append(
                {
                    "kind": "grid",
                    "head": list(head),
                    "rows": [list(row) for row in rows],
                    "align": align or "l" * len(head),
                    "large": large,
                    "tick": tick,
                    "small": small,
                    "close": close,
                    "pair": pair,
                    "shares": list(shares),
                }
            )
        return self

    def notes(self, findings: Sequence[Finding], *subjects: str) -> PacketPage:
        """What is true of every job of this kind and belongs on this page: notes about these parts or their files."""
        of = [f for f in findings if f.verdict == "note" and re.split("[.\\- ]", f.subject)[0] in subjects]
        return self.points([f"{finding.why[:1].upper()}{finding.why[1:]}." for finding in of])

    def caution(self, lines: Sequence[str]) -> PacketPage:
        """What can hurt, in a heavy box."""
        if lines:
            self.blocks.append({"kind": "caution", "lines": list(lines)})
        return self

    def numbers(self, pairs: Sequence[tuple[str, str]], large: bool = True) -> PacketPage:
        """Numbers that must be read from arm's length: what it is, and the number; not large: beside a picture."""
        if pairs:
            self.blocks.append({"kind": "numbers", "pairs": [list(pair) for pair in pairs], "large": large})
        return self

    def picture(self, name: str, data: str | bytes, width_mm: float) -> PacketPage:
        """A picture, SVG text or PNG bytes; `name` becomes its file name while the packet is set."""
        self.blocks.append({"kind": "picture", "name": name, "data": data, "width": width_mm})
        return self

    def sheet(self, file: str, number: int, paper: tuple[float, float], frame: tuple[float, ...]) -> PacketPage:
        """One page of a drawing's PDF on a sheet of its own, turned on its side where it is wide.

        number: of the page, from 1; paper: its width and height; frame: left, top, width and height of what is shown
        of it, from its upper left corner; mm.
        """
        wide = frame[2] > frame[3]
        block = {"kind": "sheet", "file": file, "page": number, "paper": paper, "frame": frame, "wide": wide}
        self.blocks.append(block)
        return self

    def beside(self, left: PacketPage, right: PacketPage, shares: tuple[int, int] = (1, 1)) -> PacketPage:
        """The blocks of two pages side by side, their widths as the shares."""
        self.blocks.append({"kind": "beside", "left": left.blocks, "right": right.blocks, "shares": list(shares)})
        return self
