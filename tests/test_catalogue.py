"""The catalogue of files: what a build writes and what it says it writes are the same, for whom is always named."""

from __future__ import annotations

import json
import re

import pytest

from tests.conftest import ROOT
from wheelcad.build import BuildResult
from wheelcad.catalogue import (
    CATALOGUE,
    CONDITIONS,
    ZIPS,
    BuildMade,
    For,
    entry_of,
    expected,
    sorted_by_whom,
    with_files,
)
from wheelcad.job.reader import parse_job
from wheelcad.packet.sheets import drawing_sheets
from wheelcad.parts.design import Design, design_job

BARE = "job: bare\nwheel: {teeth: 24, missing: 1, outside_diameter: 120, thickness: 3, slot: {width: 6, depth: 5}}\n"


def test_a_build_writes_what_the_catalogue_says(built: BuildResult) -> None:
    entries = expected(BuildMade(built.design, plot=False))  # built without finite elements
    wanted = {output.name for output in entries}
    written = {path.name for path in built.folder.iterdir()}
    named = {entry.name for name in written if (entry := entry_of(name)) is not None}
    assert all(entry_of(name) is not None for name in written), "a file that no catalogue names"
    assert named == wanted


def test_the_manifest_says_part_and_for_whom(built: BuildResult) -> None:
    files = json.loads((built.folder / "manifest.json").read_text(encoding="utf-8"))["files"]
    assert len(files) == len(built.files) - 1
    for entry in files:
        output = entry_of(entry["name"])
        assert output is not None
        assert (entry["part"], entry["for"]) == (output.part, str(output.whom))


def _design(extra: str = "", form: str = "") -> Design:
    return design_job(parse_job(BARE.replace("teeth: 24", f"{form}teeth: 24") + extra))


@pytest.mark.parametrize(
    ("extra", "brings"),
    [
        ("shop: {plasma: {kerf: 1.4}}\n", {"wheel-finished.dxf"}),
        ("shop: {rotary_table: {ratio: 40}}\n", {"bench.html", "index-chart.csv"}),
        ("shop: {readout: yes}\n", {"index-chart.csv", "readout-points.csv"}),
        ("shop: {rotary_table: {ratio: 40}, rotary_axis: yes}\n", {"bench.html", "index-chart.csv", "rotary-axis.nc"}),
        ("sensor: {kind: hall, at: 300, air_gap: 0.8}\n", {"assembly.step", "assembly.glb"}),
    ],
)
def test_what_a_section_brings(extra: str, brings: set[str]) -> None:
    without = {output.name for output in expected(BuildMade(_design()))}
    having = {output.name for output in expected(BuildMade(_design(extra)))}
    assert having - without == brings
    assert without <= having


def test_options_of_a_build_leave_files_out(built: BuildResult) -> None:
    whole = {output.name for output in expected(BuildMade(built.design))}
    assert whole - {output.name for output in expected(BuildMade(built.design, packet=False))} == {
        "packet.pdf",
        "measuring-sheet.pdf",
    }
    assert whole - {output.name for output in expected(BuildMade(built.design, plot=False))} == {"bracket-speeds.png"}


def test_each_file_has_one_entry_a_known_condition_and_one_line() -> None:
    names = [output.name for output in CATALOGUE]
    assert len(set(names)) == len(names)
    for output in CATALOGUE:
        assert output.when in CONDITIONS
        assert 3 < len(output.what) < 80
        assert "\n" not in output.what
        assert not output.what.endswith(".")
    assert {output.when for output in CATALOGUE} == set(CONDITIONS), "a condition that nothing needs"
    assert {output.whom for output in CATALOGUE} == set(For)


def test_a_pattern_names_the_file_that_allows_for_a_kerf() -> None:
    entry = entry_of("bracket-flat-kerf-1.4.dxf")
    assert entry is not None
    assert entry.whom is For.PLASMA
    assert entry_of("bracket-flat.dxf") is not entry
    assert entry_of("mine.txt") is None


def test_files_are_sorted_by_who_they_are_for() -> None:
    held = sorted_by_whom(["mine.txt", "report.json", "gauge.3mf", "wheel-drawing.pdf", "blank-drawing.pdf"])
    assert list(held) == [For.LATHE, For.MILL, For.PRINTER, For.PROGRAMS]
    assert [name for name, _ in held[For.LATHE]] == ["blank-drawing.pdf"]


def test_every_drawing_is_in_it(built: BuildResult) -> None:
    for part in drawing_sheets(built.design):
        for ending in ("pdf", "dxf"):
            entry = entry_of(f"{part}-drawing.{ending}")
            assert entry is not None
            assert entry.part == part


def test_readme_holds_the_list() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert with_files(readme) == readme, "python -m wheelcad.catalogue README.md"
    for name in ZIPS.values():
        assert re.search(rf"^\| `{name}` \|", readme, re.MULTILINE)
    with pytest.raises(ValueError, match="files: start"):
        with_files("no list")
