"""Numbers read out of a page's text, a line of each kind: sizes, the lathe's table, drills, lengths measured."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from wheelcad.checks import printed
from wheelcad.checks.printed import Length, said, unsaid_lengths
from wheelcad.files.dxf import CutFile
from wheelcad.trade.loop import Loop


@pytest.mark.parametrize(
    ("number", "unit", "mm", "within"),
    [
        ("6.35", "mm", 6.35, 0.005),
        ("12", "mm", 12.0, 0.005),  # its noughts are left out
        ("6.3505", "mm", 6.3505, 0.00005),
        ("2", "in", 50.8, 12.7),
        ("0.25", "in", 6.35, 0.127),
        ("3/8", "in", 9.525, 0.0),
        ("2 1/2", "in", 63.5, 0.0),
        ("1/2", "mm", 0.5, 0.0),
    ],
)
def test_how_far_a_printed_length_may_be_rounded(number: str, unit: str, mm: float, within: float) -> None:
    assert said(number, unit) == pytest.approx((mm, within), rel=1e-12, abs=1e-12)


@pytest.mark.parametrize(
    ("mm", "within", "length", "same"),
    [
        (6.35, 0.005, 6.355, True),
        (6.35, 0.005, 6.345, True),
        (6.35, 0.005, 6.35502, False),
        (6.35, 0.005, 6.34498, False),
        (9.525, 0.0, 9.5250009, True),  # a fraction is exact
        (9.525, 0.0, 9.525002, False),
        (50.8, 12.7, 63.5, True),
        (50.8, 12.7, 63.6, False),
    ],
)
def test_a_length_stands_for_what_rounds_to_it(mm: float, within: float, length: float, same: bool) -> None:
    assert Length(mm, within).is_(length) == same


# --- a page -----------------------------------------------------------------------------------------------------------
def job(**more: Any) -> Any:
    """A turned piece of three lands, 20 and 10 mm long beside a wheel of 5, from two lands; bolts, no bracket."""
    lands = [SimpleNamespace(length=20.0, diameter=90.0), "wheel", SimpleNamespace(length=10.0, diameter=60.5)]
    found = [SimpleNamespace(length=18.0, diameter=165.0), SimpleNamespace(length=21.0, diameter=100.0)]
    bolts = SimpleNamespace(hole=8.4, circle=71.0)
    pulley = SimpleNamespace(turned=lands, as_found=found, bolts=bolts)
    wheel = SimpleNamespace(thickness=5.0, outside_diameter=160.0, slot=SimpleNamespace(width=6.5, depth=7.25))
    given = {"wheel": wheel, "pulley": pulley, "sensor": None, "bracket": None, "gauge": None,
             "shop": SimpleNamespace(slots_by="mill")}  # fmt: skip
    return SimpleNamespace(**(given | more))


def design(**more: Any) -> Any:
    balance = SimpleNamespace(holes=[SimpleNamespace(diameter_mm=10.0, radius_mm=60.25, at_deg=33.5)])
    given = {"job": job(), "blank": 1, "gauge": None, "bracket": None, "balance": balance,
             "indexing": SimpleNamespace(table=40)}  # fmt: skip
    return cast(Any, SimpleNamespace(**(given | more)))


PAGE = (
    "Over the teeth ⌀160 mm Slots, wide × deep 6.5 mm × 7.25 mm set a stop at 7.25 mm: the slot's depth "
    "⌀165 mm ⌀90 mm 20 mm 0 mm 5 6 turning ⌀165 mm ⌀160 mm 5 mm 20 mm 5 6 turning "
    "⌀100 mm ⌀60.5 mm 10 mm 25 mm 5 6 facing "
    "3: 8.4 mm drill, 35.5 mm from the centre 1, 4, 7: 10 mm drill, 60.25 mm from the centre"
)


@pytest.mark.parametrize(
    ("was", "now", "told"),
    [
        ("", "", []),
        ("⌀160 mm Slots", "⌀160.02 mm Slots", ["over the teeth: 160.02 mm for 160 mm"]),
        ("6.5 mm × 7.25", "6.6 mm × 7.25", ["slots: 6.6 mm for 6.5 mm"]),
        ("6.5 mm × 7.25", "6.5 mm × 7.2", ["slots: 7.2 mm for 7.25 mm"]),
        ("a stop at 7.25", "a stop at 7.2", ["depth stop: 7.2 mm for 7.25 mm"]),
        ("Over the teeth", "Across the teeth", ["over the teeth: not there"]),
        ("⌀90 mm 20 mm 0 mm", "⌀91 mm 20 mm 0 mm", ["the lathe's table: 165 mm 91 mm 20 mm 0 mm"]),
        ("⌀90 mm 20 mm 0 mm", "⌀90 mm 21 mm 0 mm", ["the lathe's table: 165 mm 90 mm 21 mm 0 mm"]),
        ("⌀90 mm 20 mm 0 mm", "⌀90 mm 20 mm 0.1 mm", ["the lathe's table: 165 mm 90 mm 20 mm 0.1 mm"]),
        ("⌀60.5 mm 10 mm 25 mm", "⌀60.5 mm 10 mm 20 mm", ["the lathe's table: 100 mm 60.5 mm 10 mm 20 mm"]),
        ("⌀100 mm ⌀60.5", "⌀101 mm ⌀60.5", ["the lathe's table: from ⌀101 mm"]),
        ("8.4 mm drill", "8.5 mm drill", ["drill: 8.5 mm 35.5 mm"]),
        ("35.5 mm from", "71 mm from", ["drill: 8.4 mm 71 mm"]),
        ("60.25 mm from", "60.3 mm from", ["drill: 10 mm 60.3 mm", "balance hole at 33.5°: not there"]),
        (" 10 mm drill, 60.25 mm from the centre", " that is all", ["balance hole at 33.5°: not there"]),
        ("turning", "boring", []),
    ],
)
def test_one_number_of_a_page_that_is_not_so(was: str, now: str, told: list[str]) -> None:
    page = PAGE.replace(was, now, 1) if was else PAGE
    assert list(printed.wrong_numbers([page], design(), Path("made"))) == told


def test_without_a_row_at_the_lathe() -> None:
    page = PAGE.replace("turning", "boring").replace("facing", "boring")
    assert list(printed.wrong_numbers([page], design(), Path("made"))) == ["the lathe's table: not there"]


def test_holes_of_the_gauge_gap_plate_and_mounts(monkeypatch: pytest.MonkeyPatch) -> None:
    """8.4 mm and two tenths; the flat as it is in the cutting file; each mount with its travel."""
    plate = SimpleNamespace(thickness=5.0, inside_radius=6.0, k_factor=None)
    mounts = [SimpleNamespace(hole=9.0), SimpleNamespace(hole=11.0)]
    bracket = SimpleNamespace(plate=plate, adjust=4.5, mounts=mounts, bends="hand", hand_bend=None)
    asked = job(bracket=bracket, sensor=SimpleNamespace(air_gap=0.8), gauge=SimpleNamespace(hole_allowance=0.2))
    made = design(job=asked, gauge=1, bracket=SimpleNamespace(bends=[]))
    read: list[Path] = []
    small, large = Loop.polygon([(0, 0), (40, 0), (40, 30)]), Loop.polygon([(0, 0), (120.5, 0), (120.5, 14), (0, 14)])
    long = Loop.polygon([(0, 0), (150, 0), (150, 5), (0, 5)])
    cut = CutFile(4, loops={"OUTLINE": [small, large, long]})
    monkeypatch.setattr(printed, "read_cut_dxf", lambda path: read.append(path) or cut)
    monkeypatch.setattr(Path, "is_file", lambda path: path == Path("made") / printed.FLAT)
    more = (
        " Printed bolt holes ⌀8.6 mm feeler of 0.8 mm Plate 5 mm Flat 120.5 mm × 14 mm"
        " mount 1 ⌀9 mm 4.5 mm mount 2 ⌀11 mm 4.5 mm end"
    )
    assert list(printed.wrong_numbers([PAGE + more], made, Path("made"))) == []
    assert read == [Path("made") / printed.FLAT]
    for was, now, told in (
        ("⌀8.6", "⌀8.4", "printed bolt holes: 8.4 mm for 8.6 mm"),
        ("0.8 mm Plate", "0.7 mm Plate", "feeler: 0.7 mm for 0.8 mm"),
        ("120.5", "150", "flat: 150 mm for 120.5 mm"),
        ("⌀11 mm 4.5", "⌀11 mm 4", "mount 2: 4 mm for 4.5 mm"),
    ):
        assert list(printed.wrong_numbers([PAGE + more.replace(was, now)], made, Path("made"))) == [told]
    bracket.adjust = 0.0  # no travel, none printed
    assert list(printed.wrong_numbers([PAGE + more.replace(" 4.5 mm", "")], made, Path("made"))) == []


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("1 90° up 6 mm 13.5 mm 2 45° down 6 mm 6.75 mm", 0),
        ("1 90° up 6.1 mm 13.5 mm 2 45° down 6 mm 6.75 mm", 1),
        ("1 90° up 6 mm 13.52 mm 2 45° down 6 mm 6.75 mm", 1),
        ("1 90° up 6 mm 13.5 mm 2 45° down 6 mm 6.68 mm", 1),
        ("1 90° up 6 mm 13.5 mm 2 45° down 6 mm 6.75 mm 3 30° up 6 mm 4.5 mm", 0),
        ("1 90° up 6 mm 13.5 mm", 1),
    ],
)
def test_bends_by_the_job_s_own_strip(row: str, told: int) -> None:
    plate = SimpleNamespace(thickness=5.0, inside_radius=6.0, k_factor=None)
    bracket = SimpleNamespace(plate=plate, bends="hand", hand_bend=SimpleNamespace(allowance=13.5))
    made = design(job=job(bracket=bracket), bracket=SimpleNamespace(bends=[1, 2]))
    assert len(list(printed._bends(row, made))) == told


def test_a_strip_is_of_bends_by_hand_alone() -> None:
    """At a press brake the k-factor gives the metal: 90 degrees of 6 + 0.5 · 5."""
    plate = SimpleNamespace(thickness=5.0, inside_radius=6.0, k_factor=0.5)
    bracket = SimpleNamespace(plate=plate, bends="brake", hand_bend=SimpleNamespace(allowance=13.5))
    made = design(job=job(bracket=bracket), bracket=SimpleNamespace(bends=[1]))
    assert list(printed._bends("1 90° up 6 mm 13.35 mm", made)) == []
    assert len(list(printed._bends("1 90° up 6 mm 13.5 mm", made))) == 1


# --- the measuring sheet ----------------------------------------------------------------------------------------------
def measured(form: str, monkeypatch: pytest.MonkeyPatch, **more: Any) -> Any:
    """A pulley as found in three lands, the first two grooved."""
    monkeypatch.setattr(printed, "form_of", lambda job: form)
    grooves = [SimpleNamespace(width=11.0, depth=12.0), SimpleNamespace(width=13.0, depth=14.0), None]
    found = [SimpleNamespace(length=20.0 + k, diameter=100.0 + k, groove=groove) for k, groove in enumerate(grooves)]
    given = {"as_found": found, "bore": None, "keyway": None, "bolts": None, "recess": None}
    return cast(Any, SimpleNamespace(pulley=SimpleNamespace(**(given | more)), sensor=None))


@pytest.mark.parametrize(("form", "lands", "groove"), [("plate", 1, (11.0, 12.0)), ("turned-down", 2, (13.0, 14.0))])
def test_as_many_lands_as_the_sheet_has_rows_for(
    form: str, lands: int, groove: tuple[float, float], monkeypatch: pytest.MonkeyPatch
) -> None:
    wanted = list(printed._measured(measured(form, monkeypatch)))
    rows = [(name, mm + k) for k in range(lands) for name, mm in (("length", 20.0), ("diameter", 100.0))]
    assert wanted == [*rows, ("groove's width", groove[0]), ("groove's depth", groove[1])]


@pytest.mark.parametrize(
    ("text", "unsaid"),
    [
        ("20 mm 100 mm 11 mm 12 mm 20.0005 mm", []),
        ("20.0009 mm 100 mm 11 mm 12 mm 20 mm", []),
        ("20.00105 mm 100 mm 11 mm 12 mm 20 mm", ["length: 20 mm", "bore: 20 mm"]),
        ("20 mm 100 mm 11 mm 12 mm", ["length: 20 mm", "bore: 20 mm"]),  # two that are equal
        ("20 mm 20 mm 100 mm 11 mm", ["groove's depth: 12 mm"]),
    ],
)
def test_lengths_that_stand_on_the_measuring_sheet(
    text: str, unsaid: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert list(unsaid_lengths([text], measured("plate", monkeypatch, bore=20.0))) == unsaid


def test_two_that_nearly_are_equal_are_each_looked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = measured("plate", monkeypatch, bore=20.05)
    assert list(unsaid_lengths(["20 mm 100 mm 11 mm 12 mm 20.05 mm"], asked)) == []


def test_just_as_far_off_as_is_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(printed, "SAME_MM", 0.5)
    asked = measured("plate", monkeypatch)
    assert list(unsaid_lengths(["20.5 mm 100 mm 11 mm 12 mm"], asked)) == ["length: 20 mm"]
