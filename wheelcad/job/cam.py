"""The target on the cam, which tells compression from exhaust so that every cylinder can have a coil of its own."""

from typing import Literal

from pydantic import Field

from wheelcad.job.section import Angle, Positive, Section, WheelMetal
from wheelcad.job.turning import Bolts


class CamSensor(Section):
    """The sensor that reads the cam's target."""

    kind: Literal["hall", "reluctance"] = Field(description="hall, or reluctance (magnetic pickup)", examples=["hall"])
    at: Angle = Field(
        description="where it sits, cam degrees from the cam's TDC line the way the cam turns", examples=["90 deg"]
    )
    air_gap: Positive = Field(default=0.8, description="from sensing face to tooth", examples=[0.8])
    face_diameter: Positive | None = Field(default=None, description="the part of the nose that senses", examples=[5])


class Cam(Section):
    """A target that turns with the cam, at half the crank's speed, for coils of each cylinder's own.

    Angles are cam degrees from the cam's TDC line: what points straight up when cylinder 1 is at top dead centre of its
    compression stroke. One degree of cam is two of crank.
    """

    style: Literal["tooth", "half-moon"] = Field(
        description="tooth: one tooth on a disc; half-moon: half the rim stands higher, so the level tells the turn",
        examples=["half-moon"],
    )
    outside_diameter: Positive = Field(description="over the tooth or the high half", examples=[60])
    root_diameter: Positive = Field(description="of the disc beside it", examples=[48])
    thickness: Positive = Field(description="of the disc, along the cam", examples=[4])
    tooth_width: Positive | None = Field(default=None, description="tooth style: across its sides", examples=[8])
    at: Angle = Field(
        default=0,
        description="middle of the tooth or of the high half, cam degrees from the cam's TDC line the way it turns",
        examples=["0 deg"],
    )
    turns: Literal["clockwise", "anticlockwise"] | None = Field(
        default=None,
        description="which way the cam turns, seen facing the target; left out: as the crank, as with a belt or chain",
        examples=["clockwise"],
    )
    bore: Positive | None = Field(default=None, description="the hole in the middle", examples=[12])
    bolts: Bolts | None = Field(
        default=None,
        description="bolt holes",
        examples=[{"count": 3, "circle": 26, "hole": 5.5, "first_at": "0 deg"}],
    )
    material: WheelMetal = Field(default="mild-steel", description="what it is made of", examples=["mild-steel"])
    sensor: CamSensor | None = Field(
        default=None, description="the sensor that reads it", examples=[{"kind": "hall", "at": "90 deg"}]
    )
