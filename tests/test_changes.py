"""What a build changed, told from the manifest of the one before; two job files of one name are never mixed up."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from tests.conftest import ROOT
from wheelcad.build import build_job
from wheelcad.changes import Changes, changes_since
from wheelcad.errors import JobFileError
from wheelcad.job.reader import parse_job, written_values

JOB = (
    "job: small\nengine: {turns: clockwise, max_speed: 3000}\n"
    "wheel: {teeth: 12, missing: 1, outside_diameter: 80, thickness: 4, bore: 20, slot: {width: 8, depth: 6}}\n"
)


def _kept(text: str, **files: str) -> dict[str, object]:
    entries = [{"name": name.replace("_", "."), "sha256": digest} for name, digest in files.items()]
    return {"job": {"text": text}, "files": entries}


def test_values_are_told_as_they_are_written() -> None:
    text = (ROOT / "configs" / "tarn-six.yaml").read_text(encoding="utf-8")
    values = written_values(text)
    assert values["job"] == "tarn-six"
    assert values["bracket.plate.thickness"] == "3/16 in"
    assert values["engine.firing_order"] == "[1, 5, 3, 6, 2, 4]"
    assert any(key.startswith("bracket.mounts[1].") for key in values)
    assert written_values("a: [1\nb: }") == written_values("")


def test_keys_and_files_that_differ() -> None:
    old = JOB.replace("engine: {turns: clockwise, ", "engine: {cranking_speed: 180, ")
    now = [
        {"name": "wheel.stl", "sha256": "b"},
        {"name": "new.csv", "sha256": "n"},
        {"name": "same.dxf", "sha256": "s"},
    ]
    kept = _kept(old.replace("teeth: 12", "teeth: 24"), wheel_stl="a", gone_pdf="g", same_dxf="s", report_json="r")
    changed = changes_since(kept, parse_job(JOB), now)
    assert changed.keys == (
        ("engine.cranking_speed", "180", "left out"),
        ("wheel.teeth", "24", "12"),
        ("engine.turns", "left out", "clockwise"),
    )
    assert changed.files == ("gone.pdf", "new.csv", "wheel.stl"), "what tells of the others is not told"
    assert changed.lines()[1] == "wheel.teeth: 24 → 12"
    assert changed.lines()[-1] == "files changed: gone.pdf, new.csv, wheel.stl"


def test_the_first_build_and_the_same_again() -> None:
    assert changes_since({}, parse_job(JOB), []).first
    kept = _kept(JOB, wheel_stl="a") | {"changed": {"keys": [["wheel.teeth", "24", "12"]], "files": ["wheel.stl"]}}
    again = changes_since(kept, parse_job(JOB), [{"name": "wheel.stl", "sha256": "a"}])
    assert again == Changes((("wheel.teeth", "24", "12"),), ("wheel.stl",), again=True)
    assert again.kept() == kept["changed"], "so that building again gives the same bytes"


@pytest.mark.parametrize("changed", [None, [], {"keys": 3}, {"keys": [["a"]], "files": "x"}])
def test_a_manifest_that_somebody_spoilt_is_no_end(changed: object) -> None:
    kept = {"job": 5, "files": [3, {"name": None}], "changed": changed}
    assert changes_since(kept, parse_job(JOB), []).keys
    assert changes_since(_kept(JOB) | {"changed": changed}, parse_job(JOB), []) == Changes(again=True)


def _build(folder: Path, file: str, text: str, out: Path, replace: bool = False) -> Changes:
    path = folder / file
    path.parent.mkdir(exist_ok=True)
    path.write_text(text)
    changes = build_job(path, out, packet=False, fem=False, replace=replace).changes
    assert changes is not None
    return changes


def test_two_job_files_of_one_name_are_never_mixed_up(tmp_path: Path) -> None:
    out, other = tmp_path / "out", JOB.replace("teeth: 12", "teeth: 15").replace("width: 8", "width: 6")
    assert _build(tmp_path / "a", "one.yaml", JOB, out).first
    before = {path.name: path.read_bytes() for path in (out / "small").iterdir()}
    with pytest.raises(JobFileError, match=r"another job file, one\.yaml") as caught:
        _build(tmp_path / "a", "two.yaml", other, out)
    (fault,) = caught.value.faults
    assert fault.line == 1
    assert "--replace" in fault.hint
    with pytest.raises(JobFileError, match=r"another one\.yaml, in another folder"):
        _build(tmp_path / "b", "one.yaml", other, out)
    assert {path.name: path.read_bytes() for path in (out / "small").iterdir()} == before
    changed = _build(tmp_path / "b", "one.yaml", other, out, replace=True)
    assert ("wheel.teeth", "12", "15") in changed.keys
    assert "wheel.stl" in changed.files
    (tmp_path / "moved").mkdir()  # the same file, edited, and the whole project moved elsewhere
    for name in ("out", "b"):
        shutil.move(tmp_path / name, tmp_path / "moved" / name)
    edited = _build(tmp_path / "moved" / "b", "one.yaml", other.replace("3000", "3500"), tmp_path / "moved" / "out")
    assert edited.keys == (("engine.max_speed", "3000", "3500"),)


def test_building_again_gives_the_same_bytes_and_says_so(tmp_path: Path) -> None:
    out = tmp_path / "out"
    _build(tmp_path, "one.yaml", JOB, out)
    first = {path.name: path.read_bytes() for path in (out / "small").iterdir()}
    again = _build(tmp_path, "one.yaml", JOB, out)
    assert again.again
    assert {path.name: path.read_bytes() for path in (out / "small").iterdir()} == first
    kept = json.loads(first["manifest.json"])
    assert kept["changed"] == {"keys": [], "files": []}
