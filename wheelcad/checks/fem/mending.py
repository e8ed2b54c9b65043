"""The search for what mends a bracket: single changes, combinations, and what would if no bracket of this kind does."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import combinations

from wheelcad.checks.fem.limits import keeps, limits_of, speeds_of, wanted_times
from wheelcad.checks.fem.model import BracketChange, BracketProposals, Held, scaled
from wheelcad.checks.fem.proposals import THICKER, Variant, changes, combined, edits, meshed, tried
from wheelcad.checks.fem.response import Speeds, worst
from wheelcad.errors import DesignError
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.trade.beam import cantilever_frequency_hz
from wheelcad.trade.materials import material

MOST = 4  # changes at once
CONFIRM = 2  # combinations that are solved and enough before the search ends
SOLVE = 6  # combinations that are solved at most
MAP_DEG = 15.0
DIGITS = 5
NEAREST_MM = 5.0  # of the search for a free length that would do


def proposals(design: BracketDesign) -> BracketProposals:
    """What would mend the bracket; only what it is like where nothing needs mending. Raises FemError."""
    base, mesh = meshed(design).held()
    speeds, limits = speeds_of(design), limits_of(design)
    wanted = 1.0 if speeds is None else wanted_times(base, speeds, limits)
    as_it_is = BracketProposals(base=base, base_mesh=mesh, wanted=wanted)
    if speeds is None or wanted <= 1.0:
        return as_it_is

    def enough(times: float) -> bool:
        """By the reduced model: all as before, but stiffer."""
        return keeps(worst([scaled(one, times) for one in base], speeds), limits)

    singles = changes(design, lambda hz: enough(hz / base[0].first_hz))
    found, reckoned = _combinations(design, base[0].first_hz, singles, enough, speeds)
    told = {one.name: one for one in found}
    as_it_is = replace(
        as_it_is, singles=tuple(told.get(one.name, one) for one in singles), combined=found, tried=reckoned
    )
    if found:
        return as_it_is
    return replace(as_it_is, map=by_sensor_at(design, base), mount_within_mm=mount_within_mm(design, wanted))


def _combinations(
    design: BracketDesign,
    base_hz: float,
    singles: Sequence[BracketChange],
    enough: Callable[[float], bool],
    speeds: Speeds,
) -> tuple[tuple[BracketChange, ...], int]:
    """Those that are enough by finite elements, cheapest first, and how many were reckoned."""
    by_name = {one.name: one for one in singles}
    ratios = {name: one.first_hz / base_hz for name, one in by_name.items() if one.first_hz}
    good = [name for name in edits(design) if ratios.get(name, 0.0) > 1.0]
    sets = [s for n in range(1, MOST + 1) for s in combinations(good, n) if len({*THICKER} & {*s}) <= 1]
    reckoned = [(Variant("+".join(s), "", "").cost, s, math.prod(ratios[name] for name in s)) for s in sets]
    order = sorted((entry for entry in reckoned if enough(entry[2])), key=lambda entry: entry[:2])
    # ratios are not quite independent: where none is enough by them, the best two are solved all the same
    order = order or sorted(reckoned, key=lambda entry: (-entry[2], entry[1]))[:CONFIRM]
    found: list[BracketChange] = []
    looked = 0
    for _, names, _ in order:
        if looked >= SOLVE or len(found) >= CONFIRM:
            break
        if any({*one.name.split("+")} < {*names} for one in found):  # more work than one that is enough
            continue
        variant = combined(design, names)
        if isinstance(variant.made, str):
            continue
        one = by_name.get(variant.name)
        if one is None or not one.held:
            looked += 1
            one = tried(variant)
        # limits of its own: a heavier one slips sooner
        if one.held and keeps(worst(one.held, speeds), limits_of(variant.made)):
            found.append(one)
    return tuple(found), len(sets)


def by_sensor_at(design: BracketDesign, base: tuple[Held, ...]) -> tuple[tuple[float, float], ...]:
    """First frequency, Hz, with the sensor elsewhere round the crank, where the bracket can be made: the closed form's,
    in proportion to what finite elements make of this one. All without a gusset: placing it takes most of the time."""
    job, sensor = design.asked.job, design.asked.sensor
    job = job.model_copy(update={"bracket": design.asked.bracket.model_copy(update={"gusset": False})})
    closed: dict[float, float] = {}
    for n in range(round(360 / MAP_DEG)):
        at = (sensor.at + n * MAP_DEG) % 360.0
        try:
            made = design_bracket(job.with_sensor_at(at))
        except DesignError:
            continue
        if made is not None:
            closed[at] = made.first_frequency_hz
    truth = base[0].first_hz / closed.get(sensor.at % 360.0, design.first_frequency_hz)
    return tuple((at, float(f"{hz * truth:.{DIGITS}g}")) for at, hz in sorted(closed.items()))


def mount_within_mm(design: BracketDesign, wanted: float) -> float:
    """Length of plate from the nearest bolt to the sensor at which the bar of the closed form is stiff enough, mm; 0
    where not even the shortest is."""
    if not math.isfinite(wanted):
        return 0.0
    steel, length = material(design.material), design.free_length

    def hz(free: float) -> float:
        return cantilever_frequency_hz(
            free, design.width, design.thickness, steel.youngs_gpa, steel.density_kg_m3, design.sensor_mass_kg
        )

    while length > NEAREST_MM:
        if hz(length) >= wanted * design.first_frequency_hz:
            return round(length, 1)
        length -= 1.0
    return 0.0
