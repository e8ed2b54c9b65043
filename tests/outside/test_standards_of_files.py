"""What the written files say in the words of published standards."""

from __future__ import annotations

import zipfile
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import ezdxf.units
import numpy as np
import pytest

from tests.conftest import plate_job
from wheelcad.drawing.paper import PAPERS
from wheelcad.files.dxf import write_cut_dxf
from wheelcad.files.threemf import Body3mf, write_3mf
from wheelcad.parts.indexing.design import design_indexing
from wheelcad.parts.indexing.program import rotary_program
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.trade.layers import DASHES_IN_WIDTHS
from wheelcad.trade.loop import Loop

# Source: ISO 6983-1 and DIN 66025 as makers of controls print them: G00 positioning, G90 absolute, M00 stop, M30 end
CODES = {"G00": "positioning", "G90": "absolute", "M00": "stop", "M30": "end"}


def test_words_of_the_axis_program() -> None:
    shop = "shop: {rotary_table: {ratio: 40, dial_step: 0.05}, rotary_axis: yes, cutter: {diameter: 6}}\n"
    job = plate_job(extra=shop)
    plan = design_indexing(job, design_wheel(job))
    assert plan is not None
    blocks = [line.split("(")[0].split() for line in rotary_program(plan).splitlines() if line.startswith("N")]
    words = [word for block in blocks for word in block[1:]]
    assert {word for word in words if word[0] in "GM"} == set(CODES)
    assert words[0] == "G90"  # before the first move
    assert words[-1] == "M30"
    assert all(word[0] in "GMA" for word in words)  # A: the axis that turns about X
    numbers = [int(block[0][1:]) for block in blocks]
    assert numbers == sorted(set(numbers))


def test_units_in_a_dxf(tmp_path: Path) -> None:
    # Source: DXF reference, $INSUNITS: 1 inches, 4 millimetres; ezdxf, a reader by others, says the same
    assert (ezdxf.units.IN, ezdxf.units.MM) == (1, 4)
    write_cut_dxf(tmp_path / "cut.dxf", {"OUTLINE": [Loop.circle(0, 0, 10)]})
    written = ezdxf.readfile(tmp_path / "cut.dxf")
    assert written.units == 4
    assert written.layers.get("OUTLINE").color == 7  # black on white, white on black: the index colour 7 of the format


def test_units_of_a_3mf(tmp_path: Path) -> None:
    """3MF core specification: a model's unit is one of six words, millimeter where none is said; ours says it."""
    corners = np.array([[0, 0, 0], [25.4, 0, 0], [0, 25.4, 0], [0, 0, 25.4]], dtype=float)
    faces = [[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]]
    write_3mf(tmp_path / "gauge.3mf", [Body3mf("piece", corners[faces])], "trial")
    with zipfile.ZipFile(tmp_path / "gauge.3mf") as held:
        model = ElementTree.fromstring(held.read("3D/3dmodel.model"))
    assert model.attrib["unit"] == "millimeter"
    assert model.attrib["unit"] in ("micron", "millimeter", "centimeter", "inch", "foot", "meter")
    name = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}vertex"
    places = np.array([[float(vertex.attrib[axis]) for axis in "xyz"] for vertex in model.iter(name)])
    assert np.ptp(places, axis=0) == pytest.approx([25.4] * 3)  # an inch, told in millimetres


@pytest.mark.parametrize(("name", "sheet", "space"), [("A4", (210, 297), (180, 277)), ("A3", (420, 297), (390, 277))])
def test_drawing_space(name: str, sheet: tuple[int, int], space: tuple[int, int]) -> None:
    """ISO 5457: sheets of ISO 216, a border of 20 mm on the left and 10 mm on the others."""
    x0, y0, x1, y1 = PAPERS[name].frame
    assert (x1 - x0, y1 - y0) == space == (sheet[0] - 30, sheet[1] - 20)
    assert (x0, y0) == (20, 10)


@pytest.mark.parametrize(
    ("line", "period"),
    # Source: ISO 128-2: dash 12 d, gap 3 d, long dash 24 d, dot at most 0.5 d; from memory
    [("DASHED", 15), ("CHAIN", 30.5), ("DOUBLE_CHAIN", 34)],
)
def test_length_of_one_repeat_of_a_line(line: str, period: float) -> None:
    assert sum(DASHES_IN_WIDTHS[line]) == period
