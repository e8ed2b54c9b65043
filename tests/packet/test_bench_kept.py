"""The bench page's count: kept in browser and address, and of no other plan."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.conftest import edited, plate_job
from tests.packet.bench_pages import made, started
from tests.packet.browser import PHONE, chromium, close, open_page
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.indexing import design
from wheelcad.parts.indexing.laps import plan_laps

SLIPS_DEG = [0, 0.004, -0.1, 0.2, -0.2, 0.5, -1, -2, -3, 3, -4, 6, -6, -10, -13, 20, 33.3, 171]


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as opened:
        yield opened


def test_each_job_keeps_its_own_place_even_where_the_browser_keeps_nothing(
    browser: Browser, tmp_path: Path, six: Job
) -> None:
    one, first = made(six, tmp_path, "first")
    other = parse_job(edited(six.source.text, ("gap_at: 0 deg", "gap_at: 10 deg"), ("job: tarn-six", "job: other")))
    two, second = made(other, tmp_path, "second")
    assert first.mark != second.mark  # the hole lies elsewhere from the gap
    page = started(browser, one)
    for _ in range(4):
        page.keyboard.press(" ")
    page.goto(two.as_uri())
    assert page.locator("#prepare").is_visible()
    page.goto(one.as_uri())
    assert page.inner_text("#count") == "Cut 5 of 36"
    for spoilt in ('{"at": 99999}', "%", "null", "[]"):  # begin again rather than break
        page.evaluate("text => localStorage.setItem(KEY, text)", spoilt)
        page.goto(one.as_uri() + "#" + spoilt)
        page.reload()
        assert page.locator("#prepare").is_visible()
    close(page)
    nothing = "Object.defineProperty(window, 'localStorage', { get() { throw new Error('kept shut'); } });"
    page = started(browser, one, script=nothing)
    for _ in range(6):
        page.keyboard.press(" ")
    page.reload()
    assert page.inner_text("#count") == "Cut 7 of 36"
    close(page)


def test_the_newer_of_storage_and_address_counts(browser: Browser, tmp_path: Path, six: Job) -> None:
    path, plan = made(six, tmp_path)
    page = started(browser, path)
    for _ in range(4):
        page.keyboard.press(" ")
    assert f"plan {plan.mark}" in page.inner_text("h1")
    older = page.evaluate("localStorage.getItem(KEY)")
    assert plan.mark in page.evaluate("KEY")
    assert json.loads(older)["mark"] == plan.mark
    for _ in range(3):
        page.keyboard.press(" ")
    page.evaluate("older => localStorage.setItem(KEY, older)", older)  # the address is newer
    page.reload()
    assert page.inner_text("#count") == "Cut 8 of 36"
    address = page.url
    page.evaluate("plan.pause_ms = 0")
    page.keyboard.press(" ")
    page.goto("about:blank")
    page.goto(address)  # as a bookmark would: now what is stored is newer
    assert page.inner_text("#count") == "Cut 9 of 36"
    page.context.close()


def test_the_count_of_another_plan_is_not_taken_over(browser: Browser, tmp_path: Path, six: Job) -> None:
    one, first = made(six, tmp_path, "first")
    changed = parse_job(edited(six.source.text, ("teeth: 36", "teeth: 35")))
    two, second = made(changed, tmp_path, "second")
    page = started(browser, one)
    for _ in range(4):
        page.keyboard.press(" ")
    address = page.url.split("#")[1]
    page.goto("about:blank")
    page.goto(f"{two.as_uri()}#{address}")
    assert page.locator("#prepare").is_visible()
    assert f"plan {first.mark}" in page.inner_text("#trouble")
    assert f"This page is plan {second.mark}" in page.inner_text("#trouble")
    page.click("#start")
    assert page.locator("#trouble").is_hidden()
    assert page.inner_text("#count") == "Cut 1 of 35"
    page.context.close()
    clean = open_page(browser, two, PHONE)  # the address alone
    clean.goto(f"{two.as_uri()}#{address}")
    clean.reload()
    assert clean.locator("#prepare").is_visible()
    assert first.mark in clean.inner_text("#trouble")
    close(clean)


def test_a_title_fills_nothing_in_and_a_broken_address_breaks_nothing(browser: Browser, tmp_path: Path) -> None:
    shop = "title: '%%plan%% and %%js%%'\nshop: {rotary_table: {ratio: 40}}\n"
    path, _ = made(plate_job(extra=shop), tmp_path)
    assert path.read_text(encoding="utf-8").count("%%plan%% and %%js%%") == 1
    for broken in ("#%", "#%7B", "#null", "#" + "%E0%A4%A"):
        page = open_page(browser, path, PHONE)
        page.goto(path.as_uri() + broken)
        page.reload()
        page.click("#start")
        assert page.inner_text("#count") == "Cut 1 of 36"
        close(page)


def test_storage_that_is_full_keeps_the_place_in_the_address(browser: Browser, tmp_path: Path, six: Job) -> None:
    """What was stored before it was full is older than the address, and does not win."""
    path, _ = made(six, tmp_path)
    page = started(browser, path)
    for _ in range(3):
        page.keyboard.press(" ")
    page.evaluate("void (Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); })")
    for _ in range(4):
        page.keyboard.press(" ")
    page.reload()
    assert page.inner_text("#count") == "Cut 8 of 36"
    page.evaluate("localStorage.clear()")  # somebody tidies up: the address is left
    page.reload()
    assert page.inner_text("#count") == "Cut 8 of 36"
    close(page)


def test_a_comment_added_keeps_the_place_and_another_order_does_not(browser: Browser, tmp_path: Path, six: Job) -> None:
    path, plan = made(six, tmp_path)
    page = started(browser, path)
    for _ in range(5):
        page.keyboard.press(" ")
    noted, same = made(parse_job(f"# measured on Sunday\n{six.source.text}"), tmp_path)
    assert (noted, same.mark) == (path, plan.mark)
    page.reload()
    assert page.inner_text("#count") == "Cut 6 of 36"
    changed = edited(six.source.text, ("missing: 1", "missing: 2"))  # a lap has other stops now
    _, other = made(parse_job(changed), tmp_path)
    assert other.mark != plan.mark
    page.reload()
    assert page.locator("#prepare").is_visible()
    assert f"plan {plan.mark}" in page.inner_text("#trouble")
    close(page)


def test_a_place_in_a_lap_that_is_taken_out_is_a_place_in_no_other(
    browser: Browser, tmp_path: Path, six: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Neither in the scratch lap, which is gone, nor in the laps after it, whose stops are others by number now. The
    page begins anew, says whose place it found, and finds it again when the lap is back."""
    path, plan = made(six, tmp_path)
    page = started(browser, path)
    scratched = len(plan.laps[0].cuts) + 1  # and its closing
    assert plan.laps[0].key == "scratch"
    for at in (5, scratched + 3):
        page.evaluate(f"go({at})")
        stood = page.inner_text("#lap"), page.inner_text("#count")
        with monkeypatch.context() as patch:
            patch.setattr(design, "plan_laps", lambda *given: list(plan_laps(*given))[1:])
            _, shorter = made(six, tmp_path)
        assert (len(shorter.stops), shorter.job) == (len(plan.stops) - scratched, plan.job)
        assert shorter.mark != plan.mark
        page.reload()
        assert page.locator("#prepare").is_visible()
        assert f"plan {plan.mark}" in page.inner_text("#trouble")
        assert made(six, tmp_path)[1].mark == plan.mark
        page.reload()
        assert (page.inner_text("#lap"), page.inner_text("#count")) == stood
    close(page)


def test_a_second_wheel_begins_where_the_first_did(browser: Browser, tmp_path: Path, six: Job) -> None:
    page = started(browser, made(six, tmp_path)[0])
    page.evaluate("go(plan.steps.length)")
    page.reload()
    assert page.locator("#finished").is_visible()
    page.click("#another")
    assert page.locator("#prepare").is_visible()
    page.reload()
    page.click("#start")
    assert page.inner_text("#count") == "Cut 1 of 36"
    close(page)


def test_two_windows_are_at_one_step_and_a_question_of_the_one_is_not_asked_in_the_other(
    browser: Browser, tmp_path: Path, six: Job
) -> None:
    path, _ = made(six, tmp_path)
    page = started(browser, path)
    at = page.evaluate("plan.steps.findIndex((step) => step.ask)")
    page.evaluate(f"go({at})")
    second = page.context.new_page()
    second.goto(path.as_uri())
    second.evaluate("plan.pause_ms = 0")
    assert second.evaluate("state.at") == at
    second.keyboard.press(" ")
    assert second.locator("#agree").is_visible()
    page.evaluate("go(3)")  # the other window goes elsewhere while the question stands
    second.wait_for_function("state.at === 3")
    assert second.locator("#agree").is_hidden()
    assert second.inner_text("#count") == "Cut 4 of 36"
    second.close()
    close(page)
