"""The design page served as a person starts it, and a browser at it, shared by its tests."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

from playwright.sync_api import Browser, Page

ROOT = Path(__file__).parents[2]
LONG_MS = 60_000  # what is waited for at most, on a machine that does much else


@dataclass
class Served:
    """A running `wheelcad design`. url: with the key, as printed."""

    process: subprocess.Popen[str]
    url: str
    said: list[str] = field(default_factory=list)

    @property
    def port(self) -> int:
        """Where it is served."""
        return urlsplit(self.url).port or 0

    def kill(self) -> None:
        """As a power cut does it."""
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()


def free_port() -> int:
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        return int(trial.getsockname()[1])


@contextmanager
def served(folder: Path, *arguments: str, port: int = 0) -> Iterator[Served]:
    """`wheelcad design ARGUMENTS` in a folder, ended at the end."""
    # what tells a library that it is being tested must not reach the server
    environment = {k: v for k, v in os.environ.items() if not k.startswith("PYTEST")} | {"PYTHONPATH": str(ROOT)}
    named = ["--no-browser", "--port", str(port or free_port())]
    process = subprocess.Popen(
        [sys.executable, "-m", "wheelcad", "design", *arguments, *named],
        cwd=folder, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        start_new_session=True,
    )  # fmt: skip
    assert process.stdout is not None
    first = process.stdout.readline()
    found = re.search(r"http://\S+", first)
    assert found is not None, first + process.stdout.read()
    one = Served(process, found[0])
    try:
        _wait(one)
        yield one
    finally:
        if process.poll() is None:
            process.terminate()
            try:
                process.wait(10)
            except subprocess.TimeoutExpired:
                one.kill()
        one.said = process.stdout.read().splitlines()


def _wait(one: Served) -> None:
    import time

    for _ in range(600):
        with socket.socket() as trial:
            if trial.connect_ex(("127.0.0.1", one.port)) == 0:
                return
        assert one.process.poll() is None
        time.sleep(0.1)


def opened(browser: Browser, url: str, size: tuple[int, int] = (1400, 950), scheme: str = "light") -> Page:
    """The page at an address in a fresh browser; what it asks for and what goes wrong in it is noted."""
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]}, color_scheme=scheme, reduced_motion="reduce"
    )
    page = context.new_page()
    page.set_default_timeout(LONG_MS)
    page.wheel_errors, page.wheel_requests = [], []  # type: ignore[attr-defined]
    page.on("pageerror", lambda error: page.wheel_errors.append(str(error)))  # type: ignore[attr-defined]
    page.on("console", lambda m: page.wheel_errors.append(m.text) if m.type == "error" else None)  # type: ignore[attr-defined]
    page.on("request", lambda request: page.wheel_requests.append(request.url))  # type: ignore[attr-defined]
    page.on("websocket", lambda socket: page.wheel_requests.append(socket.url))  # type: ignore[attr-defined]
    page.goto(url)
    return page


def closed(page: Page, one: Served) -> None:
    """Close it; nothing may have gone wrong in it and nothing may have been asked beyond this machine's page."""
    errors, requests = page.wheel_errors, page.wheel_requests  # type: ignore[attr-defined]
    page.context.close()
    assert errors == []
    # the browser's own viewer of PDF files is an extension inside it: nothing of it leaves the machine
    inside = ("data:", "blob:", "chrome-extension:", "chrome:")
    places = {urlsplit(url).netloc for url in requests if not url.startswith(inside)}
    assert places - {f"127.0.0.1:{one.port}"} == set()


def type_in(page: Page, key: str, value: str) -> None:
    """Type a value into the field of a key, its section being open."""
    page.fill(f'[data-key="{key}"] input', value)


def open_section(page: Page, name: str) -> None:
    page.click(f"[data-section={name}]")
