"""What a blank's holes, keyway and recess may just not be: metal of no thickness at all is none.

Sizes are chosen so that corners lie on whole numbers: a keyway 10 wide and 4 deep in a bore of 16 reaches to 13
(5-12-13).
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tests.parts.gauge_jobs import job_of, turned
from wheelcad.errors import DesignError
from wheelcad.parts.blank.design import design_blank
from wheelcad.parts.blank.found import APART, _pieces, _same, found_paths

KEYED = {"bore": 16.0, "keyway": {"width": 10.0, "depth": 4.0, "at": 0.0}}


def _pulley(hub: float, **more: Any) -> dict[str, Any]:
    lands = [{"length": 6.0, "diameter": hub}, "wheel", {"length": 10.0, "diameter": hub}]
    return {**KEYED, "turned": lands, **more}


def _refused(pulley: dict[str, Any]) -> list[str]:
    job = job_of(**turned(pulley=pulley))
    try:
        design_blank(job)
    except DesignError as error:
        return [fault.dotted for fault in error.faults]
    return []


def _bolts(circle: float) -> dict[str, Any]:
    return {"count": 1, "circle": circle, "hole": 2.0, "first_at": 180.0}


@pytest.mark.parametrize(
    ("pulley", "key"),
    [
        (_pulley(26.0), "pulley.keyway.depth"),
        (_pulley(26.2), None),
        (_pulley(16.0), "pulley.bore"),  # and not the keyway, which is then no matter
        (_pulley(60.0, bolts=_bolts(28.0)), "pulley.bolts.circle"),
        (_pulley(60.0, bolts=_bolts(28.2)), None),
        (_pulley(60.0, bolts=_bolts(58.0)), "pulley.bolts.circle"),
        (_pulley(60.0, bolts=_bolts(57.8)), None),
        (_pulley(60.0, recess={"diameter": 60.0, "depth": 3.0}), "pulley.recess.diameter"),
        (_pulley(60.0, recess={"diameter": 59.8, "depth": 3.0}), None),
        (_pulley(60.0, recess={"diameter": 16.0, "depth": 3.0}), "pulley.recess.diameter"),
        (_pulley(60.0, recess={"diameter": 59.8, "depth": 20.0}), "pulley.recess.depth"),
        (_pulley(60.0, recess={"diameter": 59.8, "depth": 19.8}), None),
    ],
)
def test_metal_that_comes_to_nothing_is_refused_and_a_tenth_is_not(pulley: dict[str, Any], key: str | None) -> None:
    assert _refused(pulley) == ([key] if key else [])


def test_a_groove_as_deep_as_the_step_reaches_the_axis() -> None:
    lands = [{"length": 6.0, "diameter": 70.0}, "wheel"]
    for depth, key in ((35.0, "pulley.turned[2].groove.depth"), (20.0, None)):
        groove = {"width": 60.0, "depth": depth, "angle": 36.0}
        step = {"length": 80.0, "diameter": 70.0, "groove": groove}
        assert _refused({"bore": 6.0, "turned": [*lands, step]}) == ([key] if key else [])


def test_a_line_as_found_that_the_turned_outline_follows_is_not_drawn_again() -> None:
    """A piece as found of ⌀110 and 20 long; turned: ⌀70 for 6, the ring of ⌀100 for 4, ⌀70 for 10. Rear faces agree,
    and so do the front ones, so of the outline as found there is left: the front face beyond ⌀70, the outside whole,
    the rear face beyond ⌀70; what lies within ⌀70 is turned as well."""
    pulley = {**_pulley(70.0), "as_found": [{"length": 20.0, "diameter": 110.0}]}
    blank = design_blank(job_of(**turned(pulley=pulley)))
    assert blank is not None
    front, back = blank.found[0].z_front, blank.found[-1].z_back
    run = [(front, 35.0, 0.0), (front, 55.0, 0.0)]
    edges = sorted({z for land in blank.lands for z in (land.z_front, land.z_back)}, reverse=True)
    run += [(z, 55.0, 0.0) for z in edges[1:]] + [(back, 35.0, 0.0)]
    upper, lower = found_paths(blank)
    assert np.array(upper) == pytest.approx(np.array(run))
    assert np.array(lower) == pytest.approx(np.array(run) * (1, -1, 1))


def test_how_near_an_outline_lies_to_be_the_same() -> None:
    """Of a face as found at the turned front: within the turned radius it is on it, a little outside it is not."""
    pulley = {**_pulley(70.0), "as_found": [{"length": 20.0, "diameter": 110.0}]}
    blank = design_blank(job_of(**turned(pulley=pulley)))
    assert blank is not None
    front = blank.lands[0].z_front
    for radius, same in ((35.0 + APART / 2, True), (35.0 + 2 * APART, False), (20.0, True)):
        assert _same(blank.lands, ((front, radius - 1e-6), (front, radius + 1e-6))) is same
    for radius, same in ((35.0 - APART / 2, True), (35.0 - 2 * APART, False)):
        assert _same(blank.lands, ((front - 1.0, radius), (front - 2.0, radius))) is same
    assert all(a != b for a, b in _pieces(blank))
