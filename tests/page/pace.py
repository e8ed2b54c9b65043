"""How long a change takes to be seen, and how many pictures a second the scene draws: `python -m tests.page.pace`.

A person's keys are pressed in a real Chromium, one at a time; from the last of them (its input event) it is measured
until the first number, and until the last of numbers, faults and "Saved", stood in the page and the browser had drawn
them. Not a test: what it prints depends on what else the machine does.
"""

from __future__ import annotations

import argparse
import shutil
import tempfile
from collections.abc import Iterable
from itertools import pairwise
from pathlib import Path

import numpy as np
from playwright.sync_api import Page, sync_playwright

from tests.page.served import open_section, opened, served
from wheelcad.job.edit import changed_text

ROOT = Path(__file__).parents[2]
WITHIN_MS = 150
KEY_MS = 150  # between two keys of one value: 80 words a minute
PAUSE_MS = 250  # without anything new: then all of a change is there
SOFTWARE = ("--no-sandbox", "--disable-gpu-compositing", "--enable-unsafe-swiftshader", "--disable-dev-shm-usage")
SIXTY = {
    ("wheel", "teeth"): "60",
    ("wheel", "missing"): "2",
    ("wheel", "slot"): "{width: 4, depth: 5, sides: parallel, floor: round}",
    ("shop", "cutter", "diameter"): "4",
    ("sensor", "face_diameter"): "4",
}
CHANGES: dict[str, tuple[str, ...]] = {
    "sensor.air_gap": ("0.7", "1.1", "0.9", "0.85", "1"),
    "sensor.at": ("305 deg", "300", "312 deg", "308", "310 deg"),
    "sensor.face_diameter": ("5", "5.5", "6"),
    "sensor.mass": ("70 g", "50 g", "60 g"),
    "sensor.nose_length": ("26", "24", "25"),
    "wheel.outside_diameter": ("160.5", "161", "159", "160"),
    "wheel.thickness": ("3.4", "3.5", "3.2"),
    "wheel.slot.depth": ("6.5", "6.2", "6.35"),
    "wheel.gap_at": ("10 deg", "20", "5 deg", "0 deg"),
    "bracket.width": ("46", "44", "45"),
    "bracket.adjust": ("5", "7", "6"),
    "bracket.plate.thickness": ("5", "6", "3/16 in"),
    "engine.max_speed": ("5500 rpm", "5000 rpm", "5200"),
    "engine.cranking_speed": ("170 rpm", "190 rpm", "180"),
    "pulley.bore": ("31", "32"),
    "gauge.thickness": ("5", "3", "4"),
    "balance.radius": ("65", "66"),
    "balance.largest_drill": ("7", "8"),
    "shop.plasma.kerf": ("1.5", "1.4"),
    "shop.printer.nozzle": ("0.6", "0.4"),
}
WATCH = """() => {
  const w = (window.pace = { at: 0, seen: [] });
  addEventListener("input", () => { w.at = performance.now(); w.seen = []; }, true);
  const note = () => requestAnimationFrame(() => setTimeout(() => w.seen.push(performance.now() - w.at), 0));
  for (const name of [".wc-side", ".wc-saved"])
    new MutationObserver(note).observe(document.querySelector(name),
      { subtree: true, childList: true, characterData: true });
}"""


def job_file(folder: Path, sixty: bool) -> Path:
    """tarn-six, or what becomes of it as a 60-2."""
    path = folder / "tarn-six.yaml"
    text = (ROOT / "configs" / "tarn-six.yaml").read_text(encoding="utf-8")
    path.write_text(changed_text(text, SIXTY) if sixty else text, encoding="utf-8")
    return path


def times_of(page: Page, changes: Iterable[tuple[str, str]]) -> tuple[list[float], list[float]]:
    """ms to the first number and to all, for each change that changed anything the page shows."""
    first, whole = [], []
    section = ""
    for key, value in changes:
        if key.split(".")[0] != section:
            section = key.split(".")[0]
            open_section(page, section)
            page.evaluate("document.querySelectorAll('details.wc-more').forEach((d) => (d.open = true))")
            page.wait_for_timeout(1500)
        field = page.locator(f'[data-key="{key}"] input')
        field.focus()
        page.keyboard.press("Control+A")
        page.wait_for_timeout(200)
        page.evaluate("pace.seen = []")
        page.keyboard.type(value, delay=KEY_MS)
        page.wait_for_timeout(700)
        seen = together(page.evaluate("pace.seen"))
        if seen:
            first.append(seen[0])
            whole.append(seen[-1])
            print(f"{key}: {value}: {seen[0]:.0f} {seen[-1]:.0f}", flush=True)
    return first, whole


def together(seen: list[float]) -> list[float]:
    """What came before the first pause: what comes after it was worked out in the background."""
    pauses = [k for k, (a, b) in enumerate(pairwise(seen), 1) if b - a > PAUSE_MS]
    return seen[: pauses[0]] if pauses else seen


def told(name: str, ms: list[float]) -> str:
    """Median, 95 % quantile and the share that was quick enough."""
    quick, most = np.mean(np.array(ms) <= WITHIN_MS), np.quantile(ms, 0.95)
    few = f"{len(ms)} changes, median {np.median(ms):.0f} ms, 95 % within {most:.0f} ms"
    return f"{name}: {few}, {quick:.0%} within {WITHIN_MS} ms"


def frames(page: Page, seconds: float) -> tuple[float, int]:
    """Pictures a second while the crank is turned by its slider, as drawn, and the scene's triangles."""
    page.click("[data-panel=scene]")
    page.wait_for_function("window.wcScene && window.wcScene.state().drawn.includes('sensor')")
    page.wait_for_timeout(15000)
    drawn = page.evaluate(
        """(ms) => new Promise((done) => {
          const slider = document.querySelector(".wc-scene-crank"), began = performance.now();
          let at = 0, drawn = window.wcScene.state().frames;
          const step = () => {
            slider.value = (at = (at + 2) % 720);
            slider.dispatchEvent(new Event("input", { bubbles: true }));
            if (performance.now() - began < ms) return requestAnimationFrame(step);
            done((window.wcScene.state().frames - drawn) / ((performance.now() - began) / 1000));
          };
          step();
        })""",
        seconds * 1000,
    )
    return drawn, page.evaluate("window.wcScene.state().triangles")


def main() -> None:
    """Measure and print."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--sixty", action="store_true", help="a 60-2 wheel instead of tarn-six's 36-1")
    asked.add_argument("--changes", type=int, default=60)
    asked.add_argument("--first", type=int, default=0, help="leave out as many of them, to measure in parts")
    asked.add_argument("--frames", type=float, default=0.0, help="seconds to turn the crank instead")
    given = asked.parse_args()
    chromium = shutil.which("chromium")
    with tempfile.TemporaryDirectory() as name, sync_playwright() as driver:
        job = job_file(Path(name), given.sixty)
        with served(Path(name), str(job)) as one:
            browser = driver.chromium.launch(executable_path=chromium, args=list(SOFTWARE))
            page = opened(browser, one.url)
            page.wait_for_selector("[data-figure=air_gap]")
            page.wait_for_timeout(6000)  # until what is worked out in the background is there
            if given.frames:
                drawn, triangles = frames(page, given.frames)
                print(f"{drawn:.1f} pictures a second, {triangles:.0f} triangles, {page.viewport_size}")
            else:
                page.evaluate(WATCH)
                changes = [(key, value) for key, values in CHANGES.items() for value in values]
                first, whole = times_of(page, changes[given.first :][: given.changes])
                print(told("first number", first))
                print(told("everything", whole))
            browser.close()


if __name__ == "__main__":
    main()
