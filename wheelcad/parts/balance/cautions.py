"""What numbers do not show: the maker's balance drillings, dampers, run-out, and what a component balance is not."""

from __future__ import annotations

from collections.abc import Iterator

from wheelcad.codes import Check
from wheelcad.findings import PRACTICE, Finding, holds
from wheelcad.job.models import Job
from wheelcad.parts.balance import runout
from wheelcad.parts.balance.model import BalanceDesign
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.words import fine, mass

MUCH = (
    0.05  # share of the piece as found, turned off, above which its old balance is in doubt; common practice, no source
)
LONG_CRANK = 5  # cylinders from which torsional vibration of the crank is a matter; common practice, no source


def cautions(job: Job, wheel: WheelDesign, design: BalanceDesign) -> Iterator[Finding]:
    """Warnings and notes for the person at the lathe and mill."""
    if wheel.form == "plate":
        return
    turned = runout.turned_again(job, wheel)
    yield _runout(design, turned)
    if not design.against_blank:
        said = "counted with the pulley's own bolt holes and keyway"
        why = (
            "sand holes and old drillings cannot be reckoned and are not in it: check the finished wheel on level edges"
        )
        yield holds(Check.AS_FOUND_UNKNOWN, "wheel", False, said, why, "half-key convention: ISO 21940-32", "warn")
    if turned.removed_share > MUCH:
        said = f"{mass(turned.removed_g)}, {turned.removed_share:.0%} of the piece as found"
        why = "balance drillings of the maker may go with it: look for them first, and check the balance after turning"
        yield holds(Check.MAKERS_DRILLINGS, "blank", False, said, why, PRACTICE, "note")
        cylinders = job.engine.cylinders if job.engine is not None else None
        calm = cylinders is not None and cylinders < LONG_CRANK and not (job.pulley and job.pulley.rubber_ring)
        why = (
            "mass turned off a pulley changes how it calms the crank's torsional vibration, rubber ring or not: ask "
            "the engine's maker before a long crank is run without it"
        )
        yield holds(Check.TORSIONAL_DAMPING, "blank", calm, said, why, PRACTICE, "note")


def _runout(design: BalanceDesign, turned: runout.TurnedAgain) -> Finding:
    """The run-out that the balance allows the turned surfaces."""
    limit = design.runout_limit_mm
    why = (
        f"the surfaces turned again ({turned.surfaces}) enclose {mass(turned.mass_g)}; off centre by half the reading "
        "they unbalance the piece by mass times that, easily more than a missing tooth"
    )
    if limit is None:
        return holds(
            Check.TURNED_RUNOUT, "blank", True, "nothing is turned again", "no surface changes", "shifted disc"
        )
    if design.max_speed_rpm is None:
        why += "; engine.max_speed would give it a limit from balance, here it is the sensor's"
    held = limit >= 2 * runout.FINEST_RUNOUT_MM
    said = f"at most {fine(limit)} on the indicator"
    if not held:
        why += "; so little asks for a mandrel between centres and a balance check afterwards"
    return holds(Check.TURNED_RUNOUT, "blank", held, said, why, "first moment of a shifted disc", "warn")
