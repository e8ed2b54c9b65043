"""A cutting file that begins beyond the file's origin, on either side of it, is not where a table looks for it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.checks.forms import form
from tests.checks.seeded import spoil as by
from wheelcad.checks.cut_files import check_cut_files


@pytest.mark.slow
@pytest.mark.parametrize(
    ("corner", "good"),
    [((0.0, 0.0), True), ((50.0, 3.0), True), ((3.0, 50.0), True), ((-1.0, 5.0), False), ((5.0, -1.0), False),
     ((51.0, 3.0), False), ((3.0, 51.0), False)],
)  # fmt: skip
def test_where_the_parts_begin(corner: tuple[float, float], good: bool, tmp_path: Path) -> None:
    name = "bracket-flat.dxf"
    one = form("turned")
    shutil.copy(one.folder / name, tmp_path / name)
    x, y = corner
    by.pattern(r"(\$EXTMIN\s+10\s+)\S+(\s+20\s+)\S+", rf"\g<1>{x}\g<2>{y}")(tmp_path / name)
    found = [f for f in check_cut_files(tmp_path, [name], one.design.marks, frozenset()) if f.check == "near-origin"]
    assert [f.verdict == "pass" for f in found] == [good]
