"""How every command ends."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable

from wheelcad.errors import JobError


def guarded(command: Callable[[], object]) -> None:
    """Run a command: every JobError ends as one clear message and exit code 2, and no traceback is ever shown."""
    try:
        command()
    except JobError as error:
        from wheelcad.terminal import print_error

        print_error(error)
        sys.exit(2)
    except KeyboardInterrupt:
        print("stopped; what stood there before is untouched", file=sys.stderr)
        sys.exit(130)
    except BrokenPipeError:
        sys.exit(0)
    except Exception as error:  # a mistake of the program's own: its traceback is of no use at a bench
        if os.environ.get("WHEELCAD_DEBUG"):
            raise
        print(f"wheelcad made a mistake of its own: {type(error).__name__}: {error}", file=sys.stderr)
        print("what stood there before is untouched; WHEELCAD_DEBUG=1 in the environment shows where", file=sys.stderr)
        sys.exit(2)
