import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelcad.trade import ignition as ig


@pytest.mark.parametrize("n", range(1, 17))
def test_even_fire(n):
    angles = ig.firing_angles_even(n)
    assert len(angles) == n
    assert ig.firing_intervals_deg(angles) == pytest.approx([720 / n] * n)
    pairs = tuple(ig.companions(range(1, n + 1)))
    assert len(pairs) == (n // 2 if n % 2 == 0 else 0)


def test_odd_fire_companions_by_angle():
    # two pairs 360 apart, unevenly spaced
    assert tuple(ig.companions([1, 3, 2, 4], [0, 150, 360, 510])) == ((1, 2), (3, 4))
    assert tuple(ig.companions([1, 2], [0, 270])) == ()
    assert tuple(ig.companions([1, 2], [0, 360])) == ((1, 2),)
    with pytest.raises(ValueError, match="one firing angle"):
        tuple(ig.companions([1, 2], [0]))


@given(
    gap=st.floats(-360, 360),
    teeth=st.integers(6, 120),
    missing=st.integers(1, 3),
    width=st.floats(0.1, 2.9),
    sensor=st.floats(-360, 360),
)
def test_first_tooth_agrees_with_a_turning_wheel(gap, teeth, missing, width, sensor):
    """Turn the crank on from the gap's passage and take the first tooth the sensor meets."""
    pitch = 360 / teeth
    present = [gap + pitch * (k - (missing - 1) / 2) for k in range(missing, teeth)]
    gap_passes = ig.passes_sensor_deg(gap, sensor)
    after = {p: (ig.passes_sensor_deg(p, sensor) - gap_passes) % 360 for p in present}
    first = min(after, key=after.__getitem__)
    assert math.isclose(
        math.cos(math.radians(ig.first_tooth_centre_deg(gap, pitch, missing) - first)), 1.0, abs_tol=1e-9
    )
    edges = ig.first_tooth_to_tdc(gap, pitch, missing, width, sensor)
    # crank turned when the centre passes, plus what is left to TDC, is a whole turn
    left = (ig.passes_sensor_deg(first, sensor) + edges.centre_deg) % 360
    assert min(left, 360 - left) == pytest.approx(0, abs=1e-6)
    # the leading edge comes first, so it has the longer way to TDC
    assert (edges.leading_deg - edges.centre_deg) % 360 == pytest.approx(width / 2, abs=1e-6)
    assert (edges.centre_deg - edges.trailing_deg) % 360 == pytest.approx(width / 2, abs=1e-6)


def test_mirrored_direction_would_be_noticed():
    # sensor 50 degrees before the TDC line in the sense of turning: a point on the TDC line has 50 to go
    assert ig.to_tdc_deg(0, 310) == 50
    assert ig.passes_sensor_deg(0, 310) == 310


def test_degrees_to_tdc_are_never_360():
    assert ig.to_tdc_deg(0, -360) == 0
    assert ig.to_tdc_deg(-1e-14, 0) == 0
    assert ig.to_tdc_deg(-10, 0) == 350


def test_coil_windows_and_gap():
    windows = ig.coil_windows_deg(ig.firing_angles_even(4), 5, 40, 30)
    assert windows == ((110.0, 65.0), (290.0, 65.0))
    # gap 20 wide passing at 60: window from 290 ends at 355, the next begins at 110
    assert ig.gap_clearance_deg(60, 20, windows) == pytest.approx(110 - 70)
    assert ig.gap_clearance_deg(120, 20, windows) < 0
    assert ig.gap_clearance_deg(120, 20, ()) == math.inf
    with pytest.raises(ValueError, match="advance"):
        ig.coil_windows_deg([0], 40, 5)


def test_refusals():
    for call, words in (
        (lambda: ig.firing_angles_even(0), "at least one cylinder"),
        (lambda: ig.us_per_degree(0), "stands still"),
        (lambda: ig.from_cylinder_one(()), "at least one cylinder"),
    ):
        with pytest.raises(ValueError, match=words):
            call()
    assert ig.us_per_degree(0.5) == pytest.approx(1e6 / 3)


@pytest.mark.parametrize(
    ("order", "angles", "turned", "at"),
    [
        ((2, 1), (0, 270), (1, 2), (0, 450)),
        ((1, 2), (0, 270), (1, 2), (0, 270)),
        ((1, 2), (90, 360), (1, 2), (0, 270)),
        ((3, 4, 2, 1), None, (1, 3, 4, 2), (0, 180, 360, 540)),
        ((4, 2, 6, 1, 5, 3), (0, 150, 240, 390, 480, 630), (1, 5, 3, 4, 2, 6), (0, 90, 240, 330, 480, 570)),
    ],
)
def test_cylinder_one_is_zero_whatever_the_list_begins_with(
    order: tuple[int, ...], angles: tuple[float, ...] | None, turned: tuple[int, ...], at: tuple[float, ...]
) -> None:
    assert ig.from_cylinder_one(order, angles) == (turned, pytest.approx(at))


def test_one_angle_for_each_cylinder() -> None:
    with pytest.raises(ValueError, match="one firing angle"):
        ig.from_cylinder_one((1, 2), (0,))
