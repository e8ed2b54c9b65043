"""Faults put into written files, and whether `wheelcad check` finds them.

    python -m tests.checks.seeded [JOB …]     build the jobs, seed every fault, print what was caught and what was not

Each fault is put into a copy of a whole build, whose manifest is made to agree with it, so that nothing but reading the
file can find it. Marks of job and plan are left as they were: they are a check of their own.
"""
