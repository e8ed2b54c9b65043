"""Which test runs which line: one run of the tests, each under a name of its own in coverage's data."""

from __future__ import annotations

import ast
import difflib
import json
import re
import shutil
import time
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.mutate.faults import PLACES

# tried first: quick, and each holds many figures
TABLES = ("tests/outside/test_published.py", "tests/trade/test_customs.py", "tests/trade/test_at_the_limit.py")


class Touched:
    """What `python -m tests.mutate map` keeps: the tests by line, and how long each took (s) where it passed.

    Each run of map has a folder with the modules as they were: a line that has moved since is found again.
    """

    def __init__(self, kept: Path, root: Path) -> None:
        self.root = root
        self.seconds: dict[str, float] = {}
        self._namers: dict[str, set[str]] = {}
        self._trees: dict[str, ast.Module] = {}
        self._maps = [_Map(folder, root) for folder in sorted(kept.glob("map-*")) if (folder / "seconds.json").exists()]
        for one in self._maps:
            self.seconds.update(one.seconds)

    def by(self, file: str, line: int) -> list[str]:
        """The tests that run a line, the quickest first.

        Of a line that runs at import: those that run a line where what it makes is named, and those of the test files
        that name the module; or else all that touch the module.
        """
        found = self._on(file, {line})
        if not self._runs_later(file, line):
            for other, lines in self._named(file, line).items():
                found |= self._on(other, lines)
            found |= self._of_files_that_name(Path(file).stem)
        if not found:
            found = self._on(file, {0})
        return sorted(found & self.seconds.keys(), key=lambda name: (self.seconds[name], name))

    def _on(self, file: str, lines: Iterable[int]) -> set[str]:
        return {name for one in self._maps for line in lines for name in one.by(file, line)}

    def _named(self, file: str, line: int) -> dict[str, set[int]]:
        """Lines of all modules that name what the statement at a line of a module makes; of a function, its own."""
        tree = self._tree(file)
        node = next((n for n in tree.body if _first(n) <= line <= (n.end_lineno or 0)), None)
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            return {file: set(range(node.lineno, (node.end_lineno or 0) + 1))}
        names = _made(node)
        for other in tree.body:  # what is made from it at import, in the order of the module
            if any(_name_of(part) in names for part in ast.walk(other)):
                names |= _made(other)
        out: dict[str, set[int]] = {}
        for path in sorted((self.root / "wheelcad").rglob("*.py")):
            text = path.read_text(encoding="utf-8")
            if any(name in text for name in names):
                other = path.relative_to(self.root).as_posix()
                found = {n.lineno for n in ast.walk(self._tree(other)) if _name_of(n) in names}
                if found:
                    out[other] = found
        return out

    def _runs_later(self, file: str, line: int) -> bool:
        """Whether a line is in a function's body, and so not run at import."""
        inner = ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda
        return any(
            isinstance(node, inner) and _body(node) <= line <= (node.end_lineno or 0)
            for node in ast.walk(self._tree(file))
        )

    def _of_files_that_name(self, module: str) -> set[str]:
        if module not in self._namers:
            word = re.compile(rf"\b{module}\b")
            files = {name.split("::")[0] for name in self.seconds}
            self._namers[module] = {
                file for file in files if word.search((self.root / file).read_text(encoding="utf-8"))
            }
        return {name for name in self.seconds if name.split("::")[0] in self._namers[module]}

    def _tree(self, file: str) -> ast.Module:
        if file not in self._trees:
            self._trees[file] = ast.parse((self.root / file).read_text(encoding="utf-8"))
        return self._trees[file]


def _made(node: ast.stmt | None) -> set[str]:
    """The names that a statement of a module gives values to."""
    targets = node.targets if isinstance(node, ast.Assign) else [node.target] if isinstance(node, ast.AnnAssign) else []
    return {part.id for target in targets for part in ast.walk(target) if isinstance(part, ast.Name)}


def _body(node: ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda) -> int:
    return node.body.lineno if isinstance(node, ast.Lambda) else node.body[0].lineno


def _first(node: ast.stmt) -> int:
    return min([node.lineno, *(d.lineno for d in getattr(node, "decorator_list", []))])


def _name_of(node: ast.AST) -> str:
    return node.id if isinstance(node, ast.Name) else node.attr if isinstance(node, ast.Attribute) else ""


class _Map:
    """One run's."""

    def __init__(self, folder: Path, root: Path) -> None:
        import coverage

        self.folder, self.root = folder, root
        self.seconds: dict[str, float] = json.loads((folder / "seconds.json").read_text(encoding="utf-8"))
        self._mapped = Path(
            (folder / "root").read_text(encoding="utf-8")
        )  # where the modules lay when they were mapped
        self._data = coverage.CoverageData(str(folder / "coverage"))
        self._data.read()
        self._files: dict[str, tuple[dict[int, list[str]], dict[int, int]]] = {}

    def by(self, file: str, line: int) -> set[str]:
        """The tests that run a line as it is numbered now; line 0: that touch the module."""
        if file not in self._files:
            old = _then(self.folder / "tree" / file, self.root / file)
            self._files[file] = self._data.contexts_by_lineno(str(self._mapped / file)), old
        lines, old = self._files[file]
        rows = list(lines.values()) if line == 0 else [lines.get(old.get(line, 0), [])]
        return {name for names in rows for name in names if name}


def _then(old: Path, new: Path) -> dict[int, int]:
    """The line numbers that a module's lines had when it was mapped by those they have, of lines that are the same."""
    texts = [path.read_text(encoding="utf-8").split("\n") if path.exists() else [] for path in (new, old)]
    blocks = difflib.SequenceMatcher(None, *texts, autojunk=False).get_matching_blocks()
    return {block.a + n + 1: block.b + n + 1 for block in blocks for n in range(block.size)}


def make(paths: list[str], kept: Path, root: Path, slow: bool = False) -> int:
    """Runs the tests under `paths` (all where none are given) and keeps what they touch beside what is kept."""
    import coverage

    folder = kept / f"map-{len(list(kept.glob('map-*'))):03}"
    shutil.copytree(root / "wheelcad", folder / "tree" / "wheelcad")
    cover = coverage.Coverage(
        data_file=str(folder / "coverage"), include=[f"{root / place}/*" for place in PLACES], config_file=False
    )
    watch = _Watch(cover)
    marks = ["-m", "slow or not slow"] if slow else []
    cover.start()
    pytest.main(["-q", "-p", "no:cacheprovider", *marks, *(paths or ["tests"])], plugins=[watch])
    cover.stop()
    cover.save()
    (folder / "root").write_text(str(root), encoding="utf-8")
    (folder / "seconds.json").write_text(json.dumps(watch.seconds, indent=0), encoding="utf-8")
    print(f"{len(watch.seconds)} tests passed, {len(watch.failed)} failed and are left out: {sorted(watch.failed)}")
    return 0


class _Watch:
    """The plugin: coverage's context is the test's name while it runs."""

    def __init__(self, cover: Any) -> None:
        self.cover = cover
        self.seconds: dict[str, float] = {}
        self.failed: set[str] = set()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        self.cover.switch_context(item.nodeid)
        start = time.process_time()
        result = yield
        self.seconds[item.nodeid] = time.process_time() - start
        self.cover.switch_context("")
        if item.nodeid in self.failed:
            del self.seconds[item.nodeid]
        return result

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if not report.passed:
            self.failed.add(report.nodeid)
