"""Values that others print, each beside what wheelcad says: the work by its name in the register of sources, how the
value is proof, and how near ours must come (half of the last place printed, where nothing else is said).

    table    a printed table of that work, seen in print (the register says `read` or `excerpt`)
    formula  the work's own formula, worked here, against a table or function of ours
    worked   an example worked out in the work, or by hand from it
    elsewhere  held by the longer test that is named, whose text has the number

A table from memory that is typed twice proves nothing: `counts` leaves it out.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from typing import Any, Literal, NamedTuple

from tests.outside import tables
from tests.outside.register import BY_ID
from wheelcad.parts.bracket.judge import EDGE_ROUND
from wheelcad.trade import bending, cutting, drills, fits, heads, indexing, plasma, threads
from wheelcad.trade import rotating_stress as rotating
from wheelcad.trade import unbalance as ub
from wheelcad.trade.beam import cantilever_frequency_hz, first_root
from wheelcad.trade.hall import HALL_RULES
from wheelcad.trade.loop import Loop
from wheelcad.trade.materials import grey_iron_tensile_mpa, material

Kind = Literal["table", "formula", "worked", "elsewhere"]


class Value(NamedTuple):
    """One value. ours: what wheelcad says, None where the test named `there` (file.py::function) holds it."""

    source: str
    what: str
    kind: Kind
    published: float
    ours: Callable[[], float] | None
    within: float = 1e-9
    there: str = ""


def counts(value: Value) -> bool:
    """Whether it is proof: not a table from memory typed twice."""
    return value.kind != "table" or BY_ID[value.source].seen != "memory"


def values() -> list[Value]:
    """All of them."""
    return [*_holes_and_heads(), *_screws(), *_fits(), *_fits_as_printed(), *_drills(), *_bending(), *_plasma(),
            *_balance(), *_indexing(), *_strength(), *_bars_and_plates(), *_the_rest(), *_elsewhere()]  # fmt: skip


def _holes_and_heads() -> Iterator[Value]:
    for bolt, row in tables.ISO_273.items():
        for series, hole in zip(("fine", "medium", "coarse"), row, strict=True):
            yield Value("iso-273", f"M{bolt} {series}", "table", hole, _of(fits.clearance_hole_mm, bolt, series))
    for bolt, (across, thick) in tables.ISO_7089.items():
        yield Value("iso-7089", f"M{bolt} outside", "table", across, _of(heads.washer_across_mm, bolt))
        if bolt >= 5:
            yield Value("iso-7089", f"M{bolt} thickness", "table", thick, _of(heads.washer_thickness_mm, bolt))
    for bolt, flats in tables.ISO_272.items():
        yield Value("iso-4017", f"M{bolt} across flats", "table", flats, _of(heads.across_flats_mm, bolt))
    for size in (0.5, 3):
        yield Value("iso-2768-1", f"m, {size} mm", "table", 0.1, _of(fits.iso2768_m, size))
    for low, high, deviation in (
        (3.01, 6, 0.1),
        (6.01, 30, 0.2),
        (30.01, 120, 0.3),
        (120.01, 400, 0.5),
        (401, 1000, 0.8),
    ):
        for size in (low, high):
            yield Value("iso-2768-1", f"m, {size} mm", "table", deviation, _of(fits.iso2768_m, size))


def _screws() -> Iterator[Value]:
    for size, (area, loads) in tables.ISO_898.items():
        of = threads.thread(f"M{size}")
        yield Value(
            "iso-898-1", f"M{size} stress area", "formula", area, lambda of=of: of.stress_area_mm2, 0.006 * area
        )
        for grade, load in loads.items():
            yield Value("iso-898-1", f"M{size} proof load {grade}", "table", load, _proof(of, grade), 0.007 * load)
    for name, (d2, d1) in tables.ISO_724.items():
        of = threads.thread(name)
        yield Value("iso-724", f"{name} d2", "table", d2, lambda of=of: of.pitch_diameter_mm, 6e-4)
        yield Value("iso-724", f"{name} D1", "table", d1, lambda of=of: of.minor_diameter_mm, 6e-4)
    # ISO 965-1, 13: the formulae of the tolerances, µm, before they are rounded to the series of preferred numbers
    for name in tables.THREADS:
        of = threads.thread(name)
        p, d = of.pitch_mm, _middle(of.diameter_mm)
        bolt_d2 = 90 * p**0.4 * d**0.1
        bore = 433 * p - 190 * p**1.22 if p <= 0.8 else 230 * p**0.7
        es, td = 15 + 11 * p, 180 * p ** (2 / 3) - 3.15 / math.sqrt(p)
        at = _of(threads.limits, of)  # asked anew each time, so that a fault in its tables shows
        d2, d1 = of.pitch_diameter_mm, of.minor_diameter_mm
        yield Value("iso-965", f"{name} d, 6g", "formula", es + td, _um(lambda a=at, d=of.diameter_mm: d - a().d_min),
                    0.05 * td)  # fmt: skip
        yield Value("iso-965", f"{name} d2, 6g", "formula", es + bolt_d2, _um(lambda a=at, d2=d2: d2 - a().d2_min),
                    0.045 * bolt_d2 + 1)  # fmt: skip
        yield Value("iso-965", f"{name} D2, 6H", "formula", 1.32 * bolt_d2,
                    _um(lambda a=at, d2=d2: a().d2_nut_max - d2), 0.06 * bolt_d2 + 1)  # fmt: skip
        yield Value(
            "iso-965", f"{name} D1, 6H", "formula", bore, _um(lambda a=at, d1=d1: a().d1_nut_max - d1), 0.04 * bore
        )
    for name, length in (("M8", 6.02), ("M10", 7.44)):
        ours = _of(threads.engagement_mm, threads.thread(name))
        yield Value("fed-std-h28", f"{name} engagement", "worked", length, ours, 5e-3)
    iron = _of(threads.engagement_mm, threads.thread("M8"), 800.0, 250.0)
    yield Value("fed-std-h28", "M8 8.8 in grey iron", "worked", 13.9, iron, 0.05)


def _fits() -> Iterator[Value]:
    steps = (3, 6, 10, 18, 30, 50, 80, 120, 180, 250)
    for low, high in itertools.pairwise(steps):
        d = math.sqrt(low * high)
        unit = 0.45 * d ** (1 / 3) + 0.001 * d
        g, f = 2.5 * d**0.34, 5.5 * d**0.41
        for size in (low + 0.01, high):
            for fit, end, um in (("h6", 0, -10 * unit), ("H7", 1, 16 * unit), ("g6", 1, -g), ("g6", 0, -g - 10 * unit),
                                 ("f7", 1, -f), ("f7", 0, -f - 16 * unit)):  # fmt: skip
                what = f"{fit} {'upper' if end else 'lower'}, {size:g} mm"
                yield Value("iso-286", what, "formula", um, _limit(size, fit, end), 0.6 + 0.05 * abs(um))


def _fits_as_printed() -> Iterator[Value]:
    columns = zip((6, 10, 18, 30, 50, 80, 120, 180, 250), tables.ISO_286_H6, tables.ISO_286_H7, tables.ISO_286_G,
                  tables.ISO_286_F, strict=True)  # fmt: skip
    for size, h6, h7, g, f in columns:
        for fit, end, um in (("h6", 0, -h6), ("h6", 1, 0), ("H7", 0, 0), ("H7", 1, h7), ("g6", 1, -g),
                             ("g6", 0, -g - h6), ("f7", 1, -f), ("f7", 0, -f - h7)):  # fmt: skip
            what = f"printed: {fit} {'upper' if end else 'lower'}, {size} mm"
            yield Value("iso-286", what, "table", um, _limit(size, fit, end))


def _drills() -> Iterator[Value]:
    for n, inches in enumerate(reversed(tables.NUMBER_DRILLS), 1):
        yield Value("drill-gauge", f"No. {n}", "table", inches, _of(_inches, f"No. {n}"), 1e-9)
    for letter, inches in zip("ABCDEFGHIJKLMNOPQRSTUVWXYZ", tables.LETTER_DRILLS, strict=True):
        yield Value("drill-gauge", letter, "table", inches, _of(_inches, letter), 1e-9)
    for diameter, flute in tables.DIN_338.items():
        yield Value("din-338", f"flutes of {diameter}", "table", flute, _of(drills.flute_length_mm, diameter))
    for diameter, flute in tables.DRILLS_LISTED.items():
        yield Value("drill-lists", f"flutes of {diameter}", "table", flute, _of(drills.flute_length_mm, diameter))


def _bending() -> Iterator[Value]:
    # DIN 6935: k = 0.65 + 0.5 lg(r/s), allowance rad·(r + k·s/2), worked by hand
    for angle, r, s, length in ((90, 1, 1, 2.0813), (90, 2.5, 2.5, 5.2033), (90, 6, 2, 10.8205), (90, 6, 4, 11.7434),
                                (90, 6, 5, 12.1328), (90, 10, 6, 19.2937), (45, 6, 4, 5.8717), (120, 6, 4, 15.6579),
                                (45, 10, 6, 9.6469), (120, 2.5, 2.5, 6.9377)):  # fmt: skip
        yield Value(
            "din-6935", f"allowance {angle}°, r {r}, s {s}", "worked", length, _of(bending.allowance, angle, r, s), 6e-5
        )
    for r, s, less in ((1, 1, 1.9), (2.5, 2.5, 4.8), (6, 2, 5.2), (6, 4, 8.3), (6, 5, 9.9), (10, 6, 12.7)):
        yield Value("table-book", f"deduction r {r}, s {s}", "worked", less, _of(bending.deduction, 90, r, s), 0.05)
    for angle, less in ((45, 2 * 10 * math.tan(math.radians(22.5)) - 5.8717), (120, 2 * 10 - 15.6579)):
        yield Value(
            "din-6935", f"deduction {angle}°, r 6, s 4", "worked", less, _of(bending.deduction, angle, 6, 4), 6e-5
        )
    for s, radius in ((3.0, 3.0), (6.35, 6.35), (8.0, 12.0), (12.7, 19.05)):
        least = _of(bending.least_inside_radius_mm, "mild-steel", s)
        yield Value("a36-bending", f"least radius, {s} mm", "table", radius, least)
    along = _of(bending.least_inside_radius_mm, "mild-steel", 10.0, True)
    yield Value("astm-a6", "half as much again along the grain, 10 mm", "worked", 1.5 * 15, along)


def _plasma() -> Iterator[Value]:
    for thick, row in tables.ISO_9013_LEAN_IN.items():
        for quality, inches in zip((2, 3, 4, 5), row, strict=True):
            what = f"range {quality}, {thick} mm"
            yield Value("iso-9013", what, "table", inches, _lean(thick, quality), 7e-5)
    for thick, size, deviation in tables.ISO_9013_CLASS_2:
        ours = _of(plasma.size_tolerance_mm, size, thick)
        yield Value("iso-9013", f"class 2, {size} in {thick} mm", "table", deviation, ours)


def _balance() -> Iterator[Value]:
    one = ub.permissible_g_mm
    for grade, mm_s, rpm, um in (("G6.3", 6.3, 3000, 20.05), ("G6.3", 6.3, 6000, 10.027), ("G16", 16, 6000, 25.465),
                                 ("G2.5", 2.5, 3000, 7.958), ("G40", 40, 3000, 127.32)):  # fmt: skip
        assert ub.GRADES[grade] == mm_s
        yield Value("iso-21940-11", f"{grade} at {rpm}", "worked", um, _of(one, ub.GRADES[grade], 1.0, rpm), 6e-3)
    yield Value("iso-21940-11", "9549", "worked", 9549.3, _of(one, 1.0, 1.0, 1.0), 0.05)
    pounds = 1000 * 0.45359237
    yield Value("energy-tech", "1000 lb at 15,000 rpm, oz·in", "worked", 1.0,
                lambda: one(ub.GRADES["G2.5"], pounds, 15_000) / 720.08, 0.005)  # fmt: skip
    yield Value("norton", "static balance, size", "worked", 2.403,
                lambda: ub.polar_sum([1.2 * 1.135, 1.8 * 0.822], [113.4, 48.8])[0], 1e-3)  # fmt: skip
    yield Value("norton", "static balance, direction", "worked", 79.6,
                lambda: ub.polar_sum([1.2 * 1.135, 1.8 * 0.822], [113.4, 48.8])[1], 0.05)  # fmt: skip


def _indexing() -> Iterator[Value]:
    for source, ratio, divisions, turns, holes, circle in tables.INDEXING:
        what = f"{divisions} at {ratio}:1"
        ours = _of(_turns, divisions, ratio)
        yield Value(source, what, "worked", turns + holes / circle, ours)
    yield Value(
        "od1644", "9 degrees a turn at 40:1, in minutes", "worked", 540.0, lambda: indexing.degrees_per_turn(40) * 60
    )
    eleven = indexing.plate_setting(11.5, 40, [18, 27, 36])
    assert eleven is not None
    yield Value("machinerys", "11 1/2 degrees at 40:1", "worked", 1 + 5 / 18, lambda: float(eleven.part))
    yield Value("table-manual", "arms for 6 holes", "worked", 7, _of(indexing.sector_arms, 6))


def _strength() -> Iterator[Value]:
    for wall, mpa in tables.EN_1561.items():
        yield Value("en-1561", f"GJL-250, {wall} mm", "table", mpa, _of(grey_iron_tensile_mpa, wall))
    disc = rotating.annular_disc
    yield Value("shigley", "disc 50/150 at 3000, bore", "worked", 14.7205,
                lambda: disc(50, 150, 50, 7850, 0.3, 3000).hoop_mpa, 5e-5)  # fmt: skip
    yield Value("shigley", "the same, radial at √(ab)", "worked", 3.1959,
                lambda: disc(50, 150, math.sqrt(7500), 7850, 0.3, 3000).radial_mpa, 5e-5)  # fmt: skip
    solid = (3 + 0.3) / 8 * 7850 * (2 * math.pi * 50 * 0.15) ** 2 * 1e-6
    yield Value("timoshenko", "a pinhole doubles a solid disc's centre", "formula", 2 * solid,
                lambda: disc(1e-3, 150, 1e-3, 7850, 0.3, 3000).hoop_mpa, 1e-4)  # fmt: skip
    yield Value("thomson", "first root of a clamped bar", "worked", 1.8751, _of(first_root, 0.0), 5e-5)
    yield Value("thomson", "its square", "worked", 3.516, lambda: first_root(0.0) ** 2, 5e-4)
    for tip, hz in ((0.0, 339.742), (0.05, 259.296), (0.1, 217.458)):
        ours = _of(cantilever_frequency_hz, 120, 50, 6, 200, 7850, tip)
        yield Value("thomson", f"bar 120 x 50 x 6, {tip} kg at its tip", "worked", hz, ours, 2e-3)
    for across, along, peak in ((10.0, 0.0, 30), (10.0, 10.0, 20), (10.0, -10.0, 40)):
        field = rotating.DiscStress(along, across)
        yield Value("kirsch", f"hole in {across:g} and {along:g}", "formula", peak, _of(rotating.hole_peak_mpa, field))
    yield Value("shop-practice", "100 ft/s, m/s", "table", 30.48, lambda: rotating.RIM_SPEED_CAST_IRON_M_S)
    yield Value("shop-practice", "rpm of 150 mm at it", "worked", 3881, _of(rotating.rpm_at_rim_speed, 150), 0.5)
    for name, mpa in (("mild-steel", 235), ("ductile-iron", 250)):
        source = "en-10025-2" if name == "mild-steel" else "en-1563"
        yield Value(source, "yield", "table", mpa, lambda name=name: material(name).yield_mpa or 0.0)
    for name, mpa in (("mild-steel", 360), ("ductile-iron", 400)):
        source = "en-10025-2" if name == "mild-steel" else "en-1563"
        yield Value(source, "tensile", "table", mpa, lambda name=name: material(name).tensile_mpa)


def _bars_and_plates() -> Iterator[Value]:
    steel = material("mild-steel").density_kg_m3 * 1e-6  # kg a metre and mm²
    for d, kg in tables.ROUND_BARS.items():
        ours = _of(lambda d=d: Loop.circle(0, 0, d / 2).area * steel)
        yield Value("bar-masses", f"round {d}", "table", kg, ours, 6e-4 + 4e-4 * kg)
    squares = {(side, side): kg for side, kg in tables.SQUARE_BARS.items()}
    for (wide, thick), kg in (squares | tables.FLAT_BARS).items():
        ours = _of(lambda a=wide, b=thick: Loop.polygon([(0, 0), (a, 0), (a, b), (0, b)]).area * steel)
        yield Value("bar-masses", f"{wide} x {thick}", "table", kg, ours, 6e-3)
    yield Value("en-1993-1-8", "edge distance over a round hole's diameter", "table", 1.2, lambda: EDGE_ROUND)


def _the_rest() -> Iterator[Value]:
    yield Value("milling-tables", "12 mm at 25 m/min", "worked", 663, _of(cutting.spindle_rpm, 25, 12), 0.5)
    yield Value("milling-tables", "125 mm at 200 m/min", "worked", 509.3, _of(cutting.spindle_rpm, 200, 125), 0.05)
    yield Value("milling-tables", "its feed, 8 teeth of 0.2", "worked", 814.9,
                lambda: cutting.feed_mm_min(cutting.spindle_rpm(200, 125), 8, 0.2), 0.05)  # fmt: skip
    # rpm = 12 V / (π D) with V in ft/min and D in inches, as shop texts of the inch write it
    for feet, inches in ((80, 0.5), (100, 0.25), (300, 6.0)):
        yield Value("od1644", f"12V/πD, {feet} ft/min on {inches} in", "formula", 12 * feet / (math.pi * inches),
                    _of(cutting.spindle_rpm, feet * 0.3048, inches * 25.4), 1e-6)  # fmt: skip
    for what, least in (("tooth", 2.0), ("slot", 2.0), ("depth", 2.0), ("face", 3.0)):
        yield Value("gear-sensor", what, "table", least,
                    lambda what=what: getattr(HALL_RULES["hall-differential"], what)[0])  # fmt: skip


def _elsewhere() -> Iterator[Value]:
    for source, number, there in tables.ELSEWHERE:
        yield Value(source, f"{number:g}", "elsewhere", number, None, 0.0, there)


def _of(function: Callable[..., Any], *given: object) -> Callable[[], Any]:
    def ours() -> Any:
        got = function(*given)
        assert got is not None
        return got

    return ours


def _um(function: Callable[[], float]) -> Callable[[], float]:
    return lambda: 1000 * function()


def _inches(name: str) -> float:
    return next(drill.diameter_mm / 25.4 for drill in drills.drills("inch") if drill.name == name)


def _proof(of: threads.Thread, grade: str) -> Callable[[], float]:
    return lambda: threads.clamp_force_n(of, grade) / threads.PRELOAD_SHARE


def _limit(size: float, fit: str, end: int) -> Callable[[], float]:
    return lambda: 1000 * fits.limits_mm(size, fit)[end]


def _lean(thick: float, quality: int) -> Callable[[], float]:
    return lambda: plasma.perpendicularity_mm(thick, quality) / 25.4


def _turns(divisions: int, ratio: int) -> float:
    circles = sorted({circle for plate in tables.PLATES for circle in plate})
    found = indexing.simple_indexing(divisions, ratio, circles)
    assert found is not None
    return float(found.part)


def _middle(diameter: float) -> float:
    """Geometric mean of ISO 965-1's range of diameters."""
    steps = (2.8, 5.6, 11.2, 22.4, 45.0)
    low = max(step for step in steps if step < diameter)
    return math.sqrt(low * steps[steps.index(low) + 1])
