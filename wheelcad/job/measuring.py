"""What is measured, read or looked up before a job can be written: one list, in the order of the measuring sheet.

The sheet prints it, `new` asks it, `explain` quotes it. A label is the picture's letter and a number in that picture;
what is looked up and not measured has none. Keys are dotted, with places in lists: pulley.as_found[0].length.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import NamedTuple

PICTURES: Mapping[str, str] = {
    "A": "the pulley from the side, cut in half; its front face is the one you look at",
    "B": "the pulley from the front, cylinder 1 at TDC, the TDC line straight up",
    "C": "the belts from the front, cylinder 1 at TDC",
    "D": "the sensor",
    "E": "the block from the front, cylinder 1 at TDC",
    "F": "the block and the pulley from the side",
    "G": "the wheel you want",
    "H": "a thing in the way of the bracket, from the front with cylinder 1 at TDC, and from the side",
}


class Measure(NamedTuple):
    """One value. label: where it stands in a picture, "" where it is looked up or chosen. asks: the question in a few
    words. how: with what and where it is measured, or where it is found."""

    key: str
    label: str
    asks: str
    how: str


TDC_ANGLE = "a degree disc or a protractor on the crank, from the TDC line the way the crank turns"
MEASURES: tuple[Measure, ...] = (
    Measure("units", "", "Lengths in mm or in", "the unit you measure in; any one value may carry its own"),
    Measure("engine.cylinders", "", "How many cylinders", "count the spark plugs' cylinders"),
    Measure("engine.firing_order", "", "Firing order, such as 1-3-4-2", "cast on the engine, or in its handbook"),
    Measure(
        "engine.firing_angles", "", "Crank degrees from cylinder 1's spark to each, over 720",
        "the handbook; turn the crank by hand with the plugs out and watch which piston comes up when",
    ),
    Measure(
        "engine.turns", "", "Which way the crank turns, seen facing the wheel",
        "plugs out, touch the starter and look; most engines turn clockwise seen from their pulley's end",
    ),
    Measure("engine.max_speed", "", "Highest speed the engine ever sees", "the rev counter's red line, and a margin"),
    Measure(
        "engine.spark", "", "Coils: wasted, per-cylinder or distributor",
        "your controller's and coils' leaflets: wasted when one coil fires two plugs",
    ),
    Measure(
        "wheel.form", "", "Turned down from your pulley, or a plate bolted on",
        "turned-down where the pulley is solid and thick enough in front of its belts; else plate",
    ),
    Measure("wheel.teeth", "", "Teeth, the missing ones counted, and how many are missing", "wheelcad options"),
    Measure("wheel.outside_diameter", "G1", "Outside diameter of the wheel", "as large as the room allows"),
    Measure("wheel.thickness", "G2", "Thickness of the tooth ring", "what the sensor's leaflet asks for, and no less"),
    Measure("wheel.slot.width", "G3", "Width of the slots", "the width of a cutter you own"),
    Measure("wheel.slot.depth", "G4", "Depth of the slots", "at least the slot's width for a magnetic pickup"),
    Measure("wheel.gap_at", "G5", "Where the gap is, degrees from the TDC line", "the sheet says how"),
    Measure("wheel.bore", "G6", "Bore of the plate wheel", "what the pilot or the crank's end passes through"),
    Measure(
        "wheel.material", "", "What the wheel is made of",
        "a file makes grey dust of grey iron and bright curls of steel; a magnet holds to both",
    ),
    Measure("pulley.as_found[0].length", "A1", "Length of the pulley's front part", "calliper, along the crank"),
    Measure("pulley.as_found[0].diameter", "A2", "Diameter of the pulley's front part", "calliper, across"),
    Measure("pulley.as_found[1].length", "A3", "Length of the part with the belt's groove", "calliper, lengthways"),
    Measure("pulley.as_found[1].diameter", "A4", "Diameter over the belt's groove", "calliper, across"),
    Measure("pulley.as_found[1].groove.width", "A5", "Width of the groove at the outside", "calliper or rule"),
    Measure("pulley.as_found[1].groove.depth", "A6", "Depth of the groove", "depth rod of a calliper, to the floor"),
    Measure("pulley.as_found[1].groove.angle", "A7", "Angle between the groove's sides", "bevel gauge; often 36 deg"),
    Measure("pulley.recess.depth", "A8", "Depth of the counterbore in the front face", "depth rod"),
    Measure("pulley.bore", "B1", "Bore of the pulley", "calliper or bore gauge, in two directions"),
    Measure("pulley.keyway.width", "B2", "Width of the keyway", "calliper's inside jaws, or the key itself"),
    Measure(
        "pulley.keyway.depth", "B3", "Depth of the keyway",
        "from the bore to the keyway's floor on its centre line: measure across bore and keyway, take off the bore",
    ),
    Measure("pulley.keyway.at", "B4", "Where the keyway is, degrees from the TDC line", TDC_ANGLE),
    Measure("pulley.bolts.count", "B5", "How many bolts hold the pulley or its cap", "count the holes in front"),
    Measure(
        "pulley.bolts.circle", "B6", "Diameter of the bolt circle",
        "between the far edges of two opposite holes, less one hole; for three holes, edge to edge times 1.1547",
    ),
    Measure("pulley.bolts.hole", "B7", "Diameter of the bolt holes", "the largest drill shank that goes in"),
    Measure("pulley.bolts.first_at", "B8", "Where one of the bolts is, degrees from the TDC line", TDC_ANGLE),
    Measure("pulley.recess.diameter", "B9", "Diameter of the counterbore", "calliper's inside jaws"),
    Measure(
        "pulley.rubber_ring", "", "Is rubber bonded between hub and rim",
        "look at the front and back face for a ring of rubber: then the rim can creep",
    ),
    Measure("pulley.belts[0].at", "C1", "Middle of the belt behind the pulley's front face", "rule"),
    Measure("pulley.belts[0].width", "C2", "Width of the belt", "calliper, on the slack run"),
    Measure("pulley.belts[0].from_deg", "C3", "Where the belt first touches the pulley, degrees", TDC_ANGLE),
    Measure("pulley.belts[0].to_deg", "C4", "Where the belt leaves the pulley, degrees", TDC_ANGLE),
    Measure("sensor.kind", "", "Sensor: hall or reluctance", "three wires: hall; two wires and a magnet: reluctance"),
    Measure("sensor.nose_length", "D1", "Length of the sensor's nose", "from the face it is bolted with to its tip"),
    Measure("sensor.body_diameter", "D2", "Diameter of the sensor's body", "calliper, where it passes the bracket"),
    Measure("sensor.face_diameter", "D3", "Diameter of the part that senses", "leaflet; calliper for a pole"),
    Measure("sensor.bolt.hole", "D4", "Bolt hole in the sensor's flange", "the largest drill shank that goes in"),
    Measure("sensor.bolt.offset", "D5", "From the body's middle to the bolt's middle", "edges, plus both halves"),
    Measure("sensor.air_gap", "D6", "Air gap", "leaflet: what it says for the tip's distance from a tooth"),
    Measure("sensor.mass", "", "Mass of the sensor with a hand's width of lead", "kitchen scale"),
    Measure("sensor.max_tooth_rate", "", "Fastest teeth the sensor can follow", "leaflet: highest frequency"),
    Measure("sensor.at", "E1", "Where the sensor is to sit, degrees from the TDC line", TDC_ANGLE),
    Measure("bracket.mounts[0].x", "E2", "First bolt hole, right of the crank's middle", "see E; left is minus"),
    Measure("bracket.mounts[0].y", "E3", "First bolt hole, above the crank's middle", "see E; below is minus"),
    Measure("bracket.mounts[1].x", "E4", "Second bolt hole, right of the crank's middle", "see E"),
    Measure("bracket.mounts[1].y", "E5", "Second bolt hole, above the crank's middle", "along the TDC line"),
    Measure("bracket.mounts[0].thread", "E6", "Thread of the bolt holes", "try a bolt you know, or a thread gauge"),
    Measure(
        "bracket.mount_face.behind_front", "F1", "How far the block's face lies behind the pulley's front face",
        "a straight edge over the pulley's front face and a depth rod down to the block; less than 0 in front of it",
    ),
    Measure(
        "bracket.obstacles[0].name", "H1", "What is in the way of the bracket, such as pump, hose or cover",
        "what stands out from the block where a plate might pass; a name of your own",
    ),
    Measure("bracket.obstacles[0].x", "H2", "Its middle, right of the crank's middle", "see H; left is minus"),
    Measure("bracket.obstacles[0].y", "H3", "Its middle, above the crank's middle", "see H; below is minus"),
    Measure(
        "bracket.obstacles[0].radius", "H4", "How far it reaches round its middle",
        "half of what it is across, and what it moves or swells by",
    ),
    Measure(
        "bracket.obstacles[0].z.behind_front", "H5", "How far its front lies behind the pulley's front face",
        "as F1, the depth rod down on the thing; less than 0 in front of it",
    ),
)  # fmt: skip
THINGS = "bracket.obstacles"  # few jobs have one, some have several: asked of one after another
MOST_THINGS = 8  # that are asked for; more can be written by hand
MARK = "invented: measure"  # beside a value that a starter made up
_INDEX = re.compile(r"\[[0-9]+\]")


def plain(key: str) -> str:
    """A dotted key without places in lists."""
    return _INDEX.sub("", key)


def thing_measures(number: int) -> tuple[Measure, ...]:
    """What is measured of thing `number` (from 0) in the way of the bracket; the first alone has letters."""
    first = (m for m in MEASURES if m.key.startswith(THINGS))
    if not number:
        return tuple(first)
    return tuple(m._replace(key=m.key.replace("[0]", f"[{number}]", 1)) for m in first)


def measure_of(key: str) -> Measure | None:
    """How a key is measured; key with or without places in lists."""
    exact = next((measure for measure in MEASURES if measure.key == key), None)
    return exact or next((measure for measure in MEASURES if plain(measure.key) == plain(key)), None)
