"""packet.pdf: right numbers, real text with embedded fonts, the same bytes, and no title that breaks it."""

from __future__ import annotations

import json
import math
import re
import subprocess
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest

from tests.conftest import demo_text, edited
from wheelcad.build import BuildResult
from wheelcad.drawing.font import CAPITAL
from wheelcad.job.reader import parse_job
from wheelcad.packet import shop_work
from wheelcad.packet.book import packet_pages, write_packet
from wheelcad.packet.dial import dial
from wheelcad.packet.lathe import turning_steps
from wheelcad.packet.scope_trace import iron_spans
from wheelcad.packet.shop_work import FEW, STOPS_A_SHEET
from wheelcad.packet.strip import strip_page
from wheelcad.parts.design import design_job
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.trade.frames import point_at
from wheelcad.units import POINT_MM
from wheelcad.words import Words, unwritten


def slow(title: str) -> object:
    """A title that is tried in the long runs alone."""
    return pytest.param(title, marks=pytest.mark.slow)


def text_of(path: Path) -> str:
    """All words of a PDF, white space folded."""
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pypdf.PdfReader(path).pages))


def test_the_packet_holds_the_numbers_of_the_report(built: BuildResult) -> None:
    said = text_of(built.folder / "packet.pdf")
    ignition = built.report["ignition"]
    for key in ("use_deg", "gap_centre_to_tdc_deg", "trailing_edge_to_tdc_deg"):
        assert f"{ignition[key]:.2f}".rstrip("0").rstrip(".") + "°" in said
    for pair in ignition["companions"]:
        assert f"{pair[0]} and {pair[1]}" in said
    before = built.report["balance"]["before"]["unbalance_g_mm"]
    assert Words(built.job.units).quantity(before, "unbalance") in said
    for cut in built.report["indexing"]["cuts"][::7]:
        assert f"{cut['at_deg']:.5f}".rstrip("0").rstrip(".") + "°" in said
    for word in ("Take care", "licensed", "timing light", "Shield", "piston stop", built.job.job):
        assert word in said
    pages = len(pypdf.PdfReader(built.folder / "packet.pdf").pages)
    assert f"sheet 1 of {pages}" in said
    assert f"sheet {pages} of {pages}" in said


def test_its_fonts_are_embedded(built_six: BuildResult) -> None:
    listed = subprocess.run(["pdffonts", built_six.folder / "packet.pdf"], capture_output=True, text=True, check=True)
    rows = listed.stdout.splitlines()[2:]
    assert rows
    assert all(re.search(r"\byes yes yes\b", row) for row in rows)


@pytest.mark.parametrize(
    "title",
    [slow("#set page(width: 1mm)"), "a $ b_c *d* `e` @f <g> \\\\ // ~ #set page(width: 1mm)", slow("Ünïcødé ⌀ ↻ ½")],
)
def test_no_title_breaks_or_steers_it_and_the_bytes_stay(tmp_path: Path, title: str) -> None:
    text = edited(demo_text("fell-twin"), ("Crank trigger wheel for a 52 cubic inch V-twin", f"'{title}'"))
    design = design_job(parse_job(text))
    report = {"balance": {**design.balance.report()}}
    for name in ("one.pdf", "two.pdf"):
        write_packet(tmp_path / name, design, design.findings, report)
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()
    assert title.split()[0] in text_of(tmp_path / "one.pdf")


def test_a_bare_wheel_has_only_the_pages_that_apply(tmp_path: Path) -> None:
    job = parse_job(
        "job: bare\nwheel: {teeth: 24, missing: 1, outside_diameter: 120, thickness: 3, slot: {width: 6, depth: 5}}\n"
    )
    design = design_job(job)
    titles = [page.title for page in packet_pages(design, design.findings, {"balance": design.balance.report()})]
    assert not any("lathe" in title or "gauge" in title or "bracket" in title for title in titles)
    write_packet(tmp_path / "packet.pdf", design, design.findings, {"balance": design.balance.report()})
    assert "bare" in text_of(tmp_path / "packet.pdf")


def test_the_turning_sheet_goes_from_what_is_there_to_what_is_wanted() -> None:
    blank = design_job(parse_job(demo_text("tarn-six"))).blank
    assert blank is not None
    steps = turning_steps(blank)
    assert [(round(s.from_mm, 6), round(s.to_mm, 6), round(s.length_mm, 6)) for s in steps] == [
        (168, 118, 8),
        (168, 160, 3.2),
        (168, 118, 14.8),
    ]
    # 25 mm on the radius: 24.75 roughed in passes of at most 1 mm, and one to finish
    assert steps[0].passes == 26
    assert steps[1].passes == 5


def test_a_timing_light_that_shows_more_advance_raises_the_number() -> None:
    design = design_job(parse_job(demo_text("tarn-six")))
    use = design.ignition.told.use_deg
    assert use is not None
    page = next(p for p in packet_pages(design, [], {"balance": design.balance.report()}) if "controller" in p.title)
    said = " ".join(line for block in page.blocks if block["kind"] == "points" for line in block["lines"])
    said = Words("mm").text(said)
    # told U, true T: a spark wanted at 10 before TDC comes U - 10 after the reference, that is T - U + 10 before TDC;
    # seen 13 means T = U + 3
    assert f"{use:.2f}° becomes {use + 3:.2f}°" in said


def test_each_drawing_is_where_it_is_needed_and_whole(built: BuildResult) -> None:
    """In the order of work, every word of the drawing on the sheet, and no more than its margins cut away."""
    drawings = {name for name in built.files if name.endswith("-drawing.pdf")}
    reader = pypdf.PdfReader(built.folder / "packet.pdf")
    sheets = [re.sub(r"\s+", " ", page.extract_text()) for page in reader.pages]
    found: dict[str, int] = {}
    shown: dict[str, str] = {}
    for k, said in enumerate(sheets):
        named = re.search(r"Drawing of the (\w+): reduced to fit", said)
        if named is not None:
            found.setdefault(named[1], k)
            shown[named[1]] = shown.get(named[1], "") + said  # notes may have a second sheet
            assert "sheet" in said
    for name, said in shown.items():
        words = {
            word for word in text_of(built.folder / f"{name}-drawing.pdf").split() if re.fullmatch(r"[\w.]{3,}", word)
        }
        missing = {word for word in words if word not in said}
        assert len(missing) <= 0.05 * len(words), missing
    assert {f"{name}-drawing.pdf" for name in found} == drawings
    at = {
        title: k
        for k, said in enumerate(sheets)
        for title in ("At the mill: set up", "The bracket: cut")
        if title in said
    }
    assert found["wheel"] < at["At the mill: set up"] < at["The bracket: cut"] < found["bracket"]


def test_the_ignition_card_is_one_sheet(built: BuildResult) -> None:
    reader = pypdf.PdfReader(built.folder / "packet.pdf")
    cards = [page.extract_text() for page in reader.pages if "Ignition card" in page.extract_text()]
    assert len(cards) == 1
    assert "nobody in line with the rim" in re.sub(r"\s+", " ", cards[0]), "its last words must be on the same sheet"


def test_the_stops_fill_whole_sheets(built: BuildResult) -> None:
    """Every stop of the plan once; each lap on one sheet where it fits, else sheets that differ by one row at most."""
    plan = built.design.indexing
    assert plan is not None
    pages = [p for p in packet_pages(built.design, [], built.report) if p.title.startswith("At the mill, lap")]
    lengths: dict[str, list[int]] = {}
    for page in pages:
        lap = page.title.split(":")[0]
        lengths.setdefault(lap, []).extend(len(b["rows"]) for b in page.blocks if b["kind"] == "grid")
    assert [sum(rows) for rows in lengths.values()] == [len(plan.in_lap(lap)) for lap in plan.laps]
    assert all(max(rows) - min(rows) <= 1 for rows in lengths.values())
    said = text_of(built.folder / "packet.pdf")
    assert said.count("At the mill, lap") == len(pages)
    assert plan.marks in said
    sheets = [re.sub(r"\s", "", page.extract_text()) for page in pypdf.PdfReader(built.folder / "packet.pdf").pages]
    for page in (p for p in pages if not p.joins):
        (sheet,) = [sheet for sheet in sheets if re.sub(r"\s", "", page.title) in sheet]
        rows = [Words(built.job.units).through(row) for b in page.blocks if b["kind"] == "grid" for row in b["rows"]]
        assert [row for row in rows if re.sub(r"\s", "", "".join(row)) not in sheet] == [], "a lap spills"
    assert len(sheets) <= _most_sheets(built)


def _most_sheets(built: BuildResult) -> int:
    """What a packet may be long: the sheets of each kind that the job has, none for a page that runs over."""
    design, plan = built.design, built.design.indexing
    assert plan is not None
    letter = built.job.units == "in"
    most = 4  # cover; what to have; files; dead centre and gauge
    most += sum(len(pypdf.PdfReader(path).pages) for path in built.folder.glob("*-drawing.pdf"))
    most += 1 if design.blank is not None else 0  # the lathe
    most += 1 + len(plan.setups)  # setting up; an operation sheet for every set-up, the first on two with its cautions
    room = STOPS_A_SHEET["Letter" if letter else "A4"]
    laps = [plan.in_lap(lap) for lap in plan.laps]
    few = sum(len(lap) for lap in laps if len(lap) <= FEW)
    most += sum(1 if lap[0].work == "side" else math.ceil(len(lap) / room) for lap in laps if len(lap) > FEW)
    most += math.ceil(few / room)  # short laps, and at their end where something must meet
    most += 2  # gap and balance; level edges
    if design.bracket is not None:
        most += 1 if strip_page(design.bracket) is None else 2  # on card, test strip, cut and bend: they join
    most += 2 + 1 + 1  # fitting and wiring; ignition card; first start
    most += 3 if "signal" in built.report else 0  # gap map; starter; sparks with what they rest on
    most += 0 if "budget" not in built.report else 2 if letter else 1  # Letter is shorter than what the sum rests on
    return most + math.ceil(len(built.findings) / 44)  # what was checked


def test_what_is_needed_twice_is_one_line() -> None:
    design = design_job(parse_job(demo_text("tarn-six")))
    page = next(p for p in packet_pages(design, [], {"balance": design.balance.report()}) if "ready" in p.title)
    rows = Words("mm").through(page.blocks[0]["rows"])
    assert len({tuple(row) for row in rows}) == len(rows)
    assert ["2 × Bolt M10 × 25", "class 8.8, with a washer 2.5 mm thick", "bracket"] in rows


@pytest.mark.parametrize(("name", "wide"), [("tarn-six", (595.28, 841.89)), ("fell-twin", (612.0, 792.0))])
def test_the_paper_is_the_jobs(tmp_path: Path, name: str, wide: tuple[float, float]) -> None:
    design = design_job(parse_job(demo_text(name)))
    write_packet(tmp_path / "p.pdf", design, [], {"balance": design.balance.report()})
    box = pypdf.PdfReader(tmp_path / "p.pdf").pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(wide, abs=0.5)


@pytest.mark.parametrize(("name", "sense", "gap"), [("tarn-six", 1, 70.0), ("fell-twin", -1, 120.0)])
def test_the_dial_stands_where_the_wheel_does(name: str, sense: int, gap: float) -> None:
    """Sensor's rod, gap's wedge and the arc between them, against angles worked out here."""
    text = demo_text(name)
    design = design_job(parse_job(text.replace("gap_at: 0 deg", "gap_at: 70 deg")))
    svg = dial(design.job, design.wheel)
    assert design.wheel.gap_at_deg == pytest.approx(gap)
    assert design.job.sensor is not None

    def angle(x: float, y: float) -> float:
        return math.degrees(math.atan2(sense * x, -y)) % 360

    rod = re.search(r'x2="(\S+)" y2="(\S+)" stroke="#000" stroke-width="\S+" stroke-linecap="butt"', svg)
    assert rod is not None
    assert angle(float(rod[1]), float(rod[2])) == pytest.approx(design.job.sensor.at % 360, abs=0.1)
    arrows = re.findall(r'<polygon points="(\S+),(\S+) \S+ \S+" fill="#000"/>', svg)
    assert [round(angle(float(x), float(y)), 1) for x, y in arrows[:2]] == [gap, gap]
    assert f">{(gap - design.job.sensor.at) % 360:g}°</text>" in svg
    names = dict(re.findall(r'<text x="(\S+)" y="\S+" text-anchor="\w+">(L|T|gap)</text>', svg))
    assert sorted(names.values()) == ["L", "T", "gap"]


def test_the_cover_names_what_is_open_and_keeps_its_cautions(built: BuildResult) -> None:
    said = re.sub(r"\s+", " ", pypdf.PdfReader(built.folder / "packet.pdf").pages[0].extract_text())
    poor = [f for f in built.findings if f.verdict in ("fail", "warn")]
    assert poor
    for finding in poor[:5]:
        assert finding.check in said.replace("- ", "-")
    assert "A printed gauge is for layout only" in said
    faults = [replace(poor[0], check=f"fault-{k}", verdict="fail") for k in range(8)]
    page = next(packet_pages(built.design, [*built.findings, *faults], built.report))
    rows = next(block["rows"] for block in page.blocks if block["kind"] == "grid")
    assert [row[0] for row in rows] == ["fail"] * 5 + [""], "failures come first"
    assert rows[-1][1] == f"and {len(poor) + 3} more"


@pytest.mark.parametrize("turns", ["clockwise", "anticlockwise"])
def test_the_eye_view_is_the_wheel_turned_past_the_sensor(turns: str) -> None:
    job = parse_job(edited(demo_text("tarn-six"), ("turns: clockwise", f"turns: {turns}")))
    wheel = design_wheel(job)
    spans = iron_spans(job, wheel)
    assert sum(end - start for start, end in spans) == pytest.approx(35 * (10 - 2 * 2.14909562), abs=1e-6)
    # the gap, at 0 on the wheel, faces the sensor at 310 when the crank has turned 310: no iron from 302.85 to 317.15
    before = max(end for _, end in spans if end < 310)
    after = min(start for start, _ in spans if start > 310)
    assert (before, after) == pytest.approx((302.85090438, 317.14909562), abs=1e-6)
    # and the shape itself agrees, point by point on the rim, whichever way the crank turns
    for turned in range(0, 360, 7):
        x, y = point_at(wheel.radius_mm - 0.05, 310.0 - turned - 0.5, wheel.sense).tolist()
        assert wheel.outline.contains(x, y) == any(a <= turned + 0.5 <= b for a, b in spans)


def test_every_page_carries_the_marks(built: BuildResult) -> None:
    """Job mark and, as soon as there is one, plan mark at each foot; both on the cover once more."""
    pages = [re.sub(r"\s+", " ", page.extract_text()) for page in pypdf.PdfReader(built.folder / "packet.pdf").pages]
    said = built.design.marks
    assert built.job.source.sha256[:8] in said
    assert all(said in page for page in pages)
    assert pages[0].count(said) == 2


def test_drawings_are_the_files_own_pages(built_six: BuildResult) -> None:
    """As vectors at a scale that fits, not as a picture: text that can be found, in its own embedded fonts."""
    reader = pypdf.PdfReader(built_six.folder / "packet.pdf")
    page = next(p for p in reader.pages if "Drawing of the wheel" in p.extract_text())
    forms = page["/Resources"]["/XObject"]  # type: ignore[index]
    assert any(forms[name].get_object()["/Subtype"] == "/Form" for name in forms)
    assert float(page.mediabox.width) > float(page.mediabox.height)


def test_the_list_of_files_is_the_catalogues(built: BuildResult) -> None:
    page = next(p for p in packet_pages(built.design, [], built.report) if p.title == "The files of this job")
    listed = {row[1] for block in page.blocks if block["kind"] == "grid" for row in block["rows"]}
    assert listed == {path.name for path in built.folder.iterdir()}


def test_a_note_is_on_its_own_page_alone(built_six: BuildResult) -> None:
    noted = replace(built_six.findings[0], subject="bracket-flat.dxf", verdict="note", why="zinnober and nothing else")
    pages = list(packet_pages(built_six.design, [*built_six.findings, noted], built_six.report))
    holding = [page.title for page in pages if "innober" in str(page.blocks)]
    assert holding == ["The bracket: cut, bend, weld"]


def test_an_inch_packet_holds_no_millimetres(tmp_path: Path) -> None:
    """The packet's own sentences; a drawing's and the gauge's words are tested with them."""
    design = design_job(parse_job(demo_text("fell-twin")))
    pages = packet_pages(design, [], {"balance": {**design.balance.report()}})
    kept = [{k: v for k, v in block.items() if k != "data"} for page in pages for block in page.blocks]
    said = Words("in").text("\n".join(json.dumps(b, ensure_ascii=False) for b in kept if b["kind"] != "beside"))
    assert "4.750 in" in said
    assert not unwritten(said)
    assert re.findall(r".{30}\d ?(?:mm|g·mm|MPa|kg)\b.{10}", said) == []


def test_nothing_in_the_packet_is_lettered_below_1_8_mm(built: BuildResult) -> None:
    """Capitals' height of every word as it lies on the paper, drawings brought down to a sheet included.

    poppler gives a word's box one em high, whichever way it runs, and the font's capitals are 0.729 em; words of under
    four letters may be narrower than high.
    """
    path = built.folder / "packet.pdf"
    said = subprocess.run(["pdftotext", "-bbox", str(path), "-"], capture_output=True, text=True, check=True).stdout
    number = "([0-9.]+)"
    word = re.compile(f'<word xMin="{number}" yMin="{number}" xMax="{number}" yMax="{number}">([^<]*)</word>')
    low, seen = {}, 0
    for sheet, page in enumerate(said.split("<page ")[1:], start=1):
        for x0, y0, x1, y1, text in word.findall(page):
            high = min(float(y1) - float(y0), float(x1) - float(x0)) * POINT_MM * CAPITAL
            seen += 1
            if len(text) >= 4 and high < 1.795:
                low[f"sheet {sheet}: {text}"] = round(high, 2)
    assert seen > 1000
    assert low == {}


def test_a_gauge_without_bolts_is_pushed_home_and_not_bolted_on() -> None:
    """Keyed, it goes in by its key; without a key nothing but the line turns it, and the sheet says so."""
    bolts = "  bolts: {count: 4, circle: 80, hole: 8.4, first_at: 45 deg}\n"
    bore = (("  recess: {diameter: 60, depth: 10}\n", ""), ("covers: 360 deg", "covers: 120 deg"))
    demo = demo_text("tarn-six")
    said = []
    for text in (demo, edited(demo, (bolts, ""), *bore), edited(demo, (bolts, ""))):
        [page] = shop_work.gauge(design_job(parse_job(text)))
        said.append(Words().text(json.dumps(page.blocks, ensure_ascii=False)))
    assert ["Bolt it on" in text for text in said] == [True, False, False]
    assert ["printed bolt holes" in text.lower() for text in said] == [True, False, False]
    assert ["its key in the keyway" in text for text in said] == [False, True, False]
    assert ["Nothing but the line" in text for text in said] == [False, False, True]


def test_marks_are_made_on_the_table_only_where_there_is_one() -> None:
    """Found on a job without a rotary table, whose sheet sent its builder to the table's stops."""
    bare = "job: bare\nengine: {turns: anticlockwise, max_speed: 6000}\n"
    wheel = "wheel: {form: plate, teeth: 12, missing: 1, outside_diameter: 64, thickness: 3, bore: 12, "
    wheel += "slot: {width: 7, depth: 6}, marks: {tdc: notch}}\n"
    said = []
    for shop in ("", "shop: {rotary_table: {ratio: 40}}\n"):
        page = shop_work.dead_centre(design_job(parse_job(bare + wheel + shop)))
        said.append(json.dumps(page.blocks, ensure_ascii=False))
    assert ["made at their stops on the table: TDC notch" in text for text in said] == [False, True]
    assert ["made where the wheel's drawing has them: TDC notch" in text for text in said] == [True, False]
