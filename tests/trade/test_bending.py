import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelcad.trade import bending

R = st.floats(0.5, 30)
S = st.floats(0.5, 12)


@given(angle=st.floats(1, 179), r=R, s=S)
def test_neutral_fibre_lies_between_inside_and_middle(angle, r, s):
    inside = math.radians(angle) * r
    middle = math.radians(angle) * (r + s / 2)
    assert inside < bending.allowance(angle, r, s) <= middle + 1e-9


@given(r=R, s=S, share=st.floats(0.1, 0.5), angle=st.floats(1, 179))
def test_k_factor_is_half_of_k(r, s, share, angle):
    assert bending.allowance_k_factor(angle, r, s, share) == pytest.approx(bending.allowance(angle, r, s, 2 * share))
    assert bending.k_factor(r, s) == pytest.approx(bending.din6935_k(r, s) / 2)


@given(r=R, s=S)
def test_deduction_has_no_step_at_ninety(r, s):
    assert bending.deduction(90 - 1e-7, r, s) == pytest.approx(bending.deduction(90 + 1e-7, r, s), abs=1e-4)


@given(angle=st.floats(1, 90), r=R, s=S, a=st.floats(60, 100), b=st.floats(60, 100))
def test_flat_from_outside_dimensions_equals_flat_from_tangents(angle, r, s, a, b):
    """Outside legs less their setback are the straight parts; straight + arc + straight is the flat."""
    setback = bending.setback(angle, r, s)
    straight = a - setback + b - setback + bending.allowance(angle, r, s)
    assert a + b - bending.deduction(angle, r, s) == pytest.approx(straight)


def test_mould_line_by_coordinates():
    """The outside faces of a bend meet at tan(angle/2) from the tangent line."""
    r, s, angle = 5.0, 4.0, 60.0
    t = math.radians(angle)
    # centre (0, 0), first leg's outside face y = -(r+s) ends at x = 0; second leg's face is tangent at angle t
    x, y = (r + s) * math.sin(t), -(r + s) * math.cos(t)
    back = (y + (r + s)) / math.sin(t)
    assert x - back * math.cos(t) == pytest.approx(bending.setback(angle, r, s))


def test_sharp_bend_stays_finite():
    assert bending.din6935_k(0, 3) == pytest.approx(0.15)
    assert bending.allowance(90, 0, 3) > 0


def test_refusals():
    for call, words in (
        (lambda: bending.allowance(0, 1, 1), "more than 0 and less than 180"),
        (lambda: bending.allowance(180, 1, 1), "more than 0 and less than 180"),
        (lambda: bending.din6935_k(1, 0), "a radius is not negative"),
        (lambda: bending.din6935_k(-1, 1), "a radius is not negative"),
        (lambda: bending.least_inside_radius_mm("mild-steel", 0), "plate has a thickness"),
    ):
        with pytest.raises(ValueError, match=words):
            call()
    with pytest.raises(KeyError):
        bending.least_inside_radius_mm("grey-iron", 3)


@pytest.mark.parametrize("name", ["mild-steel", "stainless-430", "aluminium-6061"])
def test_along_the_grain_wants_half_as_much_again(name):
    for s in (1, 3, 4.76, 6, 10, 16):
        across = bending.least_inside_radius_mm(name, s)
        assert across >= s
        assert bending.least_inside_radius_mm(name, s, along_grain=True) == pytest.approx(1.5 * across)
    assert bending.least_radius_source(name)


# thickness up to which a row holds, inside radius over thickness; A36 from a structural reference, the rest from memory
LEAST_RADII = {
    "mild-steel": ((6.35, 1.0), (12.7, 1.5), (25.0, 2.0)),
    "stainless-430": ((6.35, 1.0), (25.0, 2.0)),
    "aluminium-6061": ((0.8, 1.0), (1.6, 1.5), (3.2, 2.5), (4.8, 3.0), (6.35, 3.5), (9.5, 4.5), (12.7, 5.0)),
}


@pytest.mark.parametrize(("name", "rows"), LEAST_RADII.items())
def test_every_row_of_the_least_radii(name, rows):
    below = 0.0
    for upto, factor in rows:
        for s in (below + 0.01, upto):
            assert bending.least_inside_radius_mm(name, s) == pytest.approx(factor * s)
        below = upto
