"""What every check measures of two sound builds, as a table that can be kept: to see that no check changes unmeant.

    python -m tests.checks.measured          # builds, and writes measured.json anew; say in the commit why it changed

A check that measures wrongly may still pass a sound file. That each one catches what is wrong is shown by
tests/checks/seeded; here its numbers and limits are held still. Measured numbers may move by a fiftieth of their limit:
kernels round differently.
"""

from __future__ import annotations

import json
import math
import tempfile
from pathlib import Path

from tests.conftest import ROOT
from wheelcad.build import build_job
from wheelcad.checks import everything
from wheelcad.findings import Finding
from wheelcad.parts.design import Design

FILE = Path(__file__).with_name("measured.json")
NAMES = ("tarn-six", "beck-four")
MOVES, ROUNDS = 0.02, 1e-7  # of a limit; and what is nothing beside any limit

Row = tuple[str, str, float | str, float | str, str]  # check, what it looks at, measured, limit, verdict


def rows(folder: Path, design: Design, subject: str) -> list[Row]:
    """What the check that looks at a file (or several, as it is named) finds in a folder."""
    checks = [check for check in everything._checks(folder, design, design) if check.subject == subject]
    assert len(checks) >= 1, subject
    return [_row(finding) for check in checks for finding in everything._guarded(check)]


def _row(finding: Finding) -> Row:
    return (str(finding.check), finding.subject, _plain(finding.measured), _plain(finding.limit), finding.verdict)


def _plain(value: float | str) -> float | str:
    """A number as JSON takes it; of words only that they are words."""
    if isinstance(value, str):
        return "words"
    return float(f"{float(value):.9g}") if math.isfinite(value) else "no number"


def same(now: Row, then: Row) -> bool:
    """Whether a row is what it was."""
    limit = then[3] if isinstance(then[3], float | int) else 0.0
    return (*now[:2], now[4]) == (*then[:2], then[4]) and all(
        a == b
        if isinstance(a, str) or isinstance(b, str)
        else abs(a - b) <= max(ROUNDS, 1e-6 * abs(b), room * abs(limit))
        for a, b, room in ((now[2], then[2], MOVES), (now[3], then[3], 0.0))
    )


def kept() -> dict[str, dict[str, list[Row]]]:
    """measured.json: rows by job and subject."""
    read = json.loads(FILE.read_text(encoding="utf-8"))
    return {name: {at: [tuple(row) for row in own] for at, own in of.items()} for name, of in read.items()}


def main() -> None:
    """Writes the table."""
    made: dict[str, dict[str, list[Row]]] = {}
    for name in NAMES:
        with tempfile.TemporaryDirectory() as out:
            result = build_job(ROOT / "configs" / f"{name}.yaml", Path(out), fem=False)
            subjects = sorted(
                {check.subject for check in everything._checks(result.folder, result.design, result.design)}
            )
            made[name] = {subject: rows(result.folder, result.design, subject) for subject in subjects}
    text = json.dumps(made, indent=None).replace("], [", "],\n[").replace("]], ", "]],\n")
    FILE.write_text(text + "\n", encoding="utf-8")
    print({name: {subject: len(own) for subject, own in of.items()} for name, of in made.items()})


if __name__ == "__main__":
    main()
