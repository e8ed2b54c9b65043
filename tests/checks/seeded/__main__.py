"""Seed every fault, print what was caught and what missed.

`python -m tests.checks.seeded [WORDS …] [--out DIR] [--again] [--missed] [--seconds N]`: kinds with one of the words in
their name; the builds are kept in DIR. Broken off, or ended after N seconds, it is taken up again where it was; --again
tries all anew, --missed those that were missed. The sum stands in tests/checks/result.json.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from tests.checks import runs
from tests.checks.seeded.kind import Kind
from tests.checks.seeded.kinds import kinds
from tests.checks.seeded.run import build, caught


def main(words: list[str]) -> int:
    """The command."""
    out = Path(_value(words, "--out") or tempfile.mkdtemp())
    until = time.monotonic() + float(_value(words, "--seconds") or "inf")
    only = [word for word in words if not word.startswith("--")]
    out.mkdir(parents=True, exist_ok=True)
    chosen = [kind for kind in kinds() if not only or any(word in kind.name for word in only)]
    kept, commit = runs.rows("seeded"), runs.commit()
    if "--missed" in words:
        chosen = [kind for kind in chosen if kind.name in kept and not kept[kind.name]["by"]]
    elif "--again" not in words:
        chosen = [kind for kind in chosen if kind.name not in kept]
    for kind in sorted(chosen, key=lambda kind: kind.job):  # one job after another: each is looked at once
        if time.monotonic() > until:
            break
        row = tried(kind, out) | {"commit": commit}
        runs.add("seeded", row)
        print(f"{'caught' if row['by'] else 'MISSED'} {kind.name}  {row['by'] or row['why']}", flush=True)
    return told()


def _value(words: list[str], name: str) -> str:
    """What follows an option, both taken out of the words; "" where it is not there."""
    if name not in words:
        return ""
    at = words.index(name)
    return [words.pop(at), words.pop(at)][1]


def tried(kind: Kind, out: Path) -> runs.Row:
    """What became of one kind. by: the first check that failed, "" where none did; why: what went wrong, if so."""
    try:
        found = caught(kind, build(kind.job, out))
    except Exception as error:  # no verdict: counts as missed
        return {"key": kind.name, "by": "", "why": f"{type(error).__name__}: {error}"}
    by = f"{found[0].check}, {found[0].subject}: {str(found[0].measured)[:60]}" if found else ""
    return {"key": kind.name, "by": by, "why": ""}


def told() -> int:
    """Prints and keeps the sum of all verdicts; 1 where a kind was missed, 3 where some were not tried."""
    kept, names = runs.rows("seeded"), [kind.name for kind in kinds()]
    rows = [kept[name] for name in names if name in kept]
    missed = [f"{row['key']} {row['why']}".strip() for row in rows if not row["by"]]
    jobs = Counter(row["key"].split(":")[0] for row in rows if row["by"])
    sums = {"kinds": len(names), "tried": len(rows), "caught": len(rows) - len(missed), "missed": missed}
    runs.record("seeded", sums | {"caught of each job": dict(sorted(jobs.items())), "commits": runs.commits(rows)})
    print(f"{sums['caught']} caught and {len(missed)} missed of {len(rows)} tried; there are {len(names)} kinds")
    print(*missed, sep="\n")
    return 1 if missed else 3 if len(rows) < len(names) else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
