"""How well the shop works, for the timing error. What is left out is assumed (trade/assumed.py) and printed so."""

from typing import Annotated

from pydantic import Field

from wheelcad.job.kinds import Quantity
from wheelcad.job.section import Section

SmallAngle = Annotated[float, Quantity("angle", 0, 10)]
SmallLength = Annotated[float, Quantity("length", 0, 50)]


class Tolerances(Section):
    """How well the shop works: 95 per cent limits, ±, where nothing else is said."""

    table_accuracy: SmallAngle | None = Field(
        default=None, description="of the rotary table: the amplitude of one sine a turn", examples=["1'"]
    )
    dial_reading: SmallAngle | None = Field(
        default=None,
        description="of the handwheel's dial, ±, anything within it alike; left out: half a dial_step",
        examples=["0.025 deg"],
    )
    centring: SmallLength | None = Field(
        default=None, description="of the work on the table: a full indicator reading", examples=[0.05]
    )
    bore_clearance: SmallLength | None = Field(
        default=None, description="of bore or pilot, on the diameter", examples=[0.03]
    )
    tdc_mark: SmallAngle | None = Field(
        default=None, description="of the TDC mark on the wheel, ±", examples=["0.25 deg"]
    )
    stop_marks: SmallAngle | None = Field(
        default=None,
        description="of each of the two marks by which TDC is found with a piston stop, ±",
        examples=["0.3 deg"],
    )
    sensor_angle: SmallLength | None = Field(
        default=None, description="of the sensor's place round the crank, ±, at its radius", examples=["1 mm"]
    )
    light_reading: SmallAngle | None = Field(
        default=None, description="of a reading with the timing light, ±", examples=["1 deg"]
    )
    gap_hot: SmallLength | None = Field(
        default=None, description="how much the air gap changes as the engine warms: a fixed shift", examples=[0.1]
    )
