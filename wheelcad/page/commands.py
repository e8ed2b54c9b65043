"""The commands of the command line, run beside the page: what it shows is what they say, and a slow or dying one stops
nothing here."""

from __future__ import annotations

import asyncio
import contextlib
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

LONGEST_S = 300.0


class Ran(NamedTuple):
    """code: of its end. out, err: what it said."""

    code: int
    out: str
    err: str

    @property
    def data(self) -> Any:
        """What it printed for programs; None where that is no JSON."""
        try:
            return json.loads(self.out)
        except ValueError:
            return None

    @property
    def faults(self) -> list[str]:
        """Why it did nothing, a sentence each."""
        data = self.data
        told = data.get("faults") if isinstance(data, dict) else None
        if isinstance(told, list):
            names = ("key", "message", "found", "allowed", "hint")
            return [
                "; ".join(str(one[name]) for name in names if one.get(name)) if isinstance(one, dict) else str(one)
                for one in told
            ]
        return [self.err.strip() or self.out.strip() or f"ended with code {self.code}"]


async def ran(arguments: Sequence[str | Path], folder: Path, longest_s: float = LONGEST_S) -> Ran:
    """Run `wheelcad ARGUMENTS` in a folder, without waiting in the way of anything else; ended after `longest_s`."""
    process = await asyncio.create_subprocess_exec(
        sys.executable, "-m", "wheelcad", *map(str, arguments),
        cwd=folder, stdin=asyncio.subprocess.DEVNULL, stdout=asyncio.subprocess.PIPE, stderr=asyncio.subprocess.PIPE,
    )  # fmt: skip
    try:
        out, err = await asyncio.wait_for(process.communicate(), longest_s)
    except TimeoutError:
        with contextlib.suppress(ProcessLookupError):
            process.kill()
        await process.wait()
        return Ran(-1, "", f"took longer than {longest_s:g} s, and was ended")
    except asyncio.CancelledError:
        with contextlib.suppress(ProcessLookupError):
            process.kill()
        raise
    return Ran(process.returncode or 0, out.decode("utf-8", "replace"), err.decode("utf-8", "replace"))
