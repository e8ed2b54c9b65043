"""What the dividing plates reach, and the classic ways round when they do not."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from wheelcad.codes import Check
from wheelcad.findings import Finding, holds
from wheelcad.job.models import RotaryTable
from wheelcad.parts.indexing.model import PlateReach
from wheelcad.parts.indexing.settings import TableSetting
from wheelcad.parts.indexing.words import holes, turns
from wheelcad.trade.indexing import compound_indexing, differential_indexing, sector_arms, simple_indexing


def plates_reach(table: RotaryTable, teeth: int, settings: Sequence[TableSetting]) -> PlateReach | None:
    """What these plates do for `teeth` positions, whose slots have these settings; None when no plates are given."""
    if not table.plates:
        return None
    circles = [circle for plate in table.plates for circle in plate]
    chart = all(setting.circle is not None for setting in settings)
    simple = simple_indexing(teeth, table.ratio, circles)
    if simple is not None:
        arms = f", sector arms round {sector_arms(simple.holes)} holes" if simple.holes else ""
        whole = turns(simple.turns)
        text = f"{whole} and {holes(simple.holes, simple.circle)}{arms}" if simple.holes else f"{whole}, no part"
        return PlateReach(chart, True, text, "", "")
    return PlateReach(chart, False, "", _compound(table, teeth), _differential(table, teeth, circles))


def _compound(table: RotaryTable, teeth: int) -> str:
    found = [(compound_indexing(teeth, table.ratio, plate), i) for i, plate in enumerate(table.plates, start=1)]
    fits = [(s, i) for s, i in found if s is not None]
    if not fits:
        return ""
    setting, plate = min(fits, key=lambda fit: (abs(fit[0].holes_1) + abs(fit[0].holes_2), fit[1]))
    way = "on" if setting.holes_2 > 0 else "back"
    return (
        f"plate {plate}: {setting.arithmetic} of a turn; the crank {setting.holes_1} holes on in the "
        f"{setting.circle_1} circle, then plate and crank together {abs(setting.holes_2)} holes {way} in the "
        f"{setting.circle_2} circle"
    )


def _differential(table: RotaryTable, teeth: int, circles: list[int]) -> str:
    found = differential_indexing(teeth, table.ratio, circles)
    if found is None:
        return ""
    way = "the same way as" if found.gear_ratio > 0 else "against"
    gear = abs(found.gear_ratio)
    whole = f"{turns(found.setting.turns)} and " if found.setting.turns else ""
    return (
        f"index as for {found.assumed} ({whole}{holes(found.setting.holes, found.setting.circle)}) with gears "
        f"{gear.numerator}:{gear.denominator} from spindle to plate, turning {way} the crank; only on a head with "
        "change gears"
    )


def reach_finding(reach: PlateReach | None, teeth: int, step: Fraction) -> list[Finding]:
    """Whether the plates reach the settings, as a finding; nothing without plates."""
    if reach is None:
        return []
    if reach.chart:
        said, why = "exactly", "every setting is a whole number of holes, so nothing is rounded"
    elif reach.pitch:
        said = "the pitch, not the first slot"
        why = f"count from the first slot, set once by the dial: then {reach.simple} each time is exact"
    else:
        said = "not"
        ways = " or ".join(
            w
            for w in (
                "compound indexing" if reach.compound else "",
                "differential indexing" if reach.differential else "",
            )
            if w
        )
        why = f"no circle divides {teeth} exactly; the dial does to half a mark ({float(step) / 2:g}°)" + (
            f", or {ways}" if ways else ""
        )
    source = "simple indexing: turns = ratio/divisions, milling handbooks"
    return [holds(Check.PLATES_REACH, "indexing", reach.chart or reach.pitch, said, why, source, "warn")]
