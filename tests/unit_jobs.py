"""Whole jobs in inches and in millimetres, and a reader of every text that a build leaves for a person."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from pathlib import Path

INCH_SIX = """\
job: moss-six
title: Trigger wheel for an invented six, turned down
units: in
engine: {cylinders: 6, firing_order: [1, 5, 3, 6, 2, 4], turns: anticlockwise, max_speed: 5200 rpm, spark: wasted}
wheel:
  form: turned-down
  teeth: 36
  missing: 1
  gap_at: 40 deg
  outside_diameter: 6 1/4
  thickness: 1/8
  slot: {width: 1/4, depth: 1/4, sides: parallel, floor: round}
  material: grey-iron
pulley:
  bore: 1 1/4
  keyway: {width: 1/4, depth: 1/8, at: 0 deg}
  bolts: {count: 4, circle: 2 3/4, hole: 11/32, first_at: 45 deg}
  recess: {diameter: 2 1/8, depth: 3/8}
  as_found:
    - {length: 1, diameter: 6 1/2}
    - {length: 9/16, diameter: 5 7/8, groove: {width: 1/2, depth: 7/16, angle: 36 deg}}
  turned:
    - {length: 5/16, diameter: 4 5/8}
    - wheel
    - {length: 9/16, diameter: 4 5/8}
    - {length: 9/16, diameter: 5 7/8, groove: {width: 1/2, depth: 7/16, angle: 36 deg}}
  belts:
    - {at: 1.28, width: 3/8, from_deg: 65, to_deg: 215}
sensor:
  kind: hall
  looks: in
  at: 310 deg
  air_gap: 0.030
  air_gap_range: [0.020, 0.060]
  face_diameter: 1/4
  body_diameter: 11/16
  nose_length: 1
  bolt: {hole: 1/4, offset: 15/16}
  mass: 2 oz
  max_tooth_rate: 15 kHz
bracket:
  plate: {thickness: 3/16, material: mild-steel, inside_radius: 3/16}
  mounts:
    - {x: 5.2, y: 3.5, hole: 7/16, thread: M10}
    - {x: 5.2, y: 5.5, hole: 7/16, thread: M10}
  mount_face: -1.2
  width: 1 3/4
  adjust: 1/4
  bends: hand
  gusset: yes
gauge: {thickness: 0.160, style: outline, hole_allowance: 0.010}
balance: {grade: G16, correct_by: holes, largest_drill: 5/16}
shop:
  rotary_table: {ratio: 40, dial_step: 0.05 deg, backlash: 0.2 deg}
  cutter: {diameter: 1/4, flutes: 4, material: hss}
  printer: {bed: [9, 9], nozzle: 0.016}
  plasma: {kerf: 0.055, bend_marks: yes, compensate: yes}
  drills: inch
  readout: yes
"""

METRIC = re.compile(r"\d ?(?:mm|µm|g·mm|MPa|N|N·m|N/mm|m/s|m/min|mm/min|mm²|mm³)(?![\w/·²³])|of a millimet(?:re|er)")
_AFTER = r"(?=[,.;:)\]×]|$| (?:deep|wide|long|high|drill|below|above|from the centre|thick|×))"  # "36 in all" is none
INCHES = re.compile(rf"\d ?(?:in{_AFTER}|psi|lbf|ft/s|in/min|g·in)")


def texts_of(folder: Path) -> Iterator[tuple[str, str]]:
    """(file, text) of everything a person reads in a folder of outputs."""
    for path in sorted(folder.iterdir()):
        if path.suffix == ".pdf":
            yield from ((path.name, text) for text in _pdf(path))
        elif path.suffix == ".dxf":
            yield from ((path.name, text) for text in _dxf(path))
        elif path.suffix == ".html":
            yield from ((path.name, text) for text in _html(path))
        elif path.suffix in (".txt", ".md"):
            yield path.name, path.read_text(encoding="utf-8")


def _pdf(path: Path) -> Iterator[str]:
    from pypdf import PdfReader

    for page in PdfReader(path).pages:
        yield from page.extract_text().split("\n")


def _dxf(path: Path) -> Iterator[str]:
    import ezdxf

    doc = ezdxf.readfile(path)
    for entity in doc.entitydb.values():
        kind = entity.dxftype()
        if kind in ("TEXT", "ATTRIB"):
            yield entity.dxf.text.replace("%%c", "⌀").replace("%%d", "°")
        elif kind == "MTEXT":
            yield entity.text
        elif kind == "DIMENSION":
            yield entity.dxf.get("text", "")


def _html(path: Path) -> Iterator[str]:
    page = path.read_text(encoding="utf-8")
    for block in re.findall(r"<script[^>]*type=\"application/json\"[^>]*>(.*?)</script>", page, re.S):
        yield from re.findall(r'"((?:[^"\\]|\\.)*)"', block)
    page = re.sub(r"<(script|style)\b.*?</\1>", " ", page, flags=re.S)
    yield from (html.unescape(text).strip() for text in re.split(r"<[^>]+>", page) if text.strip())
