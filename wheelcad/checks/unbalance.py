"""The unbalance that the files have: from the meshes, and from the kernel's figures of the re-read STEP files.

Vectors are x, y in g·mm, wheel frame, pointing to the heavy side. What counts (the wheel less its blank, or all of a
plate) is the design's affair: parts/balance/counted.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from wheelcad.checks.mesh import mesh_moments
from wheelcad.codes import Check
from wheelcad.errors import UnreadableError
from wheelcad.files.figures import BodyFigures
from wheelcad.files.stl import read_stl
from wheelcad.findings import Finding, at_most
from wheelcad.parts.balance.model import BalanceDesign
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.loop import Floats
from wheelcad.trade.unbalance import annular_sector
from wheelcad.words import unbalance

AGREE = 0.005  # of the missing teeth's (or of one tooth's) unbalance: mesh, B-rep and closed form among each other


@dataclass(frozen=True)
class MeasuredBalance:
    """x, y in g·mm. before: the kernel's, without holes; after: from wheel.stl; after_brep: from wheel.step."""

    before: Floats
    after: Floats
    after_brep: Floats


def measure_balance(
    folder: Path, balance: BalanceDesign, figures: dict[str, BodyFigures], undrilled: BodyFigures
) -> MeasuredBalance:
    """Measure. figures: of the re-read STEP files. ValueError or OSError when a file is missing or cannot be read."""
    grams = balance.density_kg_m3 * 1e-6
    wheel_mesh = mesh_moments(read_stl(folder / "wheel.stl")).first
    blank_mesh, blank_brep = np.zeros(3), np.zeros(3)
    if balance.against_blank:
        blank_mesh = mesh_moments(read_stl(folder / "blank.stl")).first
        blank_brep = _first(figures, "blank")
    key = np.array(balance.initial.key)
    return MeasuredBalance(
        (np.array(undrilled.first) - blank_brep)[:2] * grams + key,
        (wheel_mesh - blank_mesh)[:2] * grams + key,
        (_first(figures, "wheel") - blank_brep)[:2] * grams + key,
    )


def _first(figures: dict[str, BodyFigures], name: str) -> Floats:
    if name not in figures:
        raise UnreadableError(f"{name}.step is missing")
    return np.array(figures[name].first)


def three_ways(wheel: WheelDesign, balance: BalanceDesign, measured: MeasuredBalance) -> list[Finding]:
    """Mesh, B-rep and closed form against each other, as shares of what the missing teeth weigh."""
    scale = max(math.hypot(*balance.before), tooth_moment_g_mm(wheel, balance.density_kg_m3))
    pairs = [
        (
            Check.UNBALANCE_BEFORE,
            measured.before - np.array(balance.before),
            "B-rep against closed form, before drilling",
        ),
        (Check.UNBALANCE_AFTER, measured.after - np.array(balance.after), "mesh against closed form, after drilling"),
        (Check.UNBALANCE_SOLID, measured.after - measured.after_brep, "mesh against B-rep, after drilling"),
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
