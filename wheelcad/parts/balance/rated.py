"""Which mass the standard's limit counts: that of what turns together."""

from __future__ import annotations

from dataclasses import dataclass

from wheelcad.findings import PRACTICE
from wheelcad.job.models import Job
from wheelcad.trade.assumed import CRANK_KG, CRANK_KG_EACH, assumed_crank_kg
from wheelcad.words import count, quantity

OWN = "its own mass: a pulley is balanced by itself"


@dataclass(frozen=True)
class Rated:
    """kg: the standard's mass. own_kg: the piece's. assumed: the job does not say. why: where it is from, in words."""

    kg: float
    own_kg: float
    assumed: bool
    why: str

    @property
    def alone(self) -> bool:
        """True where the piece's own mass is what counts."""
        return self.kg == self.own_kg

    def report(self) -> dict[str, object]:
        """The mass as report.json holds it."""
        return {"mass_kg": round(self.kg, 4), "assumed": self.assumed, "why": self.why}


def rated(job: Job, own_kg: float) -> Rated:
    """The mass a job's wheel is graded with: `balance.turns_with`, or for a plate a crank of the engine's cylinders.

    A plate bolted to a crank is no rotor of its own. own_kg: of the finished piece. Source: ISO 21940-11, which grades
    rotors; of the crank's mass, trade/assumed.py.
    """
    given = job.balance.turns_with if job.balance is not None else None
    if given is not None:
        return Rated(given, own_kg, False, "balance.turns_with")
    if job.wheel.form != "plate":
        return Rated(own_kg, own_kg, False, OWN)
    cylinders = job.engine.cylinders if job.engine is not None else None
    of = count(cylinders, "cylinder") if cylinders is not None else "one cylinder, the job giving none"
    kg = assumed_crank_kg(cylinders)
    bare, each = quantity(CRANK_KG * 1000, "heavy"), quantity(CRANK_KG_EACH * 1000, "heavy")
    source = f"a crank of {bare} and {each} a cylinder, no flywheel: {PRACTICE}"
    why = f"assumed {quantity(kg * 1000, 'heavy')} for a crank of {of} ({source}); balance.turns_with says it better"
    return Rated(kg, own_kg, True, why)
