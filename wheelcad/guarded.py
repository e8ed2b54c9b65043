"""How every command ends."""

from __future__ import annotations

import contextlib
import os
import signal
import sys
import tempfile
from collections.abc import Callable
from typing import NoReturn

EX_SOFTWARE = 70  # sysexits.h: an error of the program's own
INTERRUPTED = 130  # 128 + SIGINT, as shells count
PATIENCE_S = 2  # for what is being written to be put away


class Interrupted(BaseException):
    """Somebody pressed Ctrl-C. No KeyboardInterrupt: the parser of the command line ends those in its own way."""


def listen() -> None:
    """From now on Ctrl-C raises Interrupted, wherever the program is; again and again until that is heeded.

    Libraries that catch everything while they load what they could do without would swallow the first.
    """

    def heard(*_: object) -> None:
        if hasattr(signal, "alarm"):
            signal.alarm(PATIENCE_S)
        raise Interrupted

    with contextlib.suppress(ValueError):  # not in the main thread: whoever called us sees to it
        signal.signal(signal.SIGINT, heard)
        if hasattr(signal, "SIGALRM"):
            signal.signal(signal.SIGALRM, heard)


def interrupted() -> NoReturn:
    """Say what an interruption leaves behind, and end."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # a second one must not break into the end
    if hasattr(signal, "SIGALRM"):
        signal.signal(signal.SIGALRM, signal.SIG_IGN)
    print("interrupted: each folder of outputs holds a whole build, the new one or the one before", file=sys.stderr)
    sys.exit(INTERRUPTED)


def guarded(command: Callable[[], object]) -> None:
    """Run a command: every JobError ends as one clear message and exit code 2, and no traceback is ever shown.

    A mistake of the program's own ends with 70, its traceback in a file that is named.
    """
    from wheelcad.errors import JobError
    from wheelcad.libraries import told

    listen()
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a console that knows no ⌀ is shown a ? instead
            stream.reconfigure(errors="replace")
    try:
        with told(" ".join(["wheelcad", *sys.argv[1:2]])):
            command()
    except JobError as error:
        from wheelcad.terminal import print_error

        print_error(error, as_json="--json" in sys.argv[1:])
        sys.exit(2)
    except (Interrupted, KeyboardInterrupt):
        interrupted()
    except Exception as error:  # its traceback is of no use at a bench, and of much to whoever mends it
        words = f"wheelcad made a mistake of its own, {type(error).__name__}: {error}".rstrip(": ")
        print(f"{' '.join(words.split())}; the details are in {_written_down()}", file=sys.stderr)
        sys.exit(EX_SOFTWARE)


def _written_down() -> str:
    """Write the traceback of the exception in hand to a temporary file; its path, or why there is none."""
    import traceback

    text = f"wheelcad {' '.join(sys.argv[1:])}\n\n{traceback.format_exc()}"
    try:
        handle, path = tempfile.mkstemp(prefix="wheelcad-mistake-", suffix=".txt")
        with os.fdopen(handle, "w", encoding="utf-8", errors="backslashreplace") as out:
            out.write(text)
    except OSError as error:
        with contextlib.suppress(OSError):
            print(text, file=sys.stderr)
        return f"no file, for none could be written ({error.strerror}): they are above"
    return path
