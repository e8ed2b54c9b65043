"""What the indexing plan is made of.

A cut is one stop of the table: a slot, a side of a slot, a pass in the gap or a balance hole. Cuts are numbered once:
slots first, in rising angle from the centre of the gap, then the rest. A lap is one time round with one job to do, a
list of cut numbers in the order they are made, always turning the same way.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from wheelcad.findings import Finding
from wheelcad.parts.indexing.settings import Move, Table, TableSetting
from wheelcad.parts.indexing.words import zero_name
from wheelcad.parts.wheel.passes import SlotPass
from wheelcad.trade.cutting import MillingPlan


class Cut(NamedTuple):
    """One stop. at: degrees from the gap's centre, 0 ≤ at < 360, the way the crank turns, exactly.

    work: slot, side, gap or hole. number_of_kind: counts within its kind from 1; slot: the slot it belongs to, or 0.
    setting and move (from the cut before it of its kind, the first from zero) are None without a rotary table.
    scale_deg: what the table's edge reads, None when the job does not say which way its numbers run. points_mm: (x, y)
    of the cutter's centre in the wheel frame, deepest first; () without a readout.
    """

    cut: int
    work: str
    number_of_kind: int
    at: Fraction
    slot: int = 0
    setting: TableSetting | None = None
    move: Move | None = None
    scale_deg: float | None = None
    points_mm: tuple[tuple[float, float], ...] = ()

    @property
    def name(self) -> str:
        """What a person calls it: slot 7, gap pass 2, balance hole 1."""
        words = {"slot": "slot", "side": f"slot {self.slot}, side", "gap": "gap pass", "hole": "balance hole"}
        return words[self.work] if self.work == "side" else f"{words[self.work]} {self.number_of_kind}"

    def report(self) -> dict[str, object]:
        """The cut as report.json holds it."""
        out: dict[str, object] = {"cut": self.cut, "at_deg": float(self.at)}
        if self.setting is not None and self.move is not None:
            out |= {
                "turns": self.setting.turns,
                "dial_deg": float(self.setting.dial),
                "advance_turns": self.move.turns,
                "advance_dial_deg": float(self.move.dial),
                "error_deg": float(self.setting.error),
                "circle": self.setting.circle,
                "holes": self.setting.holes,
                "advance_holes": self.move.holes,
                "scale_deg": self.scale_deg,
            }
        if self.slot and self.work == "side":
            out["slot"] = self.slot
        if self.points_mm:
            out["points_mm"] = [list(point) for point in self.points_mm]
        return out


class HoleWork(NamedTuple):
    """A balance hole for the drill: cut number, mm from the axis, drill, depth (None: right through), face, speed."""

    cut: int
    radius_mm: float
    diameter_mm: float
    drill: str
    depth_mm: float | None
    from_back: bool
    where: str
    rpm: float

    def report(self) -> dict[str, object]:
        """The drilling as report.json holds it."""
        return {
            "radius_mm": self.radius_mm,
            "diameter_mm": self.diameter_mm,
            "drill": self.drill,
            "depth_mm": self.depth_mm,
            "from": "back" if self.from_back else "front",
            "rpm": self.rpm,
        }


class Lap(NamedTuple):
    """Once round with one thing to do. cuts: numbers in working order; closes: ends by coming back to its first cut.

    moves: what to turn to each of them, the first from where the lap before ended; () without a table. then: what is
    looked at when the lap is done.
    """

    key: str
    title: str
    do: str
    cuts: tuple[int, ...]
    moves: tuple[Move, ...]
    closes: bool = False
    then: str = ""


class Checkpoint(NamedTuple):
    """A place where something must meet. after: the cut number before it in rising angle (0: before the first).

    what: under the cutter there: slot or tooth. kind: bolt or quarter. says: one sentence.
    """

    at: Fraction
    after: int
    what: str
    kind: str
    says: str
    setting: TableSetting | None
    scale_deg: float | None

    def report(self) -> dict[str, object]:
        """The checkpoint as report.json holds it."""
        out: dict[str, object] = {
            "at_deg": float(self.at),
            "after_cut": self.after,
            "what": self.what,
            "kind": self.kind,
        }
        if self.setting is not None:
            out |= {"turns": self.setting.turns, "dial_deg": float(self.setting.dial), "scale_deg": self.scale_deg}
        return out | {"says": self.says}


class Reach(NamedTuple):
    """What the plates do for the pitch. All as a person writes them; "" where it does not apply.

    chart: the plates reach every setting from the gap's centre; pitch: they reach one pitch, counted from a first slot.
    """

    chart: bool
    pitch: bool
    simple: str
    compound: str
    differential: str

    def report(self) -> dict[str, object]:
        """As report.json holds it."""
        return {
            "chart_exact": self.chart,
            "pitch_exact": self.pitch,
            "simple": self.simple or None,
            "compound": self.compound or None,
            "differential": self.differential or None,
        }


@dataclass(frozen=True, eq=False, repr=False)
class IndexPlan:
    """Everything the person at the mill needs. Angles from the (first) gap's centre; lengths mm.

    side_lean_deg: between a slot's side and its centre line; 0 for parallel sides.

    gaps: teeth missing in each gap. sense: +1 when the crank turns clockwise seen facing the wheel. lying: flat or
    upright. cuts: all of them, by number. slots: how many of them are slots, numbered 1 to slots. closing: the move
    from the last slot back to zero.
    """

    job: str
    title: str
    units: str
    teeth: int
    gaps: tuple[int, ...]
    sense: int
    gap_at_deg: float
    slot_centres_deg: tuple[float, ...]
    rim_radius_mm: float
    floor_radius_mm: float
    slot_width_mm: float
    slot_depth_mm: float
    side_lean_deg: float
    cutter_mm: float | None
    lying: str
    table: Table | None
    scale: str | None
    backlash_deg: float
    cuts: tuple[Cut, ...]
    slots: int
    closing: Move | None
    slot_passes: tuple[SlotPass, ...]
    gap_ridge_mm: float | None
    holes: tuple[HoleWork, ...]
    laps: tuple[Lap, ...]
    checkpoints: tuple[Checkpoint, ...]
    reach: Reach | None
    milling: MillingPlan | None
    setup: tuple[str, ...]
    cautions: tuple[str, ...]
    readout: bool
    rotary_axis: bool
    findings: tuple[Finding, ...]

    @property
    def pattern(self) -> str:
        """What the trade calls it: 36-1, or 36-2-2-2 with three gaps of two."""
        return "-".join(str(count) for count in (self.teeth, *self.gaps))

    @property
    def zero_name(self) -> str:
        """What is under the cutter at the table's zero."""
        return zero_name(self.gaps)

    @property
    def work_turns(self) -> str:
        """Which way the work turns from cut to cut, seen facing the wheel's front."""
        return "anticlockwise" if self.sense > 0 else "clockwise"

    @property
    def scale_rises(self) -> bool:
        """Whether the numbers on the table's edge rise from cut to cut; True when the job does not say."""
        return self.scale is None or (self.scale == "clockwise") == (self.sense > 0)

    def of_kind(self, work: str) -> tuple[Cut, ...]:
        """The cuts of one kind, in rising cut number."""
        return tuple(cut for cut in self.cuts if cut.work == work)

    def cut(self, number: int) -> Cut:
        """The cut with this number, from 1."""
        return self.cuts[number - 1]

    def report(self) -> dict[str, object]:
        """report.json's `indexing`."""
        out: dict[str, object] = {"degrees_per_turn": float(self.table.per_turn) if self.table else None}
        out["cuts"] = [cut.report() for cut in self.of_kind("slot")]
        if self.table and self.closing:
            zero = self.table.setting(Fraction(0))
            out["closing"] = {
                "at_deg": 360.0,
                "turns": self.table.ratio,
                "dial_deg": 0.0,
                "advance_turns": self.closing.turns,
                "advance_dial_deg": float(self.closing.dial),
                "error_deg": 0.0,
                "circle": zero.circle if self.table.one_circle else None,
                "holes": zero.holes if self.table.one_circle else None,
                "advance_holes": self.closing.holes,
            }
        out["sides"] = [cut.report() for cut in self.of_kind("side")]
        out["gap"] = {"passes": [cut.report() for cut in self.of_kind("gap")], "ridge_mm": self.gap_ridge_mm}
        out["balance_holes"] = [self.cut(hole.cut).report() | hole.report() for hole in self.holes]
        out["slot_passes"] = [
            {"offset_mm": p.offset_mm, "turn_deg": p.turn_deg, "depth_mm": p.depth_mm, "side": p.side}
            for p in self.slot_passes
        ]
        out["order"] = [
            {"lap": lap.key, "title": lap.title, "do": lap.do, "cuts": list(lap.cuts), "then": lap.then}
            for lap in self.laps
        ]
        out["checkpoints"] = [point.report() for point in self.checkpoints]
        out["plates"] = self.reach.report() if self.reach else None
        out["work_turns"] = self.work_turns
        out["lying"] = self.lying
        out["milling"] = self.milling._asdict() if self.milling else None
        out["setup"] = list(self.setup)
        out["cautions"] = list(self.cautions)
        return out
