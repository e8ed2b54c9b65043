"""Drawings read back: dimensions, lines and words put together by hand, at the limits and a little to each side."""

from __future__ import annotations

import math
from collections import Counter
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from wheelcad.checks import drawings
from wheelcad.checks.drawings import ANGLE
from wheelcad.words import Words

LINEAR, ALIGNED, TWO_LINES, DIAMETER, RADIUS, THREE_POINTS = range(6)  # the format's own numbers of kinds
OWN_BLOCK = 32  # which the format adds to them
Xy = tuple[float, float]


def entity(kind: str, **dxf: Any) -> Any:
    """As a DXF reader hands it out: points with x and y, texts and numbers by name."""
    named = {name: SimpleNamespace(x=v[0], y=v[1]) if isinstance(v, tuple) else v for name, v in dxf.items()}
    return SimpleNamespace(
        dxftype=lambda: kind, dxf=SimpleNamespace(**named, get=lambda name, default=None: named.get(name, default))
    )


def dimension(kind: int, text: str = "", **points: Any) -> Any:
    """A dimension with its words as extended data, and its text at 30, 40."""
    made = entity("DIMENSION", dimtype=kind + OWN_BLOCK, dimstyle="OURS", geometry="*D1", text=" ", **points)
    made.dxf.text_midpoint = (30.0, 40.0, 0.0)
    made.has_xdata = lambda name: bool(text)
    made.get_xdata = lambda name: [SimpleNamespace(value=text), SimpleNamespace(value="another")]
    return made


def shown(text: str, x: float = 30.0, y: float = 40.0, height: float = 3.5) -> Any:
    made = entity("TEXT", text=text, height=height)
    made.get_placement = lambda: ("MIDDLE", SimpleNamespace(x=x, y=y), None)
    return made


def document(*entities: Any, factor: float = 1.0, blocks: tuple[Any, ...] = ()) -> Any:
    style = SimpleNamespace(dxf=SimpleNamespace(dimlfac=factor))
    return SimpleNamespace(
        dimstyles={"OURS": style}, modelspace=lambda: list(entities), blocks=SimpleNamespace(get=lambda name: blocks)
    )


def line(a: Xy, b: Xy) -> Any:
    return entity("LINE", start=a, end=b)


def circle(centre: Xy, radius: float) -> Any:
    return entity("CIRCLE", center=centre, radius=radius)


def arc(centre: Xy, radius: float, begin: float, end: float) -> Any:
    return entity("ARC", center=centre, radius=radius, start_angle=begin, end_angle=end)


# --- lines ------------------------------------------------------------------------------------------------------------
def test_everything_that_is_drawn() -> None:
    """A line, a circle, and a polyline of a line and an arc; no words and no dimension."""
    bent = entity("LWPOLYLINE")
    bent.virtual_entities = lambda: [line((7.0, 7.0), (8.0, 5.0)), arc((-2.0, 1.0), 3.0, 350.0, 80.0)]
    pieces, rounds, corners = drawings._lines(
        [line((1.0, 2.0), (5.0, 9.0)), shown("20"), circle((10.0, 3.0), 4.0), dimension(LINEAR), bent]
    )
    assert rounds.tolist() == [[10.0, 3.0, 4.0], [-2.0, 1.0, 3.0]]
    ends = [(-2.0 + 3.0 * math.cos(math.radians(a)), 1.0 + 3.0 * math.sin(math.radians(a))) for a in (350.0, 80.0)]
    assert corners == pytest.approx(
        np.array([(1, 2), (5, 9), (14, 3), (14, 3), (14, 7), (6, -1), (7, 7), (8, 5), *ends, (1, 4), (-5, -2)])
    )
    straight = [row.tolist() for row in pieces if np.hypot(*(row[1] - row[0])) > 2]
    assert straight == [[[1.0, 2.0], [5.0, 9.0]], [[7.0, 7.0], [8.0, 5.0]]]


@pytest.mark.parametrize(
    ("drawn", "begin", "end"),
    [(circle((10.0, 3.0), 4.0), 0.0, 360.0), (arc((10.0, 3.0), 4.0, 350.0, 80.0), -10.0, 80.0),
     (arc((10.0, 3.0), 0.05, 30.0, 31.0), 30.0, 31.0)],
)  # fmt: skip
def test_rounds_as_straight_pieces(drawn: Any, begin: float, end: float) -> None:
    """One after the other from begin to end, their ends on the round and their middles nearly."""
    pieces, ((x, y, radius),), _ = drawings._lines([drawn])
    away = pieces - np.array([x, y])
    assert np.hypot(*np.moveaxis(away, -1, 0)) == pytest.approx(np.full((len(pieces), 2), radius))
    assert pieces[:-1, 1] == pytest.approx(pieces[1:, 0])
    turns = np.unwrap(np.arctan2(away[:, 0, 1], away[:, 0, 0])), np.arctan2(away[-1, 1, 1], away[-1, 1, 0])
    assert math.degrees(turns[0][0]) == pytest.approx(begin)
    assert (math.degrees(turns[1]) - end) % 360 == pytest.approx(0.0, abs=1e-9)
    assert np.all(np.diff(turns[0]) > 0)
    assert radius - np.hypot(*away.mean(axis=1).T).min() < drawings.ON_LINE / 10


# --- what lies between a dimension's points ---------------------------------------------------------------------------
def _ray(length: float, turn: float) -> Xy:
    return 2.0 + length * math.cos(math.radians(turn)), 1.0 + length * math.sin(math.radians(turn))


SPAN: dict[str, Xy] = {"defpoint2": (1.0, 2.0), "defpoint3": (4.0, 6.0)}
ROUND: dict[str, Xy] = {"defpoint": (-1.0, 2.0), "defpoint4": (5.0, 10.0)}
RAYS: dict[str, Xy] = {"defpoint4": (2.0, 1.0), "defpoint2": _ray(3.0, 20.0), "defpoint3": _ray(5.0, 65.0)}
OTHER_RAYS: dict[str, Xy] = {"defpoint4": (2.0, 1.0), "defpoint3": _ray(2.0, 20.0), "defpoint": _ray(7.0, 150.0)}


@pytest.mark.parametrize(
    ("kind", "points", "value", "scaled"),
    [
        (LINEAR, SPAN, 3.0, True),
        (LINEAR, {**SPAN, "angle": 90.0}, 4.0, True),
        (LINEAR, {**SPAN, "angle": 270.0}, 4.0, True),
        (LINEAR, {**SPAN, "angle": 30.0}, 3 * math.sqrt(0.75) + 2, True),
        (ALIGNED, SPAN, 5.0, True),
        (DIAMETER, ROUND, 10.0, True),
        (RADIUS, ROUND, 10.0, True),
        (THREE_POINTS, RAYS, 45.0, False),
        (TWO_LINES, OTHER_RAYS, 130.0, False),
    ],
)
def test_what_a_dimension_measures(kind: int, points: dict[str, Any], value: float, scaled: bool) -> None:
    """mm of the part, on a drawing at two to one; degrees are as they are."""
    found = drawings._measured(dimension(kind, **points), document(factor=0.5))
    assert found == pytest.approx(value * (0.5 if scaled else 1.0), rel=1e-12)


# --- what it says -----------------------------------------------------------------------------------------------------
def wrong(dim: Any, text: str, units: str = "mm", at: Xy = (30.0, 40.0)) -> list[str]:
    return list(drawings._wrong(dim, document(), units, [shown("other"), shown(text, *at)]))


def linear(text: str, length: float, **more: Any) -> Any:
    return dimension(LINEAR, text, defpoint2=(5.0, 8.0), defpoint3=(5.0 + length, 3.0), **more)


@pytest.mark.parametrize(
    ("text", "length", "units", "good"),
    [
        ("20", 20.0, "mm", True),
        ("20", 20.005, "mm", True),  # half of its last figure
        ("20", 19.995, "mm", True),
        ("20", 20.0053, "mm", False),
        ("20", 19.9947, "mm", False),
        ("⌀20.125", 20.1255, "mm", True),
        ("⌀20.125", 20.1256, "mm", False),
        ("3/16", 4.775, "in", True),  # half a thousandth of an inch
        ("3/16", 4.7761, "in", False),
        ("6.25", 158.877, "in", True),
        ("6.25", 158.89, "in", False),
    ],
)
def test_a_length_is_rounded_by_half_its_last_figure(text: str, length: float, units: str, good: bool) -> None:
    assert wrong(linear(text, length), text, units) == ([] if good else [f"{text} on {length:.4g}"])


def test_just_as_far_off_as_a_text_is_rounded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(drawings, "ROUNDED", 25.0)  # of a hundredth
    assert wrong(linear("20", 20.25), "20") == []
    assert wrong(linear("20", 20.2501), "20") == ["20 on 20.25"]
    held = drawings._sizes("any.dxf", [linear("20", 20.25)], [("length", 20.25)], "mm")
    assert held.verdict == "pass"


@pytest.mark.parametrize(
    ("text", "good"), [("45°", True), ("315°", True), ("45.02°", False), ("314.98°", False), ("135°", False)]
)
def test_an_angle_is_that_or_the_rest_of_the_turn(text: str, good: bool) -> None:
    assert wrong(dimension(THREE_POINTS, text, **RAYS), text) == ([] if good else [f"{text} on 45"])
    two = {"defpoint4": (2.0, 1.0), "defpoint3": _ray(2.0, 20.0), "defpoint": _ray(7.0, 65.0)}
    assert wrong(dimension(TWO_LINES, text, **two), text) == ([] if good else [f"{text} on 45"])


@pytest.mark.parametrize(
    ("kept", "linear_good", "angle_good"),
    [(45.0, True, True), (45.001, False, False), (44.999, False, False), (315.0, False, True), (315.1, False, False)],
)
def test_the_size_that_a_drawing_program_would_show(kept: float, linear_good: bool, angle_good: bool) -> None:
    """Kept beside the points as a number: the distance; an angle's may be the rest of the turn."""
    assert (wrong(linear("45", 45.0, actual_measurement=kept), "45") == []) == linear_good
    angle = dimension(THREE_POINTS, "45°", **RAYS, actual_measurement=kept)
    assert (wrong(angle, "45°") == []) == angle_good


@pytest.mark.parametrize("kept", [None, 45.0])
def test_a_dimension_without_one_of_its_points_measures_nothing(kept: float | None) -> None:
    """As an angle it has no line that it could hang off, so that its text must fail."""
    more = {} if kept is None else {"actual_measurement": kept}
    for kind, points in ((THREE_POINTS, RAYS), (LINEAR, SPAN), (RADIUS, ROUND)):
        for gone in points:
            left = {name: at for name, at in points.items() if name != gone}
            text = "45°" if kind == THREE_POINTS else "45"
            assert wrong(dimension(kind, text, **left, **more), text) == [f"{text} on nan"]


@pytest.mark.parametrize(("at", "there"), [((30.0, 54.0), True), ((16.0, 40.0), True), ((30.0, 54.1), False)])
def test_its_words_stand_where_it_has_its_text(at: Xy, there: bool) -> None:
    """Four times their height of 3.5 away at most, for two characters."""
    assert wrong(linear("20", 20.0), "20", at=at) == ([] if there else ["20 is drawn as another"])
    assert wrong(linear("THRU", 20.0), "THRU") == ["THRU says no size"]


# --- where its ends stand ---------------------------------------------------------------------------------------------
FRAME = [line((0.0, 0.0), (20.0, 0.0)), line((0.0, 0.0), (0.0, 10.0)), circle((40.0, 7.0), 3.0)]


@pytest.mark.parametrize(
    ("a", "b", "angle", "on"),
    [
        ((0.0, 4.0), (20.0, 0.0), 0.0, True),
        ((0.0095, 4.0), (6.0, 0.0095), 0.0, True),
        ((0.01, 4.0), (6.0, 0.0), 0.0, False),
        ((0.0105, 4.0), (6.0, 0.0), 0.0, False),
        ((0.0, 4.0), (6.0, 0.0105), 0.0, False),
        ((6.0, 0.0), (20.00095, 30.0), 0.0, True),  # level with where the first line ends
        ((20.00105, 30.0), (6.0, 0.0), 0.0, False),
        ((0.001, 30.0), (6.0, 0.0), 0.0, False),  # a thousandth from where both begin
        ((6.0, 0.0), (19.99895, 30.0), 0.0, False),
        ((25.0, 10.0009), (6.0, 0.0), 90.0, True),  # with where the second does
        ((43.0, 30.0), (37.0, 25.0), 0.0, True),  # with the circle, which reaches from 37 to 43
        ((15.0, 10.0), (25.0, 4.0), 90.0, True),  # and up from 4
    ],
)
def test_a_length_s_ends_stand_on_lines_or_level_with_corners(a: Xy, b: Xy, angle: float, on: bool) -> None:
    first = dimension(ALIGNED, "5", defpoint2=(0.0, 0.0), defpoint3=(0.0, 5.0))
    asked = dimension(LINEAR, "asked", defpoint2=a, defpoint3=b, angle=angle)
    round_one = dimension(RADIUS, "R3", defpoint=(40.0, 7.0), defpoint4=(40.0, 10.0))
    hanging = list(drawings._hanging([first, round_one, asked], *drawings._lines(FRAME)))
    assert hanging == ([] if on else ["asked"])


@pytest.mark.parametrize(
    ("kind", "centre", "radius", "on"),
    [
        (RADIUS, (40.0, 7.0), 3.0, True),
        (DIAMETER, (40.0, 7.0), 3.0, True),
        (RADIUS, (40.0, 7.0), 6.0, False),
        (DIAMETER, (40.0, 7.0), 1.5, False),
        (RADIUS, (40.0057, 6.9924), 3.0, True),  # 0.0095 off
        (DIAMETER, (39.9937, 6.9916), 3.0, False),  # 0.0105 off
        (RADIUS, (40.0, 7.0), 3.0095, True),
        (DIAMETER, (40.0, 7.0), 3.0105, False),
        (RADIUS, (40.006, 7.0), 3.006, False),  # both together
        (RADIUS, (7.0, 40.0), 3.0, False),
    ],
)
def test_a_round_s_size_is_that_of_a_circle(kind: int, centre: Xy, radius: float, on: bool) -> None:
    way = np.array([0.6, 0.8])
    ends = np.array(centre) - (radius * way if kind == DIAMETER else 0.0), np.array(centre) + radius * way
    asked = dimension(kind, "asked", defpoint=tuple(ends[0].tolist()), defpoint4=tuple(ends[1].tolist()))
    hanging = list(drawings._hanging([asked], *drawings._lines([circle((-3.0, 2.0), 8.0), *FRAME])))
    assert hanging == ([] if on else ["asked"])


def test_a_circle_a_hundredth_off_is_another_and_rays_need_none() -> None:
    rounds = np.array([[0.01, 0.0, 5.0]])
    assert not drawings._round(dimension(RADIUS, defpoint=(0.0, 0.0), defpoint4=(5.0, 0.0)), rounds)
    assert not drawings._round(dimension(RADIUS, defpoint=(0.0, 0.0), defpoint4=(5.0, 0.0)), rounds[:0])
    assert drawings._round(dimension(THREE_POINTS, **RAYS), rounds)


# --- sizes and words --------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("texts", "wanted", "missing"),
    [
        (["⌀160", "5", "10°"], [("over all", 160.0), ("thickness", 5.0), (f"pitch{ANGLE}", 10.0)], ""),
        (["⌀160", "5", "10°"], [("over all", 160.006), ("thickness", 5.0)], "over all"),
        (["10°", "5"], [("length", 10.0)], "length"),  # an angle is no length
        (["10", "5°"], [(f"pitch{ANGLE}", 10.0)], f"pitch{ANGLE}"),
        (["8"], [("long", 8.0), ("wide", 8.0)], "long, wide"),  # two that are equal need two
        (["8", "2× 8"], [("long", 8.0), ("wide", 8.0)], ""),
        (["8", "8.05"], [("long", 8.0), ("wide", 8.05)], ""),  # and two that differ one each
        (["THRU"], [("long", 8.0)], "long"),
    ],
)
def test_sizes_the_part_is_made_to(texts: list[str], wanted: list[tuple[str, float]], missing: str) -> None:
    found = drawings._sizes("any.dxf", [dimension(LINEAR, text) for text in texts], wanted, "mm")
    assert found.verdict == ("fail" if missing else "pass")
    said = Words().text(str(found.measured))
    assert said == (f"not there: {missing}" if missing else f"{len(wanted)} size{'s' if len(wanted) > 1 else ''}")


@pytest.mark.parametrize(
    ("pdf", "said"),
    [
        ("plate 5 20 ⌀8", "4 words"),
        ("plate5 20⌀8", "4 words"),  # run together by the reader
        ("p late 5 2 0 ⌀8", "4 words"),
        ("plate 5 20", "⌀8"),
        ("plate 5 20 ⌀8 ⌀8", "⌀8"),
        ("plate 5 20 9", "⌀8, 9"),
    ],
)
def test_words_of_drawing_and_dimensions_against_the_pdf(pdf: str, said: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A dimension's own picture is a block, with lines among its words."""
    asked: list[Path] = []
    monkeypatch.setattr(drawings, "pdf_texts", lambda path: asked.append(path) or [pdf])
    block = shown("20"), line((0.0, 0.0), (1.0, 0.0)), shown("%%c8")
    doc = document(shown("plate 5"), line((0.0, 0.0), (1.0, 0.0)), dimension(LINEAR, "20"), blocks=block)
    found = drawings._same_words("wheel", doc, Path("made"))
    assert (Words().text(str(found.measured)), found.verdict) == (said, "pass" if said == "4 words" else "fail")
    assert asked == [Path("made/wheel-drawing.pdf")]


def test_two_words_that_stand_close_are_one_of_the_reader_s() -> None:
    whole, parts = Counter({"a12": 2, "30": 1}), Counter({"a": 2, "12": 1, "3": 1})
    drawings._joined(whole, parts)
    assert (whole, parts) == (Counter({"a12": 1, "30": 1}), Counter({"a": 1, "3": 1}))


def test_a_drawing_s_findings(monkeypatch: pytest.MonkeyPatch) -> None:
    """Four dimensions that say what is not so, and none that hangs; the first three are named."""
    dims = [linear(f"{n}", 4.0) for n in (11, 12, 13, 14)]
    drawn = [line((5.0, 8.0), (9.0, 8.0)), line((9.0, 3.0), (9.0, 1.0))]
    texts = [shown(f"{n}") for n in (11, 12, 13, 14)]
    asked: list[Path] = []
    monkeypatch.setattr(drawings, "pdf_texts", lambda path: ["11 12 13 14"])
    doc = document(*dims, *drawn, *texts)
    monkeypatch.setattr(drawings, "_read", lambda path: asked.append(path) or doc)
    said, lines, words, sizes = drawings.check_drawing(Path("made"), "wheel", [("length", 12.0)], "mm")
    assert asked == [Path("made/wheel-drawing.dxf")]
    assert (said.verdict, said.measured) == ("fail", "11 on 4; 12 on 4; 13 on 4")
    assert [lines.verdict, words.verdict, sizes.verdict] == ["pass"] * 3
    doc = document(*drawn)
    monkeypatch.setattr(drawings, "pdf_texts", lambda path: [])
    said = drawings.check_drawing(Path("made"), "wheel", [], "mm")[0]
    assert (said.verdict, Words().text(str(said.measured))) == ("fail", "0 dimensions")
