"""The process that works out how stiff the bracket is, beside the page: `python -m wheelcad.page.colours_process`.

It loads the CAD kernel and the finite elements once and does every task in a fork, as a build's kernel process does.
"""

from __future__ import annotations

import importlib
import sys

from wheelcad.page.aside import DONE, words_of
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.processes import Tell, serve

LOADED = ("wheelcad.parts.bracket.solid", "wheelcad.checks.fem.setup")  # with the kernel and the solver


def _load() -> None:
    for name in LOADED:
        importlib.import_module(name)


def _work(tell: Tell, bracket: BracketDesign) -> None:
    from wheelcad.page.colours import solve

    tell(DONE, solve(bracket))


if __name__ == "__main__":
    sys.exit(serve(_work, words_of, _load))
