"""Places where something on the work must stand under the cutter when the table's count is right."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction

from wheelcad.job.models import Job
from wheelcad.parts.indexing.model import Checkpoint, Cut
from wheelcad.parts.indexing.settings import WHOLE, TurnTable
from wheelcad.parts.indexing.words import angle
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.indexing import exact_angle

Scale = Callable[[Fraction], float | None]


def find_checkpoints(
    job: Job, wheel: WheelDesign, slots: Sequence[Cut], table: TurnTable | None, scale: Scale
) -> Iterator[Checkpoint]:
    """Bolt-hole lines and quarters of a revolution that meet a slot's or a tooth's middle, in rising angle."""
    gap_at = exact_angle(wheel.gap_at_deg)
    under = dict.fromkeys(wheel.teeth.teeth_exact, "tooth") | dict.fromkeys((cut.at for cut in slots), "slot")
    wanted: list[tuple[Fraction, str]] = [(WHOLE * k / 4, "quarter") for k in (1, 2, 3)]
    if job.bolts is not None:
        bolts = job.bolts
        first = exact_angle(bolts.first_at) - gap_at
        wanted += [((first + WHOLE * k / bolts.count) % WHOLE, "bolt") for k in range(bolts.count)]
    for at, kind in sorted(wanted):
        if at in under:
            after = max(cut.number for cut in slots if cut.at <= at)
            says = _says(kind, under[at], after, at, table, gap_at)
            setting = table.setting(at) if table else None
            yield Checkpoint(at, after, under[at], kind, says, setting, scale(at))


def _says(kind: str, what: str, after: int, at: Fraction, table: TurnTable | None, gap_at: Fraction) -> str:
    where = f"slot {after}" if what == "slot" else f"the middle of the tooth after slot {after}"
    if kind == "bolt":
        return f"{where} lies on the line from the centre to the bolt hole at {angle((at + gap_at) % WHOLE)} from TDC"
    share = {90: "one quarter", 180: "half", 270: "three quarters"}[int(at)]
    if table is None:
        return f"{where} stands {share} of the way round"
    count = table.ratio * at / WHOLE
    turns = str(count) if count.denominator == 1 else f"{float(count):g}"
    return f"{where} stands at {share} of a revolution: exactly {turns} turns from zero"
