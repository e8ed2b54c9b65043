"""A drilled hole's metal, a sensor's own axes, what lies nearest to a rim: by hand."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from tests.parts.gauge_jobs import job_of, turned
from wheelcad.codes import Check
from wheelcad.parts.chart import chart_of
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.options.row import Option
from wheelcad.parts.sensor.design import seat_axes
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.rim import rim_findings
from wheelcad.words import Words


@pytest.mark.parametrize("from_back", [False, True])
@pytest.mark.parametrize("depth", [0.5, 6.0])
def test_the_middle_of_a_blind_holes_metal_by_slices(from_back: bool, depth: float) -> None:
    """⌀6 with a point of 118 degrees, 3/tan 59 = 1.803 long, summed up in ten thousand slices."""
    hole = CorrectionHole(0.0, 50.0, 6.0, 10.0, 10.0 - depth, False, 118.0, from_back)
    point = 3.0 / math.tan(math.radians(59.0))
    along = (np.arange(10_000) + 0.5) / 10_000 * (depth + point)  # into the metal, from the face
    area = math.pi * np.minimum(3.0, (depth + point - along) / point * 3.0) ** 2
    z = hole.z_bottom + along if from_back else hole.z_top - along
    assert hole.volume_mm3 == pytest.approx(area.sum() * (depth + point) / 10_000, rel=1e-6)
    assert hole.z_mean == pytest.approx((area * z).sum() / area.sum(), abs=1e-5)


def test_a_gap_is_one_cut_whatever_it_swallows_and_none_is_none() -> None:
    assert [Option(36, missing, slot_mm=6.0).cuts for missing in (0, 1, 2)] == [36, 36, 35]


@pytest.mark.parametrize(("look", "x"), [((-1.0, 0.0, 0.0), (0.0, 0.0, 1.0)), ((0.0, 0.0, -1.0), (1.0, 0.0, 0.0))])
def test_a_sensors_own_z_points_away_from_its_nose(look: tuple[float, ...], x: tuple[float, ...]) -> None:
    place: Any = SimpleNamespace(look=look, out=(1.0, 0.0, 0.0))
    axes = seat_axes(place, None)
    assert axes[2].tolist() == [-v for v in look]
    assert axes[0].tolist() == list(x)
    assert np.linalg.det(axes) == pytest.approx(1.0)


def test_the_rim_is_measured_to_what_reaches_out_furthest_under_it() -> None:
    """Bolts of 6.6 on ⌀50 reach 28.3, a bore of 20 with its keyway less: of floors at 44 there are 15.7 left."""
    job = job_of(**turned())
    found = {finding.check: finding for finding in rim_findings(job, design_wheel(job))}
    assert set(found) == {Check.RIM_LEFT, Check.KEYWAY_CLEAR, Check.BOLTS_CLEAR}
    assert found[Check.RIM_LEFT].measured == pytest.approx(15.7)
    assert "down to the bolts" in Words("mm").text(found[Check.RIM_LEFT].why)
    assert found[Check.BOLTS_CLEAR].measured == pytest.approx(15.7)
    assert found[Check.KEYWAY_CLEAR].measured == pytest.approx(44 - math.hypot(2.5, 12.3))


def test_on_edge_the_largest_of_the_work_must_clear_the_mills_table() -> None:
    slot = {"width": 4.0, "depth": 6.0, "sides": "parallel", "floor": "flat"}
    shop = {"rotary_table": {"ratio": 40, "centre_height": 80.0}, "cutter": {"diameter": 3.0}}
    job = job_of(**turned(wheel={**turned()["wheel"], "slot": slot}, shop=shop))
    (swing,) = (finding for finding in chart_of(job).findings if finding.check == Check.SWING)
    assert swing.measured == pytest.approx(80 - 50)  # the ring's ⌀100; shoulders of ⌀70
