"""How fast wheels are made and options reckoned. By hand: pytest tests/bench/test_wheel_speed.py --benchmark-only -s

What is held against each other is timed in the same run, best of several. All of it is one thread's work, so its own
processor time is counted: on an idle machine the same as a clock's, on a busy one still true.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
import pytest

from tests.conftest import demo_text, edited, plate_job
from wheelcad.files.brep import cut, figures, prism
from wheelcad.job.reader import parse_job
from wheelcad.parts.blank.design import design_blank
from wheelcad.parts.options.table import option_table
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.solid import wheel_solid
from wheelcad.trade.frames import point_at
from wheelcad.trade.loop import Loop

TIMER = time.process_time
SHARE_OF_CUTS = 1 / 30
LARGEST_S = 1.0
ROWS, ROWS_S = 1000, 1.0
GREATEST_POWER = 1.25  # of the time against the teeth; 1 is linear
SLOT = "{width: 4, depth: 6, floor: flat}"


def best(make: Callable[[], object], times: int) -> float:
    """Shortest time of several runs, s."""
    out = []
    for _ in range(times):
        start = TIMER()
        make()
        out.append(TIMER() - start)
    return min(out)


def cut_one_by_one(teeth: int) -> object:
    """The same full wheel by a boolean cut a slot, each from what the last one left."""
    body = prism(Loop.circle(0, 0, 80), [Loop.circle(0, 0, 20)], -1.6, 1.6)
    for k in range(teeth):
        inner, outer = point_at([74.0, 90.0], 360 / teeth * k, 1)
        slot = Loop.slot(*inner, *outer, 4.0).oriented()
        body = cut(body, [prism(slot, [], -2, 2)], "the wheel")
    return body


@pytest.mark.benchmark(timer=TIMER)
def test_an_assembled_outline_against_a_cut_a_slot(benchmark) -> None:  # type: ignore[no-untyped-def]
    def assembled() -> object:
        return wheel_solid(design_wheel(plate_job(60, 2, slot=SLOT)), None)

    assert figures(cut_one_by_one(12)).valid  # both kinds warm, and both real
    assert figures(assembled()).valid
    by_cuts = best(lambda: cut_one_by_one(60), 2)
    benchmark.pedantic(assembled, rounds=15, warmup_rounds=2)
    whole = benchmark.stats.stats.min
    print(f"\n60-2: {whole * 1000:.1f} ms assembled, {by_cuts:.2f} s by 60 cuts: 1/{by_cuts / whole:.0f}")
    assert whole <= SHARE_OF_CUTS * by_cuts


@pytest.mark.benchmark(timer=TIMER)
def test_360_positions_in_their_pulley(benchmark) -> None:  # type: ignore[no-untyped-def]
    text = edited(
        demo_text("tarn-six"),
        ("teeth: 36", "teeth: 360"),
        ("missing: 1", "missing: 2"),
        ("width: 6, depth: 6.35", "width: 0.6, depth: 3"),
    )
    job = parse_job(text)

    def made() -> object:
        return wheel_solid(design_wheel(job), design_blank(job))

    assert figures(made()).valid
    benchmark.pedantic(made, rounds=5, warmup_rounds=1)
    print(f"\n360-2 fused into its pulley: {benchmark.stats.stats.min:.2f} s")
    assert benchmark.stats.stats.min <= LARGEST_S


@pytest.mark.benchmark(timer=TIMER)
@pytest.mark.parametrize("form", ["plate", "turned-down"])
def test_time_grows_with_the_teeth_and_no_faster(form: str, benchmark) -> None:  # type: ignore[no-untyped-def]
    counts = [90, 180, 360, 720]
    times = []
    for teeth in counts:
        small = ("width: 6, depth: 6.35", "width: 0.3, depth: 3")
        job = parse_job(edited(demo_text("tarn-six"), ("teeth: 36", f"teeth: {teeth}"), small))
        if form == "plate":
            job = plate_job(teeth, 1, slot="{width: 0.3, depth: 3}")
        wheel, blank = design_wheel(job), design_blank(job)
        times.append(best(lambda wheel=wheel, blank=blank: wheel_solid(wheel, blank), 4))  # type: ignore[misc]
    power = float(np.polyfit(np.log(counts), np.log(times), 1)[0])
    benchmark.pedantic(lambda: wheel_solid(wheel, blank), rounds=2)
    shown = ", ".join(f"{n}: {t * 1000:.0f} ms" for n, t in zip(counts, times, strict=True))
    print(f"\n{form}: {shown}; power {power:.2f}")
    assert power <= GREATEST_POWER


@pytest.mark.benchmark(timer=TIMER)
def test_a_thousand_option_rows(benchmark) -> None:  # type: ignore[no-untyped-def]
    job = parse_job(demo_text("tarn-six"))
    every = [(n, m) for m in range(15) for n in range(max(12, m + 2), 80)][:ROWS]
    assert len(every) == ROWS == len(set(every))
    rows = benchmark.pedantic(lambda: option_table(job, every).rows(), rounds=5, warmup_rounds=1)
    assert len(rows) == ROWS
    print(f"\n{ROWS} rows: {benchmark.stats.stats.min:.3f} s")
    assert benchmark.stats.stats.min < ROWS_S
