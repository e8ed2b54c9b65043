"""A session that lasts: a changed part is made anew, what is kept is what a fresh build makes, and no finding is
another design's."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tests.conftest import demo_text, edited
from wheelcad.build import BuildResult, build_job
from wheelcad.files.figures import BodyFigures, PartFound
from wheelcad.files.step_name import named, renamed
from wheelcad.findings import Finding
from wheelcad.hashed import hashed
from wheelcad.job.reader import parse_job
from wheelcad.kept import MOST_BYTES, KeptPart, Memo, for_solids, part_keys, put_files, stiffness_key, taken, together
from wheelcad.kernel import Kernel
from wheelcad.parts.design import design_job
from wheelcad.trade.loop import Loop

SIX = demo_text("tarn-six")
SOLIDS = (".step", ".stl", ".glb", ".3mf")


def keys_of(text: str) -> dict[str, str]:
    """The keys of a job's parts."""
    return part_keys(for_solids(design_job(parse_job(text))))


def changed_keys(*changes: tuple[str, str]) -> set[str]:
    """The parts whose keys a change of the job changes."""
    before, after = keys_of(SIX), keys_of(edited(SIX, *changes))
    assert before.keys() == after.keys()
    return {name for name in before if before[name] != after[name]}


def test_a_key_changes_with_what_the_part_is_made_from_and_with_nothing_else() -> None:
    assert keys_of(SIX) == keys_of(SIX)
    assert changed_keys(("job: tarn-six", "job: another")) == set()
    assert changed_keys(("max_speed: 5200", "max_speed: 5100")) == set()
    assert changed_keys(("gauge: {thickness: 4", "gauge: {thickness: 5")) == {"gauge"}
    assert changed_keys(("air_gap: 0.8", "air_gap: 0.9")) == {"bracket", "assembly"}
    assert {"wheel", "gauge", "assembly"} <= changed_keys(("depth: 6.35", "depth: 6.5"))
    assert "blank" in changed_keys(("recess: {diameter: 60, depth: 10}", "recess: {diameter: 60, depth: 9}"))


def test_a_bracket_is_solved_again_for_whatever_could_change_it() -> None:
    def key(*changes: tuple[str, str]) -> str:
        design = design_job(parse_job(edited(SIX, *changes)))
        return stiffness_key(design, for_solids(design))

    same = key()
    assert key(("title: Crank", "title: Another")) == same
    assert key(("gauge: {thickness: 4", "gauge: {thickness: 5")) == same
    assert key(("grade: G16", "grade: G40")) == same
    for change in (
        ("max_speed: 5200", "max_speed: 5100"), ("mass: 60 g", "mass: 70 g"), ("width: 45", "width: 46"),
        ("cylinders: 6", "cylinders: 6\n  idle_speed: 700 rpm"), ("thread: M10}", "thread: M8}"),
    ):  # fmt: skip
        assert key(change) != same, change


def test_a_hash_tells_apart_whatever_differs() -> None:
    values = [None, 0, 0.0, -0.0, False, "", "0", b"", (), [], {}, (0,), ((0,),), np.zeros(2), np.zeros(2, int), 1e-300]
    values += [Loop.circle(0, 0, 1.0), Loop.circle(0, 0, 1.0 + 1e-15), ("ab", "c"), ("a", "bc")]
    assert len({hashed(value) for value in values}) == len(values)
    assert hashed(Loop.circle(0, 0, 1.0)) == hashed(Loop.circle(0, 0, 1.0))
    with pytest.raises(TypeError, match="no hash"):
        hashed(object())


def test_a_memo_is_bounded_and_gives_its_own() -> None:
    memo = Memo(10_000)
    for number in range(50):
        memo.put(str(number), [number] * 100 + ["x" * 1000])
        memo.get("0")  # what is asked for stays
    assert memo.size <= 10_000
    assert memo.get("0") is not None
    assert memo.get("1") is None
    assert memo.get("49")[0] == 49
    memo.get("49").append("mine")
    assert memo.get("49")[-1] == "x" * 1000
    memo.put("huge", "x" * 20_000)
    assert memo.get("huge") is None
    assert memo.size <= 10_000
    assert MOST_BYTES <= 2**27


def test_a_product_gets_its_name_and_another() -> None:
    raw = b"#7 = PRODUCT('part 3','part 3','',(#8));\n#9 = PRODUCT('part 3.2','part 3.2','',(#8));\nPRODUCT('x','x')"
    one = named(raw, "o'neil wheel")
    assert one == (
        b"#7 = PRODUCT('o''neil wheel','o''neil wheel','',(#8));\n"
        b"#9 = PRODUCT('o''neil wheel 2','o''neil wheel 2','',(#8));\nPRODUCT('x','x')"
    )
    assert renamed(one, "o'neil wheel", "b wheel") == named(raw, "b wheel")
    assert renamed(one, "other", "b") == one


def test_what_is_kept_comes_back_as_it_was_taken(tmp_path: Path) -> None:
    (tmp_path / "wheel.step").write_bytes(named(b"PRODUCT('part 1','part 1','')", "a wheel"))
    (tmp_path / "wheel.stl").write_bytes(b"mesh of a wheel")
    finding = Finding("volume", "wheel.stl", 1.0, "relative", 2.0, "pass", "why", "source")  # type: ignore[arg-type]
    found = PartFound(BodyFigures(1.0, (0, 0, 0), 1.0, True, 1), (finding,), ())
    kept = taken("wheel", "a", found, tmp_path)
    other = tmp_path / "other"
    other.mkdir()
    put_files(kept, "b", other)
    assert (other / "wheel.step").read_bytes() == b"PRODUCT('b wheel','b wheel','')"
    assert (other / "wheel.stl").read_bytes() == b"mesh of a wheel"
    assert isinstance(kept, KeptPart)
    whole = together(["wheel"], {"wheel": replace(found, undrilled=found.figures)})
    assert whole.judged == (finding,)
    assert whole.figures == {"wheel": found.figures}


@pytest.fixture(scope="module")
def kernel() -> Iterator[Kernel]:
    with Kernel() as kept:
        yield kept


def built(text: str, folder: Path, kernel: Kernel | None = None, fem: bool = False) -> BuildResult:
    """The job's files, without packet, and without elements but where they are asked for."""
    folder.mkdir()
    path = folder / "job.yaml"
    path.write_text(text, encoding="utf-8")
    return build_job(path, folder / "out", packet=False, fem=fem, kernel=kernel)


def solids(result: BuildResult) -> dict[str, bytes]:
    """The bytes of all files with solids."""
    return {path.name: path.read_bytes() for path in sorted(result.folder.iterdir()) if path.suffix in SOLIDS}


@pytest.mark.slow
def test_a_reused_part_is_what_a_fresh_build_makes(tmp_path: Path, kernel: Kernel) -> None:
    """Another name, another speed, then another gauge: after each, every file and every finding but the parts' that
    were made anew equals that of a build that keeps nothing."""
    small = (("gauge: {thickness: 4, style: outline", "gauge: {thickness: 4, style: windows"),)
    other = small, (("job: tarn-six", "job: second-job"), ("max_speed: 5200", "max_speed: 5100"), *small)
    thick = (*other[1], ("hole_allowance: 0.25", "hole_allowance: 0.3"))
    for number, changes in enumerate((*other, thick)):
        text = edited(SIX, *changes)
        warm = built(text, tmp_path / f"warm-{number}", kernel)
        assert (
            set(kernel.reused)
            == [set(), {*warm.design.parts, "assembly"}, {"wheel", "bracket", "blank", "assembly"}][number]
        )
        fresh = built(text, tmp_path / f"fresh-{number}")
        assert solids(warm) == solids(fresh)
        assert warm.findings == fresh.findings
        assert warm.report == fresh.report


@pytest.mark.slow
def test_a_worse_part_is_not_told_as_the_one_before(tmp_path: Path, kernel: Kernel) -> None:
    """A bracket of another thickness after a sound one: its own numbers, none of the first one's."""
    first = built(SIX, tmp_path / "first", kernel)
    thin = built(edited(SIX, ("thickness: 3/16 in", "thickness: 3 mm")), tmp_path / "thin", kernel)
    assert "wheel" in kernel.reused
    assert "bracket" not in kernel.reused
    assert first.report["bracket"] != thin.report["bracket"]
    told = [{(f.check, f.subject): f.measured for f in one.findings if "bracket" in f.subject} for one in (first, thin)]
    assert told[0] != told[1]


@pytest.mark.slow
def test_a_stiffness_that_is_kept_is_what_a_fresh_build_finds(tmp_path: Path, kernel: Kernel) -> None:
    built(SIX, tmp_path / "first", kernel, fem=True)
    text = edited(SIX, ("title: Crank", "title: Another"), ("gauge: {thickness: 4", "gauge: {thickness: 5"))
    warm = built(text, tmp_path / "warm", kernel, fem=True)
    assert kernel._stiff is not None
    fresh = built(text, tmp_path / "fresh", fem=True)
    assert warm.report["bracket"]["stiffness"] == fresh.report["bracket"]["stiffness"]
    assert warm.findings == fresh.findings
    thick = edited(text, ("width: 45", "width: 47"))
    other = built(thick, tmp_path / "other", kernel, fem=True)
    assert other.report["bracket"]["stiffness"] != warm.report["bracket"]["stiffness"]
