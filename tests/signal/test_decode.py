"""The generic decoder: margins, several gaps, lost teeth, many wheels at once."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.signal.closed import compression_speed, fooled_by, many_wheels
from tests.signal.simulated import pattern
from wheelcad.signal.decode import (
    decode_margins,
    default_ratio,
    gap_expected,
    margins,
    margins_of_lost,
    wheel_margin,
)
from wheelcad.signal.edges import ideal_edges, passing
from wheelcad.signal.speed import (
    even_speed,
)


@pytest.mark.parametrize(("teeth", "missing"), [(12, 1), (36, 1), (60, 2), (36, 3), (4, 1)])
def test_margins_at_even_speed(teeth: int, missing: int) -> None:
    """(m + 1)/q for the gap and q for ordinary teeth, of both decoders alike."""
    at, steps = pattern(teeth, missing)
    q = default_ratio((missing,))
    assert q == (missing + 2) / 2
    for compares in ("last", "both"):
        assert decode_margins(at, steps, even_speed(), q, compares) == pytest.approx(min((missing + 1) / q, q))


def test_a_gap_with_a_single_tooth_before_the_next_is_seen_only_by_what_it_changes() -> None:
    """Two gaps of one with one tooth between: intervals 2 2 1 …; the second is no longer than the first."""
    edges = ideal_edges(12, ((0.0, 1), (60.0, 1)), 10, 80)
    one = passing(edges, 0, "centre", 0.0)
    assert gap_expected(one.steps, 1.5, "last").sum() == 1
    assert wheel_margin(edges, 0, even_speed()) == pytest.approx(2 / 1.5)


def test_several_gaps_each_count() -> None:
    edges = ideal_edges(36, ((0.0, 1), (120.0, 1), (240.0, 1)), 5, 80)
    one = passing(edges, 0, "centre", 0.0)
    assert gap_expected(one.steps, 1.5, "last").sum() == 3
    assert wheel_margin(edges, 0, even_speed()) == pytest.approx(2 / 1.5)
    slow = compression_speed([0, 180, 360, 540], 0.5)
    alone = [wheel_margin(ideal_edges(36, ((at, 1),), 5, 80), 0, slow) for at in (0.0, 120.0, 240.0)]
    assert wheel_margin(edges, 0, slow) <= min(alone) + 1e-9


def test_no_gap_has_no_margin() -> None:
    assert math.isnan(wheel_margin(ideal_edges(12, ((0.0, 0),), 10, 80), 0, even_speed()))


def test_a_lost_tooth_looks_like_a_gap() -> None:
    """36-1: an ordinary interval of two pitches after one of one: ratio 2, margin 1.5/2; one lost beside the gap makes
    it longer, and so is found."""
    at, steps = pattern(36, 1)
    lost = np.zeros((3, 35), dtype=bool)
    lost[1, 10] = True
    lost[2, 0] = True
    times = np.broadcast_to(at, (3, 35))
    found = margins_of_lost(times, 360.0, steps, 1.5, "last", lost)
    assert found[0] == pytest.approx(4 / 3)
    assert found[1] == pytest.approx(0.75)
    assert found[2] == pytest.approx(1.5)  # 3 pitches after 1: ratio 3; the ordinary ones decide
    assert margins_of_lost(times[:1], 360.0, steps, 1.5, "last", np.ones((1, 35), dtype=bool))[0] == 0


@pytest.mark.parametrize(
    ("missing", "q", "compares", "expected"),
    [(1, 1.5, "last", (True, True)), (2, 2.0, "last", (False, False)), (1, 1.5, "both", (True, False)),
     (2, 2.0, "both", (False, False))],
)  # fmt: skip
def test_what_a_missed_tooth_and_noise_do(missing: int, q: float, compares: str, expected: tuple[bool, bool]) -> None:
    """Missed: intervals 1 2 1, ratio 2 (both: 4 of q²). Noise half-way: ½ ½ 1, ratio 2 (both: 1/(½·1) = 2 and less)."""
    _, steps = pattern(36, missing)
    assert fooled_by(steps, q, compares) == expected  # type: ignore[arg-type]


def test_many_wheels_at_once_are_each_by_itself() -> None:
    """Ten thousand wheels cut a little wrong, one call; each as wheel_margin has it."""
    rng = np.random.default_rng(7)
    centres = 10.0 * np.arange(1, 36) + rng.normal(0, 0.2, (10_000, 35))
    speed = compression_speed([0, 120, 240, 360, 480, 600], 0.6)
    found = many_wheels(centres, 36, (1,), 55.0, speed)
    assert found.shape == (10_000,)
    for k in (0, 17, 4711):
        edges = ideal_edges(36, ((0.0, 1),), 5, 80)
        shift = centres[k] - edges.centres_deg
        moved = type(edges)(36, (1,), edges.from_deg + shift, edges.to_deg + shift, 80, 6, 6, 80)
        assert found[k] == pytest.approx(wheel_margin(moved, 55.0, speed), rel=1e-9)


def test_wheels_whose_widest_step_is_elsewhere_are_done_by_their_own() -> None:
    straight = 10.0 * np.arange(1, 36)
    turned = np.sort((straight + 130.0) % 360)
    found = many_wheels(np.stack([straight, turned]), 36, (1,), 0.0, even_speed())
    assert found == pytest.approx([4 / 3, 4 / 3])


def test_margins_take_times_in_any_unit() -> None:
    at, steps = pattern(24, 1)
    assert margins(at * 17.0, 360 * 17.0, steps, 1.5, "last") == pytest.approx(
        float(margins(at, 360.0, steps, 1.5, "last"))
    )
