"""Changes that would stiffen a bracket, made by hand: stock sizes, widths, washers, shorter arms and their cost."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from wheelcad.checks.fem import proposals
from wheelcad.checks.fem.model import BracketChange
from wheelcad.errors import DesignError, Fault
from wheelcad.words import Words


@pytest.mark.parametrize(
    ("now", "then"),
    [
        (1.9, 2.0), (2.0, 2.5), (2.01, 2.5), (1.99, 2.5), (2.5, 3.0), (3.0, 4.0), (6.0, 8.0), (10.0, 12.0),
        (12.0, 18.0), (1.5875, 3.175), (3.175, 4.7625), (9.525, 12.7), (12.7, 19.05), (3.19, 4.7625), (3.196, 4.0),
        (7.9375, 9.525),
    ],
)  # fmt: skip
def test_the_next_plate_up(now: float, then: float) -> None:
    """In millimetres, or in sixteenths of an inch where the present one is one of those to a fiftieth of a millimetre;
    beyond the last half as much again. Source of the sizes: common practice."""
    assert proposals.next_plate(now) == pytest.approx(then)


@pytest.mark.parametrize(
    ("units", "width", "wider"),
    [("mm", 40.0, 50.0), ("mm", 44.0, 55.0), ("mm", 44.1, 60.0), ("in", 50.8, 63.5), ("in", 53.0, 69.85)],
)
def test_a_plate_a_quarter_wider(units: str, width: float, wider: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Up to whole steps of 5 mm, or of a quarter of an inch."""
    monkeypatch.setattr(proposals, "_made", lambda job: job)
    monkeypatch.setattr(proposals, "_with", lambda asked, **changes: changes)
    asked = SimpleNamespace(bracket=SimpleNamespace(width=width), job=SimpleNamespace(units=units))
    found = proposals._wider(cast(Any, SimpleNamespace(asked=asked)))
    assert cast(Any, found.made)["width"] == pytest.approx(wider)


@pytest.mark.parametrize(("times", "thick"), [(1, 6.0), (2, 8.0), (3, 10.0)])
@pytest.mark.parametrize(("inside", "kept"), [(1.0, False), (30.0, True)])
def test_thicker_plate_by_so_many_sizes(
    times: int, thick: float, inside: float, kept: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """From 5 mm; its bends at least as round as so thick a plate needs, and told where that is more than before."""
    monkeypatch.setattr(proposals, "_made", lambda job: job)
    monkeypatch.setattr(proposals, "_with", lambda asked, **changes: changes)
    monkeypatch.setattr(proposals, "least_inside_radius_mm", lambda material, thickness: 1.5 * thickness)
    plate = SimpleNamespace(
        thickness=5.0, inside_radius=inside, material="mild-steel", model_copy=lambda update: update
    )
    found = proposals._thicker(
        cast(Any, SimpleNamespace(asked=SimpleNamespace(bracket=SimpleNamespace(plate=plate)))), times
    )
    assert found.name == proposals.THICKER[times - 1]
    assert found.made == {"plate": {"thickness": thick, "inside_radius": 30.0 if kept else 1.5 * thick}}
    assert ("inside_radius" in Words().text(found.what)) != kept


@pytest.mark.parametrize(
    ("edge", "bend", "good"), [(8.0, 9.0, True), (7.9, 9.0, False), (8.0, 7.5, True), (8.0, 7.4, False)]
)
def test_wide_washers_lie_on_plate_all_round(
    edge: float, bend: float, good: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of 24 mm on a hole of 9: 7.5 mm of plate from the hole's edge, which the outline and a bend are held to."""
    monkeypatch.setattr(proposals, "wide_washer_mm", lambda mount: 24.0)
    monkeypatch.setattr(proposals, "outline_distance", lambda design, hole: edge - 0.5)
    monkeypatch.setattr(proposals, "bend_distance", lambda hole, further: bend + further)
    hole = SimpleNamespace(diameter=9.0, name="mount 1")
    asked = SimpleNamespace(bracket=SimpleNamespace(mounts=[1]))
    design = cast(Any, SimpleNamespace(asked=asked, mounts=[hole], bends=[20.0, 0.0, 30.0]))
    found = proposals._washers(design)
    assert (found.made is design, found.wide) == (good, good)
    assert "washers of 24 mm" in Words().text(found.what)
    if not good:  # the hole's own half and what is nearest to it
        least = min(edge - 0.5, bend) + 4.5
        assert Words().text(str(found.made)) == f"mount 1 has only {least:g} mm of plate from its centre"
    design.bends = []
    assert (proposals._washers(design).made is design) == (edge >= 8.0)


def test_what_changes_cost_together() -> None:
    """The order in which a home shop would try them: one by one, washers first and a sensor moved last."""
    costs = proposals.COSTS
    assert sorted(costs, key=lambda name: costs[name]) == [
        "washer", "shorter-tab", "thickness", "width", "gusset", "thickness-twice", "thickness-thrice", "shorter-arm",
    ]  # fmt: skip
    # and what is as much work as what, common practice, no source
    for names, one in (
        ("washer+shorter-tab", "thickness"),
        ("washer+thickness", "width"),
        ("shorter-tab+thickness", "gusset"),
        ("washer+gusset", "thickness-thrice"),
        ("shorter-tab+gusset", "shorter-arm"),
    ):
        assert proposals.Variant(names, "", "").cost == costs[one]
    assert costs["thickness-twice"] == (costs["gusset"] + costs["thickness-thrice"]) / 2
    assert costs["washer"] == 1.0


@pytest.mark.parametrize(("shorter", "found"), [(0.95, True), (0.951, False)])
def test_an_arm_is_moved_where_it_gets_a_twentieth_shorter(
    shorter: float, found: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ten and twenty degrees to either side; the shortest that can be made with its gusset."""

    def moved(at: float) -> Any:
        return SimpleNamespace(
            free_length=100.0 * (shorter if at == 70.0 else 1.0), asked=SimpleNamespace(sensor=SimpleNamespace(at=at))
        )

    seen: list[float] = []
    plain = SimpleNamespace(with_sensor_at=lambda at: seen.append(at) or moved(at))
    whole = SimpleNamespace(with_sensor_at=moved)
    monkeypatch.setattr(proposals, "_with", lambda asked, **changes: plain if changes == {"gusset": False} else None)
    monkeypatch.setattr(proposals, "_made", lambda job: job)
    asked = SimpleNamespace(sensor=SimpleNamespace(at=80.0), job=whole)
    made = proposals._nearer(cast(Any, SimpleNamespace(asked=asked, free_length=100.0)))
    assert sorted(seen) == [60.0, 70.0, 90.0, 100.0]
    assert isinstance(made.made, str) != found
    assert made.what.startswith("sensor.at: 70 deg") == found
    assert found or "by up to 20 degrees" in str(made.made)


@pytest.mark.parametrize(
    ("room", "packed"), [(15.1, 15.0), (14.9, 10.0), (9.9, 8.0), (7.9, 6.0), (5.9, 4.0), (4.1, 4.0), (3.9, None)]
)
@pytest.mark.parametrize("back", [-30.0, 0.0, 0.5])
def test_a_plate_is_packed_off_its_block_as_far_as_there_is_room(
    back: float, room: float, packed: float | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """From 2 mm that it is packed off already; where it lies before the ring, packing takes it further away."""
    monkeypatch.setattr(proposals, "_with", lambda asked, packing: packing)
    fits = SimpleNamespace(shape="L")
    monkeypatch.setattr(proposals, "_made", lambda packing: fits if packing <= 2.0 + room else "no room")
    asked = SimpleNamespace(bracket=SimpleNamespace(plate_back=back, packing=2.0))
    found = proposals._packed(cast(Any, SimpleNamespace(asked=asked, shape="L")))
    if back >= 0:
        assert isinstance(found.made, str)
        assert "further from it" in found.made
    else:
        assert found.made == ("no room" if packed is None else fits)
        assert packed is None or Words().text(found.what) == f"bracket.packing: {2 + packed:g} mm"
        other = proposals._packed(cast(Any, SimpleNamespace(asked=asked, shape="Z")))
        assert isinstance(other.made, str)


def test_work_is_handed_out_once() -> None:
    with proposals._queue(5) as shared:
        first = next(shared())
        assert [first, *shared()] == [0, 1, 2, 3, 4]


def test_changes_are_told_with_the_best_first(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each in a file of its own, by number; one that cannot be made comes last and is not looked into."""
    made = [
        proposals.Variant(name, "", cast(Any, how)) for name, how in (("a", 1), ("b", "no room"), ("c", 2), ("d", 3))
    ]
    hz = {"a": 90.0, "c": 120.0, "d": None}
    monkeypatch.setattr(proposals, "variants", lambda design: iter(made))
    monkeypatch.setattr(proposals, "beside", lambda work: lambda: [])
    monkeypatch.setattr(proposals, "_written", lambda path, variant: None if isinstance(variant.made, str) else path)
    seen: list[tuple[str, str]] = []

    def looked(variant: Any, path: Path, enough: Any) -> BracketChange:
        seen.append((variant.name, path.name))
        return BracketChange(variant.name, "", hz[variant.name], cost=0.0)

    monkeypatch.setattr(proposals, "_looked_into", looked)
    monkeypatch.setattr(proposals.Variant, "cost", 0.0)
    found = proposals.changes(cast(Any, None), lambda hz: True)
    assert seen == [("a", "0.step"), ("c", "2.step"), ("d", "3.step")]
    assert [one.name for one in found] == ["c", "a", "b", "d"]
    assert found[2].why_not == "no room"


@pytest.mark.parametrize("enough", [True, False])
def test_a_change_is_solved_whole_where_it_is_enough(enough: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    files: list[str] = []
    mesh = SimpleNamespace(first_hz=lambda: 123.0, held=lambda: (("soft", "stiff"), "mesh"))
    monkeypatch.setattr(proposals, "CoarseBracket", lambda path, given: files.append(path.name) or mesh)
    monkeypatch.setattr(proposals, "setup", lambda design, wide=False: None)
    monkeypatch.setattr(proposals, "_write", lambda path, design: files.append(path.name))
    variant = proposals.Variant("washer", "", cast(Any, 1))
    found = proposals._looked_into(variant, Path("x.step"), lambda hz: enough)
    assert (found.first_hz, found.held) == (123.0, ("soft", "stiff") if enough else ())
    assert proposals.tried(variant).held == ("soft", "stiff")
    assert proposals.meshed(cast(Any, 1)) is mesh
    assert files == ["x.step", *["bracket.step"] * 4]


@pytest.mark.parametrize(("names", "wide"), [(("washer", "width"), True), (("width", "gusset"), False)])
def test_changes_together(names: tuple[str, ...], wide: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """In the order in which they depend on each other; with wide washers where they are among them."""

    def maker(name: str) -> Any:
        return lambda design: proposals.Variant(name, f"{name} changed", (*design, name))

    monkeypatch.setattr(proposals, "MAKERS", {name: maker(name) for name in ("width", "gusset", "washer")})
    found = proposals.combined(cast(Any, ()), names)
    assert found.made == ("width", "washer" if wide else "gusset")
    assert (found.wide, found.name) == (wide, "+".join(names))


def test_thicker_by_name(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(proposals, "_made", lambda job: job)
    monkeypatch.setattr(proposals, "_with", lambda asked, plate: plate["thickness"])
    plate = SimpleNamespace(thickness=5.0, inside_radius=9.0, material="mild-steel", model_copy=lambda update: update)
    design = cast(Any, SimpleNamespace(asked=SimpleNamespace(bracket=SimpleNamespace(plate=plate))))
    assert [proposals.MAKERS[name](design).made for name in proposals.THICKER] == [6.0, 8.0, 10.0]


def test_the_first_reason_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(job: Any) -> None:
        raise DesignError([Fault("is too thin", ("bracket", "width")), Fault("is too long", ("bracket",))])

    monkeypatch.setattr(proposals, "design_bracket", refused)
    assert proposals._made(cast(Any, None)) == "bracket.width is too thin"
