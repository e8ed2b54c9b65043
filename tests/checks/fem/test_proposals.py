"""Changes that would stiffen a bracket."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.parts.bracket_jobs import along_job, flat_job, in_job
from wheelcad.checks.fem import mending
from wheelcad.checks.fem import proposals as offered
from wheelcad.checks.fem.limits import keeps, limits_of, speeds_of
from wheelcad.checks.fem.mending import by_sensor_at, mount_within_mm, proposals
from wheelcad.checks.fem.model import BracketChange, Held, MeshStep, scaled
from wheelcad.checks.fem.proposals import (
    INCH_PLATE,
    METRIC_PLATE,
    SAME_PLATE,
    THICKER,
    Variant,
    _queue,
    changes,
    combined,
    meshed,
    next_plate,
    tried,
    variants,
)
from wheelcad.checks.fem.response import worst
from wheelcad.job.models import Job
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.processes import beside
from wheelcad.trade.bending import least_inside_radius_mm
from wheelcad.units import INCH_MM
from wheelcad.words import Words


def designed(job: Job) -> BracketDesign:
    design = design_bracket(job)
    assert design is not None
    return design


def base_hz(job: Job) -> float:
    """What the coarse mesh makes of the bracket as it is."""
    return meshed(designed(job)).first_hz()


def test_stock_plate() -> None:
    assert min(abs(a - b) for a in METRIC_PLATE for b in INCH_PLATE) > 2 * SAME_PLATE  # a size is of one series only
    assert next_plate(5.0) == 6.0
    assert next_plate(4.7625) == pytest.approx(6.35)  # 3/16 in to 1/4 in
    assert next_plate(4.5) == 5.0
    assert next_plate(3 * INCH_MM) == pytest.approx(4.5 * INCH_MM)


def test_each_variant_changes_one_thing() -> None:
    job = in_job()
    design = designed(job)
    made = {v.name: v for v in variants(design)}
    assert list(made) == ["gusset", *THICKER, "width", "shorter-arm", "shorter-tab", "washer"]
    thicknesses = [v.made.thickness for name in THICKER if not isinstance((v := made[name]).made, str)]
    assert thicknesses == [6.0, 8.0, 10.0][: len(thicknesses)]
    assert thicknesses
    thicker = made["thickness"].made
    assert not isinstance(thicker, str)
    assert thicker.thickness == 6.0
    assert thicker.bends[0].inside_radius >= least_inside_radius_mm("mild-steel", 6.0)
    wider = made["width"].made
    assert not isinstance(wider, str)
    assert (wider.width, wider.thickness) == (55.0, design.thickness)
    nearer = made["shorter-arm"].made
    if not isinstance(nearer, str):
        assert nearer.free_length < design.free_length
    packed = made["shorter-tab"].made
    assert not isinstance(packed, str)
    assert -32 < packed.asked.bracket.plate_back < 0


def test_what_is_there_already_is_not_offered() -> None:
    gusseted = in_job(bracket={"gusset": True, "width": 60})
    assert "gusset" not in [v.name for v in variants(designed(gusseted))]
    flat = flat_job()
    assert [v.name for v in variants(designed(flat))] == [
        *THICKER,
        "width",
        "shorter-arm",
        "washer",
    ]


def test_a_change_that_cannot_be_made_says_why() -> None:
    """A gusset has no room beside this sensor's flange."""
    job = in_job(bracket={"width": 30})
    gusset = next(v for v in variants(designed(job)) if v.name == "gusset")
    assert isinstance(gusset.made, str)
    assert "bracket.gusset" in gusset.made


def test_thicker_plate_by_the_rule() -> None:
    """From 5 to 6 mm: 6/5 where only the plate's own mass swings, (6/5)**1.5 where only the sensor's does: bending
    stiffness goes with the cube of the thickness, the plate's mass with the first power. Source: beam theory.
    """
    job = along_job(sensor={"from": "back"}, bracket={"mount_face": -(2.5 + 0.8 + 24)})
    thicker = tried(combined(designed(job), ("thickness",)))
    assert thicker.first_hz is not None
    assert 1.2 < thicker.first_hz / base_hz(job) < 1.2**1.5


@pytest.mark.slow
@pytest.mark.parametrize("job", [in_job(), along_job()], ids=["L", "Z"])
def test_every_shape_gets_its_proposals(job: Job) -> None:
    offered = changes(designed(job), lambda hz: False)
    assert sorted(p.name for p in variants(designed(job))) == sorted(p.name for p in offered)
    assert [p.first_hz or 0.0 for p in offered] == sorted((p.first_hz or 0.0 for p in offered), reverse=True)
    assert {p.name for p in offered} >= {"gusset", "thickness", "width", "shorter-arm", "shorter-tab"}
    assert max(p.first_hz or 0.0 for p in offered) > 1.1 * base_hz(job)
    assert all(p.first_hz is not None or p.why_not for p in offered)


def test_two_processes_take_each_piece_of_work_once() -> None:
    with _queue(20) as shared:
        other = beside(lambda: list(shared()))
        own = list(shared())
        assert sorted([*own, *other()]) == list(range(20))


def test_changes_together_are_all_made() -> None:
    design = designed(in_job())
    both = combined(design, ("gusset", "thickness"))
    assert not isinstance(both.made, str)
    assert both.made.thickness == 6.0
    assert both.made.gussets
    assert both.what == "bracket.plate.thickness: \ue000" + both.what.split("\ue000", 1)[1]
    assert both.cost == combined(design, ("gusset",)).cost + combined(design, ("thickness",)).cost
    none = combined(designed(in_job(bracket={"width": 30})), ("thickness", "gusset"))
    assert isinstance(none.made, str)


def fake_changes(base: tuple[Held, ...], ratios: dict[str, float]):  # type: ignore[no-untyped-def]
    """In place of `changes` and `tried`: each change as many times as stiff as said."""

    def tried(variant: Variant) -> BracketChange:
        if isinstance(variant.made, str):
            return BracketChange(variant.name, variant.what, None, variant.made, cost=variant.cost)
        times = 1.0
        for name in variant.name.split("+"):
            times *= ratios.get(name, 1.0)
        held = tuple(scaled(one, times) for one in base)
        return BracketChange(variant.name, variant.what, held[0].first_hz, "", held, variant.cost)

    def changed(design: BracketDesign, enough):  # type: ignore[no-untyped-def]
        every = [tried(variant) for variant in variants(design)]
        return tuple(one if one.first_hz and enough(one.first_hz) else replace(one, held=()) for one in every)

    return changed, tried


class Fake:
    """In place of a bracket's coarse mesh."""

    def __init__(self, held: tuple[Held, ...]) -> None:
        self._held = held

    def held(self) -> tuple[tuple[Held, ...], MeshStep]:
        return self._held, MeshStep(20.0, 10_000, self._held[1].first_hz, 1.0)


def test_the_search_finds_the_cheapest_combination(monkeypatch: pytest.MonkeyPatch) -> None:
    """With each change's effect known, what it finds is what trying all of them in order of cost finds."""
    design = designed(in_job(engine={"max_speed": 6500}))
    base = tuple(scaled(one, 0.62) for one in meshed(design).held()[0])
    ratios = {"thickness": 1.15, "gusset": 1.3, "width": 1.02, "shorter-tab": 1.2, "washer": 1.05}
    changed, tried = fake_changes(base, ratios)
    monkeypatch.setattr(mending, "meshed", lambda design: Fake(base))
    monkeypatch.setattr(mending, "tried", tried)
    monkeypatch.setattr(mending, "changes", changed)
    found = proposals(design)
    assert found.base_mesh is not None
    assert 1.2 < found.wanted < 2.2
    assert found.combined
    speeds = speeds_of(design)
    assert speeds is not None
    for one in found.combined:
        assert "+" in one.name
        assert keeps(worst(one.held, speeds), limits_of(design))
    assert not any(keeps(worst(tried(v).held, speeds), limits_of(design)) for v in variants(design) if tried(v).held)
    # nothing helps: said so, with what would
    changed, tried = fake_changes(base, dict.fromkeys(ratios, 1.001))
    monkeypatch.setattr(mending, "tried", tried)
    monkeypatch.setattr(mending, "changes", changed)
    none = proposals(design)
    assert none.combined == ()
    assert none.tried > 10
    assert 0 < none.mount_within_mm < design.free_length
    assert len(none.map) > 3


def test_the_map_goes_through_the_present_place() -> None:
    design = designed(flat_job())
    base = (Held("", (123.0,), ()),)
    places = dict(by_sensor_at(design, base))
    assert places[design.asked.sensor.at] == pytest.approx(123.0, rel=1e-3)
    assert len(set(places.values())) > 3
    # nearer bolts are stiffer: a straight bar twice as stiff in frequency is 1/2^0.5 to 1/2^(2/3) as long
    assert 0.6 < mount_within_mm(design, 2.0) / design.free_length < 0.75


@pytest.mark.slow
def test_a_frequency_inside_the_speeds_is_cleared_by_finite_elements() -> None:
    """A soft bracket whose first frequency firing itself meets: what is offered keeps every limit on a whole solve."""
    job = in_job(engine={"max_speed": 7000}, bracket={"plate": {"thickness": 3}})
    design = designed(job)
    found = proposals(design)
    speeds = speeds_of(design)
    assert speeds is not None
    assert found.wanted > 1.0
    assert found.combined, [(one.name, one.first_hz, one.why_not) for one in found.singles]
    made = combined(design, tuple(found.combined[0].name.split("+")))
    assert not isinstance(made.made, str)
    assert keeps(worst(tried(made).held, speeds), limits_of(made.made))
    assert not keeps(worst(found.base, speeds), limits_of(design))


@pytest.mark.parametrize(("most", "said"), [(100.0, 15.0), (9.0, 8.0), (4.1, 4.0), (3.9, None)])
def test_a_plate_is_packed_off_as_far_as_it_goes(
    most: float, said: float | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    design = designed(in_job())
    thick = design.asked.bracket.packing

    def made(job: Job) -> BracketDesign | str:
        assert job.bracket is not None
        return design if job.bracket.packing <= thick + most else "no room"

    monkeypatch.setattr(offered, "_made", made)
    packed = offered._packed(design)
    if said is None:
        assert packed.made == "no room"
    else:
        assert Words().text(packed.what) == f"bracket.packing: {thick + said:g} mm"
