"""Jobs with gauges to test on: plain ones by hand, and random ones that can exist."""

from __future__ import annotations

import math
import random
from typing import Any

from wheelcad.job.models import Job


def job_of(**sections: Any) -> Job:
    """A job from plain sections, all lengths mm."""
    return Job.model_validate({"job": "trial", **sections})


def turned(**changes: Any) -> dict[str, Any]:
    """A ⌀100 wheel of 24-1 behind a ⌀70 shoulder, six bolts on ⌀50, as sections; `changes` replace whole sections."""
    sections: dict[str, Any] = {
        "engine": {"turns": "clockwise"},
        "wheel": {
            "teeth": 24,
            "missing": 1,
            "gap_at": 30.0,
            "outside_diameter": 100.0,
            "thickness": 4.0,
            "slot": {"width": 6.0, "depth": 6.0, "sides": "parallel", "floor": "round"},
        },
        "pulley": {
            "bore": 20.0,
            "keyway": {"width": 5.0, "depth": 2.3, "at": 15.0},
            "bolts": {"count": 4, "circle": 50.0, "hole": 6.6, "first_at": 20.0},
            "turned": [{"length": 6.0, "diameter": 70.0}, "wheel", {"length": 10.0, "diameter": 70.0}],
        },
        "gauge": {"thickness": 3.0, "hole_allowance": 0.2},
        "shop": {"rotary_table": {"ratio": 40}, "printer": {"bed": [220.0, 220.0], "nozzle": 0.4}},
    }
    sections.update(changes)
    return sections


def plate(**changes: Any) -> dict[str, Any]:
    """A ⌀120 plate wheel of 36-2 with a bore and three bolts, as sections."""
    sections = turned(
        wheel={
            "form": "plate",
            "teeth": 36,
            "missing": 2,
            "gap_at": 90.0,
            "outside_diameter": 120.0,
            "thickness": 5.0,
            "slot": {"width": 5.0, "depth": 5.0, "sides": "radial", "floor": "flat", "corner_radius": 0.5},
            "bore": 40.0,
        },
        pulley={"bore": 20.0, "bolts": {"count": 3, "circle": 60.0, "hole": 8.4, "first_at": 0.0}},
    )
    sections.update(changes)
    return sections


def random_gauge_job(seed: int) -> Job:
    """A job that can exist, drawn from all that a gauge may meet; the same for the same seed."""
    dice = random.Random(seed)
    radius = dice.uniform(32.0, 75.0)
    teeth = dice.choice([t for t in (12, 18, 24, 30, 36, 48, 60) if 2 * math.pi * radius / t > 6.0])
    pitch = 2 * math.pi * radius / teeth
    radial = dice.random() < 0.4
    width = round(pitch * dice.uniform(0.35, 0.55), 2)
    depth = round(dice.uniform(max(3.0, 0.75 * width), 8.0), 2)
    slot: dict[str, Any] = {"width": width, "depth": depth, "sides": "radial" if radial else "parallel"}
    slot["floor"] = "flat" if radial or width > 1.8 * depth or dice.random() < 0.4 else "round"
    if slot["floor"] == "flat":
        slot["corner_radius"] = round(dice.choice([0.0, 0.3, 0.6]), 2)
    wheel = {
        "teeth": teeth,
        "missing": dice.choice([0, 1, 1, 2]),
        "gap_at": round(dice.uniform(0.0, 360.0), 3),
        "outside_diameter": round(2 * radius, 2),
        "thickness": round(dice.uniform(2.5, 8.0), 2),
        "slot": slot,
    }
    floor = radius - depth
    shoulder = floor - dice.uniform(0.5, 8.0)
    hole = dice.choice([5.5, 6.6, 8.4])
    circle = dice.uniform(0.55, 0.75) * shoulder
    inner = max(circle - hole, 5.0)
    pulley: dict[str, Any] = {"bore": round(inner * dice.uniform(0.8, 1.4), 2)}
    if dice.random() < 0.85:
        count = dice.choice([2, 3, 4, 5, 6])
        at = round(dice.uniform(0, 360), 2)
        pulley["bolts"] = {"count": count, "circle": round(2 * circle, 2), "hole": hole, "first_at": at}
    if dice.random() < 0.5:
        pulley["keyway"] = {"width": 4.0, "depth": 2.0, "at": round(dice.uniform(0, 360), 2)}
    if dice.random() < 0.5:
        wheel |= {"form": "turned-down"}
        front = [{"length": round(dice.uniform(2, 12), 2), "diameter": round(2 * shoulder, 2)}]
        if dice.random() < 0.3:
            front.insert(0, {"length": 3.0, "diameter": round(1.8 * shoulder, 2)})
        pulley["turned"] = [*front, "wheel", {"length": 10.0, "diameter": round(2 * shoulder, 2)}]
    else:
        wheel |= {"form": "plate", "bore": round(2 * inner * dice.uniform(0.5, 0.9), 2)}
        pulley["bore"] = round(inner, 2)
    gauge = {
        "thickness": round(dice.uniform(2.5, 5.0), 2),
        "style": dice.choice(["outline", "windows", "comb"]),
        "hole_allowance": dice.choice([0.1, 0.2, 0.3]),
        "covers": dice.choice([360.0, 360.0, 360.0, 150.0, 240.0]),
    }
    turns = dice.choice(["clockwise", "anticlockwise"])
    bed = dice.choice([[220.0, 220.0], [220.0, 220.0], [180.0, 180.0]])
    shop = {"rotary_table": {"ratio": dice.choice([40, 72, 90])}, "printer": {"bed": bed, "nozzle": 0.4}}
    return job_of(engine={"turns": turns}, wheel=wheel, pulley=pulley, gauge=gauge, shop=shop)
