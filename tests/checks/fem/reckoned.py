"""The brackets of `figures`, and what is reckoned of them without a solver: peaks, sentences, what mends them."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from tests.parts.bracket_jobs import along_job, flat_job, in_job, made, random_job
from tests.unit_jobs import INCH_SIX
from wheelcad.checks.fem import mending, proposals
from wheelcad.checks.fem.campbell import campbell
from wheelcad.checks.fem.findings import stiffness_findings
from wheelcad.checks.fem.limits import limits_of, speeds_of, wanted_times
from wheelcad.checks.fem.model import BracketProposals, Held, MeshStep, StiffnessResult
from wheelcad.checks.fem.model import scaled as scaled_held
from wheelcad.checks.fem.refining import left, mesh_error, next_size, refined, rounded, settled
from wheelcad.checks.fem.response import Peak, between, worst, worst_by_order
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.bracket.model import BracketDesign

JOBS: dict[str, Callable[[], Job]] = {
    "L": in_job,
    "L-threads": lambda: in_job(
        bracket={"mounts": [{"x": 150, "y": y, "hole": 9, "thread": "M8"} for y in (60, 110)], "adjust": 0}
    ),
    "L-narrow": lambda: in_job(bracket={"width": 30}),
    "L-gusset": lambda: in_job(bracket={"gusset": True, "width": 60}),
    "L-thin": lambda: in_job(engine={"max_speed": 7000}, bracket={"plate": {"thickness": 3}}),
    "L-near-edge": lambda: in_job(bracket={"mounts": [{"x": 150, "y": y, "hole": 13} for y in (60, 110)]}),
    "Z": along_job,
    "Z-back": lambda: along_job(sensor={"from": "back"}, bracket={"mount_face": -(2.5 + 0.8 + 24)}),
    "flat": flat_job,
    "in front": lambda: along_job(bracket={"mount_face": 40}),
    "inches": lambda: parse_job(INCH_SIX, "moss.yaml"),
    **{f"random-{n}": lambda n=n: random_job(n) for n in (0, 16, 56, 74)},  # type: ignore[misc]
}


def design(name: str) -> BracketDesign:
    """One of the brackets."""
    return made(JOBS[name]())


def held(hz: float = 380.0, change: float = 0.01, aside: float = 0.005, stress: float = 20.5) -> Held:
    """A bracket's answer as in test_verdicts."""
    from tests.checks.fem.test_verdicts import result

    return result(hz, change, aside, stress).held[-1]


SHAKEN = (
    (900.0, 0.01, 0.005, 20.5),
    (380.0, 0.01, 0.005, 20.5),
    (267.0, 0.02, 0.02, 40.0),
    (120.0, 0.05, 0.03, 60.0),
    (630.0, 0.002, 0.05, 5.0),
    (560.0, 0.012, 0.001, 30.0),
)


def peaks() -> Any:
    speeds = speeds_of(design("L"))
    assert speeds is not None
    out = []
    for given in SHAKEN:
        pair = [replace(scaled_held(held(*given), 0.93), how="soft"), held(*given)]
        each = [
            [o.order, *(getattr(w, k) for k in ("gap", "aside", "stress", "load"))]
            for o, w in worst_by_order(pair, speeds)
        ]
        out.append(
            {
                "worst": worst(pair, speeds),
                "by order": each,
                "damped": worst(pair, speeds, 0.05).gap,
                "between": [one.first_hz for one in between(pair)],
                "one": len(between(pair[:1])),
                "wanted": wanted_times(pair, speeds, limits_of(design("L"))),
            }
        )
    return [out, Peak(), worst([], speeds)]


def told() -> Any:
    from tests.checks.fem.test_verdicts import DESIGN, result

    places = ((30.0, 300.0), (45.0, 500.0), (60.0, 380.0), (75.0, 390.0))
    out: list[Any] = []
    for given in SHAKEN:
        answer = result(*given)
        found = BracketProposals(answer.held, (), (), 40, places, 1.5, 55.0)
        out.append([stiffness_findings(one, DESIGN) for one in (answer, replace(answer, proposals=found))])
        out.append([answer.report(), found.report(), answer.range_hz, answer.first_hz])
    lone: StiffnessResult = replace(
        result(380.0), proposals=BracketProposals(result(380.0).held, (), (), 0, (), math.inf)
    )
    out.append(stiffness_findings(lone, DESIGN))
    out.append([campbell(hz, DESIGN.asked.job.engine, 90.0) for hz in ([100.0, 437.5], [380.0])])
    return out


def refining() -> Any:
    def steps(*meshes: tuple[float, float, int]) -> list[MeshStep]:
        return [MeshStep(size, n, hz, hz / 10) for size, hz, n in meshes]

    from tests.checks.fem.test_verdicts import result

    alone = replace(result(400.0), meshes=result(400.0).meshes[-1:])
    given = [
        steps(),
        steps((20, 410, 9000)),
        steps((20, 410, 9000), (10, 400, 30000)),
        steps((20, 440, 9000), (10, 400, 30000)),
        steps((20, 440, 9000), (10, 400, 39000)),
        steps((20, 440, 9000), (10, 400, 40000)),
        steps((20, 460, 9000), (10, 430, 20000), (7.5, 400, 30000)),
        steps((20, 470, 9), (10, 450, 9), (7.5, 430, 9), (5.6, 415, 9)),
        steps((20, 470, 9), (10, 450, 9), (7.5, 430, 9), (5.6, 415, 9), (4.2, 400, 9)),
    ]
    return [
        [[left(s), mesh_error(s), settled(s) if s else None, next_size(s)] for s in given],
        refined(alone, steps((20, 430, 9000))),
        refined(alone, ()),
        [rounded(v) for v in (123.4567, 0.0012345678, -1.0)],
    ]


def mended() -> Any:
    """The search with each change's effect known."""
    from unittest import mock

    from tests.checks.fem.test_proposals import Fake, fake_changes

    out = []
    for name, fall, ratios in (
        ("L", 0.62, {"thickness": 1.15, "gusset": 1.3, "width": 1.02, "shorter-tab": 1.2, "washer": 1.05}),
        (
            "L-thin",
            0.75,
            {"thickness": 1.1, "thickness-twice": 1.25, "thickness-thrice": 1.7, "gusset": 1.2, "washer": 1.2},
        ),
        ("L", 0.62, dict.fromkeys(("thickness", "gusset", "width", "washer"), 1.001)),
        ("L", 1.6, {}),
    ):
        bracket = design(name)
        base = tuple(
            scaled_held(one, fall) for one in (replace(scaled_held(held(600.0), 0.93), how="soft"), held(600.0))
        )
        changed, tried = fake_changes(base, ratios)
        looked: list[str] = []

        def counted(variant: Any, tried: Any = tried, looked: list[str] = looked) -> Any:
            looked.append(variant.name)
            return tried(variant)

        with (
            mock.patch.object(mending, "meshed", lambda _, base=base: Fake(base)),
            mock.patch.object(mending, "tried", counted),
            mock.patch.object(mending, "changes", changed),
        ):
            found = mending.proposals(bracket)
        out.append(
            [
                found.wanted,
                found.tried,
                looked,
                [[c.name, c.first_hz, c.cost] for c in found.combined],
                [[c.name, c.first_hz] for c in found.singles],
                found.map,
                found.mount_within_mm,
            ]
        )
    flat = design("flat")
    out.append([mending.mount_within_mm(flat, w) for w in (1.0, 1.3, 2.0, 60.0, math.inf)])
    out.append(mending.by_sensor_at(flat, (Held("", (123.0,), ()),)))
    return out


def stock() -> Any:
    sizes = (1.0, 2.0, 2.49, 2.985, 3.0, 3.175, 4.7625, 5.0, 5.019, 6.35, 9.525, 12.0, 12.7, 14.0)
    return [[proposals.next_plate(t) for t in sizes], proposals.COSTS, proposals.METRIC_PLATE, proposals.INCH_PLATE]
