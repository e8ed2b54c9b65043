"""The 95 % radius against closed forms and against counting."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import chi2, norm

from wheelcad.survey.spread import radius_95


@pytest.mark.parametrize("axes", [1, 2, 3])
def test_equal_axes_give_the_root_of_chi_square(axes: int) -> None:
    covariance = np.diag([4.0] * axes + [0.0] * (3 - axes))
    assert radius_95(covariance) == pytest.approx(2.0 * np.sqrt(chi2.ppf(0.95, axes)), rel=1e-5)


def test_one_axis_gives_the_normal_limit() -> None:
    assert radius_95(np.diag([9.0, 0.0])) == pytest.approx(3.0 * norm.ppf(0.975), rel=1e-6)


@pytest.mark.parametrize("sds", [(1.0, 0.3), (2.0, 0.1), (1.0, 0.5, 0.2), (1.0, 1.0, 0.05), (0.4, 0.6, 0.5)])
def test_any_axes_hold_95_of_100_points_whichever_way_they_lie(sds: tuple[float, ...]) -> None:
    rng = np.random.default_rng(95)
    turn, _ = np.linalg.qr(rng.normal(size=(len(sds), len(sds))))
    covariance = turn @ np.diag(np.square(sds)) @ turn.T
    points = rng.normal(size=(400_000, len(sds))) * sds
    inside = np.mean(np.linalg.norm(points, axis=1) <= radius_95(covariance))
    assert inside == pytest.approx(0.95, abs=0.0015)  # 4 standard deviations of such a count


def test_what_is_not_known_has_no_radius() -> None:
    assert radius_95(np.diag([np.inf, 1.0])) == np.inf
    assert radius_95(np.zeros((2, 2))) == 0.0
