"""What the softer clamping takes away, worked out from the proposals' coarse mesh; all by hand. Hz, mm, MPa."""

from __future__ import annotations

from typing import cast

import pytest

from tests.conftest import demo_text
from wheelcad.checks.fem.campbell import Campbell, campbell
from wheelcad.checks.fem.mending_findings import mending_findings
from wheelcad.checks.fem.model import (
    BracketChange,
    BracketProposals,
    Held,
    Mode,
    ModeShare,
    ShakeAnswer,
    StiffnessResult,
    TabWall,
    scaled,
)
from wheelcad.job.reader import parse_job
from wheelcad.parts.bracket.model import BracketDesign

SHAKE = ShakeAnswer("along", (1.0, 0.0, 0.0), 0.4, (0.8, 1.2, 2.0), 30.0, (ModeShare(0.2, (4.0, 8.0, 12.0), 6.0, 0.7),))


def _held(how: str, *frequencies: float) -> Held:
    return Held(how, frequencies, (SHAKE,))


def test_twice_the_frequency_gives_way_a_quarter_as_much() -> None:
    got = scaled(_held("", 100.0, 250.0), 2.0)
    assert got.frequencies_hz == (200.0, 500.0)
    (shake,) = got.shakes
    assert (shake.gap_change_mm, shake.sideways_mm, shake.stress_mpa) == (0.1, (0.2, 0.3, 0.5), 15.0)
    assert shake.modes == (ModeShare(0.05, (1.0, 2.0, 3.0), 3.0, 0.7),)


def _result(stiff: Held | None) -> StiffnessResult:
    mode = Mode(300.0, (0.0, 0.0, 1.0), 1.0)
    return StiffnessResult(
        (mode,), 1.0, True, (), (SHAKE,), 10.0, 30.0, 0.1, (0.0, 0.0, 0.0), 1e4, "elements", None, stiff
    )


def test_the_softer_clamping_is_taken_off_the_finer_answer() -> None:
    """On the coarse mesh 100 and 120; the finer one has 300 for the stiffer: 250 for the softer."""
    found = BracketProposals((_held("soft", 100.0, 400.0), _held("stiff", 120.0, 410.0)))
    got = _result(_held("fine", 300.0)).mended_by(found)
    assert got.proposals is found
    assert got.soft is not None
    assert got.soft.frequencies_hz == pytest.approx((250.0, 1000.0))


@pytest.mark.parametrize(("base", "stiff"), [(("soft",), "fine"), ((), "fine"), (("soft", "stiff"), None)])
def test_without_both_clampings_nothing_is_taken_off(base: tuple[str, ...], stiff: str | None) -> None:
    found = BracketProposals(tuple(_held(how, 100.0) for how in base))
    got = _result(None if stiff is None else _held(stiff, 300.0)).mended_by(found)
    assert (got.proposals, got.soft) == (found, None)


def test_a_round_hole_has_no_travel() -> None:
    assert TabWall((0.0, 0.0, 0.0), (0.0, 0.0, 4.0), 12.0).travel == (0.0, 0.0, 0.0)


def test_the_speeds_of_the_plot_go_on_past_the_highest() -> None:
    """5200 and 18 % more, in 26 equal steps; a first frequency with the softer clamping that is not known is 0."""
    engine = parse_job(demo_text("tarn-six")).engine
    plot = campbell([100.0], engine)
    assert plot is not None
    assert len(plot.speeds_rpm) == 27
    assert (plot.speeds_rpm[0], plot.speeds_rpm[1], plot.speeds_rpm[-1]) == (0.0, 236.0, 6136.0)
    assert plot.softer_hz == 0.0
    assert Campbell((), 0.0, 0.0, (), (), ()).softer_hz == 0.0


def test_a_change_is_told_where_it_brings_the_frequency_up_at_all() -> None:
    """One that brings it to where it is already is not; nothing is where the bracket is stiff enough."""
    same, more = BracketChange("width", "bracket.width: 50 mm", 100.0), BracketChange("thickness", "thicker", 100.1)
    enough = BracketChange("both", "both", 200.0)
    base = (_held("soft", 100.0),)
    for wanted, told in ((1.0, []), (1.04, ["stiffer-enough", "stiffer-thickness"])):
        found = BracketProposals(base, (same, more), (enough,), wanted=wanted)
        got = [str(one.check) for one in mending_findings(found, cast(BracketDesign, None))]
        assert got == told
