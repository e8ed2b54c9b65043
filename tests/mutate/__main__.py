"""`python -m tests.mutate`: see the package."""

from __future__ import annotations

import argparse
import json
import os
import random
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from tests.mutate.equal import EQUAL
from tests.mutate.faults import Fault, faults_of, modules

ROOT = Path(__file__).resolve().parents[2]
KEPT = ROOT / ".mutate"
COVERED = KEPT / "coverage"
MOST_TESTS = 40  # of those that touch a line, the quickest files first: more than that seldom tell another story
PATIENCE_S = 120  # a fault that makes a test run longer counts as noticed


def covered() -> None:
    """One run of the usual tests that keeps which of them touches which line."""
    KEPT.mkdir(exist_ok=True)
    settings = KEPT / "coveragerc"
    settings.write_text(f"[run]\nsource = wheelcad\ndynamic_context = test_function\ndata_file = {COVERED}\n")
    run = [
        sys.executable,
        "-m",
        "coverage",
        "run",
        f"--rcfile={settings}",
        "-m",
        "pytest",
        "-q",
        "-p",
        "no:cacheprovider",
    ]
    subprocess.run(run, cwd=ROOT, check=False)


def touching(fault: Fault) -> list[str]:
    """The tests that run the fault's line, as pytest names them without their parameters."""
    import coverage

    data = coverage.CoverageData(str(COVERED))
    data.read()
    by_line = data.contexts_by_lineno(str(ROOT / fault.file))
    contexts = set(by_line.get(fault.line, ())) - {""}
    if not contexts:  # a module's own lines run at import: whatever touches the module can notice
        contexts = {context for found in by_line.values() for context in found if context}
    return sorted({_named(context) for context in contexts})


def _named(context: str) -> str:
    module, _, function = context.rpartition(".")
    path = ROOT / (module.replace(".", "/") + ".py")
    return f"{module.replace('.', '/')}.py::{function}" if path.exists() else ""


def noticed(fault: Fault) -> tuple[bool, str]:
    """Whether any test fails with the fault in place, and the first that does (or why there is none)."""
    tests = [name for name in touching(fault) if name]
    if not tests:
        return False, "no test touches it"
    sizes: dict[str, int] = {}
    for name in tests:
        sizes[name.split("::")[0]] = sizes.get(name.split("::")[0], 0) + 1
    quick = ("tests/outside", "tests/trade")
    tests.sort(key=lambda name: (not name.startswith(quick), sizes[name.split("::")[0]], name))
    with tempfile.TemporaryDirectory(prefix="mutate-") as folder:
        tree = Path(folder)
        for entry in ROOT.iterdir():
            if entry.name not in ("wheelcad", ".git", ".venv", ".mutate"):
                (tree / entry.name).symlink_to(entry)
        subprocess.run(["cp", "-r", str(ROOT / "wheelcad"), str(tree / "wheelcad")], check=True)
        path = tree / fault.file
        path.write_text(fault.applied(path.read_text(encoding="utf-8")), encoding="utf-8")
        run = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", *tests[:MOST_TESTS]]
        environment = {**os.environ, "PYTHONPATH": str(tree), "PYTHONDONTWRITEBYTECODE": "1"}
        try:
            done = subprocess.run(run, cwd=tree, env=environment, capture_output=True, text=True, timeout=PATIENCE_S)
        except subprocess.TimeoutExpired:
            return True, "took too long"
    failed = [line for line in done.stdout.split("\n") if line.startswith(("FAILED", "ERROR"))]
    return done.returncode not in (0, 5), failed[0] if failed else f"{len(tests)} tests pass"


def main() -> int:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutate", description="Do the tests notice?")
    parser.add_argument("do", choices=["map", "list", "run"])
    parser.add_argument("files", nargs="*")
    parser.add_argument("--sample", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=2)
    given = parser.parse_args()
    if given.do == "map":
        covered()
        return 0
    paths = [ROOT / name for name in given.files] or modules(ROOT)
    faults = [fault for path in paths for fault in faults_of(path, ROOT) if str(fault) not in EQUAL]
    if given.sample:
        faults = sorted(random.Random(given.seed).sample(faults, min(given.sample, len(faults))), key=str)
    if given.do == "list":
        print("\n".join(map(str, faults)), f"\n{len(faults)} faults")
        return 0
    return _report(faults, given.workers)


def _report(faults: list[Fault], workers: int) -> int:
    start, survivors = time.monotonic(), []
    with ThreadPoolExecutor(workers) as pool:
        for fault, (seen, why) in zip(faults, pool.map(noticed, faults), strict=True):
            if not seen:
                survivors.append({"fault": str(fault), "why": why})
            print(f"{'noticed ' if seen else 'SURVIVED'} {fault}: {why}", flush=True)
    score = 1 - len(survivors) / max(1, len(faults))
    KEPT.mkdir(exist_ok=True)
    kept = {"faults": len(faults), "score": score, "seconds": time.monotonic() - start, "survivors": survivors}
    (KEPT / "result.json").write_text(json.dumps(kept, indent=1))
    print(f"{len(faults) - len(survivors)} of {len(faults)} faults noticed: {score:.1%}")
    return 0 if not survivors else 1


if __name__ == "__main__":
    sys.exit(main())
