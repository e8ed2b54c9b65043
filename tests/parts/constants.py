"""Every figure that a module of parts/ sets down for itself, as a ledger: its constants, and what its arguments and
fields are when nobody says otherwise.

    python -m tests.parts.constants        # writes constants.json anew; say in the commit why it changed

It proves nothing of them: what has a source stands in tests/outside. It is the other half of a ledger, so that none is
changed unmeant.
"""

from __future__ import annotations

import ast
import importlib
import json
from collections.abc import Iterator
from pathlib import Path
from types import FunctionType
from typing import Any

from tests.conftest import ROOT
from tests.mutate.faults import modules
from tests.parts.walked import walked

FILE = Path(__file__).with_name("constants.json")
PARTS = ROOT / "wheelcad" / "parts"
NAMES = tuple(
    ".".join(path.relative_to(ROOT).with_suffix("").parts)
    for path in modules(ROOT)
    if PARTS in path.parents and path.stem != "__init__"
)


def figures_of(name: str) -> dict[str, list[float]]:
    """By the name of constant, function or class: the numbers and, as checksums, the words of a module."""
    module = importlib.import_module(name)
    tree = ast.parse((ROOT / f"{name.replace('.', '/')}.py").read_text(encoding="utf-8"))
    own = {
        target.id
        for node in tree.body
        for where in ([*node.targets] if isinstance(node, ast.Assign) else [getattr(node, "target", None)])
        for target in (where.elts if isinstance(where, ast.Tuple) else [where])
        if isinstance(target, ast.Name)
    }
    own |= {node.name for node in tree.body if isinstance(node, ast.FunctionDef | ast.ClassDef)}
    found = {}
    for key in sorted(own & vars(module).keys()):
        numbers = [number for value in _set_down(vars(module)[key]) for _, number in walked(value, key)]
        if numbers:
            found[key] = [float(f"{number:.12g}") for number in numbers]
    return found


def _set_down(value: Any) -> Iterator[object]:
    """A constant itself; of a function its defaults, of a class those of its fields and methods."""
    if isinstance(value, FunctionType):
        yield from (value.__defaults__, value.__kwdefaults__)
    elif isinstance(value, type):
        for key, inner in sorted(vars(value).items(), key=lambda item: item[0]):
            if isinstance(inner, FunctionType):
                yield from (inner.__defaults__, inner.__kwdefaults__)
            elif isinstance(inner, int | float) and not key.startswith("__"):
                yield inner
    else:
        yield value


def kept() -> dict[str, dict[str, list[float]]]:
    """The ledger, by module."""
    return dict(json.loads(FILE.read_text(encoding="utf-8")))


if __name__ == "__main__":
    everything = {name: found for name in NAMES if (found := figures_of(name))}
    lines = [f" {json.dumps(name)}: {json.dumps(found)}" for name, found in everything.items()]
    FILE.write_text("{\n" + ",\n".join(lines) + "\n}\n", encoding="utf-8")
    print(f"{sum(map(len, everything.values()))} names of {len(everything)} modules")
