"""The handbook cases of what shakes, each seen to fail when a constant or a sign under it is changed.

Each row names a check of another module, where in the code the fault is put, and what stands there instead.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial
from typing import Any

import numpy as np
import pytest

from tests.checks.fem import test_proposals as proposed
from tests.checks.fem import test_response as shaken
from tests.outside import test_balance_examples as planes
from tests.outside import test_disc_elements as discs
from tests.outside import test_finite_elements as solids
from tests.outside import test_unbalance as unbalance
from tests.parts import test_balance_reading as readings
from tests.parts import test_balance_search as searches
from wheelcad.checks.fem import elastic, mending, plane
from wheelcad.checks.fem.model import scaled
from wheelcad.parts.balance import candidates, reading
from wheelcad.trade import resonance
from wheelcad.trade import unbalance as trade

ELASTIC = "wheelcad.checks.fem.elastic"
PLANE = "wheelcad.checks.fem.plane"
RESPONSE = "wheelcad.checks.fem.response"
DISC_TEST = "tests.outside.test_disc_elements"
TWO_PLANES = "tests.outside.test_balance_examples.two_planes"
READING = "wheelcad.parts.balance.reading"

plain_mass, plain_stiffness = elastic._mass, elastic._stiffness


def stretched(*given: Any) -> Any:
    """Stiffness as of a metal a twentieth stiffer."""
    return plain_stiffness(*given) * 1.05


def heavier(*given: Any) -> Any:
    return plain_mass(*given) * 1.05


def no_sideways(youngs: float, _: float) -> tuple[float, float]:
    """λ and μ of a metal that does not narrow as it is stretched."""
    return 0.0, youngs / 2


plain_solved, plain_principal, plain_spin = plane.solved, plane._principal, plane.spin


def no_shear(mesh: Any, basis: Any, u: Any, lam: float, mu: float) -> Any:
    """The lesser principal stress instead of the greater: a sign before the root."""
    found = plain_principal(mesh, basis, u, lam, mu)
    return plane.Stressed(found.points, found.greatest * -1)


def wrong_stress(mesh: Any, basis: Any, u: Any, lam: float, mu: float) -> Any:
    """Plane strain's λ where stresses are taken from strains."""
    return plain_principal(mesh, basis, u, lam * 1.54, mu)


def pulled(mesh: Any, poisson: float, load: Any) -> Any:
    return plain_solved(mesh, poisson, 1.05 * load)


def in_plane_strain(mesh: Any, poisson: float, load: Any) -> Any:
    return plain_solved(mesh, poisson / (1 - poisson), load)


def turning(density: float, rpm: float) -> Any:
    """π for 3."""
    return plain_spin(density, rpm * 3 / math.pi)


def lighter(density: float, rpm: float) -> Any:
    return plain_spin(7200 / 7850 * density, rpm)


def half_damped(ratio: Any, damping: float = resonance.DAMPING) -> Any:
    """iζr for 2iζr."""
    return resonance.response(ratio, damping / 2)


def added(ratio: Any, damping: float = resonance.DAMPING) -> Any:
    """1 + r² for 1 - r²."""
    r = np.asarray(ratio, dtype=float)
    return 1.0 / (1.0 + r**2 + 2j * damping * r)


def swapped(*given: Any) -> Any:
    return trade.two_planes(*given)[::-1]


def against(*given: Any) -> Any:
    return -trade.two_planes(*given)


def past_the_second(vectors: Any, z: Any, z1: float, z2: float) -> Any:
    """Distances between planes a fiftieth too long."""
    return trade.two_planes(vectors, z, z1, z1 + 1.02 * (z2 - z1))


plain_sum, plain_visible = trade.polar_sum, trade.knife_edge_visible_g_mm


def sum_of_sizes(sizes: Any, at_deg: Any) -> tuple[float, float]:
    return float(np.sum(sizes)), plain_sum(sizes, at_deg)[1]


def turned_back(sizes: Any, at_deg: Any) -> tuple[float, float]:
    size, at = plain_sum(sizes, at_deg)
    return size, -at % 360.0


def light_side(taken: Any) -> tuple[float, float]:
    """The putty's side for the heavy one."""
    size, heavy = plain_read(taken)
    return size, (heavy + 180.0) % 360.0


def grams_for_kilograms(taken: Any) -> tuple[float, float]:
    size, heavy = plain_read(taken)
    return size / 1000, heavy


plain_read, plain_vector = reading.unbalance_read, candidates._vector


def too_light(*given: Any) -> complex:
    """Holes reckoned to take out nine tenths of what they do."""
    return 0.9 * plain_vector(*given)


def by_radius_not_diameter(mass: float, **given: float) -> float:
    return plain_visible(mass, **{**given, "mandrel_diameter_mm": given["mandrel_diameter_mm"] / 2})


plain_worst, plain_judged = mending.worst, mending.keeps


def stiffer_than_it_is(held: Any, speeds: Any) -> Any:
    """A combination judged by frequencies a fifth too high."""
    return plain_worst([scaled(one, 1.2) for one in held], speeds)


def never_cleared(*given: Any) -> bool:
    """The judgement turned round."""
    return not plain_judged(*given)


def searched() -> None:
    """What is offered for a frequency inside the speeds clears it, and is the cheapest that does."""
    with pytest.MonkeyPatch.context() as patch:
        proposed.test_the_search_finds_the_cheapest_combination(patch)


KT = partial(discs.test_a_plate_with_a_hole, 20.0, 2.51)
SPUN = discs.test_a_disc_with_a_bore_without_and_with_a_pinhole
RESONANCE = shaken.test_at_resonance_everything_grows_by_one_over_twice_the_damping
THREE = planes.test_dynamic_balance_of_three_masses
BOOK = planes.test_two_planes_as_a_handbook_writes_them
STATIC = unbalance.test_counterweight_of_two_masses
PUTTY = readings.test_the_heavy_side_is_opposite_the_putty
CORRECTED = partial(readings.test_ten_random_readings_are_corrected_below_what_edges_feel, range(6))
BEST = partial(searches.test_within_five_per_cent_of_the_best_pair, (0, 3, 5))
EDGES = readings.test_what_edges_show_by_hand

Fault = tuple[str, Callable[[], None], str, Any]
FAULTS: tuple[Fault, ...] = (
    ("cantilever plate, stiffness", solids.test_cantilever_plate, f"{ELASTIC}._stiffness", stretched),
    ("cantilever plate, λ", solids.test_cantilever_plate, f"{ELASTIC}.lame_parameters", no_sideways),
    ("FV32, mass", solids.test_tapered_membrane, f"{ELASTIC}._mass", heavier),
    ("FV32, λ", solids.test_tapered_membrane, f"{ELASTIC}.lame_parameters", no_sideways),
    ("plate with a hole, sign of the root", KT, f"{PLANE}._principal", no_shear),
    ("plate with a hole, λ of the stress", KT, f"{PLANE}._principal", wrong_stress),
    ("plate with a hole, pull", KT, f"{DISC_TEST}.solved", pulled),
    ("disc, π", SPUN, f"{DISC_TEST}.spin", turning),
    ("disc, density", SPUN, f"{DISC_TEST}.spin", lighter),
    ("disc, plane strain", SPUN, f"{DISC_TEST}.solved", in_plane_strain),
    ("one mass, damping", RESONANCE, f"{RESPONSE}.response", half_damped),
    ("one mass, sign", RESONANCE, f"{RESPONSE}.response", added),
    ("one mass, a third above", shaken.test_a_third_above_it_answers_2_3_times, f"{RESPONSE}.response", added),
    ("two planes swapped", THREE, TWO_PLANES, swapped),
    ("two planes, sign", THREE, TWO_PLANES, against),
    ("two planes, distance", BOOK, TWO_PLANES, past_the_second),
    ("one plane, sizes added", STATIC, "wheelcad.trade.unbalance.polar_sum", sum_of_sizes),
    ("one plane, sense", STATIC, "wheelcad.trade.unbalance.polar_sum", turned_back),
    ("reading, side", PUTTY, "wheelcad.parts.balance.correction.unbalance_read", light_side),
    ("reading, unit", PUTTY, "wheelcad.parts.balance.correction.unbalance_read", grams_for_kilograms),
    ("readings, what holes take out", CORRECTED, "wheelcad.parts.balance.candidates._vector", too_light),
    ("best pair, oversize forgotten", BEST, "wheelcad.parts.balance.spread.OVERSIZE_MM", 0.0),
    ("combination, judged too stiff", searched, "wheelcad.checks.fem.mending.worst", stiffer_than_it_is),
    ("combination, judged the wrong way", searched, "wheelcad.checks.fem.mending.keeps", never_cleared),
    ("edges, level", EDGES, f"{READING}.LEVEL_MM_M", 0.06),
    ("edges, arbour", EDGES, f"{READING}.knife_edge_visible_g_mm", by_radius_not_diameter),
)


@pytest.mark.parametrize(
    ("check", "place", "fault"), [fault[1:] for fault in FAULTS], ids=[fault[0] for fault in FAULTS]
)
def test_the_check_fails(check: Callable[[], None], place: str, fault: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(place, fault)
    with pytest.raises(AssertionError):
        check()
