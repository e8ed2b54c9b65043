"""What a dimension's text says, as a reader takes it, and by how much a size may be off it."""

from __future__ import annotations

import pytest

from wheelcad.checks.drawings import METRIC_PLACES, ROUNDED, said_by

LAST_MM = ROUNDED * 10.0**-METRIC_PLACES  # a millimetre's noughts are left out, so its last place is always that


@pytest.mark.parametrize(
    ("text", "units", "size", "within"),
    [
        ("160", "mm", 160.0, LAST_MM),
        ("⌀59.95", "mm", 59.95, LAST_MM),
        ("4× ⌀8.4", "mm", 8.4, LAST_MM),  # how many is no size
        ("(36× 10°)", "mm", 10.0, LAST_MM),
        ("R3.175", "mm", 3.175, ROUNDED * 1e-3),
        ("6.250", "in", 6.25 * 25.4, ROUNDED * 1e-3 * 25.4),
        (".5", "in", 12.7, ROUNDED * 0.1 * 25.4),
        ("3/16", "in", 4.7625, 0.0005 * 25.4),
        ("1 1/2", "in", 38.1, 0.0005 * 25.4),
        ("2× 1 1/4", "in", 31.75, 0.0005 * 25.4),
        ("45°", "in", 45.0, LAST_MM),  # an angle is no inch
        ("22 1/2°", "in", 22.5, 0.0005),
    ],
)
def test_sizes_are_read_as_they_are_meant(text: str, units: str, size: float, within: float) -> None:
    said = said_by(text, units)
    assert said is not None
    assert said == pytest.approx((size, within), rel=1e-9)


def test_words_alone_say_no_size() -> None:
    assert said_by("THRU", "mm") is None
    assert said_by("", "in") is None
