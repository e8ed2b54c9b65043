"""Random jobs that a shop could mean: both units, all forms, both directions, every floor, ends of every range.

A seed gives the same job every time. What chance makes impossible is refused by the design, with its reason; the others
are sound, and no check may fail them.
"""

from __future__ import annotations

import math
import random

Lines = list[str]
PLATE_BORE = 0.7  # of the slots' floor radius


class Draw:
    """Chance with a unit: lengths are drawn in mm and written in the job's own."""

    def __init__(self, seed: int) -> None:
        self.r = random.Random(seed)
        self.inch = self.r.random() < 0.4

    def mm(self, low: float, high: float, end: float = 0.15) -> float:
        """A length; one time in seven at an end of its range. As it will be read back from what `len` writes."""
        value = self.r.choice([low, high]) if self.r.random() < end else self.r.uniform(low, high)
        return round(value / 25.4, 3) * 25.4 if self.inch else round(value, 2)

    def len(self, mm: float) -> str:
        """A length as the job writes it."""
        return f"{mm / 25.4:.4g}" if self.inch and mm < 25.4 else f"{mm / 25.4:.5g}" if self.inch else f"{mm:.6g}"

    def of(self, *mm: float) -> str:
        """One of these lengths, as the job writes it."""
        return self.len(self.r.choice(mm))

    def one(self, *choices: object) -> object:
        return self.r.choice(choices)

    def often(self, chance: float) -> bool:
        return self.r.random() < chance


def random_text(seed: int) -> str:
    """A job file."""
    d = Draw(seed)
    form = d.one("turned-down", "plate")
    wheel, radius, floor_radius, thick = _wheel(d, str(form))
    lines = [f"job: sound-{seed}", f"units: {'in' if d.inch else 'mm'}", *_engine(d), *wheel]
    pulley, _ = _pulley(d, str(form), radius, floor_radius, thick)
    lines += pulley
    if form == "plate" and d.often(0.5):
        inner = PLATE_BORE * floor_radius
        out = d.mm(1.9 * floor_radius, 2 * floor_radius)
        pilot = f", pilot: {{diameter: {d.len(d.mm(inner - 0.1, inner - 0.02))}, length: {d.len(d.mm(1.5, thick))}}}"
        lines.append(
            f"adapter: {{length: {d.len(d.mm(5, 30))}, outside_diameter: {d.len(out)}{pilot if d.often(0.6) else ''}}}"
        )
    if d.often(0.85):
        lines += _sensor(d, radius)
    if pulley and d.often(0.7):
        style, covers = d.one("outline", "windows"), d.one("", "", ", covers: 180 deg")
        lines.append(
            f"gauge: {{thickness: {d.len(d.mm(3, 5))}, style: {style}, "
            f"hole_allowance: {d.len(d.mm(0.1, 0.3))}{covers}}}"
        )
    if d.often(0.8):
        lines.append(
            f"balance: {{grade: {d.one('G6.3', 'G16', 'G40')}, correct_by: {d.one('holes', 'holes', 'none')}}}"
        )
    if d.often(0.15):
        lines.append(_cam(d))
    return "\n".join([*lines, *_shop(d)]) + "\n"


def _engine(d: Draw) -> Lines:
    orders = {2: "[1, 2]", 3: "[1, 3, 2]", 4: "[1, 3, 4, 2]", 5: "[1, 2, 4, 5, 3]", 6: "[1, 5, 3, 6, 2, 4]",
              8: "[1, 8, 4, 3, 6, 5, 7, 2]"}  # fmt: skip
    count = d.one(*orders)
    angles = ", firing_angles: [0, 270]" if count == 2 else ""
    spark = "per-cylinder" if count in (3, 5) else d.one("wasted", "per-cylinder", "distributor")
    return [
        f"engine: {{cylinders: {count}, firing_order: {orders[int(str(count))]}{angles}, "
        f"turns: {d.one('clockwise', 'anticlockwise')}, max_speed: {d.r.randrange(3000, 9000, 100)} rpm, "
        f"spark: {spark}}}"
    ]


def _wheel(d: Draw, form: str) -> tuple[Lines, float, float, float]:
    """The section, outside radius, floor radius, thickness."""
    over = d.mm(80, 280)
    teeth = int(str(d.one(12, 24, 24, 30, 36, 36, 36, 48, 60, 60)))
    missing = d.one(1, 1, 1, 2, 2, 3) if teeth > 12 else 1
    pitch = math.pi * over / teeth
    width = d.mm(0.35 * pitch, 0.55 * pitch)
    depth = d.mm(max(0.55 * width, 2.5), min(1.5 * width + 2, over * 0.12))
    radial = d.often(0.35)
    round_floor = not radial and width <= 2 * depth and d.often(0.6)
    corner = "" if round_floor or d.often(0.4) else f", corner_radius: {d.len(d.mm(0.2, width * 0.2))}"
    slot = f"{{width: {d.len(width)}, depth: {d.len(depth)}, sides: {'radial' if radial else 'parallel'}"
    slot += f", floor: {'round' if round_floor else 'flat'}{corner}}}"
    thick = d.mm(2.5, 9)
    floor_radius = over / 2 - depth
    bore = f", bore: {d.len(PLATE_BORE * floor_radius)}" if form == "plate" else ""
    marks = ", marks: {tdc: notch, degrees: [5, 10, 20]}" if d.often(0.3) else ""
    gap = d.one(0, d.r.randrange(360), round(d.r.uniform(0, 360), 1))
    metal = (
        d.one("grey-iron", "ductile-iron", "mild-steel") if form != "plate" else d.one("mild-steel", "stainless-430")
    )
    return (
        [
            f"wheel: {{form: {form}, teeth: {teeth}, missing: {missing}, gap_at: {gap} deg, outside_diameter: "
            f"{d.len(over)}, thickness: {d.len(thick)}, slot: {slot}, material: {metal}{bore}{marks}}}"
        ],
        over / 2,
        floor_radius,
        thick,
    )


def _pulley(d: Draw, form: str, radius: float, floor_radius: float, thick: float) -> tuple[Lines, float]:
    """The section and its bore."""
    hub = d.mm(1.3 * floor_radius, 1.96 * floor_radius)
    bore = d.mm(max(12.0, hub * 0.16), max(13.0, hub * (0.3 if form != "plate" else 0.24)))
    circle = d.mm(bore + (hub - bore) * 0.5, bore + (hub - bore) * 0.65)
    hole = d.mm(min(5.0, (hub - bore) * 0.08), min((hub - bore) * 0.14, 13))
    if form == "plate":
        hole = min(hole, floor_radius * 0.12)
        circle = d.mm(PLATE_BORE * floor_radius + 2 * hole + 2, 2 * floor_radius - 4 * hole)
    bolts = f"bolts: {{count: {d.one(3, 4, 5, 6)}, circle: {d.len(circle)}, hole: {d.len(hole)}, "
    bolts += f"first_at: {d.r.randrange(120)} deg}}"
    key = f", keyway: {{width: {d.len(bore * 0.25)}, depth: {d.len(bore * 0.08)}, at: {d.r.randrange(360)} deg}}"
    said = f"bore: {d.len(bore)}{key if d.often(0.7) else ''}"
    said += f", {bolts}" if d.often(0.85) else ""
    if form == "plate":
        long, wide = d.mm(20, 45), d.mm(max(circle + 2 * hole + 6, 60), 2 * radius * 0.9)
        return [f"pulley: {{{said}, as_found: [{{length: {d.len(long)}, diameter: {d.len(wide)}}}]}}"], bore
    ahead, behind, belt = d.mm(3, 20), d.mm(5, 30), d.mm(10, 25)
    flange = d.mm(1.8 * floor_radius, 2 * floor_radius - 0.4)
    groove = belt * 0.7
    deep = max(min(groove * 1.2, flange / 2 - circle / 2 - hole), 1.0)
    cut = (
        f", groove: {{width: {d.len(groove)}, depth: {d.len(deep)}, angle: {d.one(34, 36, 38)} deg}}"
        if d.often(0.7)
        else ""
    )
    recess = f", recess: {{diameter: {d.len(bore * 1.3)}, depth: {d.len(ahead * 0.6)}}}" if d.often(0.5) else ""
    rear = f"{{length: {d.len(belt)}, diameter: {d.len(flange)}{cut}}}"
    whole, fat = ahead + thick + behind + float(str(d.one(0, 0, 2.54))), 2 * radius + float(str(d.one(0, 2.54, 5.08)))
    found = (
        f"{{length: {d.len(math.ceil(whole * 20) / 20 + 0.05)}, diameter: {d.len(math.ceil(fat * 20) / 20 + 0.05)}}}"
    )
    turned = ", wheel, ".join(f"{{length: {d.len(long)}, diameter: {d.len(hub)}}}" for long in (ahead, behind))
    return (
        [f"pulley: {{{said}{recess}, as_found: [{found}, {rear}], turned: [{turned}, {rear}]}}"],
        bore,
    )


def _sensor(d: Draw, radius: float) -> Lines:
    at = d.r.randrange(360)
    along = d.often(0.35)
    body, nose = d.mm(10, 19), d.mm(16, 35)
    kind = d.one("hall", "hall", "reluctance")
    held = f"bolt: {{hole: {d.len(6.6)}, offset: {d.len(body * 0.5 + 11)}}}"
    if d.often(0.3):
        held, body = "thread: M12x1", 12.0
    lines = [
        f"sensor: {{kind: {kind}, looks: {'along' if along else 'in'}, at: {at} deg, air_gap: {d.len(d.mm(0.5, 1.2))}, "
        f"face_diameter: {d.len(d.mm(3, 6))}, body_diameter: {d.len(body)}, nose_length: {d.len(nose)}, {held}}}"
    ]
    if d.often(0.8):
        # mounts beside the sensor, on the side the arm goes to; which of the four ways round works is for the design
        reach, side = radius + nose + d.mm(15, 60), d.one(-1, 1)
        out = math.radians(at + float(str(side)) * d.mm(12, 45, 0.0) / 1.0)
        spread = d.mm(36, 60)
        x, y = reach * math.sin(out), reach * math.cos(out)
        tx, ty = math.cos(out), -math.sin(out)
        hole = d.len(d.mm(9, 12.5))
        mounts = ", ".join(
            f"{{x: {d.len(round(x + s * tx, 1))}, y: {d.len(round(y + s * ty, 1))}, hole: {hole}, thread: M8}}"
            for s in (-spread / 2, spread / 2)
        )
        lines.append(
            f"bracket: {{plate: {{thickness: {d.of(4, 5, 6)}, material: mild-steel, inside_radius: {d.of(4, 5, 6)}}}, "
            f"mounts: [{mounts}], mount_face: {d.len(round(d.mm(-45, -18), 1))}, "
            f"width: {d.len(d.mm(36, 50))}, adjust: {d.of(0, 5, 8)}, bends: {d.one('hand', 'brake')}, "
            f"gusset: {d.one('yes', 'no')}}}"
        )
    return lines


def _cam(d: Draw) -> str:
    out = d.mm(45, 80)
    tooth = d.often(0.5)
    wide = f", tooth_width: {d.len(d.mm(6, 12))}" if tooth else ""
    return (
        f"cam: {{style: {'tooth' if tooth else 'half-moon'}, at: {d.r.randrange(360)} deg, "
        f"outside_diameter: {d.len(out)}, root_diameter: {d.len(out * 0.82)}, "
        f"thickness: {d.len(d.mm(3, 6))}, bore: {d.len(12.7)}{wide}}}"
    )


def _shop(d: Draw) -> Lines:
    plates = d.one("", ", plates: [[15,16,17,18,19,20],[21,23,27,29,31,33]]")
    scale = d.one("", ", scale: clockwise", ", scale: anticlockwise")
    step = d.one("0.05 deg", "0.1 deg", "1'")
    table = f"rotary_table: {{ratio: {d.one(40, 60, 72, 80, 90)}, dial_step: {step}, "
    table += f"backlash: 0.1 deg{plates}{scale}}}"
    said = [table] if d.often(0.85) else []
    said += [f"cutter: {{diameter: {d.of(3, 4, 5, 6)}, flutes: {d.one(2, 3, 4)}, material: {d.one('hss', 'carbide')}}}"]
    bed = 220 if d.often(0.8) else 180
    said += [
        f"printer: {{bed: [{d.len(bed)}, {d.len(bed)}], nozzle: {d.len(0.4)}}}",
        f"drills: {d.one('metric', 'inch')}",
    ]
    if d.often(0.7):
        said.append(f"plasma: {{kerf: {d.len(1.4)}{d.one('', ', compensate: yes', ', bend_marks: yes')}}}")
    if d.often(0.25):
        said.append("readout: yes")
    if d.often(0.2) and said[0].startswith("rotary"):
        said.append("rotary_axis: yes")
    return [f"shop: {{{', '.join(said)}}}"]
