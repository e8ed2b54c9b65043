"""How a wheel is brought before the program, and what can hurt while one does: said in `measure --help`, in the
documentation, and beside every result of a recording."""

from __future__ import annotations

CAUTIONS = (
    "A reluctance sensor gives tens of volts at speed: put a divider (100 kΩ in series, 4.7 kΩ across the input) "
    "before the line input, use a computer on its battery, and keep the leads off high tension and moving parts.",
    "On the starter, with ignition and fuel disabled, nothing else may be within reach of belts and fan.",
)
SCAN = (
    "Scan a plate wheel flat on clean glass, 300 dpi or more, with white paper behind it and room round it; three "
    "scans, the wheel turned by a third of a turn each, tell the scanner's own error apart. A wheel in its pulley "
    "cannot lie on the glass: lay card on its teeth and rub a pencil over the edges, or trace the ring with a sharp "
    "pencil held upright, fill the shape with black, and scan that."
)
RECORDING = (
    "Record the sensor's two wires by the sound card's line input (WAV, no compression), ten seconds of cranking or "
    f"idling. {' '.join(CAUTIONS)}"
)
ANGLES = "A list of angles is CSV with a column slot_deg or edge_deg, as read off the table; times have time_s."
EVERY = (SCAN, RECORDING, ANGLES)
MEASURE_HELP = "\n\n".join(["A real wheel: what it is, what went wrong, and what can be saved.", *EVERY])
