"""The environment of every process of ours, set before numpy and the like are loaded; a module that loads nothing.

One thread each: sums are then taken in the same order every time, and processes share the cores. Many threads that wait
for each other on two cores take up to fifteen times as long over a field or a bracket.
"""

import gc
import os
import sys

NO_PLUGINS = {"PYDANTIC_DISABLE_PLUGINS": "__all__"}  # nobody else's may change how a job is read, nor be looked for
ONE_THREAD = dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")


def settle() -> None:
    """Set this process's environment, and open what was closed of its streams.

    A HOME that is no folder is as good as none: a library would trip over it.
    """
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):  # in the order of their numbers
        if getattr(sys, name) is None:  # closed: what is opened next would take its number, and be written over
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115
    os.environ.update(ONE_THREAD | NO_PLUGINS)
    if not os.path.isdir(os.environ.get("HOME", ".")):
        del os.environ["HOME"]


def seldom_swept() -> None:
    """Look for garbage seldom in this process: drawings are made of many small things that refer to each other while
    they live, and to look through all of them after every few hundred takes a good part of the time."""
    gc.set_threshold(100_000)
