"""The design page in a browser: what is shown, what two pages agree on, and what a kill leaves."""

from __future__ import annotations

import http.client
import shutil
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Page

from tests.packet.browser import chromium
from tests.page.served import LONG_MS, Served, closed, free_port, open_section, opened, served, type_in

ROOT = Path(__file__).parents[2]
SAVED = "document.querySelector('.wc-saved').innerText == 'Saved'"


@pytest.fixture
def job_file(tmp_path: Path) -> Path:
    return Path(shutil.copy(ROOT / "configs" / "tarn-six.yaml", tmp_path))


def figure(page: Page, name: str) -> str:
    return page.inner_text(f"[data-figure={name}]")


def wait_for_figure(page: Page, name: str, text: str) -> None:
    page.wait_for_function(
        "([name, text]) => document.querySelector(`[data-figure=${name}]`)?.innerText.includes(text)", arg=[name, text]
    )


def answer(one: Served, path: str, **headers: str) -> int:
    """Status of a plain request, as a program and no browser sends it."""
    link = http.client.HTTPConnection("127.0.0.1", one.port, timeout=30)
    link.putrequest("GET", path, skip_host=True)
    for name, value in ({"Host": f"127.0.0.1:{one.port}"} | headers).items():
        link.putheader(name, value)
    link.endheaders()
    return link.getresponse().status


def cookie_of(page: Page) -> str:
    return "; ".join(f"{one['name']}={one['value']}" for one in page.context.cookies())


@pytest.mark.slow
def test_two_pages_on_one_job_agree_hostile_requests_are_refused_and_nothing_is_asked_elsewhere(job_file: Path) -> None:
    before = job_file.read_text()
    with chromium() as browser, served(job_file.parent, job_file.name) as one:
        first, second = opened(browser, one.url), opened(browser, one.url, (390, 844), "dark")
        for page in (first, second):
            page.wait_for_selector("[data-figure=air_gap]")
            assert "key=" not in page.url
            open_section(page, "sensor")
        type_in(first, "sensor.air_gap", "1/32 in")
        for page in (first, second):
            wait_for_figure(page, "air_gap", "0.8 mm →")
            wait_for_figure(page, "air_gap", "0.79 mm")
        assert second.input_value('[data-key="sensor.air_gap"] input') == "1/32 in"
        assert "= 0.794 mm" in first.inner_text('[data-key="sensor.air_gap"]')
        first.wait_for_function(SAVED)
        assert job_file.read_text() == before.replace("air_gap: 0.8", "air_gap: 1/32 in")

        type_in(second, "sensor.air_gap", "<img src=x onerror=alert(1)>")
        first.wait_for_selector('[data-key="sensor.air_gap"] .wc-wrong:has-text("should be a length")')
        assert first.locator("img[src=x]").count() == 0
        assert second.inner_text(".wc-saved").startswith("Not saved")
        assert "<img" not in job_file.read_text()

        cookie = cookie_of(first)
        assert answer(one, "/job/tarn-six", Cookie=cookie) == 200
        assert answer(one, "/job/tarn-six") == 403
        assert answer(one, "/job/tarn-six", Cookie=cookie, Host="evil.example") == 421
        for path in (
            "manifest.json",
            "..%2Ftarn-six.yaml",
            "../tarn-six.yaml",
            "%2Fetc%2Fpasswd",
            "....//tarn-six.yaml",
        ):
            assert answer(one, f"/job/tarn-six/files/{path}", Cookie=cookie) == 404
            assert answer(one, f"/job/tarn-six/sheets/{path}", Cookie=cookie) == 404
        assert answer(one, "/_nicegui_ws/socket.io/?EIO=4&transport=polling") == 403
        for page in (first, second):
            closed(page, one)


def _widths(page: Page) -> tuple[int, int]:
    return page.evaluate("[document.documentElement.scrollWidth, document.documentElement.clientWidth]")


@pytest.mark.slow
def test_a_kill_loses_at_most_the_last_second_and_the_page_comes_back(job_file: Path) -> None:
    port = free_port()
    with chromium() as browser:
        with served(job_file.parent, job_file.name, port=port) as one:
            page = opened(browser, one.url)
            page.wait_for_selector("[data-figure=air_gap]")
            open_section(page, "sensor")
            type_in(page, "sensor.air_gap", "0.7")
            wait_for_figure(page, "air_gap", "0.7 mm")
            type_in(page, "sensor.air_gap", "a hair")  # cannot be saved
            page.wait_for_selector('[data-key="sensor.air_gap"] .wc-wrong:has-text("should be a length")')
            page.wait_for_timeout(1000)
            one.kill()
            page.context.close()
        assert "air_gap: 0.7" in job_file.read_text()
        with served(job_file.parent, job_file.name, port=port) as one:
            page = opened(browser, one.url)
            page.wait_for_selector("[data-figure=air_gap]")
            open_section(page, "sensor")
            assert page.input_value('[data-key="sensor.air_gap"] input') == "a hair"
            page.click("text=Undo")
            wait_for_figure(page, "air_gap", "0.7 mm")
            closed(page, one)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("units", "diameter", "bore", "told"), [("mm", "160", "30", "1.1811 in"), ("in", "6 1/4", "1.2", "30.48 mm")]
)
def test_a_strangers_whole_way_from_empty_to_built(
    tmp_path: Path, units: str, diameter: str, bore: str, told: str
) -> None:
    with chromium() as browser, served(tmp_path) as one:
        page = opened(browser, one.url)
        page.fill("[data-ask=name]", "first-wheel")
        page.fill("[data-ask=diameter]", diameter)
        page.click("[data-ask=units]")
        page.click(f".q-menu >> text=/^{units}$/")
        page.click("[data-do=new]")
        page.wait_for_selector("[data-figure=tooth_top]")
        open_section(page, "pulley")
        page.wait_for_selector('[data-key="pulley.bore"].wc-invented')
        type_in(page, "pulley.bore", bore)
        page.wait_for_selector('[data-key="pulley.bore"]:not(.wc-invented)')
        assert told in page.inner_text('[data-key="pulley.bore"]')
        page.wait_for_selector('[data-key="pulley.rubber_ring"].wc-invented')
        page.click('[data-key="pulley.rubber_ring"] >> text=measured: it is so')
        page.wait_for_selector('[data-key="pulley.rubber_ring"]:not(.wc-invented)')
        type_in(page, "pulley.bore", "900")
        page.click('[data-key="pulley.bore"] .wc-mend')
        page.wait_for_function(SAVED)
        type_in(page, "pulley.bore", bore)
        page.wait_for_function(SAVED)
        page.click("[data-panel=build]")
        page.wait_for_selector("[data-do=build]:not([disabled])")
        page.click("[data-do=build]")
        page.wait_for_selector(".wc-cards", timeout=8 * LONG_MS)
        page.click('[aria-label="see packet.pdf"]')
        address = page.get_attribute("iframe.wc-frame", "src") or ""
        assert answer(one, urlsplit(address).path, Cookie=cookie_of(page)) == 200
        folder = tmp_path / "outputs" / "first-wheel"
        for link in page.locator(".wc-card a").all():
            assert (folder / link.inner_text()).is_file()
            assert answer(one, link.get_attribute("href") or "", Cookie=cookie_of(page)) == 200
        assert page.locator(".wc-card a").count() > 20
        closed(page, one)


@pytest.mark.slow
def test_a_wheel_that_was_cut_is_measured_and_its_rescue_is_a_job_of_its_own(job_file: Path) -> None:
    """36 slots at 40:1; before the twentieth the part of a turn was forgotten, one degree of ten."""
    slots = [5.0 + 10.0 * k - (1.0 if k >= 19 else 0.0) for k in range(36)]
    given = job_file.parent / "given" / "slots.csv"
    given.parent.mkdir()
    given.write_text("slot_deg\n" + "".join(f"{slot:.3f}\n" for slot in slots))
    with chromium() as browser, served(job_file.parent, job_file.name) as one:
        page = opened(browser, one.url)
        page.wait_for_selector("[data-figure=air_gap]")
        page.click("[data-panel=wheel]")
        page.set_input_files(".wc-upload input[type=file]", str(given))
        page.wait_for_selector("[data-do=measure]:not([disabled])")
        page.click("[data-do=measure]")
        page.wait_for_selector("text=What went wrong: part turn forgotten, from cut 20")
        page.wait_for_selector(".wc-chart svg")
        page.click("[data-do=rescue]")
        page.wait_for_selector("text=is the job as the advice has it")
        rescue = job_file.with_name("tarn-six-rescue-1.yaml")
        assert rescue.is_file()
        assert rescue.read_text() != job_file.read_text()
        other = opened(browser, one.url.replace("/?", "/job/tarn-six-rescue-1?"))
        other.wait_for_selector("[data-figure=air_gap]")
        closed(other, one)
        closed(page, one)


@pytest.mark.slow
def test_the_page_is_worked_by_keyboard_alone_and_fits_a_phone(job_file: Path) -> None:
    with chromium() as browser, served(job_file.parent, job_file.name) as one:
        page = opened(browser, one.url, (390, 844))
        page.wait_for_selector("[data-figure=air_gap]")
        wide, there = _widths(page)
        assert wide <= there
        for _ in range(60):  # to the section
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.dataset.section") == "sensor":
                break
        page.keyboard.press("Enter")
        page.wait_for_selector('[data-key="sensor.air_gap"]')
        for _ in range(80):  # to the field
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.closest('[data-key]')?.dataset.key") == "sensor.air_gap":
                break
        page.keyboard.press("Control+A")
        page.keyboard.type("0.9")
        wait_for_figure(page, "air_gap", "0.9 mm")
        unnamed = page.evaluate(
            """[...document.querySelectorAll('button, input, select, textarea, a[href], [role=tab], [role=combobox]')]
            .filter(e => e.offsetParent && !(e.getAttribute('aria-label') || e.innerText.trim() || e.labels?.length
                     || e.title || e.closest('[aria-label]'))).map(e => e.outerHTML.slice(0, 200))"""
        )
        assert unnamed == []
        closed(page, one)
