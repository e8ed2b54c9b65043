"""The trace that an oscilloscope shows on this sensor's signal in one turn of the crank, as SVG.

Drawn for the kind of element, from the teeth as designed at the radius where the sensor looks: a pickup's pulses, which
fall through zero over each tooth; a Hall sensor's level, with the output's own sense. Shapes of pulses are a picture,
not a solution of the field: that is on the page of the starter's traces.
"""

from __future__ import annotations

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.job.elements import element_of
from wheelcad.job.models import Job, Sensor
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.teeth_seen import designed_edges
from wheelcad.trade.assumed import ASSUMED
from wheelcad.trade.frames import wrap_180

WIDE, HIGH = 360.0, 66.0  # the picture's own units: one across is a degree of crank
TOP, MIDDLE, LOW, FOOT = 8.0, 24.0, 40.0, 46.0
FACE_MM = 4.0  # of a pole of which nothing is said
Spans = list[tuple[float, float]]
SAYS = {
    "pole": "A pickup's two wires: the signal rises as a tooth comes and falls through zero over its middle; between "
    "teeth it goes back up, and in the gap it lies at zero. If it RISES through zero over the teeth, swap the wires.",
    "hall-fixed": "The level {iron} while a tooth is in front of it and {free} over slots and the gap.",
    "hall-selfsetting": "The level {iron} while a tooth is in front of it and {free} over slots and the gap.",
    "hall-differential": "The level {iron} from the middle of a slot to the middle of the next tooth, and {free} from "
    "there to the middle of the next slot; in the gap it changes once, over the gap's middle.",
    "vane": "The level {iron} while a blade is between magnet and element, and {free} in windows and the gap.",
}


def iron_spans(job: Job, wheel: WheelDesign) -> Spans:
    """Spans of crank angle past TDC (degrees, from < to, cut at 0 and 360) in which a tooth faces the sensor.

    A point of the wheel at angle p faces a sensor at angle s when the crank has turned (s - p) mod 360 from TDC.
    """
    if job.sensor is None:
        return []
    edges = designed_edges(wheel, job.sensor)
    # the edge of greater angle passes first
    return _cut((job.sensor.at - edges.to_deg) % 360.0, edges.widths_deg)


def level_spans(job: Job, wheel: WheelDesign) -> Spans:
    """Spans of crank angle, as of `iron_spans`, in which a Hall output stands as it does with iron in front."""
    if job.sensor is None or element_of(job.sensor) != "hall-differential":
        return iron_spans(job, wheel)
    centres = designed_edges(wheel, job.sensor).centres_deg  # rising; the next above passes before
    before = np.mod(np.roll(centres, -1) - centres, 360.0) / 2
    return _cut((job.sensor.at - centres - before) % 360.0, before)


def pickup_trace(sensor: Sensor, wheel: WheelDesign) -> Floats:
    """(721,) a pickup's signal at half degrees of crank past TDC, an ordinary tooth's peak about 1.

    Each edge gives a pulse about as wide as pole and air gap, up where iron comes and down where it goes.
    """
    edges = designed_edges(wheel, sensor)
    face = FACE_MM if sensor.face_diameter is None else sensor.face_diameter
    half = (face + sensor.air_gap) / 2 / edges.mm_per_deg  # degrees
    crank = np.arange(721) / 2

    def pulses(at: Floats) -> Floats:
        away = wrap_180(crank[:, None] - (sensor.at - at)[None, :])
        return np.asarray((np.cosh(np.clip(away / half, -30, 30)) ** -2).sum(axis=1), dtype=np.float64)

    volts = pulses(edges.to_deg) - pulses(edges.from_deg)
    return np.asarray(volts / np.quantile(np.abs(volts), 0.98), dtype=np.float64)


def _cut(first: Floats, width: Floats) -> Spans:
    out = []
    for start, wide in zip(first.tolist(), width.tolist(), strict=True):
        out.append((start, min(start + wide, 360.0)))
        if start + wide > 360.0:
            out.append((0.0, start + wide - 360.0))
    return sorted(out)


def scope_picture(job: Job, wheel: WheelDesign, width_mm: float = 150.0) -> str:
    """The trace from TDC of cylinder 1 to the next, with degrees; "" without a sensor."""
    if job.sensor is None:
        return ""
    if element_of(job.sensor) == "pole":
        volts = np.clip(pickup_trace(job.sensor, wheel), -1.5, 1.5)
        points = zip((np.arange(721) / 2).tolist(), (MIDDLE - volts * (MIDDLE - TOP) / 1.5).tolist(), strict=True)
        path = "M " + " L ".join(f"{x:.1f} {y:.2f}" for x, y in points)
        left = [("+", TOP + 6), ("0", MIDDLE + 3), ("-", LOW)]
    else:
        iron_high = _output(job) == "iron-high"
        seen, free = (TOP + 4, LOW - 2) if iron_high else (LOW - 2, TOP + 4)
        steps = [f"M 0 {free:g}"]
        for start, end in level_spans(job, wheel):
            steps.append(f"L {start:.2f} {free:g} L {start:.2f} {seen:g} L {end:.2f} {seen:g} L {end:.2f} {free:g}")
        path = " ".join([*steps, f"L {WIDE:g} {free:g}"])
        left = [("high", TOP + 7), ("low", LOW)]
    return _drawn(path, left, width_mm, zero=element_of(job.sensor) == "pole")


def scope_words(job: Job) -> str:
    """What the trace shows, in a sentence; "" without a sensor."""
    if job.sensor is None:
        return ""
    high = _output(job) == "iron-high"
    said = SAYS[element_of(job.sensor)].format(
        iron="stands high" if high else "is pulled low", free="is pulled low" if high else "stands high"
    )
    taken = "" if job.sensor.output is not None or element_of(job.sensor) == "pole" else " (sensor.output is assumed)"
    return f"{said}{taken} An oscilloscope on the signal while cranking should show the same, once a turn the gap."


def _output(job: Job) -> str:
    said = job.sensor.output if job.sensor is not None else None
    return str(ASSUMED["sensor.output"].value) if said is None else said


def _drawn(path: str, left: list[tuple[str, float]], width_mm: float, zero: bool) -> str:
    text = 'font-family="DejaVu Sans" font-size="8"'
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width_mm:g}mm" '
        f'height="{width_mm * HIGH / (WIDE + 46):.2f}mm" '
        f'viewBox="-30 0 {WIDE + 46:g} {HIGH:g}">',
    ]
    if zero:
        parts.append(f'<line x1="0" y1="{MIDDLE}" x2="{WIDE:g}" y2="{MIDDLE}" stroke="#999" stroke-width="0.5"/>')
    parts.append(f'<path d="{path}" fill="none" stroke="#000" stroke-width="1" stroke-linejoin="round"/>')
    parts += [f'<text x="-6" y="{y:g}" {text} text-anchor="end">{said}</text>' for said, y in left]
    for at in np.arange(0, 361, 30).tolist():
        parts.append(f'<line x1="{at}" y1="{FOOT}" x2="{at}" y2="{FOOT + 4}" stroke="#000" stroke-width="0.8"/>')
        said = "TDC" if at in (0, 360) else f"{at}°"
        parts.append(f'<text x="{at}" y="{FOOT + 14}" {text} text-anchor="middle">{said}</text>')
    return "".join(parts) + "</svg>"
