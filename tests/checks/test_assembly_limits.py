"""The assembled engine by hand: what just passes and just fails, what a mesh sweeps, which room is the least."""

from __future__ import annotations

import math
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from wheelcad.checks import assembly
from wheelcad.checks.assembly import Envelope
from wheelcad.files.figures import Meetings
from wheelcad.findings import Finding
from wheelcad.parts.common.stack import Land
from wheelcad.words import Words

Floats = np.ndarray[Any, np.dtype[np.float64]]


def findings(
    names: tuple[str, ...] = ("wheel", "sensor"),
    shared: tuple[tuple[str, str, float], ...] = (),
    gap: float = 0.8,
    wanted: float | None = 0.8,
) -> dict[str, Finding]:
    """What is found in an assembly of these parts, for a sensor `wanted` from the teeth (None: no sensor)."""
    sensor = None if wanted is None else SimpleNamespace(air_gap=wanted)
    design = cast(Any, SimpleNamespace(job=SimpleNamespace(sensor=sensor)))
    return {str(f.check): f for f in assembly.check_assembly(Meetings(names, shared, gap), design)}


@pytest.mark.parametrize(("volume", "good"), [(0.0, True), (0.0096, True), (0.01, True), (0.0104, False)])
def test_a_hundredth_of_a_cubic_millimetre_is_the_kernel_s_own(volume: float, good: bool) -> None:
    found = findings(shared=(("a", "b", 0.0001), ("wheel", "bracket", volume), ("c", "d", 0.0002)))["shared-metal"]
    assert (found.verdict == "pass") == good
    assert found.measured == pytest.approx(max(volume, 0.0002), abs=1e-9)
    assert found.why == ("common volume of every pair of parts" if good else "common volume of wheel and bracket")
    assert findings()["shared-metal"].measured == 0.0


@pytest.mark.parametrize(
    ("gap", "good"), [(0.8, True), (0.8096, True), (0.7904, True), (0.8104, False), (0.7896, False), (math.nan, False)]
)
def test_the_air_gap_to_a_hundredth(gap: float, good: bool) -> None:
    found = findings(gap=gap)["assembled-air-gap"]
    assert (found.verdict == "pass") == good
    if good:
        assert found.measured == pytest.approx(abs(gap - 0.8), abs=1e-6)
    assert "assembled-air-gap" not in findings(gap=gap, wanted=None)
    assert "assembled-air-gap" not in findings(("wheel", "bracket"), gap=gap)


@pytest.mark.parametrize(
    ("names", "good"),
    [(("wheel", "bracket"), True), (("bracket", "sensor"), False), (("wheel", "bracket", "bracket"), False)],
)
def test_a_wheel_and_each_part_once(names: tuple[str, ...], good: bool) -> None:
    assert (findings(names)["parts"].verdict == "pass") == good


@pytest.mark.parametrize(("sense", "turn"), [(1, -35.0), (-1, 35.0)])
def test_the_first_tooth_is_turned_to_the_sensor(sense: int, turn: float) -> None:
    """A tooth at 25° and a sensor at 60°: it goes on by 35° the way the crank turns, which seen from the front is
    negative where it turns clockwise."""
    teeth = SimpleNamespace(tooth_centres_deg=np.array([25.0, 35.0]))
    made = SimpleNamespace(job=SimpleNamespace(sensor=SimpleNamespace(at=60.0)))
    made.wheel = SimpleNamespace(teeth=teeth, sense=sense)
    assert assembly.facing_turn_deg(cast(Any, made)) == turn
    made.job.sensor = None
    assert assembly.facing_turn_deg(cast(Any, made)) == 0.0


@pytest.mark.parametrize(
    ("a", "b", "belong"),
    [
        ("sensor", "sensor nut", True),
        ("sensor nut 2", "sensor", True),
        ("sensor bolt", "sensor nut 1", True),
        ("sensor", "sensor nut 3", False),
        ("sensor", "sensor bolt", False),
        ("wheel", "sensor nut 1", False),
        ("sensor nut 1", "sensor nut 2", False),
    ],
)
def test_a_nut_belongs_on_its_thread(a: str, b: str, belong: bool) -> None:
    assert assembly._belong(a, b) == belong


def test_what_the_kernel_is_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    """Common volumes of all pairs but a nut and its thread, of which those that are nothing are not told; and how far
    the sensor is from the wheel turned to it."""

    def shared(one: int, other: int) -> float:
        return 0.0 if one + other == 9 else 0.1 * one * other

    parts = [("wheel", 1), ("sensor", 2), ("sensor nut", 3), ("bracket", 8)]
    kernel = {
        "brep": SimpleNamespace(
            common_volume=shared, distance=lambda a, b: (a, b), turned=lambda shape, degrees: (shape, degrees)
        ),
        "step_named": SimpleNamespace(read_named_step=lambda path: parts if path == Path("a.step") else []),
        "stl_writer": SimpleNamespace(triangles_of=lambda shape, off, angle: 10 * shape),
    }
    for name, module in kernel.items():
        monkeypatch.setitem(sys.modules, f"wheelcad.files.{name}", cast(Any, module))
    found = assembly.step_meetings(Path("a.step"), 30.0)
    assert found.names == ("wheel", "sensor", "sensor nut", "bracket")
    assert [(a, b, round(volume, 9)) for a, b, volume in found.shared] == [
        ("wheel", "sensor", 0.2), ("wheel", "sensor nut", 0.3), ("sensor", "bracket", 1.6),
        ("sensor nut", "bracket", 2.4),
    ]  # fmt: skip
    assert found.gap == ((1, 30.0), 2)
    assert found.meshes == {"wheel": 10, "sensor": 20, "sensor nut": 30, "bracket": 80}
    parts.pop(1)
    assert math.isnan(assembly.step_meetings(Path("a.step"), 30.0).gap)


# --- what a mesh sweeps --------------------------------------------------------------------------------------------
def disc(radius: float, low: float, high: float) -> Floats:
    """The round wall of a disc as triangles, a corner in every one at the full radius."""
    turn = np.linspace(0, 2 * np.pi, 9)[:-1]
    ring = np.column_stack([radius * np.cos(turn), radius * np.sin(turn)])
    foot, head = np.column_stack([ring, 0 * turn + low]), np.column_stack([ring, 0 * turn + high])
    return np.concatenate(
        [
            np.stack([foot, np.roll(foot, -1, axis=0), head], axis=1),
            np.stack([np.roll(foot, -1, axis=0), np.roll(head, -1, axis=0), head], axis=1),
        ]
    )


def swept(*discs: Floats) -> list[tuple[float, float, float]]:
    """Slices of several discs: from, to, radius."""
    found = assembly.envelope(np.concatenate(discs))
    return [
        (round(a, 9), round(b, 9), round(r, 9))
        for a, b, r in zip(found.z_low.tolist(), found.z_high.tolist(), found.radius.tolist(), strict=True)
    ]


def test_discs_on_each_other_are_a_slice_each() -> None:
    """Where a step lies between two slices the larger one goes on to the end of its quarter of a millimetre."""
    assert swept(disc(10.0, 0.0, 1.0), disc(30.0, 1.0, 2.0)) == [(0.0, 1.0, 10.0), (1.0, 2.0, 30.0)]
    assert swept(disc(10.0, -3.0, 0.5), disc(30.0, 0.2, 0.8)) == [(-3.0, 0.0, 10.0), (0.0, 1.0, 30.0)]
    assert swept(disc(10.0, 0.0, 2.0), disc(30.0, 0.2, 1.1))[0] == (0.0, 1.25, 30.0)
    assert swept(disc(10.0, 0.0, 2.0), disc(30.0, 0.3, 1.2)) == [
        (0.0, 0.25, 10.0),
        (0.25, 1.25, 30.0),
        (1.25, 2.0, 10.0),
    ]


def test_a_level_face_on_a_slice_s_edge_sweeps_nothing_of_its_own() -> None:
    """Its own walls sweep what it sweeps; between the two slices it would count in one of them by chance."""
    level = np.array([[[30.0, 0.0, 1.0], [0.0, 30.0, 1.0], [-30.0, 0.0, 1.0]]])
    assert swept(disc(10.0, 0.0, 2.0), level) == [(0.0, 2.0, 10.0)]


@pytest.mark.parametrize(("z", "low", "high"), [(2.0, 10.0, 30.0), (0.0, 30.0, 10.0)])
def test_a_level_face_at_either_end_sweeps_the_last_slice_alone(z: float, low: float, high: float) -> None:
    """Of a disc a single slice thick, before or behind a thinner one."""
    level = np.array([[[30.0, 0.0, z], [0.0, 30.0, z], [-30.0, 0.0, z]]])
    step = 1.75 if z else 0.25
    assert swept(disc(low, 0.0, step), disc(high, step, 2.0), level) == [(0.0, step, low), (step, 2.0, high)]


def test_a_triangle_sweeps_as_far_as_its_outermost_corner() -> None:
    spike = np.array([[[5.0, 0.0, 0.6], [18.0, 24.0, 0.3], [5.0, 1.0, 0.4]]])
    assert swept(disc(10.0, 0.0, 2.0), spike) == [(0.0, 0.25, 10.0), (0.25, 0.75, 30.0), (0.75, 2.0, 10.0)]


@pytest.mark.parametrize(("more", "slices"), [(0.0096, 1), (0.0104, 2), (-0.0096, 1), (-0.0104, 2)])
def test_slices_that_differ_by_a_hundredth_are_two(more: float, slices: int) -> None:
    found = swept(disc(30.0, 0.0, 1.0), disc(30.0 + more, 1.0, 2.0))
    assert len(found) == slices
    assert max(r for *_, r in found) == pytest.approx(30.0 + max(more, 0.0))
    assert (found[0][0], found[-1][1]) == (0.0, 2.0)


# --- which room is the least ---------------------------------------------------------------------------------------
RING = Envelope(np.array([-1.0]), np.array([1.0]), np.array([10.0]))


@pytest.mark.parametrize(
    ("point", "away"),
    [
        ((3.0, 4.0, 0.5), 0.0),
        ((9.0, 12.0, 0.5), 5.0),
        ((3.0, 4.0, 3.0), 2.0),
        ((3.0, 4.0, -4.0), 3.0),
        ((8.4, 11.2, 4.0), 5.0),
        ((-8.4, 11.2, -4.0), 5.0),
    ],
)
def test_a_point_s_distance_to_a_ring(point: tuple[float, float, float], away: float) -> None:
    """Beside it, before and behind it, and past its edge, where it is by Pythagoras 3, 4, 5."""
    hub = Envelope(np.array([-1.0, 100.0]), np.array([1.0, 120.0]), np.array([10.0, 300.0]))
    assert assembly._distances(np.array([point]), hub) == pytest.approx([away])


@pytest.mark.parametrize(
    ("side", "found"), [(0.48, math.hypot(20.0, 0.24)), (0.5, math.hypot(20.0, 0.25)), (0.52, 20.0), (80.0, 20.0)]
)
def test_a_side_is_halved_while_it_is_longer_than_half_a_millimetre(side: float, found: float) -> None:
    """A triangle across the way to the axis: its nearest point is the middle of its side."""
    flat = np.array([[[20.0, -side / 2, 0.0], [20.0, side / 2, 0.0], [20.0 + side / 4, 0.0, 0.0]]])
    for corner in range(3):
        assert assembly.least_room(np.roll(flat, corner, axis=1), RING) == pytest.approx(found - 10.0, abs=1e-6)


def test_a_triangle_s_middle_is_nearer_than_half_its_side() -> None:
    """Sides of 10 mm: corners 5.77 mm from the middle, which lies half a millimetre above the shaft's end. Something
    else has 0.6 mm already."""
    turn = np.radians([90.0, 210.0, 330.0])
    flat = 10 / math.sqrt(3) * np.column_stack([np.cos(turn), np.sin(turn), 0 * turn])[None] + np.array([0, 0, 0.5])
    shaft = Envelope(np.array([-1.0]), np.array([0.0]), np.array([0.0]))
    assert assembly.least_room(flat, shaft, 0.6) == pytest.approx(0.5, abs=0.05)
    assert assembly.least_room(flat, shaft, 0.4) == 0.4
    assert assembly.least_room(flat + np.array([0.0, 0.0, 300.0]), shaft, 0.6) == 0.6


@pytest.mark.parametrize(
    "share", [(8, 1, 1), (1, 8, 1), (1, 1, 8), (4, 4, 2), (2, 4, 4), (4, 2, 4), (6, 3, 1), (3, 1, 6), (1, 6, 3)]
)
def test_any_point_of_a_triangle_may_be_nearest(share: tuple[int, int, int]) -> None:
    """The end of a thin shaft half a millimetre behind that point."""
    turn = np.radians([90.0, 210.0, 330.0])
    flat = 6.0 * np.column_stack([np.cos(turn), np.sin(turn), 0 * turn])
    flat = (flat - np.array(share) @ flat / 10 + np.array([0.0, 0.0, 0.5]))[None]
    shaft = Envelope(np.array([-1.0]), np.array([0.0]), np.array([0.0]))
    assert assembly.least_room(flat, shaft) == pytest.approx(0.5, abs=0.06)


def room(
    plate: Floats, way: tuple[float, float], ends: tuple[float, float], monkeypatch: pytest.MonkeyPatch
) -> Finding:
    """The finding for a plate that is set along a slot; the wheel is 10 mm in radius, 2 thick, its pulley behind it."""
    meshes = {"wheel.stl": disc(10.0, -1.0, 1.0), "bracket.stl": plate}
    monkeypatch.setattr(assembly, "read_stl", lambda path: meshes[path.name])
    monkeypatch.setattr(assembly, "separate_bodies", lambda triangles: [triangles])
    ring = Land("ring", -1.0, 1.0, 500.0)
    pulley = Land("pulley", -9.0, -5.0, 20.0)
    monkeypatch.setattr(assembly, "turning_parts", lambda job: [ring, pulley])
    slide = SimpleNamespace(x=way[0], y=way[1], low=ends[0], high=ends[1])
    (found,) = assembly.check_room(
        Path(), cast(Any, SimpleNamespace(slide=slide)), cast(Any, SimpleNamespace(job=None))
    )
    return found


@pytest.mark.parametrize(
    ("way", "start", "least"),
    [
        ((1.0, 0.0), (16.0, 0.0, 0.0), 2.0),  # set in by 4 mm at the most
        ((0.0, 1.0), (0.0, 16.0, 0.0), 2.0),
        ((0.0, 1.0), (0.0, -12.0, 0.0), 1.0),  # the other end is nearer
        ((1.0, 0.0), (25.0, 0.0, -7.0), 1.0),  # beside the pulley
        ((1.0, 0.0), (25.0, 0.0, -2.5), math.hypot(1.0, 2.5)),
    ],
)
def test_room_at_the_worst_of_a_slot_s_travel(
    way: tuple[float, float], start: tuple[float, float, float], least: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A speck of plate, from 4 mm nearer to 1 mm further away along its slot; what the bracket's own ring is left out
    for is the wheel's mesh."""
    speck = np.array([[[0.0, 0.0, 0.0], [1e-4, 0.0, 0.0], [0.0, 1e-4, 0.0]]]) + np.array(start)
    found = room(speck, way, (-4.0, 1.0), monkeypatch)
    assert found.measured == pytest.approx(least, abs=2e-3)
    assert found.verdict == ("pass" if found.measured >= 1.0 else "fail")


def test_the_first_of_places_that_are_as_near_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    speck = np.array([[[16.0, 0.0, 0.0], [16.0001, 0.0, 0.0], [16.0, 1e-4, 0.0]]])
    assert "at -4 mm of the slots' travel" in Words().text(room(speck, (0.0, 0.0), (-4.0, 1.0), monkeypatch).why)


@pytest.mark.parametrize(("ends", "least"), [((-4.0, 4.0), 3.0), ((-8.0, 8.0), 3.0), ((-6.0, 6.0), 3.0)])
def test_the_middle_of_the_travel_is_looked_at_and_its_quarters(
    ends: tuple[float, float], least: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Along the rim's tangent the middle of the travel is nearest to it; starting elsewhere, a quarter is."""
    speck = np.array([[[0.0, 0.0, 0.0], [1e-4, 0.0, 0.0], [0.0, 1e-4, 0.0]]])
    found = room(speck + np.array([0.0, 13.0, 0.0]), (1.0, 0.0), ends, monkeypatch)
    assert found.measured == pytest.approx(least, abs=1e-3)
    quarter = (ends[1] - ends[0]) / 4
    found = room(speck + np.array([quarter, 13.0, 0.0]), (1.0, 0.0), ends, monkeypatch)
    assert found.measured == pytest.approx(least, abs=1e-3)
