"""A whole job as numbers: every part's design, worked out without the kernel and without touching a file."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import TypeVar

from wheelcad.codes import Check
from wheelcad.drawing.font import REGULAR, face
from wheelcad.errors import DesignError, Fault
from wheelcad.findings import Finding, holds
from wheelcad.job.consistency import contradictions
from wheelcad.job.models import Job
from wheelcad.job.plausibility import likely_slips, slip_faults
from wheelcad.parts.adapter.design import AdapterDesign, design_adapter
from wheelcad.parts.balance.design import design_balance
from wheelcad.parts.balance.model import BalanceDesign
from wheelcad.parts.blank.design import BlankDesign, design_blank
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.bracket.judge import bracket_findings
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.cam.design import CamDesign, design_cam
from wheelcad.parts.cam.judge import cam_findings, cam_needed
from wheelcad.parts.gauge.design import design_gauge
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.parts.hand.design import design_hand
from wheelcad.parts.ignition import IgnitionDesign, design_ignition
from wheelcad.parts.indexing.design import design_indexing
from wheelcad.parts.indexing.model import JOB_MARK, IndexPlan
from wheelcad.parts.kept import Memory
from wheelcad.parts.places import settled
from wheelcad.parts.wheel.design import WheelDesign, design_wheel
from wheelcad.parts.wheel.trade import wheel_findings
from wheelcad.words import count

T = TypeVar("T")


@dataclass(frozen=True)
class Design:
    """Everything that follows from a job. Parts whose sections are missing are None.

    findings: verdicts of the trade, computed from the design. left_out: what is not made, and the section that would
    bring it.
    """

    job: Job
    wheel: WheelDesign
    blank: BlankDesign | None
    adapter: AdapterDesign | None
    gauge: GaugeDesign | None
    bracket: BracketDesign | None
    balance: BalanceDesign
    indexing: IndexPlan | None
    ignition: IgnitionDesign
    cam: CamDesign | None
    findings: tuple[Finding, ...]
    left_out: tuple[str, ...]

    @property
    def marks(self) -> str:
        """Job mark and plan mark as everything that is printed or cut shows them; no plan mark where there is nothing
        to index."""
        return self.indexing.marks if self.indexing is not None else f"job {self.job.source.sha256[:JOB_MARK]}"

    @property
    def parts(self) -> list[str]:
        """The parts that have a solid, in the order of the work: what others wait for first."""
        return ["wheel"] + [n for n in ("bracket", "blank", "gauge", "adapter", "cam") if getattr(self, n) is not None]


def design_job(job: Job, kept: Memory | None = None) -> Design:
    """Work out every part. DesignError holds the faults of all parts at once, each with its line.

    kept: what the slower parts came to for the job before, where one design follows another.
    """
    kept = kept or Memory()
    faults = contradictions(job)  # a job made in a script has not been held to what its reader holds a file to
    if faults:
        raise DesignError(faults).placed(job.source.located)
    job = settled(job)

    def attempt(make: Callable[[], T]) -> T | None:
        try:
            return make()
        except DesignError as error:
            faults.extend(error.faults)
            return None

    wheel = attempt(lambda: design_wheel(job))
    if any(fault.key[:2] == ("wheel", "slot") for fault in faults):  # nothing else stands on a slot that cannot be
        raise DesignError([*slip_faults(job), *faults]).placed(job.source.located)
    blank = attempt(lambda: design_blank(job))
    adapter = attempt(lambda: design_adapter(job))
    cam = attempt(lambda: design_cam(job, wheel))
    bracket = attempt(lambda: kept_bracket(job, kept))
    gauge = balance = indexing = None
    if wheel is not None and not faults:
        sure = wheel
        gauge = attempt(lambda: kept.of("gauge", job, lambda: design_gauge(job, sure)))
        balance = attempt(lambda: kept.of("balance", job, lambda: design_balance(job, sure)))
    if wheel is not None and balance is not None:
        sure, drilled = wheel, balance
        indexing = attempt(lambda: design_indexing(job, sure, drilled.holes))
    if faults or wheel is None or balance is None:
        raise DesignError([*slip_faults(job), *_once(faults)]).placed(job.source.located)
    ignition = design_ignition(job.engine, job.sensor, wheel)
    left = tuple(left_out(job))
    made = Design(job, wheel, blank, adapter, gauge, bracket, balance, indexing, ignition, cam, (), left)
    return replace(made, findings=tuple(_findings(made, kept)))


def _findings(design: Design, kept: Memory) -> Iterator[Finding]:
    """What is found of every part, in the order in which reports and packet tell it."""
    job, wheel, bracket, cam = design.job, design.wheel, design.bracket, design.cam
    yield from likely_slips(job)
    yield from _letters(job)
    yield from _assumed(job)
    yield from wheel_findings(job, wheel)
    yield from design.ignition.findings
    yield from design.balance.findings
    for part in (design.blank, design.adapter, design.gauge):
        yield from part.findings if part is not None else ()
    if bracket is not None:
        yield from kept.of("bracket findings", job, lambda: bracket_findings(bracket))
    for how_cut in (design.indexing, design_hand(job, wheel)):
        yield from how_cut.findings if how_cut is not None else ()
    yield from cam_needed(job.engine, job.cam)
    if cam is not None and job.cam is not None:
        yield from cam_findings(job.engine, job.cam.sensor, cam)


def kept_bracket(job: Job, kept: Memory) -> BracketDesign | None:
    """The bracket of a settled job, worked out where it may be another than the last. DesignError as of the bracket."""
    made = kept.of("bracket", job, lambda: design_bracket(job))
    if made is None or made.asked.job is job:
        return made
    return replace(made, asked=replace(made.asked, job=job))


def _once(faults: list[Fault]) -> list[Fault]:
    """The faults without repeats: two parts may trip over the same value."""
    return list({(fault.key, fault.message): fault for fault in faults}.values())


def _assumed(job: Job) -> list[Finding]:
    """What had to be taken for granted, as warnings."""
    if job.engine is not None:
        return []
    why = "no engine section: the crank is taken to turn clockwise, seen facing the wheel; if not, all is mirrored"
    return [holds(Check.DIRECTION_ASSUMED, "job", False, "clockwise assumed", why, "the job file", "warn")]


def _letters(job: Job) -> list[Finding]:
    """What of the title drawings and packet cannot show, as a warning."""
    known = face(REGULAR).advances
    lost = [letter for letter in dict.fromkeys(job.title) if ord(letter) not in known]
    if not lost:
        return []
    why = (
        "the lettering of drawings and packet has Latin, Greek and Cyrillic letters: others are empty boxes there: "
        "write title in one of these"
    )
    said = f"{count(len(lost), 'letter')} it lacks: {' '.join(lost[:12])}"
    return [holds(Check.TITLE_LETTERS, "title", False, said, why, "the fonts that drawings carry", "warn")]


def left_out(job: Job) -> Iterator[str]:
    """What this job does not bring, and which section would."""
    if job.pulley is None:
        yield "blank and gauge: the section `pulley` would bring them"
    elif job.gauge is None:
        yield "gauge: the section `gauge` would bring it"
    if job.sensor is None:
        yield "bracket and controller numbers: the section `sensor` would bring them"
    elif job.bracket is None:
        yield "bracket: the section `bracket` would bring it"
    if job.shop.rotary_table is None and job.shop.slots_by != "hand":
        yield "indexing chart: `shop.rotary_table` would bring it"
    if job.balance is None:
        yield "balance correction: the section `balance` would bring it"
    if job.engine is None:
        yield "coil pairs, balance limit and tooth rate: the section `engine` would bring them"
