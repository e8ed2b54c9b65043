"""The folders of wheelcad/parts stand one above the other."""

from __future__ import annotations

import ast
from graphlib import TopologicalSorter
from pathlib import Path

import wheelcad

PACKAGE = Path(wheelcad.__file__).parent


def folder_of(dotted: str) -> str:
    """The folder of wheelcad/parts that a dotted module lies in; "." for a module that lies in none."""
    inside = dotted.split(".")[2:]
    return inside[0] if inside and (PACKAGE / "parts" / inside[0]).is_dir() else "."


def imported(path: Path) -> set[str]:
    """The folders a module imports from, at whatever depth of its text."""
    nodes = [node for node in ast.walk(ast.parse(path.read_text())) if isinstance(node, ast.ImportFrom)]
    names = [f"{node.module}.{alias.name}" for node in nodes for alias in node.names]
    return {folder_of(name) for name in names if name.startswith("wheelcad.parts.")}


def test_no_two_folders_of_parts_import_each_other() -> None:
    """Not by way of a third either; the modules beside the folders count as one, on top of all."""
    below: dict[str, set[str]] = {}
    for path in sorted((PACKAGE / "parts").rglob("*.py")):
        dotted = ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts)
        own = folder_of(dotted)
        below.setdefault(own, set()).update(imported(path) - {own})
    order = list(TopologicalSorter(below).static_order())  # CycleError names the folders that import each other
    assert order[0] in ("common", "sensor")
    assert order[-2:] == [".", "options"]  # patterns side by side are asked of everything below
    assert below["common"] == set()
