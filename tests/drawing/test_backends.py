"""DXF, PDF and SVG of one description say the same, true to size, and the same every time."""

from __future__ import annotations

import io
import re
import subprocess
import sys
from pathlib import Path

import ezdxf
import pypdf
import pytest

from tests.drawing.trial import TOLERANCE_MM, trial_sheet
from wheelcad.drawing.dxf import dxf_bytes, write_dxf
from wheelcad.drawing.ink import Letters, Stroke
from wheelcad.drawing.layout import compose
from wheelcad.drawing.model import Line, Sheet, TitleBlock, View
from wheelcad.drawing.pdf import pdf_bytes, write_pdf
from wheelcad.trade.layers import LAYERS


def plain(text: str) -> str:
    """A DXF text without its control codes."""
    for code, sign in (("%%c", "⌀"), ("%%d", "°"), ("%%p", "±")):
        text = text.replace(code, sign)
    return text


def read(data: bytes) -> ezdxf.document.Drawing:
    """A DXF from its bytes."""
    return ezdxf.read(io.StringIO(data.decode("utf-8")))


def test_the_same_bytes_every_time() -> None:
    assert dxf_bytes(trial_sheet()) == dxf_bytes(trial_sheet())
    assert pdf_bytes(trial_sheet()) == pdf_bytes(trial_sheet())


def test_the_same_bytes_in_another_process(tmp_path: Path) -> None:
    """Neither hash order nor the hour may show."""
    code = (
        "import sys; from tests.drawing.trial import trial_sheet; from wheelcad.drawing.dxf import write_dxf;"
        "from wheelcad.drawing.pdf import write_pdf;"
        "write_dxf(trial_sheet(), sys.argv[1]); write_pdf(trial_sheet(), sys.argv[2])"
    )
    root = Path(__file__).resolve().parents[2]
    subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "a.dxf"), str(tmp_path / "a.pdf")],
        check=True,
        cwd=root,
        env={"PYTHONHASHSEED": "7", "PATH": "/usr/bin:/bin", "TZ": "Asia/Tokyo"},
    )
    assert (tmp_path / "a.dxf").read_bytes() == dxf_bytes(trial_sheet())
    assert (tmp_path / "a.pdf").read_bytes() == pdf_bytes(trial_sheet())


@pytest.mark.parametrize("units", ["mm", "in", "dual"])
def test_every_dimension_is_a_true_one_and_measures_what_it_says(units: str) -> None:
    sheet = trial_sheet(units)  # type: ignore[arg-type]
    page = compose(sheet)[0]
    doc = read(dxf_bytes(page))
    wanted = {g.measure.text: g.measure.value for g in page.groups if g.measure}
    dims = list(doc.modelspace().query("DIMENSION"))
    assert len(dims) == sum(1 for g in page.groups if g.measure)
    for dim in dims:
        assert dim.dxf.text == " "  # what is read stands beside it, in its box, where every program leaves it
        text = plain(dim.get_xdata("WHEELCAD")[0].value).replace("-", "−")
        factor = 1.0 if dim.dimtype in (2, 5) else dim.get_dim_style().dxf.dimlfac
        measured = dim.get_measurement() * factor
        assert measured == pytest.approx(wanted[text], abs=1e-6)
        assert dim.dxf.actual_measurement == pytest.approx(wanted[text], abs=1e-9)
        printed = float(re.sub(r"^\(?(\d+× )?[⌀R]?", "", text).split()[0].rstrip("°)"))
        if units == "in" and "°" not in text:
            printed *= 25.4
        assert printed == pytest.approx(measured, abs=0.005 if units != "in" else 0.0127)


def test_model_space_is_the_part_at_full_size() -> None:
    """Whatever the scale, a 100 mm edge measures 100 mm in CAD, and its view's origin is 0, 0."""
    view = View("v", (Line((0, 0), (100, 0)),))
    for scale in (1.0, 0.5, 2.0):
        doc = read(dxf_bytes(Sheet("s", TitleBlock("t", "n"), (view,), papers=("A3",), scale=scale)))
        edge = next(iter(doc.modelspace().query('LINE[layer=="OUTLINE"]')))
        assert edge.dxf.start.isclose((0, 0), abs_tol=1e-9)
        assert edge.dxf.end.isclose((100, 0), abs_tol=1e-9)
        assert doc.header["$INSUNITS"] == 4


def test_layers_and_pens() -> None:
    doc = read(dxf_bytes(trial_sheet()))
    assert doc.dxfversion == "AC1027"
    for name, layer in LAYERS.items():
        entry = doc.layers.get(name)
        assert entry.color == 7
        assert entry.dxf.lineweight == round(layer.width_mm * 100)
    found = next(iter(doc.modelspace().query('LWPOLYLINE[layer=="HIDDEN"]')))
    assert found.dxf.linetype == "DOUBLE_CHAIN"
    assert not list(doc.modelspace().query("SPLINE"))


def test_all_back_ends_say_the_same_words() -> None:
    page = compose(trial_sheet())[0]
    words = {i.text for g in page.groups for i in g.ink if isinstance(i, Letters)}
    doc = read(dxf_bytes(page))
    in_dxf = {plain(e.dxf.text) for e in doc.query("TEXT")} | {
        plain(e.dxf.text) for block in doc.blocks for e in block.query("TEXT")
    }
    assert {w.replace("−", "-").replace("–", "-") for w in words} <= {w.replace("−", "-") for w in in_dxf}
    in_pdf = pypdf.PdfReader(io.BytesIO(pdf_bytes(page))).pages[0].extract_text()
    squeezed = in_pdf.replace(" ", "").replace("\n", "")
    missing = [w for w in words if w.replace(" ", "") not in squeezed]
    assert not missing


def test_pdf_is_true_to_size() -> None:
    """At 1:1 a 100 mm edge is 100 mm long on paper, which is A3."""
    view = View("v", (Line((0, 0), (100, 0)),))
    data = pdf_bytes(Sheet("s", TitleBlock("t", "n"), (view,), papers=("A3",), scale=1.0))
    page = pypdf.PdfReader(io.BytesIO(data)).pages[0]
    assert float(page.mediabox.width) * 25.4 / 72 == pytest.approx(420, abs=1e-3)
    assert float(page.mediabox.height) * 25.4 / 72 == pytest.approx(297, abs=1e-3)
    content = page.get_contents()
    assert content is not None
    numbers = re.findall(r"([\d.]+) ([\d.]+) m ([\d.]+) ([\d.]+) l", content.get_data().decode("latin-1"))
    lengths = [(float(x1) - float(x0)) * 25.4 / 72 for x0, y0, x1, y1 in numbers if y0 == y1]
    assert any(abs(length - 100.0) < 1e-3 for length in lengths)


def test_pdf_of_several_sheets_has_as_many_pages() -> None:
    assert len(pypdf.PdfReader(io.BytesIO(pdf_bytes([trial_sheet(), trial_sheet()]))).pages) == 2


def test_dxf_of_several_sheets_stands_side_by_side() -> None:
    doc = read(dxf_bytes([trial_sheet(), trial_sheet()]))
    frames = [
        e
        for e in doc.modelspace().query('LWPOLYLINE[layer=="FRAME"]')
        if max(p[0] for p in e.get_points()) - min(p[0] for p in e.get_points()) > 180.5
    ]
    spans = sorted((min(p[0] for p in e.get_points()), max(p[0] for p in e.get_points())) for e in frames)
    assert len(spans) == 2
    assert spans[0][1] < spans[1][0]


def test_the_tolerance_is_written_in_the_sheets_units() -> None:
    for units, said in (("mm", "0.04"), ("in", "0.0016")):
        page = compose(trial_sheet(units))[0]  # type: ignore[arg-type]
        assert any(g.name == f"run-out {said}" for g in page.groups)
    assert TOLERANCE_MM == 0.04


def test_files_are_written_whole(tmp_path: Path) -> None:
    sheet = trial_sheet()
    write_dxf(sheet, tmp_path / "a.dxf")
    write_pdf(sheet, tmp_path / "a.pdf")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a.dxf", "a.pdf"]
    with pytest.raises(OSError, match="No such file"):
        write_dxf(sheet, tmp_path / "none" / "a.dxf")


def test_descriptions_load_no_file_library() -> None:
    """Whoever writes a sheet must not pay for DXF or PDF libraries."""
    code = (
        "import sys, wheelcad.drawing.model, wheelcad.drawing.layout;"
        "print([m for m in ('ezdxf', 'reportlab', 'cadquery', 'OCP', 'scipy', 'trimesh') if m in sys.modules])"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert said.strip() == "[]"


def test_boxes_and_words_of_dimensions_stay_in_every_program() -> None:
    """A program that draws DIMENSIONs anew shows neither block nor override: words and boxes are entities of their own.
    LibreCAD 2.2 was seen to drop the boxes, and to put angles' and diameters' texts elsewhere, while they were not."""
    page = compose(trial_sheet())[0]
    space = read(dxf_bytes(page)).modelspace()
    texts = {plain(e.dxf.text): e.dxf.insert for e in space.query("TEXT")}
    boxes = [[(p[0], p[1]) for p in e.get_points()] for e in space.query("LWPOLYLINE") if e.closed and len(e) == 4]
    exact = [g for g in page.groups if g.measure and any(isinstance(i, Stroke) and i.closed for i in g.ink)]
    assert exact
    for group in page.groups:
        if group.measure:
            assert plain(group.measure.text).replace("−", "-") in {text.replace("−", "-") for text in texts}
    for group in exact:
        x, y, _ = texts[group.measure.text]  # type: ignore[union-attr]
        assert any(
            min(p[0] for p in box) - 9 < x < max(p[0] for p in box) + 9
            and min(p[1] for p in box) - 9 < y < max(p[1] for p in box) + 9
            for box in boxes
        )
