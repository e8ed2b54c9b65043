"""The process behind `apart`: one task on standard input, answers as pickles on standard output."""

from __future__ import annotations

import os
import pickle
import sys
from typing import BinaryIO

from wheelcad.checks.fem.model import FemError


def main() -> int:
    """Serve one task."""
    channel = os.fdopen(os.dup(1), "wb")
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)  # mesher and kernel like to talk on standard output
    try:
        kind, folder, design, job = pickle.load(sys.stdin.buffer)
    except EOFError:  # nothing to do after all
        return 0
    try:
        if kind == "solve":
            from wheelcad.checks.fem.setup import bracket_stiffness

            _say(channel, "result", bracket_stiffness(folder, design, job))
        else:
            from wheelcad.checks.fem.proposals import proposals

            _say(channel, "result", proposals(design, job, lambda name: _say(channel, "done", name)))
    except FemError as error:
        _say(channel, "error", str(error))
        return 2
    except Exception as error:  # whatever libraries throw must reach the user as words
        _say(channel, "error", f"{type(error).__name__}: {error}")
        if os.environ.get("WHEELCAD_DEBUG"):
            raise
        return 2
    return 0


def _say(channel: BinaryIO, kind: str, what: object) -> None:
    pickle.dump((kind, what), channel)
    channel.flush()


if __name__ == "__main__":
    sys.exit(main())
