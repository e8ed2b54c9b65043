"""The page without a browser: its elements as the library makes them, used as a person uses them.

In one process of its own, for the library keeps one set of pages for a process.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
USED = """
import asyncio, os, sys
from pathlib import Path

import httpx
from nicegui import core, ui
from nicegui.testing.general import nicegui_reset_globals, prepare_simulation
from nicegui.testing.user import User

from wheelcad.page.app import add_pages
from wheelcad.page.desk import Desk
from wheelcad.page.doors import Keys
from wheelcad.page.panels import PANELS

FILE = Path(sys.argv[1])
WHOLE = sys.argv[2] == "whole"


async def use(user, desk):
    session = desk.work("tarn-six").session
    await user.open("/job/tarn-six")
    await user.should_see("Tooth top", retries=100)
    user.find(marker="section-sensor").click()
    await user.should_see(marker="sensor.air_gap", retries=100)
    user.find(marker="sensor.air_gap").clear().type("0.9")
    await user.should_see("0.8 mm →", retries=200)
    await user.should_see("0.9 mm", retries=200)
    if WHOLE:
        for _ in range(300):  # numbers are shown before the file is written
            if "air_gap: 0.9" in FILE.read_text():
                break
            await asyncio.sleep(0.1)
        user.find(marker="sensor.air_gap").type("e3")  # 900 mm; an emptied field would be saved as left out
        await user.should_see("go to sensor.air_gap", retries=300)
        await user.should_see("Not saved: a job file with faults", retries=300)
        assert "air_gap: 0.9" in FILE.read_text()
        user.find("Undo").click()
        await user.should_see("Saved", retries=300)
    for panel in PANELS:
        next(iter(user.find(kind=ui.tabs).elements)).set_value(panel.name)
        await asyncio.sleep(0.1 if WHOLE else 0.0)
        await user.should_not_see("This panel made a mistake", retries=3 if WHOLE else 1)
    if WHOLE:
        await user.open("/new")
        await user.should_see("A new trigger wheel", retries=100)


async def main():
    with nicegui_reset_globals():
        os.environ["NICEGUI_USER_SIMULATION"] = "true"
        prepare_simulation()
        desk = Desk(Keys(1), FILE, FILE.parent / "outputs")
        core.script_mode = False
        add_pages(desk)
        core.script_mode = False
        ui.run()
        async with core.app.router.lifespan_context(core.app):
            async with httpx.AsyncClient(transport=httpx.ASGITransport(core.app), base_url="http://test") as client:
                await use(User(client), desk)
    print("used")


asyncio.run(main())
"""


@pytest.mark.parametrize("much", ["short", pytest.param("whole", marks=pytest.mark.slow)])
def test_a_value_is_typed_a_fault_is_told_and_every_panel_is_drawn(tmp_path: Path, much: str) -> None:
    job_file = shutil.copy(ROOT / "configs" / "tarn-six.yaml", tmp_path)
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    environment.pop("PYTEST_CURRENT_TEST", None)
    done = subprocess.run(
        [sys.executable, "-c", USED, str(job_file), much], cwd=tmp_path, env=environment, capture_output=True,
        text=True, check=False, timeout=300,
    )  # fmt: skip
    assert done.stdout.splitlines()[-1:] == ["used"], done.stdout[-2000:] + done.stderr[-4000:]
    assert "could not" not in done.stderr
    assert "Traceback" not in done.stderr, done.stderr[-4000:]
