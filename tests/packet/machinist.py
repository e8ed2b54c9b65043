"""A machinist who knows nothing but what a page shows: one obeys the phone, the other the paper.

Both turn a table of their own by the moves they read, from the zero they set up by the lines they read, cut what the
words say, and hold up a wheel: features with angle from the TDC line, radii, sizes and depths. Nothing is taken from
the plan.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from types import SimpleNamespace
from typing import Any, NamedTuple

from wheelcad.packet.bench import bench_html
from wheelcad.packet.shop_work import milling
from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.words import Words

MOVE = re.compile(r"(\d+)(?: turns?)? \+ (\S+)")
LENGTH = r"([\d.]+) mm"


class Order(NamedTuple):
    """What a page says at one stop. lap: its title; do: its order; says: what is drilled or marked."""

    lap: str
    do: str
    cut: int
    closing: bool
    turns: int
    dial: Fraction
    move: tuple[int, Fraction]
    says: str
    radius: float | None = None
    deep: str = ""


@dataclass
class Wheel:
    """What was made. slots: cut: (angle, depth, offsets of the cutter); others: name: angle, radii, size, depth."""

    slots: dict[int, tuple[float, float, set[float]]] = field(default_factory=dict)
    scratched: dict[int, float] = field(default_factory=dict)
    gap: list[tuple[float, float]] = field(default_factory=list)
    bolts: list[tuple[float, float, float]] = field(default_factory=list)
    holes: list[tuple[float, float, float, float | None]] = field(default_factory=list)
    marks: list[tuple[str, float, float, float, float | None]] = field(default_factory=list)


def degrees_of(text: str) -> Fraction:
    """6.05°, 5°21′ or 5°21′30″ in degrees."""
    parts = [Fraction(part) for part in re.split(r"[°′″]", text) if part]
    return sum((part / 60**k for k, part in enumerate(parts)), Fraction(0))


class Machinist:
    """ratio: of the table that stands in the shop. lines: the set-up as read."""

    def __init__(self, ratio: int, lines: list[str]) -> None:
        self.per_turn = Fraction(360, ratio)
        self.tdc_at = self._zero(" ".join(lines))  # table degrees at which the TDC line is under the cutter
        self.stands = Fraction(0)
        self.wheel = Wheel()

    def _zero(self, said: str) -> Fraction:
        found = re.search(r"Turn the table (?:anti)?clockwise up to (\d+) turns? \+ (\S+?)(?:,| from)", said)
        if found is None:
            assert "with the TDC line exactly under the cutter" in said
            return Fraction(0)
        return int(found[1]) * self.per_turn + degrees_of(found[2])

    @property
    def at(self) -> float:
        """Degrees from the TDC line, the way the crank turns, of what is under the cutter."""
        return float((self.stands - self.tdc_at) % 360)

    def obey(self, order: Order) -> None:
        """Turn on, look at the dial, and make the cut."""
        turned = order.move[0] * self.per_turn + order.move[1]
        self.stands = (self.stands + turned) % 360
        assert self.stands == (order.turns * self.per_turn + order.dial) % 360, "move and setting disagree"
        if order.closing:
            assert abs(self.at - self.wheel.scratched[order.cut]) < 1e-9
            return
        title = order.lap
        if title.startswith("Scratch"):
            self.wheel.scratched[order.cut] = self.at
        elif title.startswith("Bolt"):
            size, radius = self._drilled(order)
            self.wheel.bolts.append((self.at, radius, size))
        elif title.startswith("Balance"):
            size, radius = self._drilled(order)
            blind = re.search(LENGTH + " deep at full diameter", order.says)
            self.wheel.holes.append((self.at, radius, size, float(blind[1]) if blind else None))
        elif title.startswith("Timing"):
            name, told = order.says.split(":", 1)
            ends = re.search(rf"from {LENGTH} in to {LENGTH} from the centre", told)
            deep = re.search(rf"set to {LENGTH} below the face", told)
            assert ends is not None
            self.wheel.marks.append((name, self.at, float(ends[1]), float(ends[2]), float(deep[1]) if deep else None))
        elif title.startswith("Clear"):
            self.wheel.gap.append((self.at, self.depth))
        else:
            self._mill(order)

    def _drilled(self, order: Order) -> tuple[float, float]:
        size = re.match(r"(?:[^,]*\(⌀)?" + LENGTH, order.says)
        radius = re.search(LENGTH + " from the centre", order.says)
        assert size is not None
        assert radius is not None
        assert order.radius is None or abs(order.radius - float(radius[1])) < 1e-9, "row and words disagree"
        return float(size[1]), float(radius[1])

    def _mill(self, order: Order) -> None:
        found = re.search(rf"Cut to {LENGTH} below the rim, cutter (?:on|{LENGTH} off) the centre line(.*)", order.do)
        assert found is not None, order.do
        self.depth = float(found[1])
        off = float(found[2] or 0) * (1 if "towards the next slot" in found[3] else -1)
        _, depth, offsets = self.wheel.slots.get(order.cut, (self.at, 0.0, set()))
        self.wheel.slots[order.cut] = (self.at, max(depth, self.depth), offsets | {off})


def by_phone(plan: IndexPlan) -> Wheel:
    """The wheel of somebody who has only bench.html."""
    text = bench_html(plan)
    found = re.search(r'id="plan">(.*?)</script>', text, re.S)
    assert found is not None
    lines = re.findall(r"<li><label><input type=\"checkbox\"> (.*?)</label></li>", text)
    data = json.loads(found[1])
    smith = Machinist(data["ratio"], lines)
    for step in data["steps"]:
        smith.obey(_shown(data, step))
    return smith.wheel


def _shown(data: dict[str, Any], step: dict[str, Any]) -> Order:
    lap = data["laps"][step["lap"]]["title"]
    move = MOVE.match(step["move"])
    assert move is not None
    says = step["do"]
    if lap.startswith(("Bolt", "Balance")):
        says = re.search(r"(\S+ mm drill|\S+ drill \(.*?\)|\S+ \(⌀.*?\) drill)(.*)$", says)[0]  # type: ignore[index]
    elif lap.startswith("Timing"):
        says = re.search(r"(TDC notch|TDC line|\S+° mark):.*$", says)[0]  # type: ignore[index]
    return Order(
        lap, step["do"], step["cut"], step["closing"], step["turns"], degrees_of(step["dial"]),
        (int(move[1]), degrees_of(move[2])), says,
    )  # fmt: skip


def by_paper(plan: IndexPlan) -> Wheel:
    """The wheel of somebody who has only the packet's pages."""
    design = SimpleNamespace(job=plan.job, indexing=plan)
    pages = [(page.title, Words(plan.job.units).through(page.blocks)) for page in milling(design)]  # type: ignore[arg-type]
    first = [line for block in pages[0][1] if block["kind"] == "steps" for line in block["lines"]]
    assert plan.job.shop.rotary_table is not None
    smith = Machinist(plan.job.shop.rotary_table.ratio, first)
    for order in _printed(pages):
        smith.obey(order)
    return smith.wheel


def _printed(pages: list[tuple[str, list[dict[str, Any]]]]) -> Iterator[Order]:
    for title, blocks in pages:
        lap = re.match(r"At the mill, lap \d+: (.*)", title)
        if lap is None:
            continue
        words = [block["text"] for block in blocks if block["kind"] == "words"]
        lines = [re.match(r"([\d, ]+): (.*)", text) for text in words[1:]]
        says = {number: found[2] for found in lines if found is not None for number in found[1].split(", ")}
        for block in blocks:
            if block["kind"] != "grid":
                continue
            head = block["head"]
            for cells in block["rows"]:
                row = dict(zip(head, cells, strict=True))
                move = MOVE.match(row["turn on"])
                assert move is not None
                number = row["cut"].split()[0]
                yield Order(
                    lap[1], words[0], int(number), "again" in row["cut"], int(row["turns"]), degrees_of(row["dial"]),
                    (int(move[1]), degrees_of(move[2])), says.get(number, ""),
                    float(row["radius mm"]) if row.get("radius mm") else None, row.get("depth mm", ""),
                )  # fmt: skip
