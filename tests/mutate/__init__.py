"""Do the tests notice? Small faults are put into the formulas one at a time, and the tests that touch them are run.

    python -m tests.mutate map tests/trade        # once, and after new tests: which test touches which line
    python -m tests.mutate run wheelcad/trade     # tries what was not tried yet; broken off, it is taken up again
    python -m tests.mutate sample wheelcad/parts --sample 400 --seed 24    # a score with its interval: sample.json
    python -m tests.mutate run wheelcad/trade --again      # what survived once more, after a new map
    python -m tests.mutate run wheelcad --known --sample 15     # with the tests kept in killers.json, no map needed
    python -m tests.mutate known                  # those of known.toml, which once slipped through
    python -m tests.mutate score                  # killers.json from all verdicts so far

A fault is a changed number, a comparison that takes in its limit or leaves it out (but where that limit is an
allowance for rounding, which nothing ever lies at), plus for minus, times for divided by, sine for cosine, min for
max. A survivor is a fault that no test fails on: kill it by a test, or say in `equal/` why it changes nothing
that anybody can measure. A fault is tried with the quickest tests that touch its line, up to a limit of number and
time, then with some of the jobs and files whose figures are kept and that touch it, up to another, and with none that
starts a process of its own (whole builds of the demo jobs are made beforehand): what those would notice counts as
missed. So does a fault in a line that no test runs, or in a module that no test imports.
"""
