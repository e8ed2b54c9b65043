"""Do the tests notice? Small faults are put into the formulas one at a time, and the tests that touch them are run.

    python -m tests.mutate map                    # once: which test touches which line (the usual tests, covered)
    python -m tests.mutate run                    # every fault, hours; the score and the survivors go to .mutate/
    python -m tests.mutate run --sample 60        # a sample, the same one for the same --seed
    python -m tests.mutate run wheelcad/trade/bending.py

A fault is a changed number, a comparison that takes in its limit or leaves it out, plus for minus, times for divided
by, sine for cosine, min for max. A survivor is a fault that no test fails on: kill it by a test, or say in `equal.py`
why it changes nothing that anybody can measure.
"""
