"""How large what a job file names is in the trade: one table, for what is unlikely and for what cannot be meant.

The ranges are wide: what a home shop and its engines hold, common practice, no source. A value outside the usual range
is asked about (`plausible`), one more than five times outside is refused (`impossible`).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Size:
    """The range a value usually lies in, and what it is the range of; least and most: outside them it is not believed,
    for the reason `why`, in which {3} is a length in mm. All in the base unit of the kind."""

    low: float
    high: float
    of: str
    least: float = -math.inf
    most: float = math.inf
    why: str = ""
    kind: str = "length"


IN_THE_WAY = "what is in the bracket's way lies within {400} of the "
TURNED = "pulleys and adapters are {60} to {200} across"
# By dotted key without list indexes. Lengths in mm, angles in degrees, speeds in rpm, rates in Hz, masses in kg.
SIZES: Mapping[str, Size] = {
    "engine.max_speed": Size(
        1000, 20000, "an engine's highest speed", 300, 30_000, "piston engines reach 1500 to 15,000 rpm", kind="speed"
    ),
    "engine.cranking_speed": Size(
        50, 600, "a starter's speed", 10, 3000, "starters turn engines at 100 to 400 rpm", kind="speed"
    ),
    "engine.idle_speed": Size(400, 2000, "an idle speed", 80, 10_000, "engines idle at 500 to 1500 rpm", kind="speed"),
    "engine.dwell": Size(0.5, 15, "a coil's charging time", 0.1, 75, "coils are charged for 1 to 8 ms", kind="time"),
    "wheel.outside_diameter": Size(40, 450, "a wheel's diameter", 8, 1000, "trigger wheels are {60} to {200}"),
    "wheel.thickness": Size(1, 30, "a tooth ring's thickness", 0.2, 100, "tooth rings are {2} to {12} thick"),
    "wheel.slot.width": Size(1, 40, "a slot's width", 0.2, 100, "slots are {3} to {15} wide"),
    "wheel.slot.depth": Size(1, 30, "a slot's depth", 0.2, 100, "slots are {3} to {12} deep"),
    "wheel.bore": Size(8, 250, "a wheel's bore", 1.5, 800, "bores are {15} to {120}"),
    "pulley.bore": Size(8, 120, "a pulley's bore", 1.5, 500, "a crank's nose is {15} to {60}"),
    "pulley.keyway.width": Size(1.5, 25, "a keyway's width", 0.3, 100, "keys are {3} to {14} wide"),
    "pulley.keyway.depth": Size(0.7, 12, "a keyway's depth", 0.1, 50, "keyways are {1} to {6} deep"),
    "pulley.bolts.circle": Size(20, 300, "a bolt circle", 4, 1000, "bolt circles are {30} to {150}"),
    "pulley.bolts.hole": Size(2.5, 25, "a bolt hole", 0.5, 100, "bolts here are M5 to M14"),
    "pulley.recess.diameter": Size(8, 300, "a recess", 1.5, 1000, "a recess lies inside its pulley"),
    "pulley.recess.depth": Size(0.5, 100, "a recess's depth", 0.1, 500, "a recess lies inside its pulley"),
    "pulley.as_found.length": Size(0.5, 250, "a pulley's length", 0.1, 1000, "a pulley is {20} to {120} long"),
    "pulley.as_found.diameter": Size(20, 450, "a pulley's diameter", 4, 1000, TURNED),
    "pulley.turned.length": Size(0.5, 250, "a pulley's length", 0.1, 1000, "a pulley is {20} to {120} long"),
    "pulley.turned.diameter": Size(20, 450, "a pulley's diameter", 4, 1000, TURNED),
    "adapter.length": Size(1, 200, "an adapter's length", 0.2, 1000, "adapters are {5} to {60} long"),
    "adapter.outside_diameter": Size(20, 400, "an adapter's diameter", 4, 1000, TURNED),
    "sensor.air_gap": Size(0.1, 3, "an air gap", 0.02, 15, "sensors read over {0.4} to {2}"),
    "sensor.face_diameter": Size(0.8, 25, "a sensor's face", 0.15, 125, "a sensor's face is {2} to {12}"),
    "sensor.body_diameter": Size(4, 40, "a sensor's body", 0.8, 200, "a sensor's body is {8} to {22}"),
    "sensor.nose_length": Size(4, 120, "a sensor's nose", 0.8, 600, "a sensor's nose is {10} to {60} long"),
    "sensor.bolt.hole": Size(2.5, 15, "a sensor's bolt hole", 0.5, 75, "a sensor is held by M5 to M8"),
    "sensor.bolt.offset": Size(6, 80, "the distance of a sensor's bolt", 1, 400, "a sensor's bolt is {15} to {35} off"),
    "sensor.mass": Size(0.005, 1, "a sensor's mass", 0.001, 5, "sensors weigh 20 to 150 g", kind="mass"),
    "sensor.max_tooth_rate": Size(
        500, 200_000, "a sensor's fastest tooth rate", 100, 1_000_000, "sensors follow 3 to 50 kHz", kind="frequency"
    ),
    "sensor.element_spacing": Size(0.5, 10, "the distance of two elements"),
    "sensor.delay": Size(0, 0.2, "a sensor's delay", kind="time"),
    "bracket.plate.thickness": Size(1.5, 20, "a bracket's plate", 0.3, 30, "brackets are bent from {3} to {6} plate"),
    "bracket.plate.inside_radius": Size(0, 40, "a bend's inside radius"),
    "bracket.mounts.x": Size(-800, 800, "a mount's distance", -4000, 4000, "mounts lie within {400} of the crank"),
    "bracket.mounts.y": Size(-800, 800, "a mount's distance", -4000, 4000, "mounts lie within {400} of the crank"),
    "bracket.mounts.hole": Size(3, 26, "a mounting hole", 0.6, 130, "a block's bolts are M6 to M12"),
    "bracket.obstacles.x": Size(-800, 800, "an obstacle's distance", -4000, 4000, IN_THE_WAY + "crank"),
    "bracket.obstacles.y": Size(-800, 800, "an obstacle's distance", -4000, 4000, IN_THE_WAY + "crank"),
    "bracket.obstacles.z": Size(-400, 300, "how far an obstacle stands out", -2000, 2000, IN_THE_WAY + "ring"),
    "bracket.obstacles.radius": Size(0, 250, "an obstacle's radius"),
    "bracket.packing": Size(0, 60, "a packing piece"),
    "bracket.width": Size(10, 200, "a bracket's width"),
    "bracket.adjust": Size(0, 40, "a slot's travel"),
    "survey.read_to": Size(0.02, 5, "the limit of a reading"),
    "survey.readings.is": Size(8, 900, "a distance on an engine", 1.5, 4500, "mounts lie within {400} of the crank"),
    "controller.filter": Size(0, 1, "an input filter's time constant", kind="time"),
    "gauge.thickness": Size(1, 15, "a printed gauge's thickness", 0.2, 75, "gauges are printed {3} to {6} thick"),
    "balance.largest_drill": Size(1.5, 26, "a drill", 0.3, 130, "a home shop drills up to {16}"),
    "balance.turns_with": Size(0.2, 60, "a crank's mass", kind="mass"),
    "balance.reading.putty": Size(
        0.0001, 0.1, "the putty on a wheel", 0.00002, 0.5, "a wheel is out by 0.5 to 20 g", kind="mass"
    ),
    "balance.recheck.putty": Size(
        0.0001, 0.1, "the putty on a wheel", 0.00002, 0.5, "a wheel is out by 0.5 to 20 g", kind="mass"
    ),
    "shop.rotary_table.diameter": Size(60, 600, "a rotary table"),
    "shop.rotary_table.centre_height": Size(40, 350, "the axis of a table on edge"),
    "shop.rotary_table.dial_step": Size(0.001, 3, "a dial's division", kind="angle"),
    "shop.rotary_table.backlash": Size(0, 3, "a table's backlash", kind="angle"),
    "shop.cutter.diameter": Size(1, 40, "a slot cutter"),
    "shop.printer.bed": Size(80, 1000, "a printer's bed", 16, 5000, "printers' beds are {180} to {400}"),
    "shop.printer.nozzle": Size(0.1, 1.5, "a printer's nozzle", 0.02, 7.5, "nozzles are {0.25} to {0.8}"),
    "shop.plasma.kerf": Size(0.2, 6, "a plasma cut's kerf", 0.04, 30, "a plasma cut is {1} to {3} wide"),
}
