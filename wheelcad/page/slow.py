"""What takes longer than a change may: sync and timing by the whole field, and values that mend. In its own process.

`python -m wheelcad.page.slow` is started when it is first needed and asked for one text after another, each done in a
fork of what was loaded once (`wheelcad.processes`). A text that is out of date before its answer came is given up: its
fork is ended. Nothing is asked until nobody has changed anything for a moment.
"""

from __future__ import annotations

import contextlib
import sys
from typing import Any

from wheelcad.errors import JobError, Key
from wheelcad.page.session import Session, State
from wheelcad.page.when_quiet import WhenQuiet
from wheelcad.processes import OwnProcess, TaskError, Tell, serve
from wheelcad.surroundings import ONE_THREAD

MENDS, SIGNAL, BUDGET = "mends", "signal", "budget"
QUIET_S = 0.6  # without a change, before anything is begun
NICE = 10  # what people wait for goes first


class SlowWork(WhenQuiet):
    """Follows a session and tells it what the slow work found of its text (`Session.tell_slow`)."""

    def __init__(self, session: Session, quiet_s: float = QUIET_S) -> None:
        self._apart: OwnProcess | None = None
        self._at_work_on: str | None = None
        self._good = ""
        super().__init__(session, quiet_s, "slow")

    def stop(self) -> None:
        """End it, and its process."""
        super().stop()
        self._drop()

    def _heard(self, state: State) -> None:
        if state.is_current:
            self._good = state.text
        at_work_on = self._at_work_on
        apart = self._apart
        if at_work_on is not None and state.text != at_work_on and apart is not None:
            apart.break_off()
        super()._heard(state)

    def _drop(self) -> None:
        apart, self._apart = self._apart, None
        if apart is not None:
            with contextlib.suppress(OSError, ValueError):
                apart.__exit__()

    def work(self, state: State) -> None:
        """Ask for everything of a text, and tell the session of each part as it comes."""
        if state.is_working or state.slow is not None:
            return
        found: dict[str, Any] = {}
        self._at_work_on = state.text
        try:
            apart = self._apart
            if apart is None or not apart.lives:
                self._apart = apart = OwnProcess("wheelcad.page.slow", "the slow work", ONE_THREAD, NICE).__enter__()
            whole = state.is_current
            apart.give(state.text, str(self._session.path.name), self._good, _key(state), whole)
            for name in (MENDS, SIGNAL, BUDGET) if whole else (MENDS,):
                found |= apart.wait_for(name, lambda _: None)
                self._session.tell_slow(state.text, dict(found))
        except (TaskError, OSError, ValueError) as error:
            if not isinstance(error, TaskError):
                self._drop()
            if self._session.state.text == state.text and not self._stopped:
                self._session.tell_slow(state.text, {**found, "why": f"could not be worked out: {error}"})
        finally:
            self._at_work_on = None
            if self._stopped:
                self._drop()


def _key(state: State) -> Key:
    from wheelcad.page.verdict import dotted_all

    return next((key for key in state.source.values if dotted_all(key) == state.key), ()) if state.key else ()


# --- the process's end -----------------------------------------------------------------------------------------------
def work(tell: Tell, text: str, file: str, last_good: str, changed: Key, whole: bool) -> None:
    """Tell what mends the text, then what its sensor sees, then how far off its timing may be."""
    from wheelcad.page.mend import mends_of

    tell(MENDS, {MENDS: dict(mends_of(text, last_good, changed, file))})
    if not whole:
        return
    from wheelcad.job.reader import parse_job
    from wheelcad.page.strip import turn_json
    from wheelcad.parts.places import settled
    from wheelcad.parts.wheel.design import design_wheel
    from wheelcad.parts.wheel.teeth_seen import designed_edges
    from wheelcad.signal.budget import budget_of
    from wheelcad.signal.report import signal_of
    from wheelcad.signal.turn import turn_of
    from wheelcad.signalled import can_be_seen

    job = settled(parse_job(text, file))
    if not can_be_seen(job) or job.sensor is None:
        why = {"why": "needs an engine with its cylinders, and a sensor"}
        tell(SIGNAL, why)
        tell(BUDGET, why)
        return
    signal = signal_of(job, designed_edges(design_wheel(job), job.sensor))
    report = signal.report()
    turn = turn_of(signal)
    drawn = None if turn is None else turn_json(turn, signal.inputs.element != "pole")
    tell(
        SIGNAL, {SIGNAL: report, "turn": drawn, "margin": report["sync"]["margin"], "margin_note": _sync_words(report)}
    )
    budget = budget_of(job, signal, {}).report()
    tell(BUDGET, {BUDGET: budget, "after_trim_95_deg": budget["after_trim_95_deg"]})


def _sync_words(report: dict[str, Any]) -> str:
    turns = report["sync"].get("turns_to_sync")
    started = f"syncs within {turns:.2g} turns of the starter" if isinstance(turns, float) else "never syncs"
    return f"{started}; over 1 the gap is told from a tooth; the design's edges"


def _words(error: Exception) -> tuple[str, str]:
    if isinstance(error, JobError):
        from wheelcad.words import Words

        return Words().text("; ".join(fault.message for fault in error.faults)), ""
    return f"{type(error).__name__}: {error}", ""


def _load() -> None:
    import wheelcad.page.mend
    import wheelcad.page.strip
    import wheelcad.signal.budget
    import wheelcad.signal.report
    import wheelcad.signal.turn  # noqa: F401


if __name__ == "__main__":
    sys.exit(serve(work, _words, _load))
