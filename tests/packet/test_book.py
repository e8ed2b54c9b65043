"""packet.pdf: right numbers, real text with embedded fonts, the same bytes, and no title that breaks it."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pypdf
import pytest

from tests.conftest import demo_text, edited
from wheelcad.build import BuildResult
from wheelcad.job.reader import parse_job
from wheelcad.packet.book import packet_pages, write_packet
from wheelcad.packet.turning import turning_steps
from wheelcad.parts.design import design_job


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
    assert f"{built.report['balance']['before']['unbalance_g_mm']:.1f}".rstrip("0").rstrip(".") + " g·mm" in said
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


@pytest.mark.parametrize("title", ["#set page(width: 1mm)", "a $ b_c *d* `e` @f <g> \\\\ // ~", "Ünïcødé ⌀ ↻ ½"])
def test_no_title_breaks_or_steers_it_and_the_bytes_stay(tmp_path: Path, title: str) -> None:
    text = edited(demo_text("fell-twin"), ("Crank target wheel for a 45 cubic inch V-twin", f"'{title}'"))
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
    use = design.ignition.use_deg
    assert use is not None
    page = next(p for p in packet_pages(design, [], {"balance": design.balance.report()}) if "controller" in p.title)
    said = " ".join(line for block in page.blocks if block["kind"] == "points" for line in block["lines"])
    # told U, true T: a spark wanted at 10 before TDC comes U - 10 after the reference, that is T - U + 10 before TDC;
    # seen 13 means T = U + 3
    assert f"{use:.2f}° becomes {use + 3:.2f}°" in said
