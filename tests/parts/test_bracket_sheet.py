"""The bracket's drawing: views true to the solid, tables true to the design, files that carry the sizes."""

from __future__ import annotations

import math
from pathlib import Path

import cadquery as cq
import ezdxf
import numpy as np
import pytest
from pypdf import PdfReader
from shapely.geometry import Polygon

from tests.parts.bracket_jobs import along_job, flat_job, in_job
from wheelcad.drawing.dxf import write_dxf
from wheelcad.drawing.model import Linear
from wheelcad.drawing.model import Path as Drawn
from wheelcad.drawing.pdf import write_pdf
from wheelcad.job.models import Job
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.bracket.fold_shapes import plan_outlines, profile
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.bracket.sheet import bracket_sheet
from wheelcad.parts.bracket.solid import bracket_solids

JOBS: dict[str, Job] = {
    "L": in_job(bracket={"gusset": True, "bends": "hand"}, shop={"plasma": {"kerf": 1.4}}),
    "L in front": in_job(bracket={"mount_face": 40}),
    "Z": along_job(),
    "Z at 45": along_job(bracket={"mount_face": 2.5 + 0.8 + 24 - 5 - 12}),
    "flat": flat_job(),
}


def made(name: str) -> tuple[Job, BracketDesign]:
    design = design_bracket(JOBS[name])
    assert design is not None
    return JOBS[name], design


@pytest.mark.parametrize("name", ["L", "L in front", "Z", "Z at 45"])
def test_the_profile_is_the_plate_seen_along_the_bend(name: str) -> None:
    _, design = made(name)
    loop, t = profile(design), design.thickness
    arm = design.regions[0].loop.bounds()
    straight = arm[2] - design.bends[0].x_arm + design.bends[-1].x_tab
    straight += sum(a.x_tab - b.x_arm for a, b in zip(design.bends, design.bends[1:], strict=False))
    bent = sum(math.radians(b.angle_deg) * (b.inside_radius + t / 2) for b in design.bends)
    assert loop.area == pytest.approx(t * (straight + bent))
    # and it is as large as the solid, looked at the same way
    frame = design.regions[0].frame
    plane = cq.Plane(origin=frame.origin, xDir=frame.ex, normal=frame.ez)
    box = bracket_solids(design)[0][1].moved(cq.Location(plane).inverse).BoundingBox()
    x0, y0, x1, y1 = loop.bounds()
    assert (x0, y0, x1, y1) == pytest.approx((box.xmin, box.zmin, box.xmax, box.zmax), abs=2e-3)


@pytest.mark.parametrize("name", list(JOBS))
def test_the_plan_is_the_solid_seen_from_the_front(name: str) -> None:
    _, design = made(name)
    box = bracket_solids(design)[0][1].BoundingBox()
    points = np.vstack([loop.flatten(0.01) for loop in plan_outlines(design)])
    seen = (*points.min(axis=0), *points.max(axis=0))
    # the bends themselves are left out of the plan: at an L's corner they reach no further than the tab
    assert seen == pytest.approx((box.xmin, box.ymin, box.xmax, box.ymax), abs=0.02)
    for loop in plan_outlines(design):
        assert Polygon(loop.flatten(0.01)).is_valid


@pytest.mark.parametrize("name", list(JOBS))
def test_the_sheet_says_what_the_design_says(name: str) -> None:
    job, design = made(name)
    sheet = bracket_sheet(design, job)
    names = [view.name for view in sheet.views]
    assert names == (["flat", "side", "fitted"] if design.bends else ["flat", "fitted"])
    tables = {table.title: table for table in sheet.tables}
    assert len(tables["Holes"].rows) == len(design.holes)
    if design.bends:
        rows = tables["Bends, in this order"].rows
        assert [row[2] for row in rows] == ["up" if bend.up else "down" for bend in design.bends]
        assert [float(row[4]) for row in rows] == pytest.approx([b.line_x for b in design.bends], abs=0.005)
        assert [float(row[5]) for row in rows] == pytest.approx([b.allowance for b in design.bends], abs=0.005)
    assert any(note.caution for note in sheet.notes)


def test_dimensions_are_taken_from_the_part(tmp_path: Path) -> None:
    job, design = made("L")
    sheet = bracket_sheet(design, job)
    flat = next(view for view in sheet.views if view.name == "flat")
    lengths = {
        round(abs(d.b[0] - d.a[0]) if d.side in ("above", "below") else abs(d.b[1] - d.a[1]), 3)
        for d in flat.entities
        if isinstance(d, Linear)
    }
    assert {
        round(design.outline.extent()[0], 3),
        round(design.outline.extent()[1], 3),
        44.0,
        round(design.bends[0].line_x, 3),
    } <= lengths
    write_dxf(sheet, tmp_path / "d.dxf")
    doc = ezdxf.readfile(tmp_path / "d.dxf")
    measured = [round(e.get_measurement(), 2) for e in doc.modelspace().query("DIMENSION")]
    assert any(value == pytest.approx(design.outline.extent()[0], abs=0.01) for value in measured)
    layers = {entity.dxf.layer for entity in doc.modelspace()}
    assert {"OUTLINE", "HOLES", "SLIT", "BEND", "CENTRE", "DIM"} <= layers


def test_words_are_real_text(tmp_path: Path) -> None:
    job, design = made("L")
    write_pdf(bracket_sheet(design, job), tmp_path / "d.pdf")
    text = " ".join(page.extract_text() for page in PdfReader(tmp_path / "d.pdf").pages).replace("\n", " ")
    for words in (
        "Sensor bracket",
        "bend 1: up 90°",
        "gusset, 2 pieces",
        "mark, drill",
        "weld",
        "tooth ring, air gap 0.8",
    ):
        assert words in text, words


@pytest.mark.parametrize("name", ["L", "Z"])
def test_the_nose_is_drawn_as_thick_as_the_sensors_body(name: str) -> None:
    job, design = made(name)
    side = next(view for view in bracket_sheet(design, job).views if view.name == "side")
    nose = np.array(next(entity.vertices for entity in side.entities if isinstance(entity, Drawn)))[:, :2]
    assert job.sensor is not None
    assert np.linalg.norm(nose[0] - nose[3]) == pytest.approx(job.sensor.body_diameter)
    assert np.linalg.norm(nose[1] - nose[0]) == pytest.approx(job.sensor.nose_length)
