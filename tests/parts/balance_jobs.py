"""Jobs whose wheels are balanced, shared by the tests of the balance."""

from __future__ import annotations

from tests.conftest import demo_text, edited
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.balance.design import design_balance
from wheelcad.parts.balance.model import BalanceDesign
from wheelcad.parts.wheel.design import WheelDesign, design_wheel

BALANCE = "balance: {grade: G16, correct_by: holes, radius: 66, largest_drill: 8}"


def six(*changes: tuple[str, str]) -> Job:
    return parse_job(edited(demo_text("tarn-six"), *changes), "six.yaml")


def designed(job: Job) -> tuple[WheelDesign, BalanceDesign]:
    wheel = design_wheel(job)
    return wheel, design_balance(job, wheel)


def verdicts(balance: BalanceDesign) -> dict[str, str]:
    return {finding.check: finding.verdict for finding in balance.findings}


def turned_job(lands: str, balance: str, pulley: str = "", wheel: str = "") -> Job:
    return parse_job(
        "job: t\nengine: {cylinders: 4, max_speed: 6000}\n"
        "wheel: {teeth: 36, missing: 1, outside_diameter: 120, thickness: 4, material: mild-steel, "
        f"slot: {{width: 5, depth: 6}}{wheel}}}\n"
        f"pulley: {{bore: 25{pulley}, turned: [{lands}]}}\nbalance: {{{balance}}}\n",
        "t.yaml",
    )
