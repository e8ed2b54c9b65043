"""cadquery's shapes without the rest of its package: what shows, exports, sketches and assembles is never called here.

Only for a process of our own that imports cadquery for nothing else (`python -m wheelcad.kernel`): whoever imports it
there afterwards finds geometry and shapes, and no Workplane. Loading all of it takes half as long again.
"""

from __future__ import annotations

import importlib
import importlib.util
import sys
from types import ModuleType

UNUSED = (  # asked for, never used: what shows, and the language in which faces can be asked for
    "vtk",
    "vtkmodules",
    "vtkmodules.vtkCommonDataModel",
    "vtkmodules.vtkFiltersCore",
    "cadquery.selectors",
)
PARTS = ("cadquery.occ_impl.geom", "cadquery.occ_impl.shapes")


class _Unused(ModuleType):
    """Stands for a module whose names are imported and never used."""

    def __getattr__(self, name: str) -> None:
        if name.startswith("__"):
            raise AttributeError(name)


def import_shapes() -> None:
    """Import cadquery so that `cq.Solid` and the like are there; all of it where a release is packed otherwise."""
    if "cadquery" in sys.modules:
        return
    before = set(sys.modules)
    try:
        _import_parts()
    except Exception:  # whatever a release that we do not know trips over
        for name in set(sys.modules) - before:
            if name.partition(".")[0] in ("cadquery", "vtk", "vtkmodules"):
                del sys.modules[name]
        importlib.import_module("cadquery")


def _import_parts() -> None:
    spec = importlib.util.find_spec("cadquery")
    if spec is None:
        raise ImportError("No module named 'cadquery'", name="cadquery")
    for name in UNUSED:
        sys.modules.setdefault(name, _Unused(name))
    package = sys.modules["cadquery"] = importlib.util.module_from_spec(spec)
    for part in PARTS:
        module = importlib.import_module(part)
        for name, value in vars(module).items():
            if isinstance(value, type) and value.__module__ == part:
                setattr(package, name, value)
