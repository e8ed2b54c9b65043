"""The four jobs that faults are put into: turned, plate, along, and a turned inch job with a cam target.

Their edits make twins: the same file as a slightly other job would write it, the fault of somebody who mixed up two
versions. `changes` says in which parts' files the edit shows.
"""

from __future__ import annotations

from typing import NamedTuple

from tests.conftest import demo_text, edited
from tests.unit_jobs import INCH_SIX

CAM = (
    "cam: {style: tooth, at: 29 deg, outside_diameter: 2 3/8, root_diameter: 2, tooth_width: 3/8, thickness: 3/16,"
    " material: mild-steel, bore: 1/2, bolts: {count: 3, circle: 1 1/4, hole: 7/32, first_at: 20 deg},"
    " sensor: {kind: hall, at: 120 deg}}\n"
)
JOBS = {
    "turned": lambda: demo_text("tarn-six"),
    "plate": lambda: demo_text("beck-four"),
    "along": lambda: demo_text("fell-twin"),
    "cam": lambda: (
        edited(
            INCH_SIX,
            ("job: moss-six", "job: moss-cam"),
            ("material: grey-iron\n", "material: grey-iron\n  marks: {tdc: notch, degrees: [10, 20]}\n"),
            ("  readout: yes\n", "  readout: yes\n  rotary_axis: yes\n"),
            ("backlash: 0.2 deg}", "backlash: 0.2 deg, scale: clockwise}"),
        )
        + CAM
    ),
}
ALL = ("step", "stl")


class Edit(NamedTuple):
    """One edit of a job's text. files: those in which it shows."""

    name: str
    old: str
    new: str
    files: tuple[str, ...]


def _of(*parts: str, ends: tuple[str, ...] = ALL) -> tuple[str, ...]:
    return tuple(f"{part}.{end}" for part in parts for end in ends)


WHEEL, BLANK, BRACKET, CAMS = _of("wheel"), _of("blank"), _of("bracket"), _of("cam")
BOTH = WHEEL + BLANK
FLAT, PLATE = ("bracket-flat.dxf",), ("wheel-flat.dxf", "wheel-finished.dxf")
SHOWN = ("assembly.step", "assembly.glb")
GAUGE = ("gauge.step", "gauge.stl", "gauge.3mf")

EDITS: dict[str, list[Edit]] = {
    "turned": [
        Edit("bore 0.06 larger", "\n  bore: 32", "\n  bore: 32.06", BOTH),
        Edit("keyway 0.1 wider", "keyway: {width: 10", "keyway: {width: 10.1", BOTH),
        Edit("keyway 0.05 deeper", "depth: 3.3", "depth: 3.35", BOTH),
        Edit("keyway 0.1° round", "depth: 3.3, at: 0 deg", "depth: 3.3, at: 0.1 deg", BOTH),
        Edit("bolt circle 0.06 larger", "circle: 80", "circle: 80.06", (*BOTH, "gauge.stl", "gauge.3mf", "gauge.step")),
        Edit("bolt holes 0.06 larger", "hole: 8.4", "hole: 8.46", BOTH),
        Edit("bolt holes 0.05° round", "first_at: 45", "first_at: 45.05", BOTH),
        Edit("one bolt hole too many", "count: 4", "count: 5", BOTH),
        Edit("recess 0.06 larger", "recess: {diameter: 60", "recess: {diameter: 60.06", BOTH),
        Edit("recess 0.05 deeper", "depth: 10}", "depth: 10.05}", BOTH),
        Edit("a land 0.05 shorter", "{length: 14.8,", "{length: 14.75,", BOTH),
        Edit("a land 0.06 slimmer", "{length: 8, diameter: 118}", "{length: 8, diameter: 117.94}", BOTH),
        Edit("groove 0.06 wider", "groove: {width: 12,", "groove: {width: 12.06,", BOTH),
        Edit("groove 0.06 deeper", "depth: 11,", "depth: 11.06,", BOTH),
        Edit("groove 1° steeper", "angle: 36", "angle: 37", BOTH),
        Edit("0.06 less over the teeth", "outside_diameter: 160", "outside_diameter: 159.94", BOTH),
        Edit("slots 0.04 wider", "slot: {width: 6,", "slot: {width: 6.04,", WHEEL),
        Edit("slots 0.03 deeper", "depth: 6.35", "depth: 6.38", WHEEL),
        Edit("gap 0.02° round", "gap_at: 0 deg", "gap_at: 0.02 deg", WHEEL),
        Edit("a second tooth missing", "missing: 1", "missing: 2", WHEEL),
        Edit("balance holes 0.1 further out", "radius: 66", "radius: 66.1", WHEEL),
        Edit("smaller balance drills", "largest_drill: 8", "largest_drill: 7", WHEEL),
        Edit("mounts 0.03 to the left", "x: -132, y: 88", "x: -132.03, y: 88", (*BRACKET, *FLAT)),
        Edit("a mount 0.03 higher", "y: 138", "y: 138.03", (*BRACKET, *FLAT)),
        Edit("mount slots 0.04 wider", "y: 88, hole: 12,", "y: 88, hole: 12.04,", (*BRACKET, *FLAT)),
        Edit("tab 0.04 wider", "width: 45", "width: 45.04", (*BRACKET, *FLAT)),
        Edit("mount face 0.03 forward", "mount_face: -30", "mount_face: -29.97", (*BRACKET, *FLAT)),
        Edit("0.04 more travel", "adjust: 6", "adjust: 6.04", (*BRACKET, *FLAT)),
        Edit("bends 0.05 wider", "inside_radius: 5", "inside_radius: 5.05", (*BRACKET, *FLAT)),
        Edit("plate 0.04 thicker", "thickness: 3/16 in", "thickness: 4.8025", (*BRACKET, *FLAT)),
        Edit("sensor hole 0.04 wider", "body_diameter: 18", "body_diameter: 18.04", (*BRACKET, *FLAT)),
        Edit("sensor's bolt 0.04 off", "offset: 24", "offset: 24.04", (*BRACKET, *FLAT)),
        Edit("sensor 0.05° round", "at: 310 deg", "at: 310.05 deg", (*BRACKET, *FLAT)),
        Edit("air gap 0.03 larger", "air_gap: 0.8", "air_gap: 0.83", (*BRACKET, *FLAT)),
        Edit("nose 0.03 longer", "nose_length: 25", "nose_length: 25.03", (*BRACKET, *FLAT)),
        Edit("no gussets", "gusset: yes", "gusset: no", (*BRACKET, *FLAT)),
        Edit("sensor 0.5° round, shown", "at: 310 deg", "at: 310.5 deg", SHOWN),
        Edit("mounts 0.5 lower, shown", "y: 88", "y: 87.5", SHOWN),
        Edit("bolt circle 1 larger, shown", "circle: 80", "circle: 81", SHOWN),
        Edit("gauge 0.1 thicker", "gauge: {thickness: 4", "gauge: {thickness: 4.1", GAUGE),
        Edit("gauge's holes 0.05 wider", "hole_allowance: 0.25", "hole_allowance: 0.3", GAUGE),
    ],
    "plate": [
        Edit("bore 0.06 larger", "\n  bore: 52", "\n  bore: 52.06", (*WHEEL, *PLATE)),
        Edit("bolt circle 0.06 larger", "circle: 90", "circle: 90.06", (*WHEEL, *PLATE)),
        Edit("bolt holes 0.06 larger", "hole: 6.6, first", "hole: 6.66, first", (*WHEEL, "wheel-finished.dxf")),
        Edit("bolt holes 0.05° round", "first_at: 15", "first_at: 15.05", (*WHEEL, *PLATE)),
        Edit("plate 0.05 thicker", "thickness: 5\n", "thickness: 5.05\n", WHEEL),
        Edit("slots 0.04 wider", "slot: {width: 5,", "slot: {width: 5.04,", (*WHEEL, "wheel-finished.dxf")),
        Edit("slots 0.03 deeper", "depth: 6, sides", "depth: 6.03, sides", (*WHEEL, "wheel-finished.dxf")),
        Edit("corners 0.1 rounder", "corner_radius: 0.8", "corner_radius: 0.9", (*WHEEL, "wheel-finished.dxf")),
        Edit("gap 0.02° round", "gap_at: 90", "gap_at: 90.02", (*WHEEL, "wheel-finished.dxf")),
        Edit("0.06 less over the teeth", "outside_diameter: 190", "outside_diameter: 189.94", (*WHEEL, *PLATE)),
        Edit("another pattern", "teeth: 60", "teeth: 58", (*WHEEL, "wheel-finished.dxf")),
        Edit("smaller balance drills", "largest_drill: 10", "largest_drill: 6", WHEEL),
        Edit("mounts 0.03 to the right", "x: 160, y: 45", "x: 160.03, y: 45", (*BRACKET, *FLAT)),
        Edit("tab 0.04 wider", "width: 40", "width: 40.04", (*BRACKET, *FLAT)),
        Edit("bends 0.05 wider", "inside_radius: 5", "inside_radius: 5.05", (*BRACKET, *FLAT)),
        Edit("pulley 0.5 larger, shown", "diameter: 140", "diameter: 140.5", SHOWN),
    ],
    "along": [
        Edit("bore 0.002 in larger", "\n  bore: 1 3/4", "\n  bore: 1.753", (*WHEEL, *PLATE)),
        Edit("bolt circle 0.003 in larger", "circle: 2 1/2", "circle: 2.503", (*WHEEL, "adapter.step", *PLATE)),
        Edit("bolt holes 0.003 in larger", "hole: 17/64, first", "hole: 0.2686, first", (*WHEEL, "adapter.step")),
        Edit("spacer 0.002 in longer", "length: 1/2", "length: 0.502", ("adapter.step",)),
        Edit("spacer 0.003 in larger", "outside_diameter: 3 1/4", "outside_diameter: 3.253", ("adapter.step",)),
        Edit("pilot 0.003 in smaller", "pilot: {diameter: 1.7475", "pilot: {diameter: 1.7445", ("adapter.step",)),
        Edit("pilot 0.002 in longer", "length: 0.100", "length: 0.102", ("adapter.step",)),
        Edit("spacer's bore 0.003 in larger", "bore: 7/8", "bore: 0.878", ("adapter.step",)),
        Edit("slots 0.002 in wider", "slot: {width: 5/16", "slot: {width: 0.3145", (*WHEEL, "wheel-finished.dxf")),
        Edit("gap 0.02° round", "gap_at: 120", "gap_at: 120.02", (*WHEEL, "wheel-finished.dxf")),
        Edit("mounts 0.002 in off", "x: -4.2, y: 1.0", "x: -4.202, y: 1.0", (*BRACKET, *FLAT)),
        Edit("mount face 0.002 in forward", "mount_face: -1.2", "mount_face: -1.198", (*BRACKET, *FLAT)),
        Edit("sensor 0.1° round", "at: 60 deg\n  air", "at: 60.1 deg\n  air", (*BRACKET, *FLAT)),
        Edit("spacer 0.03 in longer, shown", "length: 1/2", "length: 0.53", SHOWN),
        Edit("gauge 0.01 in thicker", "gauge: {thickness: 0.150", "gauge: {thickness: 0.160", GAUGE),
    ],
    "cam": [
        Edit("cam tooth 0.003 in wider", "tooth_width: 3/8", "tooth_width: 0.378", (*CAMS, "cam-flat.dxf")),
        Edit("cam tooth 0.05° round", "at: 29 deg", "at: 29.05 deg", (*CAMS, "cam-flat.dxf")),
        Edit("cam 0.003 in larger", "outside_diameter: 2 3/8", "outside_diameter: 2.378", (*CAMS, "cam-flat.dxf")),
        Edit("cam's disc 0.003 in larger", "root_diameter: 2,", "root_diameter: 2.003,", (*CAMS, "cam-flat.dxf")),
        Edit("cam's bore 0.003 in larger", "bore: 1/2", "bore: 0.503", (*CAMS, "cam-flat.dxf")),
        Edit("cam's bolt circle 0.003 in larger", "circle: 1 1/4", "circle: 1.253", (*CAMS, "cam-flat.dxf")),
        Edit("cam's holes 0.003 in larger", "hole: 7/32", "hole: 0.2218", (*CAMS, "cam-flat.dxf")),
        Edit("cam's holes 0.2° round", "first_at: 20", "first_at: 20.2", (*CAMS, "cam-flat.dxf")),
        Edit("cam 0.002 in thicker", "thickness: 3/16, material", "thickness: 0.1895, material", CAMS),
        Edit("cam the other hand", "mild-steel, bore: 1/2", "mild-steel, turns: clockwise, bore: 1/2",
             (*CAMS, "cam-flat.dxf")),
        Edit("a line for the notch", "tdc: notch", "tdc: line", WHEEL),
        Edit("recess 0.002 in deeper", "depth: 3/8}", "depth: 0.377}", BOTH),
        Edit("keyway 0.003 in wider", "keyway: {width: 1/4", "keyway: {width: 0.254", BOTH),
        Edit("kerf 0.002 in more", "kerf: 0.055", "kerf: 0.057", ()),
        Edit("bends 0.003 in wider", "inside_radius: 3/16", "inside_radius: 0.191", (*BRACKET, *FLAT)),
    ],
}  # fmt: skip
