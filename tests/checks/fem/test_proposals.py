"""Changes that would stiffen a bracket."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.parts.bracket_jobs import along_job, flat_job, in_job
from wheelcad.checks.fem.proposals import changes, next_plate, variants
from wheelcad.checks.fem.setup import STEP, bracket_coarse_hz
from wheelcad.job.models import Job
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.trade.bending import least_inside_radius_mm
from wheelcad.units import INCH_MM


def designed(job: Job) -> BracketDesign:
    design = design_bracket(job)
    assert design is not None
    return design


def base_hz(folder: Path, job: Job) -> float:
    """What the first mesh makes of the bracket as it is."""
    from wheelcad.files.step import write_step
    from wheelcad.parts.bracket.solid import bracket_solid

    design = designed(job)
    write_step(folder / STEP, bracket_solid(design), "bracket")
    return bracket_coarse_hz(folder / STEP, design)


def test_stock_plate() -> None:
    assert next_plate(5.0) == 6.0
    assert next_plate(4.7625) == pytest.approx(6.35)  # 3/16 in to 1/4 in
    assert next_plate(4.5) == 5.0
    assert next_plate(3 * INCH_MM) == pytest.approx(4.5 * INCH_MM)


def test_each_variant_changes_one_thing() -> None:
    job = in_job()
    design = designed(job)
    made = {v.name: v for v in variants(design)}
    assert list(made) == ["gusset", "thickness", "width", "shorter-arm", "shorter-tab"]
    thicker = made["thickness"].made
    assert not isinstance(thicker, str)
    assert thicker.thickness == 6.0
    assert thicker.bends[0].inside_radius >= least_inside_radius_mm("mild-steel", 6.0)
    wider = made["width"].made
    assert not isinstance(wider, str)
    assert (wider.width, wider.thickness) == (55.0, design.thickness)
    nearer = made["shorter-arm"].made
    if not isinstance(nearer, str):
        assert nearer.free_length < design.free_length
    packed = made["shorter-tab"].made
    assert not isinstance(packed, str)
    assert -32 < packed.asked.bracket.mount_face < 0


def test_what_is_there_already_is_not_offered() -> None:
    gusseted = in_job(bracket={"gusset": True, "width": 60})
    assert "gusset" not in [v.name for v in variants(designed(gusseted))]
    flat = flat_job()
    assert [v.name for v in variants(designed(flat))] == ["thickness", "width", "shorter-arm"]


def test_a_change_that_cannot_be_made_says_why() -> None:
    """A gusset has no room beside this sensor's flange."""
    job = in_job(bracket={"width": 30})
    gusset = next(v for v in variants(designed(job)) if v.name == "gusset")
    assert isinstance(gusset.made, str)
    assert "bracket.gusset" in gusset.made


def test_thicker_plate_by_the_rule(tmp_path: Path) -> None:
    """From 5 to 6 mm: 6/5 where only the plate's own mass swings, (6/5)**1.5 where only the sensor's does: bending
    stiffness goes with the cube of the thickness, the plate's mass with the first power. Source: beam theory.
    """
    job = along_job(sensor={"from": "back"}, bracket={"mount_face": -(2.5 + 0.8 + 24)})
    said: list[str] = []
    offered = changes(designed(job), said.append)
    assert said == ["thickness", "width", "shorter-arm"]
    thicker = next(p for p in offered if p.name == "thickness")
    assert thicker.first_hz is not None
    assert 1.2 < thicker.first_hz / base_hz(tmp_path, job) < 1.2**1.5
    assert [p.first_hz or 0.0 for p in offered] == sorted((p.first_hz or 0.0 for p in offered), reverse=True)


@pytest.mark.slow
@pytest.mark.parametrize("job", [in_job(), along_job()], ids=["L", "Z"])
def test_every_shape_gets_its_proposals(tmp_path: Path, job: Job) -> None:
    offered = changes(designed(job))
    assert {p.name for p in offered} >= {"gusset", "thickness", "width", "shorter-arm", "shorter-tab"}
    assert max(p.first_hz or 0.0 for p in offered) > 1.1 * base_hz(tmp_path, job)
    assert all(p.first_hz is not None or p.why_not for p in offered)
