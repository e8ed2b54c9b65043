"""How every command ends."""

from __future__ import annotations

import sys
from collections.abc import Callable

from wheelcad.errors import JobError


def guarded(command: Callable[[], object]) -> None:
    """Run a command: every JobError ends as one clear message and exit code 2, and no traceback where one stops it."""
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
