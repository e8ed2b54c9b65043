"""Tests run like the program does: one thread a process, said before numpy is loaded."""

import os

from wheelcad.one_thread import ONE_THREAD

os.environ.update(ONE_THREAD)
