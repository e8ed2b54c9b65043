"""The target on the cam, which tells compression from exhaust so that every cylinder can have a coil of its own."""

from typing import Literal

from wheelcad.job.rotating import Bolts
from wheelcad.job.section import Angle, Positive, Section, WheelMetal, key, optional


class CamSensor(Section):
    """The sensor that reads the cam's target."""

    kind: Literal["hall", "reluctance"] = key("hall, or reluctance (magnetic pickup)", "hall")
    at: Angle = key("where it sits, cam degrees from the cam's TDC line the way the cam turns", "90 deg")
    air_gap: Positive = key("from sensing face to tooth", 0.8, default=0.8)
    face_diameter: Positive | None = optional("the part of the nose that senses", 5)


class Cam(Section):
    """A target that turns with the cam, at half the crank's speed, for coils of each cylinder's own.

    Angles are cam degrees from the cam's TDC line: what points straight up when cylinder 1 is at top dead centre of its
    compression stroke. One degree of cam is two of crank.
    """

    style: Literal["tooth", "half-moon"] = key(
        "tooth: one tooth on a disc; half-moon: half the rim stands higher, so the level tells the turn", "half-moon"
    )
    outside_diameter: Positive = key("over the tooth or the high half", 60)
    root_diameter: Positive = key("of the disc beside it", 48)
    thickness: Positive = key("of the disc, along the cam", 4)
    tooth_width: Positive | None = optional("tooth style: across its sides", 8)
    at: Angle = key(
        "middle of the tooth or of the high half, cam degrees from the cam's TDC line the way it turns",
        "0 deg",
        default=0,
    )
    turns: Literal["clockwise", "anticlockwise"] | None = optional(
        "which way the cam turns, seen facing the target; left out: as the crank, as with a belt or chain", "clockwise"
    )
    bore: Positive | None = optional("the hole in the middle", 12)
    bolts: Bolts | None = optional("bolt holes", {"count": 3, "circle": 26, "hole": 5.5, "first_at": "0 deg"})
    material: WheelMetal = key("what it is made of", "mild-steel", default="mild-steel")
    sensor: CamSensor | None = optional("the sensor that reads it", {"kind": "hall", "at": "90 deg"})
