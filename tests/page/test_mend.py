"""The nearest value that works: what is offered does work, and is near."""

from __future__ import annotations

from pathlib import Path

import pytest

from wheelcad.errors import Key
from wheelcad.findings import poor
from wheelcad.job.edit import put_text
from wheelcad.page.mend import judged, mends_of, problem_of
from wheelcad.words import unwritten

TARN = (Path(__file__).parents[2] / "configs" / "tarn-six.yaml").read_text()


@pytest.mark.parametrize(
    ("key", "typed", "offered"),
    [
        (("sensor", "air_gap"), "3", "sensor.air_gap: 1.5"),
        (("pulley", "boar"), "20", "call it bore"),
        pytest.param(("wheel", "form"), "turned", "wheel.form: turned-down", marks=pytest.mark.slow),
        pytest.param(("wheel", "outside_diameter"), "175", "wheel.outside_diameter: 168", marks=pytest.mark.slow),
        pytest.param(("sensor", "air_gap"), "a hair", "sensor.air_gap: 0.8", marks=pytest.mark.slow),
        pytest.param(("wheel", "teeth"), "600", "wheel.teeth: 36", marks=pytest.mark.slow),
    ],
)
def test_a_fault_is_given_the_nearest_value_that_works(key: Key, typed: str, offered: str) -> None:
    text = put_text(TARN, key, typed)
    faults, _ = judged(text)
    assert faults
    mends = list(mends_of(text, TARN, key))
    assert [mend.said for _, mend in mends] == [offered]
    assert not unwritten(offered)
    left, _ = judged(mends[0][1].applied(text))
    assert left == ()


@pytest.mark.slow
def test_a_finding_is_given_a_change_that_takes_it_away_and_brings_no_other() -> None:
    _, before = judged(TARN)
    (problem, mend), *_ = mends_of(TARN)
    assert problem in {problem_of(finding) for finding in poor(before)}
    faults, after = judged(mend.applied(TARN))
    assert faults == ()
    assert {problem_of(f) for f in poor(after)} <= {problem_of(f) for f in poor(before)} - {problem}
