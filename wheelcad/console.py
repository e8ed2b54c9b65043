"""Printing: what was written stays written, whatever becomes of the paper it is told on."""

from __future__ import annotations

import os
import sys
from typing import TextIO

from wheelcad.errors import Fault, JobFileError


def write_out(text: str, stream: TextIO | None = None) -> None:
    """Print a line. JobFileError where it cannot be printed, on a full disk say.

    Where nobody reads any more (`| true`, a closed window) the rest goes nowhere, and the work's own exit code stands.
    """
    stream = sys.stdout if stream is None else stream
    try:
        print(text, file=stream, flush=True)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
    except OSError as error:
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())  # it is told once, not again when the program ends
        raise JobFileError(Fault(f"cannot be printed: {error.strerror}", file="the result")) from None
