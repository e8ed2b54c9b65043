"""Tests of wheelcad. Loaded before anything of them: one thread for linear algebra, as the program itself has it."""

import os

for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
