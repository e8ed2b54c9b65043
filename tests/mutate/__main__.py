"""`python -m tests.mutate`: see the package."""

from __future__ import annotations

import argparse
import random
import sys
from collections.abc import Sequence
from typing import NamedTuple

from tests.mutate import kept, sampled, touched
from tests.mutate.faults import Fault, faults_of, modules
from tests.mutate.kept import KEPT, ROOT


class Most(NamedTuple):
    """What one fault is tried with: so many tests, so many cases of one function, and no more CPU time (s) than that
    in all, as mapped."""

    tests: int
    cases: int
    seconds: float


MOST = Most(60, 40, 2.0)  # of the tests that touch a line, the quickest first
TABLES = Most(60, 400, 12.0)  # of the jobs whose figures are kept and that touch it, after all others
CHECKING = Most(150, 120, 6.0)  # the same in wheelcad/checks, where a case is one file, sound or spoilt in one way
# of these jobs first those that between them use every key, and what correction holes are chosen from
RICH = ("[turned]", "[plate]", "[turned search]", "[drum search]")
# and before all others the tables of what a check sees on its way to a verdict
INSIDE = ("tests/checks/test_seen.py", "tests/checks/fem/test_figures.py")
SHARE = 0.3  # of that time: what takes more of it by itself is tried last
QUICK_S = 1.0  # a test that noticed faults of the same module before is tried first where it is as quick as this


def chosen(names: list[str], sample: int, seed: int) -> list[Fault]:
    """The faults of the modules and folders named (all where none is), those that change nothing left out."""
    wanted = [ROOT / name for name in names] or [ROOT]
    paths = [path for path in modules(ROOT) if any(path == want or want in path.parents for want in wanted)]
    equal = kept.equal()
    faults = [fault for path in paths for fault in faults_of(path, ROOT) if fault.key not in equal]
    return some(faults, sample, seed)


def some(faults: list[Fault], sample: int, seed: int) -> list[Fault]:
    """So many of them (all for 0), the same ones for the same seed, in the order of files and lines."""
    if not sample or sample >= len(faults):
        return faults
    return sorted(random.Random(seed).sample(faults, sample), key=lambda f: (f.file, f.line, f.column))


def main() -> int:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutate", description="Do the tests notice?")
    parser.add_argument("do", choices=["map", "list", "run", "sample", "score", "known", "seek"])
    parser.add_argument("places", nargs="*", help="map: tests; the others: modules or folders of wheelcad")
    parser.add_argument("--sample", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--slow", action="store_true", help="map: the slow tests of these places as well")
    parser.add_argument("--by", action="append", default=[], help="run, sample: this file's tests first, no map needed")
    parser.add_argument("--again", action="store_true", help="what survived the last time is tried again")
    parser.add_argument("--tried", action="store_true", help="nothing that was not tried before: with --again")
    parser.add_argument("--known", action="store_true", help="with the tests that noticed each module's faults before")
    given = parser.parse_args()
    if given.do == "map":
        return touched.make(given.places, KEPT, ROOT, given.slow)
    if given.do == "score":
        return kept.written()
    if given.do == "known":
        return _once_let_pass()
    if given.do == "seek":
        from tests.mutate.seek import seek

        return seek(given.places, given.sample, given.seed)
    if given.do == "sample":
        return _sample(given.places, given.sample, given.seed, given.again, given.by)
    faults = chosen(given.places, 0 if given.known else given.sample, given.seed)
    if given.do == "list":
        print("\n".join(map(str, faults)), f"\n{len(faults)} faults")
        return 0
    if given.tried:
        done = kept.before(faults) | kept.done()
        faults = [fault for fault in faults if fault.key in done]
    return _known(faults, given.sample, given.seed) if given.known else _run(faults, given.again, given.by)


def _sample(folders: list[str], count: int, seed: int, again: bool, by: list[str]) -> int:
    """Draws so many faults of each folder, tries them, writes sample.json and killers.json. 1 for too low a score."""
    everything = [fault for path in modules(ROOT) for fault in faults_of(path, ROOT)]
    low = False
    for folder in folders:
        faults = [fault for fault in everything if fault.file.startswith(f"{folder}/")]
        draw = sampled.drawn(faults, count, seed)
        same = kept.equal()
        _tried([fault for fault in draw if fault.key not in same], kept.done(), again, by)
        verdicts = {fault.key: kept.Done("", 0) for fault in draw} | kept.done()
        row = sampled.record(sampled.row(folder, faults, draw, verdicts, same), seed)
        low |= row["score"] < 1 - kept.MOST_SLIP
        for when, one in (("at first", row["at_first"]), ("now", row)):
            of = row["drawn"] - row["equal"]
            print(f"{folder} {when}: {one['noticed']} of {of} noticed, {one['score']:.1%} "
                  f"({one['low']:.1%} to {one['high']:.1%}), {row['drawn']} of {row['faults']} drawn")  # fmt: skip
    kept.written()
    return int(low)


def _run(faults: list[Fault], again: bool, by: list[str]) -> int:
    """Tries what was not tried yet; what earlier runs noticed is not tried again."""
    _tried(faults, kept.before(faults) | kept.done(), again, by)
    return kept.written()


def _tried(faults: list[Fault], done: dict[kept.Key, kept.Done], again: bool, by: Sequence[str] = ()) -> None:
    """Tries what is not done, and keeps each verdict at once, so that a run may be broken off and taken up.

    by: test files whose tests are tried first, whatever lines they touch: for those that are not mapped."""
    from tests.mutate.warm import Warm

    touch, hints = touched.Touched(KEPT, ROOT), kept.hinted()
    todo = [f for f in faults if f.key not in done or (again and not done[f.key].test)]
    tests = {fault: [*filter(None, [hints.get(fault.key)]), *_in_order(fault, touch)] for fault in todo}
    if not todo:
        return
    files = {*by, *touched.TABLES} | {name.split("::")[0] for names in tests.values() for name in names}
    there = sorted(file for file in files if (ROOT / file).exists())
    warm = Warm(ROOT, there, sorted({_module(f) for f in todo}), build=True)
    print(f"{len(todo)} of {len(faults)} faults to try, {len(warm.items)} tests", flush=True)
    for fault in todo:
        if fault.text not in (ROOT / fault.file).read_text(encoding="utf-8"):
            continue  # the module was changed while this ran
        # a figure is read at import, which touches no line: tests that hold tables are tried with every formula
        first = (*by, *(touched.TABLES if "/trade/" in fault.file else ()))
        names = [name for name in warm.items if name.split("::")[0] in first]
        rest = [name for name in tests[fault] if name in warm.items and name not in (*warm.unsound, *names)]
        tables = CHECKING if fault.file.startswith("wheelcad/checks/") else TABLES
        plain = [name for name in rest if not name.startswith(kept.RENEWED)]
        jobs = [name for name in rest if name.startswith(kept.RENEWED)]
        jobs = _stirred(fault, jobs, touch.seconds, tables.seconds * SHARE)
        hint = filter(None, [hints.get(fault.key)])
        few = [*hint, *_within(plain, touch.seconds, MOST), *_within(jobs, touch.seconds, tables)]
        verdict = warm.sure(fault, list(dict.fromkeys([*names, *few])), touch.seconds)
        kept.add(fault, verdict)
        word = "noticed " if verdict.test else "SURVIVED"
        print(f"{word} {fault}: {verdict.test or str(verdict.ran) + ' tests'} {verdict.how[:60]!r}", flush=True)


def _in_order(fault: Fault, touch: touched.Touched) -> list[str]:
    """The tests that touch a fault's line, after those that noticed other faults of its module before."""
    noticed = kept.killers().get(fault.file)
    before = [name for name in noticed.tests if touch.seconds.get(name, 0.0) < QUICK_S] if noticed else []
    return list(dict.fromkeys([*before, *touch.by(fault.file, fault.line)]))


def _once_let_pass() -> int:
    """Tries the faults of known.toml with the tests named there. 1 where one is not noticed."""
    from tests.mutate.known import known
    from tests.mutate.warm import Warm

    rows = known()
    files = sorted({row.test.split("::")[0] for row in rows})
    warm = Warm(ROOT, files, sorted({_module(row.fault) for row in rows}))
    bad = 0
    for row in rows:
        tests = [name for name in warm.items if name.startswith(row.test)]
        verdict = warm.sure(row.fault, tests, {})
        bad += not verdict.test
        print(f"{'noticed ' if verdict.test else 'SURVIVED'} {row.name}: {verdict.test or len(tests)}", flush=True)
    return 1 if bad else 0


def _module(fault: Fault) -> str:
    return fault.file.removesuffix(".py").removesuffix("/__init__").replace("/", ".")


def _known(faults: list[Fault], sample: int, seed: int) -> int:
    """Tries faults that were noticed before with the tests that did, no map needed. 1 where too many pass now."""
    from tests.mutate.warm import Warm

    killers = kept.killers()
    todo = [f for f in faults if f.file in killers and kept.short(f.key) in killers[f.file].faults]
    todo = some(todo, sample, seed)
    files = sorted({name.split("::")[0] for f in todo for name in killers[f.file].tests})
    warm = Warm(ROOT, files, sorted({_module(f) for f in todo}))
    bad = [f for f in todo if not warm.sure(f, killers[f.file].tests, {}).test]
    print(*(f"SURVIVED {fault}" for fault in bad), f"{len(todo) - len(bad)} of {len(todo)} faults noticed", sep="\n")
    return 1 if len(bad) > max(1.0, kept.MOST_SLIP * len(todo)) else 0


def _stirred(fault: Fault, names: list[str], seconds: dict[str, float], long: float) -> list[str]:
    """In an order of each fault's own, always the same: the quickest jobs are those that are refused first of all. What
    takes longer than `long` comes last, or it would keep out many others."""

    def place(name: str) -> tuple[bool, bool, str]:
        early = name.startswith(INSIDE) or name.endswith(RICH)
        return seconds.get(name, 0.0) > long, not early, kept.short((*fault.key[:3], name))

    return sorted(names, key=place)


def _within(names: list[str], seconds: dict[str, float], most: Most) -> list[str]:
    """The first of them that keep to the limits; of one function's many cases some from all over the list."""
    cases: dict[str, list[str]] = {}
    for name in names:
        cases.setdefault(name.split("[")[0], []).append(name)
    few = {name for found in cases.values() for name in found[:: max(1, len(found) // most.cases)]}
    out, total = [], 0.0
    for name in [name for name in names if name in few][: most.tests]:
        taken = seconds.get(name, 0.0)
        if not out or total + taken <= most.seconds:
            total += taken
            out.append(name)
    return out


if __name__ == "__main__":
    sys.exit(main())
