"""What the indexing plan is made of: one list of stops of the table, in the order in which they are made.

A stop is one position of the table with one thing to do there. What is made there, a slot, a side of a slot, a pass in
the gap, a hole, is a cut: cuts are numbered once, slots first in rising angle from the centre of the gap, and a cut may
have several stops (scratched first, cut to depth later). A lap is a run of stops with one job to do, always turning the
same way. Chart, CSV, packet and bench page print the list and compute nothing of their own.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from hashlib import sha256
from itertools import pairwise
from typing import NamedTuple

from wheelcad.findings import Finding
from wheelcad.job.models import Job
from wheelcad.parts.indexing.settings import Move, TableSetting, TurnTable
from wheelcad.parts.indexing.words import way_round, zero_name
from wheelcad.parts.indexing.work import CAUTIONS, WORKS, Drilling, MillSetup, Scribe
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.passes import SlotPass
from wheelcad.trade.cutting import MillingPlan
from wheelcad.trade.indexing import exact_angle

JOB_MARK = 8  # characters of the job's hash
PLAN_MARK = 6  # characters that two lists of stops share only when they are the same list
PLACES = 6  # decimals of a length in mm: what is nearer is the same place


class Lap(NamedTuple):
    """A run of stops with one thing to do. cuts: their numbers in working order; closes: ends by coming back to its
    first cut. then: what is looked at when it is done. depth_mm: from the rim to the cutter's end, and offset_mm of the
    cutter off the slot's middle; None where nothing is milled."""

    key: str
    title: str
    do: str
    cuts: tuple[int, ...]
    setup: str
    closes: bool = False
    then: str = ""
    depth_mm: float | None = None
    offset_mm: float = 0.0


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


class Cut(NamedTuple):
    """What is made: number among all cuts from 1, work (a key of WORKS), feature (its number within its kind; a side's
    is its slot's), at: exact degrees from zero, 0 ≤ at < 360. slot_pass: of a side, which pass it belongs to.
    points_mm: (x, y) of the cutter's centre in the wheel frame, deepest first; () without a readout."""

    number: int
    work: str
    feature: int
    at: Fraction
    slot_pass: int = 0
    points_mm: tuple[tuple[float, float], ...] = ()
    drill: Drilling | None = None
    scribe: Scribe | None = None


@dataclass(frozen=True)
class Stop:
    """One stop of the table.

    number: from 1 in working order; place: from 1 in its lap. setup: key of how the work is held. work, feature, cut,
    at, points_mm, drill, scribe: of what is made there (`Cut`). setting from zero, and move from the stop before it in
    this order, the first from zero; None without a table. past_zero: the table comes past zero and counting
    starts again. closing: nothing is cut, the cutter must meet the lap's first line. check: what else must meet here.
    scale_deg: what the table's edge reads, None when the job does not say which way its numbers run.
    """

    number: int
    place: int
    setup: str
    lap: Lap
    work: str
    feature: int
    cut: int
    at: Fraction
    setting: TableSetting | None
    move: Move | None
    past_zero: bool
    closing: bool
    check: Checkpoint | None
    scale_deg: float | None
    points_mm: tuple[tuple[float, float], ...]
    drill: Drilling | None
    scribe: Scribe | None

    @property
    def name(self) -> str:
        """What a person calls it: slot 7; slot 7, side; gap pass 2; balance hole 1; TDC notch; 10° mark."""
        if self.scribe is not None:
            return self.scribe.name
        return f"{WORKS[self.work][0]} {self.feature}" + (", side" if self.work == "side" else "")

    @property
    def on_table(self) -> tuple[TableSetting, Move]:
        """Setting and move of a stop of a plan with a table; ValueError for any other."""
        if self.setting is None or self.move is None:
            raise ValueError("a stop without a table has no setting")
        return self.setting, self.move

    def orders(self, units: str) -> str:
        """What is drilled or marked here, in a sentence; "" where the lap's own order says all."""
        work = self.drill or self.scribe
        return work.words(units) if work is not None else ""

    @property
    def numbers(self) -> tuple[object, ...]:
        """What the plan mark stands on: everything but words."""
        lap, drill = self.lap, self.drill
        drilled = (drill.radius_mm, drill.diameter_mm, drill.depth_mm, drill.from_back) if drill else None
        made = (self.work, self.feature, self.cut, self.at, self.points_mm, drilled, self.scribe)
        table = (self.setting, self.move, self.past_zero, self.closing, self.scale_deg)
        return (self.number, self.setup, lap.key, lap.depth_mm, lap.offset_mm, *made, *table)

    def report(self) -> dict[str, object]:
        """The stop as report.json holds it; advance_*: from the stop before it."""
        out: dict[str, object] = {"cut": self.cut, "at_deg": float(self.at)}
        if self.setting is not None and self.move is not None:
            out |= {
                "turns": self.setting.turns,
                "dial_deg": float(self.setting.dial),
                **_advance(self.move),
                "error_deg": float(self.setting.error),
                "circle": self.setting.circle,
                "holes": self.setting.holes,
                "scale_deg": self.scale_deg,
            }
        if self.work == "side":
            out["slot"] = self.feature
        if self.points_mm:
            out["points_mm"] = [list(point) for point in self.points_mm]
        work = self.drill or self.scribe
        return out | (work.report() if work is not None else {})

    def listed(self) -> dict[str, object]:
        """The stop as it stands in report.json's list of all stops."""
        return {
            "stop": self.number,
            "setup": self.setup,
            "lap": self.lap.key,
            "work": self.work,
            "feature": self.feature,
            **self.report(),
            "past_zero": self.past_zero,
            "closing": self.closing,
            "check": self.check.says if self.check is not None else None,
        }


def _advance(move: Move) -> dict[str, object]:
    return {"advance_turns": move.turns, "advance_dial_deg": float(move.dial), "advance_holes": move.holes}


def _plain(value: object) -> object:
    """A fraction as n/d, a float rounded, a tuple as a list; whole numbers, words and None as they are."""
    if isinstance(value, Fraction):
        return f"{value.numerator}/{value.denominator}"
    if isinstance(value, float):
        return f"{round(value, PLACES) + 0.0:.{PLACES}f}"
    return [_plain(one) for one in value] if isinstance(value, tuple) else value


class PlateReach(NamedTuple):
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


@dataclass(frozen=True)
class IndexPlan:
    """Everything the person at the mill needs. Angles from the (first) gap's centre; lengths mm.

    stops: the whole work in order. cutter_mm: None without one, or where the teeth are there already. gap_ridge_mm:
    what stays standing between the passes in the gap, None without any.
    """

    job: Job
    wheel: WheelDesign
    table: TurnTable | None
    setups: tuple[MillSetup, ...]
    laps: tuple[Lap, ...]
    stops: tuple[Stop, ...]
    cutter_mm: float | None
    slot_passes: tuple[SlotPass, ...]
    gap_ridge_mm: float | None
    checkpoints: tuple[Checkpoint, ...]
    reach: PlateReach | None
    milling: MillingPlan | None
    findings: tuple[Finding, ...]

    @cached_property
    def mark(self) -> str:
        """The plan mark: characters of the SHA-256 of the list of stops, its zero and the way its angles rise: angles
        as exact fractions, lengths to 1e-6 mm."""
        zero = (exact_angle(self.wheel.gap_at_deg), self.wheel.sense)
        rows = [zero, *(stop.numbers for stop in self.stops)]
        lines = (json.dumps(_plain(row), separators=(",", ":")) for row in rows)
        return sha256("\n".join(lines).encode()).hexdigest()[:PLAN_MARK]

    @property
    def marks(self) -> str:
        """Job mark and plan mark, as every printing carries them."""
        return f"job {self.job.source.sha256[:JOB_MARK]} plan {self.mark}"

    @property
    def pattern(self) -> str:
        """What the trade calls it: 36-1, or 36-2-2-2 with three gaps of two."""
        return "-".join(map(str, (self.job.wheel.teeth, *(gap.missing for gap in self.wheel.gaps))))

    @property
    def zero_name(self) -> str:
        """What is under the cutter at the table's zero."""
        return zero_name(self.wheel.gaps)

    @property
    def setup(self) -> tuple[str, ...]:
        """The lines before the first cut."""
        return self.setups[0].lines

    def setup_of(self, key: str) -> MillSetup:
        """The set-up with this key."""
        return next(setup for setup in self.setups if setup.key == key)

    def opening(self, lap: Lap) -> MillSetup | None:
        """The set-up that begins with this lap in the middle of the work; None where the work stays as it is."""
        at = self.laps.index(lap)
        if at == 0 or self.laps[at - 1].setup == lap.setup:
            return None
        return self.setup_of(lap.setup)

    @property
    def scale(self) -> str | None:
        """Which way the numbers on the table's edge run, or None."""
        return self.job.shop.rotary_table.scale if self.job.shop.rotary_table else None

    @property
    def scale_rises(self) -> bool:
        """Whether the numbers on the table's edge rise from cut to cut; True when the job does not say."""
        return self.scale is None or (self.scale == "clockwise") == (self.wheel.sense > 0)

    @cached_property
    def cuts(self) -> tuple[Stop, ...]:
        """The first stop of every cut, by cut number: what is made, each thing once."""
        first = {stop.cut: stop for stop in reversed(self.stops)}
        return tuple(first[number] for number in sorted(first))

    def of_kind(self, work: str) -> tuple[Stop, ...]:
        """The first stop of each cut of one kind, in rising cut number."""
        return tuple(stop for stop in self.cuts if stop.work == work)

    def in_lap(self, lap: Lap) -> tuple[Stop, ...]:
        """The stops of a lap, its closing included."""
        return tuple(stop for stop in self.stops if stop.lap.key == lap.key)

    def report(self) -> dict[str, object]:
        """report.json's `indexing`. cuts: the slots in rising angle, each advance from the row before in that list."""
        slots = self.of_kind("slot")
        out: dict[str, object] = {"degrees_per_turn": float(self.table.per_turn) if self.table else None}
        out["plan_mark"] = self.mark
        out["cuts"] = [stop.report() for stop in slots]
        if self.table:
            zero = self.table.setting(Fraction(0))
            stands = [self.table.zero, *(stop.setting for stop in slots if stop.setting), self.table.zero]
            moves = [_advance(self.table.move(one, two)) for one, two in pairwise(stands)]
            out["cuts"] = [stop.report() | move for stop, move in zip(slots, moves, strict=False)]
            out["closing"] = {
                "at_deg": 360.0,
                "turns": self.table.ratio,
                "dial_deg": 0.0,
                **moves[-1],
                "error_deg": 0.0,
                "circle": zero.circle if self.table.one_circle else None,
                "holes": zero.holes if self.table.one_circle else None,
            }
        out["stops"] = [stop.listed() for stop in self.stops]
        out["setups"] = [setup.report() for setup in self.setups]
        out["sides"] = [stop.report() for stop in self.of_kind("side")]
        out["gap"] = {"passes": [stop.report() for stop in self.of_kind("gap")], "ridge_mm": self.gap_ridge_mm}
        out["bolt_holes"] = [stop.report() for stop in self.of_kind("bolt")]
        out["marks"] = [stop.report() for stop in (*self.of_kind("notch"), *self.of_kind("mark"))]
        out["balance_holes"] = [stop.report() for stop in self.of_kind("hole")]
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
        out["work_turns"] = way_round(self.wheel.sense)
        out["lying"] = "flat" if self.setup_of("mill").lying == "flat" else "upright"
        out["milling"] = self.milling._asdict() if self.milling else None
        out["setup"] = list(self.setup)
        out["cautions"] = list(CAUTIONS)
        return out
