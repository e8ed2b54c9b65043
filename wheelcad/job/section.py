"""What the sections of a job file are made of: the base of all models, and the kinds of value they share."""

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from wheelcad.job.kinds import Metric, Number, Quantity, Text, Whole, YesOrNo

# mm. Nothing that is cut or turned is under a hundredth of a millimetre; lengths end far beyond a home shop's, so that
# inches taken for millimetres are asked about rather than refused.
LEAST, GREATEST = 0.01, 5000.0
Length = Annotated[float, Quantity("length", -GREATEST, GREATEST)]
Positive = Annotated[float, Quantity("length", LEAST, GREATEST)]
NotNegative = Annotated[float, Quantity("length", 0, GREATEST, least=LEAST)]
Angle = Annotated[float, Quantity("angle", -720, 720)]
Speed = Annotated[float, Quantity("speed", 0, 100_000, above=True)]
Frequency = Annotated[float, Quantity("frequency", 0, 1e9, above=True)]
Mass = Annotated[float, Quantity("mass", 0, 1000, above=True)]
Time = Annotated[float, Quantity("time", 0, 1000)]
Volts = Annotated[float, Number(0, 1000)]
Share = Annotated[float, Number(0, 1)]
PointName = Annotated[str, Text("a name of at most 32 letters, digits, - and _", 32, "[A-Za-z0-9][A-Za-z0-9_-]*")]
YesNo = Annotated[bool, YesOrNo()]
Cylinder = Annotated[int, Whole(1, 24)]
Thread = Annotated[str, Metric("a metric thread such as M10 or M12x1", 16, r"M[0-9]+(\.[0-9]+)?(x[0-9]+(\.[0-9]+)?)?")]
WheelMetal = Literal["grey-iron", "ductile-iron", "mild-steel", "stainless-430", "aluminium-6061"]
BlockMetal = Literal["grey-iron", "ductile-iron", "mild-steel", "aluminium-6061"]
PlateMetal = Literal["mild-steel", "stainless-430", "aluminium-6061"]


class Section(BaseModel):
    """A part of the job file: frozen, and every key it does not know is an error."""

    # defer_build: the whole job is compiled once, when the first one is read, and not section by section at import
    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


def key(what: str, *examples: Any, **more: Any) -> Any:
    """A key of a section: what it is, in words, and examples to write; more: its `default`, `alias` and lengths."""
    return Field(description=what, examples=list(examples) or None, **more)


def optional(what: str, *examples: Any, **more: Any) -> Any:
    """A key that may be left out, which is None then."""
    return key(what, *examples, default=None, **more)
