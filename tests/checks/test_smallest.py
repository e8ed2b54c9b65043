"""Each check's fineness: the fault of the table is caught by that very check, and half of its tolerance passes."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.checks.seeded import spoil as by
from tests.checks.seeded.run import narrow
from tests.conftest import _built
from wheelcad.build import BuildResult
from wheelcad.checks.drawings import METRIC_PLACES, words_of
from wheelcad.checks.smallest import SMALLEST, Smallest

PLATE = ("wheel-flat.dxf", "wheel-finished.dxf")  # of the plate demo; all else of the turned one
QUICK = {("slit-place", "bracket-flat.dxf"), ("chart-slots", "index-chart.csv"), ("chart-columns", "index-chart.csv")}


def _mesh(change: Callable[[float], Callable[..., object]]) -> Callable[[float], by.Spoil]:
    return lambda size: by.mesh(change(size))  # type: ignore[arg-type]


def _more(column: str, row: int) -> Callable[[float], by.Spoil]:
    return lambda size: by.cell(column, lambda value: f"{float(value) + size:.12f}", row)


def _all_moved(size: float) -> by.Spoil:
    return by.dxf(lambda doc, space: [entity.translate(size, 0, 0) for entity in space])


def _wider(size: float) -> by.Spoil:
    return by.entity("CIRCLE", "HOLES", lambda e: e.dxf.set("radius", e.dxf.radius + size))


def _moved_on(layer: str) -> Callable[[float], by.Spoil]:
    return lambda size: by.entity("LINE", layer, lambda e: e.translate(size, 0, 0))


def _over_the_teeth(change: Callable[[Any], None]) -> by.Spoil:
    """The dimension over the teeth, which says 160, changed."""

    def on(_doc: Any, space: Any) -> None:
        (entity,) = (e for e in space if e.dxftype() == "DIMENSION" and words_of(e).strip("()").endswith("160"))
        change(entity)

    return by.dxf(on)


def _end_moved(size: float) -> by.Spoil:
    def change(entity: Any) -> None:
        point = entity.dxf.defpoint2
        entity.dxf.defpoint2 = point + type(point)(size, size, 0)

    return _over_the_teeth(change)


def _text_changed(size: float) -> by.Spoil:
    """By so many steps of its last figure, noughts that are left out counted."""
    step = size * 10.0**-METRIC_PLACES

    def change(entity: Any) -> None:
        point = entity.dxf.defpoint2
        entity.dxf.defpoint2 = point + type(point)(0, step, 0)  # its lower end, upwards
        entity.dxf.actual_measurement -= step

    return _over_the_teeth(change)


def _sensor_moved(size: float) -> by.Spoil:
    """Along the nose of a sensor at 310° that looks in, on an engine that turns clockwise."""
    import numpy as np

    at = np.radians(310.0)
    along = -size * np.array([np.sin(at), np.cos(at), 0.0])
    return by.glb(lambda parts: parts.__setitem__("sensor", parts["sensor"] + along))


def _nose(size: float) -> Callable[..., object]:
    import numpy as np

    at = np.radians(310.0)
    return by.moved(-size * float(np.sin(at)), -size * float(np.cos(at)), 0.0)


def _step_moved(size: float) -> by.Spoil:
    def spoil(path: Path) -> None:
        import cadquery as cq
        import numpy as np

        from wheelcad.files.step import read_step, write_step

        at = np.radians(310.0)
        shape = read_step(path).moved(cq.Location(cq.Vector(-size * np.sin(at), -size * np.cos(at), 0)))
        write_step(path, shape, "bracket")

    return spoil


def _print_moved(*way: float) -> Callable[[float], by.Spoil]:
    def of(size: float) -> by.Spoil:
        move = by.moved(*(size * part for part in way))
        return by.print_file(lambda bodies: [body.__setitem__(1, move(body[1])) for body in bodies])

    return of


SIDEWAYS, UP = _mesh(lambda size: by.moved(size, 0, 0)), _mesh(lambda size: by.moved(0, size, 0))
ALONG, TURNED = _mesh(lambda size: by.moved(0, 0, size)), _mesh(by.turned)
SPOILS: dict[str, Callable[[float], by.Spoil]] = {
    "all moved sideways": SIDEWAYS,
    "all moved upwards": UP,
    "all moved along the crank": ALONG,
    "all turned": TURNED,
    "all moved sideways, which an indicator reads twice": SIDEWAYS,
    "all moved sideways, against gauge.step": SIDEWAYS,
    "all larger, volume by three times that": _mesh(lambda size: by.scaled(1 + size)),
    "all moved along the nose": _mesh(_nose),
    "all moved": _all_moved,
    "all moved, its head not": _all_moved,
    "a hole's radius larger": _wider,
    "a hole's radius larger, its diameter by twice that": _wider,
    "a mark moved": _moved_on("MARK"),
    "a slit moved": _moved_on("SLIT"),
    "at_deg of a slot larger": _more("at_deg", 4),
    "diameter_mm of a hole larger": _more("diameter_mm", -1),
    "advance_dial_deg larger": _more("advance_dial_deg", 4),
    "the sensor moved along its nose, against assembly.step": _sensor_moved,
    "a dimension's end moved": _end_moved,
    "a dimension's length other than its text": _text_changed,
}
OF_3MF = {"all moved sideways": _print_moved(1, 0, 0), "all moved upwards": _print_moved(0, 0, 1)}


def _spoil(one: Smallest, size: float) -> by.Spoil:
    if one.file == "gauge.3mf":
        return OF_3MF[one.fault](size)
    if one.file == "bracket.step":
        return _step_moved(size)
    return SPOILS[one.fault](size)


def _failed(one: Smallest, size: float, built: BuildResult, folder: Path) -> bool:
    shutil.copytree(built.folder, folder)
    _spoil(one, size)(folder / one.file)
    found = [f for f in narrow(folder, built.design, one.file, built) if f.check == one.check]
    assert found, f"{one.check} did not look at {one.file}"
    return any(f.verdict == "fail" for f in found)


def _prove(one: Smallest, tmp_path: Path, factory: pytest.TempPathFactory) -> None:
    built = _built("beck-four" if one.file in PLATE else "tarn-six", factory)
    assert one.tolerance < one.caught <= 2 * one.tolerance
    assert _failed(one, one.caught, built, tmp_path / "caught")
    assert not _failed(one, one.tolerance / 2, built, tmp_path / "half")


def _name(one: Smallest) -> str:
    return f"{one.check}, {one.file}"


@pytest.mark.parametrize("one", [one for one in SMALLEST if (one.check, one.file) in QUICK], ids=_name)
def test_some_of_the_table(one: Smallest, tmp_path: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    _prove(one, tmp_path, tmp_path_factory)


@pytest.mark.slow
@pytest.mark.parametrize("one", [one for one in SMALLEST if (one.check, one.file) not in QUICK], ids=_name)
def test_the_rest_of_the_table(one: Smallest, tmp_path: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    _prove(one, tmp_path, tmp_path_factory)


def test_every_row_is_of_a_check_and_a_file_of_its_own() -> None:
    assert len({(one.check, one.file) for one in SMALLEST}) == len(SMALLEST) >= 30


def test_no_tolerance_is_wider_than_the_fault_that_was_seen() -> None:
    """Quick, where the proof of a row is slow: a tolerance that grew past its fault no longer fits its row."""
    assert [_name(one) for one in SMALLEST if not one.tolerance < one.caught <= 2 * one.tolerance] == []


def test_the_table_says_what_it_said() -> None:
    """The documentation prints it: no tolerance and no fault that was seen changes unmeant (smallest.json has them)."""
    kept = json.loads(Path(__file__).with_name("smallest.json").read_text(encoding="utf-8"))
    assert [[str(one.check), one.file, one.tolerance, one.caught, one.unit] for one in SMALLEST] == [
        [*row[:2], pytest.approx(row[2], rel=1e-9), pytest.approx(row[3], rel=1e-9), row[4]] for row in kept
    ]
