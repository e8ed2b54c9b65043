"""Where written drawings have their title block, dimensions and lines, against the standards of drawings.

Sources: ISO 7200:2004 (fields, those that must be, and their lengths, as a drawing program's handbook prints them), ISO
129-1:2018 (clause 5, as a page of standards quotes it), ISO 128-2 (widths 0.7 and 0.35 or 0.5 and 0.25, in the ratio
of two to one, as a manual of engineering drawing prints them). Read from the DXF files with a reader by others.
"""

from __future__ import annotations

import math
from collections import Counter
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from tests.conftest import DEMOS, demo_text
from wheelcad.drawing.dxf import write_dxf
from wheelcad.job.reader import parse_job
from wheelcad.packet.sheets import drawing_sheets
from wheelcad.parts.common.sheets import laid_out
from wheelcad.parts.design import design_job

# ISO 7200's name of each field that must be, what ours is called, and most characters (None: not said)
# (16 are recommended for the number, which is the job's name and the part's: a job's name is its user's affair)
MANDATORY = {
    "legal owner": ("Legal owner", None), "identification number": ("Identification number", None),
    "date of issue": ("Date of issue", 10), "segment or sheet number": ("Sheet", 4), "title": ("Title", None),
    "approval person": ("Approved by", 20), "creator": ("Created by", 20), "document type": ("Document type", 30),
}  # fmt: skip
WIDE = 180.0  # mm: the title block is as wide as an A4 sheet's drawing space
WIDTHS = ((0.7, 0.35), (0.5, 0.25))
LINES = (0, 1)  # DXF's types of dimension that measure straight: turned and aligned


@pytest.fixture(scope="module", params=DEMOS)
def drawn(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """A demo's drawings as another reads them, by the part's name."""
    folder: Path = tmp_path_factory.mktemp("placings")
    out = {}
    for name, sheet in drawing_sheets(design_job(parse_job(demo_text(request.param)))).items():
        write_dxf(laid_out(sheet), folder / f"{name}.dxf")
        out[name] = ezdxf.readfile(folder / f"{name}.dxf")
    assert len(out) >= 2
    return out


def _boxes(doc: Any) -> list[tuple[float, float, float, float]]:
    """Closed rectangles on FRAME, the largest first: left, bottom, right, top."""
    found = []
    for line in doc.modelspace().query("LWPOLYLINE[layer=='FRAME']"):
        xs, ys = zip(*[(x, y) for x, y, *_ in line.get_points()], strict=True)
        found.append((min(xs), min(ys), max(xs), max(ys)))
    return sorted(found, key=lambda b: -(b[2] - b[0]) * (b[3] - b[1]))


def _texts_in(doc: Any, box: tuple[float, float, float, float]) -> list[Any]:
    x0, y0, x1, y1 = box
    found = doc.modelspace().query("TEXT")
    return [t for t in found if x0 <= t.get_placement()[1].x <= x1 and y0 <= t.get_placement()[1].y <= y1]


def _title_box(doc: Any) -> tuple[tuple[float, float, float, float], tuple[float, float, float, float]]:
    """The frame and the title block."""
    boxes = _boxes(doc)
    frame = boxes[0]
    block = next(b for b in boxes[1:] if math.dist((b[2], b[1]), (frame[2], frame[1])) < 1e-6)
    return frame, block


def test_the_title_block_s_place(drawn: dict[str, Any]) -> None:
    """In the lower right corner of the drawing space, 180 mm wide."""
    for doc in drawn.values():
        frame, block = _title_box(doc)
        sheet = {180.0: "A4", 277.0: "A4 lying", 390.0: "A3", 186.0: "Letter", 249.0: "Letter lying", 402.0: "Tabloid"}
        per_mm = [(block[2] - block[0]) / WIDE]
        inside = (frame[2] - frame[0]) / per_mm[0]
        assert min(abs(inside - width) for width in sheet) < 0.7, inside


def test_the_title_block_has_the_fields_that_must_be(drawn: dict[str, Any]) -> None:
    for name, doc in drawn.items():
        _, block = _title_box(doc)
        texts = _texts_in(doc, block)
        named = {text.dxf.text: text for text in texts}
        for field, (label, most) in MANDATORY.items():
            assert label in named, (name, field)
            value = _under(named[label], texts, block)
            if most is not None and label != "Sheet":
                assert len(value) <= most, (name, field, value)
        number, _, of = _under(named["Sheet"], texts, block).partition(" of ")
        assert number.isdigit(), name
        assert of.isdigit(), name
        assert 1 <= int(number) <= int(of) <= 9999
        assert _under(named["Identification number"], texts, block)
        assert _under(named["Document type"], texts, block)


def _under(label: Any, texts: list[Any], block: tuple[float, float, float, float]) -> str:
    """The text that stands under a field's name."""
    at = label.get_placement()[1]
    height = label.dxf.height
    below = [
        (at.y - t.get_placement()[1].y, t.dxf.text)
        for t in texts
        if not t.dxf.text.startswith("job ")  # the marks, over the number
        and abs(t.get_placement()[1].x - at.x) < 0.2 * height
        and at.y - t.get_placement()[1].y > 0
    ]
    near = [text for down, text in sorted(below) if down < 4.5 * height]
    return near[0] if near else ""


def test_dimensions_stand_above_their_line_and_are_read_from_the_bottom_or_the_right(drawn: dict[str, Any]) -> None:
    counted = Counter[str]()
    for name, doc in drawn.items():
        for text in doc.modelspace().query("TEXT"):
            assert -90 < text.dxf.rotation <= 90, (name, text.dxf.text)
        for dim in doc.modelspace().query("DIMENSION"):
            if dim.dimtype not in LINES:
                continue
            p, q, on, text = dim.dxf.defpoint2, dim.dxf.defpoint3, dim.dxf.defpoint, dim.dxf.text_midpoint
            way = dim.dxf.angle if dim.dimtype == 0 else math.degrees(math.atan2(q.y - p.y, q.x - p.x))
            reads = (way + 90 - 1e-6) % 180 - 90 + 1e-6  # -90 < reads <= 90: the way the text runs
            up = (-math.sin(math.radians(reads)), math.cos(math.radians(reads)))
            assert up[0] * (text.x - on.x) + up[1] * (text.y - on.y) > 0, (name, dim.dxf.text)
            counted["upright" if abs(reads - 90) < 1e-3 else "level"] += 1
    assert min(counted.values()) >= 5


def test_each_dimension_is_given_once(drawn: dict[str, Any]) -> None:
    for name, doc in drawn.items():
        seen = Counter(
            (round(dim.dxf.get("angle", 0.0)) % 180, *sorted((round(p.x, 3), round(p.y, 3)) for p in
             (dim.dxf.defpoint2, dim.dxf.defpoint3)))
            for dim in doc.modelspace().query("DIMENSION") if dim.dimtype in LINES
        )  # fmt: skip
        assert seen
        assert max(seen.values()) == 1, (name, seen.most_common(1))


def test_two_widths_of_line_in_the_ratio_two_to_one(drawn: dict[str, Any]) -> None:
    """Wide for outlines, narrow for what is not the part: dimensions, centre lines, hatching."""
    for doc in drawn.values():
        width = {name: doc.layers.get(name).dxf.lineweight / 100 for name in ("OUTLINE", "DIM", "CENTRE", "HATCH")}
        assert (width["OUTLINE"], width["DIM"]) in WIDTHS
        assert width["DIM"] == width["CENTRE"] == width["HATCH"]
