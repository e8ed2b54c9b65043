"""The tests stand in the folders of what they test, and no part of the package is without its own."""

from __future__ import annotations

import ast
from pathlib import Path

from tests.conftest import ROOT

OF_THEIR_OWN = {"outside", "bench", "mutate"}  # against the world, against the clock, and of the tests themselves
AS_A_WHOLE = {"assembly"}  # by tests/checks/test_assembly_check.py, from its file
NOT_BY_ITSELF = {"wheelcad.trade.nearness"}  # one constant


def _folders(path: Path) -> set[str]:
    return {one.name for one in path.iterdir() if one.is_dir() and list(one.glob("*.py"))}


def _imported(path: Path) -> set[str]:
    out: set[str] = set()
    for file in path.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module:
                out |= {node.module, *(f"{node.module}.{name.name}" for name in node.names)}
    return out


def test_the_folders_are_those_of_the_package() -> None:
    assert _folders(ROOT / "tests") - OF_THEIR_OWN == _folders(ROOT / "wheelcad")


def test_each_folder_of_tests_tests_its_own() -> None:
    for name in _folders(ROOT / "wheelcad"):
        assert any(found.startswith(f"wheelcad.{name}") for found in _imported(ROOT / "tests" / name)), name
    for part in _folders(ROOT / "wheelcad/parts") - AS_A_WHOLE:
        assert any(found.startswith(f"wheelcad.parts.{part}.") for found in _imported(ROOT / "tests/parts")), part


def test_every_module_of_formulas_has_a_test_that_knows_it() -> None:
    known = _imported(ROOT / "tests/trade") | _imported(ROOT / "tests/outside")
    modules = {
        f"wheelcad.trade.{path.stem}" for path in (ROOT / "wheelcad/trade").glob("*.py") if path.stem != "__init__"
    }
    assert modules - known - NOT_BY_ITSELF == set()
