"""Edges measured in a written wheel.stl, against the design's, at the rim and where a sensor looks along."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.conftest import plate_job
from wheelcad.checks.teeth_seen import measured_edges
from wheelcad.job.models import Job, Sensor
from wheelcad.parts.design import design_job
from wheelcad.parts.solids import Solids, write_solids
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.teeth_seen import designed_edges
from wheelcad.signal.edges import gaps_in

SIDES = {
    "parallel": "{width: 6, depth: 6.35, sides: parallel, floor: round}",
    "radial": "{width: 6, depth: 6, sides: radial, floor: flat}",
}


def sensor(**said: object) -> Sensor:
    """A Hall sensor."""
    return Sensor.model_validate({"kind": "hall", "at": 60, **said}, context={"units": "mm"})


def written(job: Job, folder: Path) -> Job:
    """The job, its solids in the folder."""
    write_solids(Solids(design_job(job)), folder, lambda _: None)
    return job


@pytest.mark.parametrize("turns", ["clockwise", "anticlockwise"])
@pytest.mark.parametrize("sides", sorted(SIDES))
def test_file_and_design_agree(tmp_path: Path, sides: str, turns: str) -> None:
    job = written(plate_job(gap_at=3.0, turns=turns, slot=SIDES[sides]), tmp_path)
    wheel = design_wheel(job)
    for seen in (sensor(), sensor(looks="along"), sensor(looks="along", radius=78.5)):
        found, theory = measured_edges(tmp_path, wheel, seen), designed_edges(wheel, seen)
        for name in ("from_deg", "to_deg"):
            off = np.abs(getattr(found, name) - getattr(theory, name))
            assert np.minimum(off, 360 - off).max() < 1e-4
        assert found.radius_mm == pytest.approx(theory.radius_mm, abs=1e-4)
        assert found.slot_width_mm == pytest.approx(theory.slot_width_mm, abs=1e-3)
        assert found.slot_depth_mm == pytest.approx(theory.slot_depth_mm, abs=0.02)
        assert (found.source, theory.source) == ("files", "design")
        (gap,) = gaps_in(found)
        assert gap.at_deg == pytest.approx(3.0, abs=1e-4)
        assert gap.missing == 1


def test_a_wheel_looked_at_along_the_crank_has_other_edges_than_at_the_rim(tmp_path: Path) -> None:
    """Parallel sides: a tooth is narrower, in degrees, nearer to the axis."""
    wheel = design_wheel(written(plate_job(), tmp_path))
    rim = measured_edges(tmp_path, wheel, sensor())
    inner = measured_edges(tmp_path, wheel, sensor(looks="along", radius=77.5))
    wider = 2 * np.degrees(np.arcsin(3 / 77.5) - np.arcsin(3 / 80.0))
    assert rim.widths_deg - inner.widths_deg == pytest.approx(wider, abs=1e-4)


def test_another_wheels_file_is_refused(tmp_path: Path) -> None:
    written(plate_job(teeth=24), tmp_path)
    with pytest.raises(ValueError, match="23 teeth instead of 35"):
        measured_edges(tmp_path, design_wheel(plate_job()), sensor())
