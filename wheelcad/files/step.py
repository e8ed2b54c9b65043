"""STEP files: written with a fixed header, so that the same solid gives the same bytes; read back as solids."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import cadquery as cq
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_Static
from OCP.Resource import Resource_DataMapOfAsciiStringAsciiString
from OCP.STEPControl import STEPControl_Reader, STEPControl_StepModelType, STEPControl_Writer
from OCP.TCollection import TCollection_AsciiString

from wheelcad.files.brep import KernelError
from wheelcad.files.step_name import WRITTEN_AS, named

# What a reader would mend in silence, and a check must see as it stands in the file. What completes a file that leaves
# out curves on surfaces, as these do, stays on, and so does what adds the edge of no length at a cone's tip, which STEP
# cannot hold.
_MENDING = (
    "FixOrientationMode",
    "FixIntersectingWiresMode",
    "FixLoopWiresMode",
    "FixSplitFaceMode",
    "FixSelfIntersectionMode",
    "FixIntersectingEdgesMode",
    "FixNonAdjacentIntersectingEdgesMode",
    "FixSelfIntersectingEdgeMode",
    "FixNotchedEdgesMode",
    "FixTailMode",
    "FixSameParameterMode",
    "FixShellOrientationMode",
    "FixFaceOrientationMode",
    "FixSmallAreaWireMode",
    "FixLackingMode",
    "FixSmallMode",
)
_STAMP = re.compile(rb"FILE_NAME\('(?:[^']|'')*','[^']*'")
FIXED_TIME = "1970-01-01T00:00:00"  # a date in the header would make every run differ


def write_step(path: Path, shape: cq.Shape, name: str) -> None:
    """Write `shape` in mm as AP214 under the product name `name`. KernelError when the kernel refuses."""
    writer = STEPControl_Writer()
    Interface_Static.SetCVal_s("write.step.product.name", WRITTEN_AS)
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    Interface_Static.SetIVal_s("write.surfacecurve.mode", 0)  # curves in space say it all: a third of the size and time
    done = writer.Transfer(shape.wrapped, STEPControl_StepModelType.STEPControl_AsIs)
    if done != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise KernelError(f"{path.name} could not be turned into STEP")
    if writer.Write(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise KernelError(f"{path.name} could not be written")
    rewrite(path, lambda text: named(text, name))


def rewrite(path: Path, change: Callable[[bytes], bytes]) -> None:
    """Put a fixed name and time into a written file's header, and `change` its text. KernelError without a header."""
    text = path.read_bytes()
    text, found = _STAMP.subn(f"FILE_NAME('{path.name}','{FIXED_TIME}'".encode(), text, count=1)
    if found != 1:
        raise KernelError(f"{path.name} has no header to fix the time in")
    path.write_bytes(change(text))


def unmended() -> Resource_DataMapOfAsciiStringAsciiString:
    """What a reader is told so that it mends nothing."""
    told = Resource_DataMapOfAsciiStringAsciiString()
    for what in _MENDING:
        told.Bind(TCollection_AsciiString(f"FixShape.{what}"), TCollection_AsciiString("0"))
    return told


def read_step(path: Path) -> cq.Shape:
    """The shape in a STEP file, in mm, as it stands there. KernelError when it cannot be read."""
    reader = STEPControl_Reader()
    if reader.ReadFile(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise KernelError(f"{path.name} could not be read")
    reader.SetShapeFixParameters(unmended())  # only now: reading sets its own
    reader.TransferRoots()
    return cq.Shape.cast(reader.OneShape())
