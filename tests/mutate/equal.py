"""Faults that change nothing anybody can measure, each with the reason. Keys as `python -m tests.mutate list` prints them."""

EQUAL: dict[str, str] = {}
