"""The entry point of `wheelcad` and of `python -m wheelcad`: what takes long is started first, or not loaded at all."""

from __future__ import annotations

import gc
import sys

from wheelcad.guarded import Interrupted, guarded, interrupted, listen
from wheelcad.surroundings import ONE_THREAD, seldom_swept, settle


def main() -> None:
    """Run the command.

    For a build or a check the kernel's process is under way while the commands are loaded. A plain call for the chart,
    which is looked at between two cuts, goes past the parser of the command line, whose loading takes a good part of
    its time.
    """
    listen()
    settle()
    seldom_swept()
    words = sys.argv[1:]
    try:
        others = ("-h", "--help", "--workers", "--cluster", "--only-changed")  # these start their own, or none
        if (
            words[:1] in (["build"], ["check"])
            and len(words) > 1
            and not any(word.startswith(others) for word in words)
        ):
            from wheelcad.processes import start_ahead

            start_ahead("wheelcad.kernel", ONE_THREAD)
        if not _plain_chart(words):
            from wheelcad.cli import main as run

            run()
    except Interrupted:  # while the commands were loaded
        interrupted()
    finally:
        gc.freeze()  # the system takes all of it back at once: looking through it for garbage takes longer


def _plain_chart(words: list[str]) -> bool:
    """Print the chart where nothing but a job file, and perhaps --json, is named; else False."""
    files = [word for word in words[1:] if word != "--json"]
    if words[:1] != ["chart"] or len(files) != 1 or files[0].startswith("-"):
        return False
    from wheelcad.console import write_out
    from wheelcad.job.found import find_job
    from wheelcad.parts.chart import chart_output

    guarded(lambda: write_out(chart_output(find_job(files[0]), "--json" in words)))
    return True


if __name__ == "__main__":
    main()
