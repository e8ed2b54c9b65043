"""A whole wheel made with the bench page, by somebody who forgets the part of a turn three times on the way."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.conftest import demo_text
from tests.packet.browser import DESKTOP, PHONE, chromium, close, open_page
from wheelcad.job.reader import parse_job
from wheelcad.packet.bench import write_bench
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.indexing.design import design_indexing
from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.parts.wheel.design import design_wheel

PER_TURN = Fraction(9)


class Machinist:
    """Turns the handwheel as the page says, and cuts. stands: degrees of table from zero, its own reckoning."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.stands = Fraction(0)
        self.scratched: dict[int, Fraction] = {}
        self.cut: dict[str, Fraction] = {}

    @property
    def setting(self) -> Fraction:
        """The setting in the large letters, degrees."""
        dial = Fraction(self.page.inner_text("#dial").rstrip("°"))
        return int(self.page.inner_text("#turns")) * PER_TURN + dial

    def turn_on(self, forget_the_part: bool = False) -> None:
        """Turn by what stands under `Turn on by`."""
        said = re.match(r"(\d+) turns? \+ ([\d.]+)°", self.page.inner_text("#facts dd"))
        assert said is not None
        part = Fraction(0) if forget_the_part else Fraction(said[2])
        self.stands = (self.stands + int(said[1]) * PER_TURN + part) % 360

    def go_to_setting(self) -> None:
        """Turn to the setting as it stands in the large letters, from wherever the table is."""
        self.stands = self.setting

    def make_cut(self) -> None:
        lap = self.page.inner_text("#lap")
        count = self.page.inner_text("#count")
        if "Scratch" in lap and not count.startswith("Closing"):
            number = int(re.match(r"Cut (\d+) of 36", count)[1])  # type: ignore[index]
            self.scratched[number] = self.stands
        elif not count.startswith("Closing"):
            named = count.split(", ")[1] if ", " in count else f"slot {re.match(r'Cut ([0-9]+)', count)[1]}"  # type: ignore[index]
            self.cut[named] = self.stands
        self.page.keyboard.press(" ")
        if self.page.locator("#agree").is_visible():
            said = self.page.inner_text("#agree-says")
            turns = int(re.search(r"(\d+) turns? (counted|\+)", said)[1])  # type: ignore[index]
            assert turns == self.stands // PER_TURN
            self.page.click("#agree-yes")

    def ask_where(self) -> str:
        self.page.click("#where")
        self.page.fill("#lost-turns", str(self.stands // PER_TURN))
        self.page.fill("#lost-dial", f"{float(self.stands % PER_TURN):g}")
        self.page.click("#lost-ask")
        return self.page.inner_text("#lost-answer")


def make_page(folder: Path) -> tuple[Path, IndexPlan]:
    job = parse_job(demo_text("tarn-six"))
    wheel = design_wheel(job)
    holes = tuple(CorrectionHole(at, 66.0, 6.2, 1.6, -1.6, drill="6.2 mm") for at in (169.0, 191.05))
    plan = design_indexing(job, wheel, holes)
    assert plan is not None
    path = folder / "bench.html"
    write_bench(path, plan)
    return path, plan


@pytest.mark.parametrize(
    ("name", "size", "scheme"),
    [("phone", PHONE, "light"), pytest.param("desktop", DESKTOP, "dark", marks=pytest.mark.slow)],
)
def test_a_whole_wheel_from_a_file_without_a_network(
    tmp_path: Path, name: str, size: tuple[int, int], scheme: str
) -> None:
    path, plan = make_page(tmp_path)
    with chromium() as browser:
        page = open_page(browser, path, size, scheme)
        page.check("#setup input >> nth=0")
        page.click("#start")
        page.evaluate("plan.pause_ms = 0")
        smith = Machinist(page)
        scratch_with_three_slips(smith)
        page.screenshot(path=tmp_path / f"{name}-closed.png")
        half_way_and_reload(smith)
        page.screenshot(path=tmp_path / f"{name}-half-way.png")
        while page.locator("#work").is_visible():
            smith.turn_on()
            assert smith.stands == smith.setting
            smith.make_cut()
        assert page.locator("#finished").is_visible()
        assert page.locator("#setup input >> nth=0").is_checked()
        close(page)
    # the wheel that was made, against the plan: every slot, gap pass and hole once, where it belongs
    wanted = {cut.name: cut.at for cut in plan.cuts}
    assert set(smith.cut) == set(wanted)
    for made, at in smith.cut.items():
        assert abs(at - wanted[made]) <= Fraction(1, 40), made
    assert smith.scratched == {k: 5 + 10 * Fraction(k - 1) for k in range(1, 37)}


def scratch_with_three_slips(smith: Machinist) -> None:
    page = smith.page
    for _ in range(10):
        smith.turn_on()
        assert smith.stands == smith.setting
        smith.make_cut()
    for _ in range(2):
        smith.turn_on(forget_the_part=True)
        smith.make_cut()
    smith.turn_on(forget_the_part=True)
    assert page.inner_text("#count") == "Cut 13 of 36"
    assert smith.setting - smith.stands == 3
    said = smith.ask_where()
    assert "part of a turn was forgotten 3 times" in said
    assert "3° short of" in said
    assert page.inner_text("#lost-go") == "Go to cut 11 on this page"
    page.click("#lost-go")
    assert page.inner_text("#count") == "Cut 11 of 36"
    # recovered: back past the setting and up to it, and the two wrong lines are made again
    smith.go_to_setting()
    assert "where you should be" in smith.ask_where()
    page.click("#lost-close")
    smith.make_cut()
    while "Scratch" in page.inner_text("#lap"):
        smith.turn_on()
        assert smith.stands == smith.setting
        smith.make_cut()
    assert smith.stands == smith.scratched[1]  # it closed on the first line


def half_way_and_reload(smith: Machinist) -> None:
    page = smith.page
    for _ in range(9):
        smith.turn_on()
        smith.make_cut()
    before = {key: page.inner_text(key) for key in ("#lap", "#count", "#turns", "#dial", "#facts")}
    assert before["#count"] == "Cut 10 of 18, slot 19"
    page.reload()
    page.evaluate("plan.pause_ms = 0")
    assert {key: page.inner_text(key) for key in before} == before
    assert page.locator("#picture .cut").count() == 9
    assert page.locator("#picture .scratched").count() == 27
