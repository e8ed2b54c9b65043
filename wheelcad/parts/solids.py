"""Every solid of a design, built and written as STEP and STL. Runs in the kernel's own process."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import cadquery as cq

from wheelcad.files.brep import figures
from wheelcad.files.figures import BodyFigures
from wheelcad.files.step import write_step
from wheelcad.files.stl_writer import write_stl
from wheelcad.parts.design import Design


def solids(design: Design) -> Iterator[tuple[str, cq.Shape, bool]]:
    """Name, shape, and whether it is also written as STL, in the order of the work."""
    from wheelcad.parts.wheel.solid import wheel_solid

    yield "wheel", wheel_solid(design.wheel, design.blank, design.balance.holes), True
    if design.blank is not None:
        from wheelcad.parts.blank.solid import blank_solid

        yield "blank", blank_solid(design.blank), True
    if design.gauge is not None:
        from wheelcad.parts.gauge.solid import gauge_solid

        yield "gauge", gauge_solid(design.gauge), True
    if design.bracket is not None:
        from wheelcad.parts.bracket.solid import bracket_solid

        yield "bracket", bracket_solid(design.bracket), True
    if design.adapter is not None:
        from wheelcad.parts.adapter.solid import adapter_solid

        yield "adapter", adapter_solid(design.adapter), False
    if design.cam is not None:
        from wheelcad.parts.cam.solid import cam_solid

        yield "cam", cam_solid(design.cam), True


def undrilled_wheel(design: Design) -> BodyFigures:
    """The kernel's figures of the wheel before correction holes: where `before` comes from."""
    from wheelcad.parts.wheel.solid import wheel_solid

    return figures(wheel_solid(design.wheel, design.blank))


def write_solids(design: Design, folder: Path, done: Callable[[str], None]) -> None:
    """Write all solids into the folder; `done` hears each part's name."""
    built: dict[str, cq.Shape] = {}
    for name, shape, printed in solids(design):
        built[name] = shape
        write_step(folder / f"{name}.step", shape, f"{design.job.job} {name}")
        if name == "gauge" and design.gauge is not None:
            from wheelcad.parts.gauge.solid import write_gauge_meshes

            write_gauge_meshes(folder, shape, design.gauge, f"{design.job.job} gauge")
        elif printed:
            write_stl(folder / f"{name}.stl", shape)
        done(name)
    if design.job.sensor is not None:
        from wheelcad.parts.assembly.solid_files import write_assembly

        write_assembly(design, folder, built)
        done("assembly")
