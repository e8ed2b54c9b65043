"""The unbalance that the files have: from the meshes, and from the kernel's figures of the re-read STEP files.

Vectors are x, y in g·mm, wheel frame, pointing to the heavy side. What counts (the wheel less its blank, or all of a
plate) is the design's affair: parts/balance/counted.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.checks.mesh import mesh_moments
from wheelcad.codes import Check
from wheelcad.errors import UnreadableError
from wheelcad.files.figures import BodyFigures, KernelResult
from wheelcad.files.stl import read_stl
from wheelcad.findings import Finding, Verdict, at_most
from wheelcad.parts.balance.model import BalanceDesign
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.unbalance import annular_sector
from wheelcad.words import quantity, speed, unbalance

AGREE = 0.005  # of the missing teeth's (or of one tooth's) unbalance: mesh, B-rep and closed form among each other


@dataclass(frozen=True)
class MeasuredBalance:
    """x, y in g·mm. before: the kernel's, without holes; after: from wheel.step, whose surfaces are exact; after_mesh:
    from wheel.stl, whose facets cut corners; readings: what is left of each reading on level edges once its holes are
    drilled as wheel.step has them."""

    before: Floats
    after: Floats
    after_mesh: Floats
    readings: tuple[Floats, ...] = ()

    @property
    def facets_g_mm(self) -> float:
        """How far the mesh's facets alone put the figure off: the uncertainty of anything weighed in a mesh, g·mm."""
        return float(np.hypot(*(self.after_mesh - self.after)))

    @property
    def judged(self) -> Floats:
        """What the grade is judged on: the last reading's rest, else what the file has left."""
        return self.readings[-1] if self.readings else self.after


def unbalance_left(folder: Path, balance: BalanceDesign) -> tuple[float, float]:
    """x, y in g·mm of wheel.stl, less blank.stl where only what was cut counts. OSError or ValueError without them."""
    first = mesh_moments(read_stl(folder / "wheel.stl")).first
    if balance.against_blank:
        first = first - mesh_moments(read_stl(folder / "blank.stl")).first
    x, y = (first[:2] * balance.density_kg_m3 * 1e-6 + np.array(balance.initial.key)).tolist()
    return x, y


def measure_balance(folder: Path, balance: BalanceDesign, result: KernelResult) -> MeasuredBalance:
    """Measure. result: of the re-read STEP files. ValueError or OSError when a file is missing or cannot be read."""
    grams, figures = balance.density_kg_m3 * 1e-6, result.figures
    blank, key = np.zeros(3), np.array(balance.initial.key)
    if balance.against_blank:
        blank = _first(figures, "blank")
    wheel = _first(figures, "wheel")
    # each reading's holes: the wheel when it was read less the wheel when the next one was, the last as written
    stages = [np.array(stage.first) for stage in result.before_readings] + [wheel]
    taken = [(a - b)[:2] * grams for a, b in itertools.pairwise(stages)] if balance.readings else []
    return MeasuredBalance(
        (np.array(result.undrilled.first) - blank)[:2] * grams + key,
        (wheel - blank)[:2] * grams + key,
        np.array(unbalance_left(folder, balance)),
        tuple(np.array(one.found) - out for one, out in zip(balance.readings, taken, strict=True)),
    )


def _first(figures: dict[str, BodyFigures], name: str) -> Floats:
    if name not in figures:
        raise UnreadableError(f"{name}.step is missing")
    return np.array(figures[name].first)


def residual(measured: MeasuredBalance, balance: BalanceDesign) -> Iterator[Finding]:
    """What is left in the files against limit and aim; with a reading, what its holes leave of it."""
    size = float(np.hypot(*measured.judged))
    limit, aim, rpm = balance.permissible_g_mm, balance.aim_g_mm, balance.max_speed_rpm
    if limit is None or aim is None or rpm is None:
        return
    grade = f"{balance.grade} for {quantity(balance.rated.kg * 1000, 'heavy')} at {speed(rpm)}"
    why = f"{grade}, from wheel.step; wheel.stl weighed would be {unbalance(measured.facets_g_mm)} off by its facets"
    if measured.readings:
        why = f"{grade}: the reading on level edges less what its holes in wheel.step take out"
    drilled = bool(balance.holes)
    gravest: Verdict = "fail" if drilled or measured.readings else "warn"
    yield at_most(Check.UNBALANCE_LEFT, "wheel.step", size, "g·mm", limit, why, "ISO 21940-11", gravest)
    if drilled:
        why = f"{balance.aim_grade} is aimed at, by the same figures"
        yield at_most(Check.UNBALANCE_LEFT_AIM, "wheel.step", size, "g·mm", aim, why, "ISO 21940-11", "warn")


def three_ways(wheel: WheelDesign, balance: BalanceDesign, measured: MeasuredBalance) -> list[Finding]:
    """Mesh, B-rep and closed form against each other, as shares of what the missing teeth weigh."""
    scale = max(math.hypot(*balance.before), tooth_moment_g_mm(wheel, balance.density_kg_m3))
    pairs = [
        (
            Check.UNBALANCE_BEFORE,
            measured.before - np.array(balance.before),
            "B-rep against closed form, before drilling",
        ),
        (
            Check.UNBALANCE_AFTER,
            measured.after_mesh - np.array(balance.after),
            "mesh against closed form, after drilling",
        ),
        (Check.UNBALANCE_SOLID, measured.after_mesh - measured.after, "mesh against B-rep, after drilling"),
    ]
    source = "three kinds of calculation"
    return [
        at_most(
            check, "wheel", float(np.hypot(*off)) / scale, "relative", AGREE, f"{why}; of {unbalance(scale)}", source
        )
        for check, off, why in pairs
    ]


def tooth_moment_g_mm(wheel: WheelDesign, density_kg_m3: float) -> float:
    """About what one tooth weighs times its radius, g·mm."""
    angle = wheel.pitch_deg - 2 * wheel.slot.rim_half_deg
    return annular_sector(wheel.floor_radius_mm, wheel.radius_mm, angle, wheel.thickness_mm, density_kg_m3)[2]
