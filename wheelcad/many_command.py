"""`wheelcad build` with --workers, --cluster or --only-changed: progress with the time left, one table at the end."""

from __future__ import annotations

import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from wheelcad import terminal
from wheelcad.console import write_out
from wheelcad.errors import Fault, JobFileError
from wheelcad.libraries import told
from wheelcad.many import ERROR, BuildWanted, JobOutcome, build_many

USUAL_WORKERS = 2


def run_many(
    jobs: Sequence[Path],
    wanted: BuildWanted,
    workers: int,
    cluster: str,
    strict: bool,
    json: bool,
    quiet: bool,
) -> int:
    """Build the jobs and print how each ended; exit code 2 where one could not be built, 1 where a check failed."""
    start, ended = time.monotonic(), 0
    with terminal.progress(f"building {len(jobs)} jobs", quiet=quiet or json) as step:

        def heard(outcome: JobOutcome) -> None:
            nonlocal ended
            ended += 1
            left = (time.monotonic() - start) / ended * (len(jobs) - ended)
            step(f"{ended} of {len(jobs)} ended, the last {outcome.job}: {outcome.verdict}; about {left:.0f} s left")

        found = _built(jobs, wanted, workers or USUAL_WORKERS, cluster, heard)
    if json:
        from wheelcad.files.data import as_json

        write_out(as_json({"jobs": [outcome.report() for outcome in found]}))
    elif not quiet or any(outcome.verdict in (ERROR, "fail") for outcome in found):
        write_out(many_text(found, time.monotonic() - start))
    bad = {"fail", "warn"} if strict else {"fail"}
    verdicts = {outcome.verdict for outcome in found}
    return 2 if ERROR in verdicts else int(bool(bad & verdicts))


def _built(jobs: Sequence[Path], wanted: BuildWanted, workers: int, cluster: str, heard: Any) -> list[JobOutcome]:
    if not cluster:
        return build_many(jobs, wanted, workers, heard=heard)
    with told(f"--cluster {cluster}"):
        from distributed import Client
    try:
        client = Client(cluster, timeout="10s", set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        message = "cannot be reached: start a scheduler there, or correct the address"
        raise JobFileError(Fault(message, file=f"--cluster {cluster}", found=str(error))) from None
    with client:
        return build_many(jobs, wanted, workers, client.get_executor(pure=False), heard)


def many_text(found: Sequence[JobOutcome], seconds: float) -> str:
    """A line for each job, what stopped those that were not built below it, and how many ended how."""
    wide = max((len(outcome.job) for outcome in found), default=0)
    lines = []
    for outcome in found:
        lines.append(f"{outcome.job:<{wide}}  {outcome.verdict:<9} {outcome.seconds:6.1f} s  {outcome.folder}".rstrip())
        lines += [f"    {line}" for fault in outcome.faults for line in fault.split("\n")]
    counts = {verdict: sum(o.verdict == verdict for o in found) for verdict in dict.fromkeys(o.verdict for o in found)}
    said = ", ".join(f"{count} {verdict}" for verdict, count in counts.items())
    lines.append(f"{len(found)} jobs in {seconds:.1f} s: {said}")
    return "\n".join(lines)
