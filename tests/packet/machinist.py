"""A machinist who knows nothing but what a page shows: one obeys the phone, the other the paper.

The phone's is given the words that stand on the screen of a running page, stop by stop; the paper's the text of the
printed sheets. Both turn a table of their own by the moves they read, from the zero they set up by the lines they read,
cut what the words say, and hold up a wheel: features with angle from the TDC line, radii, sizes and depths, in mm and
degrees. Nothing is taken from the plan.
"""

from __future__ import annotations

import re
import subprocess
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace
from typing import Any, NamedTuple

from playwright.sync_api import Browser, Page

from wheelcad.packet.bench import bench_html
from wheelcad.packet.book import TEMPLATE, _data
from wheelcad.packet.shop_work import milling
from wheelcad.packet.typeset import typeset
from wheelcad.parts.indexing.model import IndexPlan

MOVE = re.compile(r"(\d+)(?: turns?)? \+ ([\d.°′″]+)")
LENGTH = r"((?:\d+ )?\d+/\d+|[\d.]+) (mm|in)\b"
INCH = 25.4

# Reads every stop off the running page: what is visible alone, then Done (and Yes where the page asks).
READ = """() => {
  plan.pause_ms = 0;
  const seen = (id) => document.getElementById(id).innerText;
  const out = {setup: seen("prepare"), stops: []};
  document.getElementById("start").click();
  const ids = ["lap", "do", "todo", "count", "turns", "dial", "facts"];
  while (document.getElementById("work").offsetParent !== null) {
    out.stops.push(Object.fromEntries(ids.map((id) => [id, seen(id)])));
    document.getElementById("done").click();
    if (document.getElementById("agree").open) document.getElementById("agree-yes").click();
  }
  out.finished = seen("finished");
  return out;
}"""


class Order(NamedTuple):
    """What a page says at one stop. lap: its title; do: its order; says: what is drilled or marked; radius: mm."""

    lap: str
    do: str
    cut: int
    closing: bool
    turns: int
    dial: Fraction
    move: tuple[int, Fraction]
    says: str
    radius: float | None = None


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


def mm_of(number: str, unit: str) -> float:
    """3.2 mm, 0.300 in, 17/64 in or 1 1/2 in."""
    size = sum(Fraction(part) for part in number.split())
    return float(size) * (INCH if unit == "in" else 1.0)


def lengths(found: re.Match[str] | None, *groups: int) -> list[float]:
    """The lengths a pattern found, each group followed by its unit's."""
    assert found is not None
    return [mm_of(found[k], found[k + 1]) for k in groups]


class Machinist:
    """said: the set-up as read, from which comes the table's ratio, and where zero is."""

    def __init__(self, said: str) -> None:
        found = re.search(r"(\d+) turns bring the table round", said)
        assert found is not None
        self.per_turn = Fraction(360, int(found[1]))
        self.stands = Fraction(0)
        self.wheel = Wheel()
        self.tdc_at = Fraction(0)  # table degrees at which the TDC line is under the cutter
        self.set_zero(said)

    def set_zero(self, said: str) -> None:
        """Zero, found as the set-up says: from the TDC line or the first bolt hole, where the table then stands."""
        turned = re.search(r"Turn the table (?:anti)?clockwise up to (\d+) turns? \+ ([\d.°′″]+)(?:,| from)", said)
        bolt = re.search(
            r"bolt hole 1, which lies ([\d.]+)° from the TDC line the way the crank turns: turn the table "
            r"(?:anti)?clockwise up to (\d+) turns? \+ ([\d.°′″]+)",
            said,
        )
        self.stands = Fraction(0)
        if bolt is not None:
            self.stands = int(bolt[2]) * self.per_turn + degrees_of(bolt[3])
            self.tdc_at = self.stands - Fraction(bolt[1])
        elif turned is not None:
            self.tdc_at = int(turned[1]) * self.per_turn + degrees_of(turned[2])
        else:
            assert "with the TDC line exactly under the cutter" in said, said
            self.tdc_at = Fraction(0)
        on = re.search(
            r"before the first of them turn the table (?:anti)?clockwise up to (\d+) turns? \+ ([\d.°′″]+)", said
        )
        if on is not None:
            self.stands = int(on[1]) * self.per_turn + degrees_of(on[2])

    @property
    def at(self) -> float:
        """Degrees from the TDC line, the way the crank turns, of what is under the cutter."""
        return float((self.stands - self.tdc_at) % 360)

    def obey(self, order: Order) -> None:
        """Turn on, look at the dial, and make the cut."""
        turned = order.move[0] * self.per_turn + order.move[1]
        self.stands = (self.stands + turned) % 360
        assert self.stands == (order.turns * self.per_turn + order.dial) % 360, f"move and setting disagree: {order}"
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
            self.wheel.holes.append((self.at, radius, size, mm_of(blind[1], blind[2]) if blind else None))
        elif title.startswith("Timing"):
            name, told = order.says.split(":", 1)
            outer, inner = lengths(re.search(rf"from {LENGTH} in to {LENGTH} from the centre", told), 1, 3)
            deep = re.search(rf"set to {LENGTH} below the face", told)
            self.wheel.marks.append((name, self.at, outer, inner, mm_of(deep[1], deep[2]) if deep else None))
        elif title.startswith("Clear"):
            self.wheel.gap.append((self.at, self.depth))
        else:
            self._mill(order)

    def _drilled(self, order: Order) -> tuple[float, float]:
        named = order.says.split(" drill", 1)[0]
        (size,) = lengths(re.search(r"⌀?" + LENGTH, named), 1)
        (radius,) = lengths(re.search(LENGTH + " from the centre", order.says), 1)
        assert order.radius is None or abs(order.radius - radius) < 1e-9, "row and words disagree"
        return size, radius

    def _mill(self, order: Order) -> None:
        found = re.search(rf"Cut to {LENGTH} below the rim, cutter (?:on|{LENGTH} off) the centre line(.*)", order.do)
        assert found is not None, order.do
        (self.depth,) = lengths(found, 1)
        off = mm_of(found[3], found[4]) * (1 if "towards the next slot" in found[5] else -1) if found[3] else 0.0
        _, depth, offsets = self.wheel.slots.get(order.cut, (self.at, 0.0, set()))
        self.wheel.slots[order.cut] = (self.at, max(depth, self.depth), offsets | {off})


def by_phone(plan: IndexPlan, browser: Browser) -> Wheel:
    """The wheel of somebody who has only what the screen of the running page shows."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "bench.html"
        path.write_text(bench_html(plan), encoding="utf-8")
        page: Page = browser.new_page(viewport={"width": 360, "height": 640})
        page.goto(path.as_uri())
        shown: dict[str, Any] = page.evaluate(READ)
        page.close()
    assert shown["finished"].startswith("Everything is cut")
    smith = Machinist(flat(shown["setup"]))
    for stop in shown["stops"]:
        if "TDC line" in stop["todo"]:
            smith.set_zero(flat(stop["todo"]))
        smith.obey(_on_screen(stop))
    return smith.wheel


def flat(text: str) -> str:
    """A text on one line."""
    return re.sub(r"\s+", " ", text).strip()


def _on_screen(stop: dict[str, str]) -> Order:
    lap = stop["lap"].split(": ", 1)[1]
    move = MOVE.search(stop["facts"].split("Turn on by", 1)[1])
    assert move is not None
    do, count = flat(stop["do"]), flat(stop["count"])
    closing = count.startswith("Closing")
    says = do
    if lap.startswith(("Bolt", "Balance")):
        says = re.search(r"(\S+ \(⌀[^)]*\)|(?:\d+ )?\S+ (?:mm|in)) drill, .*$", do)[0]  # type: ignore[index]
    elif lap.startswith("Timing"):
        says = re.search(r"(TDC notch|TDC line|\S+° mark):.*$", do)[0]  # type: ignore[index]
    named = re.search(r"slot (\d+)$", count) or re.match(r"Cut (\d+)", count)
    cut = 1 if closing or named is None else int(named[1])
    return Order(
        lap, do, cut, closing, int(stop["turns"]), degrees_of(stop["dial"]), (int(move[1]), degrees_of(move[2])), says
    )


def by_paper(plan: IndexPlan, _: object = None) -> Wheel:
    """The wheel of somebody who has only the packet's printed sheets."""
    text = printed(plan)
    heads = r"At the mill: set up|At the mill, lap \d+: .*|Operation sheet: .*|Where something must meet"
    parts = re.split(rf"(?m)^ *({heads})$", text)
    titled = list(zip(parts[1::2], parts[2::2], strict=True))
    smith: Machinist | None = None
    begun = ""
    for title, body in titled:
        lap = re.match(r"At the mill, lap \d+: (.*?)(?:, \d+ of \d+)?$", title)
        if lap is None:
            begun += flat(body) + " "
            continue
        if smith is None:
            smith = Machinist(begun)
        elif "with the TDC line exactly under the cutter" in begun or "bolt hole 1, which lies" in begun:
            smith.set_zero(begun)
        begun = ""
        for order in _rows(lap[1], body):
            smith.obey(order)
    assert smith is not None
    return smith.wheel


def printed(plan: IndexPlan) -> str:
    """The text of the milling sheets as they are typeset, header and foot left out."""
    design = SimpleNamespace(job=plan.job, indexing=plan, marks=plan.marks)
    with tempfile.TemporaryDirectory() as folder:
        data = _data(design, list(milling(design)))  # type: ignore[arg-type]
        path = Path(folder) / "out.pdf"
        path.write_bytes(typeset(TEMPLATE, data, Path(folder)))
        made = subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, text=True, check=True)
    foot = re.compile(r"Layouts, settings and sums only|^" + re.escape(data["job"]) + "$")
    return "\n".join(line for line in made.stdout.replace("\f", "\n").split("\n") if not foot.search(line))


DIAL = r"[\d.°′″]+"
ROW = re.compile(
    rf"^\s*\d+\s+(\d+)( again)?\s+(?:[\d.]+°\s+)?(\d+)\s+({DIAL}[°′″])\s+(?:\d+ of \d+\s+|-\s+)?(\d+) \+ ({DIAL})(.*)$"
)


def _rows(title: str, body: str) -> Iterator[Order]:
    lines = body.split("\n")
    rows = [k for k, line in enumerate(lines) if ROW.match(line)]
    head = next(k for k, line in enumerate(lines) if re.match(r"\s*stop\s+cut\b", line))
    do = flat(" ".join(lines[:head]))
    after = flat(" ".join(line for line in lines[rows[-1] + 1 :]))
    says: dict[int, str] = {}
    for numbers, words in re.findall(r"((?:\d+, )*\d+): (.*?)(?=(?: (?:\d+, )*\d+: )|$)", after):
        says |= {int(number): words for number in numbers.split(", ")}
    unit = re.search(r"radius (mm|in)", lines[head])
    for k in rows:
        found = ROW.match(lines[k])
        assert found is not None
        radius = re.search(r"\s([\d.]+)\s+(?:\S+ ?)+\s+(?:through|[\d.]+)\s*$", found[7]) if unit else None
        yield Order(
            title, do, int(found[1]), bool(found[2]), int(found[3]), degrees_of(found[4]),
            (int(found[5]), degrees_of(found[6])), says.get(int(found[1]), ""),
            mm_of(radius[1], unit[1]) if radius and unit else None,
        )  # fmt: skip
