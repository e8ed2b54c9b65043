"""`wheelcad design`: serves the page on this machine until it is stopped."""

from __future__ import annotations

import contextlib
import io
import socket
import sys
import threading
import webbrowser
from pathlib import Path

from wheelcad.errors import Fault, JobFileError
from wheelcad.libraries import told
from wheelcad.page.doors import Keys

FIRST_PORT, PORTS = 8550, 40
SWITCH_S = 0.0005  # between threads: a message need not wait for a design that is being worked out


def design_command(job: Path | None, out: Path, port: int = 0, browser: bool = True, share: bool = False) -> None:
    """Serve the page for a job, or for none yet. JobFileError where a library or the port is missing."""
    with told("wheelcad design"):
        import segno  # noqa: F401

        from wheelcad.page.app import serve
        from wheelcad.page.desk import Desk, shared_words

    sys.setswitchinterval(SWITCH_S)
    port = free_port(port, share)
    address = own_address() if share else ""
    keys = Keys(port, (address,) if address else ())
    desk = Desk(keys, job, out, share, address)
    url = f"http://127.0.0.1:{port}/?key={keys.own}"
    print(f"The design page is at {url}", flush=True)
    print("That is for this machine alone; stop it with Ctrl-C.", flush=True)
    if share:
        print(shared_words(address), flush=True)
    if address:
        once = desk.one_time()
        print(f"For one other device, once: {once}\n{_code(once)}", flush=True)
    if browser:
        opening = threading.Timer(1.0, lambda: webbrowser.open(url))
        opening.daemon = True
        opening.start()
    serve(desk, "0.0.0.0" if share else "127.0.0.1")


def _code(address: str) -> str:
    """The address as a code for a terminal."""
    import segno

    out = io.StringIO()
    segno.make(address, error="l").terminal(out, compact=True)
    return out.getvalue()


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
