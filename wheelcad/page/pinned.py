"""Variants that are kept to look back at: a job's whole text with a name, its large numbers and its rim to scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from wheelcad.job.reader import written_values
from wheelcad.page.compare import pattern_svg
from wheelcad.page.figures import Figure
from wheelcad.page.session import State

MOST = 8  # kept; the oldest goes
LONGEST_NAME = 40


@dataclass(frozen=True)
class Pin:
    """One variant. name: as a person calls it. text: the whole job file. figures: its numbers, the slow ones as soon as
    they were worked out. svg: its rim under its sensor's face. pattern: 36-1, say."""

    name: str
    text: str
    figures: tuple[Figure, ...]
    svg: str
    pattern: str


def pin_of(state: State, name: str) -> Pin | None:
    """A state as a variant; None where its job has no design."""
    design = state.design
    if design is None or not state.is_current:
        return None
    wheel = design.wheel
    pattern = f"{design.job.wheel.teeth}-{design.job.wheel.missing}"
    figures = tuple(replace(figure, was="") for figure in state.figures)
    name = " ".join(name.split())[:LONGEST_NAME] or pattern
    return Pin(name, state.text, figures, pattern_svg(design.job, wheel), pattern)


def with_pin(pins: Sequence[Pin], new: Pin) -> tuple[Pin, ...]:
    """The pins with one more: another text under a name that is there gets a number; the same text takes its place."""
    kept = [pin for pin in pins if pin.text != new.text]
    names = {pin.name for pin in kept}
    name, number = new.name, 2
    while name in names:
        name, number = f"{new.name} ({number})", number + 1
    return (*kept, replace(new, name=name))[-MOST:]


def brought_up(pins: Sequence[Pin], state: State) -> tuple[Pin, ...]:
    """The pins, with what was worked out since of the very text of one."""
    now = tuple(replace(figure, was="") for figure in state.figures)
    return tuple(
        replace(pin, figures=now)
        if pin.text == state.text and state.is_current and _known(now) >= _known(pin.figures)
        else pin
        for pin in pins
    )


def _known(figures: Sequence[Figure]) -> int:
    return sum(bool(figure.text) for figure in figures)


def differences(pin: Pin, text: str) -> list[tuple[str, str, str]]:
    """Key, its value in the variant and in a text, "" for none: where the two differ."""
    there, here = written_values(pin.text), written_values(text)
    keys = [key for key in there | here if there.get(key) != here.get(key)]
    return [(key, there.get(key, ""), here.get(key, "")) for key in keys]
