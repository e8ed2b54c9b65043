"""One kind of result for every check: what was measured, what was allowed, and what that means.

Numbers and sentences only; printing lives in the command line, tables in the packet.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import Literal

Verdict = Literal["pass", "warn", "fail"]


@dataclass(frozen=True)
class Finding:
    """One check of one thing.

    check: what was checked, as short words joined by hyphens ("edge-angles"). subject: the file or part measured.
    measured, limit: numbers in `unit`, or words where the check is not a number. verdict: pass, warn or fail.
    why: one sentence a machinist understands. source: the standard, handbook or "common practice, no source".
    """

    check: str
    subject: str
    measured: float | str
    unit: str
    limit: float | str
    verdict: Verdict
    why: str
    source: str

    def as_json(self) -> dict[str, object]:
        """The finding as report.json holds it; numbers that are not finite become words."""
        out = asdict(self)
        for name in ("measured", "limit"):
            value = out[name]
            if isinstance(value, float) and not math.isfinite(value):
                out[name] = str(value)
        return out


def at_most(
    check: str,
    subject: str,
    measured: float,
    unit: str,
    limit: float,
    why: str,
    source: str,
    otherwise: Verdict = "fail",
) -> Finding:
    """Pass when measured ≤ limit, `otherwise` when not; a value that is not a number never passes."""
    return Finding(check, subject, measured, unit, limit, "pass" if measured <= limit else otherwise, why, source)


def at_least(
    check: str,
    subject: str,
    measured: float,
    unit: str,
    limit: float,
    why: str,
    source: str,
    otherwise: Verdict = "fail",
) -> Finding:
    """Pass when measured ≥ limit, `otherwise` when not; a value that is not a number never passes."""
    return Finding(check, subject, measured, unit, limit, "pass" if measured >= limit else otherwise, why, source)


def holds(
    check: str, subject: str, is_so: bool, said: str, why: str, source: str, otherwise: Verdict = "fail"
) -> Finding:
    """A check whose answer is yes or no: `said` is what was found, in words."""
    return Finding(check, subject, said, "", "", "pass" if is_so else otherwise, why, source)


def worst(findings: list[Finding]) -> Verdict:
    """The gravest verdict among the findings; pass when there are none."""
    verdicts = {finding.verdict for finding in findings}
    return "fail" if "fail" in verdicts else "warn" if "warn" in verdicts else "pass"
