"""Two jobs that between them use every key there is: what the demo jobs leave out stands here."""

from __future__ import annotations

from tests.conftest import demo_text, edited

CAM = """
cam:
  style: tooth
  outside_diameter: 60
  root_diameter: 48
  thickness: 4
  tooth_width: 8
  at: 20 deg
  turns: clockwise
  bore: 12
  bolts: {count: 3, circle: 26, hole: 5.5, first_at: 10 deg}
  material: mild-steel
  sensor: {kind: hall, at: 90 deg, air_gap: 0.8, face_diameter: 5}
"""

TURNED = edited(
    demo_text("tarn-six"),
    ("units: mm\n", "units: mm\npaper: A3\ndimensions: dual\n"),
    ("spark: wasted", "spark: per-cylinder"),
    ("  missing: 1\n  gap_at: 0 deg\n", "  gaps: [{at: 0 deg, missing: 1}, {at: 120 deg, missing: 1}]\n"),
    ("  mass: 60 g\n", "  mass: 60 g\n  times_on: trailing\n  senses: any\n"),
    ("inside_radius: 5}", "inside_radius: 5, k_factor: 0.4}"),
    ("  bends: hand\n", "  bends: hand\n  adjust_along: 2\n  hand_bend: {allowance: 10.5}\n"),
    ("covers: 360 deg", "covers: 360 deg, outline_allowance: -0.1, shrinkage: 0.2, elephant_foot: 0.3, clearance: 0.2"),
    ("radius: 66, largest_drill: 8", "band: [55, 68], largest_drill: 8, faces: front, as_found: unknown"),
    ("material: hss}", "material: hss, stick_out: 25, holder_diameter: 40}"),
    ("plasma: {kerf: 1.4", "plasma: {bend_marks: yes, compensate: yes, kerf: 1.4"),
    ("  drills: metric\n", f"  drills: metric\n  readout: yes\n  rotary_axis: yes\n{CAM}"),
)

PLATE = edited(
    demo_text("fell-twin"),
    (
        "  bore: 1 3/4\n",
        "  bore: 1 3/4\n  as_found: {bore: 1 1/4, toothed: no,"
        " bolts: {count: 3, circle: 2 1/2, hole: 17/64, first_at: 60 deg}}\n",
    ),
    ("  length: 1/2\n", "  length: 1/2\n  ring_at: 9/16\n  material: mild-steel\n"),
    ("  from: front\n", "  from: front\n  radius: 2.22\n"),
)
