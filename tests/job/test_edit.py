"""Values are changed in a job file's text, and nothing else is."""

from __future__ import annotations

import difflib
from pathlib import Path

import pytest

from tests.conftest import DEMOS, demo_text
from wheelcad.errors import JobError, JobFileError
from wheelcad.job.edit import changed_text, set_values
from wheelcad.job.reader import load_job, parse_job


def changed_lines(old: str, new: str) -> list[str]:
    """What a reader of both would see, without the lines that are the same."""
    lines = difflib.unified_diff(old.split("\n"), new.split("\n"), lineterm="", n=0)
    return [line for line in lines if line[:1] in "+-" and line[:3] not in ("+++", "---")]


def test_a_value_is_replaced_and_its_comment_stays() -> None:
    text = demo_text("tarn-six").replace("mount_face: -30", "mount_face: -30    # with a depth gauge")
    new = changed_text(
        text, {("bracket", "mount_face"): "{behind_front: 38}"} | {("bracket", "mounts", 0, "x"): "-131.5"}
    )
    assert changed_lines(text, new) == [
        "-    - {x: -132, y: 88, hole: 12, thread: M10}",
        "+    - {x: -131.5, y: 88, hole: 12, thread: M10}",
        "-  mount_face: -30    # with a depth gauge",
        "+  mount_face: {behind_front: 38}    # with a depth gauge",
    ]
    assert parse_job(new).bracket.mounts[0].x == -131.5


def test_keys_that_are_missing_are_added_where_they_belong() -> None:
    text = demo_text("tarn-six").replace("  gusset: yes\n", "  gusset: yes   # welded\n\n# the gauge\n")
    values = {
        ("bracket", "adjust_along"): "3",
        ("bracket", "hand_bend", "allowance"): "11.2",
        ("gauge", "shrinkage"): "1",
    }
    new = changed_text(text, values)
    assert changed_lines(text, new) == [
        "+  adjust_along: 3",
        "+  hand_bend: {allowance: 11.2}",
        "-gauge: {thickness: 4, style: outline, hole_allowance: 0.25, covers: 360 deg}",
        "+gauge: {thickness: 4, style: outline, hole_allowance: 0.25, covers: 360 deg, shrinkage: 1}",
    ]
    job = parse_job(new)
    assert job.bracket is not None
    assert job.bracket.adjust_along == 3
    assert job.bracket.hand_bend.allowance == 11.2
    assert job.gauge.shrinkage == 1


@pytest.mark.parametrize("name", DEMOS)
def test_putting_in_what_stands_there_changes_nothing(name: str) -> None:
    text = demo_text(name)
    assert (
        changed_text(
            text,
            {
                ("wheel", "outside_diameter"): str(
                    text.split("outside_diameter: ")[1].split("\n")[0].split("#")[0].strip()
                )
            },
        )
        == text
    )


def test_line_ends_marks_and_odd_spaces_stay() -> None:
    text = "\ufeff" + demo_text("tarn-six").replace("adjust: 6", "adjust:\u00a06\t# mm").replace("\n", "\r\n")
    new = changed_text(text, {("bracket", "adjust"): "7"})
    assert new == text.replace("adjust:\u00a06\t", "adjust:\u00a07\t")


def test_what_would_not_be_a_job_is_never_written(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_text(demo_text("tarn-six"), encoding="utf-8")
    before = path.read_bytes()
    for values, why in (
        ({("bracket", "mount_face"): "five"}, "should be a length"),
        ({("bracket", "nonsense"): "5"}, "is not a key known here"),
        ({("bracket", "mounts", 7, "x"): "5"}, "cannot be added to a list"),
        ({("wheel", "teeth"): "36 # rest\nmissing: 3"}, "wheel.missing: is missing"),
    ):
        with pytest.raises(JobError, match=why):
            set_values(path, values)
        assert path.read_bytes() == before
    assert [entry.name for entry in tmp_path.iterdir()] == ["job.yaml"]


def test_the_file_is_replaced_and_reads_as_the_new_job(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_text(demo_text("beck-four"), encoding="utf-8")
    set_values(path, {("wheel", "missing"): "1", ("title",): "another"})
    job = load_job(path)
    assert (job.wheel.missing, job.title) == (1, "another")


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "job.yaml"
    path.write_text(demo_text("tarn-six"), encoding="utf-8")

    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("wheelcad.job.edit.save", refuse)
    with pytest.raises(JobFileError, match="cannot be written: Permission denied"):
        set_values(path, {("title",): "another"})
    assert path.read_text(encoding="utf-8") == demo_text("tarn-six")
