"""Every solid of a design, built and written as STEP and STL. Runs in the kernel's own process."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import contextmanager
from functools import cached_property
from pathlib import Path

import cadquery as cq

from wheelcad.files.brep import figures
from wheelcad.files.figures import BodyFigures
from wheelcad.files.step import write_step
from wheelcad.files.stl_writer import write_stl
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.design import Design

STANDING = ("wheel", "adapter", "bracket")  # the parts that stand in the assembly


class PartError(RuntimeError):
    """The kernel did not make a part, named first, and what it said."""


@contextmanager
def _about(part: str) -> Iterator[None]:
    """What goes wrong here is about this part; a disk that is full is about none."""
    try:
        yield
    except (OSError, ImportError, PartError):
        raise
    except Exception as error:  # the kernel raises whatever it likes
        raise PartError(part, f"{type(error).__name__}: {error}") from error


class Solids:
    """The solids of a design, each built when it is asked for; the turned blank, which the wheel is cut from, once.

    called: the job's name, for products in files; the design's own job's where it is left out.

    What builds them is imported here and there: a process loads only what it makes.
    """

    def __init__(self, design: Design, called: str = "") -> None:
        self.design = design
        self.called = called or design.job.job

    @cached_property
    def turned(self) -> cq.Solid | None:
        """The blank, None in plate form."""
        if self.design.blank is None:
            return None
        from wheelcad.parts.blank.solid import blank_solid

        return blank_solid(self.design.blank)

    def wheel(self, holes: Sequence[CorrectionHole]) -> cq.Solid:
        """The wheel with these correction holes."""
        from wheelcad.parts.wheel.solid import wheel_solid

        return wheel_solid(self.design.wheel, self.design.blank, holes, self.turned)

    def undrilled(self) -> BodyFigures:
        """The kernel's figures of the wheel before correction holes: where `before` comes from."""
        return figures(self.wheel(()))

    def before_readings(self) -> tuple[BodyFigures, ...]:
        """The kernel's figures of the wheel as it was when each reading was taken, its own holes not yet drilled."""
        holes = self.design.balance.holes
        return tuple(
            figures(self.wheel([hole for hole in holes if hole.reading < one.number]))
            for one in self.design.balance.readings
        )

    def part(self, name: str) -> cq.Shape:
        """The solid of one of the design's parts, by its name."""
        design = self.design
        if name == "blank" and self.turned is not None:
            return self.turned
        if name == "gauge" and design.gauge is not None:
            from wheelcad.parts.gauge.solid import gauge_solid

            return gauge_solid(design.gauge)
        if name == "bracket" and design.bracket is not None:
            from wheelcad.parts.bracket.solid import bracket_solid

            return bracket_solid(design.bracket)
        if name == "adapter" and design.adapter is not None:
            from wheelcad.parts.adapter.solid import adapter_solid

            return adapter_solid(design.adapter)
        if name == "cam" and design.cam is not None:
            from wheelcad.parts.cam.solid import cam_solid

            return cam_solid(design.cam)
        return self.wheel(design.balance.holes)


def write_part_step(solids: Solids, name: str, folder: Path) -> cq.Shape:
    """Build one part and write its STEP; the shape."""
    with _about(name):
        shape = solids.part(name)
        write_step(folder / f"{name}.step", shape, f"{solids.called} {name}")
    return shape


def write_part_meshes(solids: Solids, name: str, shape: cq.Shape, folder: Path) -> None:
    """Write the part's STL, of a gauge its 3MF as well; nothing of an adapter, which nothing prints or weighs."""
    design = solids.design
    with _about(name):
        if name == "gauge" and design.gauge is not None:
            from wheelcad.parts.gauge.solid import write_gauge_meshes

            write_gauge_meshes(folder, shape, design.gauge, f"{solids.called} gauge")
        elif name != "adapter":
            write_stl(folder / f"{name}.stl", shape)


def write_solids(solids: Solids, folder: Path, done: Callable[[str], None], leave_out: Collection[str] = ()) -> None:
    """Write all solids but those named into the folder, then the assembly, where it is not named; `done` hears each
    part's name."""
    built: dict[str, cq.Shape] = {}
    for name in solids.design.parts:
        if name not in leave_out:
            built[name] = write_part_step(solids, name, folder)
            write_part_meshes(solids, name, built[name], folder)
            done(name)
    if solids.design.job.sensor is not None and "assembly" not in leave_out:
        from wheelcad.parts.assembly.solid_files import write_assembly

        for name in STANDING:
            if name in solids.design.parts and name not in built:
                with _about(name):
                    built[name] = solids.part(name)
        write_assembly(solids.design.job, solids.called, solids.design.bracket, folder, built)
        done("assembly")
