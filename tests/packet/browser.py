"""A headless browser for the bench page's tests: Debian's chromium, network off, pages opened from files."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

CHROMIUM = shutil.which("chromium")
ARGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
)
PHONE = (360, 640)
DESKTOP = (1280, 800)


@contextmanager
def chromium() -> Iterator[Browser]:
    """The browser, closed again at the end; a test without chromium is skipped and says so."""
    if CHROMIUM is None:
        pytest.skip("chromium is not installed (Debian: apt install chromium)")
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=list(ARGS))
        yield browser
        browser.close()


def open_page(browser: Browser, file: Path, size: tuple[int, int], scheme: str = "light", script: str = "") -> Page:
    """The file in a fresh context without a network; script runs before the page's own. `close` reports errors."""
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]},
        color_scheme=scheme,
        offline=True,
        has_touch=size[0] < 800,
        reduced_motion="reduce",
    )
    page = context.new_page()
    page.wheel_errors = []  # type: ignore[attr-defined]
    page.wheel_requests = []  # type: ignore[attr-defined]
    page.on("pageerror", lambda error: page.wheel_errors.append(str(error)))  # type: ignore[attr-defined]
    page.on("console", lambda message: page.wheel_errors.append(message.text))  # type: ignore[attr-defined]
    page.on("request", lambda request: page.wheel_requests.append(request.url))  # type: ignore[attr-defined]
    if script:
        page.add_init_script(script)
    page.goto(file.as_uri())
    return page


def close(page: Page) -> None:
    """Close the page; nothing may have gone wrong in it and nothing may have been asked of a network."""
    errors, requests = page.wheel_errors, page.wheel_requests  # type: ignore[attr-defined]
    page.context.close()
    assert errors == []
    assert {url.split(":")[0] for url in requests} == {"file"}
