"""What is kept of the runs: every verdict in .mutate/, and beside the tool the score, the survivors and who notices.

sample.json    draws of faults with their score, its interval and every survivor (see `sampled`)
killers.json   for each module the fewest tests found that together notice all its noticed faults: what the usual
               run's sample is tried with
equal/         faults that change nothing anybody can measure, each with the reason; a file for each folder of wheelcad.
               line: without its indent; at: the column, from 0
"""

from __future__ import annotations

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
# tables that are written anew when a change is meant: what they notice is noticed, but the usual run's sample is not
# tried with them, or whoever changes a number would find that failing as well
RENEWED = (
    "tests/parts/test_figures.py",
    "tests/checks/test_measured.py",
    "tests/checks/test_seen.py",
    "tests/checks/fem/test_figures.py",
)
MOST_SLIP = 0.05  # of a sample: the score that is asked for is 95 %

Key = tuple[str, str, int, str]


class Done(NamedTuple):
    """A kept verdict. test: that noticed, "" where none did."""

    test: str
    ran: int


def equal() -> dict[Key, str]:
    """The reasons in equal/ by fault."""
    texts = [path.read_text(encoding="utf-8") for path in sorted((HERE / "equal").glob("*.toml"))]
    rows = [one for text in texts for one in tomllib.loads(text)["equal"]]
    return {(one["file"], one["line"], one["at"], one["now"]): one["why"] for one in rows}


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


def hinted() -> dict[Key, str]:
    """Which test is likely to notice a fault, where a search found one (hints.jsonl: a fault's key and a test): it is
    tried first, and counts only if it does notice."""
    path = KEPT / "hints.jsonl"
    lines = path.read_text(encoding="utf-8").splitlines() if path.exists() else []
    return {(key[0], key[1], key[2], key[3]): test for key, test in map(json.loads, lines)}


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
    """The faults that earlier runs noticed, from killers.json: .mutate/ is not handed on."""
    noticed = killers()
    return {
        fault.key: Done(EARLIER, 1)
        for fault in faults
        if fault.file in noticed and short(fault.key) in noticed[fault.file].faults
    }


def written() -> int:
    """Writes killers.json from every verdict kept on code as it is now, and says how many were tried. 0."""
    everything = [fault for path in modules(ROOT) for fault in faults_of(path, ROOT)]
    found, same, old = before(everything) | done(), equal(), killers()
    noticed: dict[str, dict[str, set[Key]]] = {}
    for fault in everything:
        if fault.key in found and fault.key not in same and found[fault.key].test:
            if found[fault.key].test.startswith(RENEWED):
                continue
            noticed.setdefault(fault.file, {}).setdefault(found[fault.key].test, set()).add(fault.key)
    covers = {
        file: {
            "tests": _fewest(by, old[file].tests if EARLIER in by else []),
            "noticed": " ".join(sorted(short(key) for keys in by.values() for key in keys)),
        }
        for file, by in sorted(noticed.items())
    }
    (HERE / "killers.json").write_text(json.dumps(covers, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    for place in PLACES:
        faults = [fault for fault in everything if fault.file.startswith(f"{place}/")]
        tried = [fault for fault in faults if fault.key in found and fault.key not in same]
        seen = sum(bool(found[fault.key].test) for fault in tried)
        print(f"{place}: {seen} of {len(tried)} tried noticed; {len(faults)} faults,"
              f" {sum(fault.key in same for fault in faults)} of them equal")  # fmt: skip
    return 0


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
