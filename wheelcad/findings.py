"""One kind of result for every check: what was measured, what was allowed, and what that means.

Numbers and sentences only; printing lives in the command line, tables in the packet. Sentences hold their quantities
(`wheelcad.words`) and are written in a document's unit where they are printed.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import asdict, dataclass, replace
from typing import Literal

from wheelcad.codes import Check
from wheelcad.words import Words, count

# note: true of every job of its kind, said on its own page only; warn: somebody can and should change something
Verdict = Literal["pass", "note", "warn", "fail"]
GRAVEST: tuple[Verdict, ...] = ("fail", "warn", "note", "pass")


PRACTICE = "common practice, no source"
OWN = "computed from the job's own numbers"


@dataclass(frozen=True)
class Finding:
    """One check of one thing.

    check: what was checked. subject: the file or part measured. measured, limit: numbers in `unit`, a base unit or the
    name of what is counted, or words where the check is not a number. why: one sentence a machinist understands.
    source: the standard, handbook or PRACTICE.
    """

    check: Check
    subject: str
    measured: float | str
    unit: str
    limit: float | str
    verdict: Verdict
    why: str
    source: str

    def measured_in(self, words: Words) -> str:
        """What was measured, as a document in `words` writes it."""
        if isinstance(self.measured, str):
            return words.text(self.measured)
        return words.measured(self.measured, self.unit, self.limit if isinstance(self.limit, float | int) else None)

    def limit_in(self, words: Words) -> str:
        """What was allowed, likewise; "" where there is no limit."""
        return words.text(self.limit) if isinstance(self.limit, str) else words.measured(self.limit, self.unit)

    def told(self, words: Words) -> str:
        """The finding in one sentence, as terminal and start page tell it."""
        measured, limit = self.measured_in(words), self.limit_in(words)
        found = f"{measured}{f', limit {limit}' if limit else ''}; " if measured else ""
        return f"{self.subject}, {self.check}: {found}{words.text(self.why)}"

    def as_json(self, words: Words) -> dict[str, object]:
        """The finding as report.json holds it: numbers in base units, sentences in the job's unit."""
        out = asdict(self)
        for name in ("measured", "limit"):
            value = out[name]
            if isinstance(value, float) and not math.isfinite(value):
                out[name] = str(value)
        return {name: words.text(value) if isinstance(value, str) else value for name, value in out.items()}


def at_most(
    check: Check,
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
    check: Check,
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
    check: Check, subject: str, is_so: bool, said: str, why: str, source: str, otherwise: Verdict = "fail"
) -> Finding:
    """A check whose answer is yes or no: `said` is what was found, in words."""
    return Finding(check, subject, said, "", "", "pass" if is_so else otherwise, why, source)


@dataclass(frozen=True)
class About:
    """Findings about one thing that rest on one source, so that a module says both once."""

    subject: str
    source: str
    otherwise: Verdict = "fail"

    def of(self, part: str) -> About:
        """About one part of the same thing."""
        return replace(self, subject=f"{self.subject}, {part}")

    def at_most(self, check: Check, measured: float, unit: str, limit: float, why: str) -> Finding:
        """As the function."""
        return at_most(check, self.subject, measured, unit, limit, why, self.source, self.otherwise)

    def at_least(self, check: Check, measured: float, unit: str, limit: float, why: str) -> Finding:
        """As the function."""
        return at_least(check, self.subject, measured, unit, limit, why, self.source, self.otherwise)

    def holds(self, check: Check, is_so: bool, said: str, why: str) -> Finding:
        """As the function."""
        return holds(check, self.subject, is_so, said, why, self.source, self.otherwise)


def poor(findings: Iterable[Finding], strict: bool = True) -> list[Finding]:
    """What failed, then (strict) what warned, each in the order of telling."""
    held = list(findings)
    return [f for verdict in (("fail", "warn") if strict else ("fail",)) for f in held if f.verdict == verdict]


def tally(findings: Iterable[Finding]) -> str:
    """How the checks came out, in a few words; notes are no checks."""
    verdicts = [finding.verdict for finding in findings if finding.verdict != "note"]
    failed, warned = verdicts.count("fail"), verdicts.count("warn")
    said = count(len(verdicts), "check")
    return f"{said}: {failed} failed, {warned} warned" if failed or warned else f"{said}, all passed"


def worst(findings: Iterable[Finding]) -> Verdict:
    """The gravest verdict among the findings; pass when there are none."""
    verdicts = {finding.verdict for finding in findings}
    return next((verdict for verdict in GRAVEST if verdict in verdicts), "pass")
