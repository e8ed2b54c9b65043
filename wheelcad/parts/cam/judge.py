"""What the trade says of a cam target, and of an engine that needs one."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from wheelcad.codes import Check
from wheelcad.findings import PRACTICE, Finding, at_least, at_most, holds
from wheelcad.job.elements import slowest_rpm
from wheelcad.job.models import Cam, CamSensor, Engine
from wheelcad.parts.cam.design import AtGap, CamDesign, half_deg
from wheelcad.trade.hall import hall_findings
from wheelcad.trade.sensing import Target, magnetic, reluctance_findings

LEAST_MARGIN_DEG = 30.0  # crank degrees: belts stretch, chains wear and the gap has its own width (our judgement)
LEAST_STEP_MM = 2.0  # height of tooth or high half; source: gear-tooth sensor data sheet
MOST_FORCE_N = 50.0  # what a light target may pull at a cam's end (our judgement: belts pull some hundreds)


def cam_findings(engine: Engine | None, sensor: CamSensor | None, made: CamDesign) -> Iterator[Finding]:
    """All verdicts on the target of a job that has one."""
    yield magnetic("cam", made.cam.material)
    why = "a lower step is not told from the disc beside it"
    yield at_least(
        Check.CAM_STEP, "cam", made.step_mm, "mm", LEAST_STEP_MM, why, "gear-tooth sensor data sheet", "warn"
    )
    if sensor is not None:
        yield from _sensor(engine, sensor, made)
    else:
        why = "without cam.sensor nothing can be said of when the controller sees the target"
        yield holds(Check.CAM_SENSOR, "cam", False, "no sensor", why, "the job file", "warn")
    if made.at_gap is not None:
        yield from _at_gap(made.cam.style, made.at_gap)
    if made.force_n is not None:
        why = (
            "a target heavy on one side pulls at the cam at half of max_speed: a lower step or a lighter one pulls less"
        )
        yield at_most(Check.CAM_FORCE, "cam", made.force_n, "N", MOST_FORCE_N, why, "U·ω²; our judgement", "warn")


def _sensor(engine: Engine | None, sensor: CamSensor, made: CamDesign) -> list[Finding]:
    top = 2 * made.radius_mm * math.radians(half_deg(made.cam, made.radius_mm))
    rest = 2 * math.pi * made.radius_mm - top
    seen = Target("cam", top, made.cam.thickness, rest, made.step_mm, sensor.face_diameter)
    # the depth of slots is a rule for rows of teeth, and cam-step says the same
    if sensor.kind == "hall":  # a cam's sensor has no kind of its own in the job
        return [finding for finding in hall_findings("hall-selfsetting", seen) if finding.check != Check.SLOT_DEPTH]
    rim, rpm = 2 * made.radius_mm, slowest_rpm(engine) / 2
    found = reluctance_findings(replace(seen, air_gap_mm=sensor.air_gap, rim_diameter_mm=rim, slowest_rpm=rpm))
    out = [finding for finding in found if finding.check != Check.SLOT_DEPTH]
    why = (
        "a reluctance sensor sees edges pass, not the level a half-moon is for: it wants a single tooth, and the "
        "half-moon a Hall sensor"
    )
    style = made.cam.style
    out.append(holds(Check.CAM_SENSOR, "cam", style == "tooth", f"{style}, reluctance", why, PRACTICE, "warn"))
    return out


def _at_gap(style: str, at_gap: AtGap) -> list[Finding]:
    high, margin, best = at_gap
    said = " then ".join("high" if level else "low" for level in high)
    cure = f"; with cam.at {best[0]:.0f} or {best[1]:.0f} deg it would be as far away as can be"
    why = (
        "seen at the first edge after the crank's gap, turn after turn: one tooth passes elsewhere, a half-moon must "
        "change its level"
    )
    good = high[0] != high[1] if style == "half-moon" else not any(high)
    far = (
        "crank degrees from the first edge after the gap at its sensor to an edge of the target at its own: too near, "
        "and a stretched belt lets the controller take one turn for the other"
    ) + ("" if margin >= LEAST_MARGIN_DEG else cure)
    why, source = why + ("" if good else cure), "720 degrees a cycle, two turns of crank to one of cam"
    return [
        holds(Check.CAM_LEVEL, "cam", good, said, why, source),
        at_least(Check.CAM_MARGIN, "cam", margin, "deg", LEAST_MARGIN_DEG, far, "our judgement", "warn"),
    ]


def cam_needed(engine: Engine | None, cam: Cam | None) -> list[Finding]:
    """Whether coils of each cylinder's own have the cam signal they need; nothing for other sparks."""
    if engine is None or engine.spark != "per-cylinder":
        return []
    why = (
        "a crank wheel alone cannot tell compression from exhaust: coils of each cylinder's own need a cam signal as "
        "well; the section `cam` would bring a target for it"
    )
    said = "a cam target" if cam is not None else "no cam target"
    return [holds(Check.CAM_SIGNAL, "job", cam is not None, said, why, "four-stroke cycle of 720 degrees", "warn")]
