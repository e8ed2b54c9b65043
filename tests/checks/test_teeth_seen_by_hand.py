"""A small wheel as a sensor meets it, by plane geometry: six places, one tooth away, slots 6 wide and 5 deep."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
import shapely
from shapely import affinity

from wheelcad.checks import teeth_seen
from wheelcad.job.models import Sensor

Floats = np.ndarray[Any, np.dtype[np.float64]]
RIM, FLOOR, HALF = 30.0, 25.0, 3.0


def outline(sense: int, first: float = 30.0) -> shapely.Polygon:
    """The wheel's section. Its slots lie at `first` and every 60° on, the way the crank turns; the tooth between the
    fourth and the fifth is away, down to the floors."""
    disc = shapely.Point(0, 0).buffer(RIM, quad_segs=90)
    for n in range(6):
        slot = shapely.box(-HALF, FLOOR, HALF, RIM + 9)
        disc = disc.difference(affinity.rotate(slot, -sense * (first + 60 * n), origin=(0, 0)))
    turn = np.radians(np.linspace(first + 180, first + 240, 61))
    away = [(sense * 50 * math.sin(a), 50 * math.cos(a)) for a in turn]
    missing = shapely.Polygon([(0, 0), *away]).difference(shapely.Point(0, 0).buffer(FLOOR, quad_segs=90))
    return cast(shapely.Polygon, disc.difference(missing))


def pieces(shape: shapely.Polygon) -> tuple[Floats, Floats]:
    """The outline's straight pieces (m, 2, 2) and what is outwards of each (m, 2)."""
    ring = shapely.get_coordinates(shapely.geometry.polygon.orient(shape).exterior)
    segments = np.stack([ring[:-1], ring[1:]], axis=1)
    along = segments[:, 1] - segments[:, 0]
    return segments, np.column_stack([along[:, 1], -along[:, 0]])


def seen(
    looks: str, radius: float, sense: int, monkeypatch: pytest.MonkeyPatch, first: float = 30.0, teeth: int = 5
) -> Any:
    """What a sensor meets that looks in, or along the crank at a radius."""
    heights: list[float] = []
    made = pieces(outline(sense, first))
    monkeypatch.setattr(teeth_seen, "read_stl", lambda path: path)
    monkeypatch.setattr(teeth_seen, "section_segments", lambda path, z: heights.append(z) or made)
    wheel = SimpleNamespace(
        read_at_mm=lambda sensor: radius, sense=sense, thickness_mm=4.0, gaps=[SimpleNamespace(missing=1)],
        teeth=SimpleNamespace(tooth_centres_deg=np.zeros(teeth), count=6), slot=SimpleNamespace(check_radius=27.5),
    )  # fmt: skip
    found = teeth_seen.measured_edges(Path("x"), cast(Any, wheel), cast(Sensor, SimpleNamespace(looks=looks)))
    assert heights == [0.0]
    return found


@pytest.mark.parametrize("sense", [1, -1])
@pytest.mark.parametrize("first", [30.0, 3.0, 55.0, 353.9])
@pytest.mark.parametrize(("looks", "radius"), [("in", 99.0), ("along", 27.0), ("along", 29.947), ("along", 29.96)])
def test_edges_where_the_sensor_looks(
    looks: str, radius: float, first: float, sense: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A slot's side lies 3 mm from its middle: by the arc sine of that over the radius; a twentieth below the rim and
    nearer it is taken at the rim. Slots may lie to either side of the TDC line."""
    found = seen(looks, radius, sense, monkeypatch, first)
    at = RIM if looks == "in" or radius > 29.95 else radius
    half = math.degrees(math.asin(HALF / at))
    starts = sorted((first + 60 * n + half) % 360 for n in (0, 1, 2, 4, 5))
    assert found.from_deg.tolist() == pytest.approx(starts, abs=2e-3)
    assert (found.to_deg - found.from_deg).tolist() == pytest.approx([60 - 2 * half] * 5, abs=2e-3)
    assert found.radius_mm == pytest.approx(RIM if looks == "in" else radius, abs=1e-3)
    assert found.slot_width_mm == pytest.approx(math.radians(2 * half) * found.radius_mm, rel=1e-3)
    assert found.slot_depth_mm == pytest.approx(RIM - FLOOR if looks == "in" else 4.0, abs=1e-3)


def test_a_wheel_of_another_number_of_teeth_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(ValueError, match="5 teeth instead of 6"):
        seen("in", 99.0, 1, monkeypatch, teeth=6)


@pytest.mark.parametrize(
    ("starts", "ends", "widths"),
    [
        ([10.0, 100.0], [50.0, 140.0], [40.0, 40.0]),
        ([10.0, 350.0], [5.0, 50.0], [40.0, 15.0]),
        ([1.0, 2.0], [1.0], None),
        ([1.0], [2.0], None),
    ],
)
def test_each_start_has_the_end_that_follows_it(
    starts: list[float], ends: list[float], widths: list[float] | None
) -> None:
    if widths is None:
        with pytest.raises(ValueError, match="rising and"):
            teeth_seen._paired(np.array(starts), np.array(ends))
    else:
        begin, end = teeth_seen._paired(np.array(starts), np.array(ends))
        assert begin.tolist() == starts
        assert (end - begin).tolist() == pytest.approx(widths)


@pytest.mark.parametrize("degrees", [10.0, 100.0, 250.0])
@pytest.mark.parametrize(("turn", "away"), [(0.0, 0.0), (2.0, 3.0), (-1.5, -2.0)])
def test_a_side_goes_straight_on_to_the_rim(degrees: float, turn: float, away: float) -> None:
    """From 27 and 29 mm out on to 30, as a ruler laid through both."""
    inner, outer = (
        r * np.array([math.cos(a), math.sin(a)])
        for r, a in ((27.0, math.radians(degrees)), (29.0, math.radians(degrees + turn)))
    )
    ruler = shapely.LineString([inner, inner + 9 * (outer - inner)])
    rim = shapely.Point(0, 0).buffer(30.0, quad_segs=20_000).exterior
    x, y = shapely.get_coordinates(ruler.intersection(rim))[0]
    found = teeth_seen._on_line(np.array([degrees]), 27.0, np.array([degrees + turn]), 29.0, 30.0)[0] % 360
    assert found == pytest.approx(math.degrees(math.atan2(y, x)) % 360, abs=1e-4)


@pytest.mark.parametrize(
    ("sense", "at", "radius"),
    [(1, 0.0, 12.0), (1, 90.0, 20.0), (-1, 90.0, 5.0), (1, 180.0, 7.0), (1, 45.0, 12 * math.sqrt(2))],
)
def test_how_far_the_outline_reaches(sense: int, at: float, radius: float) -> None:
    """Of a box from (-5, -7) to (20, 12) with a hole in it: the farthest counts."""
    box = shapely.box(-5, -7, 20, 12)
    segments = np.concatenate(
        [pieces(shapely.Polygon(ring))[0] for ring in (box.exterior, shapely.box(-1, -1, 1, 1).exterior)]
    )
    assert teeth_seen._outline_at(segments, at, sense) == pytest.approx(radius)
    with pytest.raises(ValueError, match="no outline"):
        teeth_seen._outline_at(segments + np.array([50.0, 0.0]), at if at in (0.0, 180.0) else 180.0, sense)
