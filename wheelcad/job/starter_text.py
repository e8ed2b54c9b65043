"""The words of a starter job: each value on its line with what it is, and a mark where nobody gave it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from wheelcad.job.measuring import MARK, MEASURES, MOST_THINGS, THINGS
from wheelcad.job.schema import SCHEMA_FILE
from wheelcad.job.starter_sizes import SENSOR_AT, Sizes
from wheelcad.trade.inertia import USUAL_ORDERS
from wheelcad.units import INCH_MM, decimal_text, fraction_text

# By cylinders, in line where they usually are so.
FIRING_ORDERS = {count: order for (how, count), order in reversed([*USUAL_ORDERS.items()]) if how != "flat"}
BELT = (65, 215)  # degrees: an arc at the foot of the pulley, both runs away from the sensor

MEASURED = frozenset(measure.key for measure in MEASURES) - {"units"}

# Degrees of crank after TDC of cylinder 1 at which the gap best passes the sensor, by cylinders that fire evenly: read
# off the gap map of `wheelcad signal` for these very starters, which a test holds them against
PASSES = {
    1: 155.0, 2: 155.0, 3: 60.0, 4: 62.0, 5: 7.0, 6: 53.0, 7: 6.0, 8: 6.0, 9: 6.0, 10: 6.0, 12: 5.0, 16: 357.0
}  # fmt: skip
FEW, MANY = "36-1", "60-2"  # patterns of starters
MANY_FROM, MANY_ODD_FROM = 8, 5  # cylinders (of an odd number) from which a gap of one tooth is like a slow tooth


def usual_pattern(cylinders: int) -> str:
    """The pattern a starter takes where nobody says: one that the controller finds on the starter."""
    many = cylinders >= (MANY_ODD_FROM if cylinders % 2 else MANY_FROM)
    return MANY if many else FEW


def passes_deg(cylinders: int) -> float:
    """Degrees of crank after TDC of cylinder 1 at which a starter's gap passes the sensor; of numbers of cylinders that
    are not in PASSES a little after every TDC, where the crank speeds up again."""
    return PASSES.get(cylinders, 6.0 if cylinders > 4 else min(720.0 / cylinders, 360.0) / 4)


@dataclass
class Writer:
    """A starter's text. given: by dotted key, what somebody answered, as it is to be written.

    values: what was written at each key that can be measured, given or not; filled by `text`.
    """

    name: str
    cylinders: int
    teeth: int
    missing: int
    units: str
    form: str
    sensor: str
    sizes: Sizes
    given: Mapping[str, str]
    values: dict[str, str] = field(default_factory=dict)
    _invented: list[str] = field(default_factory=list)
    _known: int = 0

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
            return decimal_text(inches)
        return fraction_text(exact)

    def v(self, key: str, usual: float | str) -> str:
        """The value at `key`: as given, else the usual one (a length in mm, or a text), which is noted as invented."""
        text = self.given.get(key) or (self.say(usual) if isinstance(usual, float) else usual)
        self.values[key] = text
        if key in self.given:
            self._known += 1
        elif key in MEASURED or key.startswith(THINGS):
            self._invented.append(key)
        return text

    def row(self, text: str, note: str = "", fixed: bool = False) -> str:
        """A line whose values have just been asked of `v`, marked where they are invented, with its note.

        fixed: it holds other values as well, which are no guess.
        """
        names = [key.rsplit(".", 1)[-1] for key in self._invented]
        mark = MARK + (f" {', '.join(names)}" if (self._known or fixed) and names else "") if names else ""
        self._invented, self._known = [], 0
        said = "; ".join(part for part in (mark, note) if part)
        return f"{text}   # {said}\n" if said else f"{text}\n"

    def _head(self) -> str:
        units = self.v("units", self.units)
        return f"""\
# yaml-language-server: $schema={SCHEMA_FILE}
# The line above lets an editor that knows YAML complete and explain the keys: the file it names lies beside this one.
#
# A starter job. It builds as it is, but every value marked `{MARK}` is a guess: measure your own engine,
# pulley and sensor (`wheelcad sheet` prints a page to fill in), put your number in and take the mark away. A mark that
# names keys is about those on its line alone. Lines that begin with # are notes. Sections you do not need can go.
#
# Before any work: this changes how an engine is timed. Disconnect the battery, keep guards on spinning parts, and never
# turn an engine with a printed gauge on it. Where local rules ask for a licensed mechanic or welder, ask one.

job: {self.name}   # letters, digits, - and _: names the folder under outputs/
title: Crank trigger wheel, {self.teeth}-{self.missing}
""" + self.row(f"units: {units}", "of every bare length below; any value may carry its own: 1/4 in, 6.35 mm, 10 thou")

    def _engine(self) -> str:
        v, row = self.v, self.row
        order = FIRING_ORDERS.get(self.cylinders, tuple(range(1, self.cylinders + 1)))
        paired = self.cylinders % 2 == 0 or self.cylinders == 1
        coils = (
            "wasted: two cylinders share a coil"
            if paired
            else "an odd number of cylinders has no pairs to share a coil"
        )
        out = "engine:\n" + row(f"  cylinders: {v('engine.cylinders', str(self.cylinders))}")
        usual = f"[{', '.join(map(str, order))}]"
        out += row(f"  firing_order: {v('engine.firing_order', usual)}", "cast or stamped on many engines")
        if self.cylinders == 2:
            note = "pistons rise together; [0, 180]: one up, one down; a 90 deg V: [0, 270]"
            out += row(f"  firing_angles: {v('engine.firing_angles', '[0, 360]')}", note)
        out += row(f"  turns: {v('engine.turns', 'clockwise')}", "seen facing the wheel; clockwise or anticlockwise")
        note = "the highest the crank ever sees: balance and strength are judged at it"
        out += row(f"  max_speed: {v('engine.max_speed', f'{self.sizes.max_speed} rpm')}", note)
        out += row("  cranking_speed: 200 rpm")
        return out + row(f"  spark: {v('engine.spark', 'wasted' if paired else 'distributor')}", coils)

    def _gap_at(self) -> float:
        """A gap that passes the sensor where the starter turns fastest, clear of sparks and coils where it can be."""
        return round((SENSOR_AT - passes_deg(self.cylinders)) % 360.0, 1)

    def _wheel(self) -> str:
        s, v, row = self.sizes, self.v, self.row
        turned = self.form == "turned-down"
        out = "wheel:\n" + row(
            f"  form: {v('wheel.form', self.form)}",
            "cut into your own pulley; or plate: cut from plate and bolted on"
            if turned
            else "cut from plate and bolted on; or turned-down: cut into your own pulley",
        )
        self.v("wheel.teeth", f"{self.teeth}-{self.missing}")
        out += row(f"  teeth: {self.teeth}", "positions round the wheel, the missing ones counted")
        out += f"  missing: {self.missing}\n"
        note = "middle of the gap, from the TDC line the way the crank turns"
        out += row(f"  gap_at: {v('wheel.gap_at', f'{self._gap_at():g} deg')}", note)
        out += row(f"  outside_diameter: {v('wheel.outside_diameter', s.diameter)}", "over the teeth")
        out += row(f"  thickness: {v('wheel.thickness', s.thickness)}", "of the tooth ring, along the crank")
        width, depth = v("wheel.slot.width", s.cutter), v("wheel.slot.depth", s.depth)
        out += row(f"  slot: {{width: {width}, depth: {depth}, sides: parallel, floor: round}}", "your cutter", True)
        note = (
            "grey-iron makes grey dust under a file, steel bright curls"
            if turned
            else "not aluminium, nor most stainless"
        )
        out += row(f"  material: {v('wheel.material', 'mild-steel')}", note)
        return out if turned else out + row(f"  bore: {v('wheel.bore', s.wheel_bore)}", "the hole in the middle")

    def _pulley(self) -> str:
        s, v, row, say = self.sizes, self.v, self.row, self.say
        turned = self.form == "turned-down"
        out = "pulley:   # the one on your crank\n" + row(f"  bore: {v('pulley.bore', s.pulley_bore)}")
        width, depth = v("pulley.keyway.width", s.keyway[0]), v("pulley.keyway.depth", s.keyway[1])
        note = "at: from the TDC line, cylinder 1 at TDC"
        out += row(f"  keyway: {{width: {width}, depth: {depth}, at: {v('pulley.keyway.at', '0 deg')}}}", note)
        count, circle = v("pulley.bolts.count", "4"), v("pulley.bolts.circle", s.bolt_circle)
        hole, first = v("pulley.bolts.hole", s.bolt_hole), v("pulley.bolts.first_at", "45 deg")
        out += row(f"  bolts: {{count: {count}, circle: {circle}, hole: {hole}, first_at: {first}}}")
        if "pulley.recess.diameter" in self.given or "pulley.recess.depth" in self.given:
            wide, deep = v("pulley.recess.diameter", s.pulley_bore * 1.5), v("pulley.recess.depth", s.pulley_bore / 4)
            out += row(f"  recess: {{diameter: {wide}, depth: {deep}}}", "a counterbore in the front face")
        note = "yes where rubber is bonded between hub and rim"
        out += row(f"  rubber_ring: {v('pulley.rubber_ring', 'no')}", note)
        out += "  as_found:   # its outside as you have it, from the front face backwards\n"
        at = 0
        if turned:
            length, across = v("pulley.as_found[0].length", s.front), v("pulley.as_found[0].diameter", s.rough)
            out += row(f"    - {{length: {length}, diameter: {across}}}")
            at = 1
        belt = self._belt_land(f"pulley.as_found[{at}]")
        out += row(f"    - {belt}")
        if turned:
            out += "  turned:   # the same piece as it leaves the lathe; the word wheel stands for the tooth ring\n"
            out += f"    - {{length: {say(s.shoulder_front)}, diameter: {say(s.shoulder)}}}\n    - wheel\n"
            out += f"    - {{length: {say(s.shoulder_back)}, diameter: {say(s.shoulder)}}}\n    - {belt}\n"
        out += "  belts:   # so that the bracket keeps clear of them; angles from the TDC line as the crank turns\n"
        place, wide = v("pulley.belts[0].at", s.belt_at(turned)), v("pulley.belts[0].width", s.groove[0])
        ends = v("pulley.belts[0].from_deg", f"{BELT[0]} deg"), v("pulley.belts[0].to_deg", f"{BELT[1]} deg")
        return out + row(f"    - {{at: {place}, width: {wide}, from_deg: {ends[0]}, to_deg: {ends[1]}}}")

    def _belt_land(self, key: str) -> str:
        """The part with the belt's groove. In plate form it is the first and only one, asked for as the second."""
        s, asked = self.sizes, "pulley.as_found[1]"

        def v(name: str, usual: float | str) -> str:
            return self.v(f"{asked}.{name}", usual)

        length, across = v("length", s.belt_land_length), v("diameter", s.belt_land)
        width, depth, angle = (
            v("groove.width", s.groove[0]),
            v("groove.depth", s.groove[1]),
            v("groove.angle", "36 deg"),
        )
        return f"{{length: {length}, diameter: {across}, groove: {{width: {width}, depth: {depth}, angle: {angle}}}}}"

    def _adapter(self) -> str:
        s, say = self.sizes, self.say
        bore = s.wheel_bore
        close, stands_out = (0.02, "1.5") if self.units == "mm" else (0.0008 * INCH_MM, "1/16")
        return f"""\
adapter:   # the spacer that carries the plate in front of the pulley; leave it out if the plate lies on the pulley
  length: {say(s.adapter_length)}
  outside_diameter: {say(s.adapter_diameter)}
  pilot: {{diameter: {say(bore - close)}, length: {stands_out}}}   # enters the wheel's bore and centres it
"""

    def _sensor(self) -> str:
        v, row = self.v, self.row
        mm = self.units == "mm"
        hall = self.sensor == "hall"
        gap = ("0.8", "0.5", "1.5") if hall else ("0.6", "0.4", "0.8")
        if not mm:
            gap = ("0.030", "0.020", "0.060") if hall else ("0.025", "0.016", "0.031")
        body, nose, hole, offset = (
            size if mm else round(size / INCH_MM * 32) / 32 * INCH_MM for size in (18.0, 25.0, 6.6, 24.0)
        )
        out = "sensor:   # from its leaflet, or measured\n"
        out += row(f"  kind: {v('sensor.kind', self.sensor)}", "hall, or reluctance: a magnetic pickup")
        out += "  looks: in   # in: at the rim; along: at the side of the wheel\n"
        out += row(f"  at: {v('sensor.at', f'{SENSOR_AT:g} deg')}", "from the TDC line the way the crank turns")
        out += row(f"  air_gap: {v('sensor.air_gap', gap[0])}", "from its face to the teeth")
        if "sensor.air_gap" not in self.given:
            out += f"  air_gap_range: [{gap[1]}, {gap[2]}]\n"
        out += row(f"  face_diameter: {v('sensor.face_diameter', self.sizes.face)}", "the part of the nose that senses")
        out += row(f"  body_diameter: {v('sensor.body_diameter', body)}", "the hole it passes through")
        out += row(f"  nose_length: {v('sensor.nose_length', nose)}", "from the face it is bolted with to its tip")
        bolt = v("sensor.bolt.hole", hole), v("sensor.bolt.offset", offset)
        out += row(f"  bolt: {{hole: {bolt[0]}, offset: {bolt[1]}}}", "or thread: M12x1 for a barrel with two nuts")
        out += row(f"  mass: {v('sensor.mass', '60 g')}")
        return out + row(f"  max_tooth_rate: {v('sensor.max_tooth_rate', '15 kHz')}")

    def _bracket(self) -> str:
        s, v, row, say = self.sizes, self.v, self.row, self.say
        mm = self.units == "mm"
        face = s.mount_face
        out = f"""\
bracket:
  plate: {{thickness: {say(s.plate)}, material: mild-steel, inside_radius: {say(s.plate)}}}
  mounts:   # threaded holes in the block, facing the wheel: x right of the crank's middle, y above it on the TDC line
"""
        thread = v("bracket.mounts[0].thread", "M8")
        hole = say(9.5 if mm else 9.525)
        for i, (x, y) in enumerate(s.mounts):
            at = v(f"bracket.mounts[{i}].x", x), v(f"bracket.mounts[{i}].y", y)
            out += row(f"    - {{x: {at[0]}, y: {at[1]}, hole: {hole}, thread: {thread}}}", "hole: in the plate", True)
        behind = v("bracket.mount_face.behind_front", face)
        out += row(f"  mount_face: {{behind_front: {behind}}}", "from the pulley's front face back to the block's face")
        return (
            out
            + f"""\
  width: {say(45.0 if mm else 44.45)}
  adjust: {say(6.0 if mm else 6.35)}   # travel of the slots, to set the air gap
  bends: brake   # pressed; or hand: slit on the line, bent in a vice, welded
"""
            + self._things()
        )

    def _things(self) -> str:
        """What is in the way, where somebody named something; a guessed place is clear of the bracket."""
        out = ""
        for i in range(MOST_THINGS):
            key = f"{THINGS}[{i}]"
            if f"{key}.name" not in self.given:
                break
            name, y = self.v(f"{key}.name", ""), self.v(f"{key}.y", "0")
            x = self.v(f"{key}.x", -self.sizes.mounts[0][0])  # over on the other side
            deep = self.v(f"{key}.z.behind_front", self.sizes.mount_face)
            wide = self.v(f"{key}.radius", 15.0 if self.units == "mm" else 0.5 * INCH_MM)
            text = f"    - {{name: {name}, x: {x}, y: {y}, z: {{behind_front: {deep}}}, radius: {wide}}}"
            out += self.row(text, "z: how far its front lies behind the pulley's front face")
        return out and "  obstacles:   # things in the way, that the bracket is held clear of\n" + out

    def _rest(self) -> str:
        mm = self.units == "mm"
        thick, more, drill = ("4", "0.2", "8") if mm else ("5/32", "0.008", "5/16")
        return f"""\
gauge: {{thickness: {thick}, style: outline, hole_allowance: {more}}}   # printed holes come out small by about so much

balance: {{grade: G16, correct_by: holes, largest_drill: {drill}}}   # none instead of holes: only say what it needs
"""

    def _shop(self) -> str:
        s = self.sizes
        bed = f"{s.bed:g}" if self.units == "mm" else f"{s.bed:g} mm"
        nozzle, kerf = ("0.4", "1.5") if self.units == "mm" else ("0.4 mm", "0.060")
        drills = "metric" if self.units == "mm" else "inch"
        cutter = self.given.get("wheel.slot.width") or self.say(s.cutter)
        return f"""\
shop:   # your machines, as one home shop has them: put yours in; what you do not have can be deleted
  rotary_table: {{ratio: 40, dial_step: 0.05 deg, backlash: 0.2 deg}}   # ratio: turns of the handle for one turn
  cutter: {{diameter: {cutter}, flutes: 4, material: hss}}
  printer: {{bed: [{bed}, {bed}], nozzle: {nozzle}}}
  plasma: {{kerf: {kerf}}}
  drills: {drills}
"""
