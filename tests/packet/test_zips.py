"""for-lathe.zip and the others: the files of one recipient, unchanged, and what to ask for in the job's unit."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path

import pytest

from tests.conftest import demo_text
from wheelcad.build import BuildResult
from wheelcad.catalogue import ZIPS, For, entry_of
from wheelcad.job.reader import parse_job
from wheelcad.packet.zips import ASK, write_zips
from wheelcad.parts.design import design_job
from wheelcad.words import unwritten

BARE = "job: bare\nwheel: {teeth: 24, missing: 1, outside_diameter: 120, thickness: 3, slot: {width: 6, depth: 5}}\n"


def test_each_holds_its_recipients_files_and_what_to_ask_for(built: BuildResult) -> None:
    zips = [name for name in built.files if name.endswith(".zip")]
    assert "for-plasma.zip" in zips
    assert "for-printer.zip" in zips
    for name in zips:
        whom = next(whom for whom, zip_name in ZIPS.items() if zip_name == name)
        own = {n for n in built.files if (entry := entry_of(n)) is not None and entry.whom is whom} - set(zips)
        with zipfile.ZipFile(built.folder / name) as archive:
            assert archive.testzip() is None
            held = set(archive.namelist())
            assert own <= held
            assert held - own - {ASK} <= {"blank.step", "adapter.step"}
            for file in held - {ASK}:
                assert archive.read(file) == (built.folder / file).read_bytes()
            said = archive.read(ASK).decode("utf-8")
        assert not unwritten(said)
        assert all(f"- {file}:" in said for file in own)
        assert built.job.source.sha256[:8] in said
        assert "\r\n" in said
        if built.job.units == "in":  # files are said to be in mm, no size is
            assert not re.search(r"\d ?mm\b", said)
            assert re.search(r"\d in\b", said)


def test_the_same_files_give_the_same_bytes(built_six: BuildResult, tmp_path: Path) -> None:
    for name in built_six.files:
        if not name.endswith(".zip"):
            (tmp_path / name).write_bytes((built_six.folder / name).read_bytes())
    for name in write_zips(built_six.design, tmp_path):
        assert (tmp_path / name).read_bytes() == (built_six.folder / name).read_bytes()


def test_no_zip_without_such_parts(tmp_path: Path) -> None:
    for name in ("wheel.step", "wheel.stl", "wheel-flat.dxf"):
        (tmp_path / name).write_bytes(b"x")
    assert write_zips(design_job(parse_job(BARE)), tmp_path) == [ZIPS[For.PLASMA]]


@pytest.mark.parametrize(
    ("name", "zip_name", "says"),
    [
        ("tarn-six", "for-lathe.zip", ["Grey cast iron", "runs true to the bore within 0.0"]),
        ("tarn-six", "for-plasma.zip", ["Mild steel S235 plate 4.76 mm thick", "kerf and lead-ins are the table's"]),
        ("tarn-six", "for-printer.zip", ["no supports", "1 piece", "in the file"]),
        ("fell-twin", "for-lathe.zip", ["the adapter,", "adapter-drawing.pdf"]),
        ("fell-twin", "for-plasma.zip", ["a blank with metal left on", "wheel-finished.dxf instead"]),
    ],
)
def test_what_is_asked_for(tmp_path: Path, name: str, zip_name: str, says: list[str]) -> None:
    for file in ("blank-drawing.pdf", "adapter-drawing.pdf", "bracket-flat.dxf", "gauge.3mf"):
        (tmp_path / file).write_bytes(b"x")
    write_zips(design_job(parse_job(demo_text(name))), tmp_path)
    with zipfile.ZipFile(tmp_path / zip_name) as archive:
        said = archive.read(ASK).decode("utf-8")
    for words in says:
        assert words in said
