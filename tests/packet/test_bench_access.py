"""The bench page for every eye and ear: contrast in light and dark, and what a screen reader is told."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.packet.bench_pages import made, started
from tests.packet.browser import PHONE, chromium, close, open_page
from wheelcad.job.models import Job


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as opened:
        yield opened


CONTRAST = """() => {
  const rgb = (text) => text.match(/[\\d.]+/g).map(Number);
  const light = ([r, g, b]) => {
    const part = (v) => (v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
    return 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b);
  };
  const behind = (node) => {
    for (let at = node; at; at = at.parentElement) {
      const found = rgb(getComputedStyle(at).backgroundColor);
      if (found.length === 3 || found[3] === 1) return found;
    }
    return rgb(getComputedStyle(document.documentElement).backgroundColor);
  };
  const out = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const node = walker.currentNode.parentElement;
    if (!walker.currentNode.textContent.trim() || !node.checkVisibility() || node.closest("svg")) continue;
    const [a, b] = [light(rgb(getComputedStyle(node).color)), light(behind(node))].sort((x, y) => y - x);
    out.push([(a + 0.05) / (b + 0.05), node.tagName, node.textContent.slice(0, 30)]);
  }
  return out;
}"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_contrast_of_every_text(browser: Browser, tmp_path: Path, scheme: str, six: Job) -> None:
    # Source: WCAG 2.2, 1.4.3 contrast (minimum): 4.5 to 1 for text, relative luminance as defined there
    page = open_page(browser, made(six, tmp_path)[0], PHONE, scheme)
    seen = page.evaluate(CONTRAST)
    page.click("#start")
    page.evaluate("plan.pause_ms = 0")
    for _ in range(40):  # a press within the page's pause is not taken
        if page.locator("#meet").is_visible():
            break
        page.keyboard.press(" ")
        page.wait_for_timeout(50)
    assert page.locator("#meet").is_visible()  # slot 5 lies on a bolt line
    seen += page.evaluate(CONTRAST)
    page.click("#open-list")
    seen += page.evaluate(CONTRAST)
    page.click("#where")
    page.fill("#lost-turns", "4")
    page.fill("#lost-dial", "1")
    page.click("#lost-ask")
    seen += page.evaluate(CONTRAST)
    assert len(seen) > 150
    poor = [entry for entry in seen if entry[0] < 4.5]
    assert poor == []
    close(page)


def test_screen_readers_find_names_roles_and_what_has_changed(browser: Browser, tmp_path: Path, six: Job) -> None:
    page = started(browser, made(six, tmp_path)[0])
    assert page.get_by_role("button", name="Done").is_visible()
    assert page.get_by_role("heading", level=1).count() == 1
    status = page.get_by_role("status").first
    assert status.get_attribute("aria-live") == "polite"
    page.keyboard.press(" ")
    assert re.sub(r"\s+", " ", status.inner_text()).startswith("Cut 2 of 36 1 full turn 6.00° on the dial")
    picture = page.get_by_role("img")
    assert (
        picture.get_attribute("aria-label")
        == "Wheel with the cutter at slot 2; 0 cuts made to depth, 1 lines scratched."
    )
    page.click("#where")
    for label in ("Full turns since zero", "The dial reads"):
        assert page.get_by_label(label).is_visible()
    assert page.get_by_role("dialog").get_attribute("aria-labelledby") == "lost-title"
    assert page.locator("html").get_attribute("lang") == "en"
    page.click("#lost-close")
    names = page.evaluate(
        "[...document.querySelectorAll('button')].filter(b => b.checkVisibility()).map(b => b.textContent)"
    )
    assert all(name.strip() for name in names)
    # tab reaches every button, and what is in focus shows it
    reached = set()
    for _ in range(12):
        page.keyboard.press("Tab")
        reached.add(page.evaluate("document.activeElement.id"))
    assert {"open-prepare", "open-list", "open-settings", "back", "done", "where", "undo"} <= reached
    close(page)
