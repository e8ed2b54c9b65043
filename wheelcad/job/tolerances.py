"""How well the shop works, for the timing error. What is left out is assumed (trade/assumed.py) and printed so."""

from typing import Annotated

from wheelcad.job.kinds import Quantity
from wheelcad.job.section import Section, optional

SmallAngle = Annotated[float, Quantity("angle", 0, 10)]
SmallLength = Annotated[float, Quantity("length", 0, 50)]


class Tolerances(Section):
    """How well the shop works: 95 per cent limits, ±, where nothing else is said."""

    table_accuracy: SmallAngle | None = optional("of the rotary table: the amplitude of one sine a turn", "1'")
    dial_reading: SmallAngle | None = optional(
        "of the handwheel's dial, ±, anything within it alike; left out: half a dial_step", "0.025 deg"
    )
    centring: SmallLength | None = optional("of the work on the table: a full indicator reading", 0.05)
    bore_clearance: SmallLength | None = optional("of bore or pilot, on the diameter", 0.03)
    tdc_mark: SmallAngle | None = optional("of the TDC mark on the wheel, ±", "0.25 deg")
    stop_marks: SmallAngle | None = optional(
        "of each of the two marks by which TDC is found with a piston stop, ±", "0.3 deg"
    )
    sensor_angle: SmallLength | None = optional("of the sensor's place round the crank, ±, at its radius", "1 mm")
    light_reading: SmallAngle | None = optional("of a reading with the timing light, ±", "1 deg")
    gap_hot: SmallLength | None = optional("how much the air gap changes as the engine warms: a fixed shift", 0.1)
