"""STEP files of several named parts, and what their names are when read back."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from pathlib import Path

import cadquery as cq
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_Static
from OCP.STEPCAFControl import STEPCAFControl_Reader, STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_StepModelType
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label, TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.TopLoc import TopLoc_Location
from OCP.XCAFDoc import XCAFDoc_DocumentTool, XCAFDoc_ShapeTool

from wheelcad.files.brep import KernelError
from wheelcad.files.step import rewrite, unmended
from wheelcad.files.step_name import named

_USE = re.compile(rb"(NEXT_ASSEMBLY_USAGE_OCCURRENCE\(')\d+'")
_TOP = "part 1"  # what `named` takes for the product's own name


def write_named_step(path: Path, parts: Sequence[tuple[str, cq.Shape]], name: str) -> None:
    """Write the parts, each under its name, as one product `name`; in mm, AP214.

    KernelError when the kernel refuses.
    """
    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    top = tool.NewShape()
    _call(top, _TOP)
    for part, shape in parts:
        label = tool.AddShape(shape.wrapped, False)
        _call(label, part)
        _call(tool.AddComponent(top, label, TopLoc_Location()), part)
    tool.UpdateAssemblies()
    writer = STEPCAFControl_Writer()
    writer.SetNameMode(True)
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    Interface_Static.SetIVal_s("write.surfacecurve.mode", 0)
    if not writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs):
        raise KernelError(f"{path.name} could not be turned into STEP")
    if writer.Write(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise KernelError(f"{path.name} could not be written")
    rewrite(path, lambda text: named(_renumbered(text), name))


def _renumbered(text: bytes) -> bytes:
    """The uses of parts numbered from 1: the writer counts on over all files it ever wrote."""
    count = itertools.count(1)
    return _USE.sub(lambda found: b"%b%d'" % (found[1], next(count)), text)


def _call(label: TDF_Label, name: str) -> None:
    TDataStd_Name.Set_s(label, TCollection_ExtendedString(name))


def read_named_step(path: Path) -> list[tuple[str, cq.Shape]]:
    """The named parts of the file, placed, in its order. KernelError when it cannot be read."""
    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    if reader.ReadFile(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise KernelError(f"{path.name} could not be read")
    reader.SetShapeFixParameters(unmended())
    if not reader.Transfer(document):
        raise KernelError(f"{path.name} could not be read")
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    free = TDF_LabelSequence()
    tool.GetFreeShapes(free)
    out: list[tuple[str, cq.Shape]] = []
    for k in range(1, free.Length() + 1):
        components = TDF_LabelSequence()
        XCAFDoc_ShapeTool.GetComponents_s(free.Value(k), components)
        for n in range(1, components.Length() + 1):
            label = components.Value(n)
            out.append((_called(label), cq.Shape.cast(XCAFDoc_ShapeTool.GetShape_s(label))))
    return out


def _called(label: TDF_Label) -> str:
    name = TDataStd_Name()
    return name.Get().ToExtString() if label.FindAttribute(TDataStd_Name.GetID_s(), name) else ""
