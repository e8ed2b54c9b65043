"""Readout points of slots by hand: down to the floor on the slot's own line, and not beyond its sides."""

from __future__ import annotations

import math
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from wheelcad.checks import index_chart
from wheelcad.findings import Finding

FLOOR, RADIUS = 74.0, 2.5  # mm: of the slots' floors, and of the cutter


def point(at_deg: float, along: float, aside: float, sense: int, cut: str) -> dict[str, str]:
    """So far from the axis on a line at this angle, and so far aside of it the way the crank turns."""
    a = math.radians(at_deg)
    x, y = along * math.sin(a) + aside * math.cos(a), along * math.cos(a) - aside * math.sin(a)
    return {"x_mm": f"{sense * x:.12f}", "y_mm": f"{y:.12f}", "cut": cut}


def measured(
    deeper: float = 0.0, wider: float = 0.0, sense: int = 1, half_deg: float = 0.0, side: int = 1, lost: str = ""
) -> Finding:
    """Two slots at 20 and 200° from a gap at 30°, 6 wide with parallel sides, or of this half angle: each plunged in
    two places; the second slot's points lie so much too deep or aside."""
    lean = math.radians(half_deg)
    slot = SimpleNamespace(rim_half_deg=half_deg, radial=half_deg > 0, width=6.0)
    wheel = SimpleNamespace(slot=slot, gap_at_deg=30.0, sense=sense, floor_radius_mm=FLOOR)
    stops = [SimpleNamespace(at=Fraction(at), cut=cut) for cut, at in ((1, 20), (2, 200))]
    plan = SimpleNamespace(wheel=wheel, of_kind=lambda kind: stops if kind == "slot" else [])
    rows = []
    for cut, at in (("1", 50.0), ("2", 230.0)):
        depth = FLOOR + RADIUS - deeper * (cut == "2")
        for along in (depth, 80.0):
            # where the cutter's side touches the slot's: across it for parallel sides, square to the side for radial
            room = along * math.tan(lean) - RADIUS / math.cos(lean) if half_deg else 3.0 - RADIUS
            rows.append(point(at, along, side * (room + wider * (cut == "2") / math.cos(lean)), sense, cut))
    rows = [row for row in rows if row["cut"] != lost]
    return index_chart._points(rows, cast(Any, plan), RADIUS)


@pytest.mark.parametrize("sense", [1, -1])
@pytest.mark.parametrize("half_deg", [0.0, 4.0])
@pytest.mark.parametrize("off", [0.0, 0.96e-6, 1.04e-6, 0.03])
def test_points_to_a_millionth(off: float, half_deg: float, sense: int) -> None:
    for side in (1, -1):
        for said in ({"deeper": off}, {"deeper": -off}, {"wider": off}):
            found = measured(sense=sense, half_deg=half_deg, side=side, **said)
            assert found.measured == pytest.approx(off, abs=1e-9)
            assert (found.verdict == "pass") == (off < 1e-6)
        assert measured(wider=-off, sense=sense, half_deg=half_deg, side=side).verdict == "pass"
    assert measured(lost="2").verdict == "fail"


def test_chart_and_points_are_read_where_they_lie(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The points with half the cutter's diameter."""
    asked: list[Any] = []
    monkeypatch.setattr(index_chart, "read_csv", lambda path: path)
    for name in ("_slots_match", "_marks"):
        monkeypatch.setattr(index_chart, name, lambda rows, plan: asked.append(rows))
    monkeypatch.setattr(index_chart, "_points", lambda rows, plan, radius: asked.append((rows, radius)))
    plan = SimpleNamespace(table=None, cutter_mm=5.0, job=SimpleNamespace(shop=SimpleNamespace(readout=True)))
    assert len(list(index_chart.check_index_chart(tmp_path, cast(Any, plan)))) == 3
    chart = tmp_path / index_chart.CHART_FILE
    assert asked == [chart, chart, (tmp_path / index_chart.POINTS_FILE, 2.5)]
