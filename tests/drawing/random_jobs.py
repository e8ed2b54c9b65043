"""Random jobs of either form, for tests that drawings stay clean whatever they show. Seeded: the same every run."""

from __future__ import annotations

import math
import random

from wheelcad.drawing.model import Sheet
from wheelcad.errors import JobError
from wheelcad.job.reader import parse_job
from wheelcad.parts.balance.design import design_balance
from wheelcad.parts.blank.design import design_blank
from wheelcad.parts.blank.sheet import blank_sheet
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.sheet import wheel_sheet


def random_sheets(seed: int) -> list[Sheet]:
    """The drawings of a random job; none where chance made one that cannot exist."""
    try:
        job = parse_job(_job_text(random.Random(seed)), "random.yaml")
        wheel, blank = design_wheel(job), design_blank(job)
        balance = design_balance(job, wheel)
    except JobError:
        return []
    sheets = [wheel_sheet(job, wheel, blank, balance)]
    if blank is not None:
        sheets.append(blank_sheet(job, blank, balance.runout_limit_mm, balance.runout_by))
    return sheets


def _job_text(r: random.Random) -> str:
    diameter = round(r.uniform(70, 280), 1)
    teeth = r.choice([12, 24, 36, 48, 60])
    width = round(math.pi * diameter / teeth * r.uniform(0.35, 0.55), 2)
    depth = round(min(width * r.uniform(0.7, 1.4) + 1, diameter * 0.12), 2)
    radial = r.random() < 0.3
    floor = "flat" if radial or width > 2 * depth else r.choice(["round", "flat"])
    form = r.choice(["turned-down", "plate"])
    floor_radius = diameter / 2 - depth
    thickness = round(r.uniform(2.5, 8), 1)
    bore = f", bore: {round(floor_radius * r.uniform(0.4, 0.9), 1)} mm" if form == "plate" else ""
    lines = [
        f"job: random-{r.randrange(10_000)}",
        "title: Random wheel",
        f"units: {r.choice(['mm', 'mm', 'in'])}",
        f"engine: {{cylinders: 4, firing_order: [1, 3, 4, 2], turns: {r.choice(['clockwise', 'anticlockwise'])}, "
        f"max_speed: {r.randrange(3000, 9000)} rpm}}",
        f"wheel: {{form: {form}, teeth: {teeth}, missing: {r.choice([0, 1, 1, 2])}, "
        f"gap_at: {r.choice([0, round(r.uniform(0, 360), 1)])} deg, outside_diameter: {diameter} mm, "
        f"thickness: {thickness} mm, slot: {{width: {width} mm, depth: {depth} mm, "
        f"sides: {'radial' if radial else 'parallel'}, floor: {floor}}}, "
        f"material: {r.choice(['grey-iron', 'mild-steel'])}{bore}}}",
        _pulley(r, form, diameter, floor_radius, thickness),
        f"balance: {{grade: {r.choice(['G16', 'G6.3', 'G40'])}, correct_by: holes}}",
    ]
    return "\n".join(lines)


def _pulley(r: random.Random, form: str, diameter: float, floor_radius: float, thickness: float) -> str:
    hub = round(2 * floor_radius * r.uniform(0.7, 0.98), 1)
    bore = round(hub * r.uniform(0.2, 0.35), 1)
    circle = round(bore + (hub - bore) * r.uniform(0.45, 0.6), 1)
    hole = round(min((hub - bore) * 0.12, 13), 1)
    first = r.choice([0, 45, round(r.uniform(0, 90), 1)])
    bolts = f"bolts: {{count: {r.choice([3, 4, 5, 6])}, circle: {circle} mm, hole: {hole} mm, first_at: {first} deg}}"
    if form == "plate":
        return f"pulley: {{bore: {bore} mm, {bolts}}}"
    ahead, behind, belt = round(r.uniform(3, 20), 1), round(r.uniform(5, 30), 1), round(r.uniform(10, 25), 1)
    flange = round(2 * floor_radius * r.uniform(0.9, 1.0) - 0.2, 1)
    width = round(belt * 0.7, 1)
    deep = max(round(min(width * 1.2, (flange - hub) / 2 + width * 0.3, flange / 2 - circle / 2 - hole), 1), 1.0)
    groove = f", groove: {{width: {width} mm, depth: {deep} mm, angle: 36 deg}}" if r.random() < 0.7 else ""
    faced = r.choice([0, 0, 2.0])
    recess = f", recess: {{diameter: {round(bore * 1.3, 1)} mm, depth: {round(ahead * 0.6, 1)} mm}}"
    recess = recess if r.random() < 0.6 else ""
    turned_by = r.randrange(360)
    key = f", keyway: {{width: {round(bore * 0.25, 1)} mm, depth: {round(bore * 0.08, 1)} mm, at: {turned_by} deg}}"
    key = key if r.random() < 0.7 else ""
    shoulder = f"{{length: {ahead} mm, diameter: {hub} mm}}, "
    if r.random() >= 0.85:
        ahead, shoulder, recess = 0.0, "", ""
    fatter = diameter + r.choice([0, 4.0, 8.0])
    found = f"{{length: {ahead + thickness + behind + faced:.1f} mm, diameter: {fatter:.1f} mm}}"
    rear = f"{{length: {belt} mm, diameter: {flange} mm{groove}}}"
    turned = f"[{shoulder}wheel, {{length: {behind} mm, diameter: {hub} mm}}, {rear}]"
    return f"pulley: {{bore: {bore} mm, {bolts}{recess}{key}, as_found: [{found}, {rear}], turned: {turned}}}"
