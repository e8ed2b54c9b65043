"""The job file's reference as Markdown tables, made from the models: a page of the documentation."""

from __future__ import annotations

from typing import Any

from wheelcad.job import describe
from wheelcad.job.schema import written_default

INTRODUCTION = """\
`units: mm` or `in` is the unit of
bare lengths; bare angles are degrees, bare speeds rpm, bare rates Hz, bare masses kg, bare times ms. Any value may
carry its own unit instead: `1/4 in`, `1 1/2 in`, `3/16"`, `10 thou`, `8 mm`, `45 deg`, `30'`, `5200 rpm`, `15 kHz`,
`60 g`, `2 oz`, `10 us`.
**Bold** keys are needed where their section is given; every other key may be left out. Examples are of a job in mm.
"""


def reference_markdown() -> str:
    """A table for each section: key, what it says, what is allowed, what is taken when it is left out, an example."""
    blocks = [INTRODUCTION]
    places: dict[describe.Model, list[str]] = {}
    for path, section in describe.sections():
        places.setdefault(section, []).append(".".join(path))
    for section, names in places.items():
        said = ", ".join(f"`{name}`" for name in names)
        head = f"#### {said}" if names != [""] else "#### At the top of the file"
        blocks.append(f"{head}\n\n{_sentence(section.__doc__ or '')}\n\n{_table(section)}\n")
    return "\n".join(blocks)


def _table(section: describe.Model) -> str:
    rows = ["| key | says | allowed | left out | example |", "| --- | --- | --- | --- | --- |"]
    for name, field in describe.keys_of(section).items():
        key = f"**`{name}`**" if field.is_required() else f"`{name}`"
        cells = (key, field.description or "", _allowed(field), _left_out(field), _example(name, field))
        rows.append("| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |")
    return "\n".join(rows)


def _allowed(field: Any) -> str:
    words, kind = describe.words_of(field), describe.kind_of(field)
    inner = describe.section_of(field.annotation)
    depth, fixed = describe.list_depth(field), describe.list_length(field)
    if inner is not None:
        said = "a section" if not depth else "a list of sections"
        bare = f"{kind.allowed()}, or " if kind is not None else ""
        return bare + said + (", or the word `wheel`" if words else "")
    said = ", ".join(f"`{word}`" for word in words) if words else kind.allowed() if kind is not None else ""
    if describe.is_by_name(field):
        return f"a section of names, each with {said}"
    if fixed:
        return f"a list of {fixed}, each {said}"
    return ("", "a list, each ", "a list of lists, each ")[depth] + said


def _left_out(field: Any) -> str:
    if field.is_required() or field.default_factory is not None or field.default in (None, (), ""):
        return ""
    return f"`{written_default(field.default, describe.kind_of(field))}`"


def _example(name: str, field: Any) -> str:
    example = describe.example_of(field)
    return f"`{name}: {describe.flow(example)}`" if example is not None else ""


def _sentence(text: str) -> str:
    return " ".join(text.split())
