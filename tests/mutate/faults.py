"""The faults: where they can be put into a module's text, and the text with one of them in it."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

# what is changed: formulas, part numbers, and the limits of checks; not drawings, words or solids, whose files are read
PLACES = tuple(f"wheelcad/{name}" for name in ("trade", "parts", "checks", "signal", "survey", "measure"))
DRAWS = re.compile(r"^from wheelcad\.drawing\.(model|ink|symbols) import", re.MULTILINE)
LEFT_OUT = (
    "sources",
    "sheet",
    "solid",
    "text",
    "words",
    "views",
    "blocks",
    "drawn",
    "lettering",
    "labels",
    "report",
    "notes",
)
SWAPS = {ast.Add: "-", ast.Sub: "+", ast.Mult: "/", ast.Div: "*"}
COMPARES = {ast.Lt: "<=", ast.LtE: "<", ast.Gt: ">=", ast.GtE: ">", ast.Eq: "!=", ast.NotEq: "=="}
PAIRS = (("sin", "cos"), ("min", "max"), ("floor", "ceil"), ("asin", "acos"))
WRITTEN_WITH = {
    "round": 1,
    "rounded": 1,
    "length": 1,
    "diameter": 1,
    "angle": 1,
    "number": 1,
    "figures": 1,
    "quantity": 2,
}
NAMES = {a: b for pair in PAIRS for a, b in (pair, pair[::-1])}
LIMITS = (ast.Lt, ast.LtE, ast.Gt, ast.GtE)
NEARNESS = {"SAME_MM", "EXACT_MM", "ROUNDING_DEG", "SAME_ANGLE_DEG"}
HAIR = 1e-4  # a number below it is an allowance for rounding: a tenth more of that is nothing, so it becomes 0.1


@dataclass(frozen=True)
class Fault:
    """One change of a module's text. line, column: from 1 and 0. was, now: the text there, before and after. text: the
    line without its indent, by which the fault is known again when lines above it come and go."""

    file: str
    line: int
    column: int
    was: str
    now: str
    text: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column + 1} {self.was} -> {self.now}"

    @property
    def key(self) -> tuple[str, str, int, str]:
        """What stays the same when the module grows elsewhere: file, line's text, place in it, the new text."""
        return self.file, self.text, self.column, self.now

    def applied(self, text: str) -> str:
        """The module's text with the fault in it."""
        lines = text.split("\n")
        row = lines[self.line - 1].encode()
        was = self.was.encode()
        assert row[self.column : self.column + len(was)] == was, self
        lines[self.line - 1] = (row[: self.column] + self.now.encode() + row[self.column + len(was) :]).decode()
        return "\n".join(lines)


def modules(root: Path) -> list[Path]:
    """The modules that faults are put into, in order."""
    found = [path for place in PLACES for path in sorted((root / place).rglob("*.py"))]
    found = [path for path in found if not any(word in path.stem for word in LEFT_OUT)]
    parts = root / "wheelcad" / "parts"  # of which some modules are a drawing's, whatever they are called
    return [p for p in found if parts not in p.parents or not DRAWS.search(p.read_text(encoding="utf-8"))]


def faults_of(path: Path, root: Path) -> list[Fault]:
    """Every fault of a module that leaves it readable, in the order of its lines."""
    text, name = path.read_text(encoding="utf-8"), path.relative_to(root).as_posix()
    lines = text.split("\n")
    found = [Fault(name, *spot, lines[spot[0] - 1].strip()) for spot in _spots(ast.parse(text), text, lines)]
    return sorted(set(found), key=lambda fault: (fault.line, fault.column, fault.now))


def _spots(tree: ast.Module, text: str, lines: list[str]) -> Iterator[tuple[int, int, str, str]]:
    hairs = _hairs(tree)
    digits = {id(arg) for node in ast.walk(tree) if isinstance(node, ast.Call) for arg in _digits(node)}
    for node in ast.walk(tree):
        if id(node) in digits:
            continue
        if isinstance(node, ast.Constant) and type(node.value) in (int, float):
            was = lines[node.lineno - 1].encode()[node.col_offset : node.end_col_offset].decode()
            yield node.lineno, node.col_offset, was, _other(node.value)
        elif isinstance(node, ast.BinOp) and type(node.op) in SWAPS:
            yield from _between(lines, node.left, node.right, SWAPS[type(node.op)])
        elif isinstance(node, ast.Compare) and len(node.ops) == 1 and type(node.ops[0]) in COMPARES:
            sides = node.left, node.comparators[0]
            if not isinstance(node.ops[0], LIMITS) or not any(_allows(side, hairs) for side in sides):
                yield from _between(lines, *sides, COMPARES[type(node.ops[0])])
        elif (
            isinstance(node, ast.UnaryOp)
            and isinstance(node.op, ast.USub)
            and not isinstance(node.operand, ast.Constant)
        ):
            yield node.lineno, node.col_offset, "-", "+"
        elif isinstance(node, ast.Attribute | ast.Name):
            word = node.attr if isinstance(node, ast.Attribute) else node.id
            if word in NAMES and isinstance(node.ctx, ast.Load) and node.end_lineno == node.lineno:
                column = (node.end_col_offset or 0) - len(word.encode())
                yield node.lineno, column, word, NAMES[word]


def _digits(call: ast.Call) -> list[ast.expr]:
    """What stands in a call and is no number of the design: how many digits one is written with, and the size that an
    array's reshape is to work out, which is any negative one."""
    if isinstance(call.func, ast.Attribute) and call.func.attr == "reshape":
        return [arg.operand for arg in call.args if isinstance(arg, ast.UnaryOp) and isinstance(arg.op, ast.USub)]
    name = call.func.id if isinstance(call.func, ast.Name) else ""
    return call.args[WRITTEN_WITH[name] :] if name in WRITTEN_WITH else []


def _hairs(tree: ast.Module) -> set[str]:
    """The module's names for what rounding is allowed: those of trade/nearness and its own that are below HAIR."""
    names = {alias.name for node in tree.body if isinstance(node, ast.ImportFrom) for alias in node.names}
    own = {
        target.id
        for node in tree.body
        if isinstance(node, ast.Assign) and isinstance(node.value, ast.Constant) and isinstance(node.value.value, float)
        for target in node.targets
        if isinstance(target, ast.Name) and 0 < node.value.value < HAIR
    }
    return (names & NEARNESS) | own


def _allows(side: ast.expr, hairs: set[str]) -> bool:
    """Whether a side of a comparison is, or adds or takes off, what rounding is allowed: whether a value that lies at
    that very limit is taken in or left out, no size that anybody writes can tell."""
    if isinstance(side, ast.BinOp) and isinstance(side.op, ast.Add | ast.Sub):
        return _allows(side.left, hairs) or _allows(side.right, hairs)
    if isinstance(side, ast.Constant):
        return isinstance(side.value, float) and 0 < side.value < HAIR
    return isinstance(side, ast.Name) and side.id in hairs


def _other(value: float) -> str:
    """Another number: a tenth more, or one more for a count; an allowance for rounding becomes a size that shows."""
    if isinstance(value, int):
        return str(value + 1)
    return repr(value * 1.1) if abs(value) >= HAIR else "0.1"


def _between(lines: list[str], left: ast.expr, right: ast.expr, now: str) -> Iterator[tuple[int, int, str, str]]:
    """The operator between two operands, where it stands on the left one's last line or the right one's first."""
    for line, start, end in (
        (left.end_lineno, left.end_col_offset, right.col_offset if right.lineno == left.end_lineno else None),
        (right.lineno, 0, right.col_offset if right.lineno != left.end_lineno else 0),
    ):
        row = lines[(line or 1) - 1].encode()[start:end].decode()
        word = next((w for w in ("<=", ">=", "==", "!=", "<", ">", "+", "-", "*", "/") if w in row), None)
        if word and not row.strip(" )(").replace(word, ""):
            yield line or 1, (start or 0) + len(row[: row.index(word)].encode()), word, now
            return
