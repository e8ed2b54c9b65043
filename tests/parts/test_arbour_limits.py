"""The arbour by hand: its lengths and diameters, and the wheels that have one."""

from __future__ import annotations

import pytest

from wheelcad.job.reader import parse_job
from wheelcad.parts.arbour.design import ArbourDesign, design_arbour


def arbour(bore: float, *, outside: float = 120.0, depth: float = 5.0, thickness: float = 4.0) -> ArbourDesign | None:
    return design_arbour(
        parse_job(
            f"job: a\nwheel: {{form: plate, teeth: 24, missing: 1, outside_diameter: {outside}, "
            f"thickness: {thickness}, bore: {bore}, slot: {{width: 3, depth: {depth}}}}}\n"
        )
    )


@pytest.mark.parametrize(
    ("bore", "shank", "shoulder", "long", "thread", "nut", "washer", "tail"),
    [
        # shoulder: twice the bore, or half of 8 all round; a nut of 0.8 diameters and 6 mm for washer and end
        (6.0, 10.0, 14.0, 10.0, "M5", 10.0, 14.0, 4.0),
        (10.0, 10.0, 20.0, 10.0, "M8", 12.4, 18.0, 6.0),
        (12.0, 12.0, 24.0, 10.0, "M10", 14.0, 20.0, 7.5),
        (25.0, 20.0, 50.0, 12.5, "M24", 25.2, 33.0, 18.0),
        (40.0, 20.0, 80.0, 20.0, "M30", 30.0, 48.0, 22.5),
    ],
)
def test_an_arbour_by_hand(
    bore: float, shank: float, shoulder: float, long: float, thread: str, nut: float, washer: float, tail: float
) -> None:
    """Common practice, no source. A shank of 60 for the chuck and 8 of plain end for the tailstock's centre."""
    made = arbour(bore)
    assert made is not None
    assert (made.seat_mm, made.seat_limits[1], made.seat_long) == (bore, 0.0, pytest.approx(3.7))
    assert (made.shank_mm, made.shoulder_mm, made.shoulder_long) == (shank, shoulder, long)
    assert (made.thread, made.thread_mm, made.thread_long) == (thread, float(thread[1:]), pytest.approx(nut))
    assert (made.washer_mm, made.tail_mm) == (washer, tail)
    assert made.stand_off == 60 + long
    assert made.long == pytest.approx(60 + long + 3.7 + nut + 8)


@pytest.mark.parametrize(("size", "next_smaller"), [
    (30, 24), (24, 20), (20, 16), (16, 12), (12, 10), (10, 8), (8, 6), (6, 5),
])  # fmt: skip
def test_the_thread_goes_through_the_bore_with_two_tenths_to_spare(size: int, next_smaller: int) -> None:
    """Coarse threads of ISO 261."""
    for bore, thread in ((size + 0.21, size), (size + 0.19, next_smaller)):
        made = arbour(bore)
        assert made is not None
        assert (made.thread, made.thread_mm) == (f"M{thread}", thread)
    exact = arbour(size + 0.2)
    assert exact is not None
    assert exact.thread == f"M{size}"


def test_bores_that_an_arbour_is_made_for() -> None:
    """From 6 mm, below which it bends, to 40."""
    assert [arbour(bore) is not None for bore in (5.9, 6.0, 40.0, 40.1)] == [False, True, True, False]


def test_the_shoulder_stays_three_millimetres_inside_the_slots() -> None:
    """⌀58 with slots of 5: floors at ⌀48, the shoulder at most ⌀42, and more than a millimetre all round the bore."""
    for bore, there in ((20.0, True), (39.0, True), (39.9, True), (40.0, False)):
        made = arbour(bore, outside=58.0)
        assert (made is not None) == there
        assert made is None or made.shoulder_mm == min(42.0, 2 * bore)
        assert made is None or made.washer_mm == min(42.0, bore + 8)


@pytest.mark.parametrize(("thickness", "seat"), [(1.2, 0.9), (1.0, 0.75), (8.0, 7.7)])
def test_the_nut_bears_on_the_wheel(thickness: float, seat: float) -> None:
    made = arbour(12.0, thickness=thickness)
    assert made is not None
    assert made.seat_long == pytest.approx(seat)
