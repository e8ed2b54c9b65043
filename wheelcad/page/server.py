"""`wheelcad design`: serves the page on this machine until it is stopped."""

from __future__ import annotations

import contextlib
import importlib.util
import socket
import threading
import webbrowser
from pathlib import Path

from wheelcad.errors import Fault, JobFileError
from wheelcad.page.doors import Keys

FIRST_PORT, PORTS = 8550, 40
NEEDS = ("nicegui", "segno")


def design_command(job: Path | None, port: int = 0, browser: bool = True, share: bool = False) -> None:
    """Serve the page for a job, or for none yet. JobFileError where a library or the port is missing."""
    for name in NEEDS:
        if importlib.util.find_spec(name) is None:
            hint = "install it with: pip install 'wheelcad[page]'"
            raise JobFileError(
                Fault(f"needs the library {name}, which is not installed", file="wheelcad design", hint=hint)
            )
    from wheelcad.page.app import Desk, serve

    port = free_port(port, share)
    address = own_address() if share else ""
    keys = Keys(port, (address,) if address else ())
    desk = Desk(keys, job, address)
    url = f"http://127.0.0.1:{port}/?key={keys.own}"
    print(f"The design page is at {url}", flush=True)
    print("It is for this machine alone; stop it with Ctrl-C.", flush=True)
    if share:
        print(desk.share_text(), flush=True)
    if browser:
        opening = threading.Timer(1.0, lambda: webbrowser.open(url))
        opening.daemon = True
        opening.start()
    serve(desk, "0.0.0.0" if share else "127.0.0.1", port)


def free_port(wanted: int, share: bool) -> int:
    """The port that was asked for, else the first free one. JobFileError where it is taken."""
    for port in [wanted] if wanted else range(FIRST_PORT, FIRST_PORT + PORTS):
        with contextlib.closing(socket.socket()) as trial:
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                trial.bind(("0.0.0.0" if share else "127.0.0.1", port))
            except OSError:
                continue
            return port
    said = f"port {wanted} is taken or not allowed" if wanted else f"no port from {FIRST_PORT} on is free"
    raise JobFileError(Fault(said, file="wheelcad design", hint="name another with --port"))


def own_address() -> str:
    """This machine's address in its network, "" where it is in none. Nothing is sent."""
    with contextlib.closing(socket.socket(socket.AF_INET, socket.SOCK_DGRAM)) as trial:
        try:
            trial.connect(("10.255.255.255", 1))
            return str(trial.getsockname()[0])
        except OSError:
            return ""
