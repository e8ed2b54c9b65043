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

SIGNAL = """\
  element: hall-differential
  element_spacing: 2.5
  output: iron-low
  level: {volts: 1.2, at: 100 rpm, gap: 0.8}
  delay: 10 us
  least_tooth_rate: 0 Hz
  needs_teeth: 0
"""

REST = """
survey:
  read_to: 0.5
  readings:
    - {from: centre, to: low, is: 158.6}
    - {from: bolt-4, to: m2, is: 119.7, slant: yes}
  clock: {low: 10 o'clock, m2: 10:30}
controller: {least_volts: 0.3, arming: 0.35, ratio: 1.5, compares: both, filter: 20 us}
tolerances:
  table_accuracy: 1'
  dial_reading: 0.025 deg
  centring: 0.05
  bore_clearance: 0.03
  tdc_mark: 0.25 deg
  stop_marks: 0.3 deg
  sensor_angle: 1 mm
  light_reading: 1 deg
  gap_hot: 0.1
allow: [pulley.as_found, sensor]
"""

TURNED = edited(
    demo_text("tarn-six"),
    ("units: mm\n", "units: mm\npaper: A3\ndimensions: dual\n"),
    (
        "spark: wasted",
        "spark: per-cylinder\n  layout: inline\n  idle_speed: 800 rpm\n  cranking_dip: 0.55\n  compression: 8.5\n"
        "  advance: {cranking: 5 deg, least: 5 deg, most: 40 deg}\n  dwell: 4 ms",
    ),
    ("  material: grey-iron\n\n", "  material: grey-iron\n  marks: {tdc: notch, degrees: [5, 10, 15]}\n\n"),
    ("{x: -132, y: 88,", "{name: low, x: -132, y: 88,"),
    ("mount_face: -30", "block: grey-iron\n  mount_face: {behind_front: 39.6}"),
    ("backlash: 0.2 deg,", "backlash: 0.2 deg, diameter: 150, centre_height: 80,"),
    ("  missing: 1\n  gap_at: 0 deg\n", "  gaps: [{at: 0 deg, missing: 1}, {at: 120 deg, missing: 1}]\n"),
    ("  mass: 60 g\n", "  mass: 60 g\n  times_on: trailing\n  senses: any\n" + SIGNAL),
    ("inside_radius: 5}", "inside_radius: 5, k_factor: 0.4}"),
    (
        "  bends: hand\n",
        "  bends: hand\n  packing: 0.5\n  adjust_along: 2\n"
        "  obstacles: [{name: pump, x: 150, y: 20, z: -40, radius: 20}, "
        "{name: hose, x: 160, y: -60, z: {behind_front: 40}}]\n"
        "  hand_bend: {allowance: 10.5}\n",
    ),
    (
        "covers: 360 deg",
        "covers: 360 deg, outline_allowance: -0.1, shrinkage: 0.2, first_layer_setback: 0.3, clearance: 0.2",
    ),
    (
        "radius: 66, largest_drill: 8",
        "band: [55, 68], largest_drill: 8, faces: front, as_found: unknown,"
        " reading: {putty: 2.1 g, radius: 60, at: 140 deg}, "
        "recheck: {putty: 0.3 g, radius: 60, at: 320 deg}, turns_with: 18 kg",
    ),
    ("material: hss}", "material: hss, corner: 0.2, stick_out: 25, holder_diameter: 40}"),
    ("plasma: {kerf: 1.4", "plasma: {bend_marks: yes, compensate: yes, kerf: 1.4"),
    ("  drills: metric\n", f"  drills: metric\n  slots_by: mill\n  readout: yes\n  rotary_axis: yes\n{CAM}{REST}"),
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
