"""Patterns side by side under this sensor's face, to one scale, with what `options` makes of each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from html import escape

import numpy as np

from wheelcad.job.models import Job
from wheelcad.parts.options.table import OptionTable, options_of
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.frames import point_at
from wheelcad.words import Words

HALF_MM = 24.0  # of rim shown to each side of the sensor, mm
DEEP_MM = 16.0  # of wheel shown below the rim
TALL_MM = 14.0  # above it, where the sensor's nose is
INK = "#14171a"


@dataclass(frozen=True)
class Compared:
    """One pattern. numbers: label and value in the job's unit. take: the one recommended; own: the job's."""

    name: str
    teeth: int
    missing: int
    verdict: str
    reason: str
    numbers: tuple[tuple[str, str], ...]
    svg: str
    take: bool
    own: bool


def compared(job: Job, asked: tuple[str, ...] = ()) -> tuple[tuple[Compared, ...], str]:
    """The patterns for a job's blank and what to take and why. DesignError where none can be made. Half a second."""
    table = options_of(job, asked)
    words = Words(job.units)
    first = "Take none of these: not one can be made and read."
    if table.choice.best is not None:
        first = words.text(f"Take {table.choice.best.name}. {table.choice.why}")
    return tuple(_rows(job, table, words)), first


def _rows(job: Job, table: OptionTable, words: Words) -> Iterator[Compared]:
    for option, row in zip(table.options, table.rows(), strict=True):
        numbers = [("tooth top", words.length(option.wheel.tooth_top_mm) if option.wheel is not None else "none left")]
        if job.sensor is not None and job.sensor.face_diameter:
            numbers.append(("sensor's face", words.length(job.sensor.face_diameter)))
        numbers.append(("degrees a tooth", f"{option.pitch_deg:.4g}°"))
        margin = row["starter_margin"]
        if isinstance(margin, float):
            numbers.append(("sync margin on the starter", f"{margin:.2f}"))
        if option.rate_hz is not None:
            numbers.append(("teeth a second at most", f"{option.rate_hz / 1000:.2f} kHz"))
        svg = pattern_svg(job, option.wheel) if option.wheel is not None else ""
        yield Compared(
                option.name, option.teeth, option.missing, str(row["verdict"]), str(row["reason"]), tuple(numbers), svg,
                option is table.choice.best, (option.teeth, option.missing) == table.own,
            )  # fmt: skip


def pattern_svg(job: Job, wheel: WheelDesign) -> str:
    """The rim of a wheel with a tooth before the sensor, HALF_MM to each side: every picture is to the same scale."""
    points = wheel.outline.flatten(0.05)
    turn = float(wheel.teeth.tooth_centres_deg[len(wheel.teeth.tooth_centres_deg) // 2])
    up = np.array([point_at(1.0, turn + 90.0, wheel.sense), point_at(1.0, turn, wheel.sense)])
    local = points @ up.T * np.array([wheel.sense * 1.0, 1.0])
    x, y = local[:, 0], wheel.radius_mm - local[:, 1]
    d = "".join(
        f"{'L' if k else 'M'}{a:.2f} {b:.2f}" for k, (a, b) in enumerate(zip(x.tolist(), y.tolist(), strict=True))
    )
    parts = [f"<path d='{d}Z' fill='#c9ced4' stroke='{INK}' stroke-width='.35'/>"]
    sensor = job.sensor
    if sensor is not None:
        body, gap = sensor.body_diameter or 2 * (sensor.face_diameter or 6.0), sensor.air_gap
        face = sensor.face_diameter or body / 3
        top = -gap if sensor.looks == "in" else wheel.radius_mm - wheel.read_at_mm(sensor)
        if sensor.looks == "in":
            parts.append(_box(-body / 2, -TALL_MM, body, TALL_MM - gap, "#5a6068"))
            parts.append(_box(-face / 2, top - 3.0, face, 3.0, "#f2b84b"))
        else:
            parts.append(
                f"<circle cx='0' cy='{top:.2f}' r='{face / 2:.2f}' fill='#f2b84b' stroke='{INK}' stroke-width='.35'/>"
            )
    name = f"{wheel.teeth.count} positions under the sensor's face, to scale"
    view = f"{-HALF_MM:g} {-TALL_MM:g} {2 * HALF_MM:g} {TALL_MM + DEEP_MM:g}"
    return (
        f"<svg xmlns='http://www.w3.org/2000/svg' viewBox='{view}' "
        f"role='img' aria-label='{escape(name)}'>{''.join(parts)}</svg>"
    )


def _box(x: float, y: float, wide: float, tall: float, fill: str) -> str:
    return (
        f"<rect x='{x:.2f}' y='{y:.2f}' width='{wide:.2f}' height='{tall:.2f}' fill='{fill}' stroke='{INK}' "
        "stroke-width='.35'/>"
    )
