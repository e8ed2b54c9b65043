"""What is kept of the long runs: a line a verdict in .runs/ (one broken off is taken up again), sums in result.json.

A verdict is kept with the commit it was found on; one with "+" had changes that were not committed.
"""

from __future__ import annotations

import datetime
import json
import subprocess
from collections import Counter
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
KEPT = ROOT / ".runs"
RESULT = Path(__file__).resolve().parent / "result.json"

Row = dict[str, Any]


def commit() -> str:
    """The commit of the tree that is run, short."""
    said = [_git("rev-parse", "--short=7", "HEAD"), "+" if _git("status", "--porcelain", "*.py", "*.yaml") else ""]
    return "".join(said)


def _git(*words: str) -> str:
    return subprocess.run(["git", *words], cwd=ROOT, capture_output=True, text=True, check=False).stdout.strip()


def rows(run: str, kept: Path = KEPT) -> dict[str, Row]:
    """The last verdict of everything tried in a run ("sound", "seeded"), by its key."""
    path = kept / f"{run}.jsonl"
    lines = path.read_text(encoding="utf-8").splitlines() if path.exists() else []
    return {row["key"]: row for row in map(json.loads, lines)}


def add(run: str, row: Row, kept: Path = KEPT) -> None:
    """Keep one verdict; `row` has a key."""
    kept.mkdir(exist_ok=True)
    with (kept / f"{run}.jsonl").open("a", encoding="utf-8") as out:
        print(json.dumps(row, ensure_ascii=False), file=out)


def record(run: str, told: Row, result: Path = RESULT) -> None:
    """Put the sum of a run into result.json, beside those of the others, with today's date."""
    held = json.loads(result.read_text(encoding="utf-8")) if result.exists() else {}
    held[run] = {"date": datetime.date.today().isoformat(), **told}
    text = json.dumps(dict(sorted(held.items())), indent=1, ensure_ascii=False)
    result.write_text(text + "\n", encoding="utf-8")


def commits(found: list[Row]) -> dict[str, int]:
    """How many verdicts are of each commit."""
    return dict(Counter(row["commit"] for row in found))
