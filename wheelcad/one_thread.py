"""The environment of every process of ours, set before numpy is loaded: one thread each.

Sums are then taken in the same order every time, and processes share the cores: many threads that wait for each other
on two cores take up to fifteen times as long over a field or a bracket. A module of its own, for it is wanted first.
"""

ONE_THREAD = dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")
