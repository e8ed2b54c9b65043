"""The scene on the page, as a person meets it: drag the sensor, turn the crank, click the map, by mouse and by keys."""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from tests.conftest import ROOT
from tests.page.served import Served, closed, opened, served
from wheelcad.job.reader import load_job

CHROMIUM = shutil.which("chromium")
# three.js drawn by the processor: no graphics hardware is asked for
ARGS = (
    "--no-sandbox", "--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
    "--disable-dev-shm-usage", "--disable-background-networking", "--disable-component-update", "--no-first-run",
)  # fmt: skip
SCENE = "window.wcScene"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    if CHROMIUM is None:
        pytest.skip("chromium is not installed (Debian: apt install chromium)")
    with sync_playwright() as driver:
        found = driver.chromium.launch(executable_path=CHROMIUM, args=list(ARGS))
        yield found
        found.close()


@pytest.fixture
def at(tmp_path: Path) -> Iterator[tuple[Served, Path]]:
    job = tmp_path / "tarn-six.yaml"
    shutil.copy(ROOT / "configs" / "tarn-six.yaml", job)
    with served(tmp_path, str(job)) as one:
        yield one, job


def scene(browser: Browser, one: Served, size: tuple[int, int] = (1400, 950)) -> Page:
    """The page with its scene drawn."""
    page = opened(browser, one.url, size)
    page.click("[data-panel=scene]")
    page.wait_for_function(f"{SCENE} && {SCENE}.state().drawn.includes('sensor')")
    return page


def until(job: Path, what: str, wanted: float) -> float:
    """The value of sensor.at or wheel.gap_at in the file, once it is as wanted or ten seconds have gone."""
    found = float("nan")
    for _ in range(100):
        read = load_job(job)
        found = read.wheel.gap_at if what == "gap_at" else (read.sensor.at if read.sensor else float("nan"))
        if abs(found - wanted) < 0.6:
            break
        time.sleep(0.1)
    return found


@pytest.mark.slow
def test_crank_sensor_and_parts_by_mouse_and_by_keys(browser: Browser, at: tuple[Served, Path]) -> None:
    one, job = at
    page = scene(browser, one)
    state = page.evaluate(f"{SCENE}.state()")
    assert {"wheel", "found", "bracket", "sensor", "block", "belt-1"} <= set(state["drawn"])
    assert state["triangles"] < 60_000

    page.focus(".wc-scene-crank")
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    assert page.evaluate(f"{SCENE}.state().turned") == pytest.approx(-5.0)  # clockwise seen from the front
    assert "5° after TDC" in page.inner_text(".wc-scene-now")
    assert "translate(-5" in str(page.get_attribute(".wc-scene-strip g", "transform"))

    page.focus(".wc-scene-sensor")  # the sensor by keys: one degree a press, the job hears of it
    page.keyboard.press("ArrowRight")
    assert until(job, "at", 311.0) == pytest.approx(311.0)

    page.click(".wc-scene-views button:has-text('front')")
    page.wait_for_timeout(1500)
    x, y = page.evaluate(f"{SCENE}.on_screen('sensor')")
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(1, 9):
        page.mouse.move(x - 0.5 * step, y + 4 * step)
    assert page.evaluate(f"{SCENE}.state().dragging")
    page.mouse.up()
    read = load_job(job).sensor
    page.wait_for_timeout(1500)
    read = load_job(job).sensor
    assert read is not None
    assert read.at != 311.0
    assert read.at == round(read.at)  # to whole degrees

    hidden = page.get_by_label("the printed gauge")
    hidden.check()
    page.wait_for_function(f"{SCENE}.state().drawn.includes('gauge')")
    closed(page, one)


@pytest.mark.slow
def test_the_map_sets_the_gap_and_a_collision_is_told(browser: Browser, at: tuple[Served, Path]) -> None:
    one, job = at
    page = opened(browser, one.url)
    page.click("[data-panel=gapmap]")
    page.wait_for_selector(".wc-map svg")
    box = page.locator(".wc-map svg").bounding_box()
    assert box is not None
    scale = box["width"] / 414
    page.mouse.click(box["x"] + (40 + 100) * scale, box["y"] + 60 * scale)
    assert until(job, "gap_at", 210.0) == pytest.approx(210.0, abs=1.1)  # 310 - 100
    page.wait_for_timeout(800)
    before = load_job(job).wheel.gap_at
    page.focus(".wc-map svg")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    assert until(job, "gap_at", before - 1.0) == pytest.approx(before - 1.0)

    page.click("[data-panel=scene]")
    page.wait_for_function(f"{SCENE} && {SCENE}.state().drawn.includes('sensor')")
    job.write_text(job.read_text(encoding="utf-8").replace("nose_length: 25", "nose_length: 4"), encoding="utf-8")
    page.wait_for_selector(".wc-scene-touches .hits")
    said = page.inner_text(".wc-scene-touches")
    assert "TOUCHES" in said
    assert "the tab hits the wheel" in said
    assert page.evaluate(f"{SCENE}.state().striped") >= 1
    closed(page, one)


@pytest.mark.slow
def test_a_field_in_hand_shows_its_arrow_and_the_patterns_can_be_compared(
    browser: Browser, at: tuple[Served, Path]
) -> None:
    one, _ = at
    page = scene(browser, one, (390, 844))
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.click("[data-panel=form]")
    page.click("[data-section=wheel]")
    page.focus('[data-key="wheel.outside_diameter"] input')
    page.click("[data-panel=scene]")
    page.wait_for_selector(".wc-scene-tag.arrow")
    assert "160 mm" in page.inner_text(".wc-scene-tag.arrow")
    page.click("[data-panel=compare]")
    page.wait_for_selector(".wc-pattern.take")
    assert "Take 36-1" in page.inner_text("body")
    page.click("[data-panel=section]")
    page.wait_for_selector(".wc-section svg")
    closed(page, one)
