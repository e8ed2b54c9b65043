"""Files given to the page: what is taken, under which name, and what is not."""

from __future__ import annotations

from pathlib import Path

import pytest

from wheelcad.page import uploads
from wheelcad.page.uploads import PHOTOS, WHEELS, RefusedError, keep

PNG = b"\x89PNG\r\n\x1a\n" + b"\x00" * 20


@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("../../etc/passwd.png", "passwd.png"),
        ("..\\..\\wheel.PNG", "wheel.png"),
        ("<img src=x onerror=alert(1)>.png", "img-src-x-onerror-alert-1.png"),
        ("/abs/olute.png", "olute.png"),
        ("☃.png", "file.png"),
        ("--job.png", "job.png"),
        ("a" * 400 + ".png", "a" * 40 + ".png"),
    ],
)
def test_a_name_is_made_plain_and_stays_in_its_folder(tmp_path: Path, name: str, kept: str) -> None:
    path = keep(tmp_path / "given", name, PNG, PHOTOS)
    assert path == tmp_path / "given" / kept
    assert path.read_bytes() == PNG
    assert [file for file in tmp_path.rglob("*") if file.is_file()] == [path]


@pytest.mark.parametrize(
    ("name", "data", "why"),
    [
        ("wheel.yaml", b"job: x", "is no kind of file"),
        ("wheel.html", b"<script>", "is no kind of file"),
        ("wheel.svg", b"<svg>", "is no kind of file"),
        ("wheel.png.exe", PNG, "is no kind of file"),
        ("wheel", PNG, "is no kind of file"),
        ("wheel.png", b"<script>alert(1)</script>", "is not what its name says"),
        ("wheel.jpg", PNG, "is not what its name says"),
        ("wheel.3mf", b"not a zip", "is not what its name says"),
        ("angles.csv", b"slot_deg\n\x00\x01", "is no text"),
    ],
)
def test_other_kinds_are_refused_by_name_and_content(tmp_path: Path, name: str, data: bytes, why: str) -> None:
    with pytest.raises(RefusedError, match=why):
        keep(tmp_path, name, data, WHEELS)
    assert list(tmp_path.iterdir()) == []


def test_a_file_too_large_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(uploads, "LARGEST", 20)
    with pytest.raises(RefusedError, match="larger"):
        keep(tmp_path, "wheel.png", PNG, WHEELS)


def test_two_files_of_one_name_are_both_kept(tmp_path: Path) -> None:
    assert keep(tmp_path, "a.png", PNG, WHEELS) != keep(tmp_path, "a.png", PNG + b"1", WHEELS)
    assert len(list(tmp_path.iterdir())) == 2
