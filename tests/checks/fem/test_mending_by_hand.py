"""The search for what mends a bracket, with each change's effect made up: counted and ordered by hand."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any, cast

import pytest

from wheelcad.checks.fem import mending
from wheelcad.checks.fem.model import BracketChange, Held
from wheelcad.errors import DesignError, Fault

NAMES = ("washer", "shorter-tab", "thickness", "width", "gusset", "thickness-twice")


def search(
    least: float, monkeypatch: pytest.MonkeyPatch, ratios: dict[str, float], solved: float = 9.9, apart: bool = False
) -> tuple[list[str], list[str], int]:
    """What is found, what is solved on the way, and how many are reckoned: of a bracket of 100 Hz that must be `least`
    times as stiff, where each change alone makes it as stiff as in ratios, and any solved one `solved` times. apart:
    single changes are solved already."""
    looked: list[str] = []

    def tried(variant: Any) -> BracketChange:
        looked.append(variant.name)
        return BracketChange(variant.name, "", 1.0, "", (Held("", (100.0 * solved,), ()),), variant.cost)

    monkeypatch.setattr(mending, "edits", lambda design: NAMES)
    monkeypatch.setattr(mending, "combined", lambda design, names: mending.Variant("+".join(names), "", design))
    monkeypatch.setattr(mending, "tried", tried)
    monkeypatch.setattr(mending, "worst", lambda held, speeds: held[0].first_hz / 100.0)
    monkeypatch.setattr(mending, "keeps", lambda times, limits: times >= least)
    monkeypatch.setattr(mending, "limits_of", lambda made: None)
    singles = [
        BracketChange(name, "", 100.0 * r, "", (Held("", (100.0 * r,), ()),) if apart else ())
        for name, r in ratios.items()
    ]
    found, count = mending._combinations(
        cast(Any, SimpleNamespace()), 100.0, singles, lambda times: times >= least, cast(Any, None)
    )
    return [one.name for one in found], looked, count


ALIKE = dict.fromkeys(NAMES, 1.1)


def test_up_to_four_changes_are_reckoned_and_plate_is_made_thicker_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of five without the second thickness 5 + 10 + 10 + 5 sets; with it instead of the first as many that hold it:
    1 + 4 + 6 + 4. The cheapest two of four changes are taken, and nothing dearer that holds one of them."""
    found, looked, count = search(1.1**4 - 1e-9, monkeypatch, ALIKE)
    assert count == 30 + 15
    assert found == looked == ["washer+shorter-tab+thickness+width", "washer+shorter-tab+thickness+gusset"]
    fewer = {**ALIKE, "width": 1.0, "gusset": 0.9}  # what makes it no stiffer is left out
    assert search(1.1**2 - 1e-9, monkeypatch, fewer)[2] == 3 + 3 + 1 + 1 + 2 + 1


def test_nothing_is_offered_that_holds_what_is_enough_already(monkeypatch: pytest.MonkeyPatch) -> None:
    """A washer alone does; then the next that holds no washer."""
    found, looked, _ = search(1.1 - 1e-9, monkeypatch, ALIKE)
    assert found == looked == ["washer", "shorter-tab"]
    assert search(1.1 - 1e-9, monkeypatch, ALIKE, apart=True)[:2] == (["washer", "shorter-tab"], [])


def test_what_is_not_enough_when_solved_is_not_offered(monkeypatch: pytest.MonkeyPatch) -> None:
    """Six are solved at most."""
    found, looked, _ = search(1.1**2 - 1e-9, monkeypatch, ALIKE, solved=1.0)
    assert (found, len(looked)) == ([], 6)
    assert looked[:2] == ["washer+shorter-tab", "washer+thickness"]


def test_the_stiffest_two_are_solved_where_none_is_enough(monkeypatch: pytest.MonkeyPatch) -> None:
    found, looked, _ = search(1.7, monkeypatch, {**ALIKE, "gusset": 1.2, "thickness-twice": 1.15})
    assert found == looked
    # of three that are as stiff the first two by their names
    assert looked == ["shorter-tab+width+gusset+thickness-twice", "washer+shorter-tab+gusset+thickness-twice"]


@pytest.mark.parametrize(
    ("free", "wanted", "within"),
    [
        (100.0, 1.0, 100.0),
        (100.0, 2.0, 70.0),  # 100 over the root of two is 70.7
        (100.2, 2.0, 70.2),
        (100.2, 3.6e2, 5.2),  # 5.27
        (100.0, 3.9e2, 0.0),  # 5.06: only what is longer than 5 mm is looked at
        (100.0, 4.5e2, 0.0),
        (100.0, math.inf, 0.0),
    ],
)
def test_a_bar_short_enough(free: float, wanted: float, within: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """A bar's frequency falls with its length in square; looked at are lengths a millimetre apart."""
    monkeypatch.setattr(mending, "material", lambda name: SimpleNamespace(youngs_gpa=200.0, density_kg_m3=7850.0))
    monkeypatch.setattr(mending, "cantilever_frequency_hz", lambda length, *rest: 80.0 * (100.0 / length) ** 2)
    design = SimpleNamespace(
        material="x",
        free_length=free,
        width=1,
        thickness=1,
        sensor_mass_kg=1,
        first_frequency_hz=80.0 * (100 / free) ** 2,
    )
    times = wanted if math.isinf(wanted) else wanted * (free / 100.0) ** 2
    assert mending.mount_within_mm(cast(Any, design), times) == pytest.approx(within)


def test_a_map_of_first_frequencies_round_the_crank(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every 15 degrees from where the sensor is, in proportion to what elements make of it there: 90 Hz for 60."""

    def made(at: float) -> Any:
        if 100.0 < at < 200.0:
            raise DesignError([Fault("no room", ("bracket",))])
        return None if at == 250.0 else SimpleNamespace(first_frequency_hz=60.0 + (at - 40.0) / 7)

    monkeypatch.setattr(mending, "design_bracket", made)
    job = SimpleNamespace(with_sensor_at=lambda at: at)
    job.model_copy = lambda update: job  # type: ignore[attr-defined]
    bracket = SimpleNamespace(model_copy=lambda update: update)
    asked = SimpleNamespace(job=job, sensor=SimpleNamespace(at=400.0), bracket=bracket)
    design = cast(Any, SimpleNamespace(asked=asked, first_frequency_hz=1.0))
    found = dict(mending.by_sensor_at(design, (Held("", (90.0,), ()),)))
    places = [10.0, 25.0, 40.0, 55.0, 70.0, 85.0, 100.0, *range(205, 250, 15), *range(265, 360, 15)]
    assert list(found) == [place for place in places if place != 250.0]
    assert found[40.0] == 90.0
    assert found[55.0] == float(f"{1.5 * (60 + 15 / 7):.5g}") == 93.214


@pytest.mark.parametrize(("wanted", "mended"), [(1.0, False), (1.05, True), (math.inf, True)])
@pytest.mark.parametrize("found", [(), ("change",)])
def test_a_bracket_is_mended_where_it_must_be_stiffer(
    found: tuple[str, ...], wanted: float, mended: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By how much stiffer a change makes it than it is held the softer way, 300 Hz; where none is found, by its map."""
    base = (Held("soft", (300.0,), ()), Held("stiff", (400.0,), ()))
    asked: list[Any] = []
    monkeypatch.setattr(mending, "meshed", lambda design: SimpleNamespace(held=lambda: (base, "mesh")))
    monkeypatch.setattr(mending, "speeds_of", lambda design: "speeds")
    monkeypatch.setattr(mending, "limits_of", lambda design: "limits")
    monkeypatch.setattr(mending, "wanted_times", lambda base, speeds, limits: wanted)
    monkeypatch.setattr(mending, "scaled", lambda one, times: times)
    monkeypatch.setattr(mending, "worst", lambda held, speeds: held)
    monkeypatch.setattr(mending, "keeps", lambda held, limits: asked.append(held) or True)
    monkeypatch.setattr(mending, "changes", lambda design, enough: enough(450.0) and ())
    told = [SimpleNamespace(name=name) for name in found]
    monkeypatch.setattr(mending, "_combinations", lambda design, hz, *rest: asked.append(hz) or (tuple(told), 45))
    monkeypatch.setattr(mending, "by_sensor_at", lambda design, base: "map")
    monkeypatch.setattr(mending, "mount_within_mm", lambda design, times: times)
    made = mending.proposals(cast(Any, None))
    assert (made.base, made.base_mesh, made.wanted) == (base, "mesh", wanted)
    assert asked == ([[1.5, 1.5], 300.0] if mended else [])
    assert made.tried == (45 if mended else 0)
    assert (made.map, made.mount_within_mm) == (("map", wanted) if mended and not found else ((), 0.0))
