"""Every unit a job file takes against pint, an independent library of units, in exact arithmetic.

pint's own definitions follow the BIPM's SI brochure and the international yard and pound agreement of 1959.
"""

from __future__ import annotations

from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelcad import units

REGISTRY = pint.UnitRegistry(non_int_type=Fraction)

# Our name -> pint's. rpm and turns a second are counted as turns a minute, not as angles.
NAMES = {
    "length": {
        **{name: name for name in ("mm", "cm", "m", "um", "ft")},
        **dict.fromkeys(("in", "in.", "inch", "inches", '"', "″", "”"), "inch"),
        **dict.fromkeys(("µm", "μm"), "micrometer"),
        "thou": "thou",
    },
    "angle": {
        **dict.fromkeys(("deg", "degree", "degrees", "°"), "degree"),
        **dict.fromkeys(("'", "′", "’", "arcmin"), "arcminute"),
        **dict.fromkeys(('"', "″", "”", "arcsec"), "arcsecond"),
    },
    "speed": {**dict.fromkeys(("rpm", "rev/min", "r/min"), "1/minute"), "rps": "1/second"},
    "frequency": {"Hz": "1/second", "kHz": "1/millisecond", "MHz": "1/microsecond"},
    "mass": {name: name for name in ("kg", "g", "lb", "oz")},
    "time": {"ms": "ms", "s": "s", **dict.fromkeys(("us", "µs", "μs"), "microsecond")},
}
BASE = {"length": "mm", "angle": "degree", "speed": "1/minute", "frequency": "1/second", "mass": "kg", "time": "ms"}
ALL = [(kind, name) for kind, names in units.KINDS.items() for name in names]


def test_every_unit_is_compared() -> None:
    assert {(kind, name) for kind, names in NAMES.items() for name in names} == set(ALL)


def _by_pint(value: Fraction, kind: str, name: str) -> Fraction:
    if kind == "angle":  # pint goes through radians, which are not rational: compare with a turn's exact parts instead
        per_turn = {"degree": 360, "arcminute": 21600, "arcsecond": 1296000}[NAMES[kind][name]]
        return value * 360 / per_turn
    return Fraction((value * REGISTRY(NAMES[kind][name]).units).to(BASE[kind]).magnitude)


@pytest.mark.parametrize(("kind", "name"), ALL)
@pytest.mark.parametrize("number", ["1", "0.1", "6.35", "7/16", "1 1/2", "5200"])
def test_each_unit_agrees_exactly(kind: str, name: str, number: str) -> None:
    value = sum((Fraction(part) for part in number.split()), Fraction(0))
    if kind == "angle" and units.ANGLES[name] == units.SECOND:
        got = units.exact(f"1 deg {number} {name}", kind, "deg") - 1
    else:
        got = units.exact(f"{number} {name}", kind, BASE[kind] if kind in ("length", "mass", "time") else "rpm")
    assert got == _by_pint(value, kind, name)


@pytest.mark.parametrize(("name", "turns"), [("degree", 360), ("arcminute", 21600), ("arcsecond", 1296000)])
def test_pint_divides_the_turn_the_same(name: str, turns: int) -> None:
    assert float((1 * REGISTRY.turn).to(name).magnitude) == pytest.approx(turns, rel=1e-15)


@given(st.decimals(-5000, 5000, places=6), st.sampled_from(sorted(units.LENGTHS)))
def test_random_lengths_agree_exactly(number: object, name: str) -> None:
    text = f"{number:f}"
    assert units.exact(f"{text} {name}", "length", "mm") == _by_pint(Fraction(text), "length", name)
