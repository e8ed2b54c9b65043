"""What the drawings of blank and wheel show: every size of the design, from the design's own numbers."""

from __future__ import annotations

import io
import math

import ezdxf
import pytest

from tests.conftest import demo_text, edited, plate_job
from wheelcad.drawing.dxf import dxf_bytes
from wheelcad.drawing.ink import Letters, Stroke
from wheelcad.drawing.layout import Page, compose, overlaps
from wheelcad.drawing.model import Line, Linear, Path, Sheet, Tolerance
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.packet.sheets import drawing_sheets
from wheelcad.parts.adapter.design import design_adapter
from wheelcad.parts.adapter.sheet import adapter_sheet
from wheelcad.parts.balance.design import design_balance
from wheelcad.parts.blank.design import design_blank
from wheelcad.parts.blank.found import found_paths, is_turned
from wheelcad.parts.blank.sheet import blank_mass_kg, blank_sheet
from wheelcad.parts.common.sheets import laid_out
from wheelcad.parts.design import design_job
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.sheet import wheel_sheet
from wheelcad.trade.layers import DOUBLE_CHAIN


def blank_of(job: Job) -> Sheet:
    """The blank's drawing."""
    blank, balance = design_blank(job), design_balance(job, design_wheel(job))
    assert blank is not None
    return blank_sheet(job, blank, balance.runout_limit_mm, balance.runout_by)


def wheel_of(job: Job) -> Sheet:
    """The wheel's drawing."""
    wheel = design_wheel(job)
    balance = design_balance(job, wheel)
    return wheel_sheet(job, wheel, design_blank(job), balance)


def said(page: Page) -> set[str]:
    """All dimension texts."""
    return {g.measure.text for g in page.groups if g.measure}


def words(page: Page) -> set[str]:
    """All texts."""
    return {i.text for g in page.groups for i in g.ink if isinstance(i, Letters)}


def test_demo_drawings_overlap_nowhere(demo: Job) -> None:
    assert overlaps(wheel_of(demo)) == []
    if design_blank(demo) is not None:
        assert overlaps(blank_of(demo)) == []


def test_every_diameter_and_length_of_the_blank_is_there_once(six: Job) -> None:
    """Worked out by hand from the job: what the lathe makes bare, what is in the piece already in brackets."""
    page = compose(blank_of(six))[0]
    texts = [g.measure.text for g in page.groups if g.measure]
    turned = ["⌀160", "2× ⌀118", "3.2", "8", "26"]
    known = [
        "(⌀150)",
        "(⌀128)",
        "(⌀60)",
        "(⌀32)",
        "(⌀168 as found)",
        "(40)",
        "(10)",
        "(12)",
        "(1)",
        "(36°)",
        "(4× ⌀8.4)",
    ]
    assert sorted(texts) == sorted(turned + known)


def test_no_note_contradicts_the_title_block(demo: Job) -> None:
    """Sensing edges are sharp in the notes and in the title block; texture and edges hold for what is newly cut."""
    wheel = design_wheel(demo)
    sheet = wheel_sheet(demo, wheel, design_blank(demo), design_balance(demo, wheel))
    title = sheet.title
    notes = " ".join(line for block in sheet.notes for line in block.lines)
    assert "Sensing edges sharp" in notes
    assert "sensing edges sharp" in title.edges
    assert title.texture_where == "Cut surfaces"


def test_the_half_section_shows_keyway_and_edges_behind_the_cut(six: Job) -> None:
    """Bore 32, keyway 10 × 3.3: metal begins at 19.3, the keyway's edge at sqrt(16² - 5²); recess 60 in front."""
    lines = [e for e in blank_of(six).views[1].entities if isinstance(e, Line)]
    edge = math.sqrt(16**2 - 5**2)
    assert any(e.a[1] == pytest.approx(edge) and e.b[1] == pytest.approx(edge) for e in lines)
    upright = {round(max(e.a[1], e.b[1]), 3) for e in lines if e.a[0] == e.b[0] and min(e.a[1], e.b[1]) == 0}
    assert {19.3, 30.0} <= upright


def test_the_run_out_comes_from_the_balance_limit(six: Job) -> None:
    wheel = design_wheel(six)
    balance = design_balance(six, wheel)
    blank = design_blank(six)
    assert blank is not None
    (frame,) = [
        e for e in blank_sheet(six, blank, balance.runout_limit_mm, "").views[1].entities if isinstance(e, Tolerance)
    ]
    assert frame.value == balance.runout_limit_mm
    assert (frame.symbol, frame.datums) == ("run-out", ("A",))
    (frame,) = [e for e in blank_sheet(six, blank, 0.01, "").views[1].entities if isinstance(e, Tolerance)]
    assert frame.value == 0.01


def test_the_bore_is_the_datum(six: Job) -> None:
    datums = [e for e in blank_of(six).views[1].entities if isinstance(e, Linear) and e.datum]
    assert [(d.datum, abs(d.b[1] - d.a[1])) for d in datums] == [("A", 32.0)]


def test_the_piece_as_found_in_double_dashed_chain(six: Job) -> None:
    """Only where it differs from the turned piece: ⌀168 over 26 mm, both halves; the belt end is left as it is."""
    blank = design_blank(six)
    assert blank is not None
    drawn = [e for e in blank_of(six).views[1].entities if isinstance(e, Path) and e.line == DOUBLE_CHAIN]
    assert len(drawn) == 2
    assert [e.vertices for e in drawn] == found_paths(blank)
    radii = [abs(r) for path in drawn for _, r, _ in path.vertices]
    assert max(radii) == 84.0
    strokes = [
        i
        for g in compose(blank_of(six))[0].groups
        for i in g.ink
        if isinstance(i, Stroke) and i.pen.line == DOUBLE_CHAIN
    ]
    assert {i.pen.width for i in strokes} == {0.25}
    assert {i.pen.layer for i in strokes} == {"HIDDEN"}


def test_what_the_lathe_leaves_alone_is_told_from_what_it_makes(six: Job) -> None:
    blank = design_blank(six)
    assert blank is not None
    assert [is_turned(land, blank.found) for land in blank.lands] == [True, True, True, False]
    assert all(is_turned(land, ()) for land in blank.lands)


def test_a_faced_off_front_is_dimensioned() -> None:
    text = edited(demo_text("tarn-six"), ("{length: 26, diameter: 168}", "{length: 28, diameter: 168}"))
    page = compose(blank_of(parse_job(text, "x.yaml")))[0]
    assert {"2 faced off", "40"} <= said(page)
    assert "(40)" not in said(page)


def test_blank_mass_in_closed_form(six: Job) -> None:
    """Discs less bore, recess, keyway, bolts and groove, by hand: 7200 kg/m³."""
    from math import asin, pi, radians, sqrt, tan

    blank = design_blank(six)
    assert blank is not None
    discs = pi * (59**2 * 8 + 80**2 * 3.2 + 59**2 * 14.8 + 75**2 * 14)
    bore, recess, bolts = pi * 16**2 * 40, pi * (30**2 - 16**2) * 10, 4 * pi * 4.2**2 * 40
    half = 5.0
    segment = 16**2 * asin(half / 16) - half * sqrt(16**2 - half**2)
    keyway = (10 * (19.3 - sqrt(16**2 - half**2)) - segment) * 30
    lean = 11 * tan(radians(18))
    floor, top = 12 - 2 * lean, 12.0
    area, down = 11 * (floor + top) / 2, 11 / 3 * (top + 2 * floor) / (top + floor)
    groove = 2 * pi * (75 - down) * area
    wanted = (discs - bore - recess - bolts - keyway - groove) * 7200e-9
    assert blank_mass_kg(blank) == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize("turns", ["clockwise", "anticlockwise"])
def test_the_gap_stands_where_the_crank_puts_it(turns: str) -> None:
    """Gap 40° after the TDC line: right of it on a clockwise engine, left on an anticlockwise one."""
    job = plate_job(gap_at=40.0, turns=turns)
    page = compose(wheel_of(job))[0]
    (exact,) = [g.measure for g in page.groups if g.measure and g.measure.text == "40°"]
    vertex, first, second, _ = exact.points
    to_gap = min((first, second), key=lambda p: p[1])
    assert (to_gap[0] > vertex[0] + 1) == (turns == "clockwise")
    assert any("turns " + turns in word for word in words(page))


@pytest.mark.parametrize(("gap", "text"), [(200.0, "200°"), (350.0, "10° against rotation"), (0.0, None)])
def test_the_gap_is_measured_the_way_the_crank_turns(gap: float, text: str | None) -> None:
    page = compose(wheel_of(plate_job(missing=2, gap_at=gap)))[0]
    others = {"20°", "10°"}  # the gap's own width, and a pitch
    angles = {g.measure.text for g in page.groups if g.measure and g.measure.kind == "angular"}
    assert angles - others == ({text} if text else set())
    assert overlaps(page) == []


def test_the_wheel_says_its_slot_and_teeth(six: Job) -> None:
    page = compose(wheel_of(six))[0]
    assert {"6", "6.35", "(R3)", "(⌀160)", "10°", "(3.2)", "(8)"} <= said(page)
    assert {"36, 1", "36", "5°", "355°", "⌀147.3"} <= words(page)


def test_correction_holes_are_in_view_and_table(six: Job) -> None:
    wheel = design_wheel(six)
    balance = design_balance(six, wheel)
    assert balance.holes
    page = compose(wheel_of(six))[0]
    for k, hole in enumerate(balance.holes, start=1):
        assert f"B{k}" in words(page)
        assert f"{round(hole.at_deg, 2):g}°" in words(page)


def test_inch_jobs_are_dimensioned_in_inches() -> None:
    job = parse_job(demo_text("fell-twin"), "x.yaml")
    page = compose(wheel_of(job))[0]
    assert {"⌀4.750", "0.3125", "0.300", "0.125", "120°"} <= said(page)
    assert "inch" in words(page)


def test_the_adapter_says_its_sizes() -> None:
    """Hand-read from the job: spacer 1/2 in long on 3 1/4 in, pilot 1.7475 in x 0.100 in, bore 7/8 in."""
    job = parse_job(demo_text("fell-twin"), "x.yaml")
    adapter = design_adapter(job)
    assert adapter is not None
    page = compose(adapter_sheet(job, adapter))[0]
    assert said(page) == {"⌀3.250", "0.500", "⌀0.875", "⌀1.7475 0/−0.0008", "0.100", "3× ⌀0.2656"}
    assert overlaps(page) == []


def test_several_gaps_are_all_in_the_table() -> None:
    text = edited(
        demo_text("beck-four"),
        ("  missing: 2\n", ""),
        ("  gap_at: 90 deg\n", "  gaps: [{at: 90, missing: 2}, {at: 273, missing: 1}]\n"),
    )
    page = compose(wheel_of(parse_job(text, "x.yaml")))[0]
    assert {"Gap 1: teeth missing, centre", "2, 90°", "Gap 2: teeth missing, centre", "1, 273°"} <= words(page)
    assert overlaps(page) == []


def test_dimensions_read_back_from_the_file_are_the_designs_numbers(demo: Job) -> None:
    wheel = design_wheel(demo)
    doc = ezdxf.read(io.StringIO(dxf_bytes(wheel_of(demo)).decode()))
    values = []
    for dim in doc.modelspace().query("DIMENSION"):
        factor = 1.0 if dim.dimtype in (2, 5) else dim.get_dim_style().dxf.dimlfac
        values.append(dim.get_measurement() * factor)
    wanted = [2 * wheel.radius_mm, wheel.slot.width, wheel.slot.depth, wheel.thickness_mm, wheel.pitch_deg]
    for number in wanted:
        assert min(abs(value - number) for value in values) < 1e-6, number


def test_the_section_is_marked_in_the_view_and_named() -> None:
    """ISO 128-3: letters at both ends of the cutting plane, and over the section."""
    for name in ("tarn-six", "fell-twin"):
        job = parse_job(demo_text(name))
        sheets = [wheel_of(job)]
        if design_blank(job) is not None:
            sheets.append(blank_of(job))
        for sheet in sheets:
            page = compose(sheet)[0]
            ends = [i for g in page.groups if g.name == "section C" for i in g.ink if isinstance(i, Letters)]
            assert [letters.text for letters in ends] == ["C", "C"]
            assert "C–C" in words(page)


def test_views_stand_where_first_angle_projection_puts_them(six: Job) -> None:
    """The section is seen from the left of the front view, so it stands at its right, the front face to the right."""
    for sheet in (wheel_of(six), blank_of(six)):
        page = compose(sheet)[0]
        at = {view.name: view for view in page.views}
        assert at["front"].x < at["section"].x
        assert at["front"].y == pytest.approx(at["section"].y)
        assert at["front"].scale == at["section"].scale


def test_a_plates_drawing_has_its_datum_and_a_run_out_from_balance(demo: Job) -> None:
    """The rim off the bore's centre by half the reading: all the plate weighs to one side."""
    if demo.wheel.form != "plate":
        return
    wheel = design_wheel(demo)
    balance = design_balance(demo, wheel)
    (section,) = [view for view in wheel_of(demo).views if view.name == "section"]
    (frame,) = [e for e in section.entities if isinstance(e, Tolerance)]
    (bore,) = [e for e in section.entities if isinstance(e, Linear) and e.datum]
    assert frame.value == balance.runout_limit_mm
    assert frame.datums == (bore.datum,)
    disc = math.pi * wheel.radius_mm**2 * wheel.thickness_mm * 7850e-6  # g of steel, the whole disc
    assert balance.permissible_g_mm is not None
    assert 0 < disc * frame.value / 2 <= balance.permissible_g_mm or frame.value == 0.01


def test_h7_is_printed_with_its_limits() -> None:
    page = compose(wheel_of(parse_job(demo_text("fell-twin"))))[0]
    assert "⌀1.7500 H7 +0.0010/0" in said(page)  # ISO 286: H7 of 30 to 50 mm is +25 µm


def test_no_lettering_is_small_in_a_packet(demo: Job) -> None:
    """A3 comes down to 0.62 of its size on an A4 page's width and height less its margins: 2.9 mm are then 1.8."""
    for sheet in drawing_sheets(design_job(demo)).values():
        for page in compose(sheet):
            assert min(i.height for g in page.groups for i in g.ink if isinstance(i, Letters)) >= 1.8 / 0.62 - 0.01


def test_every_sheet_carries_the_marks_of_job_and_plan(demo: Job) -> None:
    design = design_job(demo)
    for sheet in drawing_sheets(design).values():
        for page in compose(sheet):
            assert design.marks in words(page)


def test_thermal_cuts_are_designated_with_their_class() -> None:
    design = design_job(parse_job(demo_text("tarn-six")))
    assert "ISO 9013-442" in drawing_sheets(design)["bracket"].title.general_tolerance


def test_a_small_part_is_drawn_on_a4() -> None:
    """A wheel of ⌀58 and a target of ⌀60 at full size, on what a printer at home takes."""
    text = (
        "job: small\nengine: {turns: clockwise, max_speed: 6000}\nwheel: {form: plate, teeth: 24, missing: 1, "
        "outside_diameter: 58, thickness: 4, bore: 12, slot: {width: 3, depth: 4}}\n"
        "shop: {rotary_table: {ratio: 40}, cutter: {diameter: 3}}\n"
    )
    for sheet in drawing_sheets(design_job(parse_job(text))).values():
        pages = laid_out(sheet)
        assert {page.paper.name for page in pages} == {"A4"}
        assert pages[0].scale >= 0.5
        assert overlaps(pages) == []
