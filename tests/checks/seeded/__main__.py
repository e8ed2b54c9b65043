"""Seed every fault, print what was caught and what missed: `python -m tests.checks.seeded [WORDS …] [--out DIR]`."""

from __future__ import annotations

import sys
import tempfile
import traceback
from collections import Counter
from pathlib import Path

from tests.checks.seeded.kinds import kinds
from tests.checks.seeded.run import build, caught


def main(words: list[str]) -> int:
    out = Path(words.pop(words.index("--out") + 1)) if "--out" in words else Path(tempfile.mkdtemp())
    only = [word for word in words if not word.startswith("--")]
    out.mkdir(parents=True, exist_ok=True)
    counted: Counter[str] = Counter()
    for kind in kinds():
        if only and not any(word in kind.name for word in only):
            continue
        try:
            found = caught(kind, build(kind.job, out))
        except Exception:
            traceback.print_exc()
            counted["broke"] += 1
            print(f"BROKE  {kind.name}", flush=True)
            continue
        counted["caught" if found else "missed"] += 1
        said = f"{found[0].check}, {found[0].subject}: {str(found[0].measured)[:60]}" if found else ""
        print(f"{'caught' if found else 'MISSED'} {kind.name}  {said}", flush=True)
    print(", ".join(f"{number} {what}" for what, number in counted.items()))
    return 0 if set(counted) == {"caught"} else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
