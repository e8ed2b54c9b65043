"""The bench page: what is in it, how hand, keyboard and eye reach it, and that it reckons as the program does."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.conftest import DEMOS, demo_text, plate_job
from tests.packet.bench_pages import made, started
from tests.packet.browser import DESKTOP, PHONE, chromium, close, open_page
from tests.packet.lost_count import turns_by_edge, where_am_i
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.packet.bench import bench_html, page_data
from wheelcad.parts.indexing.design import design_indexing
from wheelcad.parts.wheel.design import design_wheel

SLIPS_DEG = [0, 0.004, -0.1, 0.2, -0.2, 0.5, -1, -2, -3, 3, -4, 6, -6, -10, -13, 20, 33.3, 171]


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as opened:
        yield opened


@pytest.mark.parametrize("name", DEMOS)
def test_one_file_that_asks_nothing_of_anybody(tmp_path: Path, name: str) -> None:
    path, plan = made(parse_job(demo_text(name)), tmp_path)
    text = path.read_text(encoding="utf-8")
    assert "%%" not in text
    assert not re.search(r"(?:src|href)=|@import|url\(|https?:", text)
    assert "default-src 'none'" in text
    once = path.read_bytes()
    assert made(parse_job(demo_text(name)), tmp_path)[0].read_bytes() == once
    data = json.loads(re.search(r'id="plan">(.*?)</script>', text, re.S)[1])  # type: ignore[index]
    assert len(data["steps"]) == len(plan.stops)


def test_a_title_cannot_break_out_of_the_page(tmp_path: Path) -> None:
    shop = "title: '</script><script>alert(1)</script>'\nshop: {rotary_table: {ratio: 40}}\n"
    path, _ = made(plate_job(extra=shop), tmp_path)
    text = path.read_text(encoding="utf-8")
    assert "alert(1)</script>" not in text
    assert text.count("<script") == 2
    no_table = plate_job(extra="shop: {readout: yes}\n")
    plan = design_indexing(no_table, design_wheel(no_table))
    assert plan is not None
    with pytest.raises(ValueError, match="rotary table"):
        bench_html(plan)


@pytest.mark.parametrize("name", DEMOS)
def test_the_page_reckons_as_the_program_does(browser: Browser, tmp_path: Path, name: str) -> None:
    text = demo_text(name).replace(", scale: clockwise}", "}")
    job = parse_job(text.replace("rotary_table: {", "rotary_table: {scale: clockwise, "))
    path, plan = made(job, tmp_path)
    assert plan.table is not None
    per = 360 / plan.table.ratio
    count = len(plan.stops)
    asked = []
    for step in range(0, count, max(1, count // 14)):
        at = float(plan.table.reached(plan.stops[step].setting))
        for slip in (*SLIPS_DEG, per, -per, 2 * per):
            stands = (at + slip) % 360
            asked.append((int(stands // per), round(stands % per, 4), step))
        asked += [(-1, 0.5, step), (400, 1.0, step), (3, round(per - 0.4, 4), step)]
    page = open_page(browser, path, DESKTOP)
    answers = page.evaluate("asked => asked.map(([t, d, i]) => whereAmI(plan, t, d, i))", asked)
    for (turns, dial, step), answer in zip(asked, answers, strict=True):
        wanted = where_am_i(plan, turns, dial, step)
        assert [(cause["kind"], cause["times"], cause["cut"]) for cause in answer["causes"]] == [
            (cause.kind, cause.times, cause.cut) for cause in wanted.causes
        ], (turns, dial, step)
        assert answer["at"] == pytest.approx(wanted.at_deg, abs=1e-9)
        assert answer["off"] == pytest.approx(wanted.off_deg, abs=1e-9)
        assert (answer["near_cut"], answer["back_to"]) == (wanted.nearest_cut, wanted.back_to)
        assert answer["near_deg"] == pytest.approx(wanted.near_deg, abs=1e-9)
    kinds = {answer["causes"][0]["kind"] for answer in answers}
    assert {"sound", "unknown", "turns-few", "turns-many", "part-forgotten"} <= kinds
    edges = [(edge, dial) for edge in (0, 3, 121.7, 359) for dial in (0, 0.5, per - 0.1)]
    told = page.evaluate("edges => edges.map(([e, d]) => turnsByEdge(plan, e, d))", edges)
    assert told == [turns_by_edge(plan, edge, dial) for edge, dial in edges]
    close(page)


@pytest.mark.parametrize(
    ("typed", "degrees"),
    [("5.5", 5.5), ("5,5", 5.5), ("5 30", 5.5), ("5°30′", 5.5), ("5°30'15\"", 5.504166666), (" 0 ", 0), ("8", 8)],
)
def test_dials_are_read_as_people_type_them(browser: Browser, tmp_path: Path, typed: str, degrees: float) -> None:
    page = open_page(browser, made(plate_job(extra="shop: {rotary_table: {ratio: 40}}\n"), tmp_path)[0], PHONE)
    assert page.evaluate("t => degreesOf(t)", typed) == pytest.approx(degrees)
    for nonsense in ("", "five", "1 2 3 4", "-3", "3..4"):
        assert page.evaluate("t => Number.isNaN(degreesOf(t))", nonsense)
    close(page)


def test_keys_swipes_undo_and_a_bouncing_thumb(browser: Browser, tmp_path: Path, six: Job) -> None:
    page = started(browser, made(six, tmp_path)[0])
    count = page.locator("#count")
    assert count.inner_text() == "Cut 1 of 36"
    page.keyboard.press(" ")
    page.keyboard.press(" ")
    assert count.inner_text() == "Cut 3 of 36"
    page.keyboard.press("ArrowLeft")
    assert count.inner_text() == "Cut 2 of 36"
    page.keyboard.press("u")
    assert count.inner_text() == "Cut 3 of 36"
    page.click("#undo")
    assert count.inner_text() == "Cut 2 of 36"
    swipe = """([from, to]) => {
      const area = document.getElementById("work");
      const touch = (x) => new Touch({ identifier: 1, target: area, clientX: x, clientY: 300 });
      area.dispatchEvent(new TouchEvent("touchstart", { touches: [touch(from)], changedTouches: [touch(from)] }));
      area.dispatchEvent(new TouchEvent("touchend", { touches: [], changedTouches: [touch(to)] }));
    }"""
    page.evaluate(swipe, [300, 100])
    assert count.inner_text() == "Cut 3 of 36"
    page.evaluate(swipe, [100, 300])
    assert count.inner_text() == "Cut 2 of 36"
    page.evaluate(swipe, [200, 170])  # too short to mean anything
    assert count.inner_text() == "Cut 2 of 36"
    page.evaluate("plan.pause_ms = 60000")
    page.evaluate("lastPress = -1e9")
    page.click("#done")
    page.click("#done")  # the thumb bounced
    assert count.inner_text() == "Cut 3 of 36"
    page.keyboard.press("w")
    assert page.locator("#lost").is_visible()
    page.keyboard.press("Escape")
    assert page.locator("#lost").is_hidden()
    close(page)


def test_a_count_that_does_not_agree_asks_where_you_are(browser: Browser, tmp_path: Path, six: Job) -> None:
    page = started(browser, made(six, tmp_path)[0])
    for _ in range(10):
        page.keyboard.press(" ")
    assert page.locator("#agree").is_visible()
    assert "10 turns counted since zero, and 5.00° on the dial" in page.inner_text("#agree-says")
    page.keyboard.press(" ")  # the button in focus, not one cut more
    assert page.inner_text("#count") == "Cut 11 of 36"
    page.keyboard.press("ArrowLeft")
    page.keyboard.press(" ")
    page.click("#agree-no")
    assert page.locator("#lost").is_visible()
    page.fill("#lost-turns", "11")
    page.fill("#lost-dial", "5")
    page.click("#lost-ask")
    assert "one whole turn too many" in page.inner_text("#lost-answer")
    page.fill("#lost-dial", "12")
    page.click("#lost-ask")
    assert "from 0 to 9.00°" in page.inner_text("#lost-answer")
    page.click("#lost-close")
    assert page.inner_text("#count") == "Cut 10 of 36"
    close(page)


def test_a_part_forgotten_on_the_way_to_a_cut_calls_no_cut_wrong(browser: Browser, tmp_path: Path, six: Job) -> None:
    page = started(browser, made(six, tmp_path)[0])
    for _ in range(6):
        page.keyboard.press(" ")
    assert page.inner_text("#count") == "Cut 7 of 36"
    for dial, wanted in (("1", "no cut is wrong: turn on to 7 turns + 2.00°"), ("0", "stand in the wrong place")):
        page.click("#where")
        page.fill("#lost-turns", "7")
        page.fill("#lost-dial", dial)
        page.click("#lost-ask")
        assert wanted in page.inner_text("#lost-answer")
        page.click("#lost-close")
    close(page)


def test_the_table_is_laid_flat_before_a_hole_is_drilled(browser: Browser, tmp_path: Path) -> None:
    page = started(browser, made(parse_job(demo_text("fell-twin")), tmp_path)[0])
    page.evaluate("go(plan.steps.findIndex((step) => step.kind === 'hole'))")
    said = page.inner_text("#do")
    assert "Lay the table flat with its count untouched" in said
    assert "6.2 mm (⌀0.244 in) drill" in said
    close(page)


def test_set_up_can_be_looked_at_again_without_losing_the_place(browser: Browser, tmp_path: Path, six: Job) -> None:
    page = started(browser, made(six, tmp_path)[0])
    for _ in range(3):
        page.keyboard.press(" ")
    page.click("#open-prepare")
    assert page.locator("#prepare").is_visible()
    page.evaluate("document.activeElement.blur()")
    page.keyboard.press(" ")  # counts nothing while the set-up is on show
    page.click("#start")
    assert page.inner_text("#count") == "Cut 4 of 36"
    page.click("#open-settings")
    page.click("#again")
    assert page.locator("#prepare").is_visible()
    page.click("#undo-start")
    assert page.inner_text("#count") == "Cut 4 of 36"
    close(page)


def test_a_dial_that_counts_the_other_way(browser: Browser, tmp_path: Path, six: Job) -> None:
    page = started(browser, made(six, tmp_path)[0])
    assert page.inner_text("#dial") == "5.00°"
    page.click("#open-settings")
    page.check("#falls")
    page.click("#settings-close")
    assert page.inner_text("#dial") == "4.00°"
    page.click("#where")
    page.fill("#lost-turns", "0")
    page.fill("#lost-dial", "4")
    page.click("#lost-ask")
    assert "where you should be" in page.inner_text("#lost-answer")
    page.click("#lost-close")
    close(page)


@pytest.mark.parametrize("size", [PHONE, (390, 844), (740, 360), DESKTOP])
def test_everything_needed_at_a_cut_is_seen_at_once_and_large(
    browser: Browser, tmp_path: Path, size: tuple[int, int]
) -> None:
    for name in DEMOS:
        page = started(browser, made(parse_job(demo_text(name)), tmp_path)[0], size)
        for _ in range(4):
            page.keyboard.press(" ")
        for part in ("#lap", "#count", "#turns", "#dial", "#picture svg", "#back", "#done", "#where", "#undo"):
            box = page.locator(part).bounding_box()
            assert box is not None
            assert box["x"] >= 0
            assert box["x"] + box["width"] <= size[0], part
            if size != (740, 360):
                assert box["y"] >= 0
                assert box["y"] + box["height"] <= size[1], (name, part)
        done = page.locator("#done").bounding_box()
        assert done["height"] >= 48
        assert done["width"] >= 130
        for button in page.locator("button:visible").all():
            assert button.bounding_box()["height"] >= 44  # Source: WCAG 2.2, 2.5.5 target size (enhanced)
        letters = page.evaluate("parseFloat(getComputedStyle(document.getElementById('turns')).fontSize)")
        assert letters >= 55
        assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
        close(page)


def test_the_picture_fills_and_turns(browser: Browser, tmp_path: Path) -> None:
    for turns, sense in (("clockwise", 1), ("anticlockwise", -1)):
        shop = "shop: {rotary_table: {ratio: 40}, cutter: {diameter: 6}}\n"
        page = started(browser, made(plate_job(turns=turns, gap_at=20, extra=shop), tmp_path)[0])
        place = """n => { const box = document.querySelector(`[data-cut="${n}"]`).getBoundingClientRect();
          const all = document.querySelector('#picture svg').getBoundingClientRect();
          return [box.x + box.width / 2 - all.x - all.width / 2, box.y + box.height / 2 - all.y - all.height / 2]; }"""
        for _ in range(3):
            page.keyboard.press(" ")
        x, y = page.evaluate(place, 4)
        assert abs(x) < 1
        assert y < -30  # the cut to be made is at the top
        x, _ = page.evaluate(place, 1)
        assert x * sense < -10  # done cuts have gone on the way the work turns
        close(page)


@pytest.mark.parametrize("name", DEMOS)
def test_the_printed_list_holds_every_stop(browser: Browser, tmp_path: Path, name: str) -> None:
    from pypdf import PdfReader

    path, plan = made(parse_job(demo_text(name)), tmp_path)
    page = open_page(browser, path, DESKTOP)
    page.emulate_media(media="print")
    assert page.locator("#app").is_hidden()
    rows = page.locator(".list tr:visible").all_inner_texts()
    tables = page.locator(".list table").count()
    steps = plan.stops
    assert len(rows) - tables == len(steps)
    cells = [re.split(r"\s+", row.strip()) for row in rows if not row.startswith("cut")]
    for step, row in zip(steps, cells, strict=True):
        assert ("again" in row) == step.closing
        assert str(step.cut) in row
    opened = [plan.opening(lap) for lap in plan.laps]
    begun = sum(len(setup.lines) for setup in opened if setup is not None and setup.key == "mill")
    looked = sum(bool(lap.then) for lap in plan.laps)
    boxes = len(steps) + len(plan.setup) + begun + len(plan.checkpoints) + looked + 1  # closing
    assert page.locator(".list .box").count() == boxes
    page.pdf(path=tmp_path / "list.pdf", format="A4")
    text = "".join(sheet.extract_text() for sheet in PdfReader(tmp_path / "list.pdf").pages)
    assert "Take care" in text
    assert "Where am I" not in text
    close(page)


def test_without_scripts_the_list_is_there(browser: Browser, tmp_path: Path, six: Job) -> None:
    path, _ = made(six, tmp_path)
    context = browser.new_context(java_script_enabled=False, offline=True)
    page = context.new_page()
    page.goto(path.as_uri())
    assert page.locator(".list table").first.is_visible()
    assert page.locator("#app").is_hidden()
    context.close()


def test_page_data_is_the_plan(six: Job, tmp_path: Path) -> None:
    _, plan = made(six, tmp_path)
    data = page_data(plan)
    steps = data["steps"]
    assert isinstance(steps, list)
    assert [(step["turns"], step["dial"]) for step in steps[:3]] == [(0, "5.00°"), (1, "6.00°"), (2, "7.00°")]
    assert steps[4]["meet"].startswith("Look: slot 5 lies on the line from the centre to the bolt hole at 45°")
    assert steps[36]["closing"]
    assert "first line" in steps[36]["ask"]
    assert sum(bool(step["ask"]) for step in steps[:36]) == 3
