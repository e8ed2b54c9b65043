"""How sizes are said, how wide text is, what paper and scales there are."""

from __future__ import annotations

import pytest

from wheelcad.drawing import dimension_text, font
from wheelcad.drawing.model import Linear
from wheelcad.drawing.paper import PAPERS, scale_name, standard_scale, step_scale

A, B = (0.0, 0.0), (1.0, 1.0)


@pytest.mark.parametrize(
    ("mm", "units", "said"),
    [
        (160.0, "mm", "160"),
        (6.35, "mm", "6.35"),
        (14.8000001, "mm", "14.8"),
        (-0.001, "mm", "0"),
        (6.35, "in", "0.250"),
        (7.9375, "in", "0.3125"),  # 5/16 in would be rounded by three places
        (120.65, "in", "4.750"),
        (25.4, "dual", "25.4 [1.000]"),
    ],
)
def test_lengths(mm: float, units: dimension_text.Units, said: str) -> None:
    assert dimension_text.length(mm, units) == said


def test_a_dimension_says_everything_in_order() -> None:
    dim = Linear(A, B, "above", prefix="⌀", count=4, fit="H7", upper=0.025, lower=0.0, suffix="deep")
    assert dimension_text.dimension(dim, 32.0, "mm") == "4× ⌀32 H7 +0.025/0 deep"
    assert dimension_text.dimension(Linear(A, B, "above", upper=0.1, lower=-0.1), 6.0, "mm") == "6 ±0.1"
    assert dimension_text.dimension(Linear(A, B, "above", reference=True), 6.0, "in") == "(0.2362)"
    assert dimension_text.dimension(Linear(A, B, "above"), 17.142857, "mm", angle=True) == "17.14°"


def test_limits_are_converted_with_the_size() -> None:
    dim = Linear(A, B, "above", upper=0.0254, lower=-0.0508)
    assert dimension_text.dimension(dim, 25.4, "in") == "1.0000 +0.0010/−0.0020"


def test_text_width_is_the_fonts_own() -> None:
    from fontTools.ttLib import TTFont

    for name, bold in ((font.REGULAR, False), (font.BOLD, True)):
        ttf = TTFont(font.path_of(name))
        glyphs, metrics, per_em = ttf.getBestCmap(), ttf["hmtx"], ttf["head"].unitsPerEm
        for text in ("⌀160 ±0.1°", "4× R3 (½)", "Größe – Ωµ"):
            wanted = sum(metrics[glyphs[ord(ch)]][0] for ch in text) / per_em * font.size_for(3.5)
            assert font.text_width(text, 3.5, bold) == pytest.approx(wanted, rel=1e-12)


def test_every_sign_that_drawings_use_is_in_the_fonts() -> None:
    for name in (font.REGULAR, font.BOLD):
        missing = [ch for ch in "⌀°±×−–µ·≤≥½¼☐" if ord(ch) not in font.face(name).advances]
        assert not missing


def test_wrapping_keeps_the_width_and_every_word() -> None:
    text = "Turn all new surfaces and the front face in one chucking with the bore"
    lines = font.wrap(text, 2.5, 40)
    assert " ".join(lines) == text
    assert all(font.text_width(line, 2.5) <= 40 for line in lines)
    broken = font.wrap("x" * 60, 2.5, 40)
    assert "".join(broken) == "x" * 60
    assert all(font.text_width(line, 2.5) <= 40 for line in broken)


def test_standard_scales() -> None:
    """ISO 5455: 1, 2, 5 and their tens."""
    assert [standard_scale(x) for x in (1.0, 0.99, 0.3, 3.0, 7.0, 1e-9)] == [1.0, 0.5, 0.2, 2.0, 5.0, 0.01]
    assert [step_scale(1.0, n) for n in (-2, -1, 0, 1, 2)] == [0.2, 0.5, 1.0, 2.0, 5.0]
    assert [scale_name(x) for x in (1.0, 0.5, 0.2, 5.0)] == ["1:1", "1:2", "1:5", "5:1"]


def test_the_space_inside_the_frame() -> None:
    """ISO 5457: A4 180 x 277 mm, A3 390 x 277 mm."""
    for name, size in (("A4", (180, 277)), ("A3", (390, 277))):
        x0, y0, x1, y1 = PAPERS[name].frame
        assert (x1 - x0, y1 - y0) == size
