"""Faults that change nothing anybody can measure, each with the reason; named as `python -m tests.mutate list` does."""

EQUAL: dict[str, str] = {}
