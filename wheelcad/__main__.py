"""The entry point of `wheelcad` and of `python -m wheelcad`: what takes longest is started first."""

from __future__ import annotations

import gc
import sys


def main() -> None:
    """Run the command; for a build the kernel's process is already under way while the commands are loaded."""
    gc.set_threshold(100_000)  # a short life with little garbage
    if sys.argv[1:2] == ["build"] and len(sys.argv) > 2 and "--help" not in sys.argv:
        from wheelcad.apart import start_ahead
        from wheelcad.kernel import ONE_THREAD

        start_ahead("wheelcad.kernel", ONE_THREAD)
    from wheelcad.cli import main as run

    try:
        run()
    finally:
        gc.freeze()  # the system takes all of it back at once: looking through it for garbage takes longer


if __name__ == "__main__":
    main()
