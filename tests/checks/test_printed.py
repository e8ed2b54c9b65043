"""Numbers on the packet's sheets against where they come from: each changed is noticed, and none of a sound packet."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from tests.parts.bracket_jobs import in_job, made
from wheelcad.build import BuildResult
from wheelcad.checks import printed
from wheelcad.checks.drawings import pdf_texts
from wheelcad.checks.printed import Length, said, unsaid_lengths, wrong_numbers


def _lines(path: Path) -> list[str]:
    return [" ".join(line.split()) for text in pdf_texts(path) for line in text.split("\n")]


def test_a_length_is_read_to_half_of_its_last_figure() -> None:
    assert said("6.35", "mm") == pytest.approx((6.35, 0.005))
    assert said("1 3/4", "in") == pytest.approx((44.45, 0.0))
    assert said("5", "mm") == pytest.approx((5, 0.005))  # and not 4.76
    assert said("0.300", "in") == pytest.approx((7.62, 0.0127))
    assert Length(6.35, 0.005).is_(6.354)
    assert not Length(6.35, 0.005).is_(6.356)
    assert not said("17/64", "in").is_(6.75)


@pytest.mark.parametrize(
    ("name", "words", "number"),
    [
        ("tarn-six", r"Over the teeth ⌀(\S+)", "160.1"), ("tarn-six", r"wide × deep (\S+)", "6.1"),
        ("tarn-six", r"stop at (\S+) mm: the slot", "6.36"), ("tarn-six", r"Printed bolt holes ⌀(\S+)", "8.45"),
        ("tarn-six", r"feeler of (\S+)", "0.9"), ("tarn-six", r"Plate (\S+) mm", "5"),
        ("tarn-six", r"Flat (\S+)", "163.3"), ("tarn-six", r"mount 2 ⌀(\S+)", "11"),
        ("tarn-six", r"⌀118 mm (14\.8) mm", "14.9"), ("tarn-six", r"⌀168 mm ⌀(118) mm 8 mm", "117.9"),
        ("tarn-six", r"3\.2 mm (8) mm 5 ", "8.1"), ("tarn-six", r"(8) mm drill, 66 mm from", "8.5"),
        ("tarn-six", r"8 mm drill, (66) mm from", "66.5"), ("tarn-six", r"90° up (5) mm", "4"),
        ("tarn-six", r"90° up 5 mm (\S+)", "10.42"),
    ],
)  # fmt: skip
def test_each_number_changed_is_noticed(
    name: str, words: str, number: str, built_demo: Callable[[str], BuildResult]
) -> None:
    """As if the writer of the packet itself had it wrong, on every page that says it."""
    built = built_demo(name)
    text = "\n".join(_lines(built.folder / "packet.pdf"))
    found = re.search(words, text)
    assert found is not None, words
    spoilt = text[: found.start(1)] + number + text[found.end(1) :]
    assert list(wrong_numbers(text.split("\n"), built.design, built.folder)) == []
    assert list(wrong_numbers(spoilt.split("\n"), built.design, built.folder)), words


def test_the_measuring_sheet_s_lengths_are_the_job_s(built_six: BuildResult) -> None:
    text = "\n".join(_lines(built_six.folder / "measuring-sheet.pdf"))
    job = built_six.design.job
    assert not list(unsaid_lengths([text], job))
    for said_so, other, what in (("168 mm", "186 mm", "diameter"), ("3.3 mm", "3.8 mm", "keyway's depth"),
                                 ("8.4 mm", "8.2 mm", "bolt holes"), ("60 mm", "66 mm", "recess")):  # fmt: skip
        assert said_so in text
        assert [word.split(":")[0] for word in unsaid_lengths([text.replace(said_so, other)], job)] == [what]


@pytest.mark.parametrize(("adjust", "words"), [(0.0, "mount 1 Q "), (0.8, "mount 1 Q Q "), (6.0, "mount 1 Q Q ")])
def test_a_mount_s_travel_is_printed_where_there_is_any(
    adjust: float, words: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = in_job(bracket={"adjust": adjust})
    monkeypatch.setattr(printed, "_extent", lambda path: (100.0, 44.0))
    (tmp_path / printed.FLAT).write_text("a flat", encoding="ascii")
    wanted = list(printed._bracket(cast(Any, SimpleNamespace(job=job, bracket=made(job))), tmp_path))
    assert wanted[2] == ("mount 1", words, (9.0, adjust)[: 1 + (adjust > 0)])


@pytest.mark.parametrize(
    ("k_factor", "strip", "metal"),
    [
        (None, 12.3, (12.3, 6.15)),  # the job's own strip, bent square: half of it for half the angle
        (0.4, None, (10.99557, 5.49779)),  # angle in radians × (5 + 0.4 · 5)
        (0.4, 12.3, (12.3, 6.15)),
    ],
)
def test_the_metal_of_a_bend_by_strip_and_by_k_factor(
    k_factor: float | None, strip: float | None, metal: tuple[float, float]
) -> None:
    plate = SimpleNamespace(inside_radius=5.0, thickness=5.0, k_factor=k_factor)
    hand = SimpleNamespace(allowance=strip) if strip is not None else None
    bracket = SimpleNamespace(plate=plate, bends="hand", hand_bend=hand)
    design = cast(Any, SimpleNamespace(job=SimpleNamespace(bracket=bracket), bracket=SimpleNamespace(bends=[1, 2])))
    text = "1 90° up 5 mm {:.2f} mm 2 45° down 5 mm {:.2f} mm"
    assert list(printed._bends(text.format(*metal), design)) == []
    for wrong in ((metal[0] + 0.02, metal[1]), (metal[0], metal[1] - 0.02)):
        assert len(list(printed._bends(text.format(*wrong), design))) == 1
    assert list(printed._bends(text.format(*metal).split(" 2 ")[0], design)) == ["bends: 1 for 2"]
