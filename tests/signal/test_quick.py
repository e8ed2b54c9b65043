"""The budget in closed form against its simulation."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
import pytest

from tests.conftest import DEMOS, demo_text
from tests.signal.wheels import edges_of, job_of
from wheelcad.job.reader import parse_job
from wheelcad.parts.options.start import edges_of as designed
from wheelcad.parts.options.table import options_of
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.signal.budget import budget_of
from wheelcad.signal.budget_text import advice
from wheelcad.signal.quick import Reckoner, bound_95, quick_report
from wheelcad.signal.report import signal_of
from wheelcad.words import unwritten


@pytest.mark.parametrize("known", [0.0, 0.3, -1.0, 2.5, 30.0])
def test_the_bound_holds_95_of_100(known: float) -> None:
    """By the normal's own distribution, both tails."""
    a = float(bound_95(np.array(known), np.array(1.0)))
    phi = NormalDist().cdf
    assert phi(a - known) - phi(-a - known) == pytest.approx(0.95, abs=1e-4)
    assert float(bound_95(np.array(known), np.array(0.0))) == abs(known)


@pytest.mark.parametrize("name", DEMOS)
def test_it_says_what_the_simulation_says(name: str) -> None:
    """Within 1 per cent: light and marks, which are normal, outweigh the rest."""
    job = parse_job(demo_text(name))
    edges = designed(job, design_wheel(job))
    drawn = budget_of(job, signal_of(job, edges, field=False), count=100_000).report()
    quick = quick_report(job, edges)
    for key in ("before_trim_95_deg", "after_trim_95_deg"):
        assert quick[key] == pytest.approx(drawn[key], rel=0.01)
    assert quick["sd"]["closed_form_deg"] == pytest.approx(drawn["sd"]["closed_form_deg"], abs=1e-6)
    assert quick["worst"] == drawn["worst"]
    for one, other in zip(quick["per_cylinder"], drawn["per_cylinder"], strict=True):
        assert one["after_95_deg"] == pytest.approx(other["after_95_deg"], rel=0.01)
    assert quick["best_change"]["source"] == drawn["best_change"]["source"]
    assert quick["best_change"]["after_trim_95_deg"] == pytest.approx(
        drawn["best_change"]["after_trim_95_deg"], rel=0.01
    )
    shares = {row["source"]: row["share_after"] for row in drawn["shares"]}
    assert all(row["share_after"] == pytest.approx(shares[row["source"]], abs=1e-6) for row in quick["shares"])


def test_where_one_sine_outweighs_all_it_is_the_careful_end() -> None:
    """A wheel that sits 2 mm off: an arcsine, whose 95 per cent lie within its amplitude, and not 1.39 times that."""
    from tests.signal.test_budget import toleranced

    job = toleranced(job_of(4), centring=4.0)
    edges = edges_of(job)
    drawn = budget_of(job, signal_of(job, edges, field=False), count=40_000).report()["after_trim_95_deg"]
    quick = quick_report(job, edges)["after_trim_95_deg"]
    assert 1.05 * drawn < quick < 1.45 * drawn


def test_the_live_figure_is_the_job_s() -> None:
    job = parse_job(demo_text("tarn-six"))
    live = quick_report(job, designed(job, design_wheel(job)))
    assert live["after_trim_95_deg"] > 0
    assert advice(live).startswith("Spend your care on: ")
    assert unwritten(advice(live))  # quantities still to be put into the document's unit


def test_options_have_the_figure_of_each_pattern() -> None:
    job = parse_job(demo_text("tarn-six"))
    rows = options_of(job, ["30-0"]).rows()
    figures = {(row["teeth"], row["missing"]): row["after_trim_95_deg"] for row in rows}
    assert figures[30, 0] is None
    edges = designed(job, design_wheel(job))
    assert figures[36, 1] == pytest.approx(Reckoner.of(job, edges).figures(edges).after.max(), abs=1e-6)
    assert figures[12, 1] > figures[36, 1]  # fewer teeth, longer reckoning
