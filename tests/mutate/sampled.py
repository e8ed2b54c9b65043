"""A random sample of the faults, spread over the modules, and the score that it makes probable.

    python -m tests.mutate sample wheelcad/trade wheelcad/parts wheelcad/checks --sample 500 --seed 24

The same seed draws the same faults of the same code: of each module those whose hash with the seed is lowest. A fault
that no test touches counts as missed. One of `equal/` is drawn like any other and then left out of the count.
sample.json keeps each draw: how it came out when it was first tried (`at_first`), which says how the code is tested,
and what is left of it since tests were written for what it showed.
"""

from __future__ import annotations

import datetime
import hashlib
import json
import math
import subprocess
from collections.abc import Mapping, Sequence
from typing import Any

from tests.mutate.faults import Fault
from tests.mutate.kept import HERE, ROOT, Done, Key, short

FILE = HERE / "sample.json"
Z_95 = 1.959964  # of the normal distribution, two sides, 95 %


def drawn(faults: Sequence[Fault], count: int, seed: int) -> list[Fault]:
    """So many faults, of each module its share. Modules whose share is below one are drawn from together."""
    if count >= len(faults):
        return list(faults)
    strata: dict[str, list[Fault]] = {}
    for fault in faults:
        strata.setdefault(fault.file, []).append(fault)
    for file in [file for file, own in strata.items() if len(own) * count < len(faults)]:
        strata.setdefault("", []).extend(strata.pop(file))
    shares = {file: len(own) * count / len(faults) for file, own in strata.items()}
    take = {file: math.floor(share) for file, share in shares.items()}
    by_rest = sorted(shares, key=lambda file: (take[file] - shares[file], file))
    for file in by_rest[: count - sum(take.values())]:
        take[file] += 1
    out = [fault for file, own in strata.items() for fault in sorted(own, key=lambda f: _lot(f, seed))[: take[file]]]
    return sorted(out, key=lambda fault: (fault.file, fault.line, fault.column, fault.now))


def _lot(fault: Fault, seed: int) -> str:
    return hashlib.sha256(f"{seed} {fault.key!r} {fault.line}".encode()).hexdigest()


def wilson(noticed: int, of: int) -> tuple[float, float]:
    """The 95 % interval of a share (Wilson 1927, score interval): low and high."""
    if not of:
        return 0.0, 1.0
    p, z2 = noticed / of, Z_95**2 / of
    middle, half = p + z2 / 2, Z_95 * math.sqrt(p * (1 - p) / of + z2 / (4 * of))
    return (middle - half) / (1 + z2), (middle + half) / (1 + z2)


def row(
    folder: str, faults: Sequence[Fault], draw: Sequence[Fault], verdicts: Mapping[Key, Done], same: Mapping[Key, str]
) -> dict[str, Any]:
    """A draw as sample.json keeps it. faults: all there are; draw: those drawn; verdicts: of every one of them."""
    counted = [fault for fault in draw if fault.key not in same]
    alive = [fault for fault in counted if not verdicts[fault.key].test]
    low, high = wilson(len(counted) - len(alive), len(counted))
    return {
        "folder": folder,
        "date": datetime.datetime.now(datetime.UTC).date().isoformat(),
        "commit": subprocess.run(
            ["git", "rev-parse", "--short=10", "HEAD"], cwd=ROOT, capture_output=True, text=True, check=False
        ).stdout.strip(),
        "faults": len(faults),
        "drawn": len(draw),
        "equal": len(draw) - len(counted),
        "noticed": len(counted) - len(alive),
        "score": round((len(counted) - len(alive)) / max(1, len(counted)), 4),
        "low": round(low, 4),
        "high": round(high, 4),
        "survivors": [
            {"file": f.file, "line": f.text, "at": f.column, "was": f.was, "now": f.now,
             "tests": verdicts[f.key].ran} for f in alive
        ],
        "which": " ".join(sorted(short(fault.key) for fault in draw)),
    }  # fmt: skip


def record(new: dict[str, Any], seed: int) -> dict[str, Any]:
    """Puts a draw into sample.json, in place of the same one tried before, whose first outcome it keeps."""
    rows = rows_kept()
    first = {key: new[key] for key in ("date", "commit", "drawn", "noticed")}
    for old in rows:
        if (old["folder"], old["seed"]) == (new["folder"], seed):
            first = {key: old["at_first"][key] for key in first}
    of = first["drawn"] - new["equal"]  # one shown equal later was none to be noticed then either
    low, high = wilson(first["noticed"], of)
    first |= {"score": round(first["noticed"] / max(1, of), 4), "low": round(low, 4), "high": round(high, 4)}
    rows = [old for old in rows if (old["folder"], old["seed"]) != (new["folder"], seed)]
    made = {"folder": new.pop("folder"), "seed": seed, "at_first": first, **new}
    rows = sorted([*rows, made], key=lambda one: (one["folder"], one["seed"]))
    FILE.write_text(json.dumps(rows, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    return made


def rows_kept() -> list[dict[str, Any]]:
    """Every draw of sample.json."""
    return list(json.loads(FILE.read_text(encoding="utf-8"))) if FILE.exists() else []
