"""Random wheels of both forms: the residual measured from the STL, or the reason said; and every wall kept."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from tests.parts.balance_oracle import broken_walls, random_job
from wheelcad.checks.balance import check_balance
from wheelcad.checks.unbalance import unbalance_left
from wheelcad.errors import JobError
from wheelcad.files.stl_writer import write_stl
from wheelcad.parts.balance.design import design_balance
from wheelcad.parts.balance.margins import margins
from wheelcad.parts.blank.design import design_blank
from wheelcad.parts.blank.solid import blank_solid
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.solid import wheel_solid
from wheelcad.trade.unbalance import permissible_g_mm


def drilled_and_measured(seed: int, folder: Path) -> str:
    """One wheel, from job to mesh: drilled, not drilled (with a reason), or impossible as a wheel."""
    try:
        job = random_job(seed)
        wheel, blank = design_wheel(job), design_blank(job)
    except JobError:
        return "no such wheel"
    balance = design_balance(job, wheel)
    if not balance.holes:
        said = next(f for f in balance.findings if f.check == "balance-holes")
        assert said.why.startswith(balance.plan)
        assert "g·mm is to be taken out" in said.why or "walls" in said.why or "in balance as cut" in said.why
        return "reason said"
    assert broken_walls(job, wheel, balance.holes) == []
    assert min(margin.spare for margin in margins(balance.metal, balance.holes)) >= -1e-6
    write_stl(folder / "wheel.stl", wheel_solid(wheel, blank, balance.holes))
    if blank is not None:
        write_stl(folder / "blank.stl", blank_solid(blank))
    assert job.engine is not None
    assert job.engine.max_speed is not None
    left = math.hypot(*unbalance_left(folder, balance))
    assert left < permissible_g_mm(6.3, balance.mass_kg, job.engine.max_speed)
    assert math.dist(unbalance_left(folder, balance), balance.after) < 0.005 * math.hypot(*balance.before)
    assert [f for f in check_balance(folder, wheel, balance) if f.verdict == "fail"] == []
    return "drilled"


@pytest.mark.parametrize("seeds", [range(0, 8), range(8, 16)])
def test_sixteen_random_wheels(seeds: range, tmp_path: Path) -> None:
    outcomes = [drilled_and_measured(seed, tmp_path) for seed in seeds]
    assert outcomes.count("drilled") >= 6


@pytest.mark.slow
@pytest.mark.parametrize("start", range(16, 336, 20))
def test_three_hundred_random_wheels(start: int, tmp_path: Path) -> None:
    outcomes = [drilled_and_measured(seed, tmp_path) for seed in range(start, start + 20)]
    assert outcomes.count("drilled") >= 14
