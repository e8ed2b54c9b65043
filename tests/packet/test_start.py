"""start.html: every file and its line, warnings once, nothing asked of a network, the assembly turning in the page."""

from __future__ import annotations

import html
import re
import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from playwright.sync_api import Browser, sync_playwright

from tests.conftest import DEMOS, demo_text, edited
from tests.packet.browser import ARGS, CHROMIUM, DESKTOP, close, open_page
from wheelcad.build import BuildResult
from wheelcad.catalogue import entry_of
from wheelcad.changes import Changes
from wheelcad.findings import Finding
from wheelcad.job.reader import parse_job
from wheelcad.packet.start import start_html
from wheelcad.parts.design import design_job
from wheelcad.parts.marks import marks_of
from wheelcad.words import Words, unwritten

PHONE = (390, 844)
FIRST = Changes(first=True)
RENDERED = ("--enable-unsafe-swiftshader", "--use-angle=swiftshader")  # WebGL without a graphics card


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    if CHROMIUM is None:
        pytest.skip("chromium is not installed (Debian: apt install chromium)")
    with sync_playwright() as driver:
        args = [arg for arg in ARGS if arg != "--disable-gpu"]
        opened = driver.chromium.launch(executable_path=CHROMIUM, args=[*args, *RENDERED])
        yield opened
        opened.close()


def page_of(built: BuildResult) -> str:
    """The page a build wrote."""
    return (built.folder / "start.html").read_text(encoding="utf-8")


def plain(text: str) -> str:
    """What a reader sees of a page: no markup, no embedded data."""
    text = re.sub(r"<(script|style)\b.*?</\1>", " ", text, flags=re.S)
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", text)).split())


def test_whoever_has_a_bracket_is_told_how_to_see_it_in_a_photograph(built: BuildResult) -> None:
    text = plain(page_of(built))
    if "bracket-flat.dxf" in built.files:
        assert text.index("wheelcad survey JOB --photos *.jpg --drawn") < text.index("Cut and bend the bracket")
    else:
        assert "--drawn" not in text


def test_every_file_is_there_with_its_line_and_nothing_else(built: BuildResult) -> None:
    text = page_of(built)
    linked = set(re.findall(r'href="([^"]*)"', text))
    assert linked == set(built.files) - {"start.html"}
    seen = plain(text)
    for name in linked:
        entry = entry_of(name)
        assert entry is not None
        assert f"{name} {entry.what}" in seen
    assert marks_of(built.design) in seen


def test_warnings_are_once_in_the_words_of_the_terminal(built: BuildResult) -> None:
    seen, words = plain(page_of(built)), Words(built.job.units)
    poor = [f for f in built.findings if f.verdict in ("warn", "fail")]
    assert poor
    for finding in poor:
        assert seen.count(f"{finding.verdict} {' '.join(finding.told(words).split())}") == 1
    assert "LOOK" not in seen
    assert not unwritten(seen)


def test_it_asks_nothing_of_anybody(built: BuildResult) -> None:
    text = page_of(built)
    assert "default-src 'none'" in text
    assert not re.search(r"https?:|@import|url\(|<link|<iframe", text.replace("$", ""))
    assert all(source.startswith("data:") for source in re.findall(r'src="([^"]*)"', text))


def test_failures_come_first_and_notes_not_at_all(built_six: BuildResult) -> None:
    some = built_six.findings[0]
    bad = replace(some, verdict="fail", why="zinnober <b>is</b> wrong")
    note = replace(some, verdict="note", why="quartz is true of all")
    findings: list[Finding] = [*built_six.findings, note, bad]
    seen = plain(start_html(built_six.folder, built_six.design, findings, FIRST))
    assert "zinnober <b>is</b> wrong" in seen
    assert seen.index("fail ") < seen.index("warn ")
    assert "quartz" not in seen


def test_what_changed(built_six: BuildResult) -> None:
    changed = Changes((("wheel.teeth", "36", "60"),), ("wheel.stl", "wheel.step"))
    seen = plain(start_html(built_six.folder, built_six.design, (), changed))
    assert "wheel.teeth: 36 → 60 files changed: wheel.stl, wheel.step" in seen


def test_a_title_cannot_break_out_of_it(built_six: BuildResult) -> None:
    text = edited(demo_text("tarn-six"), (built_six.job.title, "</script><script>alert(1)</script> $js %%js%%"))
    design = design_job(parse_job(text))
    page = start_html(built_six.folder, design, (), FIRST)
    assert "alert(1)</script>" not in page
    assert page.count("<script") == 2
    assert "$js %%js%%" in page


def test_a_bare_wheel_has_a_page_too(tmp_path: Path, built_six: BuildResult) -> None:
    shutil.copy(built_six.folder / "wheel.stl", tmp_path)
    design = design_job(
        parse_job(
            "job: bare\nwheel: {teeth: 24, missing: 1, outside_diameter: 120, thickness: 3, slot: {width: 6, depth: 5}}"
        )
    )
    page = start_html(tmp_path, design, (), FIRST)
    assert "<canvas" not in page
    assert "data:image/png" in page
    assert "packet.pdf" not in page


@pytest.mark.parametrize("size", [PHONE, DESKTOP])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_fits_and_turns(browser: Browser, built_six: BuildResult, size: tuple[int, int], scheme: str) -> None:
    page = open_page(browser, built_six.folder / "start.html", size, scheme)
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert page.is_visible("#turning canvas")
    assert not page.is_visible("#still")
    canvas = page.locator("canvas")
    box = canvas.bounding_box()
    assert box is not None
    before = canvas.screenshot()
    page.mouse.move(box["x"] + 100, box["y"] + 100)
    page.mouse.down()
    page.mouse.move(box["x"] + 180, box["y"] + 120, steps=4)
    page.mouse.up()
    assert page.evaluate("shown.right") == pytest.approx(-35 - 40, abs=2)
    assert canvas.screenshot() != before, "what is seen has turned"
    canvas.focus()
    page.keyboard.press("ArrowLeft")
    assert page.evaluate("shown.right") == pytest.approx(-65, abs=2)
    page.click("#nearer")
    back = page.evaluate("getComputedStyle(document.querySelector('section')).backgroundColor")
    dark = max(map(int, re.findall(r"\d+", back)[:3])) < 80
    assert dark == (scheme == "dark")
    # things to press are as large as a finger where there is one
    assert all(
        h >= 26
        for h in page.evaluate("[...document.querySelectorAll('.files a')].map(a => a.getBoundingClientRect().height)")
    )
    close(page)


def test_the_picture_stays_where_nothing_can_turn(browser: Browser, built_six: BuildResult) -> None:
    script = "HTMLCanvasElement.prototype.getContext = () => null;"
    page = open_page(browser, built_six.folder / "start.html", DESKTOP, script=script)
    assert page.is_visible("#still")
    assert not page.is_visible("#turning")
    close(page)


@pytest.mark.parametrize("name", DEMOS[:1])
def test_the_viewer_reads_what_the_glb_holds(browser: Browser, built_six: BuildResult, name: str) -> None:
    """Triangles and extents of the page's own reader against ours, in metres as glTF has them."""
    from wheelcad.files.glb_reader import read_glb

    meshes = read_glb(built_six.folder / "assembly.glb")
    page = open_page(browser, built_six.folder / "start.html", DESKTOP)
    found = page.evaluate(
        "(() => { const text = atob(document.getElementById('assembly').textContent.trim());"
        "const data = triangles(readGlb(Uint8Array.from(text, c => c.charCodeAt(0)).buffer));"
        "return [data.length / 27, bounds(data).radius, ...bounds(data).middle]; })()"
    )
    import numpy as np

    points = np.concatenate([mesh.points for mesh in meshes]) / 1000
    low, high = points.min(axis=0), points.max(axis=0)
    assert found[0] == sum(len(mesh.triangles) for mesh in meshes)
    assert found[1] == pytest.approx(float(np.linalg.norm(high - low)) / 2, rel=1e-5)
    assert found[2:] == pytest.approx(((low + high) / 2).tolist(), abs=1e-6)
    close(page)
