"""What is kept of the runs: every verdict in .mutate/, and beside the tool the score, the survivors and who notices.

result.json    date, what was tried of each folder, the score, and every survivor
killers.json   for each module the fewest tests found that together notice all its noticed faults: what the usual
               run's sample is tried with
equal.toml     faults that change nothing anybody can measure, each with the reason
"""

from __future__ import annotations

import datetime
import hashlib
import json
import tomllib
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from tests.mutate.faults import PLACES, Fault, faults_of, modules

if TYPE_CHECKING:
    from tests.mutate.warm import Verdict

ROOT = Path(__file__).resolve().parents[2]
KEPT = ROOT / ".mutate"
HERE = Path(__file__).resolve().parent
EARLIER = "an earlier run"  # stands for the test that noticed then: one of those in killers.json
MOST_SLIP = 0.05  # of a sample: the score that is asked for is 95 %

Key = tuple[str, str, int, str]


class Done(NamedTuple):
    """A kept verdict. test: that noticed, "" where none did."""

    test: str
    ran: int


def equal() -> dict[Key, str]:
    """The reasons of equal.toml by fault."""
    read = tomllib.loads((HERE / "equal.toml").read_text(encoding="utf-8")) if (HERE / "equal.toml").exists() else {}
    return {(one["file"], one["line"], one["at"], one["now"]): one["why"] for one in read.get("equal", [])}


def done() -> dict[Key, Done]:
    """Every verdict kept, the last of each fault."""
    path = KEPT / "done.jsonl"
    lines = path.read_text(encoding="utf-8").splitlines() if path.exists() else []
    rows = [json.loads(line) for line in lines]
    return {(r["file"], r["line"], r["at"], r["now"]): Done(r["test"], r["ran"]) for r in rows}


def add(fault: Fault, verdict: Verdict) -> None:
    """Keeps a verdict."""
    row = {"file": fault.file, "line": fault.text, "at": fault.column, "now": fault.now, "was": fault.was}
    with (KEPT / "done.jsonl").open("a", encoding="utf-8") as out:
        print(json.dumps({**row, "test": verdict.test, "ran": verdict.ran, "how": verdict.how}), file=out)


class Noticed(NamedTuple):
    """Of a module: the tests that notice its faults, and the faults by their short names."""

    tests: list[str]
    faults: set[str]


def short(key: Key) -> str:
    """A fault's short name: the first of a hash of what it is known by."""
    return hashlib.sha256(repr(key).encode()).hexdigest()[:8]


def killers() -> dict[str, Noticed]:
    """What notices a module's faults, by module."""
    got = json.loads((HERE / "killers.json").read_text(encoding="utf-8"))
    return {file: Noticed(one["tests"], set(one["noticed"].split())) for file, one in got.items()}


def before(faults: Iterable[Fault]) -> dict[Key, Done]:
    """The verdicts of earlier runs on these faults, from result.json and killers.json: .mutate/ is not handed on."""
    noticed, alive = killers(), survivors()
    out = {fault.key: Done("", 1) for fault in faults if fault.key in alive}
    for fault in faults:
        if fault.file in noticed and short(fault.key) in noticed[fault.file].faults:
            out[fault.key] = Done(EARLIER, 1)
    return out


def survivors() -> set[Key]:
    """The faults that no test noticed, of result.json."""
    read = json.loads((HERE / "result.json").read_text(encoding="utf-8"))
    return {(one["file"], one["line"], one["at"], one["now"]) for one in read["survivors"]}


def written() -> int:
    """Writes result.json and killers.json from every verdict kept on code as it is now. 1 where a score is too low."""
    everything = [fault for path in modules(ROOT) for fault in faults_of(path, ROOT)]
    found, same = before(everything) | done(), equal()
    folders: dict[str, dict[str, float]] = {}
    alive, noticed = [], {}
    for place in PLACES:
        faults = [fault for fault in everything if fault.file.startswith(f"{place}/")]
        counted = [f for f in faults if f.key not in same]
        tried = [f for f in counted if f.key in found and found[f.key].ran]  # what no mapped test touches was not tried
        seen = [f for f in tried if found[f.key].test]
        alive += [f for f in tried if not found[f.key].test]
        for fault in seen:
            noticed.setdefault(fault.file, {}).setdefault(found[fault.key].test, set()).add(fault.key)
        score = round(len(seen) / len(tried), 4) if tried else 0.0
        folders[place] = {"faults": len(faults), "equal": len(faults) - len(counted), "tried": len(tried),
                          "noticed": len(seen), "score": score}  # fmt: skip
    kept = {
        "date": datetime.datetime.now(datetime.UTC).date().isoformat(),
        "folders": folders,
        "survivors": [{"file": f.file, "line": f.text, "at": f.column, "was": f.was, "now": f.now} for f in alive],
    }
    (HERE / "result.json").write_text(json.dumps(kept, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    old = killers()
    covers = {
        file: {
            "tests": _fewest(by, old[file].tests if EARLIER in by else []),
            "noticed": " ".join(sorted(short(key) for keys in by.values() for key in keys)),
        }
        for file, by in sorted(noticed.items())
    }
    (HERE / "killers.json").write_text(json.dumps(covers, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    for place, row in folders.items():
        print(f"{place}: {row['noticed']} of {row['tried']} tried noticed, {row['score']:.1%};"
              f" {row['faults']} faults, {row['equal']} of them equal")  # fmt: skip
    return 1 if any(row["tried"] and row["score"] < 1 - MOST_SLIP for row in folders.values()) else 0


def _fewest(by: dict[str, set[Key]], held: list[str]) -> list[str]:
    """Tests that notice everything between them, the one that notices most of what is left first, after those held."""
    left, out = set().union(*(keys for name, keys in by.items() if name not in (*held, EARLIER))), [*held]
    while left:
        best = max(
            sorted(name for name in by if "::" in name) or [""], key=lambda name: len(by.get(name, set()) & left)
        )
        if not by.get(best, set()) & left:
            return out
        out.append(best)
        left -= by[best]
    return out
