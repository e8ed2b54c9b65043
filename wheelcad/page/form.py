"""The job's keys as rows of a form: by section in the measuring sheet's order, each with what is needed to fill it.

Made from the models alone (`job.describe`), so every key of the job file has its row, also one added tomorrow.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from pydantic.fields import FieldInfo

from wheelcad.errors import Fault, Key
from wheelcad.job import describe
from wheelcad.job.explain import left_out, picture_of
from wheelcad.job.invented import dotted
from wheelcad.job.kinds import YesOrNo
from wheelcad.job.measuring import MEASURES, measure_of, plain
from wheelcad.page.echo import echo_of
from wheelcad.page.session import State

TOP = "job"  # the section of what stands at the top of the file
Kind = Literal["value", "head", "absent", "unknown"]
LAST = 10_000
TITLES = {
    TOP: "The job",
    "engine": "Engine",
    "wheel": "Wheel",
    "pulley": "Pulley",
    "sensor": "Sensor",
    "bracket": "Bracket",
    "survey": "Survey of the block",
    "adapter": "Adapter",
    "gauge": "Gauge",
    "balance": "Balance",
    "shop": "Your shop",
    "controller": "Controller",
    "tolerances": "Tolerances",
    "cam": "Cam target",
}


@dataclass(frozen=True)
class Row:
    """One key. kind: value: a field to type in; head: a section or entry that is in the file; absent: one that is not;
    unknown: a key of the file that no job knows. letter: on the measuring sheet. words: what it may be, where it is one
    of a few words. text: as written, None where it is left out. takes: what is taken then. entry: YAML of one more
    entry, where it is a list of sections. common: it is measured, needed, or in the file. put: YAML that brings it."""

    key: Key
    kind: Kind
    label: str
    depth: int
    letter: str = ""
    how: str = ""
    why: str = ""
    allowed: str = ""
    takes: str = ""
    words: tuple[str, ...] = ()
    text: str | None = None
    echo: str = ""
    invented: bool = False
    common: bool = True
    entry: str = ""
    put: str = ""

    @property
    def dotted(self) -> str:
        """The key as messages write it."""
        return Fault("", self.key).dotted


def section_names() -> list[str]:
    """The sections in the order of the form: the measuring sheet's, then those it does not ask for."""
    return list(TITLES)


def section_of_key(key: Key) -> str:
    """The section whose rows hold a key."""
    return str(key[0]) if key and key[0] in TITLES and key[0] != TOP else TOP


def rows_of(section: str, state: State) -> list[Row]:
    """The rows of one section of the form."""
    data = state.data if isinstance(state.data, dict) else {}
    invented = frozenset(state.invented)
    if section == TOP:
        return [row for row in _rows((), data, 0, state.units, invented) if section_of_key(row.key) == TOP]
    held = data.get(section)
    field = describe.field_at((section,))
    assert field is not None
    if held is None:
        absent = _absent((section,), field, 0, state.units)
        return [absent]
    head = Row((section,), "head", TITLES[section], 0, why=_why(section, field, state.units))
    return [head, *_rows((section,), held, 0, state.units, invented)]


def faults_at(row: Row, faults: tuple[Fault, ...]) -> list[Fault]:
    """The faults that belong to a row: its key's own, and for a value those below it."""
    n = len(row.key)
    if row.kind == "head":
        return [fault for fault in faults if fault.key == row.key]
    return [fault for fault in faults if fault.key[:n] == row.key]


def _rows(path: Key, data: Any, depth: int, units: str, invented: frozenset[str]) -> Iterator[Row]:
    """The rows of the section at `path`, which holds `data`."""
    model = describe.section_at(path)
    if model is None or not isinstance(data, Mapping):
        return
    fields = describe.keys_of(model)
    for name in sorted(fields, key=lambda name: _order((*path, name))):
        if path or name not in TITLES or name == TOP:
            yield from _row((*path, name), fields[name], data.get(name), depth, units, invented)
    for name in data:
        if name not in fields:
            yield Row((*path, name), "unknown", str(name), depth, text=describe.flow(data[name]))


def _row(key: Key, field: FieldInfo, held: Any, depth: int, units: str, invented: frozenset[str]) -> Iterator[Row]:
    section = describe.section_of(field.annotation)
    if section is None or describe.is_by_name(field) or isinstance(held, str):
        yield _value(key, field, held, depth, units, invented)
    elif held is None:
        yield _absent(key, field, depth, units)
    elif describe.list_depth(field):
        why = _why(dotted(key), field, units)
        yield Row(key, "head", _label(key, field), depth, why=why, entry=_entry(field, units))
        for number, entry in enumerate(held if isinstance(held, list) else []):
            place = (*key, number)
            if isinstance(entry, Mapping):
                yield Row(place, "head", f"{_label(key, field)} {number + 1}", depth + 1)
                yield from _rows(place, entry, depth + 1, units, invented)
            else:
                yield Row(place, "value", f"{_label(key, field)} {number + 1}", depth + 1, text=describe.flow(entry))
    else:
        yield Row(key, "head", _label(key, field), depth, why=_why(dotted(key), field, units))
        yield from _rows(key, held, depth + 1, units, invented)


def _value(key: Key, field: FieldInfo, held: Any, depth: int, units: str, invented: frozenset[str]) -> Row:
    name = dotted(key)
    measure = measure_of(name)
    exact = measure if measure is not None and measure.key == name else None
    words = describe.words_of(field)
    if isinstance(describe.kind_of(field), YesOrNo):
        words = ("yes", "no")
    text = None if held is None else held if isinstance(held, str) else describe.flow(held)
    example = describe.example_of(field, units)
    allowed = describe.allowed_at(key, units)
    return Row(
        key, "value",
        exact.asks if exact is not None else _label(key, field),
        depth,
        letter=exact.label if exact is not None else "",
        how=measure.how if measure is not None else "",
        why=_why(name, field, units),
        allowed=allowed if allowed or example is None else f"such as {describe.flow(example)}",
        takes="" if text is not None else _takes(field, units),
        words=words if not describe.list_depth(field) else (),
        text=text,
        echo=echo_of(key, text, units) if text is not None else "",
        invented=name in invented,
        common=text is not None or measure is not None or field.is_required(),
    )  # fmt: skip


def _absent(key: Key, field: FieldInfo, depth: int, units: str) -> Row:
    example = describe.example_of(field, units)
    return Row(
        key, "absent", TITLES.get(str(key[-1]), _label(key, field)) if len(key) == 1 else _label(key, field), depth,
        why=_why(dotted(key), field, units), put=describe.flow(example) if example is not None else "",
        common=field.is_required() or measure_of(dotted(key)) is not None or len(key) == 1,
    )  # fmt: skip


def _label(key: Key, field: FieldInfo) -> str:
    name = next(str(part) for part in reversed(key) if isinstance(part, str))
    return name.replace("_", " ").capitalize()


def _why(name: str, field: FieldInfo, units: str) -> str:
    said = field.description or ""
    out = left_out(plain(name), field, units)
    return f"{said[:1].upper()}{said[1:]}. Left out: {out}." if said else out


def _takes(field: FieldInfo, units: str) -> str:
    if field.is_required():
        return "needed"
    default = describe.default_of(field, units)
    return f"{default} is taken" if default else "left out"


def _entry(field: FieldInfo, units: str) -> str:
    example = describe.example_of(field, units)
    return describe.flow(example[-1]) if isinstance(example, list) and example else ""


@cache
def _order(key: tuple[str, ...]) -> int:
    """Where the measuring sheet has a key, or the first of what is below it."""
    name = plain(".".join(str(part) for part in key if isinstance(part, str)))
    places = [
        number
        for number, measure in enumerate(MEASURES)
        if plain(measure.key) == name or plain(measure.key).startswith(f"{name}.")
    ]
    return places[0] if places else LAST


def picture_letter(key: Key) -> str:
    """The picture in which a key is seen; "" for none."""
    return picture_of(plain(dotted(key)))
