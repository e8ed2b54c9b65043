"""A commented starter job that builds as it is: the answers to a few questions, and sizes in proportion to them."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from wheelcad import units as shop_units
from wheelcad.errors import Fault, JobValueError, nearest
from wheelcad.job.models import DEVICE_NAMES, JOB_NAME
from wheelcad.job.schema import SCHEMA_FILE, job_schema
from wheelcad.job.starter_sizes import SENSOR_AT, Sizes, sizes_for
from wheelcad.units import INCH_MM

FIRING_ORDERS = {
    1: (1,),
    2: (1, 2),
    3: (1, 3, 2),
    4: (1, 3, 4, 2),
    5: (1, 2, 4, 5, 3),
    6: (1, 5, 3, 6, 2, 4),
    8: (1, 8, 4, 3, 6, 5, 7, 2),
    12: (1, 7, 5, 11, 3, 9, 6, 12, 2, 8, 4, 10),
}
FORMS = ("turned-down", "plate")
DIRECTIONS = ("clockwise", "anticlockwise")
BELT = (100, 260)  # degrees: an arc at the foot of the pulley, away from the sensor
UNITS = ("mm", "in")
SENSORS = ("hall", "reluctance")
_PATTERN = re.compile(r"([0-9]{1,3})\s*-\s*([0-9]{1,3})")


class Question(NamedTuple):
    """One thing to ask before a starter is written: its option, the question, the usual answer, the words allowed."""

    name: str
    asks: str
    usual: str
    words: tuple[str, ...] = ()


QUESTIONS = (
    Question("cylinders", "How many cylinders", "4"),
    Question("units", "Lengths in mm or in", "mm", UNITS),
    Question("form", "Turned down from a pulley, or cut from plate", "turned-down", FORMS),
    Question("pattern", "Teeth, the missing ones counted, and how many are missing", "36-1"),
    Question("diameter", "Outside diameter of the wheel", "160 mm"),
    Question("direction", "Which way the crank turns, seen facing the wheel", "clockwise", DIRECTIONS),
)


def starter_text(
    cylinders: int | str = 4,
    pattern: str = "36-1",
    diameter: float | str = "160 mm",
    units: str = "mm",
    form: str = "turned-down",
    *,
    name: str = "my-wheel",
    direction: str = "clockwise",
    sensor: str = "hall",
) -> str:
    """The text of a starter job. JobValueError, with every fault, for answers that make no job.

    pattern: teeth and missing ones, as 36-1. diameter: over the teeth, in `units` when bare. The first line points
    editors at the schema, which belongs beside the job in a file called wheelcad-schema.json.
    """
    faults: list[Fault] = []
    count = _count(cylinders, faults)
    found = _PATTERN.fullmatch(str(pattern).strip())
    if found is None:
        faults.append(Fault("should be teeth and missing ones", ("pattern",), str(pattern), "such as 36-1 or 60-2"))
    elif not 0 <= int(found[2]) <= int(found[1]) - 2:
        faults.append(Fault("leaves fewer than two teeth", ("pattern",), str(pattern), "such as 36-1 or 60-2"))
    for key, value, words in (
        ("units", units, UNITS),
        ("form", form, FORMS),
        ("direction", direction, DIRECTIONS),
        ("sensor", sensor, SENSORS),
    ):
        if value not in words:
            hint = f"did you mean `{likely}`?" if (likely := nearest(value, words)) else ""
            faults.append(Fault("is not one of the words allowed", (key,), value, ", ".join(words), hint))
    if not re.fullmatch(JOB_NAME.pattern, name) or len(name) > JOB_NAME.longest or name.lower() in DEVICE_NAMES:
        faults.append(Fault(f"should be {JOB_NAME.what}", ("name",), name))
    over_teeth = _diameter(diameter, "in" if units == "in" else "mm", faults)
    if faults or found is None:
        raise JobValueError(faults)
    teeth, missing = int(found[1]), int(found[2])
    try:
        sizes = sizes_for(teeth, over_teeth, units, direction == "clockwise", sensor == "reluctance")
    except JobValueError as error:
        raise error.placed(lambda fault: replace(fault, units=units)) from None
    return _Writer(name, count, teeth, missing, units, form, direction, sensor, sizes).text()


def schema_text() -> str:
    """What belongs in wheelcad-schema.json beside the starter."""
    return json.dumps(job_schema(), indent=2, ensure_ascii=False) + "\n"


def _count(cylinders: int | str, faults: list[Fault]) -> int:
    text = str(cylinders).strip()
    if text.isascii() and text.isdigit() and len(text) < 3 and 1 <= int(text) <= 24:
        return int(text)
    faults.append(Fault("should be a whole number", ("cylinders",), text[:40], "from 1 to 24"))
    return 4


def _diameter(diameter: float | str, units: str, faults: list[Fault]) -> float:
    try:
        return shop_units.length_mm(diameter, units)
    except shop_units.UnitError as error:
        faults.append(Fault(str(error), ("diameter",), str(diameter)[:40], "", error.hint))
        return 160.0


class _Writer(NamedTuple):
    """Everything a starter says; `text` writes it."""

    name: str
    cylinders: int
    teeth: int
    missing: int
    units: str
    form: str
    direction: str
    sensor: str
    sizes: Sizes

    def text(self) -> str:
        """The whole file."""
        parts = [self._head(), self._engine(), self._wheel(), self._pulley()]
        if self.form == "plate":
            parts.append(self._adapter())
        parts += [self._sensor(), self._bracket(), self._rest(), self._shop()]
        return "\n".join(parts)

    def say(self, length: float) -> str:
        """A length as the job writes it: 6.35, or 1 1/4 in a job in inches."""
        if self.units == "mm":
            return f"{round(length, 3):g}"
        inches = length / INCH_MM
        exact = Fraction(round(inches * 64), 64)
        if abs(float(exact) - inches) > 1e-6:
            return f"{inches:.4f}".rstrip("0").rstrip(".")
        return ("-" if exact < 0 else "") + shop_units.fraction_text(abs(exact))

    def _head(self) -> str:
        return f"""\
# yaml-language-server: $schema={SCHEMA_FILE}
# The line above lets an editor that knows YAML complete and explain the keys: the file it names lies beside this one.
#
# A starter job. It builds as it is, but every size in it is invented: measure your own engine, pulley and sensor, and
# put your numbers in. Lines that begin with # are notes. Whole sections that you do not need can be deleted.
#
# Before any work: this changes how an engine is timed. Disconnect the battery, keep guards on spinning parts, and never
# turn an engine with a printed gauge on it. Where local rules ask for a licensed mechanic or welder, ask one.

job: {self.name}   # letters, digits, - and _: names the folder under outputs/
title: Crank trigger wheel, {self.teeth}-{self.missing}
units: {self.units}   # of every bare length below; any value may carry its own: 1/4 in, 6.35 mm, 10 thou
"""

    def _engine(self) -> str:
        order = FIRING_ORDERS.get(self.cylinders, tuple(range(1, self.cylinders + 1)))
        paired = self.cylinders % 2 == 0 or self.cylinders == 1
        spark = "wasted" if paired else "distributor"
        why = (
            "two cylinders share a coil"
            if paired
            else "an odd number of cylinders has no pairs that could share a coil"
        )
        angles = (
            "  firing_angles: [0, 360]   # pistons rise together; [0, 180]: one up, one down; a 90 deg V: [0, 270]\n"
            if self.cylinders == 2
            else ""
        )
        return f"""\
engine:
  cylinders: {self.cylinders}
  firing_order: [{", ".join(map(str, order))}]   # look yours up: it is cast or stamped on many engines
{angles}  turns: {self.direction}   # seen facing the wheel; clockwise or anticlockwise
  max_speed: {self.sizes.max_speed} rpm   # the highest the crank ever sees: balance and strength are judged at it
  cranking_speed: 200 rpm
  spark: {spark}   # {why}
"""

    def _gap_at(self) -> float:
        """A gap that passes the sensor a quarter of a firing interval after a TDC, clear of sparks and coils."""
        interval = min(720.0 / self.cylinders, 360.0)
        return round((SENSOR_AT + 0.75 * interval) % 360.0, 1)

    def _wheel(self) -> str:
        s = self.sizes
        bore = f"  bore: {self.say(s.wheel_bore)}   # the hole in the middle\n" if self.form == "plate" else ""
        form = (
            "turned-down   # cut into your own pulley; or plate: cut from plate and bolted on"
            if self.form == "turned-down"
            else "plate   # cut from plate and bolted on; or turned-down: cut into your own pulley"
        )
        metal = (
            "grey-iron   # what your pulley is made of: a file makes grey dust of grey iron, bright curls of steel"
            if self.form == "turned-down"
            else "mild-steel   # a sensor reads iron and steel; not aluminium, brass or most stainless"
        )
        return f"""\
wheel:
  form: {form}
  teeth: {self.teeth}   # positions round the wheel, the missing ones counted
  missing: {self.missing}
  gap_at: {self._gap_at():g} deg   # middle of the gap, from the TDC line the way the crank turns
  outside_diameter: {self.say(s.diameter)}
  thickness: {self.say(s.thickness)}   # of the tooth ring, along the crank
  slot: {{width: {self.say(s.cutter)}, depth: {self.say(s.depth)}, sides: parallel, floor: round}}   # your cutter
  material: {metal}
{bore}"""

    def _pulley(self) -> str:
        s, say = self.sizes, self.say
        key_width, key_depth = map(say, s.keyway)
        middle = s.belt_land_length / 2
        if self.form == "turned-down":
            middle += s.shoulder_front + s.thickness + s.shoulder_back
        belts = f"""\
  belts:   # where they run, so that the bracket keeps clear; angles from the TDC line the way the crank turns
    - {{at: {say(middle)}, width: {say(s.groove[0])}, from_deg: {BELT[0]} deg, to_deg: {BELT[1]} deg}}
"""
        groove = f"groove: {{width: {say(s.groove[0])}, depth: {say(s.groove[1])}, angle: 36 deg}}"
        belt = f"{{length: {say(s.belt_land_length)}, diameter: {say(s.belt_land)}, {groove}}}"
        ring = s.shoulder_front + s.thickness + s.shoulder_back
        front = ring - 1.0 if self.units == "mm" else ring
        head = f"""\
pulley:   # the one on your crank, measured
  bore: {say(s.pulley_bore)}
  keyway: {{width: {key_width}, depth: {key_depth}, at: 0 deg}}   # at: from the TDC line, with cylinder 1 at TDC
  bolts: {{count: 4, circle: {say(s.bolt_circle)}, hole: {say(s.bolt_hole)}, first_at: 45 deg}}
  rubber_ring: no   # yes for a pulley with rubber bonded between hub and rim
"""
        if self.form == "plate":
            return (
                head
                + f"""\
  as_found:   # its outside, from the front face backwards
    - {belt}
{belts}"""
            )
        return (
            head
            + f"""\
  as_found:   # its outside as you have it, from the front face backwards
    - {{length: {say(front + 1.0 if self.units == "mm" else front)}, diameter: {say(s.rough)}}}
    - {belt}
  turned:   # the same piece as it leaves the lathe; the word wheel stands for the tooth ring
    - {{length: {say(s.shoulder_front)}, diameter: {say(s.shoulder)}}}
    - wheel
    - {{length: {say(s.shoulder_back)}, diameter: {say(s.shoulder)}}}
    - {belt}
{belts}"""
        )

    def _adapter(self) -> str:
        s, say = self.sizes, self.say
        close, stands_out = (0.05, "1.5") if self.units == "mm" else (0.0508, "1/16")
        return f"""\
adapter:   # the spacer that carries the plate in front of the pulley; leave it out if the plate lies on the pulley
  length: {say(s.adapter_length)}
  outside_diameter: {say(s.adapter_diameter)}
  pilot: {{diameter: {say(s.wheel_bore - close)}, length: {stands_out}}}   # enters the wheel's bore and centres it
"""

    def _sensor(self) -> str:
        s, say = self.sizes, self.say
        low, usual, high = ("0.5", "0.8", "1.5") if self.units == "mm" else ("0.020", "0.030", "0.060")
        body = [
            say(v if self.units == "mm" else round(v / INCH_MM * 32) / 32 * INCH_MM) for v in (18.0, 25.0, 6.6, 24.0)
        ]
        kind = "hall   # or reluctance, a magnetic pickup" if self.sensor == "hall" else "reluctance   # or hall"
        return f"""\
sensor:   # from its data sheet, or measured
  kind: {kind}
  looks: in   # in: at the rim; along: at the side of the wheel
  at: {SENSOR_AT:g} deg   # where it sits, from the TDC line the way the crank turns
  air_gap: {usual}   # from its face to the teeth
  air_gap_range: [{low}, {high}]
  face_diameter: {say(s.face)}   # the part of the nose that senses
  body_diameter: {body[0]}   # the hole it passes through
  nose_length: {body[1]}   # from the face it is bolted with to the face that senses
  bolt: {{hole: {body[2]}, offset: {body[3]}}}   # or thread: M12x1 for a barrel with two nuts
  mass: 60 g
  max_tooth_rate: 15 kHz
"""

    def _bracket(self) -> str:
        say = self.say
        mm = self.units == "mm"
        plate, radius, width, face, travel, hole = (
            (5.0, 5.0, 45.0, -30.0, 6.0, 9.0) if mm else (4.7625, 4.7625, 44.45, -30.1625, 6.35, 8.73125)
        )
        mounts = "\n".join(
            f"    - {{x: {say(x)}, y: {say(y)}, hole: {say(hole)}, thread: M8}}" for x, y in self.sizes.mounts
        )
        return f"""\
bracket:
  plate: {{thickness: {say(plate)}, material: mild-steel, inside_radius: {say(radius)}}}
  mounts:   # threaded holes in the block: x to the right of the crank's middle and y above it, facing the wheel
{mounts}
  mount_face: {say(face)}   # the face they are in, from the middle of the tooth ring towards you; minus: behind it
  width: {say(width)}
  adjust: {say(travel)}   # travel of the slots, to set the air gap
  bends: brake   # pressed; or hand: slit on the line, bent in a vice, welded
"""

    def _rest(self) -> str:
        mm = self.units == "mm"
        thick, more, drill = ("4", "0.2", "8") if mm else ("5/32", "0.008", "5/16")
        return f"""\
gauge: {{thickness: {thick}, style: outline, hole_allowance: {more}}}   # printed holes come out small by about so much

balance: {{grade: G16, correct_by: holes, largest_drill: {drill}}}   # none instead of holes: only say what it needs
"""

    def _shop(self) -> str:
        s, say = self.sizes, self.say
        bed = f"{s.bed:g}" if self.units == "mm" else f"{s.bed:g} mm"
        nozzle, kerf = ("0.4", "1.5") if self.units == "mm" else ("0.4 mm", "0.060")
        drills = "metric" if self.units == "mm" else "inch"
        return f"""\
shop:   # your machines; what you do not have can be deleted
  rotary_table: {{ratio: 40, dial_step: 0.05 deg, backlash: 0.2 deg}}   # turns of the handle for one of the table
  cutter: {{diameter: {say(s.cutter)}, flutes: 4, material: hss}}
  printer: {{bed: [{bed}, {bed}], nozzle: {nozzle}}}
  plasma: {{kerf: {kerf}}}
  drills: {drills}
"""
